//! Every construction of any size folds up, and whatever is spoilt about it is found and named.
//!
//! Sizes of 15 to 250 mm with ratios up to 10 : 1 and papers of 0.1 to 0.6 mm, chosen by a fixed seed.

use std::fmt::Write;

use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::SeedableRng;
use sheetwright::construct::{Given, KINDS, Kind};
use sheetwright::diagnostic::Diagnostic;
use sheetwright::fold::prove;
use sheetwright::project::Project;

use crate::constructed::{project_of, random_given};
use crate::fold_mutants::mutant;

/// How many cases of each construction are tried.
const CASES: u32 = 200;

/// How many spoilt ones of each construction.
const MUTANTS: u32 = 60;

/// How many times one is sought at most: not everything can be done to every construction.
const MOST_TRIES: u32 = 3000;

fn errors(project: &Project) -> Vec<Diagnostic> {
    prove(project)
        .into_iter()
        .filter(Diagnostic::is_error)
        .collect()
}

fn words(given: &Given<'_>) -> String {
    format!(
        "{} {:?} {:?} {:?} {:?}",
        given.kind.name, given.asked, given.values, given.grid, given.calipers
    )
}

#[test]
fn constructions_of_any_size_fold_up_without_a_finding() {
    let mut wrong = String::new();
    for kind in KINDS {
        let mut random = Pcg64Mcg::seed_from_u64(5);
        let (mut refused, mut found_wrong) = (Vec::new(), 0);
        for _ in 0..CASES {
            let given = random_given(&mut random, kind);
            match project_of(&given) {
                Err(refusals) => refused.push(refusals),
                Ok(project) => {
                    let found = errors(&project);
                    if let (Some(first), true) = (found.first(), found_wrong < 5) {
                        writeln!(
                            wrong,
                            "{}\n   {} {}",
                            words(&given),
                            first.code,
                            first.message
                        )
                        .unwrap();
                    }
                    found_wrong += usize::from(!found.is_empty());
                }
            }
        }
        // The rest is refused with a reason: too slender by its outside, or no room for what belongs to it.
        let least_built = CASES as usize / 4;
        assert!(
            CASES as usize - refused.len() >= least_built,
            "{}: {refused:?}",
            kind.name
        );
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

/// Whether nothing about it can be wrong: a tag of one leaf without a ring is folded nowhere and lies on nothing, so any size and any shape
/// of it is another sound tag.
fn has_nothing_to_fit(project: &Project) -> bool {
    project.assemblies[0].joints.is_empty()
}

/// Tries what is spoilt about constructions of one kind and returns how many were spoilt, and what of that was missed.
fn missed(kind: &Kind) -> (u32, String) {
    let mut random = Pcg64Mcg::seed_from_u64(100);
    let (mut missed, mut tried) = (String::new(), 0);
    for _ in 0..MOST_TRIES {
        if tried == MUTANTS {
            break;
        }
        let given = random_given(&mut random, kind);
        let Ok(project) = project_of(&given) else {
            continue;
        };
        if has_nothing_to_fit(&project) {
            continue;
        }
        let Some(mutant) = mutant(&mut random, &project) else {
            continue;
        };
        tried += 1;
        let found = errors(&mutant.project);
        if !found.iter().any(|f| is_named(f, &mutant.names)) {
            let told: Vec<_> = found.iter().map(|f| f.message.as_str()).collect();
            let what = mutant.what;
            writeln!(missed, "{}\n   {what}\n   told: {told:?}", words(&given)).unwrap();
        }
    }
    (tried, missed)
}

/// Whether a finding names what was spoilt, in what it says or in what it advises first.
fn is_named(found: &Diagnostic, names: &[String]) -> bool {
    let first = found.hints.first().map_or("", String::as_str);
    let is_in = |name: &String| found.message.contains(name) || first.contains(name.as_str());
    names.iter().any(is_in)
}

#[test]
fn whatever_is_spoilt_is_found_and_named() {
    let mut all = String::new();
    for kind in KINDS {
        let (tried, missed) = missed(kind);
        assert_eq!(tried, MUTANTS, "{}", kind.name);
        all += &missed;
    }
    assert!(all.is_empty(), "\n{all}");
}

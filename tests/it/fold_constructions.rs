//! Every construction of any size folds up, and whatever is spoilt about it is found and named.
//!
//! Sizes of 15 to 250 mm with ratios up to 10 : 1 and papers of 0.1 to 0.6 mm, chosen by a fixed seed.

use std::fmt::Write;

use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::SeedableRng;
use sheetwright::construct::{Given, KINDS};
use sheetwright::diagnostic::Diagnostic;
use sheetwright::fold::prove;
use sheetwright::project::{JointKind, Project};

use crate::constructed::{project_of, random_given};
use crate::fold_mutants::{Mutant, mutant};

/// How many cases of each construction are tried.
const CASES: u32 = 200;

/// How many spoilt ones in all.
const MUTANTS: u32 = 100;

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

/// Whether walls are to meet: of a sheet that is folded once, no joint says where its crease should be.
fn is_enclosed(project: &Project) -> bool {
    let mut joints = project.assemblies[0].joints.iter();
    joints.any(|joint| matches!(joint.kind, JointKind::Meet { .. }))
}

#[test]
fn whatever_is_spoilt_is_found_and_named() {
    let mut random = Pcg64Mcg::seed_from_u64(100);
    let (mut missed, mut tried) = (String::new(), 0);
    while tried < MUTANTS {
        for kind in KINDS {
            let given = random_given(&mut random, kind);
            let Ok(project) = project_of(&given) else {
                continue;
            };
            if !is_enclosed(&project) {
                continue;
            }
            let Some(Mutant {
                project,
                what,
                names,
            }) = mutant(&mut random, &project)
            else {
                continue;
            };
            tried += 1;
            let found = errors(&project);
            let is_named = |f: &Diagnostic| {
                let told = format!("{} {}", f.message, f.hints.join(" "));
                names.iter().any(|name| told.contains(name.as_str()))
            };
            if !found.iter().any(is_named) {
                let told: Vec<_> = found.iter().map(|f| f.message.as_str()).collect();
                writeln!(missed, "{}\n   {what}\n   told: {told:?}", words(&given)).unwrap();
            }
        }
    }
    assert!(missed.is_empty(), "\n{missed}");
}

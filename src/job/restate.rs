//! A project in other units, proved to fold up with its new sizes.

use std::cmp::Ordering;
use std::iter::once;

use super::check;
use crate::diagnostic::{Diagnostic, Severity, Warned};
use crate::length::{Length, LengthStyle};
use crate::load::{self, Assets, Choice, NamedText, Restated, Target, Units};
use crate::plan;
use crate::project::{Assembly, Joint, JointKind, Project, Surface};

/// Most projects that are tried: each is read and folded once, a few milliseconds.
const MOST_TRIALS: usize = 300;

/// The code of what is said of steps whose words name lengths in other units.
pub const KEPT_WORDS: &str = "restate.words";

/// A project in other units, and what is to be said of it.
#[derive(Debug, Clone)]
pub struct RestatedProject {
    /// The new text, with what changed.
    pub restated: Restated,
    /// The new project with its warnings, or its mistakes.
    pub checked: Result<Warned<Project>, Vec<Diagnostic>>,
    /// The ruler that its sizes are on: the asked one, or half its step where nothing else folds up.
    pub target: Target,
}

/// Restates a project; see [`load::restate`]. Where the new sizes do not fold up, other ways of rounding places are tried, the nearest first,
/// then half the step; if none does, the best way's mistakes are returned, `restate.refused` before them. What went over another piece
/// still does, and what fitted its paper still fits.
///
/// # Errors
///
/// All mistakes of the project as it is.
pub fn restate(
    project: &NamedText,
    new_name: &str,
    assets: &dyn Assets,
    options: &load::Options,
    target: Target,
) -> Result<RestatedProject, Vec<Diagnostic>> {
    let declared = check(&project.name, &project.text, assets, options)?;
    let finer = Target {
        grid: Length::from_nm(target.grid.nm() / 2),
        ..target
    };
    let had_no_room = plan::too_large(&declared.value).len();
    let mut first = None;
    for target in [target, finer] {
        let restated =
            |choice: &Choice| load::restate(&project.text, &declared.value, target, choice);
        let best = restated(&Choice::new());
        let others = choices(&best.ways).into_iter().skip(1);
        let others: Vec<Choice> = others.collect();
        for restated in once(best).chain(others.iter().map(restated)) {
            let checked = check(new_name, &restated.text, assets, options)
                .and_then(|new| keeps_outer_outside(&declared.value, new))
                .and_then(|new| keeps_to_paper(had_no_room, new))
                .map(|new| tells_kept_words(new, target.units));
            let is_good = checked.is_ok();
            let tried = RestatedProject {
                restated,
                checked,
                target,
            };
            if is_good {
                return Ok(tried);
            }
            first.get_or_insert(tried);
        }
    }
    let mut best: RestatedProject = first.expect("the best way is tried first");
    if let Err(mistakes) = &mut best.checked {
        mistakes.insert(0, refused(&declared.value, target));
    }
    Ok(best)
}

/// Says that no way of rounding was good.
fn refused(project: &Project, target: Target) -> Diagnostic {
    let grid = target.grid.display(match target.units {
        Units::Inch => LengthStyle::InchFractions,
        Units::Metric => LengthStyle::Millimetres,
    });
    let message = format!(
        "\"{}\" has no sizes in {} on a ruler of {grid} that fold up, slide and fit their paper as its own do",
        project.job.name,
        target.units.noun()
    );
    Diagnostic::error("restate.refused", message).hint(
        "change what is named below in the project, or try a finer one: sheetwright restate ... --grid",
    )
}

/// Refuses a project of which more pieces than before are too large for their paper.
fn keeps_to_paper(
    had_no_room: usize,
    after: Warned<Project>,
) -> Result<Warned<Project>, Vec<Diagnostic>> {
    let too_large = plan::too_large(&after.value);
    if too_large.len() <= had_no_room {
        return Ok(after);
    }
    let error = |warning: Diagnostic| Diagnostic {
        severity: Severity::Error,
        ..warning
    };
    Err(too_large.into_iter().map(error).collect())
}

/// Warns of steps whose words still name lengths in other units: they are the maker's own and stay as they are.
fn tells_kept_words(mut restated: Warned<Project>, units: Units) -> Warned<Project> {
    let steps = (1..).zip(&restated.value.lesson.steps);
    let told = steps.filter_map(|(number, step)| {
        let length = kept_length(&step.text, units)?;
        let message = format!(
            "step {number} says \"{length}\", and words are not restated: they stay as they are in the {} edition",
            units.name()
        );
        let hint = "write both, such as \"3/8 in (10 mm)\", or name the length by what it is, such as \"the width of the tape\"";
        Some(Diagnostic::warning(KEPT_WORDS, message).at(&step.origin).hint(hint))
    });
    let told: Vec<Diagnostic> = told.collect();
    restated.warnings.extend(told);
    restated
}

/// The first length in other units than these, unless lengths in these stand there as well.
fn kept_length(text: &str, units: Units) -> Option<String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let bare = |word: &str| {
        let ends = |c: char| c.is_ascii_punctuation();
        word.trim_matches(ends).to_owned()
    };
    let is_number = |word: &str| {
        let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
        word.split(['/', '.']).all(digits)
    };
    let lengths = words.windows(2).filter_map(|pair| {
        let (number, unit) = (bare(pair[0]), bare(pair[1]));
        let own = match unit.as_str() {
            "in" | "inch" | "inches" => Units::Inch,
            "mm" | "cm" => Units::Metric,
            _ => return None,
        };
        // "3 in each bag" is no length, and "3 in wide" cannot be told from it: with "in" only a fraction is surely one.
        let is_sure = own == Units::Metric || unit != "in" || number.contains(['/', '.']);
        (is_number(&number) && is_sure).then(|| (own, format!("{number} {unit}")))
    });
    let lengths: Vec<(Units, String)> = lengths.collect();
    if lengths.iter().any(|(own, _)| *own == units) {
        return None;
    }
    lengths.into_iter().next().map(|(_, length)| length)
}

/// Refuses a project in which, of two pieces drawn by hand that slide along each other, the larger one is no longer the larger.
fn keeps_outer_outside(
    before: &Project,
    after: Warned<Project>,
) -> Result<Warned<Project>, Vec<Diagnostic>> {
    let is_drawn = |a: &Assembly| before.parts.iter().all(|part| part.id != a.id);
    let pairs = before.assemblies.iter().zip(&after.value.assemblies);
    let slides = pairs.filter(|(a, _)| is_drawn(a)).flat_map(|(a, b)| {
        let joints = a.joints.iter().zip(&b.joints);
        joints.map(move |(old, new)| (a, old, b, new))
    });
    let turned: Vec<Diagnostic> = slides
        .filter(|(_, joint, _, _)| matches!(joint.kind, JointKind::Slide { .. }))
        .filter(|(a, old, b, new)| larger(before, a, old) != larger(&after.value, b, new))
        .map(|(_, _, b, new)| {
            let member = |surface: &Surface| b.members[surface.member].name.as_str();
            let (from, to) = (member(&new.from), member(&new.to));
            let message = format!(
                "rounded to these sizes, the smaller of \"{from}\" and \"{to}\" would be the larger"
            );
            Diagnostic::error("restate.outer", message)
                .at(&new.origin)
                .hint("take a finer --grid, or change one of their sizes by a step of the ruler")
        })
        .collect();
    if turned.is_empty() {
        Ok(after)
    } else {
        Err(turned)
    }
}

/// Which of the two panels of a joint is wider, and which is higher.
fn larger(project: &Project, assembly: &Assembly, joint: &Joint) -> Option<[Ordering; 2]> {
    let bounds = |surface: &Surface| {
        let piece = &project.pieces[assembly.members[surface.member].piece];
        let panel = piece.panels.iter().find(|p| p.name == surface.panel)?;
        Some(panel.bounds_mm)
    };
    let (from, to) = (bounds(&joint.from)?, bounds(&joint.to)?);
    Some([
        from.width().total_cmp(&to.width()),
        from.height().total_cmp(&to.height()),
    ])
}

/// Ways to round, those that take the better ones of all pieces first.
fn choices(ways: &Choice) -> Vec<Choice> {
    let axes: Vec<(&String, usize, usize)> = ways
        .iter()
        .flat_map(|(piece, counts)| [(piece, 0, counts[0]), (piece, 1, counts[1])])
        .collect();
    let mut found = Vec::new();
    for worse in 0.. {
        let before = found.len();
        spread(&axes, worse, &Choice::new(), &mut found);
        if found.len() == before || found.len() >= MOST_TRIALS {
            break;
        }
    }
    found.truncate(MOST_TRIALS);
    found
}

/// All choices whose numbers add up to `worse`.
fn spread(
    axes: &[(&String, usize, usize)],
    worse: usize,
    so_far: &Choice,
    found: &mut Vec<Choice>,
) {
    if found.len() >= MOST_TRIALS {
        return;
    }
    let Some(((piece, axis, count), rest)) = axes.split_first() else {
        if worse == 0 {
            found.push(so_far.clone());
        }
        return;
    };
    for number in 0..(*count).min(worse + 1) {
        let mut next = so_far.clone();
        next.entry((*piece).clone()).or_default()[*axis] = number;
        spread(rest, worse - number, &next, found);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_in_other_units_are_heard_in_words() {
        let heard = |text: &str| kept_length(text, Units::Metric);
        assert_eq!(
            heard("Stick its ends with 3/8 in of overlap."),
            Some("3/8 in".into())
        );
        assert_eq!(
            heard("Leave a gap (2.5 inches)."),
            Some("2.5 inches".into())
        );
        for other in [
            "Put 3 in each bag.",
            "Press for 20 seconds.",
            "Leave 3/8 in (10 mm).",
        ] {
            assert_eq!(heard(other), None, "{other}");
        }
        let inch = kept_length("If the card is thicker than 0.3 mm, ask.", Units::Inch);
        assert_eq!(inch, Some("0.3 mm".into()));
    }

    #[test]
    fn better_ways_of_all_pieces_are_tried_first_and_each_once() {
        let ways = Choice::from([("lid".to_owned(), [3, 1]), ("tray".to_owned(), [2, 1])]);
        let found = choices(&ways);
        // By hand: 3 x 1 x 2 x 1 ways, by sums 0, 1, 1, 2, 2, 3.
        let sums: Vec<usize> = found
            .iter()
            .map(|choice| choice.values().flatten().sum())
            .collect();
        assert_eq!(sums, [0, 1, 1, 2, 2, 3]);
        let each: std::collections::BTreeSet<_> = found.iter().collect();
        assert_eq!(each.len(), 6);
    }
}

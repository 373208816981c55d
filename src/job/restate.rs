//! A project in other units, proved to fold up with its new sizes.

use std::cmp::Ordering;
use std::iter::once;

use super::check;
use crate::diagnostic::{Diagnostic, Warned};
use crate::length::Length;
use crate::load::{self, Assets, Choice, NamedText, Restated, Target};
use crate::project::{Assembly, Joint, JointKind, Project, Surface};

/// Most projects that are tried: each is read and folded once, a few milliseconds.
const MOST_TRIALS: usize = 300;

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
/// then half the step; if none does, the best way's mistakes are returned. What went over another piece still does.
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
    let mut first = None;
    for target in [target, finer] {
        let restated =
            |choice: &Choice| load::restate(&project.text, &declared.value, target, choice);
        let best = restated(&Choice::new());
        let others = choices(&best.ways).into_iter().skip(1);
        let others: Vec<Choice> = others.collect();
        for restated in once(best).chain(others.iter().map(restated)) {
            let checked = check(new_name, &restated.text, assets, options)
                .and_then(|new| keeps_outer_outside(&declared.value, new));
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
    Ok(first.expect("the best way is tried first"))
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

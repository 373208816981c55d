//! What a job would take if something else were best.
//!
//! The other choices get a glance each, not a search: the numbers say what there is to gain, at the price of a small part of the time.

use super::draft::Drafts;
use super::place::{Best, Effort};
use super::search::{Search, Silent};
use super::{Choice, usage};

/// Returns the other choices, as far as they would gain what they are chosen for, compared with `drafts`; none after an interrupt.
pub(super) fn others(search: Search<'_>, drafts: &Drafts) -> Vec<Choice> {
    let own = taken(search, search.best, drafts);
    let others = Best::NAMES.iter().map(|(_, best)| *best);
    let others = others
        .filter(|best| *best != search.best)
        .filter_map(|best| {
            let found = Search {
                best,
                effort: Effort::Quick,
                watch: &Silent(search.watch),
                ..search
            }
            .drafts();
            let is_whole = !found.is_stopped && left_over(&found) <= left_over(drafts);
            let other = taken(search, best, &found);
            (is_whole && gains(&other, &own)).then_some(other)
        });
    others.collect()
}

fn taken(search: Search<'_>, best: Best, drafts: &Drafts) -> Choice {
    let sheets = drafts.sheets.iter().map(|d| (d.ground.stock, d.runs));
    Choice {
        best,
        sheets: sheets.clone().map(|(_, runs)| runs).sum(),
        layouts: layouts(search, drafts),
        costs: usage::costs(search.project, sheets),
    }
}

/// Sheets that differ in more than the paper they are cut from.
fn layouts(search: Search<'_>, drafts: &Drafts) -> u32 {
    let mut seen = Vec::new();
    for draft in &drafts.sheets {
        let kinds = &search.groups[draft.group].kinds;
        let places = draft.places.iter().map(|p| (kinds[p.kind].piece, p.pose));
        let laid = (draft.ground.size, places.collect::<Vec<_>>());
        if !seen.contains(&laid) {
            seen.push(laid);
        }
    }
    u32::try_from(seen.len()).expect("a job has fewer sheets than 2^32")
}

fn left_over(drafts: &Drafts) -> u32 {
    drafts.leftovers.iter().flatten().sum()
}

/// Whether a choice is better in its own way than the plan is. One kit a sheet is another way of working, so it is told wherever it
/// makes a difference.
fn gains(other: &Choice, own: &Choice) -> bool {
    match other.best {
        Best::FewestSheets => {
            let cost = |choice: &Choice| choice.costs.iter().map(|c| c.hundredths).sum::<u64>();
            (other.sheets, cost(other)) < (own.sheets, cost(own))
        }
        Best::FewestLayouts => other.layouts < own.layouts,
        Best::KitPerSheet => (other.sheets, other.layouts) != (own.sheets, own.layouts),
    }
}

//! Which edition each sheet of a plan is opened for.

use crate::plan::{JobPlan, Sheet, edition_of};
use crate::project::Project;

/// One physical sheet of a plan.
#[derive(Debug, Clone, Copy)]
pub(super) struct Opened<'a> {
    /// The sheet as it is laid out.
    pub(super) sheet: &'a Sheet,
    /// Number of the copy at each placement.
    pub(super) held: &'a [u32],
    /// The edition that it counts for: the first one that has a wanted piece on it, or a spare one where all are spare.
    pub(super) edition: usize,
}

/// Returns every physical sheet of a plan, in its order.
pub(super) fn opened<'a>(project: &Project, plan: &'a JobPlan) -> Vec<Opened<'a>> {
    let mut opened = Vec::new();
    for sheet in &plan.sheets {
        for held in sheet.prints.iter().flat_map(|run| &run.held) {
            opened.push(Opened {
                sheet,
                held,
                edition: opener(project, held),
            });
        }
    }
    opened
}

fn opener(project: &Project, held: &[u32]) -> usize {
    let copies = held.iter().filter_map(|copy| edition_of(project, *copy));
    let first = copies.min_by_key(|(edition, is_spare)| (*is_spare, *edition));
    first.map_or(0, |(edition, _)| edition)
}

/// Returns the stock that is sold: the one that `stock` is an offcut of, if it is one.
pub(super) fn sold(project: &Project, stock: usize) -> usize {
    let parent = |s: &usize| project.stocks[*s].offcut_of;
    // No chain of offcuts is longer than the list of stocks, even if it runs in a circle.
    let chain = std::iter::successors(Some(stock), parent).take(project.stocks.len());
    chain.last().unwrap_or(stock)
}

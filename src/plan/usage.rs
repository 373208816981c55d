//! What a plan takes, and what no plan can go below.

use kurbo::Size;

use super::demand::Group;
use super::draft::{Draft, Drafts, grounds};
use super::ground::{Ground, MarksWish};
use super::marks::CLEAR_MM;
use super::sheet::is_laid_alike;
use super::trimmer::{CutList, changes};
use super::{Choice, Effort, MarksCost, SearchEnd, Sheet, StockUsage, Trimming, Usage};
use crate::project::{CutBy, Price, Project};

/// Share of a square millimetre that sums of areas may be off by rounding.
const ROUNDING: f64 = 1e-9;

/// What the layouts of a job came to.
pub(super) struct Outcome<'a> {
    pub(super) drafts: &'a Drafts,
    /// The same job laid out without marks.
    pub(super) without_marks: Option<&'a Drafts>,
    pub(super) other_choices: Vec<Choice>,
    pub(super) effort: Effort,
}

/// Returns what `sheets`, made from the drafts of `outcome`, take.
pub(super) fn usage(
    project: &Project,
    groups: &[Group],
    sheets: &[Sheet],
    outcome: Outcome<'_>,
) -> Usage {
    let drafts = outcome.drafts;
    let without_marks = outcome.without_marks;
    let bounds: Vec<Bound> = (0..groups.len())
        .map(|index| Bound::new(project, groups, index, drafts))
        .collect();
    let runs = sheets.iter().map(|s| (s.stock, s.runs));
    Usage {
        best: project.job.best,
        effort: outcome.effort,
        sheets: count(sheets.iter().map(|s| s.runs)),
        lower_bound_sheets: count(bounds.iter().map(|b| b.sheets)),
        better_bound_sheets: count(bounds.iter().map(|b| b.better)),
        is_proven_fewest: is_proven_fewest(groups, drafts, &bounds),
        costs: costs(project, runs),
        area_used_percent: percent_used(project, &sheets.iter().collect::<Vec<_>>()),
        search: if drafts.is_stopped || without_marks.is_some_and(|d| d.is_stopped) {
            SearchEnd::Stopped
        } else {
            SearchEnd::Finished
        },
        by_stock: by_stock(project, groups, sheets, &bounds),
        marks_cost: without_marks.map(|other| marks_cost(sheets, other)),
        layouts: layouts(sheets),
        trimming: trimming(project, sheets),
        other_choices: outcome.other_choices,
    }
}

fn by_stock(
    project: &Project,
    groups: &[Group],
    sheets: &[Sheet],
    bounds: &[Bound],
) -> Vec<StockUsage> {
    let of_stock = |stock: usize| {
        let own: Vec<&Sheet> = sheets.iter().filter(|s| s.stock == stock).collect();
        let runs = count(own.iter().map(|s| s.runs));
        let of_groups = bounds.iter().zip(groups).filter(|(_, g)| g.stock == stock);
        let bounds = of_groups.map(|(b, _)| b);
        let price = project.stocks[stock].price.as_ref();
        (runs > 0).then(|| StockUsage {
            stock,
            sheets: runs,
            lower_bound_sheets: count(bounds.clone().map(|b| b.whole_sheets)),
            better_bound_sheets: count(bounds.map(|b| b.better)),
            area_used_percent: percent_used(project, &own),
            cost_hundredths: price.map(|p| p.hundredths * u64::from(runs)),
        })
    };
    (0..project.stocks.len()).filter_map(of_stock).collect()
}

/// Whether everything has its place on as many whole sheets as there must be.
fn is_proven_fewest(groups: &[Group], drafts: &Drafts, bounds: &[Bound]) -> bool {
    let whole = drafts
        .sheets
        .iter()
        .filter(|d| d.ground.stock == groups[d.group].stock);
    let whole = count(whole.map(|d| d.runs));
    let is_placed = drafts.leftovers.iter().flatten().all(|left| *left == 0);
    is_placed && whole <= count(bounds.iter().map(|b| b.better))
}

/// Returns the price of so many sheets of each stock, summed for each currency, in the order of their first use.
pub(super) fn costs(project: &Project, sheets: impl Iterator<Item = (usize, u32)>) -> Vec<Price> {
    let mut costs: Vec<Price> = Vec::new();
    for (stock, runs) in sheets {
        let Some(price) = &project.stocks[stock].price else {
            continue;
        };
        let hundredths = price.hundredths * u64::from(runs);
        match costs.iter_mut().find(|c| c.currency == price.currency) {
            Some(sum) => sum.hundredths += hundredths,
            None => costs.push(Price {
                hundredths,
                currency: price.currency.clone(),
            }),
        }
    }
    costs
}

fn count(parts: impl Iterator<Item = u32>) -> u32 {
    parts.sum()
}

/// Sheets that differ in more than the paper they are cut from.
fn layouts(sheets: &[Sheet]) -> u32 {
    let mut seen: Vec<&Sheet> = Vec::new();
    for sheet in sheets {
        if !seen.iter().any(|other| is_laid_alike(other, sheet)) {
            seen.push(sheet);
        }
    }
    u32::try_from(seen.len()).expect("a job has fewer sheets than 2^32")
}

fn trimming(project: &Project, sheets: &[Sheet]) -> Option<Trimming> {
    let lists = || sheets.iter().filter_map(|s| s.cut_list.as_ref());
    let is_trimmed = project.job.cut_by == CutBy::Trimmer && lists().next().is_some();
    is_trimmed.then(|| Trimming {
        fence_settings: changes(lists().flat_map(CutList::fences)),
        strokes: count(lists().map(CutList::strokes)),
    })
}

fn marks_cost(sheets: &[Sheet], without: &Drafts) -> MarksCost {
    let with = count(sheets.iter().map(|s| s.runs));
    let most = sheets.iter().map(|s| s.marks.len()).max().unwrap_or(0);
    MarksCost {
        area_mm2: most as f64 * CLEAR_MM * CLEAR_MM,
        // What fits with marks fits without them.
        sheets_without: count(without.sheets.iter().map(|d| d.runs)).min(with),
    }
}

fn percent_used(project: &Project, sheets: &[&Sheet]) -> f64 {
    let pieces = |s: &&Sheet| -> f64 {
        let areas = s
            .placements
            .iter()
            .map(|p| project.pieces[p.piece].outline.area_mm2());
        f64::from(s.runs) * areas.sum::<f64>()
    };
    let used: f64 = sheets.iter().map(pieces).sum();
    let opened: f64 = sheets
        .iter()
        .map(|s| f64::from(s.runs) * project.stocks[s.stock].area_mm2())
        .sum();
    if opened > 0.0 {
        100.0 * used / opened
    } else {
        0.0
    }
}

/// Sheets that the pieces of a group that are wanted and placed cannot do without.
struct Bound {
    /// Of the stock itself, after all offcuts on hand, from areas alone.
    whole_sheets: u32,
    /// Offcuts included, from areas alone.
    sheets: u32,
    /// Of the stock itself, after all offcuts, with more thought.
    better: u32,
}

impl Bound {
    fn new(project: &Project, groups: &[Group], index: usize, drafts: &Drafts) -> Self {
        let group = &groups[index];
        let own = drafts.sheets.iter().filter(|d| d.group == index);
        let area = |d: &Draft| -> f64 {
            let pieces = d
                .places
                .iter()
                .map(|p| &project.pieces[group.kinds[p.kind].piece]);
            f64::from(d.runs) * pieces.map(|p| p.outline.area_mm2()).sum::<f64>()
        };
        let spares = group.kinds.iter().zip(&drafts.spares[index]);
        let spares =
            spares.map(|(k, n)| f64::from(*n) * project.pieces[k.piece].outline.area_mm2());
        let area_mm2: f64 = own.map(area).sum::<f64>() - spares.sum::<f64>();
        let grounds = grounds(project, group, MarksWish::LeftOut);
        let (whole, offcuts) = grounds
            .split_last()
            .expect("a group has its stock's own sheet");
        let on_offcuts = |ground: &Ground| match project.stocks[ground.stock].on_hand {
            Some(sheets) => f64::from(sheets) * size_mm2(ground),
            None => f64::INFINITY,
        };
        let rest_mm2 = area_mm2 - offcuts.iter().map(on_offcuts).sum::<f64>();
        let largest_mm2 = grounds.iter().map(size_mm2).fold(0.0, f64::max);
        let whole_sheets = sheets_for(rest_mm2, size_mm2(whole));
        Self {
            whole_sheets,
            sheets: whole_sheets.max(sheets_for(area_mm2, largest_mm2)),
            better: whole_sheets.max(drafts.bounds[index]),
        }
    }
}

/// What of a sheet could be covered by outlines if marks and caption took nothing.
fn size_mm2(ground: &Ground) -> f64 {
    let usable: Size = ground.usable.size();
    usable.area()
}

fn sheets_for(area_mm2: f64, sheet_mm2: f64) -> u32 {
    let mut sheets = 0;
    while sheet_mm2 > 0.0 && f64::from(sheets) * sheet_mm2 < area_mm2 * (1.0 - ROUNDING) {
        sheets += 1;
    }
    sheets
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bound_is_rounded_up_but_not_past_a_full_sheet() {
        // 24 tags of 2 x 3 1/2 in are 168 in²: two sheets of 93.5 in² (Letter) at least; 187 in² are just two.
        assert_eq!(sheets_for(168.0, 93.5), 2);
        assert_eq!(sheets_for(187.0, 93.5), 2);
        assert_eq!(sheets_for(187.1, 93.5), 3);
        assert_eq!((sheets_for(0.0, 93.5), sheets_for(5.0, 0.0)), (0, 0));
    }
}

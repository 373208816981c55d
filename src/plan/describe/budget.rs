//! How well print and cut meet, in the words of `plan.json`.

use super::super::file::{BudgetEntry, MisfitEntry, ShareEntry};
use super::super::{Budget, CutWay, Misfit, Source};

pub(super) fn entry(budget: &Budget) -> BudgetEntry {
    BudgetEntry {
        ways: budget.ways.iter().map(|way| misfit(budget, way)).collect(),
        bleed_mm: budget.bleed.map(|(bleed, _)| bleed.to_mm()),
        gap_mm: budget.gap.map(|(gap, _)| gap.to_mm()),
        least_gap_mm: budget.gap.map(|(_, least_mm)| least_mm),
        reveal_mm: budget.reveal.map(|(reveal, _, _)| reveal.to_mm()),
        least_reveal_mm: budget.reveal.map(|(_, _, least_mm)| least_mm),
    }
}

fn misfit(budget: &Budget, misfit: &Misfit) -> MisfitEntry {
    let covers = |bleed_mm: f64| bleed_mm >= misfit.within_mm;
    MisfitEntry {
        way: match misfit.way {
            CutWay::FromCorner => "from-corner",
            CutWay::ByMarks => "by-marks",
            CutWay::ByHand => "by-hand",
        }
        .to_owned(),
        within_mm: misfit.within_mm,
        is_covered: budget.bleed.is_none_or(|(bleed, _)| covers(bleed.to_mm())),
        shares: misfit
            .shares
            .iter()
            .map(|share| ShareEntry {
                of: match share.of {
                    Source::Printer => "printer",
                    Source::Loading => "loading",
                    Source::Marks => "marks",
                    Source::Cutter => "cutter",
                    Source::Trimmer => "trimmer",
                }
                .to_owned(),
                within_mm: share.within_mm,
                is_assumed: share.is_assumed,
            })
            .collect(),
    }
}

//! A cut list in the words of `plan.json`: one entry for each part that is cut in two.

use super::{Caution, Cut, CutList, EdgeKind, Guide, Holds, Split};
use crate::plan::file::TrimmerCutEntry;
use crate::project::Axis;

/// Returns the entries in the order of the cuts; those made on one pile have the same step.
pub(in crate::plan) fn entries(list: &CutList) -> Vec<TrimmerCutEntry> {
    let splits = list
        .cuts
        .iter()
        .flat_map(|cut| cut.splits.iter().map(move |split| (cut, split)));
    splits
        .map(|(cut, split)| entry(list, cut, *split))
        .collect()
}

fn entry(list: &CutList, cut: &Cut, split: Split) -> TrimmerCutEntry {
    let name = |part: usize| list.parts[part].name.clone();
    let (by, fence, ticks) = match &cut.guide {
        Guide::Fence { width, from } => ("fence", Some((width, *from)), Vec::new()),
        Guide::Ticks(ids) => ("tick", None, ids.clone()),
        Guide::Print => ("print", None, Vec::new()),
    };
    let is_loose = |part: &usize| list.parts[*part].holds != Holds::More;
    TrimmerCutEntry {
        step: cut.number,
        axis: match cut.axis {
            Axis::X => "x",
            Axis::Y => "y",
        }
        .to_owned(),
        at_mm: split.at_mm,
        by: by.to_owned(),
        of: name(split.part),
        leaves: split.leaves.map(name),
        falls_off: split
            .leaves
            .into_iter()
            .filter(is_loose)
            .map(name)
            .collect(),
        fence_mm: fence.map(|(width, _)| width.to_mm()),
        from_edge: fence.map(|(_, from)| from.name().to_owned()),
        edge: split.edge.map(|edge| match edge {
            EdgeKind::Paper => "paper".to_owned(),
            EdgeKind::Fresh => "fresh".to_owned(),
        }),
        ticks,
        length_mm: cut.length_mm,
        together: cut.together,
        times: cut.times,
        cautions: cut
            .cautions
            .iter()
            .map(|c| caution_name(c).to_owned())
            .collect(),
    }
}

const fn caution_name(caution: &Caution) -> &'static str {
    match caution {
        Caution::HeldNarrow => "held-narrow",
        Caution::BeyondReach => "beyond-reach",
        Caution::OffScale { .. } => "off-scale",
    }
}

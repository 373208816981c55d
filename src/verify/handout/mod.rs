//! Compares `instructions.pdf` and `kit.pdf` with what the plan says lies on the table.
//!
//! `pages` checks what every page must have and gives its words line by line, `text` puts them together to sections and rows, and `facts`
//! asks whether rows say what they must, in order, however the sentence around it runs. `cut_list`, `scores` and `work` ask for what is
//! written of pieces and of the order of work, `figure` measures each piece's drawing at its stated scale, `rule` the check rule, and
//! `shopping` and `labels` read `kit.pdf`.
//!
//! Not read are title, papers to have at hand, hatchings and names of panels, pictures of finished objects, and the sentences of cautions.

mod cut_list;
mod facts;
mod figure;
mod labels;
mod pages;
mod rule;
mod scores;
mod shopping;
mod text;
mod work;

use super::pieces::planned;
use super::plan::PlannedSheet;
use super::verdict::{FileVerdict, Finding, Tally};
use crate::plan::file::{HandoutEntry, PlanFile};
use text::{HEADING_MM, Line, Section, split};

/// The file for one pupil.
pub(super) const INSTRUCTIONS: &str = "instructions.pdf";
/// The file for the whole class.
pub(super) const KIT: &str = "kit.pdf";

/// Whether the plan is for more than one copy or asks for more than paper, which takes a list.
pub(super) fn has_kit(plan: &PlanFile) -> bool {
    let needs_things = |handout: &HandoutEntry| {
        let mut lists = handout.shopping.iter();
        lists.any(|list| !list.supplies.is_empty())
    };
    plan.handout
        .as_ref()
        .is_some_and(|handout| plan.copies > 1 || needs_things(handout))
}

/// Compares the pages for one pupil.
pub(super) fn instructions(
    bytes: &[u8],
    handout: &HandoutEntry,
    sheets: &[PlannedSheet<'_>],
) -> FileVerdict {
    let mut tally = Tally::new(INSTRUCTIONS);
    if let Some((found, lines)) = pages::read(&mut tally, bytes) {
        let sections = split(&lines, HEADING_MM);
        let scales = cut_list::check(&mut tally, handout, &sections);
        let pieces = planned(sheets);
        for (entry, scale) in handout.pieces.iter().zip(scales) {
            let mut laid = pieces.iter();
            let laid = laid.find(|piece| piece.id == entry.piece);
            figure::check(&mut tally, &found, entry, laid, scale);
        }
        figure::check_extra(&mut tally, &found, handout);
        scores::check(&mut tally, handout, &sections);
        work::check(&mut tally, handout, &sections);
        rule::check(&mut tally, &found);
    }
    tally.finish()
}

/// Compares the pages for the whole class.
pub(super) fn kit(bytes: &[u8], handout: &HandoutEntry) -> FileVerdict {
    let mut tally = Tally::new(KIT);
    if let Some((_, lines)) = pages::read(&mut tally, bytes) {
        let sections = split(&lines, HEADING_MM);
        shopping::check(&mut tally, handout, &sections);
        labels::check(&mut tally, handout, &sections);
    }
    tally.finish()
}

/// The lines below a heading that begins so; a section that is missing is noted if something of it is planned.
fn section<'l>(
    tally: &mut Tally,
    sections: &'l [Section<'l>],
    title: &str,
    is_planned: bool,
) -> &'l [&'l Line] {
    let found = sections.iter().find(|part| part.title.starts_with(title));
    tally.count();
    if found.is_none() && is_planned {
        let message = format!("nothing stands under the heading {title:?}");
        tally.add(Finding::new("verify.missing", message));
    }
    found.map_or(&[], |part| part.lines.as_slice())
}

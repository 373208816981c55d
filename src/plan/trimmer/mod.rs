//! How a sheet is cut by hand: from edge to edge, by a fence that is set as seldom as possible.
//!
//! `set_up` turns every finished sheet of a trimmer's job into a [`CutList`], whatever engine laid it out. Read `cut_list` for what
//! comes out. On the way, `cutout` says which boxes are to come out of a sheet, `part` where a part of the sheet can be cut at all,
//! `offer` with which setting of the fence, `register` how the first cuts are brought into line with a print, `search` which
//! setting comes next, and `number` writes it down;
//! `entry` spells it for `plan.json`. `scale` keeps distances on the divisions of the fence, and `warning` tells what a
//! maker should know before.
//!
//! # Words
//!
//! A trimmer holds a part between its *fence* and its blade, so the distance of the fence is the width of what is held. An edge of
//! the *paper* is one it was bought with; an edge is *fresh* once it has been cut. A *pile* is made of equal parts of one sheet, a
//! *stack* of the same part of several equal sheets; both are cut in one stroke.

mod cut_list;
mod cutout;
mod entry;
mod number;
mod offer;
mod part;
mod register;
mod scale;
mod search;
mod warning;

pub(super) use cut_list::changes;
pub use cut_list::{Caution, Cut, CutList, EdgeKind, Guide, Holds, Part, Split};
pub(super) use cutout::is_cut_to_size;
pub(super) use entry::entries;
pub(super) use scale::on_division;
pub(super) use warning::warnings;

use super::Sheet;
use crate::project::{CutBy, Project};
use cutout::cutouts;
use offer::Workshop;
use part::Loose;

/// Completes the sheets of a trimmer's job with their cut lists; sheets that do not come apart stay without, and so do those that are
/// printed all over.
///
/// The fence stays where the sheet before left it, if that saves a setting.
pub(super) fn set_up(project: &Project, sheets: &mut [Sheet]) {
    if project.job.cut_by == CutBy::Machine {
        return;
    }
    let mut fence_nm = None;
    for sheet in sheets.iter_mut().filter(|sheet| !sheet.is_filled(project)) {
        let list = cut_list(project, sheet, fence_nm);
        fence_nm = list
            .as_ref()
            .and_then(CutList::last_fence)
            .map(|width| width.nm())
            .or(fence_nm);
        sheet.cut_list = list;
    }
}

/// Returns how a sheet is cut when the fence stands at `fence_nm`; `None` if it does not come apart by cuts from edge to edge.
fn cut_list(project: &Project, sheet: &Sheet, fence_nm: Option<i64>) -> Option<CutList> {
    let cutouts = cutouts(project, sheet);
    let workshop = Workshop::new(project, sheet);
    let whole = Loose::whole(sheet, &cutouts);
    let first = register::first_cuts(&workshop, sheet, &cutouts, whole);
    let cuts = search::search(&workshop, &cutouts, first, fence_nm)?;
    Some(number::number(&workshop, sheet, &cutouts, &cuts))
}

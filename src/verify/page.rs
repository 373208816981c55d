//! What is checked on every page of a PDF, whatever it is for.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use kurbo::{BezPath, Rect};

use super::compare::{point, size};
use super::pdf::found::{Loose, PageFound, Paint, PdfFound, Tagged};
use super::pdf::read_pdf;
use super::trace::{bounds, box_distance};
use super::verdict::{Finding, Tally};
use crate::math::VERIFY_MM;

/// Letter and A4.
const FORMATS_MM: [(f64, f64); 2] = [(215.9, 279.4), (210.0, 297.0)];
/// 7 3/4 x 10 1/2 in: what both formats have inside their margins.
pub(super) const INSIDE_MM: (f64, f64) = (196.85, 266.7);

/// Reads a PDF and notes what concerns the whole file.
pub(super) fn open(tally: &mut Tally, bytes: &[u8], planned_pages: u32) -> Option<PdfFound> {
    let found = match read_pdf(bytes) {
        Ok(found) => found,
        Err(error) => {
            tally.add(Finding::new(
                "verify.unreadable",
                format!("the file {error}"),
            ));
            return None;
        }
    };
    for problem in &found.problems {
        tally.add(Finding::new(
            "verify.content",
            format!("the file {problem}"),
        ));
    }
    let pages = |count: String| format!("{count} pages");
    tally.count();
    if u32::try_from(found.pages.len()) != Ok(planned_pages) {
        let (planned, found) = (
            pages(planned_pages.to_string()),
            pages(found.pages.len().to_string()),
        );
        tally.add(Finding::numbers(
            "verify.pages",
            "the file's length",
            planned,
            found,
        ));
    }
    Some(found)
}

/// A page being checked: what has been asked for, so that the rest is known to be too much.
#[derive(Debug)]
pub(super) struct PageCheck<'f> {
    page: &'f PageFound,
    by_id: BTreeMap<(&'f str, &'f str), Vec<&'f Tagged>>,
    asked: BTreeSet<(String, String)>,
}

impl<'f> PageCheck<'f> {
    /// Starts with page `number` of `found` and checks its boxes; `None` if there is no such page, which is noted.
    pub(super) fn start(
        tally: &mut Tally,
        found: &'f PdfFound,
        number: u32,
        paper: Rect,
    ) -> Option<Self> {
        tally.on_page(number);
        let position = usize::try_from(number)
            .ok()
            .and_then(|number| number.checked_sub(1));
        let Some(page) = position.and_then(|position| found.pages.get(position)) else {
            tally.add(Finding::new(
                "verify.missing",
                format!("page {number} is missing"),
            ));
            return None;
        };
        for problem in &page.problems {
            tally.add(Finding::new(
                "verify.content",
                format!("the page {problem}"),
            ));
        }
        check_boxes(tally, page, paper);
        let mut by_id: BTreeMap<_, Vec<_>> = BTreeMap::new();
        for tagged in &page.tagged {
            by_id
                .entry((tagged.kind.as_str(), tagged.id.as_str()))
                .or_default()
                .push(tagged);
        }
        Some(Self {
            page,
            by_id,
            asked: BTreeSet::new(),
        })
    }

    /// What the page holds for an id, first painted first, and notes that it was asked for.
    pub(super) fn take(&mut self, kind: &str, id: &str) -> Vec<&'f Tagged> {
        self.asked.insert((kind.to_owned(), id.to_owned()));
        self.by_id.get(&(kind, id)).cloned().unwrap_or_default()
    }

    /// The single drawing of an id; more than one is noted.
    pub(super) fn take_one(
        &mut self,
        tally: &mut Tally,
        kind: &str,
        id: &str,
    ) -> Option<&'f Tagged> {
        let found = self.take(kind, id);
        if found.len() > 1 {
            let message = format!("{kind} {id} stands on the page {} times", found.len());
            tally.add(Finding::new("verify.extra", message).about(id));
        }
        found.first().copied()
    }

    /// Everything untagged.
    pub(super) fn loose(&self) -> &'f [Loose] {
        &self.page.loose
    }

    /// Notes what nobody asked for; untagged drawings may stand on `free_layers`.
    pub(super) fn finish(self, tally: &mut Tally, free_layers: &[&str]) {
        for ((kind, id), tagged) in &self.by_id {
            if !self.asked.contains(&((*kind).to_owned(), (*id).to_owned())) {
                let at = tagged[0].ink_box().unwrap_or_default().origin();
                let what = format!("{kind} {id} is not planned here, top left corner");
                tally.add(Finding::numbers("verify.extra", &what, "nothing", point(at)).about(id));
            }
        }
        for loose in &self.page.loose {
            let layer = loose.layer.as_deref().unwrap_or("none");
            if !free_layers.contains(&layer) {
                let at = loose.what.ink_box().unwrap_or_default().origin();
                let what =
                    format!("a drawing on layer {layer} that stands for nothing, top left corner");
                tally.add(Finding::numbers(
                    "verify.extra",
                    &what,
                    "nothing",
                    point(at),
                ));
            }
        }
    }
}

fn check_boxes(tally: &mut Tally, page: &PageFound, paper: Rect) {
    for (name, found) in &page.boxes {
        let off_mm = box_distance(paper, *found);
        if !tally.measure(off_mm) {
            let spell =
                |b: Rect| format!("{} at {}", size(b.width(), b.height()), point(b.origin()));
            let finding = Finding::numbers("verify.page-box", name, spell(paper), spell(*found));
            tally.add(finding.off_by(off_mm));
        }
    }
}

/// Checks that a drawing stands on its layer.
pub(super) fn check_layer(tally: &mut Tally, tagged: &Tagged, planned: &str) {
    tally.count();
    let found = tagged.layer.as_deref().unwrap_or("none");
    if found != planned {
        let what = format!("layer of {} {}", tagged.kind, tagged.id);
        tally.add(Finding::numbers("verify.layer", &what, planned, found).about(&tagged.id));
    }
}

/// Checks that no clip cuts into a drawing.
pub(super) fn check_whole(tally: &mut Tally, tagged: &Tagged) {
    let is_cut = tagged.items.iter().any(|item| {
        let ink = item.what.ink_box().unwrap_or_default();
        item.clips
            .iter()
            .any(|clip| !super::clip::is_around(clip, ink))
    });
    tally.count();
    if is_cut {
        let message = format!(
            "{} {} is seen through a clip that cuts into it",
            tagged.kind, tagged.id
        );
        tally.add(Finding::new("verify.content", message).about(&tagged.id));
    }
}

/// The format that a page's width comes nearest to.
pub(super) fn format_of(page: &PageFound) -> (f64, f64) {
    let width_mm = page.boxes.first().map_or(0.0, |(_, b)| b.width());
    let off = |format: &(f64, f64)| (format.0 - width_mm).abs();
    let [letter, a4] = FORMATS_MM;
    if off(&letter) <= off(&a4) { letter } else { a4 }
}

/// The box of what is painted, as far as its clips let it be seen; `None` if nothing is.
pub(super) fn seen(what: &Paint, clips: &[Rc<BezPath>]) -> Option<Rect> {
    let mut ink = what.ink_box()?;
    for clip in clips {
        let window = bounds(clip)?;
        let shared = ink.intersect(window);
        if ink.area() > 0.0 && shared.area() <= 0.0 {
            return None;
        }
        ink = shared;
    }
    Some(ink)
}

/// Counts one thing that is seen, and returns what is wrong with it where it reaches out of `room`, in millimetres on the page.
pub(super) fn reaching_out(
    tally: &mut Tally,
    name: &str,
    ink: Rect,
    room: Rect,
) -> Option<Finding> {
    let over = [
        room.x0 - ink.x0,
        room.y0 - ink.y0,
        ink.x1 - room.x1,
        ink.y1 - room.y1,
    ];
    let over_mm = over.into_iter().fold(0.0, f64::max);
    tally.count();
    let spell = |b: Rect| format!("{} at {}", size(b.width(), b.height()), point(b.origin()));
    let what = format!("{name} leaves what letter and A4 both print");
    let finding = || Finding::numbers("verify.moved", &what, spell(room), spell(ink));
    (over_mm > VERIFY_MM).then(|| finding().off_by(over_mm))
}

//! Where a page comes out on the sheet, by the printer's profile as the plan states it.
//!
//! The plan says which map each page makes up for; here the profile's map is worked out again from the profile alone, and what was
//! found on the page is moved by it. What is then compared with the plan is what will lie on the paper.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use kurbo::{Affine, BezPath, Point, Size};

use super::compare::point;
use super::pdf::found::{PageFound, Paint, PdfFound};
use super::plan::PlannedSheet;
use super::trace::between;
use super::verdict::{Finding, Tally};
use crate::plan::file::{CalibrationEntry, FaceEntry, PrinterEntry};

/// Sheets whose sides differ by less are of one format.
const SAME_FORMAT_MM: f64 = 0.5;

/// The faces of a sheet, by the plan's words.
const FACES: [&str; 2] = ["front", "back"];

fn face_entry<'p>(sheet: &PlannedSheet<'p>, face: &str) -> Option<&'p FaceEntry> {
    if face == "front" {
        sheet.entry.front.as_ref()
    } else {
        sheet.entry.back.as_ref()
    }
}

/// The map from the sheet to its page as seen from `face`, nothing made up for: the front is seen as it lies, the back mirrored
/// about either middle line, whichever is nearer to what the plan states.
pub(super) fn turned(sheet: &PlannedSheet<'_>, face: &str, stated: [f64; 6]) -> Affine {
    let size = sheet.paper().size();
    if face == "front" {
        return Affine::IDENTITY;
    }
    if stated[0] < stated[3] {
        Affine::new([-1.0, 0.0, 0.0, 1.0, size.width, 0.0])
    } else {
        Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, size.height])
    }
}

/// Where the profile says that a point of the page comes out on a sheet of this size, both seen from the front; `None` where it says
/// nothing.
fn profiled(calibration: &CalibrationEntry, size: Size, face: &str) -> Option<[f64; 6]> {
    let [width, height] = calibration.page_mm;
    let lies_otherwise = (width > height && size.width < size.height)
        || (width < height && size.width > size.height);
    if lies_otherwise {
        return None;
    }
    let map = if face == "front" {
        Some(&calibration.front)
    } else {
        calibration.back.as_ref()
    };
    let [a, b, c, d, e, f] = map?.sheet_from_page;
    let (dx, dy) = (size.width - width, size.height - height);
    if dx.abs() < SAME_FORMAT_MM && dy.abs() < SAME_FORMAT_MM {
        return Some([a, b, c, d, e, f]);
    }
    // The middle is shifted by as much on any format: with h half the difference of the sizes, x' = M (x - h) + b + h.
    let (hx, hy) = (dx / 2.0, dy / 2.0);
    Some([
        a,
        b,
        c,
        d,
        e + hx - a * hx - c * hy,
        f + hy - b * hx - d * hy,
    ])
}

fn at([a, b, c, d, e, f]: [f64; 6], p: Point) -> Point {
    Point::new(a * p.x + c * p.y + e, b * p.x + d * p.y + f)
}

/// Checks that each page's map undoes what the profile says of it, and that the stated way back is the same.
pub(super) fn check_plan(
    tally: &mut Tally,
    printer: Option<&PrinterEntry>,
    sheets: &[PlannedSheet<'_>],
) {
    for sheet in sheets {
        for face in FACES {
            if let Some(entry) = face_entry(sheet, face) {
                check_face(tally, printer, sheet, face, entry);
            }
        }
    }
}

fn check_face(
    tally: &mut Tally,
    printer: Option<&PrinterEntry>,
    sheet: &PlannedSheet<'_>,
    face: &str,
    entry: &FaceEntry,
) {
    let paper = sheet.paper();
    let turned = turned(sheet, face, entry.page_from_sheet);
    let profile = printer.and_then(|printer| profiled(&printer.calibration, paper.size(), face));
    let known = profile.unwrap_or([1.0, 0.0, 0.0, 1.0, 0.0, 0.0]);
    let corners = [
        paper.origin(),
        Point::new(paper.x1, paper.y0),
        Point::new(paper.x1, paper.y1),
        Point::new(paper.x0, paper.y1),
    ];
    let name = format!("the {face} of sheet {}", sheet.number);
    // A corner of the page, seen from the front, comes out where the profile says, and from there the plan leads back to it.
    let back = |corner: Point| at(entry.page_from_sheet, at(known, corner));
    let what = format!(
        "the map of {name} to its page does not undo what the profile says, corner of the page"
    );
    compare(tally, &what, corners.map(|c| (turned * c, back(c))));
    match (profile, entry.sheet_from_page) {
        (Some(_), Some(stated)) => {
            let what = format!(
                "`sheet_from_page` of {name} is not what the profile says, corner of the page"
            );
            compare(
                tally,
                &what,
                corners.map(|c| (at(known, turned * c), at(stated, c))),
            );
        }
        (None, None) => {}
        (Some(_), None) | (None, Some(_)) => {
            let is = |made: bool| {
                if made {
                    "made up for"
                } else {
                    "not made up for"
                }
            };
            let what = format!("what the profile says of {name}");
            let (planned, found) = (is(profile.is_some()), is(entry.sheet_from_page.is_some()));
            tally.add(Finding::numbers("verify.plan", &what, planned, found));
        }
    }
}

fn compare(tally: &mut Tally, what: &str, corners: [(Point, Point); 4]) {
    let off_mm = |pair: &(Point, Point)| between(pair.0, pair.1);
    let worst = corners
        .into_iter()
        .max_by(|a, b| off_mm(a).total_cmp(&off_mm(b)))
        .unwrap_or_default();
    if !tally.measure(off_mm(&worst)) {
        let finding = Finding::numbers("verify.plan", what, point(worst.0), point(worst.1));
        tally.add(finding.off_by(off_mm(&worst)));
    }
}

/// Moves what was found on each page to where the profile says that it comes out, still seen from the printed face, and returns the
/// numbers of the pages of which it says anything.
pub(super) fn print(
    found: &mut PdfFound,
    printer: Option<&PrinterEntry>,
    sheets: &[PlannedSheet<'_>],
) -> BTreeSet<u32> {
    let mut done: BTreeSet<u32> = BTreeSet::new();
    let Some(printer) = printer else { return done };
    for sheet in sheets {
        for run in &sheet.entry.prints {
            for (face, number) in FACES.into_iter().zip([run.front, run.back]) {
                let (Some(number), Some(entry)) = (number, face_entry(sheet, face)) else {
                    continue;
                };
                let size = sheet.paper().size();
                let Some(map) = profiled(&printer.calibration, size, face) else {
                    continue;
                };
                let turned = turned(sheet, face, entry.page_from_sheet);
                let position = usize::try_from(number).unwrap_or(0).wrapping_sub(1);
                if let Some(page) = found.pages.get_mut(position)
                    && done.insert(number)
                {
                    // Both mirrors are their own inverse.
                    page.moved(turned * Affine::new(map) * turned);
                }
            }
        }
    }
    done
}

impl PageFound {
    fn moved(&mut self, map: Affine) {
        // Drawings that share a clip go on sharing it; the old ones are kept so that no new one takes the place of their name.
        let mut clips: BTreeMap<*const BezPath, [Rc<BezPath>; 2]> = BTreeMap::new();
        let tagged = self.tagged.iter_mut().flat_map(|tagged| &mut tagged.items);
        let tagged = tagged.map(|item| (&mut item.what, &mut item.clips));
        let loose = self.loose.iter_mut();
        let loose = loose.map(|loose| (&mut loose.what, &mut loose.clips));
        for (what, own) in tagged.chain(loose) {
            what.moved(map);
            for clip in own {
                let old = Rc::clone(clip);
                let pair = clips.entry(Rc::as_ptr(clip)).or_insert_with(|| {
                    let new = Rc::new(map * old.as_ref());
                    [old, new]
                });
                *clip = Rc::clone(&pair[1]);
            }
        }
    }
}

impl Paint {
    fn moved(&mut self, map: Affine) {
        match self {
            Self::Fill { path, .. } => path.apply_affine(map),
            Self::Stroke { path, width_mm, .. } => {
                path.apply_affine(map);
                *width_mm *= map.determinant().abs().sqrt();
            }
            Self::Picture {
                page_from_picture, ..
            } => *page_from_picture = map * *page_from_picture,
            Self::Text(words) => {
                let linear = map.with_translation(kurbo::Vec2::ZERO);
                let turned = |v: kurbo::Vec2| (linear * v.to_point()).to_vec2();
                words.at = map * words.at;
                (words.along, words.up) = (turned(words.along), turned(words.up));
            }
            Self::Shading => {}
        }
    }
}

//! What the measured errors of printer and cutter change: the maps that make up for them, and what of a sheet they reach then.
//!
//! A printer's map takes a point of the page to where it comes out on the sheet, so the page is drawn through its inverse. The
//! hardware clips on the page: on the sheet that is a slanted rectangle, of which the upright one by its inner corners is used, cut
//! with the same bands at the sheet's own edges. A cutter is treated alike. Nothing here makes room for what the measurement itself
//! may be wrong.

use kurbo::{Affine, Point, Rect, Size};

use super::face_map::{edges_in_sheet, face_from_sheet};
use super::place::nm_above;
use super::{PrintedFace, Sheet};
use crate::length::Length;
use crate::project::{Edges, Face, PrintMap, Project};

/// Sheets whose sides differ by less are of one format: makers round 215.9 mm to 216 mm.
const SAME_FORMAT_MM: f64 = 0.5;

/// What is known of where a printer puts one face on sheets of one size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Known {
    /// Nothing: no profile, or one without a calibration.
    Nothing,
    /// It was measured on this format.
    Measured(PrintMap),
    /// It was measured on another format that lies the same way, and is taken over from it.
    OtherFormat(PrintMap),
    /// It was measured on a format that lies the other way.
    OtherWay,
    /// The back was not measured.
    OtherFace,
}

impl Known {
    /// The map that is made up for, if any.
    pub(super) fn map(self) -> Option<PrintMap> {
        match self {
            Self::Measured(map) | Self::OtherFormat(map) => Some(map),
            Self::Nothing | Self::OtherWay | Self::OtherFace => None,
        }
    }
}

/// Returns what is known of a face on sheets of this size.
pub(super) fn known(project: &Project, sheet: Size, face: Face) -> Known {
    let Some(calibration) = &project.printer.calibration else {
        return Known::Nothing;
    };
    let page = calibration.page;
    // A square lies neither way.
    if (page.width - page.height) * (sheet.width - sheet.height) < 0.0 {
        return Known::OtherWay;
    }
    let map = match face {
        Face::Front => Some(calibration.front),
        Face::Back => calibration.back,
    };
    let off_mm = |a: f64, b: f64| (a - b).abs();
    let is_same =
        off_mm(page.width, sheet.width).max(off_mm(page.height, sheet.height)) < SAME_FORMAT_MM;
    match map {
        None => Known::OtherFace,
        Some(map) if is_same => Known::Measured(map),
        Some(map) => Known::OtherFormat(map.for_page(page, sheet)),
    }
}

/// Returns the maps of a printed face to its page.
pub(super) fn printed_face(project: &Project, sheet: Size, face: Face) -> PrintedFace {
    let turned = face_from_sheet(face, sheet, project.job.turn_over);
    match known(project, sheet, face).map() {
        None => PrintedFace {
            page_from_sheet: turned,
            page_from_face: Affine::IDENTITY,
            sheet_from_page: None,
        },
        Some(map) => {
            let page_from_sheet = turned * map.sheet_from_page.inverse();
            PrintedFace {
                page_from_sheet,
                page_from_face: page_from_sheet * turned,
                sheet_from_page: Some(map.sheet_from_page * turned),
            }
        }
    }
}

/// Returns the map from the sheet frame to the frame of a cut file with `face_up`.
pub(super) fn cut_from_sheet(project: &Project, sheet: Size, face_up: Face) -> Affine {
    let turned = face_from_sheet(face_up, sheet, project.job.turn_over);
    match &project.cutter.calibration {
        None => turned,
        Some(calibration) => calibration.cut_from_file.inverse() * turned,
    }
}

/// Returns the widths of the bands of a sheet that stay without print on `face`, in the sheet frame.
pub(super) fn unprintable(project: &Project, sheet: Size, face: Face) -> Edges<Length> {
    let bands = edges_in_sheet(project.printer.margins, face, project.job.turn_over);
    match known(project, sheet, face).map() {
        None => bands,
        Some(map) => moved(bands, sheet, map.sheet_from_page),
    }
}

/// Returns the widths of the bands of a sheet that a blade does not reach with `face_up`, in the sheet frame.
pub(super) fn out_of_reach(project: &Project, sheet: Size, face_up: Face) -> Edges<Length> {
    with_cutter(project, sheet, face_up, project.cutter.unreachable)
}

/// Returns the widths of the bands of a sheet that a cut file of its size cannot show, in the sheet frame: none but where a measured
/// error is made up for.
pub(super) fn beyond_file(project: &Project, sheet: Size, face_up: Face) -> Edges<Length> {
    with_cutter(project, sheet, face_up, Edges::all(Length::ZERO))
}

fn with_cutter(
    project: &Project,
    sheet: Size,
    face_up: Face,
    bands: Edges<Length>,
) -> Edges<Length> {
    let seen = match &project.cutter.calibration {
        None => bands,
        Some(calibration) => moved(bands, sheet, calibration.cut_from_file),
    };
    edges_in_sheet(seen, face_up, project.job.turn_over)
}

/// Returns what of a face the printer reaches, in the sheet frame.
pub(super) fn printable(project: &Project, sheet: &Sheet, face: Face) -> Rect {
    let size = Size::new(sheet.width_mm, sheet.height_mm);
    inside(size, unprintable(project, size, face))
}

/// Returns the sheet without these bands.
pub(super) fn inside(sheet: Size, bands: Edges<Length>) -> Rect {
    Rect::new(
        bands.left.to_mm(),
        bands.top.to_mm(),
        sheet.width - bands.right.to_mm(),
        sheet.height - bands.bottom.to_mm(),
    )
}

/// Returns the largest widths of each edge.
pub(super) fn wider(a: Edges<Length>, b: Edges<Length>) -> Edges<Length> {
    Edges {
        top: a.top.max(b.top),
        right: a.right.max(b.right),
        bottom: a.bottom.max(b.bottom),
        left: a.left.max(b.left),
    }
}

/// Returns how much farther in the marks of `face_up` stand because of what a profile makes up for, in millimetres.
pub(super) fn marks_moved_mm(project: &Project, sheet: Size, face_up: Face) -> f64 {
    let plain = edges_in_sheet(project.printer.margins, face_up, project.job.turn_over);
    most_widened(plain, for_marks(project, sheet, face_up)).to_mm()
}

/// Returns by how much the widest growing band of a face is wider than the printer's margin, because of what its profile makes up for.
pub(super) fn lost(project: &Project, sheet: Size, face: Face) -> Length {
    let plain = edges_in_sheet(project.printer.margins, face, project.job.turn_over);
    most_widened(plain, unprintable(project, sheet, face))
}

fn most_widened(plain: Edges<Length>, kept: Edges<Length>) -> Length {
    let sides = [
        kept.top - plain.top,
        kept.right - plain.right,
        kept.bottom - plain.bottom,
        kept.left - plain.left,
    ];
    sides.into_iter().max().unwrap_or(Length::ZERO)
}

/// Returns the widths of the bands that register marks on `face_up` keep out of, in the sheet frame: what is not printed, and what
/// would leave the cut file.
pub(super) fn for_marks(project: &Project, sheet: Size, face_up: Face) -> Edges<Length> {
    wider(
        unprintable(project, sheet, face_up),
        beyond_file(project, sheet, face_up),
    )
}

/// The bands beside the largest upright rectangle inside what is left of a page where that comes out, none narrower than on the page.
fn moved(bands: Edges<Length>, sheet: Size, out_from_page: Affine) -> Edges<Length> {
    let room = inner(out_from_page, inside(sheet, bands));
    Edges {
        top: widened(bands.top, room.y0),
        right: widened(bands.right, sheet.width - room.x1),
        bottom: widened(bands.bottom, sheet.height - room.y1),
        left: widened(bands.left, room.x0),
    }
}

/// A band made at least this wide, in hundredths of a millimetre if it grows.
fn widened(band: Length, to_mm: f64) -> Length {
    if nm_above(to_mm) <= band.nm() {
        return band;
    }
    Length::from_um(10) * (nm_above(to_mm * 100.0) + 999_999).div_euclid(1_000_000)
}

/// Returns the largest upright rectangle by the inner corners of a rectangle's image.
fn inner(map: Affine, rect: Rect) -> Rect {
    let at = |x: f64, y: f64| map * Point::new(x, y);
    let (top_left, top_right) = (at(rect.x0, rect.y0), at(rect.x1, rect.y0));
    let (bottom_left, bottom_right) = (at(rect.x0, rect.y1), at(rect.x1, rect.y1));
    Rect::new(
        top_left.x.max(bottom_left.x),
        top_left.y.max(top_right.y),
        top_right.x.min(bottom_right.x),
        bottom_left.y.min(bottom_right.y),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bands_grow_in_hundredths_of_a_millimetre_and_never_shrink() {
        let sixteenth = Length::from_inch_fraction(1, 16);
        // 1/16 in is 1.5875 mm.
        assert_eq!(widened(sixteenth, 1.5875), sixteenth);
        assert_eq!(widened(sixteenth, 1.2), sixteenth);
        assert_eq!(widened(sixteenth, 1.587_6), Length::from_um(1590));
        assert_eq!(widened(sixteenth, 5.38), Length::from_um(5380));
        assert_eq!(widened(sixteenth, 5.380_993), Length::from_um(5390));
    }
}

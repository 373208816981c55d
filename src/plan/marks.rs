//! Where register marks and the caption stand.
//!
//! Our own layout of six marks, rings with filled quadrants: four corners with 1, 2 adjacent, 2 opposite and 3 quadrants
//! filled, an empty one on the right at 0.40 and a full one on the left at 0.62 of the height. No turn and no mirroring takes the
//! six onto themselves.

use kurbo::{Affine, Point, Rect, Size};

use super::{Mark, MarkClass, Sheet, mark_scale};
use crate::diagnostic::Diagnostic;
use crate::project::{Edges, MarkUse, Project};

/// Outer diameter of a mark's ring: the trade's register mark is 6 mm wide (common practice, no source).
pub(super) const DIAMETER_MM: f64 = 6.0;

/// White around the ring, without which a reader cannot tell it from artwork.
const QUIET_MM: f64 = 1.0;

/// Side of the square that is kept free around a mark's centre.
pub(super) const CLEAR_MM: f64 = DIAMETER_MM + 2.0 * QUIET_MM;

/// Least sheet with fine scales beside its marks: two of them across and three down, with room between.
const LEAST_WITH_SCALES: Size = Size::new(90.0, 140.0);

/// Height of the band for the caption and the check rule.
pub(super) const CAPTION_HEIGHT_MM: f64 = 8.0;

/// Least width of that band; below it there is no caption.
const LEAST_CAPTION_MM: f64 = 30.0;

/// Least height of a sheet with a caption or marks: the caption would else take a fifth of it.
const LEAST_SHEET_MM: f64 = 50.0;

/// Returns the six marks for a sheet of this size, or none where they have no room.
///
/// `margins_mm` are those of the printer, seen from the face that lies up on the cutter, and `sheet_from_face` leads from the view
/// of that face to the sheet frame.
pub(super) fn six_marks(sheet: Size, margins_mm: Edges<f64>, sheet_from_face: Affine) -> Vec<Mark> {
    let inset = CLEAR_MM / 2.0;
    let (left, right) = (
        margins_mm.left + inset,
        sheet.width - margins_mm.right - inset,
    );
    let (top, bottom) = (
        margins_mm.top + inset,
        sheet.height - margins_mm.bottom - inset,
    );
    if right - left < 2.0 * CLEAR_MM || sheet.height < LEAST_SHEET_MM {
        return Vec::new();
    }
    let places = [
        (left, top, MarkClass::One),
        (right, top, MarkClass::TwoAdjacent),
        (right, bottom, MarkClass::TwoOpposite),
        (left, bottom, MarkClass::Three),
        (right, 0.40 * sheet.height, MarkClass::Empty),
        (left, 0.62 * sheet.height, MarkClass::Full),
    ];
    let marks = places
        .into_iter()
        .enumerate()
        .map(|(i, (x, y, class))| Mark {
            id: format!("m{}", i + 1),
            centre: sheet_from_face * Point::new(x, y),
            diameter_mm: DIAMETER_MM,
            class,
        });
    marks.collect()
}

/// Returns the square around a mark that must stay free.
pub(super) fn clear_zone(mark: &Mark) -> Rect {
    Rect::from_center_size(mark.centre, (CLEAR_MM, CLEAR_MM))
}

/// Returns all that must stay free around a mark: with fine scales, also their bands towards the middle of the sheet.
pub(super) fn clear_zones(mark: &Mark, sheet: Size, with: Scales) -> Vec<Rect> {
    let mut zones = vec![clear_zone(mark)];
    if with == Scales::Printed {
        zones.extend(mark_scale::bands(mark.centre, sheet));
    }
    zones
}

/// Whether fine scales stand beside the marks of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Scales {
    /// They do.
    Printed,
    /// They do not, or have no room.
    Left,
}

impl Scales {
    /// Returns whether a job wants them on sheets of this size, and they have room there.
    pub(super) fn on(project: &Project, sheet: Size) -> Self {
        let has_room =
            sheet.width >= LEAST_WITH_SCALES.width && sheet.height >= LEAST_WITH_SCALES.height;
        if project.job.mark_scales && has_room {
            Self::Printed
        } else {
            Self::Left
        }
    }
}

/// Returns the band for the caption at the bottom of a page, in the page's frame, or `None` where it has no room.
///
/// It reaches from margin to margin, or between the clear zones of the two bottom marks and of their scales.
pub(super) fn caption_box(
    sheet: Size,
    margins_mm: Edges<f64>,
    beside: Option<Scales>,
) -> Option<Rect> {
    let inset = match beside {
        None => 0.0,
        Some(Scales::Left) => CLEAR_MM,
        Some(Scales::Printed) => CLEAR_MM / 2.0 + mark_scale::REACH_MM,
    };
    let bottom = sheet.height - margins_mm.bottom;
    let band = Rect::new(
        margins_mm.left + inset,
        bottom - CAPTION_HEIGHT_MM,
        sheet.width - margins_mm.right - inset,
        bottom,
    );
    (band.width() >= LEAST_CAPTION_MM && sheet.height >= LEAST_SHEET_MM).then_some(band)
}

/// Returns a warning for each stock whose printed sheets are too small for the marks or the caption they should have.
pub(super) fn missing(project: &Project, sheets: &[Sheet]) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (index, stock) in project.stocks.iter().enumerate() {
        let is_printed = |s: &&Sheet| s.stock == index && (s.front.is_some() || s.back.is_some());
        let printed = sheets.iter().filter(is_printed);
        let printed: Vec<&Sheet> = printed.filter(|s| !s.is_filled(project)).collect();
        let wants_marks = |s: &&Sheet| match project.job.marks {
            MarkUse::Auto => s.cut.is_some(),
            MarkUse::Always => true,
            MarkUse::Never => false,
        };
        let mut warn = |code: &'static str, what: &str, hint: &str| {
            let text = format!("sheets of \"{}\" have no room for {what}", stock.id);
            found.push(Diagnostic::warning(code, text).at(&stock.origin).hint(hint));
        };
        if printed.iter().any(|s| wants_marks(s) && s.marks.is_empty()) {
            warn(
                "plan.no-marks",
                "register marks",
                "choose a larger sheet, or type `marks = \"never\"` in [job]",
            );
        }
        let lacks_scales = |s: &&&Sheet| {
            let size = Size::new(s.width_mm, s.height_mm);
            !s.marks.is_empty() && Scales::on(project, size) == Scales::Left
        };
        if project.job.mark_scales && printed.iter().any(|s| lacks_scales(&s)) {
            warn(
                "plan.no-mark-scales",
                "fine scales beside their marks",
                "choose a larger sheet, or measure from the marks with a ruler",
            );
        }
        if project.job.caption && printed.iter().any(|s| s.caption.is_none()) {
            warn(
                "plan.no-caption",
                "the caption and the check rule",
                "check the print's size with a ruler",
            );
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    const QUARTER_INCH: Edges<f64> = Edges {
        top: 6.35,
        right: 6.35,
        bottom: 6.35,
        left: 6.35,
    };

    /// By hand: 6.35 + 3 + 1 = 10.35; 215.9 - 10.35 = 205.55; 279.4 - 10.35 = 269.05; 0.40 and 0.62 of 279.4.
    #[test]
    fn marks_on_letter_stand_where_the_layout_says() {
        let marks = six_marks(Size::new(215.9, 279.4), QUARTER_INCH, Affine::IDENTITY);
        let want = [
            (10.35, 10.35, MarkClass::One),
            (205.55, 10.35, MarkClass::TwoAdjacent),
            (205.55, 269.05, MarkClass::TwoOpposite),
            (10.35, 269.05, MarkClass::Three),
            (205.55, 111.76, MarkClass::Empty),
            (10.35, 173.228, MarkClass::Full),
        ];
        for (mark, (x, y, class)) in marks.iter().zip(want) {
            assert!(
                (mark.centre.x - x).abs() < 1e-9 && (mark.centre.y - y).abs() < 1e-9,
                "{mark:?}"
            );
            assert_eq!((mark.class, mark.diameter_mm), (class, 6.0));
        }
        assert_eq!(marks.len(), 6);
    }

    #[test]
    fn the_caption_stands_between_the_bottom_marks() {
        let band = caption_box(Size::new(215.9, 279.4), QUARTER_INCH, Some(Scales::Left)).unwrap();
        // 6.35 + 8 = 14.35 from both sides; 279.4 - 6.35 = 273.05 is its lower edge.
        assert!((band.x0 - 14.35).abs() < 1e-9 && (band.x1 - 201.55).abs() < 1e-9);
        assert!((band.y0 - 265.05).abs() < 1e-9 && (band.y1 - 273.05).abs() < 1e-9);
        for mark in six_marks(Size::new(215.9, 279.4), QUARTER_INCH, Affine::IDENTITY) {
            let common = clear_zone(&mark).intersect(band);
            assert!(common.width().min(common.height()) < 1e-9, "{}", mark.id);
        }
    }

    #[test]
    fn a_sheet_too_small_for_marks_has_none() {
        assert!(six_marks(Size::new(40.0, 40.0), QUARTER_INCH, Affine::IDENTITY).is_empty());
        assert_eq!(caption_box(Size::new(40.0, 60.0), QUARTER_INCH, None), None);
    }
}

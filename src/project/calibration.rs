//! What was measured of a printer or a cutting machine.

use kurbo::{Affine, Size};

use crate::date;
use crate::fit::Spread;

/// Where a printer puts what it prints, measured on one format.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibration {
    /// Day of the measurement as year, month, day.
    pub date: (i32, u32, u32),
    /// Format it was measured on, in words.
    pub format: String,
    /// Size of the page it was measured on, in millimetres, as it was fed: upright or lying.
    pub page: Size,
    /// Paper it was measured on, in the maker's words.
    pub paper: Option<String>,
    /// Tray it was fed from, in the maker's words.
    pub tray: Option<String>,
    /// The front.
    pub front: PrintMap,
    /// The back, seen from the front; `None` where only one side was measured.
    pub back: Option<PrintMap>,
}

/// Where one face of a page comes out on the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PrintMap {
    /// A point of the page to where it is printed on the sheet. Both in millimetres from the top left corner, y down, seen from the
    /// sheet's front; the page of a back is mirrored as the sheet is turned over.
    pub sheet_from_page: Affine,
    /// How far that may be wrong.
    pub spread: Spread,
}

impl Calibration {
    /// Returns the day of the measurement as ISO 8601 writes it: `2026-03-28`.
    #[must_use]
    pub fn date_text(&self) -> String {
        date::show(self.date)
    }
}

impl CutterCalibration {
    /// Returns the day of the measurement as ISO 8601 writes it.
    #[must_use]
    pub fn date_text(&self) -> String {
        date::show(self.date)
    }
}

impl PrintMap {
    /// Returns the same printer's map for a page of another size: paper guides centre the sheet (common practice, no source), so that
    /// the shift of the middle stays.
    #[must_use]
    pub fn for_page(&self, measured: Size, other: Size) -> Self {
        let to_middle = (other - measured).to_vec2() / 2.0;
        let moved = Affine::translate(to_middle);
        Self {
            sheet_from_page: moved * self.sheet_from_page * moved.inverse(),
            spread: Spread {
                about: self.spread.about + to_middle,
                ..self.spread
            },
        }
    }

    /// Returns how far the middle of a page of this size is shifted, in millimetres.
    #[must_use]
    pub fn shift_at_centre_mm(&self, page: Size) -> kurbo::Vec2 {
        let centre = page.to_rect().center();
        self.sheet_from_page * centre - centre
    }
}

/// Where a cutting machine cuts what a cut file asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct CutterCalibration {
    /// Day of the measurement as year, month, day.
    pub date: (i32, u32, u32),
    /// A point of the cut file to where it is cut, both in the cut file's frame: millimetres, y down.
    pub cut_from_file: Affine,
    /// How far that may be wrong.
    pub spread: Spread,
    /// Standard deviation of one coordinate from one cut to the next, in millimetres.
    pub repeat_mm: f64,
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Point;

    /// By hand: 1 % too wide about the left edge shifts the middle of a 200 mm page by 1 mm. On a page of 300 mm the middle, at
    /// 150 mm, is shifted by 1 mm as well, and the left edge by 1 - 1.5 = -0.5 mm.
    #[test]
    fn the_shift_of_the_middle_stays_on_another_format() {
        let map = PrintMap {
            sheet_from_page: Affine::new([1.01, 0.0, 0.0, 1.0, 0.0, 0.0]),
            spread: Spread::NONE,
        };
        let (measured, other) = (Size::new(200.0, 100.0), Size::new(300.0, 100.0));
        let on_other = map.for_page(measured, other);
        assert!((map.shift_at_centre_mm(measured).x - 1.0).abs() < 1e-12);
        assert!((on_other.shift_at_centre_mm(other).x - 1.0).abs() < 1e-12);
        let left = on_other.sheet_from_page * Point::new(0.0, 50.0);
        assert!((left.x + 0.5).abs() < 1e-12 && (left.y - 50.0).abs() < 1e-12);
    }
}

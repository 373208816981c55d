//! The rows of the table: one thing each that is printed on the chart and read off it.

use kurbo::{Point, Vec2};

use crate::math::hypot;
use crate::plan::MarkClass;
use crate::project::{Axis, Edge};

/// A ring with quadrants, one of the grid.
#[derive(Debug, Clone, PartialEq)]
pub struct Target {
    /// Its column as a letter and its row as a number, counted from the top left corner of its page: `a1`.
    pub id: String,
    /// Its centre on its page, in millimetres.
    pub centre: Point,
    /// Which quadrants are filled.
    pub class: MarkClass,
    /// Outer diameter of its ring in millimetres.
    pub diameter_mm: f64,
}

/// A short scale near two edges of the sheet that turns a plain ruler into a fine one.
///
/// The ruler lies along the scale's line, its zero on the sheet's left or top edge. Its divisions are a little longer than the
/// scale's, so that just one tick of the scale meets a mark of the ruler.
#[derive(Debug, Clone, PartialEq)]
pub struct Vernier {
    /// `x1` to `x4` along the width, `y1` to `y4` along the height; each four from the top left, top right, bottom left and bottom
    /// right corner.
    pub id: &'static str,
    /// The direction of its line; along x it measures from the left edge, along y from the top edge.
    pub axis: Axis,
    /// Where tick 0 meets the line, in millimetres on the front page.
    pub zero: Point,
    /// Distance of the ruler's marks that the ticks are held against, in millimetres.
    pub division_mm: f64,
    /// Distance of its ticks as planned, in millimetres.
    pub pitch_mm: f64,
    /// Number of its last tick; the first is 0.
    pub last: u32,
}

impl Vernier {
    /// Returns where a tick meets the line, in millimetres on the front page.
    #[must_use]
    pub fn tick(&self, number: u32) -> Point {
        self.zero + self.along() * (f64::from(number) * self.pitch_mm)
    }

    /// Returns the corner of the page that it stands in.
    #[must_use]
    pub const fn corner(&self) -> &'static str {
        match self.id.as_bytes() {
            [_, b'1'] => "top left",
            [_, b'2'] => "top right",
            [_, b'3'] => "bottom left",
            _ => "bottom right",
        }
    }

    /// Returns the edge that it measures from.
    #[must_use]
    pub const fn edge(&self) -> &'static str {
        match self.axis {
            Axis::X => "left",
            Axis::Y => "top",
        }
    }

    /// Returns the way the ticks count.
    #[must_use]
    pub const fn along(&self) -> Vec2 {
        match self.axis {
            Axis::X => Vec2::new(1.0, 0.0),
            Axis::Y => Vec2::new(0.0, 1.0),
        }
    }

    /// Returns the distance of tick 0 from the sheet's edge on a sheet printed without error, in millimetres.
    #[must_use]
    pub const fn nominal_mm(&self) -> f64 {
        match self.axis {
            Axis::X => self.zero.x,
            Axis::Y => self.zero.y,
        }
    }

    /// Returns the distance of tick 0 from the sheet's edge, in millimetres: whole divisions of the ruler before tick 0, and the tick
    /// that meets a mark. `scale` is by how much the printer stretches this direction, 1 where that is not known yet.
    ///
    /// # Examples
    ///
    /// ```
    /// use sheetwright::calibrate::chart::{Chart, ChartEdition};
    /// use sheetwright::paper::find;
    ///
    /// let chart = Chart::upright(find("a4").unwrap(), ChartEdition::Millimetres)?;
    /// let vernier = &chart.verniers[0];
    /// // 20 mm lie before tick 0 and tick 3 meets a mark of the ruler: 20.3 mm.
    /// assert!((vernier.reading_mm(20, 3, 1.0) - 20.3).abs() < 1e-9);
    /// // Printed half a percent too long, its ticks are 0.9045 mm apart: 20 + 3 - 2.7135.
    /// assert!((vernier.reading_mm(20, 3, 1.005) - 20.2865).abs() < 1e-9);
    /// # Ok::<(), sheetwright::diagnostic::Diagnostic>(())
    /// ```
    #[must_use]
    pub fn reading_mm(&self, divisions: u32, tick: u32, scale: f64) -> f64 {
        f64::from(divisions + tick) * self.division_mm - f64::from(tick) * self.pitch_mm * scale
    }

    /// Returns how much one tick more adds to a reading, in millimetres: 0.1 mm, or 1/128 in.
    #[must_use]
    pub fn step_mm(&self) -> f64 {
        self.division_mm - self.pitch_mm
    }
}

/// Lines that run along an edge of the sheet, nearer and nearer to it. The outermost one printed whole is where the printer's reach
/// ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ladder {
    /// The edge of the page it counts from.
    pub edge: Edge,
    /// Distance from line to line and of line 1 from the edge, in millimetres.
    pub pitch_mm: f64,
    /// Number of its innermost line; the outermost is 1.
    pub last: u32,
    /// Its middle along the edge, in millimetres from the page's left or top edge.
    pub middle_mm: f64,
}

impl Ladder {
    /// Returns how far a line lies from the page's edge, in millimetres.
    #[must_use]
    pub fn inset_mm(&self, line: u32) -> f64 {
        f64::from(line) * self.pitch_mm
    }
}

/// A pair of scales on the front and a finer pair behind it on the back, held against a window.
///
/// The front's ticks are 1 mm apart and the back's 0.9 mm, numbered -10 to 10 to the right and downwards in front view.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// `s1` to `s4`: left, right, top, bottom.
    pub id: &'static str,
    /// Its middle in front view, in millimetres: a cross on both faces.
    pub centre: Point,
}

impl Station {
    /// Distance of the ticks on the front in millimetres.
    pub const FRONT_PITCH_MM: f64 = 1.0;
    /// Distance of the ticks on the back in millimetres.
    pub const BACK_PITCH_MM: f64 = 0.9;
    /// Number of the last tick to both sides of tick 0.
    pub const LAST: i32 = 10;
    /// From the middle to tick 0 of the scale along x.
    pub const TO_X_ZERO: Vec2 = Vec2::new(2.0, -10.0);
    /// From the middle to tick 0 of the scale along y.
    pub const TO_Y_ZERO: Vec2 = Vec2::new(-12.0, 4.0);

    /// Returns tick 0 of the scale along one axis, in front view.
    #[must_use]
    pub fn zero(&self, axis: Axis) -> Point {
        match axis {
            Axis::X => self.centre + Self::TO_X_ZERO,
            Axis::Y => self.centre + Self::TO_Y_ZERO,
        }
    }

    /// Returns how far the back lies to the right of the front or below it, in millimetres in front view: tick 0 of the back lies
    /// between ticks `whole` and `whole` + 1 of the front or on `whole`, and this tick of the back meets a tick of the front.
    ///
    /// ```
    /// use sheetwright::calibrate::chart::Station;
    ///
    /// // Tick 4 of the back lies at d + 3.6 mm and meets a tick of the front, which is 4 where the shift d is 0.4 mm.
    /// assert!((Station::shift_mm(0, 4) - 0.4).abs() < 1e-9);
    /// // 0.3 mm to the left is 7 tenths to the right of tick -1.
    /// assert!((Station::shift_mm(-1, 7) + 0.3).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn shift_mm(whole: i32, tick: i32) -> f64 {
        f64::from(whole + tick) * Self::FRONT_PITCH_MM - f64::from(tick) * Self::BACK_PITCH_MM
    }

    /// Returns a point given in front view as it lies on a back page of this width.
    #[must_use]
    pub fn on_back(point: Point, page_width_mm: f64) -> Point {
        Point::new(page_width_mm - point.x, point.y)
    }
}

/// The bar that tells at a glance whether a page was scaled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CheckRule {
    /// Its left end on the page, in millimetres.
    pub start: Point,
    /// Its length in millimetres: 100 mm or 4 in.
    pub length_mm: f64,
    /// Distance of its ticks in millimetres.
    pub pitch_mm: f64,
}

/// A length to be measured with a plain ruler.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RulerLine {
    /// The letter at both its ends: `A` and `B` along the width, `C` and `D` along the height.
    pub id: char,
    /// Its left or upper end on the front page, in millimetres.
    pub from: Point,
    /// Its right or lower end.
    pub to: Point,
}

impl RulerLine {
    /// Returns its length on a sheet printed without error, in millimetres.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        hypot(self.to.x - self.from.x, self.to.y - self.from.y)
    }
}

/// A distance from an edge of the sheet to an end of a [`RulerLine`], to be measured with a plain ruler.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgeDistance {
    /// Its letter: `E` or `F`.
    pub id: char,
    /// The edge of the sheet that it starts from: left or top.
    pub edge: Edge,
    /// Where it ends on the front page, in millimetres.
    pub to: Point,
}

impl EdgeDistance {
    /// Returns its length on a sheet printed without error, in millimetres.
    #[must_use]
    pub const fn nominal_mm(&self, page: kurbo::Size) -> f64 {
        match self.edge {
            Edge::Left => self.to.x,
            Edge::Top => self.to.y,
            Edge::Right => page.width - self.to.x,
            Edge::Bottom => page.height - self.to.y,
        }
    }
}

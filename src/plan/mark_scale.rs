//! Fine scales beside a register mark, for machines without a camera.
//!
//! Along x and along y, beside each mark and towards the middle of the sheet: printed lines 1 mm apart on one side of a common base,
//! and pricked ones 0.9 mm apart, which the machine adds, on the other side. The printed line at or before the first pricked one says
//! the whole millimetres, the number of the pricked line that meets a printed one the tenths, as on any vernier.

use std::ops::RangeInclusive;

use kurbo::{Affine, Line, Point, Rect, Size, Vec2};

use super::{Mark, Tick, TickKind};
use crate::project::Face;

/// Printed lines, by the millimetres they stand for; the first pricked line may lie anywhere from -4 to 4 mm, and its tenth nine
/// millimetres on.
pub const PRINTED: RangeInclusive<i32> = -4..=13;

/// Pricked lines.
pub const PRICKED: RangeInclusive<i32> = 0..=10;

/// Distance of the pricked lines in millimetres.
pub const PRICKED_PITCH_MM: f64 = 0.9;

/// Distance of the nearest printed line from the mark's centre, in millimetres: the mark's radius, its white and a little more.
const NEAREST_MM: f64 = 5.0;

/// Half the height of a band with both kinds of lines, in millimetres.
pub(super) const HALF_BAND_MM: f64 = 4.0;

/// White beyond the last line, in millimetres.
const WHITE_MM: f64 = 1.0;

/// Distance from a mark's centre to where its scales' bands end, in millimetres.
pub(super) const REACH_MM: f64 = NEAREST_MM + 17.0 + WHITE_MM;

/// A scale beside a mark, in the view of the face that it is printed on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MarkScale {
    /// Where the printed line 0 stands on the base, in millimetres.
    pub zero: Point,
    /// The way it counts: right or down.
    pub along: Vec2,
    /// The side of the base that the printed lines stand on.
    pub printed_side: Vec2,
}

impl MarkScale {
    /// Returns the scales beside a mark, along x and along y.
    #[must_use]
    pub fn beside(mark: Point, sheet: Size) -> [Self; 2] {
        let from_mark = |is_low: bool| {
            if is_low {
                NEAREST_MM - f64::from(*PRINTED.start())
            } else {
                -NEAREST_MM - f64::from(*PRINTED.end())
            }
        };
        let (x, y) = (
            from_mark(mark.x < sheet.width / 2.0),
            from_mark(mark.y < sheet.height / 2.0),
        );
        let (right, down) = (Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0));
        [
            Self {
                zero: mark + right * x,
                along: right,
                printed_side: -down,
            },
            Self {
                zero: mark + down * y,
                along: down,
                printed_side: -right,
            },
        ]
    }

    /// Returns the printed line of a millimetre.
    #[must_use]
    pub fn printed_line(&self, number: i32) -> Line {
        self.line(f64::from(number), self.printed_side * length_mm(number))
    }

    /// Returns the pricked line of a tenth.
    #[must_use]
    pub fn pricked_line(&self, number: i32) -> Line {
        self.line(
            PRICKED_PITCH_MM * f64::from(number),
            self.printed_side * -length_mm(number),
        )
    }

    fn line(&self, at_mm: f64, side: Vec2) -> Line {
        let foot = self.zero + self.along * at_mm;
        Line::new(foot, foot + side)
    }
}

/// Returns the bands beside a mark that both kinds of lines take, in the frame of the mark.
///
/// They lie alike in the views of both faces, since a scale ends as far from its mark whichever way it counts.
pub(super) fn bands(mark: Point, sheet: Size) -> [Rect; 2] {
    let reach = |at: f64, side: f64| {
        if at < side / 2.0 {
            (at, at + REACH_MM)
        } else {
            (at - REACH_MM, at)
        }
    };
    let ((x0, x1), (y0, y1)) = (reach(mark.x, sheet.width), reach(mark.y, sheet.height));
    [
        Rect::new(x0, mark.y - HALF_BAND_MM, x1, mark.y + HALF_BAND_MM),
        Rect::new(mark.x - HALF_BAND_MM, y0, mark.x + HALF_BAND_MM, y1),
    ]
}

/// Returns the printed lines beside all marks, as ticks of the face that lies up.
pub(super) fn scale_ticks(
    marks: &[Mark],
    sheet: Size,
    face: Face,
    face_from_sheet: Affine,
) -> Vec<Tick> {
    let mut ticks = Vec::new();
    for mark in marks {
        // The turn of the sheet is its own inverse.
        let scales = MarkScale::beside(face_from_sheet * mark.centre, sheet);
        for (scale, axis) in scales.iter().zip(["x", "y"]) {
            ticks.extend(PRINTED.map(|number| {
                let line = scale.printed_line(number);
                Tick {
                    id: format!("{}-{axis}{number:+}", mark.id),
                    kind: TickKind::Scale,
                    face,
                    from: face_from_sheet * line.p0,
                    to: face_from_sheet * line.p1,
                }
            }));
        }
    }
    ticks
}

/// Lengths of lines in millimetres: 0 stands out, then the fives.
fn length_mm(number: i32) -> f64 {
    if number == 0 {
        3.4
    } else if number % 5 == 0 {
        2.8
    } else {
        2.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LETTER: Size = Size::new(215.9, 279.4);

    /// By hand: beside a mark at (10.35, 10.35) the lines stand from 5 mm to 22 mm right of it, 0 four millimetres on, at 19.35; beside
    /// one at the right, from 22 mm to 5 mm left of it, 0 at 205.55 - 18 = 187.55.
    #[test]
    fn scales_lie_towards_the_middle_of_the_sheet() {
        let [x, y] = MarkScale::beside(Point::new(10.35, 10.35), LETTER);
        assert!((x.zero.x - 19.35).abs() < 1e-9 && (x.zero.y - 10.35).abs() < 1e-9);
        assert!((y.zero.y - 19.35).abs() < 1e-9 && (y.zero.x - 10.35).abs() < 1e-9);
        let [x, y] = MarkScale::beside(Point::new(205.55, 269.05), LETTER);
        assert!((x.zero.x - 187.55).abs() < 1e-9 && (y.zero.y - 251.05).abs() < 1e-9);
        assert!((x.printed_line(13).p0.x - 200.55).abs() < 1e-9);
    }

    /// A machine that pricks 0.3 mm to the left of the print: line 7 stands at -0.3 + 6.3 = 6.0 and meets the printed 6, and the first
    /// line stands between -1 and 0. -1 and 7 tenths are -0.3.
    #[test]
    fn lines_meet_where_a_vernier_says() {
        let [x, _] = MarkScale::beside(Point::new(10.0, 10.0), LETTER);
        let pricked = x.pricked_line(7).p0.x - 0.3;
        assert!((pricked - x.printed_line(6).p0.x).abs() < 1e-9);
    }
}

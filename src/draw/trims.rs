//! The cuts of a trimmer's job on pictures and proofs: a line for each part that is cut in two, with the number of its cut.
//!
//! A number stands on its line near the line's left or upper end, and moves on along the line where another number is in its way.

use kurbo::{Affine, BezPath, Line, Point, Rect, Shape};

use super::text::{Align, TextLine};
use crate::drawing::{Colour, Drawing, FillRule, Item, Paint, Stroke};
use crate::plan::Sheet;
use crate::project::Axis;

const INK: Colour = Colour::rgb(0xa8, 0x43, 0x2c);
const LINE_MM: f64 = 0.35;

/// Em size of the numbers.
const TEXT_MM: f64 = 2.9;

/// From the middle of a plate to its upper and lower edge.
const HALF_HEIGHT_MM: f64 = 1.9;

/// Room on a plate left and right of the number.
const PADDING_MM: f64 = 0.9;

/// Room between two plates, and between a plate and the end of its line.
const APART_MM: f64 = 0.6;

/// From the middle of a plate to the baseline, in ems: half the height of figures.
const BASELINE_EM: f64 = 0.36;

/// The cuts of one sheet as a face shows them.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Trims {
    lines: Vec<Line>,
    plates: Vec<Plate>,
}

/// A number with the plate under it.
#[derive(Debug, Clone, PartialEq)]
struct Plate {
    bounds: Rect,
    number: TextLine,
}

impl Trims {
    /// Returns the cuts of a sheet seen through `view`, a mirroring or none; nothing without a cut list.
    pub(super) fn of(sheet: &Sheet, view: Affine) -> Self {
        let mut trims = Self::default();
        let Some(list) = &sheet.cut_list else {
            return trims;
        };
        for cut in &list.cuts {
            for split in &cut.splits {
                let part = list.parts[split.part].area;
                let line = match cut.axis {
                    Axis::X => Line::new((split.at_mm, part.y0), (split.at_mm, part.y1)),
                    Axis::Y => Line::new((part.x0, split.at_mm), (part.x1, split.at_mm)),
                };
                trims.add(cut.number, from_upper_left(view * line));
            }
        }
        trims
    }

    /// Areas that hold a number.
    pub(super) fn plates(&self) -> impl Iterator<Item = Rect> + '_ {
        self.plates.iter().map(|plate| plate.bounds)
    }

    /// Returns lines and numbers.
    pub(super) fn draw(self) -> Drawing {
        let lines = self.lines.iter().map(|line| Item::Stroke {
            path: line.to_path(0.1),
            stroke: Stroke::solid(LINE_MM),
            paint: Paint::flat(INK),
        });
        let mut items: Vec<Item> = lines.collect();
        items.extend(self.plates.into_iter().flat_map(Plate::draw));
        Drawing { items }
    }

    fn add(&mut self, number: u32, line: Line) {
        let number = TextLine::new(&number.to_string(), TEXT_MM);
        let size = (
            (number.width_mm() + 2.0 * PADDING_MM).max(2.0 * HALF_HEIGHT_MM),
            2.0 * HALF_HEIGHT_MM,
        );
        let place = |middle| Rect::from_center_size(middle, size);
        let taken: Vec<Rect> = self.plates().collect();
        let is_free = |bounds: &Rect| {
            let wide = bounds.inflate(APART_MM, APART_MM);
            taken.iter().all(|other| !other.overlaps(wide))
        };
        let places = || middles(line, size).into_iter().map(place);
        let bounds = places().find(is_free).or_else(|| places().next());
        self.lines.push(line);
        self.plates
            .extend(bounds.map(|bounds| Plate { bounds, number }));
    }
}

/// The line from its left or upper end on.
fn from_upper_left(line: Line) -> Line {
    let is_backwards = line.p1.x < line.p0.x || line.p1.y < line.p0.y;
    if is_backwards {
        Line::new(line.p1, line.p0)
    } else {
        line
    }
}

/// Middles of plates on a line, from its start on; at least one.
fn middles(line: Line, (width_mm, height_mm): (f64, f64)) -> Vec<Point> {
    let way = line.p1 - line.p0;
    let is_level = way.x > way.y;
    let (length_mm, plate_mm) = if is_level {
        (way.x, width_mm)
    } else {
        (way.y, height_mm)
    };
    let margin_mm = plate_mm / 2.0 + APART_MM;
    let mut middles = Vec::new();
    let mut along_mm = margin_mm.min(length_mm / 2.0);
    while middles.is_empty() || along_mm <= length_mm - margin_mm {
        middles.push(line.p0 + way * (along_mm / length_mm));
        along_mm += HALF_HEIGHT_MM;
    }
    middles
}

impl Plate {
    fn draw(self) -> [Item; 2] {
        let middle = self.bounds.center();
        let start = Point::new(
            middle.x - self.number.width_mm() / 2.0,
            middle.y + BASELINE_EM * TEXT_MM,
        );
        [
            Item::Fill {
                path: pill(self.bounds),
                rule: FillRule::NonZero,
                paint: Paint::flat(INK),
            },
            self.number.at(start, Align::Left, Colour::WHITE),
        ]
    }
}

/// A rectangle with its corners cut off.
fn pill(bounds: Rect) -> BezPath {
    let cut_mm = bounds.height() * 0.3;
    let (left, right) = (bounds.x0 + cut_mm, bounds.x1 - cut_mm);
    let (top, bottom) = (bounds.y0 + cut_mm, bounds.y1 - cut_mm);
    let corners = [
        (left, bounds.y0),
        (right, bounds.y0),
        (bounds.x1, top),
        (bounds.x1, bottom),
        (right, bounds.y1),
        (left, bounds.y1),
        (bounds.x0, bottom),
        (bounds.x0, top),
    ];
    let mut path = BezPath::new();
    for (i, corner) in corners.into_iter().enumerate() {
        if i == 0 {
            path.move_to(corner);
        } else {
            path.line_to(corner);
        }
    }
    path.close_path();
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plates(lines: &[Line]) -> Vec<Rect> {
        let mut trims = Trims::default();
        for (number, line) in (1..).zip(lines) {
            trims.add(number, *line);
        }
        trims.plates().collect()
    }

    #[test]
    fn numbers_stand_on_their_lines_and_off_each_other() {
        // Five upright cuts 2 mm apart, and a level one through all of them.
        let mut lines: Vec<Line> = (0..5)
            .map(|i| {
                Line::new(
                    (20.0 + 2.0 * f64::from(i), 0.0),
                    (20.0 + 2.0 * f64::from(i), 60.0),
                )
            })
            .collect();
        lines.push(Line::new((0.0, 4.0), (60.0, 4.0)));
        let plates = plates(&lines);
        assert_eq!(plates.len(), 6);
        for (i, (plate, line)) in plates.iter().zip(&lines).enumerate() {
            let middle = plate.center();
            let off = (middle.x - line.p0.x)
                .abs()
                .min((middle.y - line.p0.y).abs());
            assert!(off < 1e-9, "{plate:?} is off {line:?}");
            for other in &plates[i + 1..] {
                assert!(!plate.overlaps(*other), "{plate:?} {other:?}");
            }
        }
    }

    #[test]
    fn a_line_too_short_for_its_number_has_it_in_the_middle() {
        let plates = plates(&[Line::new((10.0, 10.0), (10.0, 12.0))]);
        assert!((plates[0].center() - Point::new(10.0, 11.0)).hypot2() < 1e-18);
    }
}

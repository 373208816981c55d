//! The largest upright rectangles that keep clear of outlines.
//!
//! A grid is laid over the sheet and each cell is taken or free; a cell that an outline's edge runs through counts as taken, so a
//! free rectangle is free to the last micrometre. Grid lines run through the edges of every box that was named, where a rectangle is
//! then exact, and in even steps between, where it may miss up to a step. The largest rectangle of free cells is found row by row with
//! a stack of rising columns: linear in the number of cells.

use std::ops::Range;

use kurbo::{Point, Rect};

use super::Outline;
use crate::math::{COINCIDENT_MM, FLATTEN_MM};

/// A sheet of which parts are taken.
#[derive(Debug, Clone)]
pub struct FreeSpace {
    /// Grid lines from left to right.
    x_mm: Vec<f64>,
    /// Grid lines from top to bottom.
    y_mm: Vec<f64>,
    /// Cells row by row.
    taken: Vec<bool>,
}

impl FreeSpace {
    /// Returns a sheet that is all free. `exact` are boxes at whose edges no step may be lost; elsewhere lines are `step_mm` apart.
    ///
    /// # Panics
    ///
    /// Panics if the step is not greater than zero.
    #[must_use]
    pub fn new(sheet: Rect, exact: &[Rect], step_mm: f64) -> Self {
        assert!(step_mm > 0.0, "a grid has a step");
        let x_mm = lines(
            sheet.x0,
            sheet.x1,
            exact.iter().flat_map(|b| [b.x0, b.x1]),
            step_mm,
        );
        let y_mm = lines(
            sheet.y0,
            sheet.y1,
            exact.iter().flat_map(|b| [b.y0, b.y1]),
            step_mm,
        );
        let cells = (x_mm.len() - 1) * (y_mm.len() - 1);
        Self {
            x_mm,
            y_mm,
            taken: vec![false; cells],
        }
    }

    /// Takes what an outline covers; its holes stay free.
    pub fn take(&mut self, outline: &Outline) {
        self.take_where(outline, true);
    }

    /// Takes all that an outline does not cover.
    pub fn take_outside(&mut self, outline: &Outline) {
        self.take_where(outline, false);
    }

    /// Takes a box.
    pub fn take_box(&mut self, taken: Rect) {
        let columns = covered(&self.x_mm, taken.x0, taken.x1);
        for row in covered(&self.y_mm, taken.y0, taken.y1) {
            self.take_cells(row, columns.clone());
        }
    }

    /// Returns the largest free rectangle that is at least as large as `least_mm`, lying or standing; of equal ones the topmost.
    #[must_use]
    pub fn largest(&self, least_mm: (f64, f64)) -> Option<Rect> {
        let mut best: Option<Rect> = None;
        let mut tops: Vec<usize> = vec![0; self.columns()];
        for row in 0..self.y_mm.len() - 1 {
            for (column, top) in tops.iter_mut().enumerate() {
                if self.taken[row * (self.x_mm.len() - 1) + column] {
                    *top = row + 1;
                }
            }
            self.largest_above(row, &tops, &mut |found| {
                if is_at_least(found, least_mm)
                    && best.is_none_or(|b| found.area() > b.area() + COINCIDENT_MM)
                {
                    best = Some(found);
                }
            });
        }
        best
    }

    /// Tells `visit` each rectangle that stands on `row`, reaches as high as it can and is as wide as it can be at that height.
    /// `tops` holds the highest row from which each column is free down to `row`.
    fn largest_above(&self, row: usize, tops: &[usize], visit: &mut impl FnMut(Rect)) {
        // Each open rectangle: its left column and its top row, lower tops the farther right.
        let mut open: Vec<(usize, usize)> = Vec::new();
        for column in 0..=tops.len() {
            let top = tops.get(column).copied().unwrap_or(row + 1);
            let mut left = column;
            while let Some((start, higher)) = open.pop_if(|(_, above)| *above < top) {
                visit(Rect::new(
                    self.x_mm[start],
                    self.y_mm[higher],
                    self.x_mm[column],
                    self.y_mm[row + 1],
                ));
                left = start;
            }
            if top <= row && open.last().is_none_or(|(_, above)| *above > top) {
                open.push((left, top));
            }
        }
    }

    fn columns(&self) -> usize {
        self.x_mm.len() - 1
    }

    fn take_cells(&mut self, row: usize, columns: Range<usize>) {
        let first = row * self.columns();
        self.taken[first + columns.start..first + columns.end].fill(true);
    }

    /// Takes the inside or the outside of an outline, and each cell its edge runs through.
    fn take_where(&mut self, outline: &Outline, inside: bool) {
        let sides = sides(outline);
        let bounds = outline.bounds();
        let columns = self.columns();
        for row in 0..self.y_mm.len() - 1 {
            let (top, bottom) = (self.y_mm[row], self.y_mm[row + 1]);
            if bottom <= bounds.y0 || top >= bounds.y1 {
                if !inside {
                    self.take_cells(row, 0..columns);
                }
                continue;
            }
            let mut crossings = Vec::new();
            for (p, q) in &sides {
                if let Some((from, to)) = extent_in(*p, *q, top, bottom) {
                    self.take_cells(row, covered(&self.x_mm, from, to));
                }
                crossings.extend(crossing_at(*p, *q, top.midpoint(bottom)));
            }
            crossings.sort_by(f64::total_cmp);
            let mut edge = if inside { None } else { Some(self.x_mm[0]) };
            for x in crossings {
                match edge.take() {
                    None => edge = Some(x),
                    Some(start) => self.take_cells(row, covered(&self.x_mm, start, x)),
                }
            }
            if let Some(start) = edge {
                self.take_cells(row, covered(&self.x_mm, start, self.x_mm[columns]));
            }
        }
    }
}

/// Whether a rectangle has at least these sides in millimetres, whichever way it lies.
#[must_use]
pub fn is_at_least(found: Rect, (a_mm, b_mm): (f64, f64)) -> bool {
    let (short, long) = (
        found.width().min(found.height()),
        found.width().max(found.height()),
    );
    short + COINCIDENT_MM >= a_mm.min(b_mm) && long + COINCIDENT_MM >= a_mm.max(b_mm)
}

/// Grid lines from one edge to the other: those asked for, and even steps.
fn lines(from: f64, to: f64, exact: impl Iterator<Item = f64>, step_mm: f64) -> Vec<f64> {
    let steps = (1..).map(|i| from + f64::from(i) * step_mm);
    let mut all: Vec<f64> = steps.take_while(|at| *at < to).collect();
    all.extend(exact.filter(|at| *at > from && *at < to));
    all.extend([from, to]);
    all.sort_by(f64::total_cmp);
    all.dedup_by(|b, a| *b - *a <= COINCIDENT_MM);
    all
}

/// The cells whose inside meets the stretch from `from` to `to`, which may be a single point.
fn covered(lines: &[f64], from: f64, to: f64) -> Range<usize> {
    let start = lines[1..].partition_point(|end| *end <= from + COINCIDENT_MM);
    let end = lines[..lines.len() - 1].partition_point(|start| *start < to - COINCIDENT_MM);
    start..end.max(start)
}

/// The straight sides of all rings, flattened.
fn sides(outline: &Outline) -> Vec<(Point, Point)> {
    let mut sides = Vec::new();
    for ring in outline.flattened(FLATTEN_MM) {
        for (i, p) in ring.iter().enumerate() {
            sides.push((*p, ring[(i + 1) % ring.len()]));
        }
    }
    sides
}

/// From where to where a side runs across within a row; `None` if it does not enter the row's inside.
fn extent_in(p: Point, q: Point, top: f64, bottom: f64) -> Option<(f64, f64)> {
    let (upper, lower) = if p.y <= q.y { (p, q) } else { (q, p) };
    if lower.y <= top + COINCIDENT_MM || upper.y >= bottom - COINCIDENT_MM {
        return None;
    }
    let at = |y: f64| {
        let share = ((y - upper.y) / (lower.y - upper.y)).clamp(0.0, 1.0);
        upper.x + share * (lower.x - upper.x)
    };
    let (a, b) = if lower.y - upper.y <= COINCIDENT_MM {
        (upper.x, lower.x)
    } else {
        (at(top), at(bottom))
    };
    Some((a.min(b), a.max(b)))
}

/// Where a side crosses a level line.
fn crossing_at(p: Point, q: Point, y: f64) -> Option<f64> {
    ((p.y <= y) != (q.y <= y)).then(|| p.x + (y - p.y) / (q.y - p.y) * (q.x - p.x))
}

#[cfg(test)]
mod tests {
    use kurbo::{Affine, BezPath};

    use super::*;
    use crate::geometry::shape::{circle, rectangle};

    const SHEET: Rect = Rect::new(0.0, 0.0, 100.0, 80.0);

    fn outline(text: &str) -> Outline {
        Outline::new(&BezPath::from_svg(text).unwrap(), 0.001).unwrap()
    }

    fn at(outline: &Outline, x_mm: f64, y_mm: f64) -> Outline {
        outline.transformed(Affine::translate((x_mm, y_mm)))
    }

    fn is_near(found: Option<Rect>, wanted: Rect) -> bool {
        let far = |a: f64, b: f64| (a - b).abs() > 1e-9;
        found.is_some_and(|f| {
            !far(f.x0, wanted.x0)
                && !far(f.y0, wanted.y0)
                && !far(f.x1, wanted.x1)
                && !far(f.y1, wanted.y1)
        })
    }

    #[test]
    fn a_card_in_a_corner_leaves_the_larger_of_two_strips() {
        // Right of a card of 62.5 x 30.25 are 37.5 x 80 = 3000, below it 100 x 49.75 = 4975.
        let card = rectangle(62.5, 30.25).unwrap();
        let mut space = FreeSpace::new(SHEET, &[card.bounds()], 7.0);
        space.take(&card);
        let below = Rect::new(0.0, 30.25, 100.0, 80.0);
        assert!(is_near(space.largest((1.0, 1.0)), below));
        space.take_box(below);
        // What is left is beside the card alone.
        assert!(is_near(
            space.largest((30.0, 37.5)),
            Rect::new(62.5, 0.0, 100.0, 30.25)
        ));
        assert_eq!(space.largest((31.0, 31.0)), None);
    }

    #[test]
    fn an_l_shaped_sheet_is_free_inside_alone() {
        // Its foot is 100 x 30 = 3000, its leg 40 x 80 = 3200.
        let l = outline("M0 0 H40 V50 H100 V80 H0 Z");
        let mut space = FreeSpace::new(SHEET, &[Rect::new(0.0, 0.0, 40.0, 50.0)], 7.0);
        space.take_outside(&l);
        assert!(is_near(
            space.largest((5.0, 5.0)),
            Rect::new(0.0, 0.0, 40.0, 80.0)
        ));
        assert!(is_near(
            space.largest((5.0, 90.0)),
            Rect::new(0.0, 50.0, 100.0, 80.0)
        ));
    }

    #[test]
    fn the_largest_rectangle_in_a_right_triangle_has_half_its_legs() {
        // Geometry: 60/2 x 40/2, for any right triangle with upright legs; a corner of it lies on the slope, and on the grid of 1 mm.
        let mut space = FreeSpace::new(Rect::new(0.0, 0.0, 60.0, 40.0), &[], 1.0);
        space.take_outside(&outline("M0 0 H60 L0 40 Z"));
        let found = space.largest((1.0, 1.0)).unwrap();
        // The slope runs through the corner's cell unless it meets just the corner.
        assert!(
            found.area() >= 29.0 * 19.0 && found.area() <= 30.0 * 20.0 + 1e-9,
            "{found:?}"
        );
        assert!(found.x1 / 60.0 + found.y1 / 40.0 <= 1.0 + 1e-9, "{found:?}");
    }

    #[test]
    fn a_hole_is_free_and_a_disc_is_not() {
        let frame = outline("M0 0 H100 V80 H0 Z M20 20 V60 H80 V20 Z");
        let mut space = FreeSpace::new(SHEET, &[Rect::new(20.0, 20.0, 80.0, 60.0)], 1.0);
        space.take(&frame);
        assert!(is_near(
            space.largest((5.0, 5.0)),
            Rect::new(20.0, 20.0, 80.0, 60.0)
        ));
        let disc = at(&circle(30.0).unwrap(), 35.0, 25.0);
        space.take(&disc);
        let found = space.largest((5.0, 5.0)).unwrap();
        // Beside the disc 15 x 40, above it less.
        assert!(
            is_near(Some(found), Rect::new(20.0, 20.0, 35.0, 60.0)),
            "{found:?}"
        );
    }
}

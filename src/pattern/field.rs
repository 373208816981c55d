//! A pattern without end: a ground, and motifs that come again.

use kurbo::{Affine, Rect, Vec2};

use crate::drawing::{Asset, Colour, Drawing, moved};
use crate::geometry::unit_square_onto;
use crate::project::Reads;

/// How far from the origin of its frame a field is drawn, each way, in millimetres: more than the diagonal of the largest sheet, so that a
/// field may begin anywhere on it.
pub const REACH_MM: f64 = 1000.0;

/// A pattern as it is seen, in its own frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Field {
    /// What lies under everything.
    pub ground: Colour,
    /// What lies on it, first one at the bottom.
    pub layers: Vec<Layer>,
    /// How it reads when turned.
    pub reads: Reads,
    /// After which length it comes again across and down, in millimetres; 0 where it goes on without change.
    pub repeat_mm: Vec2,
}

/// A motif and the steps in which it comes again.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// Whole elements, in millimetres in the field's frame. Fills only: a width of line could not follow where a picture is stretched.
    pub motif: Drawing,
    /// A box that holds all that the motif paints, in millimetres.
    pub bounds: Rect,
    /// Where it comes again.
    pub steps: Steps,
}

/// The steps in which a motif comes again, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Steps {
    /// In one direction, both ways. The motif reaches [`REACH_MM`] the other way.
    Line(Vec2),
    /// Along `across`, then by `down` to the next row.
    Grid {
        /// From one to the next in a row; to the right.
        across: Vec2,
        /// From one row to the next; downwards, or upwards where rows hang over those below. Its x shifts every row against the one
        /// before.
        down: Vec2,
    },
}

/// Room around a motif inside the box of its picture, in millimetres, so that the box cuts off no softened edge.
const AROUND_MOTIF_MM: f64 = 0.5;

impl Layer {
    /// Returns the motif as a vector picture of that name, a little larger than its bounds, and the way from the picture's unit square to
    /// the field, in millimetres.
    #[must_use]
    pub fn picture(&self, name: &str) -> (Asset, Affine) {
        let bounds = self.bounds.inflate(AROUND_MOTIF_MM, AROUND_MOTIF_MM);
        let unit_to_field = unit_square_onto(bounds);
        let drawing = moved(&self.motif, unit_to_field.inverse());
        let aspect = bounds.height() / bounds.width();
        (Asset::drawn(name, drawing, aspect, &[]), unit_to_field)
    }

    /// Returns by how much the motif is moved, once for each of its repeats whose [`bounds`](Self::bounds) reach into `over`; row by row in
    /// the order of the steps, each from the left: what is painted later lies on top.
    #[must_use]
    pub fn shifts(&self, over: Rect) -> Vec<Vec2> {
        // A motif moved by `shift` reaches into the box where `shift` lies in this one.
        let reach = Rect::new(
            over.x0 - self.bounds.x1,
            over.y0 - self.bounds.y1,
            over.x1 - self.bounds.x0,
            over.y1 - self.bounds.y0,
        );
        match self.steps {
            Steps::Line(step) => line(step, reach),
            Steps::Grid { across, down } => grid(across, down, reach),
        }
    }
}

fn line(step: Vec2, reach: Rect) -> Vec<Vec2> {
    // Along the step alone: across it the motif reaches farther than any paper.
    let corners = [
        (reach.x0, reach.y0),
        (reach.x1, reach.y0),
        (reach.x1, reach.y1),
        (reach.x0, reach.y1),
    ];
    let counts = corners.map(|(x, y)| {
        let (along_x, along_y) = (is_used(step.x), is_used(step.y));
        let corner = Vec2::new(if along_x { x } else { 0.0 }, if along_y { y } else { 0.0 });
        corner.dot(step) / step.hypot2()
    });
    let (first, last) = bounds_of(counts);
    whole_between(first, last).map(|n| step * n).collect()
}

fn grid(across: Vec2, down: Vec2, reach: Rect) -> Vec<Vec2> {
    let cross = across.cross(down);
    let corners = [
        Vec2::new(reach.x0, reach.y0),
        Vec2::new(reach.x1, reach.y0),
        Vec2::new(reach.x1, reach.y1),
        Vec2::new(reach.x0, reach.y1),
    ];
    let rows = bounds_of(corners.map(|corner| across.cross(corner) / cross));
    let columns = bounds_of(corners.map(|corner| corner.cross(down) / cross));
    let mut shifts = Vec::new();
    for row in whole_between(rows.0, rows.1) {
        for column in whole_between(columns.0, columns.1) {
            let shift = down * row + across * column;
            let is_in = shift.x > reach.x0
                && shift.x < reach.x1
                && shift.y > reach.y0
                && shift.y < reach.y1;
            if is_in {
                shifts.push(shift);
            }
        }
    }
    shifts
}

fn is_used(step: f64) -> bool {
    step.abs() > 0.0
}

fn bounds_of(counts: [f64; 4]) -> (f64, f64) {
    let least = counts.into_iter().fold(f64::INFINITY, f64::min);
    let most = counts.into_iter().fold(f64::NEG_INFINITY, f64::max);
    (least, most)
}

/// The whole numbers from `least` to `most`.
fn whole_between(least: f64, most: f64) -> impl Iterator<Item = f64> {
    let (first, last) = (least.ceil(), most.floor());
    std::iter::successors(Some(first), |n| Some(n + 1.0)).take_while(move |n| *n <= last)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn layer(bounds: Rect, steps: Steps) -> Layer {
        Layer {
            motif: Drawing::default(),
            bounds,
            steps,
        }
    }

    /// By hand: a bar from -2 to 2 across, every 10, on a box from 5 to 32: the bars at 10, 20, 30, and that at 0 ends at 2.
    #[test]
    fn bars_that_reach_into_the_box_are_counted_across_it() {
        let bar = Rect::new(-2.0, -REACH_MM, 2.0, REACH_MM);
        let bars = layer(bar, Steps::Line(Vec2::new(10.0, 0.0)));
        let found = bars.shifts(Rect::new(5.0, 0.0, 32.0, 50.0));
        assert_eq!(
            found.iter().map(|s| s.x).collect::<Vec<_>>(),
            [10.0, 20.0, 30.0]
        );
    }

    /// By hand: a dot of radius 1 every 10, each second row by half: on a box from 0 to 20 across and 0 to 10 down lie, of row 0, those at 0, 10
    /// and 20; of row 1 (at 10) those at -5 (ends at -4, out), 5 and 15, and at 25 (out).
    #[test]
    fn dots_in_shifted_rows_come_row_by_row_from_the_left() {
        let dots = layer(
            Rect::new(-1.0, -1.0, 1.0, 1.0),
            Steps::Grid {
                across: Vec2::new(10.0, 0.0),
                down: Vec2::new(5.0, 10.0),
            },
        );
        let found = dots.shifts(Rect::new(0.0, 0.0, 20.0, 10.0));
        let expected = [
            (0.0, 0.0),
            (10.0, 0.0),
            (20.0, 0.0),
            (5.0, 10.0),
            (15.0, 10.0),
        ];
        assert_eq!(found, expected.map(Vec2::from));
    }
}

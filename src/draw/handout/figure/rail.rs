//! Positions of scores along the edges of a drawing: the number of each score in a circle, with its distance from the fence.
//!
//! Positions from the left or right edge stand above the drawing, those from the top or bottom edge left of it. Labels that would meet are
//! moved apart by as little as possible and joined to their scores by bent lines.

use kurbo::{Affine, BezPath, Point, Rect};

use super::super::super::typeset::{GREY, INK, Letter};
use super::super::words::bare;
use super::Seen;
use crate::drawing::{Item, Paint, Stroke};
use crate::geometry::shape::circle;
use crate::handout::{Score, axis_of};
use crate::project::{Axis, Edge};

/// From the piece's edge to where a leader starts, bends, ends, and to the near side of the labels.
const START_MM: f64 = 2.2;
const BEND_MM: f64 = 3.4;
const END_MM: f64 = 7.0;
const LABEL_MM: f64 = 7.6;
/// Between labels.
const APART_MM: f64 = 1.6;
const CIRCLE_MM: f64 = 5.8;
/// How far labels may stand beyond the piece's edges.
const BEYOND_MM: f64 = 9.0;
/// Along the page and up it, as far as labels may be spread.
const ALONG_PAGE_MM: (f64, f64) = (150.0, 90.0);
/// Beside the edge that lies at the fence.
const FENCE_MM: f64 = 1.0;
const FENCE_LINE_MM: f64 = 0.9;
const LEADER_LINE_MM: f64 = 0.15;

/// One label of a rail.
#[derive(Debug, Clone, PartialEq)]
struct Mark {
    at_mm: f64,
    /// Where its score begins, across the rail, from the piece's edge.
    depth_mm: f64,
    number: String,
    text: String,
}

/// Both rails, and the box that they fill with the piece.
pub(super) fn rails(seen: &Seen<'_>) -> (Vec<Item>, Rect) {
    let mut items = Vec::new();
    let mut filled = seen.bounds().inflate(0.5, 0.5);
    for axis in [Axis::X, Axis::Y] {
        let marks = marks(seen, axis);
        if marks.is_empty() {
            continue;
        }
        let (set, own) = rail(seen, axis, &marks);
        items.extend(set);
        filled = filled.union(own);
    }
    let mut fences: Vec<Edge> = Vec::new();
    for score in &seen.work.scores {
        if !fences.contains(&score.fence) {
            fences.push(score.fence);
            items.push(fence(seen, score.fence));
        }
    }
    (items, filled)
}

fn marks(seen: &Seen<'_>, axis: Axis) -> Vec<Mark> {
    let scores = seen.work.scores.iter().filter(|s| axis_of(s.fence) == axis);
    let mut marks: Vec<Mark> = scores.map(|s| mark(seen, s)).collect();
    marks.sort_by(|a, b| a.at_mm.total_cmp(&b.at_mm));
    marks
}

/// Where the creases of a score truly lie on the drawing.
fn mark(seen: &Seen<'_>, score: &Score) -> Mark {
    let paths = score
        .operations
        .iter()
        .filter_map(|o| seen.piece.operations.get(*o));
    let boxes = paths.map(|o| super::boxed(&(seen.map * o.path.clone())));
    let filled = boxes
        .reduce(|a, b| a.union(b))
        .unwrap_or_else(|| seen.bounds());
    let (at_mm, depth_mm) = match axis_of(score.fence) {
        Axis::X => (filled.center().x, filled.y0),
        Axis::Y => (filled.center().y, filled.x0),
    };
    Mark {
        at_mm,
        depth_mm,
        number: score.number.to_string(),
        text: bare(score.at, seen.told.handout.style),
    }
}

fn rail(seen: &Seen<'_>, axis: Axis, marks: &[Mark]) -> (Vec<Item>, Rect) {
    let mut items = Vec::new();
    let mut filled = seen.bounds();
    // More scores than a page has room for: the scoring list alone tells them.
    let Some((middles, has_text)) = middles(seen, axis, marks) else {
        return (items, filled);
    };
    for (mark, middle_mm) in marks.iter().zip(middles) {
        let text = if has_text { mark.text.as_str() } else { "" };
        items.push(leader(axis, mark, middle_mm));
        let (set, own) = label(axis, &mark.number, text, middle_mm);
        items.extend(set);
        filled = filled.union(own);
    }
    (items, filled)
}

/// Where the labels stand and whether there is room for distances beside their numbers; `None` where not even the numbers find room.
fn middles(seen: &Seen<'_>, axis: Axis, marks: &[Mark]) -> Option<(Vec<f64>, bool)> {
    let long = |m: &Mark| CIRCLE_MM + 0.8 + Letter::BODY.width_mm(&m.text);
    let circles: Vec<f64> = marks.iter().map(|_| CIRCLE_MM).collect();
    let (drawn_mm, page_mm, sizes) = match axis {
        Axis::X => (
            seen.width_mm,
            ALONG_PAGE_MM.0,
            marks.iter().map(long).collect(),
        ),
        Axis::Y => (seen.height_mm, ALONG_PAGE_MM.1, circles.clone()),
    };
    let near = (0.0 - BEYOND_MM, drawn_mm + BEYOND_MM);
    let half_mm = page_mm.max(drawn_mm) / 2.0;
    let wide = (drawn_mm / 2.0 - half_mm, drawn_mm / 2.0 + half_mm);
    let wished: Vec<f64> = marks.iter().map(|m| m.at_mm).collect();
    if let Some(middles) = spread(&wished, &sizes, near) {
        return Some((middles, true));
    }
    let bare = spread(&wished, &circles, near).or_else(|| spread(&wished, &circles, wide))?;
    Some((bare, axis == Axis::Y))
}

/// Moves middles of labels apart so that none meet, by the least squares of the shifts, within `room`; `None` where they do not fit.
///
/// Less the room that the labels before them take, middles must not fall: so this is a fit of a rising sequence, by pooling neighbours.
fn spread(wished: &[f64], sizes: &[f64], room: (f64, f64)) -> Option<Vec<f64>> {
    let mut taken = Vec::new();
    let mut sum_mm = 0.0;
    for (i, size) in sizes.iter().enumerate() {
        if i > 0 {
            sum_mm += (sizes[i - 1] + size) / 2.0 + APART_MM;
        }
        taken.push(sum_mm);
    }
    let ends = (sizes.first().copied()?, sizes.last().copied()?);
    let low = room.0 + ends.0 / 2.0;
    let high = room.1 - ends.1 / 2.0 - sum_mm;
    if low > high {
        return None;
    }
    // Pools of neighbours with the sum of their wishes and their number.
    let mut pools: Vec<(f64, f64)> = Vec::new();
    for (wish, before) in wished.iter().zip(&taken) {
        let mut pool = (wish - before, 1.0);
        while let Some(last) = pools.pop_if(|last| last.0 / last.1 >= pool.0 / pool.1) {
            pool = (pool.0 + last.0, pool.1 + last.1);
        }
        pools.push(pool);
    }
    let mut middles = Vec::new();
    for (sum, count) in pools {
        let middle = (sum / count).clamp(low, high);
        let mut left = count;
        while left > 0.5 {
            middles.push(middle + taken[middles.len()]);
            left -= 1.0;
        }
    }
    Some(middles)
}

/// A line from a label to its score, bent where the label was moved, thin across what lies before the score.
fn leader(axis: Axis, mark: &Mark, middle_mm: f64) -> Item {
    let at = |along: f64, out: f64| match axis {
        Axis::X => Point::new(along, 0.0 - out),
        Axis::Y => Point::new(0.0 - out, along),
    };
    let mut path = BezPath::new();
    path.move_to(at(mark.at_mm, 0.0 - mark.depth_mm));
    path.line_to(at(mark.at_mm, 0.0));
    path.move_to(at(mark.at_mm, START_MM));
    path.line_to(at(mark.at_mm, BEND_MM));
    path.line_to(at(middle_mm, END_MM));
    Item::Stroke {
        path,
        stroke: Stroke::solid(LEADER_LINE_MM),
        paint: Paint::flat(GREY),
    }
}

/// A number in its circle and the distance beside it, with the box they fill.
fn label(axis: Axis, number: &str, text: &str, middle_mm: f64) -> (Vec<Item>, Rect) {
    let text_mm = Letter::BODY.width_mm(text);
    let long_mm = if text.is_empty() {
        CIRCLE_MM
    } else {
        CIRCLE_MM + 0.8 + text_mm
    };
    let (left_mm, y_mm) = match axis {
        Axis::X => (middle_mm - long_mm / 2.0, 0.0 - LABEL_MM - CIRCLE_MM / 2.0),
        Axis::Y => (0.0 - LABEL_MM - long_mm, middle_mm),
    };
    let half_mm = CIRCLE_MM / 2.0;
    // Nearest to the drawing stands the circle left of it, the distance above it.
    let circle_mm = match axis {
        Axis::X => left_mm + half_mm,
        Axis::Y => left_mm + long_mm - half_mm,
    };
    let text_left_mm = match axis {
        Axis::X => left_mm + CIRCLE_MM + 0.8,
        Axis::Y => left_mm,
    };
    let baseline_mm = y_mm + 0.35 * Letter::BODY.size_mm;
    let mut items = Vec::new();
    if let Ok(ring) = circle(CIRCLE_MM) {
        let by = Affine::translate((circle_mm - half_mm, y_mm - half_mm));
        items.push(Item::Stroke {
            path: by * ring.path(),
            stroke: Stroke::solid(0.3),
            paint: Paint::flat(INK),
        });
    }
    items.push(Letter::BODY.about(number, Point::new(circle_mm, baseline_mm), INK));
    items.push(Letter::BODY.at(text, (text_left_mm, baseline_mm), INK));
    let filled = Rect::new(left_mm, y_mm - half_mm, left_mm + long_mm, y_mm + half_mm);
    (items, filled.inflate(0.2, 0.2))
}

/// A thick line beside the edge that lies at the fence.
fn fence(seen: &Seen<'_>, edge: Edge) -> Item {
    let s = seen.scored_bounds();
    let b = s.inflate(FENCE_MM, FENCE_MM);
    let (from, to) = match edge {
        Edge::Top => ((s.x0, b.y0), (s.x1, b.y0)),
        Edge::Bottom => ((s.x0, b.y1), (s.x1, b.y1)),
        Edge::Left => ((b.x0, s.y0), (b.x0, s.y1)),
        Edge::Right => ((b.x1, s.y0), (b.x1, s.y1)),
    };
    let mut path = BezPath::new();
    path.move_to(from);
    path.line_to(to);
    Item::Stroke {
        path,
        stroke: Stroke::solid(FENCE_LINE_MM),
        paint: Paint::flat(INK),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROOM: (f64, f64) = (0.0, 100.0);

    fn near(found: &[f64], want: &[f64]) {
        assert_eq!(found.len(), want.len());
        for (a, b) in found.iter().zip(want) {
            assert!((a - b).abs() < 1e-9, "{found:?}");
        }
    }

    #[test]
    fn labels_with_room_stand_at_their_scores() {
        near(
            &spread(&[20.0, 60.0], &[10.0, 10.0], ROOM).unwrap(),
            &[20.0, 60.0],
        );
    }

    #[test]
    fn labels_that_would_meet_move_apart_evenly() {
        // Middles must be 10 + 1.6 apart: both give way by half of the 9.6 that lack.
        near(
            &spread(&[49.0, 51.0], &[10.0, 10.0], ROOM).unwrap(),
            &[44.2, 55.8],
        );
    }

    #[test]
    fn labels_keep_inside_their_room() {
        near(
            &spread(&[1.0, 2.0], &[10.0, 10.0], ROOM).unwrap(),
            &[5.0, 16.6],
        );
        near(
            &spread(&[98.0, 99.0], &[10.0, 10.0], ROOM).unwrap(),
            &[83.4, 95.0],
        );
        assert_eq!(spread(&[1.0, 2.0], &[60.0, 60.0], ROOM), None);
    }
}

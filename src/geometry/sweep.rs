//! Finding boxes that lie near each other.
//!
//! The boxes are walked by their left edge while those whose right edge has been left behind are dropped: n log n, plus the
//! pairs that share a range of x. Long outlines of short segments have few of those.

use kurbo::Rect;

/// Calls `visit` with the positions of every two boxes that come within the margin of each other, the lower position first.
///
/// The first margin is `margin_mm`; `visit` returns the one to go on with, or `None` to stop.
pub(super) fn visit_near(
    boxes: &[Rect],
    margin_mm: f64,
    mut visit: impl FnMut(usize, usize) -> Option<f64>,
) {
    let mut order: Vec<usize> = (0..boxes.len()).collect();
    order.sort_by(|a, b| boxes[*a].x0.total_cmp(&boxes[*b].x0).then(a.cmp(b)));
    let mut margin_mm = margin_mm;
    let mut open: Vec<usize> = Vec::new();
    for next in order {
        let arriving = boxes[next];
        open.retain(|i| boxes[*i].x1 + margin_mm >= arriving.x0);
        for &other in &open {
            let apart = (boxes[other].y0 - arriving.y1).max(arriving.y0 - boxes[other].y1);
            if apart <= margin_mm {
                match visit(other.min(next), other.max(next)) {
                    Some(margin) => margin_mm = margin,
                    None => return,
                }
            }
        }
        open.push(next);
    }
}

/// Returns the positions of every two boxes with at most `margin_mm` between them, sorted, the lower position first.
///
/// A gap counts by axis, so two boxes near each other corner to corner are reported a little too eagerly.
#[must_use]
pub fn near_pairs(boxes: &[Rect], margin_mm: f64) -> Vec<(usize, usize)> {
    let mut pairs = Vec::new();
    visit_near(boxes, margin_mm, |a, b| {
        pairs.push((a, b));
        Some(margin_mm)
    });
    pairs.sort_unstable();
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_exactly_the_boxes_within_the_margin() {
        // A row of 10 mm boxes every 12 mm, and one above the third.
        let mut boxes: Vec<Rect> = (0..5)
            .map(|i| Rect::new(0.0, 0.0, 10.0, 10.0) + kurbo::Vec2::new(12.0 * f64::from(i), 0.0))
            .collect();
        boxes.push(Rect::new(24.0, -13.0, 34.0, -3.0));
        assert_eq!(near_pairs(&boxes, 1.0), []);
        assert_eq!(near_pairs(&boxes, 2.0), [(0, 1), (1, 2), (2, 3), (3, 4)]);
        assert_eq!(
            near_pairs(&boxes, 3.0),
            [(0, 1), (1, 2), (1, 5), (2, 3), (2, 5), (3, 4), (3, 5)]
        );
    }
}

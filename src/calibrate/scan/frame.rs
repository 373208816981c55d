//! The sheet's own frame in a scan: distances from its left and from its top edge.
//!
//! A scanner that stretches and shears does so with the sheet's edges, too. Distances from a line keep their ratios under any such
//! map, so in this frame the scanner's shear drops out and only its stretch across each edge is left.

use kurbo::{Point, Size, Vec2};

/// One edge of the sheet as a line in the scan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SheetEdge {
    /// The middle of the edge, in the scan's millimetres.
    pub middle: Point,
    /// Unit vector across the edge, into the sheet.
    pub inwards: Vec2,
    /// Standard deviation of the edge's place at its middle, in millimetres.
    pub place_mm: f64,
    /// Standard deviation of its direction, in radians.
    pub tilt_rad: f64,
}

impl SheetEdge {
    /// Returns the distance of a point of the scan from the edge, in millimetres; above zero on the sheet.
    #[must_use]
    pub fn distance_mm(&self, at: Point) -> f64 {
        (at - self.middle).dot(self.inwards)
    }
}

/// The four edges of the sheet, named as they are seen from the sheet's front, whichever side was scanned and however it was turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SheetFrame {
    /// The left edge.
    pub left: SheetEdge,
    /// The top edge.
    pub top: SheetEdge,
    /// The right edge.
    pub right: SheetEdge,
    /// The bottom edge.
    pub bottom: SheetEdge,
}

impl SheetFrame {
    /// Returns where a point of the scan lies on the sheet, seen from the front: distances from the left and the top edge, as the
    /// scanner shows them.
    #[must_use]
    pub fn on_sheet(&self, at: Point) -> Point {
        Point::new(self.left.distance_mm(at), self.top.distance_mm(at))
    }

    /// Returns the sheet's size in millimetres as the scanner shows it.
    #[must_use]
    pub fn size_mm(&self) -> Size {
        let between = |a: &SheetEdge, b: &SheetEdge| {
            f64::midpoint(a.distance_mm(b.middle), b.distance_mm(a.middle))
        };
        Size::new(
            between(&self.left, &self.right),
            between(&self.top, &self.bottom),
        )
    }

    /// Returns how far the top left corner is from a right angle, in radians as the scanner shows it; above zero where it is wider.
    ///
    /// Lines across two edges that meet at a wider angle are nearer to each other than a right angle.
    #[must_use]
    pub fn corner_rad(&self) -> f64 {
        libm::asin(self.left.inwards.dot(self.top.inwards).clamp(-1.0, 1.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edge(middle: (f64, f64), inwards: (f64, f64)) -> SheetEdge {
        SheetEdge {
            middle: middle.into(),
            inwards: Vec2::new(inwards.0, inwards.1).normalize(),
            place_mm: 0.0,
            tilt_rad: 0.0,
        }
    }

    /// By hand: a 200 x 300 mm sheet with its top left corner at (10, 20), a quarter turn clockwise, so that its top edge stands at
    /// the right, x = 310, and its left edge lies at the top, y = 20.
    #[test]
    fn a_sheet_turned_by_a_quarter_keeps_its_own_left_and_top() {
        let frame = SheetFrame {
            left: edge((160.0, 20.0), (0.0, 1.0)),
            right: edge((160.0, 220.0), (0.0, -1.0)),
            top: edge((310.0, 120.0), (-1.0, 0.0)),
            bottom: edge((10.0, 120.0), (1.0, 0.0)),
        };
        let on_sheet = frame.on_sheet(Point::new(300.0, 50.0));
        assert!((on_sheet - Point::new(30.0, 10.0)).hypot2().sqrt() < 1e-12);
        let size = frame.size_mm();
        assert!((size.width - 200.0).abs() < 1e-12 && (size.height - 300.0).abs() < 1e-12);
        assert!(frame.corner_rad().abs() < 1e-12);
    }

    /// The left edge leans outwards going down, towards smaller x, so the corner at the top left is wider than a right angle.
    #[test]
    fn a_corner_wider_than_a_right_angle_counts_above_zero() {
        let square = edge((100.0, 0.0), (0.0, 1.0));
        let frame = SheetFrame {
            left: edge((0.0, 100.0), (1.0, 0.002)),
            right: edge((200.0, 100.0), (-1.0, 0.0)),
            top: square,
            bottom: edge((100.0, 300.0), (0.0, -1.0)),
        };
        // Its direction is (-0.002, 1): at right angles to (1, 0.002).
        assert!((frame.corner_rad() - 0.002).abs() < 1e-8);
    }
}

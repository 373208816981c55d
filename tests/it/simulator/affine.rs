//! The affine map nearest to pairs of points, so that truths can be compared.

use kurbo::{Affine, Point, Vec2};

/// Returns the map of least squares from the first points of the pairs to the second, by its normal equations about the middle.
pub(crate) fn nearest(pairs: &[(Point, Point)]) -> Affine {
    let count = pairs.len() as f64;
    let mean = |of: fn(&(Point, Point)) -> Point| -> Vec2 {
        pairs
            .iter()
            .map(|p| of(p).to_vec2())
            .fold(Vec2::ZERO, |a, b| a + b)
            / count
    };
    let (from_middle, to_middle) = (mean(|p| p.0), mean(|p| p.1));
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    let (mut along_x, mut along_y) = (Vec2::ZERO, Vec2::ZERO);
    for (from, to) in pairs {
        let (from, to) = (from.to_vec2() - from_middle, to.to_vec2() - to_middle);
        xx += from.x * from.x;
        xy += from.x * from.y;
        yy += from.y * from.y;
        along_x += to * from.x;
        along_y += to * from.y;
    }
    let det = xx * yy - xy * xy;
    let x_axis = (along_x * yy - along_y * xy) / det;
    let y_axis = (along_y * xx - along_x * xy) / det;
    let shift = to_middle - x_axis * from_middle.x - y_axis * from_middle.y;
    Affine::new([x_axis.x, x_axis.y, y_axis.x, y_axis.y, shift.x, shift.y])
}

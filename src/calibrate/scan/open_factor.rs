//! What unknown factors and loading leave open of a map.

use kurbo::{Affine, Point};

use crate::fit::Spread;

/// Returns what unknown factors on a map's rows make of it, given the factors' variances.
pub(super) fn factor_spread(map: Affine, about: Point, variances: [f64; 2]) -> Spread {
    let centre = map * about;
    let [a, b, c, d, ..] = map.as_coeffs();
    Spread {
        about,
        x: outer([a, c, centre.x]).map(|v| v * variances[0]),
        y: outer([b, d, centre.y]).map(|v| v * variances[1]),
    }
}

/// Returns a shift and a turn about a point, as variances in square millimetres and square radians.
pub(super) fn loading_spread(about: Point, shift_mm2: [f64; 2], turn_rad2: f64) -> Spread {
    Spread {
        about,
        x: [0.0, 0.0, turn_rad2, 0.0, 0.0, shift_mm2[0]],
        y: [turn_rad2, 0.0, 0.0, 0.0, 0.0, shift_mm2[1]],
    }
}

/// Returns a row times itself, in [`Spread`]'s order.
pub(super) fn outer([x, y, one]: [f64; 3]) -> [f64; 6] {
    [x * x, x * y, y * y, x * one, y * one, one * one]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: an unknown factor of 0.1 % on x moves a point 200 mm from the left edge by 0.2 mm, and leaves y alone.
    #[test]
    fn an_unknown_factor_grows_from_the_edge() {
        let spread = factor_spread(Affine::IDENTITY, Point::new(100.0, 150.0), [1e-6, 0.0]);
        let (x, y) = spread.variances_mm2(Point::new(200.0, 7.0));
        assert!((x.sqrt() - 0.2).abs() < 1e-9 && y.abs() < 1e-15);
        let (x, _) = spread.variances_mm2(Point::new(0.0, 7.0));
        assert!(x.abs() < 1e-12);
    }

    /// By hand: a turn of 1 mrad moves what lies 100 mm below by 0.1 mm across.
    #[test]
    fn a_turn_grows_from_the_middle() {
        let spread = loading_spread(Point::new(100.0, 150.0), [0.0, 0.04], 1e-6);
        let (x, y) = spread.variances_mm2(Point::new(100.0, 250.0));
        assert!((x.sqrt() - 0.1).abs() < 1e-9 && (y.sqrt() - 0.2).abs() < 1e-9);
    }
}

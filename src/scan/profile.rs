//! Grey values along a line, and where they step.

use kurbo::{Point, Vec2};

use super::picture::Picture;

/// Parts of a gradient below this share of its peak are noise.
const NOISE_FLOOR: f64 = 0.15;

/// A stretch along which the picture is sampled.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch {
    pub(super) start: Point,
    /// One pixel along.
    pub(super) along: Vec2,
    pub(super) step_px: f64,
    pub(super) count: u32,
}

impl Stretch {
    /// Returns the stretch of at least the given length.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a length is a part of a picture"
    )]
    pub(super) fn new(start: Point, along: Vec2, length_px: f64, step_px: f64) -> Self {
        Self {
            start,
            along,
            step_px,
            count: (length_px / step_px).ceil().max(0.0) as u32 + 1,
        }
    }

    /// Returns the place of a sample, or of a part between two.
    pub(super) fn place(&self, sample: f64) -> Point {
        self.start + self.along * (self.step_px * sample)
    }

    /// Returns the values, each the mean of `lanes` beside each other one pixel apart, or `None` if one lies outside the picture.
    pub(super) fn values(&self, picture: &Picture, lanes: u32) -> Option<Vec<f64>> {
        let aside = Vec2::new(-self.along.y, self.along.x);
        let middle = f64::from(lanes - 1) / 2.0;
        (0..self.count)
            .map(|i| {
                let at = self.place(f64::from(i));
                let sum = (0..lanes)
                    .map(|lane| picture.value_at(at + aside * (f64::from(lane) - middle)))
                    .sum::<Option<f64>>()?;
                Some(sum / f64::from(lanes))
            })
            .collect()
    }
}

/// The largest rise in a gradient, in samples.
#[derive(Debug, Clone, Copy)]
pub(super) struct Peak {
    /// By how much the values rise.
    pub(super) rise: f64,
    /// Where its centroid is.
    pub(super) at: f64,
    /// Its standard deviation about the centroid.
    pub(super) width: f64,
}

/// Returns the differences of neighbours, in samples counted from half a step behind the first.
pub(super) fn gradient(values: &[f64]) -> Vec<f64> {
    values.windows(2).map(|pair| pair[1] - pair[0]).collect()
}

/// Returns the rise about the steepest place, or `None` if nothing rises.
pub(super) fn peak(gradient: &[f64]) -> Option<Peak> {
    let (top, highest) = gradient
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.total_cmp(b.1))?;
    if highest.is_nan() || *highest <= 0.0 {
        return None;
    }
    let floor = NOISE_FLOOR * highest;
    let from = gradient[..top]
        .iter()
        .rposition(|g| *g <= 0.0)
        .map_or(0, |i| i + 1);
    let to = gradient[top..]
        .iter()
        .position(|g| *g <= 0.0)
        .map_or(gradient.len(), |i| top + i);
    let (mut sum, mut first, mut second) = (0.0, 0.0, 0.0);
    for (place, value) in (0_u32..).zip(gradient).take(to).skip(from) {
        let weight = (value - floor).max(0.0);
        let place = f64::from(place);
        sum += weight;
        first += weight * place;
        second += weight * place * place;
    }
    let mean = first / sum;
    Some(Peak {
        rise: gradient[from..to].iter().sum(),
        // The difference of samples i and i + 1 stands between them.
        at: mean + 0.5,
        width: (second / sum - mean * mean).max(0.0).sqrt(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rise_is_found_where_its_gradient_balances() {
        // Steps of 10, 20 and 10 between samples 2 and 5: the middle one stands at 3.5.
        let found = peak(&gradient(&[5.0, 5.0, 5.0, 15.0, 35.0, 45.0, 45.0, 40.0])).unwrap();
        assert!((found.at - 3.5).abs() < 1e-12 && (found.rise - 40.0).abs() < 1e-12);
        assert!(peak(&gradient(&[9.0, 9.0, 3.0])).is_none());
        assert!(peak(&gradient(&[f64::NAN, 1.0])).is_none());
    }

    #[test]
    fn lanes_beside_each_other_are_averaged() {
        let picture = Picture::from_grey(3, 3, vec![0, 0, 0, 30, 60, 90, 60, 60, 60]).unwrap();
        let stretch = Stretch::new(Point::new(0.5, 1.5), Vec2::new(1.0, 0.0), 1.0, 1.0);
        assert_eq!(stretch.values(&picture, 1), Some(vec![30.0, 60.0]));
        let outside = Stretch::new(Point::new(0.5, 0.5), Vec2::new(1.0, 0.0), 1.0, 1.0);
        assert_eq!(outside.values(&picture, 3), None);
    }
}

//! The small copy of a picture in which targets are looked for.

use image::GrayImage;
use imageproc::kernel::Kernel;
use kurbo::Point;

use super::picture::Picture;

/// A target's radius in the small copy: that of 6 mm at about 120 dpi.
pub(super) const RADIUS_PX: f64 = 14.0;
/// Below this radius the copy is twice as large as the picture, for whole pixels are too coarse to judge a shape.
const LEAST_RADIUS_PX: f64 = 10.0;

/// How a small copy is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Reduction {
    /// Two pixels for each one across and down.
    Doubled,
    /// One pixel, the mean, for a square of this many across and down.
    By(u32),
}

impl Reduction {
    /// Chooses the copy in which a radius in the picture becomes about [`RADIUS_PX`].
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a radius is positive and smaller than a picture"
    )]
    pub(super) fn for_radius(radius_px: f64) -> Self {
        if radius_px < LEAST_RADIUS_PX {
            Self::Doubled
        } else {
            Self::By(((radius_px / RADIUS_PX).round() as u32).max(1))
        }
    }

    /// Returns the pixels of the picture that one of the copy stands for.
    pub(super) fn step(self) -> f64 {
        match self {
            Self::Doubled => 0.5,
            Self::By(side) => f64::from(side),
        }
    }

    /// Makes the copy, lightly blurred where it has as many pixels as the picture or more.
    pub(super) fn of(self, picture: &Picture) -> GrayImage {
        match self {
            Self::Doubled => blurred(&doubled(picture)),
            Self::By(1) => blurred(picture.grey()),
            Self::By(side) => mean_of_squares(picture.grey(), side as usize),
        }
    }
}

/// Weighs each pixel with its neighbours as 1 : 2 : 1, across and down.
fn blurred(grey: &GrayImage) -> GrayImage {
    let weights = [1_u32, 2, 1, 2, 4, 2, 1, 2, 1];
    let kernel = Kernel::new(&weights, 3, 3);
    imageproc::filter::filter(grey, kernel, |sum: u32| {
        u8::try_from((sum + 8) / 16).unwrap_or(u8::MAX)
    })
}

fn doubled(picture: &Picture) -> GrayImage {
    let (width, height) = (2 * picture.width_px(), 2 * picture.height_px());
    GrayImage::from_fn(width, height, |x, y| {
        let at = |i: u32, count: u32| {
            (f64::from(i) / 2.0 + 0.25).clamp(0.5, (f64::from(count) - 0.501).max(0.5))
        };
        let at = Point::new(at(x, picture.width_px()), at(y, picture.height_px()));
        image::Luma([to_grey(picture.value_at(at).unwrap_or(255.0))])
    })
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a mean of grey values is one"
)]
fn to_grey(value: f64) -> u8 {
    value.round() as u8
}

/// Leaves out the last pixels where the sides are no multiples.
fn mean_of_squares(grey: &GrayImage, side: usize) -> GrayImage {
    let width = grey.width() as usize;
    let (across, down) = (width / side, grey.height() as usize / side);
    let mut sums = vec![0_u32; across];
    let mut out = Vec::with_capacity(across * down);
    let area = u32::try_from(side * side).unwrap_or(u32::MAX);
    for rows in grey.as_raw().chunks_exact(width * side).take(down) {
        sums.fill(0);
        for row in rows.chunks_exact(width) {
            for (sum, pixels) in sums.iter_mut().zip(row.chunks_exact(side)) {
                *sum += pixels.iter().map(|p| u32::from(*p)).sum::<u32>();
            }
        }
        out.extend(
            sums.iter()
                .map(|sum| u8::try_from((sum + area / 2) / area).unwrap_or(u8::MAX)),
        );
    }
    let (across, down) = (
        u32::try_from(across).unwrap_or(0),
        u32::try_from(down).unwrap_or(0),
    );
    GrayImage::from_raw(across, down, out).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_target_of_6_mm_at_600_dpi_is_looked_for_in_a_fifth() {
        // 3 mm at 600 dpi are 70.9 px; 70.9 / 14 = 5.06.
        assert_eq!(Reduction::for_radius(70.9), Reduction::By(5));
        assert_eq!(Reduction::for_radius(11.8), Reduction::By(1));
        assert_eq!(Reduction::for_radius(8.9), Reduction::Doubled);
    }

    #[test]
    fn squares_become_their_means_and_rests_are_left_out() {
        let grey = vec![0, 100, 7, 20, 40, 9, 1, 1, 1];
        let picture = Picture::from_grey(3, 3, grey).unwrap();
        let small = Reduction::By(2).of(&picture);
        assert_eq!(
            (small.dimensions(), small.as_raw().as_slice()),
            ((1, 1), &[40][..])
        );
        assert_eq!(Reduction::By(4).of(&picture).dimensions(), (0, 0));
    }

    #[test]
    fn a_ramp_is_still_a_ramp_when_doubled() {
        let picture = Picture::from_grey(4, 2, [0, 40, 80, 120].repeat(2)).unwrap();
        let large = doubled(&picture);
        assert_eq!(&large.as_raw()[..8], &[0, 10, 30, 50, 70, 90, 110, 120]);
    }
}

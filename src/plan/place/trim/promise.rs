//! What free paper is worth before anything lies on it.

use super::block::size_nm2;

/// Steps into which heights are sorted, as a power of two.
const STEP_BITS: u32 = 9;

/// Worth of free rectangles: their size at a rate, or nothing if no box fits.
#[derive(Debug, Clone)]
pub(super) struct Promise {
    /// For each step of height, the least width of a box no higher.
    least_width_nm: Vec<i64>,
    shift: u32,
    rate: f64,
}

impl Promise {
    /// The promise for boxes of these widths and heights on paper no higher than `tallest_nm`, at `rate` for a square nanometre.
    pub(super) fn new(boxes: impl Iterator<Item = (i64, i64)>, tallest_nm: i64, rate: f64) -> Self {
        let shift = (i64::BITS - tallest_nm.leading_zeros()).saturating_sub(STEP_BITS);
        let mut promise = Self {
            least_width_nm: vec![i64::MAX; 1 << STEP_BITS],
            shift,
            rate,
        };
        for (width_nm, height_nm) in boxes {
            let step = promise.step(height_nm);
            let least = &mut promise.least_width_nm[step];
            *least = width_nm.min(*least);
        }
        for step in 1..promise.least_width_nm.len() {
            let below = promise.least_width_nm[step - 1];
            let least = &mut promise.least_width_nm[step];
            *least = below.min(*least);
        }
        promise
    }

    fn step(&self, height_nm: i64) -> usize {
        usize::try_from(height_nm >> self.shift).map_or(0, |step| step.min((1 << STEP_BITS) - 1))
    }

    /// Worth of a free rectangle. Within a step of height a box counts as fitting that is a hair too high.
    pub(super) fn of(&self, width_nm: i64, height_nm: i64) -> f64 {
        if width_nm < self.least_width_nm[self.step(height_nm)] {
            0.0
        } else {
            self.rate * size_nm2(width_nm, height_nm)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paper_is_worth_its_size_where_the_narrowest_box_low_enough_fits() {
        let promise = Promise::new([(10, 300), (40, 20)].into_iter(), 511, 0.5);
        assert!(promise.of(39, 299) < 1e-12);
        assert!((promise.of(40, 20) - 400.0).abs() < 1e-9);
        assert!((promise.of(10, 300) - 1500.0).abs() < 1e-9);
        assert!(promise.of(9, 511) < 1e-12);
        assert!(promise.of(511, 0) < 1e-12);
    }
}

//! Random numbers of a named generator, so that the same seed gives the same layout everywhere.
//!
//! PCG XSH RR 64/32: M. E. O'Neill, "PCG: A family of simple fast space-efficient statistically good algorithms for random number
//! generation", 2014, section 6.3.1.

/// The generator.
#[derive(Debug, Clone)]
pub(super) struct Random {
    state: u64,
}

const MULTIPLIER: u64 = 6_364_136_223_846_793_005;
const INCREMENT: u64 = 1_442_695_040_888_963_407;

impl Random {
    /// Returns the generator for a task's number.
    pub(super) fn new(seed: u64) -> Self {
        let mut random = Self {
            state: seed.wrapping_add(INCREMENT),
        };
        random.next();
        random
    }

    fn next(&mut self) -> u32 {
        let old = self.state;
        self.state = old.wrapping_mul(MULTIPLIER).wrapping_add(INCREMENT);
        let mixed = (((old >> 18) ^ old) >> 27) & 0xffff_ffff;
        let turned = u32::try_from(mixed).expect("masked to 32 bits");
        turned.rotate_right(u32::try_from(old >> 59).expect("five bits remain"))
    }

    /// Returns a number from 0 to below 1.
    pub(super) fn unit(&mut self) -> f64 {
        f64::from(self.next()) / (f64::from(u32::MAX) + 1.0)
    }

    /// Returns a number from `low` to below `high`; `low` if there is none.
    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + self.unit() * (high - low).max(0.0)
    }

    /// Returns a whole number below `count`.
    ///
    /// # Panics
    ///
    /// Panics if `count` is 0.
    pub(super) fn below(&mut self, count: usize) -> usize {
        let wide = u64::try_from(count).expect("a count fits") * u64::from(self.next());
        usize::try_from(wide >> 32).expect("less than the count")
    }

    /// Returns a whole number below `count`, a low one likelier than a high one.
    ///
    /// # Panics
    ///
    /// Panics if `count` is 0.
    pub(super) fn low(&mut self, count: usize) -> usize {
        self.below(count).min(self.below(count))
    }

    /// Puts the items into random order.
    pub(super) fn shuffle<T>(&mut self, items: &mut [T]) {
        for end in (1..items.len()).rev() {
            items.swap(end, self.below(end + 1));
        }
    }
}

//! Repeatable chance.

/// The generator `SplitMix64` (Steele, Lea and Flood 2014): one word of state, fast enough to give every pixel its noise.
#[derive(Debug, Clone)]
pub(crate) struct Random(u64);

impl Random {
    /// Starts from a seed; near seeds give unrelated numbers.
    pub(crate) fn new(seed: u64) -> Self {
        let mut random = Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x1234_5678_9abc_def0);
        random.bits();
        random
    }

    /// Starts a generator of its own for a purpose, so that one more draw here changes nothing there.
    pub(crate) fn branch(&self, purpose: u64) -> Self {
        Self::new(self.0 ^ purpose.wrapping_mul(0xd134_2543_de82_ef95))
    }

    pub(crate) fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        mix(self.0)
    }

    /// Evenly between two numbers.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * ((self.bits() >> 11) as f64 / (1_u64 << 53) as f64)
    }

    /// Evenly between minus and plus a number.
    pub(crate) fn about_zero(&mut self, reach: f64) -> f64 {
        self.between(-reach, reach)
    }

    /// True in a share of cases.
    pub(crate) fn chance(&mut self, share: f64) -> bool {
        self.between(0.0, 1.0) < share
    }

    pub(crate) fn below(&mut self, count: usize) -> usize {
        (self.bits() % count as u64) as usize
    }

    /// Normal with mean 0 and standard deviation 1, by Box and Muller's method.
    pub(crate) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * libm::log(self.between(f64::MIN_POSITIVE, 1.0))).sqrt();
        radius * libm::cos(self.between(0.0, std::f64::consts::TAU))
    }

    /// Nearly normal with mean 0 and standard deviation 1, from one word: the sum of four even numbers of 16 bits.
    pub(crate) fn rough_normal(&mut self) -> f32 {
        rough_normal(self.bits())
    }
}

/// Nearly normal noise that belongs to a place.
pub(crate) fn noise_at(x: u64, y: u64, seed: u64) -> f32 {
    rough_normal(mix(
        mix(seed ^ x.wrapping_mul(0x9e37_79b9_7f4a_7c15)) ^ y.wrapping_mul(0xbf58_476d_1ce4_e5b9)
    ))
}

fn mix(mut z: u64) -> u64 {
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

fn rough_normal(bits: u64) -> f32 {
    let sum = (bits & 0xffff) + ((bits >> 16) & 0xffff) + ((bits >> 32) & 0xffff) + (bits >> 48);
    // Four even numbers of unit width have the variance 4/12.
    (sum as f32 - 131_070.0) * (1.732_050_8 / 65_535.0)
}

//! Lengths as makers write them, held exactly.
//!
//! [`Length`] counts whole nanometres, [`Size`] is a length greater than zero. Reading order: this file for the types and
//! their arithmetic, `unit.rs` for the units; `parse.rs` for reading text, and behind it `written.rs`, `reader.rs`,
//! `quantity.rs` and `token.rs`; `error.rs` for what can be wrong with a text; `display.rs` for writing, `respell.rs` for
//! writing in the spelling of a text, `covering.rs` for what was measured.

mod covering;
mod display;
mod error;
mod parse;
mod quantity;
mod reader;
mod respell;
mod token;
mod unit;
mod written;

use std::iter::Sum;
use std::ops::{Add, Mul, Neg, Sub};

pub use covering::{covering_inches, with_covering_inches};
pub use display::LengthStyle;
pub use error::LengthError;
pub use parse::{is_in_inches, parse_pair, parse_point, parse_sizes};
pub use respell::{Parted, TypedLength, respelled, typed_lengths};
pub use unit::LengthUnit;

/// Millimetres in an inch: exactly 25.4 since the international yard and pound agreement of 1959.
pub const MM_PER_INCH: f64 = 25.4;

const NM_PER_UM: i64 = 1_000;
const NM_PER_MM: i64 = 1_000_000;
const NM_PER_INCH: i64 = 25_400_000;

/// A signed length in whole nanometres.
///
/// Nanometres hold every inch fraction down to 1/64 in (396 875 nm) and six decimals of a millimetre exactly, which
/// micrometres do not (1/16 in = 1 587.5 µm). Sums are exact and comparisons are plain `==`.
///
/// The operators panic instead of wrapping round. Text is refused beyond 100 m, so a sum of a project's lengths stays far
/// from that; a product with a number that a user typed goes through [`checked_mul`](Self::checked_mul).
///
/// # Examples
///
/// ```
/// use sheetwright::length::Length;
/// let width = Length::parse("2 1/4 in", None)?;
/// assert_eq!(width, Length::parse("57.15 mm", None)?);
/// assert_eq!(width.nm(), 57_150_000);
/// # Ok::<(), sheetwright::length::LengthError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

impl Length {
    /// No length.
    pub const ZERO: Self = Self(0);

    /// Returns the length of `nm` nanometres.
    #[must_use]
    pub const fn from_nm(nm: i64) -> Self {
        Self(nm)
    }

    /// Returns the length of `um` micrometres.
    ///
    /// # Panics
    ///
    /// Panics beyond 9 million kilometres.
    #[must_use]
    pub const fn from_um(um: i64) -> Self {
        Self(
            um.checked_mul(NM_PER_UM)
                .expect("micrometres fit into nanometres"),
        )
    }

    /// Returns the length of `mm` millimetres.
    ///
    /// # Panics
    ///
    /// Panics beyond 9 million kilometres.
    #[must_use]
    pub const fn from_mm(mm: i64) -> Self {
        Self(
            mm.checked_mul(NM_PER_MM)
                .expect("millimetres fit into nanometres"),
        )
    }

    /// Returns the length nearest to a number of millimetres, in whole nanometres.
    #[must_use]
    pub fn nearest_mm(mm: f64) -> Self {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "the nearest there is, if it does not fit"
        )]
        Self((mm * 1e6).round() as i64)
    }

    /// Returns `numerator / denominator` inches, rounded half to even to whole nanometres.
    ///
    /// # Panics
    ///
    /// Panics if the denominator is not positive, and beyond 9 million kilometres.
    ///
    /// # Examples
    ///
    /// ```
    /// use sheetwright::length::Length;
    /// assert_eq!(Length::from_inch_fraction(17, 2).nm(), 215_900_000);
    /// ```
    #[must_use]
    pub const fn from_inch_fraction(numerator: i64, denominator: i64) -> Self {
        assert!(
            denominator > 0,
            "an inch fraction needs a positive denominator"
        );
        let nm = divide_half_even(numerator as i128 * NM_PER_INCH as i128, denominator as i128);
        Self(to_i64(nm).expect("inches fit into nanometres"))
    }

    /// Returns the length in nanometres.
    #[must_use]
    pub const fn nm(self) -> i64 {
        self.0
    }

    /// Returns the length in millimetres, the unit of drawn geometry.
    #[must_use]
    pub fn to_mm(self) -> f64 {
        self.0 as f64 / NM_PER_MM as f64
    }

    /// Returns the length without its sign.
    ///
    /// # Panics
    ///
    /// Panics on the one length whose opposite does not fit, `i64::MIN` nanometres.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self(
            self.0
                .checked_abs()
                .expect("the opposite length fits into nanometres"),
        )
    }

    /// Returns the sum, or `None` if it does not fit.
    #[must_use]
    pub fn checked_add(self, other: Self) -> Option<Self> {
        self.0.checked_add(other.0).map(Self)
    }

    /// Returns the difference, or `None` if it does not fit.
    #[must_use]
    pub fn checked_sub(self, other: Self) -> Option<Self> {
        self.0.checked_sub(other.0).map(Self)
    }

    /// Returns the product with a count, or `None` if it does not fit.
    #[must_use]
    pub fn checked_mul(self, count: i64) -> Option<Self> {
        self.0.checked_mul(count).map(Self)
    }
}

impl Add for Length {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        self.checked_add(other)
            .expect("a sum of lengths fits into nanometres")
    }
}

impl Sub for Length {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        self.checked_sub(other)
            .expect("a difference of lengths fits into nanometres")
    }
}

impl Neg for Length {
    type Output = Self;

    fn neg(self) -> Self {
        Self::ZERO - self
    }
}

impl Mul<i64> for Length {
    type Output = Self;

    fn mul(self, count: i64) -> Self {
        self.checked_mul(count)
            .expect("a multiple of a length fits into nanometres")
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Self>>(lengths: I) -> Self {
        lengths.fold(Self::ZERO, Add::add)
    }
}

/// A length greater than zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Size(Length);

impl Size {
    /// Returns the size of that length, or `None` if it is zero or negative.
    #[must_use]
    pub fn new(length: Length) -> Option<Self> {
        (length > Length::ZERO).then_some(Self(length))
    }

    /// Returns the size as a length.
    #[must_use]
    pub const fn length(self) -> Length {
        self.0
    }

    /// Returns the size in millimetres, the unit of drawn geometry.
    #[must_use]
    pub fn to_mm(self) -> f64 {
        self.0.to_mm()
    }
}

/// Returns `numerator / denominator` rounded to a whole number, halves to the even one. The denominator is positive.
const fn divide_half_even(numerator: i128, denominator: i128) -> i128 {
    let floor = numerator.div_euclid(denominator);
    let rest = numerator.rem_euclid(denominator);
    let above_half = rest > denominator - rest;
    let at_half = rest == denominator - rest;
    if above_half || (at_half && floor % 2 != 0) {
        floor + 1
    } else {
        floor
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the range is checked in the line above the cast"
)]
const fn to_i64(value: i128) -> Option<i64> {
    if value < i64::MIN as i128 || value > i64::MAX as i128 {
        return None;
    }
    Some(value as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sixty_fourth_inch_is_a_whole_number_of_nanometres() {
        // 25.4 mm / 64 = 0.396875 mm, by the definition of the inch.
        assert_eq!(Length::from_inch_fraction(1, 64).nm(), 396_875);
        assert_eq!(
            Length::from_inch_fraction(1, 16) * 4,
            Length::from_inch_fraction(1, 4)
        );
    }

    #[test]
    fn the_strip_of_a_small_box_adds_up() {
        // Common practice, no source: a 7 3/8 in strip creased at 3/8, 7/8, 2 3/4, 3 1/4, 5 1/8 and 7 in.
        let eighths = [0, 3, 7, 22, 26, 41, 56, 59];
        let at: Vec<_> = eighths
            .iter()
            .map(|n| Length::from_inch_fraction(*n, 8))
            .collect();
        let panels: Vec<_> = at.windows(2).map(|pair| pair[1] - pair[0]).collect();
        let want = [(3, 8), (1, 2), (15, 8), (1, 2), (15, 8), (15, 8), (3, 8)];
        assert_eq!(panels, want.map(|(n, d)| Length::from_inch_fraction(n, d)));
        assert_eq!(
            panels.into_iter().sum::<Length>(),
            Length::from_inch_fraction(59, 8)
        );
    }

    #[test]
    fn an_even_reveal_leaves_an_eighth_all_round() {
        // Common practice, no source: a 2 1/4 x 1 5/8 in layer on a 2 1/2 x 1 7/8 in panel.
        let reveal = Length::from_inch_fraction(1, 8);
        assert_eq!(
            Length::from_inch_fraction(5, 2) - reveal * 2,
            Length::from_inch_fraction(9, 4)
        );
        assert_eq!(
            Length::from_inch_fraction(15, 8) - reveal * 2,
            Length::from_inch_fraction(13, 8)
        );
    }

    #[test]
    fn halves_of_a_nanometre_round_to_even() {
        for (numerator, want) in [(1, 0), (3, 2), (5, 2), (7, 4), (-1, 0), (-3, -2), (-5, -2)] {
            assert_eq!(divide_half_even(numerator, 2), want, "{numerator}/2");
        }
        // 13/3 in = 110 066 666.67 nm.
        assert_eq!(Length::from_inch_fraction(13, 3).nm(), 110_066_667);
    }

    #[test]
    fn what_does_not_fit_is_refused() {
        let most = Length::from_nm(i64::MAX);
        assert_eq!(most.checked_add(Length::from_nm(1)), None);
        assert_eq!(
            Length::from_nm(i64::MIN).checked_sub(Length::from_nm(1)),
            None
        );
        assert_eq!(most.checked_mul(2), None);
    }

    #[test]
    #[should_panic(expected = "sum of lengths")]
    fn a_sum_never_wraps_round() {
        let _ = Length::from_nm(i64::MAX) + Length::from_nm(1);
    }

    #[test]
    fn a_size_is_greater_than_zero() {
        assert_eq!(Size::new(Length::ZERO), None);
        assert_eq!(Size::new(Length::from_nm(-1)), None);
        assert_eq!(
            Size::new(Length::from_nm(1)).map(Size::length),
            Some(Length::from_nm(1))
        );
    }

    #[test]
    fn millimetres_come_out_as_the_nearest_float() {
        assert_eq!(
            Length::from_inch_fraction(17, 2).to_mm().to_bits(),
            215.9_f64.to_bits()
        );
        assert_eq!(
            Length::from_um(-1_500).to_mm().to_bits(),
            (-1.5_f64).to_bits()
        );
        assert_eq!((-Length::from_mm(3)).abs(), Length::from_um(3_000));
    }
}

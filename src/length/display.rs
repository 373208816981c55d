//! Writing lengths for people.

use super::{Length, LengthUnit, divide_half_even};

const NM_PER_SIXTY_FOURTH: i64 = 396_875;
const NM_PER_HALF_MM: i64 = 500_000;
/// 1/10 000 in is finer than any rule can be read.
const INCH_DECIMALS: u32 = 4;
/// A micrometre is finer than any rule can be read.
const MM_DECIMALS: u32 = 3;

/// How lengths are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum LengthStyle {
    /// `2 1/4 in`: whole inches and a fraction in lowest terms, down to 1/64; off that grid as [`Self::InchDecimals`].
    InchFractions,
    /// `2.25 in`: at most four decimals.
    InchDecimals,
    /// `57.15 mm`: at most three decimals.
    #[default]
    Millimetres,
}

impl Length {
    /// Returns the length as text with its unit.
    ///
    /// # Examples
    ///
    /// ```
    /// use sheetwright::length::{Length, LengthStyle};
    /// let width = Length::from_inch_fraction(9, 4);
    /// assert_eq!(width.display(LengthStyle::InchFractions), "2 1/4 in");
    /// assert_eq!(width.display(LengthStyle::InchDecimals), "2.25 in");
    /// assert_eq!(width.display(LengthStyle::Millimetres), "57.15 mm");
    /// ```
    #[must_use]
    pub fn display(self, style: LengthStyle) -> String {
        match style {
            LengthStyle::InchFractions => {
                inch_fraction(self).unwrap_or_else(|| self.display(LengthStyle::InchDecimals))
            }
            LengthStyle::InchDecimals => self.decimal(LengthUnit::Inch, INCH_DECIMALS) + " in",
            LengthStyle::Millimetres => self.decimal(LengthUnit::Millimetre, MM_DECIMALS) + " mm",
        }
    }

    /// Returns the length as it is told where nobody types it again, such as a limit or a result.
    ///
    /// In inch fractions what lies between sixty-fourths is told in millimetres where it was meant so (half millimetres, and what is
    /// thinner than 1/16 in), else as the nearest sixty-fourth with "about"; decimals of an inch are on no ruler.
    ///
    /// # Examples
    ///
    /// ```
    /// use sheetwright::length::{Length, LengthStyle};
    /// let told = |um| Length::from_um(um).told(LengthStyle::InchFractions);
    /// assert_eq!([told(57_150), told(3000), told(270)], ["2 1/4 in", "3 mm", "0.27 mm"]);
    /// // 46.83 mm is 117.999 sixty-fourths.
    /// assert_eq!(told(46_830), "about 1 27/32 in");
    /// assert_eq!(Length::from_um(46_830).told(LengthStyle::Millimetres), "46.83 mm");
    /// ```
    #[must_use]
    pub fn told(self, style: LengthStyle) -> String {
        match style {
            LengthStyle::InchFractions => inch_fraction(self).unwrap_or_else(|| {
                let is_thin = self.0.abs() < 4 * NM_PER_SIXTY_FOURTH;
                if is_thin || self.0 % NM_PER_HALF_MM == 0 {
                    self.display(LengthStyle::Millimetres)
                } else {
                    let nearest = Self(self.0 + NM_PER_SIXTY_FOURTH / 2).down_to_ruler(style);
                    format!("about {}", nearest.display(style))
                }
            }),
            LengthStyle::InchDecimals | LengthStyle::Millimetres => self.display(style),
        }
    }

    /// Returns two lengths as [`told`](Self::told), both in millimetres if they would read the same and are not.
    #[must_use]
    pub fn told_apart(self, other: Self, style: LengthStyle) -> (String, String) {
        let told = (self.told(style), other.told(style));
        if told.0 == told.1 && self != other {
            let metric = LengthStyle::Millimetres;
            (self.display(metric), other.display(metric))
        } else {
            told
        }
    }

    /// Returns the greatest length that is not more and can be typed as it is shown: a whole number of sixty-fourths or thousandths of
    /// an inch, or hundredths of a millimetre.
    ///
    /// ```
    /// use sheetwright::length::{Length, LengthStyle};
    /// // 5 mm is 12.6 sixty-fourths.
    /// let five = Length::from_mm(5);
    /// assert_eq!(five.down_to_ruler(LengthStyle::InchFractions), Length::from_inch_fraction(12, 64));
    /// assert_eq!(five.up_to_ruler(LengthStyle::InchFractions), Length::from_inch_fraction(13, 64));
    /// ```
    #[must_use]
    pub const fn down_to_ruler(self, style: LengthStyle) -> Self {
        let step = ruler_step_nm(style);
        Self(self.0.div_euclid(step) * step)
    }

    /// Returns the least length that is not less and can be typed as it is shown.
    #[must_use]
    pub const fn up_to_ruler(self, style: LengthStyle) -> Self {
        let step = ruler_step_nm(style);
        Self(-((-self.0).div_euclid(step)) * step)
    }

    /// Returns whether the length is a whole number of sixty-fourths of an inch.
    #[must_use]
    pub const fn is_inch_fraction(self) -> bool {
        self.0 % NM_PER_SIXTY_FOURTH == 0
    }

    /// Returns the number of units, without the unit, with at most that many decimals; closing zeros and point are left out.
    pub(crate) fn decimal(self, unit: LengthUnit, most_decimals: u32) -> String {
        let scale = 10_i128.pow(most_decimals);
        let (unit_numerator, unit_denominator) = unit.nm();
        let scaled = divide_half_even(
            i128::from(self.0) * scale * unit_denominator,
            unit_numerator,
        );
        let sign = if scaled < 0 { "-" } else { "" };
        let (whole, rest) = (scaled.abs() / scale, scaled.abs() % scale);
        let digits = format!("{rest:0width$}", width = most_decimals as usize);
        let digits = digits.trim_end_matches('0');
        let point = if digits.is_empty() { "" } else { "." };
        format!("{sign}{whole}{point}{digits}")
    }
}

/// The step of lengths that are typed as they are shown.
const fn ruler_step_nm(style: LengthStyle) -> i64 {
    match style {
        LengthStyle::InchFractions => NM_PER_SIXTY_FOURTH,
        LengthStyle::InchDecimals => 25_400,
        LengthStyle::Millimetres => 10_000,
    }
}

/// Returns the length in inches and a fraction, or `None` if it is no whole number of sixty-fourths.
fn inch_fraction(length: Length) -> Option<String> {
    if !length.is_inch_fraction() {
        return None;
    }
    let sign = if length.0 < 0 { "-" } else { "" };
    let parts = (length.0 / NM_PER_SIXTY_FOURTH).unsigned_abs();
    let (whole, rest) = (parts / 64, parts % 64);
    let common = 1_u64 << rest.trailing_zeros().min(6);
    let (numerator, denominator) = (rest / common, 64 / common);
    Some(match (whole, rest) {
        (_, 0) => format!("{sign}{whole} in"),
        (0, _) => format!("{sign}{numerator}/{denominator} in"),
        _ => format!("{sign}{whole} {numerator}/{denominator} in"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inches(numerator: i64, denominator: i64) -> String {
        Length::from_inch_fraction(numerator, denominator).display(LengthStyle::InchFractions)
    }

    #[test]
    fn fractions_come_in_lowest_terms() {
        assert_eq!(inches(8, 16), "1/2 in");
        assert_eq!(inches(18, 8), "2 1/4 in");
        assert_eq!(inches(33, 32), "1 1/32 in");
        assert_eq!(inches(1, 64), "1/64 in");
        assert_eq!(inches(12, 1), "12 in");
        assert_eq!(inches(0, 1), "0 in");
        assert_eq!(inches(-9, 4), "-2 1/4 in");
        assert_eq!(inches(-1, 8), "-1/8 in");
    }

    #[test]
    fn lengths_off_the_grid_fall_back_to_decimals() {
        // 46.83 mm / 25.4 = 1.843 700 787 in.
        assert_eq!(
            Length::from_um(46_830).display(LengthStyle::InchFractions),
            "1.8437 in"
        );
        assert_eq!(
            Length::from_um(-46_830).display(LengthStyle::InchFractions),
            "-1.8437 in"
        );
    }

    #[test]
    fn decimals_are_rounded_and_trimmed() {
        assert_eq!(
            Length::from_mm(57).display(LengthStyle::Millimetres),
            "57 mm"
        );
        assert_eq!(
            Length::from_um(57_150).display(LengthStyle::Millimetres),
            "57.15 mm"
        );
        assert_eq!(
            Length::from_nm(396_875).display(LengthStyle::Millimetres),
            "0.397 mm"
        );
        assert_eq!(
            Length::from_nm(-499).display(LengthStyle::Millimetres),
            "0 mm"
        );
        assert_eq!(
            Length::from_um(-50).display(LengthStyle::Millimetres),
            "-0.05 mm"
        );
        assert_eq!(
            Length::from_inch_fraction(1, 3).display(LengthStyle::InchDecimals),
            "0.3333 in"
        );
    }
}

//! By how much a project is scaled.

use std::fmt;
use std::str::FromStr;

use crate::length::Length;

/// The least and the most a project is scaled by: beyond that a unit was meant.
const LEAST: i128 = 50;

/// More digits than anybody types, and few enough that no product overflows.
const MOST_DIGITS: usize = 9;

/// An exact factor above zero, such as 1.25, 125 % or 3/2.
///
/// # Examples
///
/// ```
/// use sheetwright::load::Factor;
/// use sheetwright::length::Length;
///
/// for text in ["1.25", "125%", "5/4"] {
///     let factor: Factor = text.parse().unwrap();
///     assert_eq!(factor.times(Length::from_mm(40)), Length::from_mm(50), "{text}");
/// }
/// assert!("0".parse::<Factor>().is_err());
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Factor {
    numerator: i128,
    denominator: i128,
}

/// Why a text is no factor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FactorError {
    /// It does not read as a number, a percentage or a fraction.
    Spelling,
    /// It is not between 1/50 and 50.
    Range,
}

impl Factor {
    /// Leaves everything as it is.
    pub(super) const ONE: Self = Self {
        numerator: 1,
        denominator: 1,
    };
}

impl fmt::Display for FactorError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Spelling => "write a factor like 1.25, 125% or 3/2",
            Self::Range => "a project is scaled by 1/50 to 50, which is 2% to 5000%",
        })
    }
}

impl std::error::Error for FactorError {}

impl FromStr for Factor {
    type Err = FactorError;

    fn from_str(text: &str) -> Result<Self, FactorError> {
        let text = text.trim();
        let (number, hundredths) = match text.strip_suffix('%') {
            Some(number) => (number.trim_end(), 100),
            None => (text, 1),
        };
        let (above, below) = match number.split_once('/') {
            Some((above, below)) if hundredths == 1 => {
                (decimal(above.trim_end())?, decimal(below.trim_start())?)
            }
            Some(_) => return Err(FactorError::Spelling),
            None => (decimal(number)?, (1, 1)),
        };
        let factor = Self {
            numerator: above.0 * below.1,
            denominator: above.1 * below.0 * hundredths,
        };
        let (large, small) = (
            factor.numerator.max(factor.denominator),
            factor.numerator.min(factor.denominator),
        );
        if small <= 0 || large > small * LEAST {
            return Err(FactorError::Range);
        }
        Ok(factor)
    }
}

/// A number as a fraction.
fn decimal(text: &str) -> Result<(i128, i128), FactorError> {
    let (whole, decimals) = text.split_once(['.', ',']).unwrap_or((text, ""));
    let digits = format!("{whole}{decimals}");
    let is_number = !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit());
    if !is_number || digits.len() > MOST_DIGITS {
        return Err(FactorError::Spelling);
    }
    let number = digits.parse().map_err(|_| FactorError::Spelling)?;
    let denominator = (0..decimals.len()).fold(1_i128, |power, _| power * 10);
    Ok((number, denominator))
}

impl fmt::Display for Factor {
    /// As a percentage if it is a whole one, else as a fraction.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.numerator * 100 % self.denominator == 0 {
            write!(f, "{}%", self.numerator * 100 / self.denominator)
        } else {
            write!(f, "{}/{}", self.numerator, self.denominator)
        }
    }
}

impl Factor {
    /// Returns the whole percentages from the one next to 100 to this factor: `None` if there is none between.
    ///
    /// ```
    /// use sheetwright::load::Factor;
    ///
    /// let range = |text: &str| text.parse::<Factor>().unwrap().percents_on_the_way();
    /// assert_eq!(range("3/2"), Some((101, 149)));
    /// assert_eq!(range("1/3"), Some((99, 34)));
    /// assert_eq!(range("1.01"), None);
    /// ```
    #[must_use]
    pub fn percents_on_the_way(self) -> Option<(u32, u32)> {
        let hundredfold = self.numerator * 100;
        let (first, last) = if self.numerator > self.denominator {
            (101, (hundredfold - 1).div_euclid(self.denominator))
        } else {
            (99, hundredfold.div_euclid(self.denominator) + 1)
        };
        let is_there = if first > 100 { last >= 101 } else { last <= 99 };
        let last = u32::try_from(last).ok()?;
        is_there.then_some((first, last))
    }

    /// Returns the factor of so many percent.
    ///
    /// # Errors
    ///
    /// [`FactorError::Range`] unless it is 2 to 5000.
    pub fn of_percent(percent: u32) -> Result<Self, FactorError> {
        format!("{percent}%").parse()
    }

    /// Returns the length multiplied, to the nearest nanometre, halves up.
    ///
    /// # Panics
    ///
    /// Panics beyond 9 million kilometres: lengths of a project are below 10 m.
    #[must_use]
    pub fn times(self, length: Length) -> Length {
        let doubled = 2 * i128::from(length.nm()) * self.numerator + self.denominator;
        let nm = doubled.div_euclid(2 * self.denominator);
        Length::from_nm(i64::try_from(nm).expect("scaled lengths of a project fit"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn factors_are_exact() {
        // By hand: a third of 10 mm is 3 333 333.3 nm; 5 1/2 in x 3/2 = 8 1/4 in.
        let third: Factor = "1/3".parse().unwrap();
        assert_eq!(third.times(Length::from_mm(10)).nm(), 3_333_333);
        let half_more: Factor = "1.5".parse().unwrap();
        assert_eq!(
            half_more.times(Length::from_inch_fraction(11, 2)),
            Length::from_inch_fraction(33, 4)
        );
        assert_eq!(half_more.times(-Length::from_mm(3)), -Length::from_um(4500));
        assert_eq!(
            "62,5 %"
                .parse::<Factor>()
                .unwrap()
                .times(Length::from_mm(8)),
            Length::from_mm(5)
        );
    }

    #[test]
    fn other_texts_are_refused() {
        for text in [
            "",
            "x",
            "1.2.3",
            "-1",
            "3/2%",
            "1/",
            "1e3",
            "1234567890",
            "%",
        ] {
            let read = text.parse::<Factor>();
            assert_eq!(read, Err(FactorError::Spelling), "{text}");
        }
        for text in ["0", "0/4", "3/0", "51", "1.9%"] {
            assert_eq!(text.parse::<Factor>(), Err(FactorError::Range), "{text}");
        }
    }
}

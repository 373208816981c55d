//! What can be wrong with a written length, and what to type instead.

use std::fmt;

use super::LengthUnit;

/// Why a text is no length, or no pair of lengths.
///
/// Strings in the variants are pieces of the text as it was typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LengthError {
    /// Occurs if there is nothing but spaces.
    Empty,
    /// Occurs if a number stands without a unit and the place knows no unit of its own.
    NoUnit(String),
    /// Occurs if a numerator or a denominator is missing, as in `2 1/`.
    IncompleteFraction(String),
    /// Occurs if a denominator is 0.
    ZeroDenominator(String),
    /// Occurs if a fraction has two slashes, as in `1/2/4`.
    TwoSlashes(String),
    /// Occurs if two numbers follow each other, as in `2 3 1/4`.
    TwoNumbers(String, String),
    /// Occurs if a part of a fraction has decimals, as in `2.1/4`.
    DecimalInFraction {
        /// The fraction.
        text: String,
        /// The two likely readings, without their unit, if there are any.
        readings: Option<(String, String)>,
    },
    /// Occurs if a number with decimals is followed by a fraction, as in `2.5 1/4`.
    DecimalBeforeFraction(String),
    /// Occurs if the fraction after a whole number is one or more, as in `2 5/4`.
    ImproperFraction {
        /// The number and the fraction.
        text: String,
        /// Their sum as a proper mixed number, without a unit.
        sum: String,
    },
    /// Occurs if a dash with spaces stands before a fraction, as in `2 -1/4`.
    MinusOrHyphen(String),
    /// Occurs if a length that cannot be negative starts with a minus.
    Negative(String),
    /// Occurs if a fraction stands with a metric unit, as in `2 1/4 mm`.
    MetricFraction {
        /// The number as typed.
        text: String,
        /// The number with decimals.
        decimal: String,
        /// The metric unit.
        unit: LengthUnit,
    },
    /// Occurs if a comma could part thousands or decimals, as in `1,000 mm`.
    ThousandsComma(String),
    /// Occurs if an inch has a decimal comma, as in `2,25"`.
    DecimalCommaInches {
        /// The number as typed.
        text: String,
        /// The unit it stands with.
        unit: LengthUnit,
    },
    /// Occurs if digits and separators make no number, as in `1.2.3` or `5.`.
    MalformedNumber(String),
    /// Occurs if a number has more digits than any length needs.
    TooManyDigits(String),
    /// Occurs if a word stands in place of a number, as in `two`.
    Word(String),
    /// Occurs for `NaN`, `inf` and the like.
    NotFinite(String),
    /// Occurs if a number has an exponent, as in `1e2`.
    Exponent(String),
    /// Occurs if a letter stands for a digit, as in `2 l/4`.
    LetterForDigit(String),
    /// Occurs if a backslash stands for the slash.
    Backslash,
    /// Occurs if there is a unit but no number before it.
    NoNumber(String),
    /// Occurs if the unit is the pixel.
    Pixels(String),
    /// Occurs if the unit is none that is known.
    UnknownUnit(String),
    /// Occurs if a number ends in two apostrophes.
    DoubleApostrophe(String),
    /// Occurs if two units follow each other, as in `2 1/4 in mm`.
    TwoUnits(String, String),
    /// Occurs if something else follows the length, as in `2"5`.
    TextAfterLength(String),
    /// Occurs if feet with a fraction are followed by inches.
    BrokenFeet(String),
    /// Occurs if a character has no place in a length.
    StrayCharacter(char),
    /// Occurs if a length is beyond 100 m.
    TooLong(String),
    /// Occurs if a size has only one length, as in `2 1/4 x`, or stands where one length is wanted.
    UnfinishedSize(String),
    /// Occurs if a size stands where one length is wanted.
    SizeForLength(String),
    /// Occurs if a size has one length or more than two.
    NotTwoLengths(usize),
    /// Occurs if a point has one coordinate or more than two.
    NotTwoCoordinates(usize),
}

impl LengthError {
    /// Returns what is wrong, in lower case and without a full stop.
    #[must_use]
    pub fn message(&self) -> String {
        match self {
            Self::Empty => "the length is empty".into(),
            Self::NoUnit(text) => format!("\"{text}\" has no unit"),
            Self::IncompleteFraction(text) => format!("the fraction \"{text}\" is incomplete"),
            Self::ZeroDenominator(text) => format!("the fraction \"{text}\" divides by zero"),
            Self::TwoSlashes(text) => format!("\"{text}\" has two slashes"),
            Self::TwoNumbers(first, second) => {
                format!("two numbers, \"{first}\" and \"{second}\", stand side by side")
            }
            Self::DecimalInFraction { text, .. } => {
                format!("\"{text}\" mixes decimals and a fraction")
            }
            Self::DecimalBeforeFraction(text) => {
                format!("\"{text}\" has decimals before a fraction")
            }
            Self::ImproperFraction { text, .. } => {
                format!("the fraction in \"{text}\" is not smaller than one")
            }
            Self::MinusOrHyphen(text) => {
                format!("the dash in \"{text}\" may be a minus or a hyphen")
            }
            Self::Negative(text) => format!("\"{text}\" is negative"),
            Self::MetricFraction { text, unit, .. } => format!(
                "the fraction \"{text}\" has a metric unit, {}",
                unit.symbol()
            ),
            Self::ThousandsComma(text) => {
                format!("the comma in \"{text}\" may mark thousands or decimals")
            }
            Self::DecimalCommaInches { text, .. } => {
                format!("\"{text}\" has a decimal comma with an inch unit")
            }
            Self::MalformedNumber(text) => format!("\"{text}\" is not a number"),
            Self::TooManyDigits(text) => format!(
                "\"{text}\" has more than {} digits in a row",
                super::quantity::MOST_DIGITS
            ),
            Self::Word(text) => format!("\"{text}\" stands where a number is wanted"),
            Self::NotFinite(text) => format!("\"{text}\" is not a finite number"),
            Self::Exponent(text) => format!("\"{text}\" has an exponent"),
            Self::LetterForDigit(text) => {
                format!("the letter \"{text}\" stands where a digit is wanted")
            }
            Self::Backslash => "the length has a backslash".into(),
            Self::NoNumber(text) => format!("no number stands before \"{text}\""),
            Self::Pixels(text) => format!("\"{text}\" counts pixels, which have no size on paper"),
            Self::UnknownUnit(text) => format!("\"{text}\" is no known unit"),
            Self::DoubleApostrophe(text) => {
                format!("the two apostrophes in \"{text}\" may mean inches or feet")
            }
            Self::TwoUnits(first, second) => {
                format!("the length has two units, \"{first}\" and \"{second}\"")
            }
            Self::TextAfterLength(text) => format!("\"{text}\" stands after the length"),
            Self::BrokenFeet(text) => format!("\"{text}\" has a part of a foot before inches"),
            Self::StrayCharacter(c) => format!("the character \"{c}\" has no place in a length"),
            Self::TooLong(text) => format!("\"{text}\" is longer than 100 m"),
            Self::UnfinishedSize(text) => {
                format!("the size \"{text}\" lacks one of its lengths")
            }
            Self::SizeForLength(text) => format!("\"{text}\" is a size where one length is wanted"),
            Self::NotTwoLengths(count) => format!("a size has two lengths, not {count}"),
            Self::NotTwoCoordinates(count) => format!("a point has two coordinates, not {count}"),
        }
    }

    /// Returns what to type instead.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            // Millimetres take no fractions, inches no decimal comma.
            Self::NoUnit(text) if has_decimal_comma(text) => format!("write \"{text} mm\""),
            Self::NoUnit(text) if has_fraction(text) => format!("write \"{text} in\""),
            Self::NoUnit(text) => format!("write \"{text} in\" or \"{text} mm\""),
            Self::DecimalInFraction {
                readings: Some((mixed, decimal)),
                ..
            } => {
                format!("write \"{mixed} in\" or \"{decimal} in\"")
            }
            Self::DecimalInFraction { readings: None, .. } | Self::DecimalBeforeFraction(_) => {
                "write either decimals or a fraction, like \"2.75 in\" or \"2 3/4 in\"".into()
            }
            Self::ImproperFraction { sum, .. } => format!("write \"{sum} in\" if that is meant"),
            Self::MinusOrHyphen(text) => {
                let without_dash = text.replace(super::token::is_hyphen, " ");
                let parts: Vec<_> = without_dash.split_whitespace().collect();
                format!("write \"{}\" if that is meant", parts.join(" "))
            }
            Self::Negative(_) => "leave out the minus".into(),
            Self::MetricFraction {
                text,
                decimal,
                unit,
            } => {
                format!("write \"{text} in\" or \"{decimal} {}\"", unit.symbol())
            }
            Self::ThousandsComma(text) => format!(
                "write \"{}\" for thousands or \"{}\" for decimals",
                text.replace(',', ""),
                text.replace(',', ".")
            ),
            Self::DecimalCommaInches { text, unit } => {
                format!("write \"{} {}\"", text.replace(',', "."), unit.symbol())
            }
            Self::MalformedNumber(_) => "write digits with one point at most, like \"2.25\"".into(),
            Self::TooManyDigits(_) => "six decimals of a millimetre are the finest there is".into(),
            Self::Exponent(_) => "write the number out, like \"100 mm\"".into(),
            Self::LetterForDigit(text) => {
                let digit = if text.eq_ignore_ascii_case("o") { 0 } else { 1 };
                format!("type the digit {digit}")
            }
            Self::Backslash => "write the fraction with a slash, like \"1/4\"".into(),
            Self::Pixels(_) => "write the printed size, like \"25 mm\" or \"1 in\"".into(),
            Self::UnknownUnit(_) => "the units are in, ft, mm, cm, m and pt".into(),
            Self::DoubleApostrophe(text) => {
                let number = text
                    .trim_end_matches(['\'', '\u{2018}', '\u{2019}', '\u{2032}'])
                    .trim_end();
                format!("write \"{number} in\" or \"{number} ft\"")
            }
            Self::TwoUnits(first, second) => format!("keep either \"{first}\" or \"{second}\""),
            Self::TextAfterLength(text) => format!("leave out \"{text}\""),
            Self::BrokenFeet(_) => "write the whole length in inches, like \"18 1/2 in\"".into(),
            Self::StrayCharacter(c) => format!("leave out the \"{c}\""),
            Self::TooLong(_) => "check the number and its unit".into(),
            Self::UnfinishedSize(_) | Self::NotTwoLengths(_) => {
                "write a size like \"5 1/2 x 8 1/2 in\"".into()
            }
            Self::SizeForLength(_) => "write one length, like \"2 1/4 in\"".into(),
            Self::NotTwoCoordinates(_) => "write a point like \"1 in, 2 in\"".into(),
            Self::Empty
            | Self::IncompleteFraction(_)
            | Self::ZeroDenominator(_)
            | Self::TwoSlashes(_)
            | Self::TwoNumbers(..)
            | Self::Word(_)
            | Self::NotFinite(_)
            | Self::NoNumber(_) => "write a length like \"2 1/4 in\" or \"57 mm\"".into(),
        }
    }
}

/// Whether a comma is followed by a digit; the one that parts the coordinates of a point is not.
fn has_decimal_comma(text: &str) -> bool {
    text.split(',')
        .skip(1)
        .any(|after| after.starts_with(|c: char| c.is_ascii_digit()))
}

fn has_fraction(text: &str) -> bool {
    let is_of_fraction =
        |c: char| super::token::is_slash(c) || (c.is_numeric() && !c.is_ascii_digit());
    text.contains(is_of_fraction)
}

impl fmt::Display for LengthError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message())
    }
}

impl std::error::Error for LengthError {}

//! What a text says, and its way to nanometres.

use super::quantity::{Quantity, Spelling};
use super::reader::Reader;
use super::{Length, LengthError, LengthUnit, divide_half_even, to_i64};

/// Nothing of paper is longer; sums of a project's lengths stay far inside `i64`.
const LONGEST: Length = Length::from_mm(100_000);

/// What a text says, before its unit is settled.
#[derive(Debug, Clone, Copy)]
pub(super) struct Written<'a> {
    pub(super) is_negative: bool,
    pub(super) whole_feet: i128,
    pub(super) quantity: Quantity<'a>,
    pub(super) unit: Option<LengthUnit>,
}

impl<'a> Written<'a> {
    pub(super) fn read(text: &'a str) -> Result<Self, LengthError> {
        Reader::new(text).written()
    }

    pub(super) fn settle(self, default_unit: Option<LengthUnit>) -> Result<Length, LengthError> {
        let Quantity {
            numerator,
            denominator,
            spelling,
            text,
        } = self.quantity;
        let Some(unit) = self.unit.or(default_unit) else {
            return Err(LengthError::NoUnit(text.into()));
        };
        if spelling == Spelling::Fraction && unit.is_metric() {
            let decimal = decimal_text(numerator, denominator);
            return Err(LengthError::MetricFraction {
                text: text.into(),
                decimal,
                unit,
            });
        }
        if spelling == Spelling::DecimalComma && unit.is_imperial() {
            return Err(LengthError::DecimalCommaInches {
                text: text.into(),
                unit,
            });
        }
        let (unit_numerator, unit_denominator) = unit.nm();
        let number_nm =
            divide_half_even(numerator * unit_numerator, denominator * unit_denominator);
        let nm = self.whole_feet * LengthUnit::Foot.nm().0 + number_nm;
        let length = to_i64(nm)
            .map(Length::from_nm)
            .filter(|length| *length <= LONGEST);
        let length =
            length.ok_or_else(|| LengthError::TooLong(format!("{text} {}", unit.symbol())))?;
        Ok(if self.is_negative { -length } else { length })
    }
}

/// Returns the number with at most six decimals, for a hint.
fn decimal_text(numerator: i128, denominator: i128) -> String {
    let millionths = divide_half_even(numerator * 1_000_000, denominator);
    let text = format!("{}.{:06}", millionths / 1_000_000, millionths % 1_000_000);
    text.trim_end_matches('0').trim_end_matches('.').into()
}

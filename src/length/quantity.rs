//! The exact number in front of a unit: whole, with decimals, a fraction or mixed.

use super::LengthError;
use super::reader::{Reader, is_digit_like};
use super::token::{Number, Separator, Token};

/// Digits that a number may have in a row: enough for 100 m in millionths of a millimetre, few enough that a mixed number
/// of three such rows in any unit fits into `i128` (10^24 times 10^9).
pub(super) const MOST_DIGITS: usize = 12;

/// How a number was spelled, as far as units care.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Spelling {
    Plain,
    DecimalComma,
    Fraction,
}

/// An exact number as written.
#[derive(Debug, Clone, Copy)]
pub(super) struct Quantity<'a> {
    pub(super) numerator: i128,
    pub(super) denominator: i128,
    pub(super) spelling: Spelling,
    pub(super) text: &'a str,
}

impl<'a> Reader<'a> {
    /// Reads a whole number, decimals, a fraction or a mixed number.
    pub(super) fn quantity(&mut self) -> Result<Quantity<'a>, LengthError> {
        let start = self.next;
        match self.peek() {
            Some(Token::Fraction(numerator, denominator)) => {
                self.next += 1;
                self.finish_fraction(start, 0, (numerator, denominator))
            }
            Some(Token::Number(number)) => {
                self.next += 1;
                self.after_number(start, number)
            }
            other => Err(self.no_number(other)),
        }
    }

    fn after_number(
        &mut self,
        start: usize,
        number: Number<'a>,
    ) -> Result<Quantity<'a>, LengthError> {
        match self.peek() {
            Some(Token::Slash) => {
                let fraction = self.simple_fraction(start)?;
                self.finish_fraction(start, 0, fraction)
            }
            Some(Token::Fraction(..) | Token::Number(_)) => self.mixed_number(start, number),
            Some(Token::Hyphen) => {
                let is_tight = self.end_of(start) == self.start_of(self.next)
                    && self.end_of(self.next) == self.start_of(self.next + 1);
                self.next += 1;
                let is_mixed = matches!(self.peek(), Some(Token::Fraction(..) | Token::Number(_)));
                if !is_tight || !is_mixed {
                    return Err(LengthError::MinusOrHyphen(self.text.trim().into()));
                }
                self.mixed_number(start, number)
            }
            Some(Token::Word(word)) if word.eq_ignore_ascii_case("and") => {
                self.next += 1;
                self.mixed_number(start, number)
            }
            _ => self.plain_number(start, number),
        }
    }

    fn plain_number(&self, start: usize, number: Number<'a>) -> Result<Quantity<'a>, LengthError> {
        let text = self.slice(start, start + 1);
        let whole = integer(number.whole, text)?;
        let Some((separator, decimals)) = number.decimals else {
            return Ok(Quantity {
                numerator: whole,
                denominator: 1,
                spelling: Spelling::Plain,
                text,
            });
        };
        if separator == Separator::Comma && is_thousands(number.whole, decimals) {
            return Err(LengthError::ThousandsComma(text.into()));
        }
        let spelling = match separator {
            Separator::Point => Spelling::Plain,
            Separator::Comma => Spelling::DecimalComma,
        };
        let parts = integer(decimals, text)?;
        let denominator = (0..decimals.len()).fold(1_i128, |power, _| power * 10);
        Ok(Quantity {
            numerator: whole * denominator + parts,
            denominator,
            spelling,
            text,
        })
    }

    /// Reads the fraction after the whole number at `start`.
    fn mixed_number(
        &mut self,
        start: usize,
        number: Number<'a>,
    ) -> Result<Quantity<'a>, LengthError> {
        let at = self.next;
        let fraction = match self.peek() {
            Some(Token::Fraction(numerator, denominator)) => {
                self.next += 1;
                (numerator, denominator)
            }
            Some(Token::Number(_)) => {
                self.next += 1;
                if self.peek() != Some(Token::Slash) {
                    return Err(LengthError::TwoNumbers(
                        self.slice(start, start + 1).into(),
                        self.slice(at, at + 1).into(),
                    ));
                }
                self.simple_fraction(at)?
            }
            other => return Err(self.no_number(other)),
        };
        let text = self.slice(start, self.next);
        if number.decimals.is_some() {
            return Err(LengthError::DecimalBeforeFraction(text.into()));
        }
        let whole = integer(number.whole, text)?;
        if fraction.0 >= fraction.1 && self.peek() != Some(Token::Slash) {
            let sum = mixed_text(whole * fraction.1 + fraction.0, fraction.1);
            return Err(LengthError::ImproperFraction {
                text: text.into(),
                sum,
            });
        }
        self.finish_fraction(start, whole, fraction)
    }

    /// Reads the slash and the denominator after the numerator at `start`.
    fn simple_fraction(&mut self, start: usize) -> Result<(i128, i128), LengthError> {
        self.next += 1;
        let Some(Token::Number(below)) = self.peek() else {
            return Err(match self.peek() {
                Some(Token::Word(word)) if is_digit_like(word) => {
                    LengthError::LetterForDigit(word.into())
                }
                _ => LengthError::IncompleteFraction(self.slice(start, self.next).into()),
            });
        };
        self.next += 1;
        let text = self.slice(start, self.next);
        let Token::Number(above) = self.lexemes[start].token else {
            return Err(LengthError::IncompleteFraction(text.into()));
        };
        if above.decimals.is_some() || below.decimals.is_some() {
            return Err(LengthError::DecimalInFraction {
                text: text.into(),
                readings: readings(above, below),
            });
        }
        let (numerator, denominator) = (integer(above.whole, text)?, integer(below.whole, text)?);
        if denominator == 0 {
            return Err(LengthError::ZeroDenominator(text.into()));
        }
        Ok((numerator, denominator))
    }

    fn finish_fraction(
        &self,
        start: usize,
        whole: i128,
        (numerator, denominator): (i128, i128),
    ) -> Result<Quantity<'a>, LengthError> {
        if self.peek() == Some(Token::Slash) {
            return Err(LengthError::TwoSlashes(self.text.trim().into()));
        }
        let numerator = whole * denominator + numerator;
        Ok(Quantity {
            numerator,
            denominator,
            spelling: Spelling::Fraction,
            text: self.slice(start, self.next),
        })
    }
}

/// Returns the value of a run of digits; none at all is 0, as in `.5`.
fn integer(digits: &str, text: &str) -> Result<i128, LengthError> {
    if digits.len() > MOST_DIGITS {
        return Err(LengthError::TooManyDigits(text.into()));
    }
    Ok(digits
        .bytes()
        .fold(0, |value, digit| value * 10 + i128::from(digit - b'0')))
}

/// Returns whether digits around a comma could be thousands: `1,000` could, `0,125` and `57,15` could not.
fn is_thousands(whole: &str, decimals: &str) -> bool {
    decimals.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0')
}

/// Returns the two likely readings of `2.1/4`: `2 1/4` and `2.1`.
fn readings(above: Number<'_>, below: Number<'_>) -> Option<(String, String)> {
    let (_, decimals) = above.decimals.filter(|_| below.decimals.is_none())?;
    Some((
        format!("{} {decimals}/{}", above.whole, below.whole),
        format!("{}.{decimals}", above.whole),
    ))
}

/// Returns a fraction above one as a mixed number in lowest terms.
fn mixed_text(numerator: i128, denominator: i128) -> String {
    let (whole, rest) = (numerator / denominator, numerator % denominator);
    if rest == 0 {
        return whole.to_string();
    }
    let common = greatest_common_divisor(rest, denominator);
    format!("{whole} {}/{}", rest / common, denominator / common)
}

fn greatest_common_divisor(a: i128, b: i128) -> i128 {
    if b == 0 {
        a
    } else {
        greatest_common_divisor(b, a % b)
    }
}

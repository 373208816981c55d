//! Reading lengths, sizes and points as makers write them.
//!
//! A text is read in two steps: `Written` holds what it says (a sign, an exact number, perhaps a unit), then a unit is
//! settled and the number becomes nanometres. So a size can borrow the unit of its last number, and mistakes of form are
//! found before a missing unit is.

use super::token::{Lexeme, Number, Separator, Token, tokens};
use super::{Length, LengthError, LengthUnit, divide_half_even, to_i64};

/// Enough for 100 m in millionths of a millimetre; three such numbers multiply without leaving `i128`.
pub(super) const MOST_DIGITS: usize = 12;
const LONGEST: Length = Length::from_mm(100_000);

impl Length {
    /// Reads a length that cannot be negative.
    ///
    /// Accepts inches with fractions (`2 1/4 in`, `2-1/4"`, `2¼″`), decimals (`2.25in`, `57,15 mm`), feet and inches
    /// (`1' 2"`), and the units in, ft, mm, cm, m and pt. A bare number is taken in `default_unit` if there is one. What is
    /// no whole nanometre rounds half to even.
    ///
    /// # Errors
    ///
    /// Returns the [`LengthError`] for a text that has no single reading.
    ///
    /// # Examples
    ///
    /// ```
    /// use sheetwright::length::{Length, LengthUnit};
    /// assert_eq!(Length::parse("2 1/4", Some(LengthUnit::Inch))?.nm(), 57_150_000);
    /// let wrong = Length::parse("2.1/4", Some(LengthUnit::Inch)).unwrap_err();
    /// assert_eq!(wrong.hint(), "write \"2 1/4 in\" or \"2.1 in\"");
    /// # Ok::<(), sheetwright::length::LengthError>(())
    /// ```
    pub fn parse(text: &str, default_unit: Option<LengthUnit>) -> Result<Self, LengthError> {
        let written = Written::read(text)?;
        if written.is_negative {
            return Err(LengthError::Negative(text.trim().into()));
        }
        written.settle(default_unit)
    }

    /// Reads a length that may start with a minus, such as an offset or an overhang.
    ///
    /// # Errors
    ///
    /// Returns the [`LengthError`] for a text that has no single reading.
    pub fn parse_signed(text: &str, default_unit: Option<LengthUnit>) -> Result<Self, LengthError> {
        Written::read(text)?.settle(default_unit)
    }
}

/// Reads a size such as `5 1/2 x 8 1/2 in`: two lengths parted by `x`, `×` or `by`, in the order written.
///
/// A unit on the last number covers both.
///
/// # Errors
///
/// Returns the [`LengthError`] of the first length that is wrong, or of the size as a whole.
pub fn parse_pair(
    text: &str,
    default_unit: Option<LengthUnit>,
) -> Result<(Length, Length), LengthError> {
    let parts = split_size(text);
    if text.trim().is_empty() {
        return Err(LengthError::Empty);
    }
    if parts.len() > 1 && parts.iter().any(|part| part.trim().is_empty()) {
        return Err(LengthError::UnfinishedSize(text.trim().into()));
    }
    let [first, second] = parts[..] else {
        return Err(LengthError::NotTwoLengths(parts.len()));
    };
    let written = [Written::read(first)?, Written::read(second)?];
    if written.iter().any(|one| one.is_negative) {
        return Err(LengthError::Negative(text.trim().into()));
    }
    settle_both(written, default_unit)
}

/// Reads a point such as `1 in, -2 in`: two signed coordinates parted by a semicolon, or by a comma that no digit both
/// precedes and follows (`57,5 mm, 3 mm` has one decimal comma and one parting comma).
///
/// A unit on the last number covers both.
///
/// # Errors
///
/// Returns the [`LengthError`] of the first coordinate that is wrong, or of the point as a whole.
pub fn parse_point(
    text: &str,
    default_unit: Option<LengthUnit>,
) -> Result<(Length, Length), LengthError> {
    if text.trim().is_empty() {
        return Err(LengthError::Empty);
    }
    let parts = split_point(text);
    let [first, second] = parts[..] else {
        return Err(LengthError::NotTwoCoordinates(parts.len()));
    };
    settle_both(
        [Written::read(first)?, Written::read(second)?],
        default_unit,
    )
}

fn settle_both(
    [first, second]: [Written<'_>; 2],
    default_unit: Option<LengthUnit>,
) -> Result<(Length, Length), LengthError> {
    // With `5 in x 8` the 8 must not fall back to another unit than the 5.
    let fallback = if first.unit.is_some() {
        None
    } else {
        default_unit
    };
    let unit = second.unit.or(fallback);
    Ok((first.settle(unit)?, second.settle(unit)?))
}

fn split_size(text: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    let mut start = 0;
    let mut before = None;
    for (at, c) in text.char_indices() {
        let is_pixel = matches!(before, Some('p' | 'P'));
        let width = match c {
            '×' => c.len_utf8(),
            'x' | 'X' if !is_pixel => 1,
            'b' | 'B' if text[at + 1..].starts_with(['y', 'Y']) => 2,
            _ => 0,
        };
        if width > 0 {
            parts.push(&text[start..at]);
            start = at + width;
        }
        before = Some(c);
    }
    parts.push(&text[start..]);
    parts
}

fn split_point(text: &str) -> Vec<&str> {
    if text.contains(';') {
        return text.split(';').collect();
    }
    let is_digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    let mut parts = Vec::new();
    let mut start = 0;
    for (at, _) in text.match_indices(',') {
        let is_decimal =
            is_digit(text[..at].chars().next_back()) && is_digit(text[at + 1..].chars().next());
        if !is_decimal {
            parts.push(&text[start..at]);
            start = at + 1;
        }
    }
    parts.push(&text[start..]);
    parts
}

/// How a number was spelled, as far as units care.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Spelling {
    Plain,
    DecimalComma,
    Fraction,
}

/// An exact number as written.
#[derive(Debug, Clone, Copy)]
struct Quantity<'a> {
    numerator: i128,
    denominator: i128,
    spelling: Spelling,
    text: &'a str,
}

/// What a text says, before its unit is settled.
#[derive(Debug, Clone, Copy)]
struct Written<'a> {
    is_negative: bool,
    whole_feet: i128,
    quantity: Quantity<'a>,
    unit: Option<LengthUnit>,
}

impl<'a> Written<'a> {
    fn read(text: &'a str) -> Result<Self, LengthError> {
        Reader::new(text).written()
    }

    fn settle(self, default_unit: Option<LengthUnit>) -> Result<Length, LengthError> {
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
        let inches_nm =
            divide_half_even(numerator * unit_numerator, denominator * unit_denominator);
        let nm = self.whole_feet * LengthUnit::Foot.nm().0 + inches_nm;
        let length = to_i64(nm)
            .map(Length::from_nm)
            .filter(|length| *length <= LONGEST);
        let length = length.ok_or_else(|| LengthError::TooLong(text.into()))?;
        Ok(if self.is_negative { -length } else { length })
    }
}

/// Returns the number with at most six decimals, for a hint.
fn decimal_text(numerator: i128, denominator: i128) -> String {
    let millionths = divide_half_even(numerator * 1_000_000, denominator);
    let text = format!("{}.{:06}", millionths / 1_000_000, millionths % 1_000_000);
    text.trim_end_matches('0').trim_end_matches('.').into()
}

/// Walks the tokens of one length.
struct Reader<'a> {
    text: &'a str,
    lexemes: Vec<Lexeme<'a>>,
    next: usize,
}

impl<'a> Reader<'a> {
    fn new(text: &'a str) -> Self {
        Self {
            text,
            lexemes: tokens(text),
            next: 0,
        }
    }

    fn written(mut self) -> Result<Written<'a>, LengthError> {
        if self.lexemes.is_empty() {
            return Err(LengthError::Empty);
        }
        self.refuse_stray_tokens()?;
        let is_negative = self.take(Token::Hyphen);
        let quantity = self.quantity()?;
        let unit = self.unit(&quantity)?;
        let mut written = Written {
            is_negative,
            whole_feet: 0,
            quantity,
            unit,
        };
        if unit == Some(LengthUnit::Foot)
            && matches!(self.peek(), Some(Token::Number(_) | Token::Fraction(..)))
        {
            self.inches_after_feet(&mut written)?;
        }
        self.refuse_rest(unit.is_some())?;
        Ok(written)
    }

    /// Reads the `2"` of `1' 2"` into what was read before.
    fn inches_after_feet(&mut self, written: &mut Written<'a>) -> Result<(), LengthError> {
        let feet = written.quantity;
        let rest_start = self.start_of(self.next);
        let inches = self.quantity()?;
        if self.unit(&inches)? != Some(LengthUnit::Inch) {
            return Err(LengthError::TextAfterUnit(
                self.text[rest_start..].trim_end().into(),
            ));
        }
        if feet.denominator != 1 {
            return Err(LengthError::BrokenFeet(self.text.trim().into()));
        }
        *written = Written {
            whole_feet: feet.numerator,
            quantity: inches,
            unit: Some(LengthUnit::Inch),
            ..*written
        };
        Ok(())
    }

    /// Reads a whole number, decimals, a fraction or a mixed number.
    fn quantity(&mut self) -> Result<Quantity<'a>, LengthError> {
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

    /// Reads the unit after a number, if there is one.
    fn unit(&mut self, quantity: &Quantity<'a>) -> Result<Option<LengthUnit>, LengthError> {
        let at = self.next;
        let unit = match self.peek() {
            Some(Token::InchMark) => LengthUnit::Inch,
            Some(Token::FootMark) => LengthUnit::Foot,
            Some(Token::Word(word)) => match LengthUnit::from_word(word) {
                Some(unit) => unit,
                None => return Err(self.no_unit(word, quantity)),
            },
            _ => return Ok(None),
        };
        self.next += 1;
        if unit == LengthUnit::Foot && self.peek() == Some(Token::FootMark) {
            return Err(LengthError::DoubleApostrophe(self.text.trim().into()));
        }
        if let Some(Token::Word(_) | Token::InchMark | Token::FootMark) = self.peek() {
            let (first, second) = (self.slice(at, at + 1), self.slice(at + 1, at + 2));
            return Err(match self.peek() {
                Some(Token::Word(word)) if LengthUnit::from_word(word).is_none() => {
                    self.word_after_unit(word)
                }
                _ => LengthError::TwoUnits(first.into(), second.into()),
            });
        }
        Ok(Some(unit))
    }

    fn word_after_unit(&self, word: &str) -> LengthError {
        if is_size_word(word) {
            self.size()
        } else {
            LengthError::TextAfterUnit(self.text[self.start_of(self.next)..].trim_end().into())
        }
    }

    /// Returns the mistake of a word that stands after a number and is no unit.
    fn no_unit(&self, word: &str, quantity: &Quantity<'a>) -> LengthError {
        let is_tight = self.end_of(self.next - 1) == self.start_of(self.next);
        if is_size_word(word) {
            self.size()
        } else if is_tight && word.eq_ignore_ascii_case("e") {
            LengthError::Exponent(self.text.trim().into())
        } else if word.eq_ignore_ascii_case("px") || word.eq_ignore_ascii_case("pixels") {
            LengthError::Pixels(format!("{} {word}", quantity.text))
        } else if is_digit_like(word) {
            LengthError::LetterForDigit(word.into())
        } else {
            LengthError::UnknownUnit(word.into())
        }
    }

    /// Returns the mistake of a size where one length is wanted, or of half a size.
    fn size(&self) -> LengthError {
        let text = self.text.trim();
        if self.next + 1 == self.lexemes.len() {
            LengthError::UnfinishedSize(text.into())
        } else {
            LengthError::SizeForLength(text.into())
        }
    }

    /// Returns the mistake of a token that stands where a number must.
    fn no_number(&self, found: Option<Token<'a>>) -> LengthError {
        let text = self.text.trim();
        match found {
            Some(Token::Word(word)) => match word.to_ascii_lowercase().as_str() {
                "nan" | "inf" | "infinity" => LengthError::NotFinite(word.into()),
                _ if is_digit_like(word) => LengthError::LetterForDigit(word.into()),
                _ if LengthUnit::from_word(word).is_some() => LengthError::NoNumber(word.into()),
                _ => LengthError::Word(word.into()),
            },
            Some(Token::Slash) => LengthError::IncompleteFraction(text.into()),
            Some(Token::Hyphen) => LengthError::MinusOrHyphen(text.into()),
            Some(
                Token::InchMark
                | Token::FootMark
                | Token::Backslash
                | Token::Number(_)
                | Token::Fraction(..)
                | Token::BadNumber(_)
                | Token::Other(_),
            )
            | None => LengthError::NoNumber(text.into()),
        }
    }

    /// Refuses the characters that no length has, wherever they stand.
    fn refuse_stray_tokens(&self) -> Result<(), LengthError> {
        for lexeme in &self.lexemes {
            match lexeme.token {
                Token::Backslash => return Err(LengthError::Backslash),
                Token::BadNumber(text) => return Err(LengthError::MalformedNumber(text.into())),
                Token::Other('×') => {
                    return Err(LengthError::SizeForLength(self.text.trim().into()));
                }
                Token::Other('∞') => return Err(LengthError::NotFinite("∞".into())),
                Token::Other(c) => return Err(LengthError::StrayCharacter(c)),
                Token::Number(_)
                | Token::Fraction(..)
                | Token::Slash
                | Token::Hyphen
                | Token::InchMark
                | Token::FootMark
                | Token::Word(_) => {}
            }
        }
        Ok(())
    }

    fn refuse_rest(&self, has_unit: bool) -> Result<(), LengthError> {
        if self.next == self.lexemes.len() {
            return Ok(());
        }
        let rest = self.text[self.start_of(self.next)..].trim_end();
        if has_unit {
            return Err(LengthError::TextAfterUnit(rest.into()));
        }
        Err(LengthError::TwoNumbers(
            self.text[..self.start_of(self.next)].trim().into(),
            rest.into(),
        ))
    }

    fn peek(&self) -> Option<Token<'a>> {
        self.lexemes.get(self.next).map(|lexeme| lexeme.token)
    }

    fn take(&mut self, wanted: Token<'_>) -> bool {
        let is_there = self.peek() == Some(wanted);
        self.next += usize::from(is_there);
        is_there
    }

    /// Returns where the token begins, or the end of the text behind the last one.
    fn start_of(&self, index: usize) -> usize {
        self.lexemes
            .get(index)
            .map_or(self.text.len(), |lexeme| lexeme.start)
    }

    fn end_of(&self, index: usize) -> usize {
        self.lexemes
            .get(index)
            .map_or(self.text.len(), |lexeme| lexeme.end)
    }

    /// Returns the text of the tokens from `first` up to but not including `last`.
    fn slice(&self, first: usize, last: usize) -> &'a str {
        &self.text[self.start_of(first)..self.end_of(last - 1)]
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

fn is_digit_like(word: &str) -> bool {
    matches!(word, "l" | "I" | "o" | "O")
}

fn is_size_word(word: &str) -> bool {
    word.eq_ignore_ascii_case("x") || word.eq_ignore_ascii_case("by")
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

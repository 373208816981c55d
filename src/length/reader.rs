//! Walking the tokens of one length.

use super::quantity::Quantity;
use super::token::{Lexeme, Token, tokens};
use super::written::Written;
use super::{LengthError, LengthUnit};

/// Walks the tokens of one length.
pub(super) struct Reader<'a> {
    pub(super) text: &'a str,
    pub(super) lexemes: Vec<Lexeme<'a>>,
    pub(super) next: usize,
}

impl<'a> Reader<'a> {
    pub(super) fn new(text: &'a str) -> Self {
        Self {
            text,
            lexemes: tokens(text),
            next: 0,
        }
    }

    pub(super) fn written(mut self) -> Result<Written<'a>, LengthError> {
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
            return Err(LengthError::TextAfterLength(
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
            LengthError::TextAfterLength(self.text[self.start_of(self.next)..].trim_end().into())
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
    pub(super) fn no_number(&self, found: Option<Token<'a>>) -> LengthError {
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
        let is_number = matches!(self.peek(), Some(Token::Number(_) | Token::Fraction(..)));
        if has_unit || !is_number {
            return Err(LengthError::TextAfterLength(rest.into()));
        }
        let before = self.text[..self.start_of(self.next)].trim();
        Err(LengthError::TwoNumbers(before.into(), rest.into()))
    }

    pub(super) fn peek(&self) -> Option<Token<'a>> {
        self.lexemes.get(self.next).map(|lexeme| lexeme.token)
    }

    fn take(&mut self, wanted: Token<'_>) -> bool {
        let is_there = self.peek() == Some(wanted);
        self.next += usize::from(is_there);
        is_there
    }

    /// Returns where the token begins, or the end of the text behind the last one.
    pub(super) fn start_of(&self, index: usize) -> usize {
        self.lexemes
            .get(index)
            .map_or(self.text.len(), |lexeme| lexeme.start)
    }

    pub(super) fn end_of(&self, index: usize) -> usize {
        self.lexemes
            .get(index)
            .map_or(self.text.len(), |lexeme| lexeme.end)
    }

    /// Returns the text of the tokens from `first` up to but not including `last`.
    pub(super) fn slice(&self, first: usize, last: usize) -> &'a str {
        &self.text[self.start_of(first)..self.end_of(last - 1)]
    }
}

/// Returns whether a word is a letter that looks like a digit.
pub(super) fn is_digit_like(word: &str) -> bool {
    matches!(word, "l" | "I" | "o" | "O")
}

fn is_size_word(word: &str) -> bool {
    word.eq_ignore_ascii_case("x") || word.eq_ignore_ascii_case("by")
}

//! Cutting a written length into numbers, marks and words.

/// A decimal separator as it was typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Separator {
    Point,
    Comma,
}

/// Digits with at most one separator inside or in front.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Number<'a> {
    pub(super) whole: &'a str,
    pub(super) decimals: Option<(Separator, &'a str)>,
}

/// The smallest meaningful part of a written length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Token<'a> {
    Number(Number<'a>),
    /// A fraction with a character of its own, such as ½.
    Fraction(i128, i128),
    Slash,
    Backslash,
    Hyphen,
    InchMark,
    FootMark,
    /// A run of letters, with a closing full stop if there is one.
    Word(&'a str),
    /// Digits with separators that make no number, such as `1.2.3` or `5.`.
    BadNumber(&'a str),
    Other(char),
}

/// A token with its place in the text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Lexeme<'a> {
    pub(super) token: Token<'a>,
    /// Byte offset of its first character.
    pub(super) start: usize,
    /// Byte offset after its last character.
    pub(super) end: usize,
}

/// Returns the tokens of a text in order; spaces are left out but show in the offsets.
pub(super) fn tokens(text: &str) -> Vec<Lexeme<'_>> {
    let mut found = Vec::new();
    let mut start = 0;
    while let Some(first) = text[start..].chars().next() {
        let length = token_length(&text[start..], first);
        let end = start + length;
        if !first.is_whitespace() {
            let token = token(&text[start..end], first);
            found.push(Lexeme { token, start, end });
        }
        start = end;
    }
    found
}

/// Returns how many bytes the token takes at the start of `rest`.
fn token_length(rest: &str, first: char) -> usize {
    if is_number_part(first) && rest.contains(|c: char| c.is_ascii_digit()) {
        let run = rest.find(|c| !is_number_part(c)).unwrap_or(rest.len());
        if rest[..run].contains(|c: char| c.is_ascii_digit()) {
            return run;
        }
    }
    if first.is_alphabetic() {
        let run = rest
            .find(|c: char| !c.is_alphabetic())
            .unwrap_or(rest.len());
        return if rest[run..].starts_with('.') {
            run + 1
        } else {
            run
        };
    }
    first.len_utf8()
}

const fn is_number_part(c: char) -> bool {
    c.is_ascii_digit() || c == '.' || c == ','
}

fn token(text: &str, first: char) -> Token<'_> {
    if text.contains(|c: char| c.is_ascii_digit()) {
        return number(text).map_or(Token::BadNumber(text), Token::Number);
    }
    if first.is_alphabetic() {
        return Token::Word(text);
    }
    match first {
        _ if is_slash(first) => Token::Slash,
        '\\' => Token::Backslash,
        _ if is_hyphen(first) => Token::Hyphen,
        '"' | '\u{201c}' | '\u{201d}' | '\u{2033}' => Token::InchMark,
        '\'' | '\u{2018}' | '\u{2019}' | '\u{2032}' => Token::FootMark,
        _ => fraction(first).map_or(Token::Other(first), |(numerator, denominator)| {
            Token::Fraction(numerator, denominator)
        }),
    }
}

fn number(text: &str) -> Option<Number<'_>> {
    let Some(at) = text.find(['.', ',']) else {
        return Some(Number {
            whole: text,
            decimals: None,
        });
    };
    let (whole, rest) = text.split_at(at);
    let separator = if rest.starts_with('.') {
        Separator::Point
    } else {
        Separator::Comma
    };
    let decimals = &rest[1..];
    let is_plain = !decimals.is_empty() && decimals.bytes().all(|b| b.is_ascii_digit());
    is_plain.then_some(Number {
        whole,
        decimals: Some((separator, decimals)),
    })
}

/// Returns whether a character is the slash of a fraction.
pub(super) const fn is_slash(c: char) -> bool {
    matches!(c, '/' | '\u{2044}' | '\u{2215}')
}

/// Returns whether a character is a hyphen, a dash or a minus.
pub(super) const fn is_hyphen(c: char) -> bool {
    matches!(c, '-' | '\u{2010}'..='\u{2015}' | '\u{2212}')
}

/// Returns the value of a vulgar fraction character (Unicode blocks Latin-1 Supplement and Number Forms).
const fn fraction(c: char) -> Option<(i128, i128)> {
    Some(match c {
        '¼' => (1, 4),
        '½' => (1, 2),
        '¾' => (3, 4),
        '⅐' => (1, 7),
        '⅑' => (1, 9),
        '⅒' => (1, 10),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '⅕' => (1, 5),
        '⅖' => (2, 5),
        '⅗' => (3, 5),
        '⅘' => (4, 5),
        '⅙' => (1, 6),
        '⅚' => (5, 6),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kinds(text: &str) -> Vec<Token<'_>> {
        tokens(text)
            .into_iter()
            .map(|lexeme| lexeme.token)
            .collect()
    }

    const fn whole(digits: &str) -> Token<'_> {
        Token::Number(Number {
            whole: digits,
            decimals: None,
        })
    }

    #[test]
    fn every_kind_of_slash_quote_and_dash_is_known() {
        for text in ["1/4\"", "1\u{2044}4\u{201d}", "1\u{2215}4\u{2033}"] {
            assert_eq!(
                kinds(text),
                [whole("1"), Token::Slash, whole("4"), Token::InchMark],
                "{text}"
            );
        }
        for text in ["2-1'", "2\u{2013}1\u{2032}", "2\u{2212}1\u{2019}"] {
            assert_eq!(
                kinds(text),
                [whole("2"), Token::Hyphen, whole("1"), Token::FootMark],
                "{text}"
            );
        }
    }

    #[test]
    fn separators_belong_to_their_number() {
        let point = |whole, decimals| {
            Token::Number(Number {
                whole,
                decimals: Some((Separator::Point, decimals)),
            })
        };
        assert_eq!(kinds(".5in."), [point("", "5"), Token::Word("in.")]);
        assert_eq!(kinds("2.25"), [point("2", "25")]);
        assert_eq!(kinds("1.2.3"), [Token::BadNumber("1.2.3")]);
        assert_eq!(kinds("5. mm"), [Token::BadNumber("5."), Token::Word("mm")]);
        assert_eq!(kinds(". 5"), [Token::Other('.'), whole("5")]);
    }

    #[test]
    fn offsets_are_bytes_of_the_text() {
        let found: Vec<_> = tokens("2 ¼″")
            .iter()
            .map(|lexeme| (lexeme.start, lexeme.end))
            .collect();
        assert_eq!(found, [(0, 1), (2, 4), (4, 7)]);
    }
}

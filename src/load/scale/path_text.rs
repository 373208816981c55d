//! Path data with other numbers in it.
//!
//! A command's letter says what its numbers are: places along x or y, radii, angles or flags. Angles and flags stay. The flags of an arc
//! may stand without a space, so each is one character. The text was read before, so it is path data.

use super::frame::Frame;
use super::ruler::is_on_ruler;
use crate::length::{Length, LengthUnit, MM_PER_INCH, TypedLength};
use crate::project::Axis;

/// Decimals of the numbers that are written: a tenth of a micrometre, and a quarter of one.
const MM_DECIMALS: u32 = 4;
const INCH_DECIMALS: u32 = 5;

/// What a number of a command is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Meaning {
    Place(Axis),
    Radius,
    Angle,
    Flag,
}

/// What the numbers of a command are, over and over.
fn meanings(command: char) -> &'static [Meaning] {
    const X: Meaning = Meaning::Place(Axis::X);
    const Y: Meaning = Meaning::Place(Axis::Y);
    const R: Meaning = Meaning::Radius;
    match command.to_ascii_uppercase() {
        'H' => &[X],
        'V' => &[Y],
        'A' => &[R, R, Meaning::Angle, Meaning::Flag, Meaning::Flag, X, Y],
        _ => &[X, Y],
    }
}

/// Returns path data with every place moved as the frame moves it. Relative places move by the factor alone.
pub(super) fn scaled_path(text: &str, unit: LengthUnit, frame: &Frame, even: &Frame) -> String {
    let mut written = String::new();
    for token in tokens(text) {
        let Token::Number {
            text,
            meaning,
            is_relative,
        } = token
        else {
            written += token.text();
            continue;
        };
        let new = match meaning {
            Meaning::Angle | Meaning::Flag => text.to_owned(),
            Meaning::Place(axis) if !is_relative => {
                spelled(frame.place(axis, length(text, unit)), unit)
            }
            Meaning::Place(axis) => spelled(even.place(axis, length(text, unit)), unit),
            Meaning::Radius => spelled(even.place(Axis::X, length(text, unit)), unit),
        };
        // A point begins a new number after one with a point; the zero before it does not.
        let touches = written.ends_with(|c: char| c.is_ascii_digit() || c == '.');
        if touches && !new.starts_with('-') && meaning != Meaning::Flag {
            written.push(' ');
        }
        written += &new;
    }
    written
}

/// Whether path data is straight lines between whole steps of a ruler, each place measured from the origin.
pub(super) fn is_on_ruler_path(text: &str, unit: LengthUnit) -> bool {
    tokens(text).iter().all(|token| match token {
        Token::Command(command) => "MLHVZz".contains(*command),
        Token::Number { text, .. } => is_on_ruler(length(text, unit)),
        Token::Between(_) => true,
    })
}

fn length(text: &str, unit: LengthUnit) -> TypedLength {
    let number: f64 = text.parse().unwrap_or(0.0);
    let mm = match unit {
        LengthUnit::Inch => number * MM_PER_INCH,
        LengthUnit::Millimetre
        | LengthUnit::Foot
        | LengthUnit::Centimetre
        | LengthUnit::Metre
        | LengthUnit::Point => number,
    };
    TypedLength {
        length: Length::nearest_mm(mm),
        unit,
    }
}

fn spelled(length: Length, unit: LengthUnit) -> String {
    let decimals = match unit {
        LengthUnit::Inch => INCH_DECIMALS,
        LengthUnit::Millimetre
        | LengthUnit::Foot
        | LengthUnit::Centimetre
        | LengthUnit::Metre
        | LengthUnit::Point => MM_DECIMALS,
    };
    length.decimal(unit, decimals)
}

/// A stretch of path data.
#[derive(Debug, Clone, Copy)]
enum Token<'t> {
    Command(char),
    Number {
        text: &'t str,
        meaning: Meaning,
        is_relative: bool,
    },
    Between(&'t str),
}

impl<'t> Token<'t> {
    fn text(&self) -> &'t str {
        match self {
            Token::Command(command) => command_text(*command),
            Token::Number { text, .. } | Token::Between(text) => text,
        }
    }
}

fn command_text(command: char) -> &'static str {
    const COMMANDS: &str = "MmLlHhVvCcSsQqTtAaZz";
    COMMANDS.find(command).map_or("", |at| &COMMANDS[at..=at])
}

fn tokens(text: &str) -> Vec<Token<'_>> {
    let mut found = Vec::new();
    let (mut command, mut number, mut at) = ('M', 0, 0);
    let mut is_first_move = true;
    while let Some(first) = text[at..].chars().next() {
        let length = if first.is_ascii_alphabetic() && !command_text(first).is_empty() {
            (command, number) = (first, 0);
            found.push(Token::Command(first));
            1
        } else if first.is_ascii_digit() || "+-.".contains(first) {
            let meanings = meanings(command);
            let meaning = meanings[number % meanings.len()];
            let length = match meaning {
                Meaning::Flag => 1,
                Meaning::Place(_) | Meaning::Radius | Meaning::Angle => number_length(&text[at..]),
            };
            // The first place of a path is measured from the origin, whatever its letter.
            let is_relative = command.is_ascii_lowercase() && !is_first_move;
            is_first_move = is_first_move && number == 0;
            found.push(Token::Number {
                text: &text[at..at + length],
                meaning,
                is_relative,
            });
            number += 1;
            length
        } else {
            found.push(Token::Between(&text[at..at + first.len_utf8()]));
            first.len_utf8()
        };
        at += length;
    }
    found
}

/// How many bytes of the text are its first number.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let mut at = usize::from(bytes.first().is_some_and(|b| b"+-".contains(b)));
    let (mut has_point, mut has_exponent) = (false, false);
    while let Some(byte) = bytes.get(at) {
        match byte {
            b'0'..=b'9' => at += 1,
            b'.' if !has_point && !has_exponent => {
                has_point = true;
                at += 1;
            }
            b'e' | b'E' if !has_exponent => {
                let sign = usize::from(bytes.get(at + 1).is_some_and(|b| b"+-".contains(b)));
                if !bytes.get(at + 1 + sign).is_some_and(u8::is_ascii_digit) {
                    break;
                }
                has_exponent = true;
                at += 1 + sign;
            }
            _ => break,
        }
    }
    at.max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn half_more(text: &str, unit: LengthUnit) -> String {
        let frame = Frame::even("3/2".parse().unwrap(), false);
        scaled_path(text, unit, &frame, &frame)
    }

    #[test]
    fn places_and_radii_grow_and_all_else_stays() {
        // By hand, each number times 3/2; the angle 30 and the flags stay.
        for (text, want) in [
            ("M 0 0 H 40 V 60 H 0 Z", "M 0 0 H 60 V 90 H 0 Z"),
            ("M0,0\nL 35.15,-3.2", "M0,0\nL 52.725,-4.8"),
            ("m1-2 3 4z", "m1.5-3 4.5 6z"),
            ("M1 1.5.5", "M1.5 2.25 0.75"),
            ("M0 0A 2 4 30 1 0 6 8", "M0 0A 3 6 30 1 0 9 12"),
            ("M0 0a2 4 30 106 8", "M0 0a3 6 30 10 9 12"),
            ("M 1e1 2E-1", "M 15 0.3"),
        ] {
            assert_eq!(half_more(text, LengthUnit::Millimetre), want, "{text}");
        }
        assert_eq!(
            half_more("M 0 0 H 1.125", LengthUnit::Inch),
            "M 0 0 H 1.6875"
        );
    }

    #[test]
    fn only_lines_between_whole_steps_are_on_the_ruler() {
        assert!(is_on_ruler_path(
            "M 0 0 H 40.5 V 60 Z",
            LengthUnit::Millimetre
        ));
        assert!(is_on_ruler_path("M 0 0 H 1.0625 Z", LengthUnit::Inch));
        for text in ["M 0 0 H 40.2 Z", "M 0 0 h 40 Z", "M 0 0 A 4 4 0 0 1 8 8 Z"] {
            assert!(!is_on_ruler_path(text, LengthUnit::Millimetre), "{text}");
        }
    }
}

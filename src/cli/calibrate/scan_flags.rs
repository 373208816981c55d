//! What is typed behind the flags of `calibrate scan`.

use crate::calibrate::scan::{Measured, RuleNote};
use crate::length::{Length, LengthError, parse_pair};
use crate::paper::Format;

/// Between a length and how far it may be off.
const WITHIN: &str = " within ";

/// A ruler reading with its words.
#[derive(Debug, Clone)]
pub(super) struct Rule {
    pub(super) note: RuleNote,
    pub(super) typed: String,
}

/// A measured sheet with its words.
#[derive(Debug, Clone)]
pub(super) struct SheetSize {
    pub(super) width_mm: f64,
    pub(super) height_mm: f64,
    pub(super) within_mm: Option<f64>,
    pub(super) typed: String,
}

pub(super) fn parse_rule(text: &str) -> Result<Rule, String> {
    let example =
        "write the line, its length and how far that may be off, like \"C=240.6mm within 0.2mm\"";
    let (line, rest) = text.split_once('=').ok_or(example)?;
    let line = line.trim();
    let what = match line.chars().next() {
        _ if line.eq_ignore_ascii_case("bar") => Measured::Bar,
        Some(id) if line.len() == 1 && id.is_ascii_alphabetic() => {
            Measured::Line(id.to_ascii_uppercase())
        }
        Some(_) | None => return Err(format!("the chart has no line \"{line}\"; {example}")),
    };
    let (length, within_mm) = with_limit(rest)?;
    Ok(Rule {
        note: RuleNote {
            what,
            length_mm: Length::parse(length, None).map_err(|e| words(&e))?.to_mm(),
            within_mm,
        },
        typed: text.trim().to_owned(),
    })
}

pub(super) fn parse_sheet(text: &str) -> Result<SheetSize, String> {
    let (size, within_mm) = with_limit(text)?;
    let (width, height) = parse_pair(size, None).map_err(|e| words(&e))?;
    Ok(SheetSize {
        width_mm: width.to_mm(),
        height_mm: height.to_mm(),
        within_mm,
        typed: text.trim().to_owned(),
    })
}

/// A text and the limit behind it.
fn with_limit(text: &str) -> Result<(&str, Option<f64>), String> {
    let Some((value, limit)) = text.split_once(WITHIN) else {
        return Ok((text, None));
    };
    let limit_mm = Length::parse(limit, None).map_err(|e| words(&e))?.to_mm();
    if limit_mm <= 0.0 {
        return Err("nothing is measured without error: write how far it may be off".to_owned());
    }
    Ok((value, Some(limit_mm)))
}

fn words(error: &LengthError) -> String {
    format!("{}; {}", error.message(), error.hint())
}

pub(in crate::cli) fn parse_scale(text: &str) -> Result<(f64, f64), String> {
    let example = "write what the scanner shows over what is true, along rows and columns, like 1.0012,0.9993";
    let (x, y) = text.split_once(',').ok_or(example)?;
    let factor = |text: &str| {
        let number: f64 = text.trim().parse().map_err(|_| example.to_owned())?;
        if (0.97..=1.03).contains(&number) {
            Ok(number)
        } else {
            Err(format!(
                "no scanner shows lengths {number} times as long; {example}"
            ))
        }
    };
    Ok((factor(x)?, factor(y)?))
}

pub(super) fn parse_dpi(text: &str) -> Result<f64, String> {
    let dpi: f64 = text
        .trim()
        .parse()
        .map_err(|_| "write a number, like 300")?;
    if (50.0..=2400.0).contains(&dpi) {
        Ok(dpi)
    } else {
        Err(format!(
            "{dpi} pixels to the inch is no scan; 150 to 1200 are good"
        ))
    }
}

pub(super) fn parse_format(text: &str) -> Result<Format, String> {
    super::page::format(text).map_err(|d| format!("{}; {}", d.message, d.hints.join("; ")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ruler_reading_names_a_line_a_length_and_a_limit() {
        let rule = parse_rule("c=240.6mm within 0.2mm").unwrap();
        assert_eq!(rule.note.what, Measured::Line('C'));
        assert!((rule.note.length_mm - 240.6).abs() < 1e-9);
        assert!((rule.note.within_mm.unwrap() - 0.2).abs() < 1e-9);
        // 3 15/16 in are 100.0125 mm.
        let bar = parse_rule("bar=3 15/16 in").unwrap();
        assert_eq!((bar.note.what, bar.note.within_mm), (Measured::Bar, None));
        assert!((bar.note.length_mm - 100.0125).abs() < 1e-9);
    }

    #[test]
    fn what_cannot_be_read_is_refused_with_what_to_type() {
        for (text, word) in [
            ("240", "C=240.6mm"),
            ("long=3mm", "long"),
            ("A=240", "mm"),
            ("A=240mm within 0mm", "off"),
        ] {
            let why = parse_rule(text).unwrap_err();
            assert!(why.contains(word), "{text}: {why}");
        }
        assert!(parse_scale("1.2,1").unwrap_err().contains("1.2"));
        assert!(parse_scale("1.001").unwrap_err().contains("1.0012,0.9993"));
        assert!(parse_dpi("3").is_err() && parse_dpi("600").is_ok());
        assert!(parse_sheet("210.1 x 296.8 mm within 0.3 mm").is_ok());
        assert!(parse_format("a4").is_ok() && parse_format("12 x 12 in").is_ok());
        assert!(parse_format("leter").unwrap_err().contains("Letter"));
    }
}

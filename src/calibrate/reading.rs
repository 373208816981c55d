//! What was typed, as numbers: whole divisions and ticks of a vernier, shifts of a scale, lengths by ruler.

use super::chart::{ChartEdition, Vernier};
use crate::length::{Length, LengthUnit};

/// Why a text is no reading, and what to type.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Unread {
    pub(super) message: String,
    pub(super) hint: String,
}

fn unread<T>(message: impl Into<String>, hint: impl Into<String>) -> Result<T, Unread> {
    Err(Unread {
        message: message.into(),
        hint: hint.into(),
    })
}

/// A reading of a vernier: divisions of the ruler before tick 0, and the tick that meets a mark; between two ticks that meet equally
/// well, the half.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Tenths {
    divisions: f64,
    tick: f64,
}

impl Tenths {
    /// Reads `20.4`, or divisions and tick as `20 + 4` and, in inches, `3/4 + 5`.
    pub(super) fn parse(text: &str, edition: ChartEdition) -> Result<Self, Unread> {
        match edition {
            ChartEdition::Millimetres => Self::parse_mm(text),
            ChartEdition::Inches => Self::parse_inches(text),
        }
    }

    fn parse_mm(text: &str) -> Result<Self, Unread> {
        let bare = without_unit(text, "mm");
        let hint = "type millimetres and tenths, like 20.4, or the millimetres before tick 0 and the tick, like 20 + 4";
        if let Some((whole, tick)) = bare.split_once('+') {
            let divisions = number(whole).filter(|n| *n >= 0.0 && n.fract().abs() < 1e-9);
            let Some(divisions) = divisions else {
                return unread(
                    format!("\"{text}\" has no whole millimetres before the plus"),
                    hint,
                );
            };
            let tick = tick_of(tick, ChartEdition::Millimetres)?;
            return Ok(Self { divisions, tick });
        }
        if text.contains(['/', '"', '\'']) || text.contains("in") {
            let hint =
                "type millimetres, like 20.4; for a chart with inch verniers say --edition inch";
            return unread(
                format!("\"{text}\" is in inches, and the chart is read in millimetres"),
                hint,
            );
        }
        match number(bare).filter(|n| *n >= 0.0) {
            Some(mm) => Ok(Self {
                divisions: mm.floor(),
                // Tenths that binary numbers miss by a hair are tenths.
                tick: ((mm - mm.floor()) * 1e7).round() / 1e6,
            }),
            None => unread(format!("\"{text}\" is no reading"), hint),
        }
    }

    fn parse_inches(text: &str) -> Result<Self, Unread> {
        let hint = "type the inches before tick 0 in sixteenths, a plus and the tick, like 3/4 + 5";
        let Some((whole, tick)) = text.split_once('+') else {
            return unread(
                format!("\"{text}\" does not say which tick met a mark"),
                hint,
            );
        };
        if whole.contains("mm") {
            let hint =
                "type inches, like 3/4 + 5; for a chart with millimetre verniers say --edition mm";
            return unread(
                format!("\"{text}\" is in millimetres, and the chart is read in inches"),
                hint,
            );
        }
        let sixteenth = Length::from_inch_fraction(1, 16).nm();
        let whole = whole.trim();
        let divisions = Length::parse(whole, Some(LengthUnit::Inch))
            .ok()
            .filter(|l| l.nm() % sixteenth == 0)
            .and_then(|l| i32::try_from(l.nm() / sixteenth).ok());
        match divisions {
            Some(divisions) => Ok(Self {
                divisions: divisions.into(),
                tick: tick_of(tick, ChartEdition::Inches)?,
            }),
            None => unread(
                format!("\"{whole}\" is no number of sixteenths of an inch"),
                hint,
            ),
        }
    }

    /// Returns the distance of tick 0 from the edge, in millimetres, where the printer stretches the scale by `scale`.
    pub(super) fn mm(self, vernier: &Vernier, scale: f64) -> f64 {
        (self.divisions + self.tick) * vernier.division_mm - self.tick * vernier.pitch_mm * scale
    }
}

fn tick_of(text: &str, edition: ChartEdition) -> Result<f64, Unread> {
    let last = f64::from(edition.last_tick());
    match number(text).filter(|n| (0.0..=last).contains(n)) {
        Some(tick) => Ok(tick),
        None => unread(
            format!("\"{}\" is no tick of the vernier", text.trim()),
            format!("type the number of the tick that meets a mark of the ruler, from 0 to {last}"),
        ),
    }
}

/// Reads how far the back lies to the right of the front or below it: `-0.4`, or the front's tick before tick 0 of the back and the
/// back's tick that meets one, `-1 + 6`.
pub(super) fn shift_mm(text: &str) -> Result<f64, Unread> {
    let hint = "type millimetres and tenths, to the left or upwards with a minus, like -0.4; or tick and tick, like -1 + 6";
    let bare = without_unit(text, "mm");
    if let Some((whole, tick)) = bare.split_once('+') {
        return match (number(whole), number(tick)) {
            (Some(whole), Some(tick))
                if whole.fract().abs() < 1e-9 && (-10.0..=10.0).contains(&tick) =>
            {
                Ok(whole + tick * 0.1)
            }
            (Some(_) | None, Some(_) | None) => unread(format!("\"{text}\" is no shift"), hint),
        };
    }
    number(bare).map_or_else(|| unread(format!("\"{text}\" is no shift"), hint), Ok)
}

/// Reads a length by plain ruler: `150.5`, `150.5 mm` or `5 29/32 in`.
pub(super) fn length_mm(text: &str, edition: ChartEdition) -> Result<f64, Unread> {
    let unit = match edition {
        ChartEdition::Millimetres => LengthUnit::Millimetre,
        ChartEdition::Inches => LengthUnit::Inch,
    };
    match Length::parse(text, Some(unit)) {
        Ok(length) => Ok(length.to_mm()),
        Err(error) => unread(error.message(), error.hint()),
    }
}

/// Reads the number of a line of a ladder.
pub(super) fn line(text: &str, last: u32) -> Result<u32, Unread> {
    match text.trim().parse::<u32>() {
        Ok(line) if (1..=last).contains(&line) => Ok(line),
        Ok(_) | Err(_) => unread(
            format!("\"{text}\" is no line of the ladder"),
            format!(
                "type the number of the outermost line that is printed whole, from 1 to {last}"
            ),
        ),
    }
}

fn without_unit<'t>(text: &'t str, unit: &str) -> &'t str {
    let text = text.trim();
    text.strip_suffix(unit).map_or(text, str::trim_end)
}

/// Reads a decimal number as people write it: no exponents, no words.
fn number(text: &str) -> Option<f64> {
    let text = text.trim();
    let is_plain = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-');
    let has_digit = text.contains(|c: char| c.is_ascii_digit());
    (has_digit && text.len() <= 12 && text.chars().all(is_plain))
        .then(|| text.parse().ok())
        .flatten()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibrate::chart::Chart;
    use crate::paper;

    fn vernier(edition: ChartEdition) -> Vernier {
        let chart = Chart::upright(paper::find("a4").unwrap(), edition).unwrap();
        chart.verniers[0].clone()
    }

    fn read_mm(text: &str, edition: ChartEdition, scale: f64) -> f64 {
        Tenths::parse(text, edition)
            .unwrap()
            .mm(&vernier(edition), scale)
    }

    /// Case `vernier` of `registration-vectors.json` (numpy): tick k of a scale printed e too wide reads k (1 - 0.9 (1 + e)).
    #[test]
    fn tenths_are_corrected_for_the_scale_of_the_vernier() {
        let text = include_str!("../../tests/data/registration-vectors.json");
        let cases: serde_json::Value = serde_json::from_str(text).unwrap();
        let cases = cases["cases"].as_array().unwrap();
        let case = cases.iter().find(|c| c["id"] == "vernier").unwrap();
        for row in case["table"].as_array().unwrap() {
            let (e, k, f) = (
                row["e_pct"].as_f64().unwrap() / 100.0,
                &row["k"],
                row["f"].as_f64().unwrap(),
            );
            for text in [format!("20 + {k}"), format!("20.{k} mm")] {
                let found = read_mm(&text, ChartEdition::Millimetres, 1.0 + e);
                assert!((found - 20.0 - f).abs() < 1e-6, "{text}: {found} {f}");
            }
        }
    }

    /// By hand: 3/4 in and 5 of 128 are 101/128 in = 20.0422 mm.
    #[test]
    fn inches_are_sixteenths_and_a_tick() {
        for text in ["3/4 + 5", "12/16+5", "0.75 in + 5"] {
            assert!(
                (read_mm(text, ChartEdition::Inches, 1.0) - 101.0 / 128.0 * 25.4).abs() < 1e-9,
                "{text}"
            );
        }
    }

    #[test]
    fn what_is_no_reading_is_told_what_to_type() {
        for (text, edition, words) in [
            ("", ChartEdition::Millimetres, "no reading"),
            ("20.4.1", ChartEdition::Millimetres, "no reading"),
            ("1e3", ChartEdition::Millimetres, "no reading"),
            ("nan", ChartEdition::Millimetres, "no reading"),
            ("-3", ChartEdition::Millimetres, "no reading"),
            ("20 + 11", ChartEdition::Millimetres, "no tick"),
            (
                "20.5 + 1",
                ChartEdition::Millimetres,
                "no whole millimetres",
            ),
            ("3/4 + 5", ChartEdition::Millimetres, "no whole millimetres"),
            ("25/32", ChartEdition::Millimetres, "is in inches"),
            ("0.79 in", ChartEdition::Millimetres, "is in inches"),
            ("3/4", ChartEdition::Inches, "which tick"),
            ("20.4", ChartEdition::Inches, "which tick"),
            ("20 mm + 4", ChartEdition::Inches, "is in millimetres"),
            ("1/32 + 4", ChartEdition::Inches, "sixteenths"),
            ("3/4 + 9", ChartEdition::Inches, "no tick"),
        ] {
            let unread = Tenths::parse(text, edition).unwrap_err();
            assert!(unread.message.contains(words), "{text}: {unread:?}");
            assert!(unread.hint.contains("type"), "{unread:?}");
        }
        assert!(
            shift_mm("half").is_err()
                && shift_mm("1 + 12").is_err()
                && shift_mm("0.5 + 1").is_err()
        );
        assert!(line("0", 16).is_err() && line("17", 16).is_err() && line("4.5", 16).is_err());
    }

    #[test]
    fn shifts_have_a_sign() {
        // Tick 6 of the back meets a tick of the front, and tick 0 lies right of tick -1: -1 + 0.6.
        for (text, mm) in [
            ("-0.4", -0.4),
            ("-1 + 6", -0.4),
            ("0.6 mm", 0.6),
            ("2", 2.0),
        ] {
            assert!((shift_mm(text).unwrap() - mm).abs() < 1e-12, "{text}");
        }
    }
}

//! Grammage, given in grams per square metre or as the North American basis weight.
//!
//! A basis weight is the weight of 500 sheets of the grade's basic size, so the same number of pounds means different paper
//! in different grades.

use super::code;
use super::value::Value;

/// Exact by definition (international yard and pound, 1959).
const GRAMS_PER_POUND: f64 = 453.592_37;
/// Exact: 0.0254 m squared.
const M2_PER_SQUARE_INCH: f64 = 0.000_645_16;
const SHEETS_PER_REAM: f64 = 500.0;
/// Lightest and heaviest paper and board there is, with room to spare.
const GSM: std::ops::RangeInclusive<f64> = 5.0..=5000.0;

/// Grades with their basic size in inches.
const GRADES: &[(&str, f64, f64)] = &[
    ("bond", 17.0, 22.0),
    ("text", 25.0, 38.0),
    ("cover", 20.0, 26.0),
    ("index", 25.5, 30.5),
    ("bristol", 22.5, 28.5),
    ("tag", 24.0, 36.0),
];

/// Reads a grammage and returns it in grams per square metre.
pub(super) fn read(value: &Value<'_>) -> Option<f64> {
    let text = value.raw_text()?.trim();
    let split = text
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(text.len());
    let (number, unit) = (text[..split].parse::<f64>(), text[split..].trim());
    let words: Vec<_> = unit.split_whitespace().collect();
    let gsm = match (number, words.as_slice()) {
        (Ok(number), ["gsm" | "g/m2" | "g/m²"]) => number,
        (Ok(pounds), ["lb", grade]) => from_pounds(value, pounds, grade)?,
        (Ok(pounds), ["lb"]) => return without_grade(value, pounds),
        _ => {
            let message = format!("grammage = \"{text}\" is no weight of paper");
            let hint = "write a weight like grammage = \"216 gsm\" or grammage = \"80 lb cover\"";
            return value.fail(code::NUMBER_SPELLING, message, hint);
        }
    };
    if GSM.contains(&gsm) {
        return Some(gsm);
    }
    let message = format!(
        "grammage = \"{text}\" is {gsm:.0} gsm, outside {} to {} gsm",
        GSM.start(),
        GSM.end()
    );
    value.fail(code::NUMBER_RANGE, message, "check the number and its unit")
}

fn from_pounds(value: &Value<'_>, pounds: f64, grade: &str) -> Option<f64> {
    let found = GRADES.iter().find(|(name, _, _)| *name == grade);
    found
        .map(|(_, width, height)| to_gsm(pounds, *width, *height))
        .or_else(|| {
            let message = format!("no grade of paper is called \"{grade}\"");
            let names: Vec<_> = GRADES.iter().map(|(name, _, _)| *name).collect();
            value.fail(
                code::STOCK_GRADE,
                message,
                format!("the grades are {}", names.join(", ")),
            )
        })
}

fn without_grade(value: &Value<'_>, pounds: f64) -> Option<f64> {
    let gsm = |grade: &str| {
        let row = GRADES.iter().find(|(name, _, _)| *name == grade);
        row.map_or(0.0, |(_, width, height)| to_gsm(pounds, *width, *height))
    };
    let message = format!(
        "{pounds} lb is {:.0} gsm as index and {:.0} gsm as cover",
        gsm("index"),
        gsm("cover")
    );
    let hint = format!(
        "write the grade too, like grammage = \"{pounds} lb cover\", or the grams, like \"216 gsm\""
    );
    value.fail(code::STOCK_GRADE, message, hint)
}

fn to_gsm(pounds: f64, width_in: f64, height_in: f64) -> f64 {
    pounds * GRAMS_PER_POUND / (SHEETS_PER_REAM * width_in * height_in * M2_PER_SQUARE_INCH)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pounds_of_each_grade_match_the_published_factors() {
        // Factors of 1 lb as PrintWiki prints them (bond, text, cover), and a printer maker's guide (index, bristol), and
        // PrintWiki again for tag; each is rounded to the digits given.
        let published = [
            ("bond", 3.760, 0.001),
            ("text", 1.480, 0.001),
            ("cover", 2.704, 0.001),
            ("index", 1.81, 0.01),
            ("bristol", 2.19, 0.01),
            ("tag", 1.627, 0.001),
        ];
        for (grade, factor, digit) in published {
            let (_, width, height) = GRADES.iter().find(|(name, _, _)| *name == grade).unwrap();
            let found = to_gsm(1.0, *width, *height);
            assert!((found - factor).abs() < digit / 2.0, "{grade}: {found}");
        }
    }
}

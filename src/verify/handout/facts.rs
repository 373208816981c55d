//! Whether a text says what it must: facts one after another, with any words between them.

use super::super::verdict::{Finding, Tally};
use crate::font::normalise;
use crate::length::MM_PER_INCH;

/// Between cells of a table: no number goes on across it.
pub(super) const CELL: &str = " | ";
/// Letters of a text that a message repeats.
const MOST_TOLD: usize = 400;

/// Words and numbers without punctuation around them; a whole number and its fraction are one.
pub(super) fn tokens(text: &str) -> Vec<String> {
    let mut tokens: Vec<String> = Vec::new();
    for cell in normalise(text).split(CELL) {
        let before = tokens.len();
        for word in cell.split_whitespace() {
            let bare = word.trim_matches([',', '.', ':', ';', '(', ')', '·']);
            let goes_on = tokens.len() > before && is_fraction(bare);
            match tokens.last_mut() {
                Some(whole) if goes_on && is_whole(whole) => *whole = format!("{whole}_{bare}"),
                Some(_) | None if !bare.is_empty() => tokens.push(bare.to_owned()),
                Some(_) | None => {}
            }
        }
    }
    tokens
}

fn is_whole(token: &str) -> bool {
    !token.is_empty() && token.chars().all(|c| c.is_ascii_digit())
}

fn is_fraction(token: &str) -> bool {
    let parts = token.split_once('/');
    parts.is_some_and(|(above, below)| is_whole(above) && is_whole(below))
}

/// Asks for facts in order and notes each that is not there. What is found is told as it stands.
pub(super) fn ask(tally: &mut Tally, what: &str, id: Option<&str>, facts: &[&str], said: &str) {
    let words = tokens(said);
    let mut at = 0;
    for fact in facts {
        tally.count();
        let wanted = tokens(fact);
        match place(&words[at..], &wanted).or_else(|| broken(&words[at..], &wanted)) {
            Some(end) => at += end,
            None => {
                let finding = Finding::numbers("verify.words", what, *fact, told(said));
                tally.add(about(finding, id));
            }
        }
    }
}

/// Asks that two texts are the same, wherever lines end.
pub(super) fn same(tally: &mut Tally, what: &str, planned: &str, said: &str) {
    tally.count();
    if squeezed(planned) != squeezed(said) {
        let finding = Finding::numbers("verify.words", what, told(planned), told(said));
        tally.add(finding);
    }
}

/// Asks that there are as many as planned.
pub(super) fn as_many(
    tally: &mut Tally,
    what: &str,
    id: Option<&str>,
    planned: usize,
    found: usize,
) {
    tally.count();
    if planned != found {
        let code = if found < planned {
            "verify.missing"
        } else {
            "verify.extra"
        };
        let finding = Finding::numbers(code, what, planned.to_string(), found.to_string());
        tally.add(about(finding, id));
    }
}

/// Asks that these are all lengths that a text names, in millimetres, in order.
pub(super) fn lengths(tally: &mut Tally, what: &str, id: &str, planned: &[f64], said: &str) {
    /// A ten-thousandth of an inch, as finely as lengths are printed.
    const PRINTED_MM: f64 = 0.0026;
    let found = lengths_in(said);
    tally.count();
    let is_near = |(a, b): (&f64, &f64)| (a - b).abs() <= PRINTED_MM;
    if found.len() != planned.len() || !planned.iter().zip(&found).all(is_near) {
        let spell = |lengths: &[f64]| {
            let lengths: Vec<String> = lengths.iter().map(|mm| format!("{mm:.3}")).collect();
            format!("{} mm", lengths.join(", "))
        };
        let finding = Finding::numbers("verify.words", what, spell(planned), spell(&found));
        tally.add(finding.about(id));
    }
}

/// Where tokens end that follow one another.
pub(super) fn place(words: &[String], wanted: &[String]) -> Option<usize> {
    if wanted.is_empty() {
        return Some(0);
    }
    let mut windows = words.windows(wanted.len());
    let start = windows.position(|window| window == wanted)?;
    Some(start + wanted.len())
}

/// The same where a long word was broken at the end of its line.
fn broken(words: &[String], wanted: &[String]) -> Option<usize> {
    const LONG: usize = 16;
    let whole = wanted.concat();
    if wanted.iter().all(|word| word.chars().count() < LONG) {
        return None;
    }
    (0..words.len()).find_map(|start| {
        let mut rest = whole.as_str();
        for (i, word) in words[start..].iter().enumerate() {
            rest = rest.strip_prefix(word.as_str())?;
            if rest.is_empty() {
                return Some(start + i + 1);
            }
        }
        None
    })
}

/// All lengths that a text names, in millimetres.
pub(super) fn lengths_in(said: &str) -> Vec<f64> {
    let words = tokens(said);
    let pairs = words.windows(2);
    let found = pairs.filter_map(|pair| {
        let unit_mm = match pair[1].as_str() {
            "in" => MM_PER_INCH,
            "mm" => 1.0,
            _ => return None,
        };
        Some(value(&pair[0])? * unit_mm)
    });
    found.collect()
}

/// `3_1/2`, `1/2` or `0.15`.
fn value(token: &str) -> Option<f64> {
    let number = |text: &str| text.parse::<f64>().ok().filter(|n| n.is_finite());
    let (whole, part) = token.split_once('_').unwrap_or(("0", token));
    let part = match part.split_once('/') {
        Some((above, below)) => number(above)? / number(below)?,
        None => number(part)?,
    };
    Some(number(whole)? + part)
}

/// A text without white space, which line ends change.
pub(super) fn squeezed(text: &str) -> String {
    normalise(text)
        .chars()
        .filter(|c| !c.is_whitespace())
        .collect()
}

fn told(text: &str) -> String {
    let mut told: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if let Some((end, _)) = told.char_indices().nth(MOST_TOLD) {
        told.truncate(end);
        told.push_str(" ...");
    }
    if told.is_empty() {
        "nothing".clone_into(&mut told);
    }
    told
}

fn about(finding: Finding, id: Option<&str>) -> Finding {
    match id {
        Some(id) => finding.about(id),
        None => finding,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn missing(facts: &[&str], said: &str) -> Vec<String> {
        let mut tally = Tally::new("page");
        ask(&mut tally, "row", None, facts, said);
        let findings = tally.finish().findings.into_iter();
        findings.filter_map(|f| f.planned).collect()
    }

    #[test]
    fn a_fraction_is_not_found_in_a_larger_number() {
        assert!(missing(&["1/2 in"], "from the left edge at 1/2 in").is_empty());
        assert_eq!(
            missing(&["1/2 in"], "from the left edge at 3 1/2 in"),
            ["1/2 in"]
        );
        assert_eq!(missing(&["51 mm"], "151 mm"), ["51 mm"]);
        // Cells of a table do not run into each other.
        assert!(missing(&["2", "1/2 in"], "2 | 1/2 in").is_empty());
    }

    #[test]
    fn facts_are_asked_for_in_order() {
        let said = "1. glue Band, overlap (back) on Band, back (front)";
        assert!(missing(&["1", "Band, overlap", "back", "Band, back", "front"], said).is_empty());
        assert_eq!(
            missing(&["Band, back", "Band, overlap"], said),
            ["Band, overlap"]
        );
    }

    #[test]
    fn a_long_word_may_be_broken_at_the_end_of_a_line() {
        let said = "Rindfleischetikettierungsüber wachung, 2 of";
        assert!(missing(&["Rindfleischetikettierungsüberwachung", "2"], said).is_empty());
    }

    #[test]
    fn lengths_are_read_with_their_units() {
        // 2 1/2 in are 63.5 mm.
        assert_eq!(
            lengths_in("only from 2 1/2 in to 70 mm, measured"),
            [63.5, 70.0]
        );
        assert_eq!(lengths_in("in a groove, in 3 mm"), [3.0]);
    }
}

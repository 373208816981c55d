//! Breaking text into lines.

use super::Letter;

/// Most letters on a line: what the eye follows back easily (common practice, no source).
pub(super) const MOST_LETTERS: usize = 74;

/// Units that stay with their number.
const UNITS: [&str; 4] = ["in", "mm", "%", "minutes"];

/// Returns the text in lines no wider than `widest_mm` and of at most 74 letters. Breaks that the text has itself are kept; a number
/// stays with its fraction and its unit; a word that is wider than a line is broken where the line ends.
pub(in crate::draw) fn wrapped(text: &str, letter: Letter, widest_mm: f64) -> Vec<String> {
    wrapped_at(text, letter, widest_mm, MOST_LETTERS)
}

/// The same with another number of letters at most: what is looked up and not read may run farther.
pub(super) fn wrapped_at(
    text: &str,
    letter: Letter,
    widest_mm: f64,
    most_letters: usize,
) -> Vec<String> {
    let fits =
        |line: &str| line.chars().count() <= most_letters && letter.width_mm(line) <= widest_mm;
    let lines = text.trim().lines();
    lines.flat_map(|line| wrapped_line(line, &fits)).collect()
}

fn wrapped_line(text: &str, fits: &impl Fn(&str) -> bool) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in words(text).iter().flat_map(|word| parts(word, fits)) {
        let line = lines.last_mut().expect("there is a first line");
        if line.is_empty() {
            *line = word;
        } else if fits(&format!("{line} {word}")) {
            *line = format!("{line} {word}");
        } else {
            lines.push(word);
        }
    }
    lines
}

/// Words, each number with its fraction and unit.
fn words(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match words.last_mut() {
            Some(last) if stays_with(last, word) => {
                last.push(' ');
                last.push_str(word);
            }
            Some(_) | None => words.push(word.to_owned()),
        }
    }
    words
}

fn stays_with(number: &str, word: &str) -> bool {
    let is_unit = UNITS.contains(&word.trim_end_matches([',', '.', ';', ':', ')']));
    let is_fraction = word.contains('/') && word.starts_with(|c: char| c.is_ascii_digit());
    number.ends_with(|c: char| c.is_ascii_digit()) && (is_unit || is_fraction)
}

/// The word, in pieces that fit a line each.
fn parts(word: &str, fits: &impl Fn(&str) -> bool) -> Vec<String> {
    if fits(word) {
        return vec![word.to_owned()];
    }
    let mut parts = vec![String::new()];
    for letter in word.chars() {
        let part = parts.last_mut().expect("there is a first part");
        part.push(letter);
        if !fits(part) && part.chars().count() > 1 {
            part.pop();
            parts.push(letter.to_string());
        }
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_fill_a_line_as_far_as_their_advances_allow() {
        // From the font's hmtx table: H 1518, space 532 of 2048 units. At 3.9 mm "HH HH" takes (4 x 1518 + 532) / 2048 x 3.9 = 12.576.
        assert_eq!(wrapped("HH HH HH", Letter::BODY, 12.58), ["HH HH", "HH"]);
        assert_eq!(wrapped("HH HH HH", Letter::BODY, 12.57), ["HH", "HH", "HH"]);
    }

    #[test]
    fn no_line_has_more_than_74_letters() {
        let text = "leek ".repeat(60);
        let lines = wrapped(&text, Letter::BODY, 500.0);
        assert!(lines.iter().all(|line| line.chars().count() <= 74));
        // Fifteen times four letters and fourteen spaces are 74.
        assert_eq!(lines[0].chars().count(), 74);
    }

    #[test]
    fn a_word_that_is_wider_than_a_line_is_broken() {
        // Ten H take 10 x 1518 / 2048 x 3.9 = 28.9 mm; three fit into 9.
        let lines = wrapped("HHHHHHHHHH", Letter::BODY, 9.0);
        assert_eq!(lines, ["HHH", "HHH", "HHH", "H"]);
        // Narrower than a letter: still one letter each, never without end.
        assert_eq!(wrapped("HH", Letter::BODY, 0.1), ["H", "H"]);
    }

    #[test]
    fn a_number_stays_with_its_fraction_and_unit() {
        let widest_mm = Letter::BODY.width_mm("score at 1 3/8");
        assert_eq!(
            wrapped("score at 1 3/8 in, fold", Letter::BODY, widest_mm),
            ["score at", "1 3/8 in, fold"]
        );
    }

    #[test]
    fn breaks_of_the_text_itself_are_kept() {
        assert_eq!(
            wrapped("fold\nglue \n", Letter::BODY, 90.0),
            ["fold", "glue"]
        );
    }
}

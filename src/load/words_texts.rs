//! What words say: on all copies the same, or on each what its row of a list has.

use super::code;
use super::table::Table;
use super::words_font::Font;
use super::words_list::List;
use super::words_template::{Template, Text, Wrong, one_line};
use crate::diagnostic::Diagnostic;
use crate::font::named;

/// Most lines of one text, and most letters of one line: more is no label.
const MOST_LINES: usize = 40;
const MOST_LETTERS: usize = 200;

/// Most rows of a list of which the same mistake is told.
const MOST_TOLD: usize = 5;

/// Returns the texts that are set, with all mistakes in them told.
pub(super) fn texts(
    table: &Table<'_>,
    template: &Template,
    list: Option<&List>,
    font: &Font,
) -> Option<Vec<Text>> {
    let key = match table.has("text") {
        true => "text",
        false => "from",
    };
    let texts = match list {
        Some(list) => list.texts(template),
        None => template.alone().map(|text| vec![text]),
    };
    let texts = match texts {
        Ok(texts) => texts,
        Err(wrong) => return tell(table, key, wrong),
    };
    if let Some(list) = list {
        warn_of_gaps(table, list, template);
        if texts.iter().all(|text| text.text.trim().is_empty()) {
            let message = format!("no row of \"{}\" says anything", list.path);
            let hint = "fill in the column that text names";
            return tell(table, "from", wrong(code::WORDS_LIST, message, hint));
        }
    }
    let from = list.map(|list| list.path.as_str());
    let mut wrongs = texts.iter().filter_map(|text| refused(text, font, from));
    let told: Vec<Wrong> = wrongs.by_ref().take(MOST_TOLD).collect();
    if told.is_empty() {
        return Some(texts);
    }
    let key = if list.is_some() && table.has("from") {
        "from"
    } else {
        key
    };
    for wrong in told {
        tell::<()>(table, key, wrong);
    }
    None
}

fn wrong(code: &'static str, message: String, hint: &str) -> Wrong {
    Wrong {
        code,
        message,
        hint: hint.to_owned(),
    }
}

fn tell<T>(table: &Table<'_>, key: &'static str, wrong: Wrong) -> Option<T> {
    let origin = table.origin_of(key);
    let mistakes = table.mistakes();
    mistakes.fail(wrong.code, &origin, wrong.message, wrong.hint)
}

/// A gap is left as it is: some guests have no title.
fn warn_of_gaps(table: &Table<'_>, list: &List, template: &Template) {
    for (column, lines) in list.gaps(template) {
        let named: Vec<String> = lines.iter().take(MOST_TOLD).map(u32::to_string).collect();
        let more = match lines.len() - named.len() {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let (noun, has) = match lines.len() {
            1 => ("line", "has"),
            _ => ("lines", "have"),
        };
        let message = format!(
            "{noun} {}{more} of \"{}\" {has} nothing under \"{column}\": it stays empty there",
            named.join(", "),
            list.path
        );
        let warning = Diagnostic::warning(code::WORDS_EMPTY, message);
        let hint = "fill it in, or leave it as it is if nothing is to be said";
        let at = table.origin_of("from");
        table.mistakes().push(warning.at(&at).hint(hint));
    }
}

/// What keeps a text from being set.
fn refused(text: &Text, font: &Font, list: Option<&str>) -> Option<Wrong> {
    let name = match (text.line, list) {
        (Some(line), Some(list)) => format!("line {line} of \"{list}\""),
        (Some(_) | None, _) => "text".to_owned(),
    };
    let lines: Vec<&str> = text.text.lines().collect();
    if lines.len() > MOST_LINES {
        let message = format!("{name} has {} lines, more than {MOST_LINES}", lines.len());
        return Some(wrong(
            code::WORDS_TEXT,
            message,
            "make several artworks of them",
        ));
    }
    let letters = lines.iter().map(|line| line.chars().count()).max();
    if let Some(letters) = letters.filter(|letters| *letters > MOST_LETTERS) {
        let message =
            format!("{name} has a line of {letters} characters, more than {MOST_LETTERS}");
        return Some(wrong(
            code::WORDS_TEXT,
            message,
            "break it into lines with \\n",
        ));
    }
    let shaper = font.shaper();
    let missing = lines
        .iter()
        .find_map(|line| shaper.shape(line.trim()).err())?;
    let names: Vec<String> = missing.characters.into_iter().map(named).collect();
    let message = format!(
        "{name} says \"{}\" with {}, which the font \"{}\" does not have",
        one_line(&text.text),
        names.join(", "),
        font.name()
    );
    let hint = "write it otherwise, or name a font that has it: font = \"fonts/own.ttf\"";
    Some(wrong(code::TEXT_MISSING_GLYPH, message, hint))
}

//! The cut list, and what is written at each piece's drawing.

use super::super::verdict::{Finding, Tally};
use super::facts::{as_many, ask, tokens};
use super::section;
use super::text::{Line, Row, SUBHEADING_MM, Section, joined, rows, split};
use crate::plan::file::{HandoutEntry, PieceWorkEntry, ScoreEntry, ShownLength};

/// Cells that a row of the cut list has at least.
const CELLS: usize = 4;

/// Compares both; returns the scale that is stated at each drawing, as the drawing's size over the piece's.
pub(super) fn check(
    tally: &mut Tally,
    handout: &HandoutEntry,
    sections: &[Section<'_>],
) -> Vec<Option<f64>> {
    let is_planned = !handout.pieces.is_empty();
    let list = section(tally, sections, "Cut list", is_planned);
    let rows = rows(list, CELLS);
    as_many(
        tally,
        "rows of the cut list",
        None,
        handout.pieces.len(),
        rows.len(),
    );
    let drawn = section(tally, sections, "The pieces", is_planned);
    let drawn = split(drawn.iter().copied(), SUBHEADING_MM);
    let pieces = handout.pieces.iter().enumerate();
    pieces
        .map(|(i, entry)| {
            let title = format!("{} {}", letter(i), entry.name);
            check_row(tally, &letter(i), entry, &rows);
            let of_piece = drawn.iter().find(|part| part.is_titled(&title));
            check_drawing(tally, entry, of_piece)
        })
        .collect()
}

/// A to Z, then AA, AB: how pages name the pieces.
pub(super) fn letter(position: usize) -> String {
    let own = u8::try_from(position % 26).unwrap_or(0);
    let own = char::from(b'A' + own);
    match position / 26 {
        0 => own.to_string(),
        more => format!("{}{own}", letter(more - 1)),
    }
}

/// A length without its unit.
pub(super) fn bare(length: &ShownLength) -> &str {
    length
        .text
        .rsplit_once(' ')
        .map_or(&length.text, |(number, _)| number)
}

fn check_row(tally: &mut Tally, letter: &str, entry: &PieceWorkEntry, rows: &[Row]) {
    let what = format!("{} in the cut list", entry.name);
    let Some(row) = rows.iter().find(|row| row.first() == letter) else {
        let finding = Finding::new("verify.missing", format!("{what} is missing"));
        return tally.add(finding.about(&entry.piece));
    };
    tally.on_page(row.page);
    let counts = [entry.per_copy, entry.have, entry.wanted].map(|n| n.to_string());
    let pages: Vec<String> = entry.template_pages.iter().map(usize::to_string).collect();
    // What a tool gives its shape, or what is trimmed on its layer, needs no outline.
    let needs_outline = !entry.is_rectangle && entry.rough.is_none();
    let mut facts: Vec<&str> = vec![&entry.name];
    if let Some([width, height]) = &entry.rough {
        facts.extend([bare(width), height.text.as_str()]);
    }
    if needs_outline {
        facts.push("outer size");
        facts.extend((!pages.is_empty()).then_some("templates.pdf"));
        facts.extend(pages.iter().map(String::as_str));
    }
    if entry.have > 0 {
        facts.extend([counts[1].as_str(), counts[2].as_str()]);
    }
    let [width, height] = &entry.size;
    facts.extend([counts[0].as_str(), bare(width), height.text.as_str()]);
    ask(tally, &what, Some(&entry.piece), &facts, &row.text());
}

fn check_drawing(
    tally: &mut Tally,
    entry: &PieceWorkEntry,
    part: Option<&Section<'_>>,
) -> Option<f64> {
    let Some(part) = part else {
        let message = format!("no drawing of {} is named", entry.name);
        tally.add(Finding::new("verify.missing", message).about(&entry.piece));
        return None;
    };
    tally.on_page(part.page);
    let what = format!("what is written at the drawing of {}", entry.name);
    let mut facts = vec![entry.scored_face.as_str()];
    facts.extend(entry.treated.iter().map(String::as_str));
    ask(tally, &what, Some(&entry.piece), &facts, &part.text());
    for length in entry.rough.as_ref().unwrap_or(&entry.size) {
        let cells = part.lines.iter().flat_map(|line| &line.cells);
        let is_told = cells.into_iter().any(|cell| cell.text == length.text);
        note(
            tally,
            entry,
            &format!("size at the drawing of {}", entry.name),
            is_told,
            length,
            part,
        );
    }
    for score in &entry.scores {
        let what = format!(
            "place of score {} at the drawing of {}",
            score.number, entry.name
        );
        let is_told = part.lines.iter().any(|line| tells(line, score));
        note(tally, entry, &what, is_told, &score.at, part);
    }
    let scale = tokens(&joined(&part.lines));
    scale
        .iter()
        .find_map(|word| word.strip_prefix("1:")?.parse::<f64>().ok())
        .map(f64::recip)
}

/// Whether a line has the number of a score beside its distance: before it above the drawing, behind it at its left.
fn tells(line: &Line, score: &ScoreEntry) -> bool {
    let number = score.number.to_string();
    let at = bare(&score.at);
    let is_above = ["left", "right"].contains(&score.fence.as_str());
    let (first, second) = if is_above {
        (number.as_str(), at)
    } else {
        (at, number.as_str())
    };
    let mut pairs = line.cells.windows(2);
    pairs.any(|pair| pair[0].text == first && pair[1].text == second)
}

fn note(
    tally: &mut Tally,
    entry: &PieceWorkEntry,
    what: &str,
    is_told: bool,
    planned: &ShownLength,
    part: &Section<'_>,
) {
    tally.count();
    if !is_told {
        let found = part.text();
        let finding = Finding::numbers("verify.words", what, planned.text.as_str(), found);
        tally.add(finding.about(&entry.piece));
    }
}

//! The scoring list: which face up, each score as it is set, and where the piece is turned.

use super::super::verdict::{Finding, Tally};
use super::cut_list::letter;
use super::facts::{as_many, ask, lengths, tokens};
use super::section;
use super::text::{Row, SUBHEADING_MM, Section, joined, rows, split};
use crate::plan::file::{HandoutEntry, PieceWorkEntry, ScoreEntry};

/// Cells that a row has at least: number, setting, fold, angle, how often.
const CELLS: usize = 5;

pub(super) fn check(tally: &mut Tally, handout: &HandoutEntry, sections: &[Section<'_>]) {
    let is_scored = |entry: &PieceWorkEntry| !entry.scores.is_empty() || !entry.by_fence;
    let is_planned = handout.pieces.iter().any(is_scored);
    let list = section(tally, sections, "Scoring list", is_planned);
    let parts = split(list.iter().copied(), SUBHEADING_MM);
    for (i, entry) in handout.pieces.iter().enumerate() {
        let title = format!("{} {}", letter(i), entry.name);
        match parts.iter().find(|part| part.is_titled(&title)) {
            Some(part) => check_piece(tally, entry, part),
            None if is_scored(entry) => {
                let message = format!("{} is missing in the scoring list", entry.name);
                tally.add(Finding::new("verify.missing", message).about(&entry.piece));
            }
            None => {}
        }
    }
}

fn check_piece(tally: &mut Tally, entry: &PieceWorkEntry, part: &Section<'_>) {
    tally.on_page(part.page);
    let table = part.lines.iter().position(|line| line.cells.len() >= CELLS);
    let (above, below) = part.lines.split_at(table.unwrap_or(part.lines.len()));
    let what = format!("face of {} that lies up", entry.name);
    let facts = [entry.scored_face.as_str()];
    ask(tally, &what, Some(&entry.piece), &facts, &joined(above));
    let by_template = tokens(&joined(above))
        .iter()
        .any(|word| word.starts_with("template"));
    tally.count();
    if by_template == entry.by_fence {
        let spell = |by_fence: bool| {
            if by_fence {
                "by a fence"
            } else {
                "by template, too"
            }
        };
        let what = format!("how {} is scored", entry.name);
        let (planned, found) = (spell(entry.by_fence), spell(!by_template));
        tally.add(Finding::numbers("verify.words", &what, planned, found).about(&entry.piece));
    }
    check_rounding(tally, entry, &joined(above));
    let rows = rows(below, CELLS);
    let what = format!("scores of {}", entry.name);
    as_many(
        tally,
        &what,
        Some(&entry.piece),
        entry.scores.len(),
        rows.len(),
    );
    let next = entry.scores.iter().skip(1).map(Some).chain([None]);
    for ((score, next), row) in entry.scores.iter().zip(next).zip(&rows) {
        check_score(tally, entry, (score, next), row);
    }
}

/// How far distances are rounded at most is told once for a piece.
fn check_rounding(tally: &mut Tally, entry: &PieceWorkEntry, said: &str) {
    let off = entry.scores.iter().map(|score| score.off_mm.abs());
    let most_mm = off.fold(0.0, f64::max);
    let planned: &[f64] = if most_mm > 0.0 { &[most_mm] } else { &[] };
    let (_, rounded) = said.rsplit_once("rounded to the rule").unwrap_or_default();
    let what = format!("rounding of the scores of {}", entry.name);
    lengths(tally, &what, &entry.piece, planned, rounded);
}

fn check_score(
    tally: &mut Tally,
    entry: &PieceWorkEntry,
    (score, next): (&ScoreEntry, Option<&ScoreEntry>),
    row: &Row,
) {
    tally.on_page(row.page);
    let what = format!("score {} of {}", score.number, entry.name);
    let (number, folds_to) = (score.number.to_string(), format!("{}°", score.folds_to_deg));
    let mut facts = vec![number.as_str(), &score.fence, &score.at.text];
    if let Some([from, to]) = &score.span {
        facts.extend([from.text.as_str(), to.text.as_str()]);
    }
    // Another edge at the fence: the piece is turned before the next one.
    let turned = next.filter(|next| next.fence != score.fence);
    facts.extend(turned.map(|next| next.fence.as_str()));
    let times = if score.again { "twice" } else { "once" };
    facts.extend([score.fold.as_str(), &folds_to, times]);
    ask(tally, &what, Some(&entry.piece), &facts, &row.text());
    let set = row.columns.get(1).map_or("", String::as_str);
    let what = format!("lengths at {what}");
    lengths(tally, &what, &entry.piece, &planned_lengths(score), set);
    let says_turn = tokens(set)
        .windows(2)
        .any(|pair| pair[0] == "Turn" && pair[1] == "the");
    as_many(
        tally,
        &format!("turns after {what}"),
        Some(&entry.piece),
        usize::from(turned.is_some()),
        usize::from(says_turn),
    );
}

/// All lengths of a row, in order.
fn planned_lengths(score: &ScoreEntry) -> Vec<f64> {
    let mut planned = vec![score.at.mm];
    planned.extend(score.span.iter().flatten().map(|end| end.mm));
    // Where a board does not reach, the distance from the far end is told, too.
    let from_far_end = score.groove.as_ref().filter(|g| g.fit == "from-far-end");
    planned.extend(from_far_end.and_then(|g| g.at.as_ref()).map(|at| at.mm));
    planned
}

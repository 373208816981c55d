//! The cut list: each piece on a line.

use super::super::typeset::{Block, Cell, Row, Table, WIDTH_MM, table};
use super::{Told, section, words};
use crate::handout::PieceWork;
use crate::project::{Axis, Face, Mount};

pub(super) fn blocks(told: Told<'_>) -> Vec<Block> {
    if told.handout.pieces.is_empty() {
        return Vec::new();
    }
    let head = ["", "Piece", "How many", "Paper", "Width x height", "Front"];
    let cut_list = Table {
        head: head.map(str::to_owned).to_vec(),
        rows: told.handout.pieces.iter().map(|w| row(told, w)).collect(),
    };
    let mut blocks = vec![section("Cut list, for one")];
    blocks.extend(table(&cut_list, WIDTH_MM));
    blocks
}

fn row(told: Told<'_>, work: &PieceWork) -> Row {
    let piece = told.piece(work);
    let stock = &told.project.stocks[piece.stock];
    let front = words::shown(told.project, piece, Face::Front);
    Row {
        cells: vec![
            Cell::strong(told.letter(work.piece)),
            Cell::strong(&piece.name),
            Cell::plain(work.per_copy.to_string()),
            Cell::plain(&stock.name),
            Cell::plain(words::size(work.size, told.handout.style)),
            Cell::plain(front.unwrap_or_else(|| "either side".to_owned())),
        ],
        notes: notes(told, work),
    }
}

fn notes(told: Told<'_>, work: &PieceWork) -> Vec<String> {
    let piece = told.piece(work);
    let style = told.handout.style;
    let mut notes = Vec::new();
    if let Some(rough) = work.rough {
        let by = piece.finish.as_ref().map(|f| &told.project.tools[f.tool]);
        let then = match (by, &piece.mount) {
            (Some(tool), _) => format!(", then {}", tool.name),
            (None, Some(Mount { .. })) => ", trimmed flush once it is glued".to_owned(),
            (None, None) => String::new(),
        };
        notes.push(format!("cut to {} first{then}", words::size(rough, style)));
    }
    if !work.is_rectangle {
        notes.push("not a rectangle; the size is that of its box".to_owned());
    }
    match piece.grain {
        Some(Axis::X) => notes.push("fibres from left to right".to_owned()),
        Some(Axis::Y) => notes.push("fibres from top to bottom".to_owned()),
        None => {}
    }
    if let Some(up) = piece.pattern_up {
        notes.push(format!("pattern up at the {} edge", up.name()));
    }
    if work.have > 0 {
        notes.push(format!(
            "{} of the {} for all copies are there already",
            work.have, work.wanted
        ));
    }
    notes
}

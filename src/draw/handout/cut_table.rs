//! The cut list: each piece on a line.

use super::super::typeset::{Block, Cell, Row, Table, WIDTH_MM, table};
use super::{Told, section, words};
use crate::diagnostic::listed;
use crate::handout::PieceWork;
use crate::plan::{Placement, PlannedOperation};
use crate::project::{Axis, Face, Maker, Mount};

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
    let front = words::shown(told.project, work.piece, Face::Front);
    Row {
        cells: vec![
            Cell::strong(told.letter(work.piece)),
            Cell::strong(&piece.name),
            Cell::plain(work.per_copy.to_string()),
            Cell::plain(told.project.stock_names(work.piece)),
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
            (Some(tool), _) => format!("; its shape comes from: {}", tool.name),
            (None, Some(Mount { .. })) => ", trimmed flush once it is glued".to_owned(),
            (None, None) => String::new(),
        };
        notes.push(format!("cut to {} first{then}", words::size(rough, style)));
    }
    if !work.is_rectangle {
        notes.push(outline(told, work));
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
            "{} of the {} for all copies {}",
            work.have,
            work.wanted,
            if piece.have > 0 {
                "are made already"
            } else {
                "come out of passes of the die for other pieces"
            }
        ));
    }
    notes
}

/// That a size is measured over all, and where the edge of the piece is given.
fn outline(told: Told<'_>, work: &PieceWork) -> String {
    // A tool gives it its shape.
    if told.piece(work).finish.is_some() {
        return "outer size".to_owned();
    }
    let pages = told.template_pages.get(work.piece).into_iter().flatten();
    let pages: Vec<String> = pages.map(usize::to_string).collect();
    let template = match &pages[..] {
        [] => None,
        [page] => Some(format!("templates.pdf, page {page}")),
        _ => Some(format!("templates.pdf, pages {}", listed(&pages))),
    };
    let files = cut_files(told, work.piece);
    match (&files[..], template) {
        ([], None) => "outer size".to_owned(),
        ([], Some(template)) => format!("outer size; outline: {template}"),
        (files, None) => format!("outer size; cut by machine: {}", listed(files)),
        (files, Some(template)) => format!(
            "outer size; cut by machine: {}, or by hand: {template}",
            listed(files)
        ),
    }
}

/// The cut files that hold the outline of a piece; of several each with the sheet it cuts.
fn cut_files(told: Told<'_>, piece: usize) -> Vec<String> {
    let is_cut = |placed: &Placement| {
        let is_outline =
            |o: &PlannedOperation| o.id.ends_with(".outline") && o.by == Maker::Machine;
        placed.piece == piece && placed.operations.iter().any(is_outline)
    };
    let sheets = (1..).zip(&told.plan.sheets);
    let files: Vec<(usize, &str)> = sheets
        .filter(|(_, sheet)| sheet.placements.iter().any(is_cut))
        .filter_map(|(number, sheet)| Some((number, sheet.cut.as_ref()?.file.as_str())))
        .collect();
    match &files[..] {
        [(_, file)] => vec![(*file).to_owned()],
        _ => {
            let told = files.iter();
            told.map(|(sheet, file)| format!("{file} for sheet {sheet}"))
                .collect()
        }
    }
}

//! What to buy and what goes into each bag.

use super::super::typeset::{
    Block, Cell, Letter, Look, Row, Table, WIDTH_MM, heading, paragraph, table,
};
use super::{MEASURE_MM, Told, section};
use crate::handout::{ShoppingRow, ShoppingText, kit_text};

pub(super) fn blocks(told: Told<'_>, title: &str) -> Vec<Block> {
    let mut blocks = vec![heading(title, Letter::TITLE, WIDTH_MM)];
    blocks.extend(paragraph(&copies(told), Look::quiet(MEASURE_MM)));
    let text = kit_text(told.project, told.handout);
    blocks.extend(text.shopping.iter().flat_map(shopping));
    blocks.extend(kit_list(told));
    blocks
}

fn copies(told: Told<'_>) -> String {
    let spares: u32 = told.project.editions.iter().map(|e| e.spares).sum();
    let copies = told.copies();
    match spares {
        0 => format!("for {copies}"),
        _ => format!("for {copies}; things besides paper for {spares} more"),
    }
}

fn shopping(text: &ShoppingText) -> Vec<Block> {
    let mut blocks = vec![section(&text.heading)];
    let head = ["What", "Needed", "On hand", "Buy", "Price"];
    let rows = Table {
        head: head.map(str::to_owned).to_vec(),
        rows: text.rows.iter().map(row).collect(),
    };
    blocks.extend(table(&rows, WIDTH_MM));
    let sum = text.sum.iter().map(|sum| format!("In all: {sum}"));
    let sum = sum.flat_map(|line| paragraph(&line, Look::strong(MEASURE_MM)));
    let notes = text.notes.iter();
    let notes = notes.flat_map(|note| paragraph(note, Look::quiet(MEASURE_MM)));
    blocks.extend(sum.chain(notes).map(|block| block.before(2.0)));
    blocks
}

fn row(row: &ShoppingRow) -> Row {
    Row {
        cells: vec![
            Cell::strong(&row.what),
            Cell::plain(&row.needs),
            Cell::plain(&row.there),
            Cell::strong(&row.buy),
            Cell::plain(&row.price),
        ],
        notes: Vec::new(),
    }
}

/// The name of an edition, where the job has several.
fn edition_name(told: Told<'_>, edition: usize) -> Option<&str> {
    let name = told.project.editions.get(edition)?.name.as_str();
    (!name.is_empty()).then_some(name)
}

fn kit_list(told: Told<'_>) -> Vec<Block> {
    if told.handout.kit.is_empty() {
        return Vec::new();
    }
    let has_editions = told.handout.kit.iter().any(|line| line.edition.is_some());
    let rows = told.handout.kit.iter().map(|line| {
        let edition = line.edition.and_then(|e| edition_name(told, e));
        let mut cells = vec![
            Cell::strong(&line.each),
            Cell::plain(&line.name),
            Cell::plain(line.of.as_deref().unwrap_or("")),
        ];
        if has_editions {
            cells.push(Cell::plain(edition.unwrap_or("all")));
        }
        Row {
            cells,
            notes: Vec::new(),
        }
    });
    let mut head = vec!["Each", "What", "Paper"];
    if has_editions {
        head.push("For");
    }
    let kit = Table {
        head: head.into_iter().map(str::to_owned).collect(),
        rows: rows.collect(),
    };
    let mut blocks = vec![section("Into each bag")];
    blocks.extend(table(&kit, WIDTH_MM));
    blocks
}

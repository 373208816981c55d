//! What to buy and what goes into each bag.

use super::super::typeset::{
    Block, Cell, Letter, Look, Row, Table, WIDTH_MM, heading, paragraph, table,
};
use super::{MEASURE_MM, Told, section};
use crate::handout::{KitListText, ShoppingRow, ShoppingText, kit_text};

pub(super) fn blocks(told: Told<'_>, title: &str) -> Vec<Block> {
    let mut blocks = vec![heading(title, Letter::TITLE, WIDTH_MM)];
    blocks.extend(paragraph(&copies(told), Look::quiet(MEASURE_MM)));
    let text = kit_text(told.project, told.handout);
    blocks.extend(text.shopping.iter().flat_map(shopping));
    blocks.extend(text.kit.iter().flat_map(kit_list));
    blocks
}

fn copies(told: Told<'_>) -> String {
    let spares: u32 = told.project.editions.iter().map(|e| e.spares).sum();
    let copies = told.copies();
    match spares {
        0 => format!("for {copies}"),
        _ => format!("for {copies}, and {spares} to spare"),
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

fn kit_list(text: &KitListText) -> Vec<Block> {
    let mut blocks = vec![section(&text.heading)];
    let lines = text.lines.iter();
    blocks.extend(lines.flat_map(|line| paragraph(line, Look::body(MEASURE_MM))));
    blocks
}

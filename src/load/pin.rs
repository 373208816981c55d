//! The `[[pin]]` tables.
//!
//! What can be told without knowing how pieces lie on sheets is told here; the rest when the job is planned.

use std::collections::BTreeMap;

use super::code;
use super::piece::Surroundings;
use super::table::Table;
use super::value::Value;
use crate::diagnostic::{Diagnostic, Origin};
use crate::math::Angle;
use crate::project::{CutBy, Edition, Piece, Pin, Stock};

/// Angles are whole thousandths of a degree, as the layout has them.
const MDEG_PER_DEG: u32 = 1000;

/// Sheets are counted up to here, far beyond any job's.
const MOST_SHEETS: u32 = 9999;

/// What pins refer to; `None` where a piece or stock has a mistake.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pinnable<'s> {
    pub(super) pieces: &'s [Option<&'s Piece>],
    pub(super) editions: &'s [Edition],
    pub(super) around: Surroundings<'s>,
}

/// Reads all pins.
pub(super) fn read_all(tables: &[Table<'_>], with: Pinnable<'_>) -> Vec<Pin> {
    if let Some(first) = tables.first()
        && with.around.job.job.cut_by == CutBy::Trimmer
    {
        refuse_by_trimmer(first);
    }
    let pins: Vec<Pin> = tables.iter().filter_map(|t| read(t, with)).collect();
    refuse_second(tables, &pins);
    refuse_gaps(tables, &pins, with);
    pins
}

fn refuse_by_trimmer(table: &Table<'_>) {
    let message = "a piece is pinned in a job that is cut from edge to edge";
    let hint = "write cut_by = \"machine\", or leave [[pin]] out";
    table
        .mistakes()
        .fail::<()>(code::PIN_TRIMMER, &table.origin(), message, hint);
}

fn read(table: &Table<'_>, with: Pinnable<'_>) -> Option<Pin> {
    let around = with.around;
    let piece = table.required("piece", "piece = \"packet\"", |v| around.piece_ids.find(v));
    let most_copies = with.editions.iter().map(|e| e.copies + e.spares).sum();
    let copy = table.required("copy", "copy = 1", |v| v.whole(1..=most_copies));
    let per_copy = piece.and_then(|p| with.pieces[p]).map_or(1, |p| p.per_copy);
    let part = table.optional("part", |v| v.whole(1..=per_copy));
    let stock = table.optional("stock", |v| around.stock_ids.find(v));
    let sheet = table.optional("sheet", |v| v.whole(1..=MOST_SHEETS));
    let x = table.required("x", "x = \"1 in\"", Value::length);
    let y = table.required("y", "y = \"1 in\"", Value::length);
    let turn = table.optional("turn", read_turn);
    table.close();
    let (index, copy) = (piece?, copy?);
    let edition = edition_of(table, copy, with)?;
    let own = own_stock(with, index, edition)?;
    let pin = Pin {
        piece: index,
        copy,
        part: part.unwrap_or(1),
        stock: stock.unwrap_or(own),
        sheet: sheet.unwrap_or(1),
        x: x?,
        y: y?,
        turn: turn.unwrap_or(Angle::ZERO),
        origin: table.origin(),
    };
    refuse_other_stock(table, &pin, own, with)?;
    refuse_beyond_hand(table, &pin, with)?;
    Some(pin)
}

/// Reads an angle; it is rounded to thousandths of a degree from 0 to below 360.
fn read_turn(value: &Value<'_>) -> Option<Angle> {
    let mdeg = value.degrees()?.rem_euclid(360.0) * f64::from(MDEG_PER_DEG);
    let whole = mdeg.round() % f64::from(360 * MDEG_PER_DEG);
    Some(Angle::from_deg(whole / f64::from(MDEG_PER_DEG)))
}

/// The edition that a copy belongs to; not that of a spare, which is laid only where there is room.
fn edition_of<'s>(table: &Table<'_>, copy: u32, with: Pinnable<'s>) -> Option<&'s Edition> {
    let mut first = 1;
    for edition in with.editions {
        let spares = first + edition.copies;
        let next = spares + edition.spares;
        if copy < spares {
            return Some(edition);
        }
        if copy < next {
            let message = format!("copy {copy} is a spare, which is laid only where there is room");
            let hint = format!("write a copy from {first} to {}", spares - 1);
            let origin = table.origin_of("copy");
            return table
                .mistakes()
                .fail(code::PIN_SPARE, &origin, message, hint);
        }
        first = next;
    }
    None
}

/// The stock of a piece in an edition.
fn own_stock(with: Pinnable<'_>, piece: usize, edition: &Edition) -> Option<usize> {
    let declared = with.pieces[piece]?.stock;
    let mut swaps = edition.stock_swaps.iter();
    let swap = swaps.find(|(from, _)| *from == declared);
    Some(swap.map_or(declared, |(_, to)| *to))
}

fn refuse_other_stock(table: &Table<'_>, pin: &Pin, own: usize, with: Pinnable<'_>) -> Option<()> {
    let stocks = with.around.stocks;
    let is_offcut = stocks[pin.stock].as_ref().and_then(|s| s.offcut_of) == Some(own);
    if pin.stock == own || is_offcut {
        return Some(());
    }
    let id = |stock: usize| with.around.stock_ids.get(stock);
    let message = format!(
        "copy {} of piece \"{}\" is made of \"{}\", not of \"{}\"",
        pin.copy,
        with.around.piece_ids.get(pin.piece),
        id(own),
        id(pin.stock)
    );
    let hint = format!("write stock = \"{}\"", id(own));
    let origin = table.origin_of("stock");
    table
        .mistakes()
        .fail(code::PIN_STOCK, &origin, message, hint)
}

fn refuse_beyond_hand(table: &Table<'_>, pin: &Pin, with: Pinnable<'_>) -> Option<()> {
    let stock: &Stock = with.around.stocks[pin.stock].as_ref()?;
    let Some(most) = stock.on_hand.filter(|most| pin.sheet > *most) else {
        return Some(());
    };
    let message = format!(
        "sheet = {}, but {most} of stock \"{}\" are on hand",
        pin.sheet, stock.id
    );
    let hint = format!("write sheet = {most} or less, or raise on_hand in that stock");
    let origin = table.origin_of("sheet");
    table
        .mistakes()
        .fail(code::PIN_SHEET, &origin, message, hint)
}

/// One piece cannot lie in two places.
fn refuse_second(tables: &[Table<'_>], pins: &[Pin]) {
    let mut seen: BTreeMap<(usize, u32, u32), &Origin> = BTreeMap::new();
    for pin in pins {
        let item = (pin.piece, pin.copy, pin.part);
        if let Some(first) = seen.get(&item) {
            let message = format!("part {} of copy {} is pinned already", pin.part, pin.copy);
            let error = Diagnostic::error(code::PIN_TWICE, message)
                .at(&pin.origin)
                .related(first, "pinned here")
                .hint("write another copy, or another part of it where a copy has several");
            tables[0].mistakes().push(error);
        } else {
            seen.insert(item, &pin.origin);
        }
    }
}

/// Sheets with pins come first, so they are counted from 1 without gaps.
fn refuse_gaps(tables: &[Table<'_>], pins: &[Pin], with: Pinnable<'_>) {
    if pins.len() < tables.len() {
        // A pin that could not be read may name the missing sheet.
        return;
    }
    for pin in pins {
        let before = pin.sheet - 1;
        let is_named = |p: &Pin| p.stock == pin.stock && p.sheet == before;
        if before > 0 && !pins.iter().any(is_named) {
            let message = format!(
                "a piece is pinned on sheet {} of \"{}\", but none on sheet {before}",
                pin.sheet,
                with.around.stock_ids.get(pin.stock)
            );
            let hint = format!("write sheet = {before}: sheets with pins come first");
            tables[0]
                .mistakes()
                .fail::<()>(code::PIN_SHEET, &pin.origin, message, hint);
        }
    }
}

//! `stock`: the paper on hand, and `stock use`: a made job taken off it.

use std::path::Path;

use serde_json::{Value, json};

use super::options::{Format, StockAction, StockVerb};
use super::report;
use super::{DONE, WRONG};
use crate::booking::{Booking, Change};
use crate::diagnostic::Diagnostic;
use crate::files;
use crate::job;
use crate::length::Size;
use crate::load::{self, NamedText};
use crate::project::{ListedOffcut, ListedStock, PaperList};

/// Runs the verb and returns the exit code.
pub(super) fn run(options: &StockVerb, format: Format) -> u8 {
    let done = read(&options.list, format).and_then(|list| match &options.action {
        None | Some(StockAction::List) => show(&list, format),
        Some(StockAction::Use { folder }) => book(folder, &options.list, &list, format),
    });
    match done {
        Ok(code) | Err(code) => code,
    }
}

fn read(path: &Path, format: Format) -> Result<NamedText, u8> {
    files::read_text(path).map_err(|d| {
        let hint = "name your list: --list FILE; the README shows how one is written";
        report::fail(d.hint(hint), format)
    })
}

fn refuse(mistakes: &[Diagnostic], list: &NamedText, format: Format) -> u8 {
    report::show(mistakes, &report::source(list), format);
    WRONG
}

fn show(list: &NamedText, format: Format) -> Result<u8, u8> {
    let read = load::paper_list(&list.name, &list.text).map_err(|m| refuse(&m, list, format))?;
    report::result(&match format {
        Format::Text => table(&read),
        Format::Json => report::pretty(&to_json(&read)),
    });
    Ok(DONE)
}

/// One line for each stock, its offcuts under it.
fn table(list: &PaperList) -> String {
    let size = |w: Size, h: Size| {
        let show = |side: Size| side.length().display(list.lengths);
        format!("{} x {}", show(w), show(h))
    };
    let words = |parts: &[&Option<String>]| {
        let parts = parts.iter().filter_map(|p| p.as_deref());
        parts.map(|p| format!("; {p}")).collect::<String>()
    };
    let mut text = String::new();
    for (position, stock) in list.stocks.iter().enumerate() {
        let sheets = stock
            .sheets
            .map_or_else(|| "not counted".to_owned(), |n| n.to_string());
        let (size_text, note) = (size(stock.width, stock.height), words(&[&stock.note]));
        text += &format!("{:14} {sheets:>11}  {size_text}{note}\n", stock.id);
        for offcut in list.offcuts.iter().filter(|o| o.of == position) {
            let size_text = size(offcut.width, offcut.height);
            let shape = offcut
                .outline
                .as_ref()
                .map_or("", |_| ", cut only: no rectangle");
            let note = words(&[&offcut.date, &offcut.note]);
            let (id, sheets) = (format!("  {}", offcut.id), offcut.sheets);
            text += &format!("{id:14} {sheets:>11}  {size_text}{shape}{note}\n");
        }
    }
    text
}

fn to_json(list: &PaperList) -> Value {
    let mm = |size: Size| size.to_mm();
    let stock = |s: &ListedStock| {
        json!({
            "id": s.id,
            "width_mm": mm(s.width),
            "height_mm": mm(s.height),
            "sheets": s.sheets,
            "note": s.note,
        })
    };
    let offcut = |o: &ListedOffcut| {
        json!({
            "id": o.id,
            "of": list.stocks[o.of].id,
            "width_mm": mm(o.width),
            "height_mm": mm(o.height),
            "is_rectangle": o.outline.is_none(),
            "sheets": o.sheets,
            "date": o.date,
            "note": o.note,
        })
    };
    json!({
        "stocks": list.stocks.iter().map(stock).collect::<Vec<_>>(),
        "offcuts": list.offcuts.iter().map(offcut).collect::<Vec<_>>(),
        "booked": list.booked.iter().map(|b| json!({ "plan_sha256": b.plan_sha256, "job": b.job })).collect::<Vec<_>>(),
    })
}

fn book(folder: &Path, path: &Path, list: &NamedText, format: Format) -> Result<u8, u8> {
    let made = files::read_folder(folder).map_err(|d| report::fail(d, format))?;
    let booking = job::book(&made, list).map_err(|m| refuse(&m, list, format))?;
    if let Booking::New { text, .. } = &booking {
        files::write_file(path, text.as_bytes()).map_err(|d| report::fail(d, format))?;
    }
    report::result(&match format {
        Format::Text => booking_text(folder, list, &booking),
        Format::Json => report::pretty(&booking_json(&booking)),
    });
    Ok(DONE)
}

fn booking_text(folder: &Path, list: &NamedText, booking: &Booking) -> String {
    match booking {
        Booking::Before => format!(
            "{} was booked in {} before: nothing changed\n",
            folder.display(),
            list.name
        ),
        Booking::New { changes, .. } => {
            let lines: String = changes.iter().map(change_text).collect();
            format!("booked {} in {}\n{lines}", folder.display(), list.name)
        }
    }
}

fn change_text(change: &Change) -> String {
    match change {
        Change::Used { id, sheets, left } => match left {
            Some(left) => format!("    {id}: {sheets} used, {left} left\n"),
            None => format!("    {id}: {sheets} used, not counted\n"),
        },
        Change::Gained { id, sheets, size } => format!("    {id}: {sheets} gained, {size}\n"),
        Change::NotListed { id } => format!("    {id}: not in the list, so not booked\n"),
    }
}

fn booking_json(booking: &Booking) -> Value {
    match booking {
        Booking::Before => json!({ "booked_before": true, "changes": [] }),
        Booking::New { changes, .. } => json!({ "booked_before": false, "changes": changes }),
    }
}

//! The maker's list of paper on hand: a file of its own.

use super::document::{Document, check_version};
use super::ids::Ids;
use super::mistakes::Mistakes;
use super::stock::MOST_SHEETS;
use super::table::Table;
use super::value::Value;
use super::{format, offcut};
use crate::diagnostic::{Diagnostic, sort_by_place};
use crate::geometry::Outline;
use crate::length::Size;
use crate::project::{Axis, BookedJob, ListedOffcut, ListedStock, PaperList};

/// The version of lists that is read.
const VERSION: u32 = 1;

const GRAIN: &[(&str, Axis)] = &[("x", Axis::X), ("y", Axis::Y)];

/// Returns the paper that a list declares.
///
/// `file_name` is the list's name in messages.
///
/// # Errors
///
/// Returns every mistake of the list, sorted by place; after a mistake in the TOML itself only mistakes of that kind.
///
/// # Examples
///
/// ```
/// let text = r#"
/// sheetwright_paper = 1
/// [[stock]]
/// id = "oat"
/// format = "letter"
/// sheets = 40
/// [[offcut]]
/// id = "oat-1"
/// of = "oat"
/// size = "8 1/2 x 4 in"
/// "#;
/// let list = sheetwright::load::paper_list("paper-on-hand.toml", text).unwrap();
/// assert_eq!((list.stocks[0].sheets, list.offcuts[0].sheets), (Some(40), 1));
/// ```
pub fn paper_list(file_name: &str, text: &str) -> Result<PaperList, Vec<Diagnostic>> {
    let mistakes = Mistakes::new(file_name, text);
    let list = Document::parse(&mistakes).and_then(|document| {
        mistakes.show_lengths_in(document.lengths_as_typed());
        read(&document.root(&mistakes))
    });
    let mut found = mistakes.take();
    sort_by_place(&mut found);
    match list {
        Some(list) if found.is_empty() => Ok(list),
        Some(_) | None => Err(found),
    }
}

fn read(root: &Table<'_>) -> Option<PaperList> {
    check_version(root, "sheetwright_paper", VERSION, "a list of paper")?;
    let stock_tables = root.tables("stock");
    let stock_ids = Ids::gather("stock", &stock_tables);
    let stocks: Vec<_> = (0..stock_tables.len())
        .map(|i| read_stock(&stock_tables[i], stock_ids.get(i)))
        .collect();
    let offcut_tables = root.tables("offcut");
    let offcut_ids = Ids::gather("offcut", &offcut_tables);
    offcut_ids.refuse_those_of(&stock_ids, root.mistakes());
    let offcuts: Vec<_> = (0..offcut_tables.len())
        .map(|i| read_offcut(&offcut_tables[i], offcut_ids.get(i), &stock_ids, &stocks))
        .collect();
    let booked: Vec<_> = root.tables("booked").iter().map(read_booked).collect();
    root.close();
    Some(PaperList {
        stocks: stocks.into_iter().collect::<Option<_>>()?,
        offcuts: offcuts.into_iter().collect::<Option<_>>()?,
        booked: booked.into_iter().collect::<Option<_>>()?,
        lengths: root.mistakes().length_style(),
    })
}

fn read_stock(table: &Table<'_>, id: String) -> Option<ListedStock> {
    let sheet = format::read(table, &id);
    let sheets = table.optional("sheets", |v| v.whole(0..=MOST_SHEETS));
    let note = table.optional("note", Value::words);
    table.close();
    let sheet = sheet?;
    Some(ListedStock {
        id,
        width: sheet.width,
        height: sheet.height,
        sheets,
        note,
        origin: table.origin(),
    })
}

fn read_offcut(
    table: &Table<'_>,
    id: String,
    stock_ids: &Ids,
    stocks: &[Option<ListedStock>],
) -> Option<ListedOffcut> {
    let of = table.required("of", "of = \"oat\"", |v| stock_ids.find(v));
    let form = read_form(table);
    let grain = table.optional("grain", |v| v.choice(GRAIN));
    let sheets = table.optional("sheets", |v| v.whole(0..=MOST_SHEETS));
    let date = table.optional("date", Value::words);
    let note = table.optional("note", Value::words);
    table.close();
    let (of, (width, height, outline)) = (of?, form?);
    if let Some(whole) = &stocks[of] {
        let key = if table.has("outline") {
            "outline"
        } else {
            "size"
        };
        let whole = (whole.width, whole.height, whole.id.as_str());
        offcut::refuse_larger(table, key, (width, height), whole);
    }
    Some(ListedOffcut {
        id,
        of,
        width,
        height,
        outline,
        grain,
        sheets: sheets.unwrap_or(1),
        date,
        note,
        origin: table.origin(),
    })
}

/// Reads `size`, or the size that an `outline` has.
fn read_form(table: &Table<'_>) -> Option<(Size, Size, Option<Outline>)> {
    table.know(&["size", "outline"]);
    if !table.has("outline") {
        let (width, height) = table.required("size", "size = \"4 x 6 in\"", Value::pair)?;
        return Some((width, height, None));
    }
    if table.has("size") {
        table.conflict(
            "size",
            "stands beside outline, which gives it",
            "leave size out",
        );
    }
    let outline = table.optional("outline", |v| offcut::read_outline(v, None))?;
    let (width, height) = offcut::size_of(&outline)?;
    let outline = Some(outline).filter(|o| !o.is_rectangle());
    Some((width, height, outline))
}

fn read_booked(table: &Table<'_>) -> Option<BookedJob> {
    let plan = table.required(
        "plan",
        "plan = \"...\", the SHA-256 of its plan.json",
        |v| v.raw_text().map(str::to_owned),
    );
    let job = table.required("job", "job = \"Herb packets\"", Value::words);
    table.close();
    Some(BookedJob {
        plan_sha256: plan?,
        job: job?,
    })
}

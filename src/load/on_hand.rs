//! What a project draws from the maker's list of paper on hand.
//!
//! A stock of the project is the one of the same id in the list: its sheets are then those on hand, and its offcuts are used before
//! whole sheets. Both must be of one size and lie alike, so that an offcut lies the way its sheet does.

use super::paper_list::paper_list;
use super::table::Table;
use super::{code, format, ids, offcut};
use crate::diagnostic::Diagnostic;
use crate::digest::sha256_hex;
use crate::length::Size;
use crate::project::{ListedOffcut, ListedStock, PaperList, Stock, StockFace};

/// The stocks of a project, those from the list last.
#[derive(Debug)]
pub(super) struct Drawn {
    pub(super) stocks: Vec<Option<Stock>>,
    /// SHA-256 of the list's text.
    pub(super) list_sha256: String,
}

/// A list's name in messages, and its text.
#[derive(Debug, Clone, Copy)]
pub(super) struct ListText<'a> {
    pub(super) file: &'a str,
    pub(super) text: &'a str,
}

/// Draws from a list; mistakes in it are added to `found`.
pub(super) fn draw(
    list: ListText<'_>,
    job: &Table<'_>,
    tables: &[Table<'_>],
    mut stocks: Vec<Option<Stock>>,
    found: &mut Vec<Diagnostic>,
) -> Drawn {
    match paper_list(list.file, list.text) {
        Err(mut mistakes) => found.append(&mut mistakes),
        Ok(list) => {
            let same = same_stocks(&list, job, tables, &stocks);
            for (listed, position) in &same {
                if let Some(stock) = &mut stocks[*position] {
                    stock.on_hand = list.stocks[*listed].sheets.or(stock.on_hand);
                }
            }
            let offcuts = offcuts(&list, job, &same, &stocks);
            stocks.extend(offcuts.into_iter().map(Some));
        }
    }
    Drawn {
        stocks,
        list_sha256: sha256_hex(list.text.as_bytes()),
    }
}

/// Positions in the list and in the project of stocks that are the same.
fn same_stocks(
    list: &PaperList,
    job: &Table<'_>,
    tables: &[Table<'_>],
    stocks: &[Option<Stock>],
) -> Vec<(usize, usize)> {
    let mut same = Vec::new();
    let mut is_known = false;
    for (listed_at, listed) in list.stocks.iter().enumerate() {
        let is_same = |stock: &Option<Stock>| stock.as_ref().is_some_and(|s| s.id == listed.id);
        let Some(position) = stocks.iter().position(is_same) else {
            continue;
        };
        is_known = true;
        if let Some(stock) = &stocks[position]
            && is_alike(job, listed, stock)
        {
            refuse_second_count(&tables[position], listed);
            same.push((listed_at, position));
        }
    }
    if !is_known && stocks.iter().all(Option::is_some) {
        warn_of_strangers(list, job);
    }
    same
}

/// Whether a stock is the sheet that is listed, lying as it does there; if not, that is reported.
fn is_alike(job: &Table<'_>, listed: &ListedStock, stock: &Stock) -> bool {
    if (stock.width, stock.height) == (listed.width, listed.height) && stock.offcut_of.is_none() {
        return true;
    }
    let mistakes = job.mistakes();
    let size = |w: Size, h: Size| {
        format!(
            "{} x {}",
            mistakes.show(w.length()),
            mistakes.show(h.length())
        )
    };
    let (here, there) = (
        size(stock.width, stock.height),
        size(listed.width, listed.height),
    );
    let (message, hint) = if stock.offcut_of.is_some() {
        (
            format!(
                "stock \"{}\" is an offcut here and a whole sheet in the list",
                stock.id
            ),
            "give one of them another id",
        )
    } else if (stock.width, stock.height) == (listed.height, listed.width) {
        (
            format!(
                "stock \"{}\" lies as {here}, in the list as {there}",
                stock.id
            ),
            "lay it alike in both, with orientation: offcuts lie the way their sheet does",
        )
    } else {
        (
            format!("stock \"{}\" is {here}, in the list {there}", stock.id),
            "give the same paper the same id everywhere, and another paper another",
        )
    };
    mistakes.push(
        Diagnostic::error(code::LIST_SHEET, message)
            .at(&stock.origin)
            .related(&listed.origin, "listed here")
            .hint(hint),
    );
    false
}

/// The sheets on hand are counted in one place.
fn refuse_second_count(table: &Table<'_>, listed: &ListedStock) {
    if let Some(sheets) = listed.sheets
        && table.has("on_hand")
    {
        let because = format!("stands beside the list of paper on hand, which has {sheets} sheets");
        table.conflict("on_hand", &because, "leave on_hand out");
    }
}

fn warn_of_strangers(list: &PaperList, job: &Table<'_>) {
    let ids: Vec<_> = list
        .stocks
        .iter()
        .map(|s| format!("\"{}\"", s.id))
        .collect();
    let hint = format!("give stocks the ids of the list: {}", ids.join(", "));
    job.mistakes().push(
        Diagnostic::warning(
            code::LIST_UNUSED,
            "the list of paper on hand has none of this project's stocks",
        )
        .at(&job.origin_of("on_hand"))
        .hint(hint),
    );
}

/// Returns the offcuts of stocks that are in both.
fn offcuts(
    list: &PaperList,
    job: &Table<'_>,
    same: &[(usize, usize)],
    stocks: &[Option<Stock>],
) -> Vec<Stock> {
    let mut found = Vec::new();
    for listed in list.offcuts.iter().filter(|o| o.sheets > 0) {
        let whole = same.iter().find(|(at, _)| *at == listed.of);
        let Some((position, whole)) = whole.and_then(|(_, p)| Some((*p, stocks[*p].as_ref()?)))
        else {
            continue;
        };
        if let Some(taken) = stocks.iter().flatten().find(|s| s.id == listed.id) {
            let mistake = ids::taken(
                &listed.id,
                "an offcut in the list",
                &taken.origin,
                &listed.origin,
            );
            job.mistakes().push(mistake);
            continue;
        }
        found.push(to_stock(listed, position, whole));
    }
    found
}

fn to_stock(listed: &ListedOffcut, position: usize, whole: &Stock) -> Stock {
    let face = |face: &StockFace| offcut::face_of(face, listed.outline.as_ref());
    Stock {
        id: listed.id.clone(),
        name: format!("{}, offcut {}", whole.name, listed.id),
        format: format::name_of(&listed.id, listed.width, listed.height),
        width: listed.width,
        height: listed.height,
        grain: listed.grain.or(whole.grain),
        on_hand: Some(listed.sheets),
        is_clear: whole.is_clear,
        price: None,
        face_a: face(&whole.face_a),
        face_b: face(&whole.face_b),
        offcut_of: Some(position),
        outline: listed.outline.clone(),
        origin: listed.origin.clone(),
        caliper: whole.caliper,
        grammage_gsm: whole.grammage_gsm,
    }
}

//! The paper of a part: a stock for each of its pieces, and how thick it is.

use std::collections::BTreeMap;

use super::code;
use super::ids::Ids;
use super::job::JobTable;
use super::table::Table;
use super::treatment::embossed_caliper;
use super::value::Value;
use crate::construct::Kind;
use crate::diagnostic::{Diagnostic, Origin};
use crate::length::Size;
use crate::project::{Edition, Part, Piece, Stock};

/// What parts are read with.
#[derive(Debug, Clone, Copy)]
pub(super) struct Papers<'s> {
    pub(super) job: &'s JobTable,
    pub(super) stocks: &'s [Option<Stock>],
    pub(super) stock_ids: &'s Ids,
}

/// The stock of each piece of a kind, with the place where it is named.
pub(super) type Stocks = BTreeMap<&'static str, Option<(usize, Origin)>>;

/// Reads of which stock each piece is: its own, or that of the part.
pub(super) fn read_stocks(
    table: &Table<'_>,
    kind: &Kind,
    dress: &[(Option<&'static str>, Table<'_>)],
    papers: Papers<'_>,
) -> Stocks {
    let find = |value: &Value<'_>| Some((papers.stock_ids.find(value)?, value.origin()));
    let usual = table.optional("stock", find);
    let own = |name: &str| dress.iter().find(|(piece, _)| *piece == Some(name));
    let stock_of = |name: &&'static str| match own(name) {
        Some((_, own)) if own.has("stock") => (*name, own.optional("stock", find)),
        Some(_) | None => (*name, usual.clone()),
    };
    let is_dressed = |name: &&'static str| own(name).is_some_and(|(_, own)| own.has("stock"));
    let are_named = dress.iter().all(|(piece, _)| piece.is_some());
    if !table.has("stock") && are_named && !kind.pieces.iter().all(is_dressed) {
        table.missing::<()>("stock", "stock = \"oat\"");
    }
    kind.pieces.iter().map(stock_of).collect()
}

/// Returns the thickness of the paper of each piece, which a fold cannot be placed without: where it is embossed, what it measures there.
pub(super) fn read_calipers(
    table: &Table<'_>,
    stocks: &Stocks,
    dress: &[(Option<&'static str>, Table<'_>)],
    papers: Papers<'_>,
) -> Option<BTreeMap<&'static str, Size>> {
    let mut calipers = BTreeMap::new();
    let mut told = Vec::new();
    for (piece, stock) in stocks {
        let Some((stock, origin)) = stock else {
            continue;
        };
        let Some(stock) = papers.stocks[*stock].as_ref() else {
            continue;
        };
        if let Some(caliper) = stock.caliper {
            let own = dress.iter().find(|(name, _)| name == &Some(*piece));
            let embossed = own.and_then(|(_, table)| embossed_caliper(table));
            calipers.insert(*piece, embossed.map_or(caliper, |e| e.max(caliper)));
        } else if table.mistakes().is_slip(&stock.origin.key_path, "caliper") {
            told.push(&stock.id);
        } else if !told.contains(&&stock.id) {
            told.push(&stock.id);
            let message = format!(
                "stock \"{}\" has no caliper, and a construction is worked out from the thickness of its paper",
                stock.id
            );
            let hint = format!(
                "measure ten sheets together, and write a tenth of that in stock \"{}\", like caliper = \"0.3 mm\"",
                stock.id
            );
            table
                .mistakes()
                .fail::<()>(code::PART_CALIPER, origin, message, hint);
        }
    }
    (calipers.len() == stocks.len()).then_some(calipers)
}

/// Warns of editions in which a part is made of paper of another thickness than it was worked out for.
pub(super) fn warn_of_swaps(
    parts: &[Part],
    pieces: &[Option<&Piece>],
    editions: &[Edition],
    stocks: &[Option<Stock>],
    table: &Table<'_>,
) {
    let caliper = |stock: usize| stocks[stock].as_ref().and_then(|s| s.caliper);
    for edition in editions {
        for (from, to) in &edition.stock_swaps {
            let (Some(was), now) = (caliper(*from), caliper(*to)) else {
                continue;
            };
            if now == Some(was) {
                continue;
            }
            let of_it = |part: &&Part| {
                let mut own = part.pieces.clone().filter_map(|i| pieces[i]);
                own.any(|piece| piece.stock == *from)
            };
            for part in parts.iter().filter(of_it) {
                let show = |size: Size| table.mistakes().show(size.length());
                let now = now.map_or("of no known caliper".to_owned(), |now| {
                    format!("{} thick", show(now))
                });
                let name = |stock: usize| stocks[stock].as_ref().map_or("", |s| &s.id);
                let message = format!(
                    "part \"{}\" is worked out for \"{}\", {} thick, and edition \"{}\" makes it of \"{}\", {now}",
                    part.id,
                    name(*from),
                    show(was),
                    edition.id,
                    name(*to),
                );
                let warning = Diagnostic::warning(code::PART_CALIPER_SWAPPED, message)
                    .at(&edition.origin)
                    .hint("use a paper as thick, or make this edition a project of its own");
                table.mistakes().push(warning);
            }
        }
    }
}

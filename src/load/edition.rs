//! The `[[edition]]` tables.

use super::artwork;
use super::asset::Library;
use super::code;
use super::ids::Ids;
use super::job::{JobTable, MOST_COPIES, Spares};
use super::piece::{ReadPiece, Surroundings};
use super::piece_keys::{side_of, unprintable};
use super::table::Table;
use super::value::Value;
use crate::project::{ArtworkSwap, Edition, Stock, StockFace};

/// Reads the editions; without any there is one that changes nothing and takes the job's copies.
pub(super) fn read_all(
    tables: &[Table<'_>],
    job: &Table<'_>,
    pieces: &[Option<ReadPiece>],
    around: Surroundings<'_>,
) -> Vec<Edition> {
    let ids = Ids::gather("edition", tables);
    if tables.is_empty() {
        return only_edition(job, around.job).into_iter().collect();
    }
    let editions: Vec<_> = tables
        .iter()
        .enumerate()
        .filter_map(|(i, table)| read(table, ids.get(i), pieces, around))
        .collect();
    if editions.len() == tables.len() {
        check_sum(job, &editions, around.job);
    }
    editions
}

fn only_edition(job: &Table<'_>, read: &JobTable) -> Option<Edition> {
    if !job.has("copies") {
        return job.missing("copies", "copies = 24");
    }
    let (copies, _) = read.copies.as_ref()?;
    Some(Edition {
        id: String::new(),
        name: String::new(),
        copies: *copies,
        spares: read.spares.of(*copies),
        stock_swaps: Vec::new(),
        artwork_swaps: Vec::new(),
        origin: job.origin(),
    })
}

fn check_sum(job: &Table<'_>, editions: &[Edition], read: &JobTable) {
    let sum: u32 = editions.iter().map(|edition| edition.copies).sum();
    if let Some((copies, origin)) = read.copies.as_ref().filter(|(copies, _)| *copies != sum) {
        let message = format!("copies = {copies}, but the editions add up to {sum}");
        let hint = format!("write copies = {sum} or leave it out, or correct an edition");
        job.mistakes()
            .fail::<()>(code::EDITION_SUM, origin, message, hint);
    }
}

fn read(
    table: &Table<'_>,
    id: String,
    pieces: &[Option<ReadPiece>],
    around: Surroundings<'_>,
) -> Option<Edition> {
    let name = table
        .optional("name", Value::words)
        .unwrap_or_else(|| id.clone());
    let copies = table.required("copies", "copies = 12", |v| v.whole(1..=MOST_COPIES));
    let spares = table
        .optional("spares", Spares::read)
        .unwrap_or(around.job.spares);
    let stock_swaps = read_stock_swaps(table, pieces, around);
    let artwork_swaps = read_artwork_swaps(table, pieces, around);
    table.close();
    let copies = copies?;
    Some(Edition {
        id,
        name,
        copies,
        spares: spares.of(copies),
        stock_swaps,
        artwork_swaps,
        origin: table.origin(),
    })
}

/// Reads which stock is used instead of which.
fn read_stock_swaps(
    table: &Table<'_>,
    pieces: &[Option<ReadPiece>],
    around: Surroundings<'_>,
) -> Vec<(usize, usize)> {
    let Some(swaps) = table.table("stock") else {
        return Vec::new();
    };
    let mut read = Vec::new();
    for (declared, origin, used) in swaps.pairs() {
        let declared = around
            .stock_ids
            .find_text(table.mistakes(), &origin, declared);
        let found = around.stock_ids.find(&used);
        if let (Some(declared), Some(found)) = (declared, found) {
            if let Some(stock) = &around.stocks[found] {
                refuse_unprintable(&used, declared, stock, pieces);
            }
            read.push((declared, found));
        }
    }
    read
}

/// Artwork that was declared for a printable face needs one in every edition.
fn refuse_unprintable(
    used: &Value<'_>,
    declared: usize,
    stock: &Stock,
    pieces: &[Option<ReadPiece>],
) {
    let on_it = pieces
        .iter()
        .flatten()
        .filter(|read| read.piece.stock == declared);
    let side = on_it
        .flat_map(|read| {
            read.artwork
                .iter()
                .map(|artwork| side_of(artwork.face, read.piece.shows))
        })
        .find(|side| *stock.face(*side) != StockFace::Printable);
    if let Some(side) = side {
        let (message, hint) = unprintable(stock, side);
        used.fail::<()>(code::ARTWORK_UNPRINTABLE, message, hint);
    }
}

fn read_artwork_swaps(
    table: &Table<'_>,
    pieces: &[Option<ReadPiece>],
    around: Surroundings<'_>,
) -> Vec<ArtworkSwap> {
    let tables = table.tables("artwork");
    tables
        .iter()
        .filter_map(|table| read_artwork_swap(table, pieces, around.piece_ids, around.library))
        .collect()
}

fn read_artwork_swap(
    table: &Table<'_>,
    pieces: &[Option<ReadPiece>],
    piece_ids: &Ids,
    library: &Library<'_>,
) -> Option<ArtworkSwap> {
    let piece = table.required("piece", "piece = \"packet\"", |v| piece_ids.find(v));
    let number = table.required("artwork", "artwork = 1", |v| v.whole(1..=9999));
    let read = piece.and_then(|piece| pieces[piece].as_ref());
    let (piece, number, read) = (piece?, usize::try_from(number?).ok()?, read?);
    let Some(base) = read.artwork.get(number - 1) else {
        let message = format!(
            "piece \"{}\" has {} artwork, so none is number {number}",
            read.piece.id,
            read.artwork.len()
        );
        let hint = "count the [[piece.artwork]] tables of that piece from 1";
        let origin = table.origin_of("artwork");
        return table
            .mistakes()
            .fail(code::ARTWORK_NUMBER, &origin, message, hint);
    };
    let instead = artwork::read_instead(table, library, base)?;
    let outline = &read.piece.outline;
    instead.refuse_outside(table, &read.piece.id, outline.bounds())?;
    Some(ArtworkSwap {
        piece,
        artwork: number - 1,
        instead: instead.place(
            outline,
            (table.origin(), table.mistakes().length_style()),
            library,
        ),
    })
}

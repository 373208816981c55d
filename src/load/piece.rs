//! The `[[piece]]` tables.
//!
//! Shapes come first, then layers on top of them from the bottom up, since a layer by reveal gets its shape from below; last
//! what is done to a piece and printed on it, since that has to lie on its outline.

use super::asset::Library;
use super::ids::Ids;
use super::job::JobTable;
use super::shape::Shape;
use super::table::Table;
use super::value::Value;
use super::{artwork, code, mirror, mount, nick, operation, shape};
use crate::diagnostic::Origin;
use crate::project::{
    Axis, Edge, Face, Maker, Mount, Operation, Piece, Reads, Stock, StockFace, StockSide, Turns,
};

const MOST_PER_COPY: u32 = 999;

const SIDES: &[(&str, StockSide)] = &[("a", StockSide::A), ("b", StockSide::B)];
const GRAIN: &[(&str, Option<Axis>)] = &[("x", Some(Axis::X)), ("y", Some(Axis::Y)), ("any", None)];
const PATTERN_UP: &[(&str, Option<Edge>)] = &[
    ("top", Some(Edge::Top)),
    ("right", Some(Edge::Right)),
    ("bottom", Some(Edge::Bottom)),
    ("left", Some(Edge::Left)),
    ("any", None),
];
const TURNS: &[(&str, Turns)] = &[
    ("none", Turns::None),
    ("half", Turns::Half),
    ("quarters", Turns::Quarters),
    ("any", Turns::Any),
];

/// A piece that was read, with its artwork as declared.
#[derive(Debug)]
pub(super) struct ReadPiece {
    pub(super) piece: Piece,
    pub(super) artwork: Vec<artwork::Declared>,
}

/// What pieces are read with.
#[derive(Debug, Clone, Copy)]
pub(super) struct Surroundings<'s> {
    pub(super) job: &'s JobTable,
    pub(super) stocks: &'s [Option<Stock>],
    pub(super) stock_ids: &'s Ids,
    pub(super) piece_ids: &'s Ids,
    pub(super) library: &'s Library<'s>,
}

/// Reads all pieces; `None` where one has a mistake.
pub(super) fn read_all(tables: &[Table<'_>], around: Surroundings<'_>) -> Vec<Option<ReadPiece>> {
    let (shapes, mounts): (Vec<_>, Vec<_>) =
        tables.iter().map(|table| read_form(table, around)).unzip();
    let mut shapes = shapes;
    let mut settled: Vec<Option<Mount>> = tables.iter().map(|_| None).collect();
    if let Some(first) = tables.first() {
        for i in mount::bottom_up(&mounts, first.mistakes(), around.piece_ids) {
            let Some(declared) = &mounts[i] else { continue };
            let own = shapes[i].take();
            let placed = shapes[declared.on].as_ref().and_then(|base| {
                mount::settle(
                    declared,
                    base,
                    &around.piece_ids.get(declared.on),
                    own,
                    first.mistakes(),
                )
            });
            (shapes[i], settled[i]) = placed.unzip();
        }
    }
    let mut pieces = Vec::new();
    for (i, ((table, shape), mount)) in tables.iter().zip(shapes).zip(settled).enumerate() {
        let plies = mounts[i].as_ref().map_or(1, |declared| declared.plies);
        let is_whole = table.has("mount") == mount.is_some();
        let read = read(table, around.piece_ids.get(i), shape, plies, around);
        pieces.push(read.filter(|_| is_whole).map(|mut read| {
            read.piece.mount = mount;
            read
        }));
    }
    pieces
}

/// Reads the shape and the mount of a piece: one by reveal has no shape of its own, every other one has.
fn read_form(
    table: &Table<'_>,
    around: Surroundings<'_>,
) -> (Option<Shape>, Option<mount::Declared>) {
    let mount = table.table("mount");
    let is_by_reveal = mount.as_ref().is_some_and(|mount| mount.has("reveal"));
    let mount = mount.and_then(|mount| mount::read(&mount, around.piece_ids));
    let shape = table
        .table("shape")
        .and_then(|own| shape::read(&own, around.library, around.job.maker()));
    match (table.has("shape"), is_by_reveal) {
        (true, true) => {
            table.conflict(
                "shape",
                "stands beside a reveal, which the shape follows from",
                "leave [piece.shape] out",
            );
        }
        (false, false) => {
            table.missing::<()>(
                "shape",
                "[piece.shape] with a kind, or [piece.mount] with a reveal",
            );
        }
        (true, false) | (false, true) => {}
    }
    (shape, mount)
}

fn read(
    table: &Table<'_>,
    id: String,
    shape: Option<Shape>,
    plies: u32,
    around: Surroundings<'_>,
) -> Option<ReadPiece> {
    let job = around.job;
    let name = table
        .optional("name", Value::words)
        .unwrap_or_else(|| id.clone());
    let stock = table.required("stock", "stock = \"oat\"", |v| around.stock_ids.find(v));
    let shows = table
        .optional("shows", |v| v.choice(SIDES))
        .unwrap_or(StockSide::A);
    let per_copy = table
        .optional("per_copy", |v| v.whole(1..=MOST_PER_COPY))
        .unwrap_or(1);
    let grain = table.optional("grain", |v| v.choice(GRAIN)).flatten();
    let declared_stock = stock.and_then(|stock| around.stocks[stock].as_ref());
    let pattern_up = table
        .optional("pattern_up", |v| v.choice(PATTERN_UP))
        .unwrap_or_else(|| declared_stock.and_then(|stock| default_pattern_up(stock.face(shows))));
    let turns = table
        .optional("turns", |v| v.choice(TURNS))
        .unwrap_or(Turns::Quarters);
    let cut_by = read_cut_by(table, job);
    let outline = shape.as_ref().map(|shape| &shape.outline);
    let nicks = nick::of_piece(table, outline, cut_by, job.nicks);
    let operations = read_operations(table, shape.as_ref(), job);
    let artwork = read_artwork(table, &id, shape.as_ref(), declared_stock, shows, around);
    let of_piece = operations.as_deref().unwrap_or_default();
    let may_mirror = mirror::read(table, table.has("artwork"), declared_stock, of_piece);
    table.close();
    let (shape, artwork) = (shape?, artwork?);
    let bounds = shape.outline.bounds();
    let piece = Piece {
        id,
        name,
        per_copy: per_copy * plies,
        cut_by,
        nicks,
        panels: shape.panels.iter().map(|panel| panel.to_panel()).collect(),
        stock: stock?,
        shows,
        grain,
        pattern_up,
        turns,
        may_mirror,
        operations: operations?,
        artwork: artwork
            .iter()
            .map(|(declared, origin)| declared.place(bounds, origin.clone()))
            .collect(),
        mount: None,
        origin: table.origin(),
        outline: shape.outline,
    };
    Some(ReadPiece {
        piece,
        artwork: artwork.into_iter().map(|(declared, _)| declared).collect(),
    })
}

/// Reads who cuts the outline, and warns of what a trimmer cannot.
fn read_cut_by(table: &Table<'_>, job: &JobTable) -> Maker {
    let cut_by = table
        .optional("cut_by", |v| v.choice(operation::MAKERS))
        .unwrap_or(job.maker());
    operation::warn_of_trimmer(
        table,
        job.job.cut_by,
        cut_by,
        "the outline",
        &table.origin_of("cut_by"),
    );
    cut_by
}

fn default_pattern_up(face: &StockFace) -> Option<Edge> {
    match face {
        StockFace::Patterned {
            reads: Reads::OneWay | Reads::Stripe,
            ..
        } => Some(Edge::Top),
        StockFace::Patterned {
            reads: Reads::Free, ..
        }
        | StockFace::Plain
        | StockFace::Printable => None,
    }
}

/// The shape's creases first, then the declared operations.
fn read_operations(
    table: &Table<'_>,
    shape: Option<&Shape>,
    job: &JobTable,
) -> Option<Vec<Operation>> {
    let maker = job.maker();
    let mut operations = Vec::new();
    for crease in shape.into_iter().flat_map(|shape| &shape.creases) {
        operations.push(crease.clone().into_operation());
    }
    if let Some(crease) = operations.first()
        && let Some(table) = table.table("shape")
    {
        operation::warn_of_trimmer(
            &table,
            job.job.cut_by,
            crease.by,
            "the creasing",
            &table.origin_of("crease_by"),
        );
    }
    let mut is_whole = true;
    for table in table.tables("operation") {
        let read = operation::read(&table, shape.map(|shape| &shape.outline), maker);
        is_whole &= read.is_some();
        if let Some(read) = &read {
            let what = format!("the {}", read.kind.name());
            operation::warn_of_trimmer(
                &table,
                job.job.cut_by,
                read.by,
                &what,
                &table.origin_of("by"),
            );
        }
        operations.extend(read);
    }
    is_whole.then_some(operations)
}

type Placeable = (artwork::Declared, Origin);

fn read_artwork(
    table: &Table<'_>,
    id: &str,
    shape: Option<&Shape>,
    stock: Option<&Stock>,
    shows: StockSide,
    around: Surroundings<'_>,
) -> Option<Vec<Placeable>> {
    let read = |table: Table<'_>| {
        let declared = artwork::read(&table, around.library, around.job.bleed)?;
        if let Some(stock) = stock {
            refuse_unprintable(&table, stock, side_of(declared.face, shows));
        }
        if let Some(shape) = shape {
            declared.refuse_outside(&table, id, shape.outline.bounds())?;
        }
        Some((declared, table.origin()))
    };
    let all: Vec<_> = table.tables("artwork").into_iter().map(read).collect();
    all.into_iter().collect()
}

/// Returns the face of the stock that is that face of a piece.
pub(super) fn side_of(face: Face, shows: StockSide) -> StockSide {
    match (face, shows) {
        (Face::Front, StockSide::A) | (Face::Back, StockSide::B) => StockSide::A,
        (Face::Front, StockSide::B) | (Face::Back, StockSide::A) => StockSide::B,
    }
}

fn refuse_unprintable(table: &Table<'_>, stock: &Stock, side: StockSide) {
    if *stock.face(side) == StockFace::Printable {
        return;
    }
    let (message, hint) = unprintable(stock, side);
    let origin = table.origin_of("face");
    table
        .mistakes()
        .fail::<()>(code::ARTWORK_UNPRINTABLE, &origin, message, hint);
}

/// Says that nothing can be printed on a face of a stock, and what to type.
pub(super) fn unprintable(stock: &Stock, side: StockSide) -> (String, String) {
    let side = match side {
        StockSide::A => "a",
        StockSide::B => "b",
    };
    let hint = match &stock.outline {
        Some(_) => "an offcut with an outline is only cut: leave the artwork out, or choose the stock it is an offcut of".to_owned(),
        None => format!("write face_{side} = \"printable\" in that stock, or leave the artwork out"),
    };
    (
        format!(
            "artwork lies on face_{side} of stock \"{}\", which is not printable",
            stock.id
        ),
        hint,
    )
}

//! The keys of a `[[piece]]`, and of a `[[part.piece]]`, but for those that make its shape: what it is made of, how it lies, what is
//! printed on it.

use super::finish::{self, Finishable};
use super::job::JobTable;
use super::piece::{ReadPiece, Surroundings};
use super::shape::Shape;
use super::table::Table;
use super::treatment::{self, Treatable};
use super::value::Value;
use super::{artwork, code, mirror, nick, operation};
use crate::diagnostic::Origin;
use crate::length::Length;
use crate::project::{
    Axis, Edge, Face, Finish, Maker, Operation, Piece, Reads, Stock, StockFace, StockSide,
    Treatment, Turns,
};

const MOST_PER_COPY: u32 = 999;
const MOST_HAVE: u32 = 1_000_000;

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

/// What a piece is like where its table does not say.
#[derive(Debug, Default)]
pub(super) struct Usual {
    pub(super) name: Option<String>,
    /// The stock, where it is settled already; `None` within if it could not be read.
    pub(super) stock: Option<Option<usize>>,
    pub(super) per_copy: Option<u32>,
    pub(super) grain: Option<Axis>,
}

/// Reads the keys of a piece whose shape is known; `plies` of it are in each of its places.
pub(super) fn read(
    table: &Table<'_>,
    (id, usual, plies): (String, Usual, u32),
    shape: Option<Shape>,
    operations: Option<Vec<Operation>>,
    around: Surroundings<'_>,
) -> Option<ReadPiece> {
    let job = around.job;
    let name = table
        .optional("name", Value::words)
        .or(usual.name)
        .unwrap_or_else(|| id.clone());
    let stock = match usual.stock {
        Some(stock) => stock,
        None => table.required("stock", "stock = \"oat\"", |v| around.stock_ids.find(v)),
    };
    let shows = table
        .optional("shows", |v| v.choice(SIDES))
        .unwrap_or(StockSide::A);
    let per_copy = table
        .optional("per_copy", |v| v.whole(1..=MOST_PER_COPY))
        .or(usual.per_copy)
        .unwrap_or(1);
    let grain = if table.has("grain") {
        table.optional("grain", |v| v.choice(GRAIN)).flatten()
    } else {
        table.know(&["grain"]);
        usual.grain
    };
    let declared_stock = stock.and_then(|stock| around.stocks[stock].as_ref());
    let pattern_up = table
        .optional("pattern_up", |v| v.choice(PATTERN_UP))
        .unwrap_or_else(|| declared_stock.and_then(|stock| default_pattern_up(stock.face(shows))));
    let turns = table
        .optional("turns", |v| v.choice(TURNS))
        .unwrap_or(Turns::Quarters);
    let fills_sheet = shape.as_ref().is_some_and(|shape| shape.fills_sheet);
    let cut_by = if fills_sheet {
        Maker::Hand
    } else {
        read_cut_by(table, job)
    };
    let outline = shape.as_ref().map(|shape| &shape.outline);
    let nicks = nick::of_piece(table, outline, cut_by, job.nicks);
    let artwork = read_artwork(table, &id, shape.as_ref(), declared_stock, shows, around);
    let of_piece = operations.as_deref().unwrap_or_default();
    let may_mirror = mirror::read(table, table.has("artwork"), declared_stock, of_piece);
    let treatments = read_treatments(table, &id, shape.as_ref(), declared_stock, around);
    let have = table.optional("have", |v| v.whole(0..=MOST_HAVE));
    table.close();
    let (shape, artwork) = (shape?, artwork?);
    let piece = Piece {
        id,
        name,
        per_copy: per_copy * plies,
        fills_sheet,
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
        treatments: treatments?,
        finish: None,
        have: have.unwrap_or(0),
        artwork: artwork
            .iter()
            .map(|(declared, origin)| {
                let told = (origin.clone(), table.mistakes().length_style());
                declared.place(&shape.outline, told, around.library)
            })
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

/// Reads what is done to areas of a piece.
fn read_treatments(
    table: &Table<'_>,
    id: &str,
    shape: Option<&Shape>,
    stock: Option<&Stock>,
    around: Surroundings<'_>,
) -> Option<Vec<Treatment>> {
    let on = Treatable {
        id,
        shape,
        caliper: stock.and_then(|stock| stock.caliper),
        tools: around.tools,
        supplies: around.supply_ids,
    };
    treatment::read_all(&table.tables("treat"), on)
}

/// Reads how a rough piece gets its shape; an error within if that is wrong.
pub(super) fn read_finish(
    table: &Table<'_>,
    id: &str,
    shape: Option<&Shape>,
    around: Surroundings<'_>,
) -> Result<Option<Finish>, Reported> {
    let on = Finishable {
        id,
        rough: shape,
        tools: around.tools,
        pieces: around.piece_ids,
        library: around.library,
    };
    match table.table("finish") {
        Some(own) => finish::read(&own, on).map(Some).ok_or(Reported),
        None if table.has("finish") => Err(Reported),
        None => Ok(None),
    }
}

/// Stands for a mistake that is reported already.
#[derive(Debug)]
pub(super) struct Reported;

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
        let fills_sheet = shape.is_some_and(|shape| shape.fills_sheet);
        if fills_sheet && table.has("bleed") {
            let because =
                "is given where a whole sheet is printed, which ends at the printer's margins";
            table.conflict("bleed", because, "leave bleed out");
        }
        let bleed = if fills_sheet {
            Length::ZERO
        } else {
            around.job.bleed
        };
        let declared = artwork::read(&table, around.library, bleed, (id, shape))?;
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

//! The `[[piece]]` tables.
//!
//! Shapes come first, then layers on top of them from the bottom up, since a layer by reveal gets its shape from below; last
//! what is done to a piece and printed on it, since that has to lie on its outline.

use super::asset::Library;
use super::ids::Ids;
use super::job::JobTable;
use super::mistakes::Mistakes;
use super::shape::Shape;
use super::source::Source;
use super::table::Table;
use super::value::Value;
use super::{artwork, code, mirror, mount, nick, operation, panel, shape};
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
pub(super) fn read_all(
    sources: Vec<Source<'_>>,
    around: Surroundings<'_>,
    mistakes: &Mistakes<'_>,
) -> Vec<Option<ReadPiece>> {
    let mut drafts: Vec<_> = sources
        .into_iter()
        .map(|source| Draft::read(source, around))
        .collect();
    let take_mount = |draft: &mut Option<Draft<'_>>| draft.as_mut()?.mount.take();
    let mounts: Vec<_> = drafts.iter_mut().map(take_mount).collect();
    for i in mount::bottom_up(&mounts, mistakes, around.piece_ids) {
        let Some(declared) = &mounts[i] else { continue };
        let own = drafts[i].as_mut().and_then(|draft| draft.shape.take());
        let base = drafts[declared.on].as_ref().and_then(|d| d.shape.as_ref());
        let on = around.piece_ids.get(declared.on);
        let placed = base.and_then(|base| mount::settle(declared, base, &on, own, mistakes));
        if let Some(draft) = &mut drafts[i] {
            (draft.shape, draft.settled) = placed.unzip();
            draft.work(around);
        }
    }
    let finish = |(i, draft): (usize, Option<Draft<'_>>)| {
        let plies = mounts[i].as_ref().map_or(1, |declared| declared.plies);
        draft?.finish(around.piece_ids.get(i), plies, around)
    };
    drafts.into_iter().enumerate().map(finish).collect()
}

/// A piece of which some is read.
struct Draft<'t> {
    table: Table<'t>,
    usual: Usual,
    is_own: bool,
    shape: Option<Shape>,
    mount: Option<mount::Declared>,
    settled: Option<Mount>,
    /// What is done to it, once its shape is known; `None` within if some could not be read.
    operations: Option<Option<Vec<Operation>>>,
}

/// What a piece is like where its table does not say.
#[derive(Debug, Default)]
struct Usual {
    name: Option<String>,
    /// The stock, where it is settled already; `None` within if it could not be read.
    stock: Option<Option<usize>>,
    per_copy: Option<u32>,
    grain: Option<Axis>,
}

impl<'t> Draft<'t> {
    fn read(source: Source<'t>, around: Surroundings<'_>) -> Option<Self> {
        let is_own = matches!(source, Source::Own(_));
        let (table, usual, shape, mount) = match source {
            Source::Own(table) => {
                let (shape, mount) = read_form(&table, around);
                (table, Usual::default(), shape, mount)
            }
            Source::Part { dress, stock, made } => {
                dress.know(&["piece", "stock"]);
                let mut usual = Usual {
                    stock: Some(stock),
                    ..Usual::default()
                };
                let shape = made.map(|made| {
                    usual.name = Some(made.name);
                    usual.per_copy = Some(made.per_copy);
                    usual.grain = made.grain;
                    made.shape
                });
                (dress, usual, shape, None)
            }
            Source::Unknown => return None,
        };
        let mut draft = Self {
            table,
            usual,
            is_own,
            shape,
            mount,
            settled: None,
            operations: None,
        };
        if draft.shape.is_some() {
            draft.work(around);
        }
        Some(draft)
    }

    /// Reads what is done to it, which may tell its panels apart.
    fn work(&mut self, around: Surroundings<'_>) {
        if self.operations.is_none() {
            let read = read_operations(&self.table, self.shape.as_ref(), around.job);
            let panels = match self.is_own {
                true => self.table.tables("panel"),
                false => Vec::new(),
            };
            let done = read.as_deref().unwrap_or_default();
            let panels = panel::read_all(&panels, self.shape.as_ref(), done);
            if let (Some(shape), Some(panels)) = (&mut self.shape, &panels) {
                shape.panels.extend(panels.iter().cloned());
            }
            self.operations = Some(read.filter(|_| panels.is_some()));
        }
    }

    fn finish(mut self, id: String, plies: u32, around: Surroundings<'_>) -> Option<ReadPiece> {
        self.work(around);
        let is_whole = self.table.has("mount") == self.settled.is_some();
        let operations = self.operations.take().flatten();
        let settled = self.settled.take();
        let mut read = read(self, id, operations, plies, around)?;
        read.piece.mount = settled;
        is_whole.then_some(read)
    }
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
    draft: Draft<'_>,
    id: String,
    operations: Option<Vec<Operation>>,
    plies: u32,
    around: Surroundings<'_>,
) -> Option<ReadPiece> {
    let Draft {
        table,
        usual,
        shape,
        ..
    } = draft;
    let (table, job) = (&table, around.job);
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
    let cut_by = read_cut_by(table, job);
    let outline = shape.as_ref().map(|shape| &shape.outline);
    let nicks = nick::of_piece(table, outline, cut_by, job.nicks);
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

/// The shape's own first, then the declared operations.
fn read_operations(
    table: &Table<'_>,
    shape: Option<&Shape>,
    job: &JobTable,
) -> Option<Vec<Operation>> {
    let maker = job.maker();
    let mut operations = shape.map_or_else(Vec::new, |shape| shape.operations.clone());
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
        let declared = artwork::read(&table, around.library, around.job.bleed, (id, shape))?;
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

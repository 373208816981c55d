//! The `[[piece]]` tables.
//!
//! Shapes come first, then layers on top of them from the bottom up, since a layer by reveal gets its shape from below; last
//! what is done to a piece and printed on it, since that has to lie on its outline.

use kurbo::Point;

use super::asset::Library;
use super::ids::Ids;
use super::job::JobTable;
use super::mistakes::Mistakes;
use super::piece_keys::{self, Reported, Usual};
use super::shape::Shape;
use super::source::Source;
use super::table::Table;
use super::tool::Tools;
use super::{artwork, mount, operation, panel, shape, whole_sheet};
use crate::project::{Finish, Mount, Operation, Piece, PrinterProfile, Stock};

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
    pub(super) tools: &'s Tools,
    pub(super) supply_ids: &'s Ids,
    pub(super) library: &'s Library<'s>,
    pub(super) printer: &'s PrinterProfile,
}

/// Reads all pieces; `None` where one has a mistake.
pub(super) fn read_all(
    sources: Vec<Source<'_>>,
    around: Surroundings<'_>,
    mistakes: &Mistakes<'_>,
) -> Vec<Option<ReadPiece>> {
    let ids = (0..).map(|i| around.piece_ids.get(i));
    let mut drafts: Vec<_> = sources
        .into_iter()
        .zip(ids)
        .map(|(source, id)| Draft::read(source, id, around))
        .collect();
    let take_mount = |draft: &mut Option<Draft<'_>>| draft.as_mut()?.mount.take();
    let mounts: Vec<_> = drafts.iter_mut().map(take_mount).collect();
    for i in mount::bottom_up(&mounts, mistakes, around.piece_ids) {
        let Some(declared) = &mounts[i] else { continue };
        let own = drafts[i].as_mut().and_then(Draft::take_layer);
        let on = around.piece_ids.get(declared.on);
        let base = drafts[declared.on].as_ref().and_then(|d| d.base(&on));
        let placed = base.and_then(|base| mount::settle(declared, base, own, mistakes));
        if let Some(draft) = &mut drafts[i] {
            if let Some(placed) = placed {
                draft.shape = Some(placed.shape);
                draft.settled = Some(placed.mount);
                draft.trimmed = placed.trimmed;
            }
            draft.work(around);
        }
    }
    let finish = |(i, draft): (usize, Option<Draft<'_>>)| {
        let plies = mounts[i].as_ref().map_or(1, |declared| declared.plies);
        draft?.finish(plies, around)
    };
    drafts.into_iter().enumerate().map(finish).collect()
}

/// A piece of which some is read.
struct Draft<'t> {
    id: String,
    table: Table<'t>,
    usual: Usual,
    is_own: bool,
    shape: Option<Shape>,
    mount: Option<mount::Declared>,
    settled: Option<Mount>,
    /// What is left of it once it is trimmed flush; layers on it are measured from that.
    trimmed: Option<mount::Trimmed>,
    /// What is done to it, once its shape is known; `None` within if some could not be read.
    operations: Option<Option<Vec<Operation>>>,
    /// What a punch or die makes of it, read with the operations.
    finish: Result<Option<Finish>, Reported>,
}

impl<'t> Draft<'t> {
    fn read(source: Source<'t>, id: String, around: Surroundings<'_>) -> Option<Self> {
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
            id,
            table,
            usual,
            is_own,
            shape,
            mount,
            settled: None,
            trimmed: None,
            operations: None,
            finish: Ok(None),
        };
        if draft.shape.is_some() {
            draft.work(around);
        }
        Some(draft)
    }

    /// The shape it is laid on another piece by, if it has one of its own.
    fn take_layer(&mut self) -> Option<mount::Layer> {
        let finish = self.finish.as_ref().ok().and_then(Option::as_ref);
        let finished = finish.map(|finish| finish.finished.bounds());
        let shape = self.shape.take()?;
        Some(mount::Layer {
            bounds: finished.unwrap_or_else(|| shape.outline.bounds()),
            shape,
        })
    }

    /// What layers lie on.
    fn base<'s>(&'s self, id: &'s str) -> Option<mount::Base<'s>> {
        let (shape, corner) = match (&self.trimmed, &self.shape) {
            (Some(trimmed), _) => (&trimmed.shape, trimmed.corner),
            (None, shape) => (shape.as_ref()?, Point::ORIGIN),
        };
        Some(mount::Base { shape, corner, id })
    }

    /// Reads what is done to it, which may tell its panels apart.
    fn work(&mut self, around: Surroundings<'_>) {
        if self.operations.is_none() {
            if self.is_own {
                warn_of_creasing(&self.table, self.shape.as_ref(), around.job);
            }
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
            self.finish =
                piece_keys::read_finish(&self.table, &self.id, self.shape.as_ref(), around);
        }
    }

    fn finish(mut self, plies: u32, around: Surroundings<'_>) -> Option<ReadPiece> {
        self.work(around);
        let is_whole = self.table.has("mount") == self.settled.is_some();
        let operations = self.operations.take().flatten();
        let what = (self.id, self.usual, plies);
        let mut read = piece_keys::read(&self.table, what, self.shape, operations, around)?;
        read.piece.mount = self.settled;
        read.piece.finish = self.finish.ok()?;
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
    let shape = table.table("shape").and_then(|own| {
        let sheet = || whole_sheet::read(table, around);
        shape::read(&own, around.library, around.job.maker(), sheet)
    });
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

/// Warns of creases of a strip that a machine makes in a job that is cut by trimmer.
fn warn_of_creasing(table: &Table<'_>, shape: Option<&Shape>, job: &JobTable) {
    if let Some(crease) = shape.and_then(|shape| shape.operations.first())
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
}

/// The shape's own first, then the declared operations.
fn read_operations(
    table: &Table<'_>,
    shape: Option<&Shape>,
    job: &JobTable,
) -> Option<Vec<Operation>> {
    let maker = job.maker();
    let mut operations = shape.map_or_else(Vec::new, |shape| shape.operations.clone());
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

//! Everything the user declared, valid: what `load` makes and every later stage reads.
//!
//! Read [`Project`] and [`Job`], then [`Piece`] with its [`Operation`]s and [`Artwork`], the [`Part`] and [`Assembly`] it may belong to, then [`Stock`] and [`Edition`], the [`PaperList`] that projects draw from, last the
//! devices, [`PrinterProfile`], [`CutterProfile`] and [`TrimmerProfile`]. What is taught with them stands in [`Tool`], [`Treatment`], [`Supply`] and [`Lesson`]. Sizes that were typed
//! are exact [`Length`](crate::length::Length)s; outlines and operation paths are `f64` millimetres in the piece frame
//! (y down, front face towards you). Every declared thing keeps its [`Origin`](crate::diagnostic::Origin).

mod artwork;
mod assembly;
mod calibration;
mod device;
mod edition;
mod job;
mod lesson;
mod listed;
mod nick;
mod operation;
mod paper_list;
mod part;
mod piece;
mod pin;
mod readings;
mod running_band;
mod stock;
mod supply;
mod there;
mod tool;
mod treatment;

pub use artwork::{Artwork, ArtworkFill, Face, ListRow, Listed, PictureBox, Reads};
pub use assembly::{Assembly, Bend, Clearance, Joint, JointKind, Member, Patch, Surface};
pub use calibration::{Calibration, CutterCalibration, PrintMap};
pub use device::{CutterProfile, Edges, PrinterProfile, SheetLimit, TrimmerProfile};
pub use edition::{ArtworkSwap, Edition};
pub use job::{Best, CutBy, Job, MarkUse, TurnOver};
pub use lesson::{Caution, Lesson, Pricing, Step, When};
pub use nick::Nicks;
pub use operation::{Fold, Maker, Operation, OperationKind};
pub use paper_list::{BookedJob, ListedOffcut, ListedStock, PaperList};
pub use part::{Fact, Part};
pub use piece::{Axis, Mount, MountPlace, Panel, Piece, Turns};
pub use pin::Pin;
pub use readings::{ReadingSheet, Ruler, TypedReading};
pub use running_band::{Rider, RunningBand, Stretch};
pub use stock::{Edge, Price, Stock, StockFace, StockSide};
pub use supply::{Amount, Need, Pack, Supply};
pub use tool::{Finish, Tool, ToolKind};
pub use treatment::{Embossing, TreatedPlace, Treatment, TreatmentKind};

use crate::drawing::Asset;

/// A whole project file, valid.
#[derive(Debug, Clone, PartialEq)]
pub struct Project {
    /// What is made, how often and how.
    pub job: Job,
    /// Kinds of paper, in file order; at least one.
    pub stocks: Vec<Stock>,
    /// Pieces, in file order; at least one. Mounted pieces are pieces too.
    pub pieces: Vec<Piece>,
    /// Parts, in file order; their pieces stand among [`pieces`](Self::pieces).
    pub parts: Vec<Part>,
    /// Objects put together from pieces: one for each part, then the declared ones.
    pub assemblies: Vec<Assembly>,
    /// Editions, in file order; a file without any has one that changes nothing.
    pub editions: Vec<Edition>,
    /// Pieces whose place is decided, in file order.
    pub pins: Vec<Pin>,
    /// Tools on the table, in file order.
    pub tools: Vec<Tool>,
    /// What copies need besides paper, in file order.
    pub supplies: Vec<Supply>,
    /// What the maker says on the instruction sheet.
    pub lesson: Lesson,
    /// SHA-256 of the list of paper on hand that stocks were drawn from, in hexadecimal.
    pub paper_list_sha256: Option<String>,
    /// Picture files, each once, in the order of first use.
    pub assets: Vec<Asset>,
    /// The printer.
    pub printer: PrinterProfile,
    /// The cutting machine.
    pub cutter: CutterProfile,
    /// The hand trimmer.
    pub trimmer: TrimmerProfile,
}

impl Project {
    /// The stock that `piece` is made of in `edition` (both are positions in this project's lists).
    ///
    /// # Panics
    /// If a position is not one of this project's.
    #[must_use]
    pub fn stock_of(&self, edition: usize, piece: usize) -> usize {
        let declared = self.pieces[piece].stock;
        self.editions[edition]
            .stock_swaps
            .iter()
            .find(|(from, _)| *from == declared)
            .map_or(declared, |(_, to)| *to)
    }

    /// Names of the stocks that `piece` (a position in this project's list) is made of in its editions, each once: `Oat or Clay`.
    ///
    /// # Panics
    /// If the position is not one of this project's.
    #[must_use]
    pub fn stock_names(&self, piece: usize) -> String {
        let mut names: Vec<&str> = Vec::new();
        for edition in 0..self.editions.len() {
            let name = self.stocks[self.stock_of(edition, piece)].name.as_str();
            if !names.contains(&name) {
                names.push(name);
            }
        }
        names.join(" or ")
    }

    /// The artwork of `piece` in `edition` (both are positions in this project's lists).
    ///
    /// # Panics
    /// If a position is not one of this project's.
    #[must_use]
    pub fn artwork_of(&self, edition: usize, piece: usize) -> Vec<&Artwork> {
        let swaps = &self.editions[edition].artwork_swaps;
        self.pieces[piece]
            .artwork
            .iter()
            .enumerate()
            .map(|(i, declared)| {
                swaps
                    .iter()
                    .find(|s| s.piece == piece && s.artwork == i)
                    .map_or(declared, |s| &s.instead)
            })
            .collect()
    }
}

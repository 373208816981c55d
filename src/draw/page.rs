//! Finished pages and cut files, before they are spelled in a file format.

use kurbo::{Affine, BezPath};

use crate::drawing::{Colour, Drawing};

/// A document of pages.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// Title for the document information.
    pub title: String,
    /// Author for the document information; `None` names nobody.
    pub author: Option<String>,
    /// The pages.
    pub pages: Vec<Page>,
    /// How sheets are turned over when both sides are printed.
    pub duplex: Duplex,
}

/// How the printer is asked to handle both sides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Duplex {
    /// One side only.
    Simplex,
    /// Turned over about the long edge.
    LongEdge,
    /// Turned over about the short edge.
    ShortEdge,
}

/// One page. Page frame: millimetres, origin at the top left corner, y down.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// Label for people, e.g. `oat, sheet 1, front`.
    pub label: String,
    /// Width of the paper in millimetres.
    pub width_mm: f64,
    /// Height of the paper in millimetres.
    pub height_mm: f64,
    /// Layers, the first one at the bottom.
    pub layers: Vec<PageLayer>,
}

/// One layer of a page.
#[derive(Debug, Clone, PartialEq)]
pub struct PageLayer {
    /// Name for people; layers of the same name are one layer of the document.
    pub name: &'static str,
    /// What a processing step it stands for.
    pub step: Option<ProcessStep>,
    /// The space of `drawing` to the page frame.
    pub matrix: Affine,
    /// What is on it.
    pub drawing: Drawing,
}

/// A processing step after ISO 19593-1, group Structural.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProcessStep {
    /// Through cuts.
    Cutting,
    /// Cuts into the paper.
    PartialCutting,
    /// Creases that fold as valleys, seen from the front.
    Creasing,
    /// Creases that fold as mountains, seen from the front.
    ReverseCreasing,
    /// Perforations.
    Perforating,
    /// Holes.
    Punching,
    /// The area that artwork runs to.
    Bleed,
}

/// What a cut file holds. Its frame: millimetres, origin at the top left corner, y down, the stated face up.
#[derive(Debug, Clone, PartialEq)]
pub struct CutSheet {
    /// Title for people: job and sheet.
    pub title: String,
    /// What to know before cutting: stock, which face lies up, size.
    pub note: String,
    /// Width all cut files of the job share, in millimetres.
    pub width_mm: f64,
    /// Height all cut files of the job share, in millimetres.
    pub height_mm: f64,
    /// Layers in cutting order.
    pub layers: Vec<CutLayer>,
}

/// One layer of a cut file.
#[derive(Debug, Clone, PartialEq)]
pub struct CutLayer {
    /// The operation's name, or `reference`.
    pub name: &'static str,
    /// Line colour, for people only: the meaning is in the name.
    pub colour: Colour,
    /// Paths in cutting order.
    pub paths: Vec<CutPath>,
}

/// One path of a cut file.
#[derive(Debug, Clone, PartialEq)]
pub struct CutPath {
    /// The plan's id of the operation, or of a mark or reference line.
    pub id: String,
    /// What it is, for people.
    pub title: String,
    /// Absolute move, line, cubic and close, in the file's frame.
    pub path: BezPath,
}

//! One distinct sheet of a plan.

use kurbo::{Affine, BezPath, Point, Rect};

use super::trimmer::CutList;
use crate::drawing::AssetIndex;
use crate::geometry::Pose;
use crate::project::{Face, Maker, Nicks, OperationKind, Project, StockSide};

/// A sheet with its pieces, cut once or many times.
///
/// Two physical sheets are the same `Sheet` if they are of the same stock and hold the same pieces in the same places. What is printed
/// on them may differ: see [`Sheet::prints`].
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Position of the stock in the project's list.
    pub stock: usize,
    /// The face of the stock that is this sheet's front.
    pub front_is: StockSide,
    /// Sheet width in millimetres.
    pub width_mm: f64,
    /// Sheet height in millimetres.
    pub height_mm: f64,
    /// How many physical sheets there are: the sum of [`PrintRun::times`].
    pub runs: u32,
    /// The pieces, in the order the ids of the first physical sheet were given.
    pub placements: Vec<Placement>,
    /// What is printed on how many of the sheets; at least one, and one without pages if the sheet is not printed.
    pub prints: Vec<PrintRun>,
    /// The front's map to its page; `None` if the front is not printed.
    pub front: Option<PrintedFace>,
    /// The back's map to its page; `None` if the back is not printed.
    pub back: Option<PrintedFace>,
    /// Register marks, printed on the face that lies up on the cutter.
    pub marks: Vec<Mark>,
    /// Crop and crease ticks, all outside every piece and its bleed.
    pub ticks: Vec<Tick>,
    /// Where the caption and the check rule stand on each printed page; `None` on sheets that are not printed, or all over.
    pub caption: Option<Rect>,
    /// The area that pieces with their bleed were kept in.
    pub usable: Rect,
    /// How it is cut by machine; `None` if nothing on it is.
    pub cut: Option<CutSetup>,
    /// How it is cut by hand from edge to edge; `None` in a job that is cut by machine, and for a sheet that is printed all over.
    pub cut_list: Option<CutList>,
}

impl Sheet {
    /// Whether all that the printer reaches of it is one piece, to be cut up by hand.
    pub(super) fn is_filled(&self, project: &Project) -> bool {
        let mut placements = self.placements.iter();
        placements.any(|placed| project.pieces[placed.piece].fills_sheet)
    }
}

/// Whether two sheets are of equal size and hold the same pieces in the same places.
pub(super) fn is_laid_alike(a: &Sheet, b: &Sheet) -> bool {
    let size = |s: &Sheet| [s.width_mm.to_bits(), s.height_mm.to_bits()];
    let pieces = |s: &Sheet| -> Vec<(usize, Pose)> {
        s.placements.iter().map(|p| (p.piece, p.pose)).collect()
    };
    size(a) == size(b) && pieces(a) == pieces(b)
}

/// One piece on a sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Placement {
    /// Id on the first physical sheet: `tin/lid#3`, or `tin/lid#3.2` for the second of several in one copy.
    pub id: String,
    /// Position of the piece in the project's list.
    pub piece: usize,
    /// Number of the copy on the first physical sheet, from 1 over all editions.
    pub copy: u32,
    /// Piece frame to sheet frame.
    pub pose: Pose,
    /// Lies with its front down, which mirrors it and swaps mountain and valley as seen.
    pub face_down: bool,
    /// Lies where the maker pinned it.
    pub is_pinned: bool,
    /// All operations, the cut of the outline included, in cut order.
    pub operations: Vec<PlannedOperation>,
}

/// One operation on a placed piece.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedOperation {
    /// The placement's id, a dot, the operation's name and its number among those of this name: `tin/lid#3.crease-2`. The cut of the
    /// outline is `tin/lid#3.outline`.
    pub id: String,
    /// What is done. Mountain and valley are as seen from the sheet's front.
    pub kind: OperationKind,
    /// By whom.
    pub by: Maker,
    /// Where, in the sheet frame, in cutting direction; a perforation is one subpath for each cut, a cut with nicks one from each
    /// nick to the next.
    pub path: BezPath,
    /// What the cut of an outline leaves standing.
    pub nicks: Option<Nicks>,
}

/// What is printed on some of the physical sheets of a [`Sheet`].
#[derive(Debug, Clone, PartialEq)]
pub struct PrintRun {
    /// Page of `print.pdf` with the front, from 1.
    pub front: Option<u32>,
    /// Page of `print.pdf` with the back, from 1.
    pub back: Option<u32>,
    /// Physical sheets like this.
    pub times: u32,
    /// Numbers of the copies that come out of them, rising, each once.
    pub copies: Vec<u32>,
    /// For each of these sheets, the number of the copy at each placement, in their order.
    pub held: Vec<Vec<u32>>,
    /// What lies at each of the sheet's placements, in their order, on the first of these sheets.
    pub contents: Vec<Content>,
}

/// What one placement holds on the sheets of one [`PrintRun`].
#[derive(Debug, Clone, PartialEq)]
pub struct Content {
    /// Id of the piece there, like [`Placement::id`].
    pub id: String,
    /// Position of the edition in the project's list.
    pub edition: usize,
    /// Its artwork, painted first to last.
    pub artwork: Vec<PlannedArtwork>,
}

/// One layer of artwork of a placed piece.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedArtwork {
    /// Position in what [`Project::artwork_of`](crate::project::Project::artwork_of) returns.
    pub artwork: usize,
    /// The sheet face it is printed on.
    pub face: Face,
    /// The piece's outline grown by the bleed, in the sheet frame (front view).
    pub clip: BezPath,
    /// Unit square of the picture to the sheet frame (front view, so mirrored for the back), once for each repeat that
    /// meets the clip; empty for a flat colour.
    pub places: Vec<Affine>,
    /// The repeats of a picture that lets nothing through, each a little larger, painted before those in `places`: without them the paper
    /// would show in their seams.
    pub under: Vec<Affine>,
    /// Which picture; `None` for a flat colour.
    pub picture: Option<AssetIndex>,
    /// The line of its list that the copy takes, where it takes one.
    pub line: Option<u32>,
}

/// A printed face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PrintedFace {
    /// Sheet frame (front view) to page frame, both in millimetres and y down; mirrors for a back, and makes up for what the
    /// printer's profile knows of its errors.
    pub page_from_sheet: Affine,
    /// The sheet as seen from this face to the page frame: the identity where nothing is made up for.
    pub page_from_face: Affine,
    /// Where the profile says that a point of the page comes out, in the sheet frame; `None` where nothing is made up for.
    pub sheet_from_page: Option<Affine>,
}

/// A register mark.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// `m1` to `m6`.
    pub id: String,
    /// Its centre.
    pub centre: Point,
    /// Outer diameter of its ring in millimetres.
    pub diameter_mm: f64,
    /// Which quadrants are filled.
    pub class: MarkClass,
}

/// Which quadrants of a register mark are filled. Six classes that no turn can mix up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MarkClass {
    /// None.
    Empty,
    /// One.
    One,
    /// Two that share an edge.
    TwoAdjacent,
    /// Two that share a corner.
    TwoOpposite,
    /// Three.
    Three,
    /// All four.
    Full,
}

/// A short printed line that points at a piece from outside.
#[derive(Debug, Clone, PartialEq)]
pub struct Tick {
    /// `t1`, `t2`, ...
    pub id: String,
    /// What it points at.
    pub kind: TickKind,
    /// The face it is printed on.
    pub face: Face,
    /// The end nearer to the piece.
    pub from: Point,
    /// The far end.
    pub to: Point,
}

/// What a [`Tick`] points at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TickKind {
    /// A trimmed edge.
    Crop,
    /// A crease.
    Crease,
    /// A register mark: a line of a fine scale beside it.
    Scale,
    /// A register mark on the other face: a line of the cross that lies behind it, for a check by light.
    Light,
}

/// How a sheet is cut by machine.
#[derive(Debug, Clone, PartialEq)]
pub struct CutSetup {
    /// Name of the cut file, which sheets of equal shapes and poses share.
    pub file: String,
    /// The face that lies up on the cutter: the printed one, the front if both or none are.
    pub face_up: Face,
    /// Sheet frame (front view) to the frame of the cut file; mirrors if the back lies up, and makes up for what the cutter's profile
    /// knows of its errors.
    pub cut_from_sheet: Affine,
    /// The same without making up for anything: where the paper lies in the file's extent.
    pub file_from_sheet: Affine,
    /// What the machine does, in order: layer by layer, inside before outside, short travel.
    pub order: Vec<CutStep>,
}

/// One path of a cut file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CutStep {
    /// Position in [`Sheet::placements`].
    pub placement: usize,
    /// Position in [`Placement::operations`].
    pub operation: usize,
}

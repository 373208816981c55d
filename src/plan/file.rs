//! The plan as it stands in `plan.json`: what `verify` measures the other files against.
//!
//! Millimetres, y down from the sheet's top left corner, front view. Keys are added, never renamed. Paths are absolute `M L C Z` data with
//! six decimals. A matrix is `[a, b, c, d, e, f]` with `x' = a x + c y + e`, `y' = b x + d y + f`.

mod handout;

use serde::{Deserialize, Serialize};

pub use super::shopping_file::{
    BagsEntry, CostEntry, OutlayEntry, PaperBoughtEntry, ShoppingEntry, SupplyBoughtEntry,
};
pub use handout::{
    FitTestEntry, GluingEntry, GrooveEntry, HandoutEntry, KitEntry, LayerEntry, PieceWorkEntry,
    ScoreEntry, ShownLength, StepEntry,
};

/// Value of [`PlanFile::format`].
pub const FORMAT: &str = "sheetwright-plan/1";

/// The whole file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlanFile {
    /// [`FORMAT`].
    pub format: String,
    /// Name of the job.
    pub job: String,
    /// Copies wanted over all editions, without spare ones; 0 in files of before they were told apart.
    #[serde(default)]
    pub copies: u32,
    /// Its date as the maker wrote it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub date: Option<String>,
    /// SHA-256 of the list of paper on hand that it was planned with.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub paper_list_sha256: Option<String>,
    /// Width and height that all cut files share; absent without cut files.
    pub cut_extent_mm: Option<[f64; 2]>,
    /// The printer, if its errors were measured.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub printer: Option<PrinterEntry>,
    /// The cutting machine, if its errors were measured.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub cutter: Option<CutterEntry>,
    /// How well print and cut meet; absent where nothing printed is cut and no layer leaves a reveal.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub error_budget: Option<BudgetEntry>,
    /// Distinct sheets.
    pub sheets: Vec<SheetEntry>,
    /// What found no place.
    pub unplaced: Vec<UnplacedEntry>,
    /// Spares of each piece of which any are wished for.
    #[serde(default)]
    pub spares: Vec<SparesEntry>,
    /// Wanted pieces that are there already and lie on no sheet; absent where there are none.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub there: Vec<ThereEntry>,
    /// Offcuts worth keeping, the largest first.
    #[serde(default)]
    pub leftovers: Vec<LeftoverEntry>,
    /// What is done by hand or by a die.
    pub hand_work: Vec<HandWorkEntry>,
    /// Name of the file with templates; absent in files of before there were any, and where nothing is placed.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub templates: Option<String>,
    /// Objects put together, each with its pictures; absent where there are none.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub folded: Vec<FoldedEntry>,
    /// What lies on the maker's table; absent in files of before it was worked out.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub handout: Option<HandoutEntry>,
    /// What it takes.
    pub usage: UsageEntry,
}

/// A printer whose errors were measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PrinterEntry {
    /// Its name in the profile.
    pub name: Option<String>,
    /// What was measured.
    pub calibration: CalibrationEntry,
}

/// Where a printer puts what it prints.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CalibrationEntry {
    /// Day of the measurement, year first.
    pub date: String,
    /// Format it was measured on, in words.
    pub format: String,
    /// Width and height of the page it was measured on, as it was fed.
    pub page_mm: [f64; 2],
    /// The paper, in the maker's words.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub paper: Option<String>,
    /// The tray, in the maker's words.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub tray: Option<String>,
    /// The front.
    pub front: MapEntry,
    /// The back; absent where it was not measured.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub back: Option<MapEntry>,
}

/// Where one face of a page comes out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MapEntry {
    /// A point of the page to the sheet, both seen from the front, a back as well, on the format it was measured on.
    pub sheet_from_page: [f64; 6],
    /// How far that is right 19 times in 20: in the middle of the page, and in its worst corner.
    pub within_mm: [f64; 2],
}

/// A cutting machine whose errors were measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CutterEntry {
    /// Its name in the profile.
    pub name: Option<String>,
    /// Day of the measurement, year first.
    pub date: String,
    /// A point of the cut file to where it is cut, in the file's frame.
    pub cut_from_file: [f64; 6],
    /// Standard deviation of one coordinate from one cut to the next.
    pub repeat_mm: f64,
}

/// How well print and cut meet. What is within a number stays so 19 times in 20.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BudgetEntry {
    /// Each way of cutting, the surest last.
    pub ways: Vec<MisfitEntry>,
    /// The narrowest bleed of what is printed to the edge of a piece, in millimetres.
    pub bleed_mm: Option<f64>,
    /// The gap between neighbours, in millimetres.
    pub gap_mm: Option<f64>,
    /// The least gap that two cuts keep apart.
    pub least_gap_mm: Option<f64>,
    /// The narrowest reveal, in millimetres.
    pub reveal_mm: Option<f64>,
    /// The least reveal that shows on all sides.
    pub least_reveal_mm: Option<f64>,
}

/// How far print and cut may miss each other.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MisfitEntry {
    /// `from-corner`, `by-marks` or `by-hand`.
    pub way: String,
    /// At the worst place of any printed piece.
    pub within_mm: f64,
    /// Whether the bleed is no less.
    pub is_covered: bool,
    /// What it consists of; shares add up by their squares.
    pub shares: Vec<ShareEntry>,
}

/// What one thing adds to a misfit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ShareEntry {
    /// `printer`, `loading`, `marks`, `cutter` or `trimmer`.
    pub of: String,
    /// By itself.
    pub within_mm: f64,
    /// Whether it was not measured but is taken for usual.
    pub is_assumed: bool,
}

/// A distinct sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SheetEntry {
    /// Id of the stock.
    pub stock: String,
    /// Id of the stock that this one is an offcut of.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub offcut_of: Option<String>,
    /// `a` or `b`: the face of the stock that is this sheet's front.
    pub front_is: String,
    /// The sheet as it lies.
    pub paper: PaperEntry,
    /// Physical sheets.
    pub runs: u32,
    /// First front page in `print.pdf`; the first back page if only the back is printed.
    pub print_page: Option<u32>,
    /// Page in `proof.pdf`.
    pub proof_page: u32,
    /// Picture of the sheet.
    pub picture: String,
    /// Cut file.
    pub cut_file: Option<String>,
    /// `front` or `back`: the face that lies up on the cutter.
    pub cut_face_up: Option<String>,
    /// Sheet frame to the cut file's frame.
    pub cut_from_sheet: Option<[f64; 6]>,
    /// Ids of the cut file's operations in cutting order.
    pub cut_order: Vec<String>,
    /// What is printed on how many of the sheets.
    pub prints: Vec<PrintEntry>,
    /// Map of the front to its page.
    pub front: Option<FaceEntry>,
    /// Map of the back to its page.
    pub back: Option<FaceEntry>,
    /// Register marks.
    pub marks: Vec<MarkEntry>,
    /// How much farther in they stand because of what is made up for; absent where they do not.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub marks_moved_in_mm: Option<f64>,
    /// Crop and crease ticks.
    pub ticks: Vec<TickEntry>,
    /// Box of the caption and check rule on printed pages: x, y, width, height in the sheet frame of the page's own face.
    pub caption_box_mm: Option<[f64; 4]>,
    /// Box that pieces with their bleed are kept in: x, y, width, height.
    pub usable_box_mm: [f64; 4],
    /// Pieces; ids, copies and artwork are those of the first physical sheet.
    pub placements: Vec<PlacementEntry>,
    /// How the sheet is cut by hand; empty in a job that is cut by machine.
    #[serde(default)]
    pub trimmer_cuts: Vec<TrimmerCutEntry>,
}

/// A part of a sheet cut in two from edge to edge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrimmerCutEntry {
    /// Number of the cut, from 1; equal parts that are cut in one pile share it.
    pub step: u32,
    /// `x` for an upright cut, `y` for a level one.
    pub axis: String,
    /// Where along the axis, on the sheet as it was before the first cut.
    pub at_mm: f64,
    /// `fence`, `tick`, or `print` where no tick has room and the edge of the printed pieces stands in for it.
    pub by: String,
    /// The part: `sheet`, or a name from an earlier cut's `leaves`.
    pub of: String,
    /// Names of the part left or above of the cut and of the other one. A finished piece has its placement's id.
    pub leaves: [String; 2],
    /// Those of them that are done: finished pieces and waste.
    pub falls_off: Vec<String>,
    /// From the fence to the blade; absent for cuts by eye.
    pub fence_mm: Option<f64>,
    /// `left`, `top`, `right` or `bottom`: the edge at the fence.
    pub from_edge: Option<String>,
    /// `paper` or `fresh`: whether that edge is the paper's own or has been cut.
    pub edge: Option<String>,
    /// Ids of the ticks that the blade goes by.
    pub ticks: Vec<String>,
    /// How long the cut is.
    pub length_mm: f64,
    /// Sheets, or equal parts of sheets, cut in one stroke.
    pub together: u32,
    /// Strokes for all the sheets.
    pub times: u32,
    /// `held-narrow`, `beyond-reach`, `off-scale`.
    pub cautions: Vec<String>,
}

/// A sheet format as it lies.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PaperEntry {
    /// PWG 5101.1 name.
    pub name: String,
    /// Width.
    pub width_mm: f64,
    /// Height.
    pub height_mm: f64,
    /// The edge of an offcut that is no rectangle, in the sheet frame.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub outline: Option<String>,
}

/// What is printed on some of the physical sheets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PrintEntry {
    /// Page with the front.
    pub front: Option<u32>,
    /// Page with the back.
    pub back: Option<u32>,
    /// Copies that come out of these sheets.
    pub copies: Vec<u32>,
    /// Physical sheets like this.
    pub times: u32,
    /// What lies at each placement, in their order.
    pub contents: Vec<ContentEntry>,
}

/// What one placement holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ContentEntry {
    /// Id of the piece.
    pub id: String,
    /// Id of the edition; empty where none is declared.
    pub edition: String,
    /// Its artwork, painted first to last.
    pub artwork: Vec<ArtworkEntry>,
}

/// A printed face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FaceEntry {
    /// Sheet frame to page frame, both y down from the top left.
    pub page_from_sheet: [f64; 6],
    /// Where the printer's profile says that a point of the page comes out: what `page_from_sheet` makes up for. Absent where it makes
    /// up for nothing.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub sheet_from_page: Option<[f64; 6]>,
}

/// A register mark.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MarkEntry {
    /// `m1` to `m6`.
    pub id: String,
    /// Centre.
    pub x_mm: f64,
    /// Centre.
    pub y_mm: f64,
    /// Outer diameter of the ring.
    pub diameter_mm: f64,
    /// `empty`, `one`, `two-adjacent`, `two-opposite`, `three` or `full`.
    pub quadrants: String,
    /// Page face it is printed on, `front` or `back`.
    pub face: String,
}

/// A crop or crease tick.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TickEntry {
    /// `t1`, `t2`, ...
    pub id: String,
    /// `crop`, `crease`, `scale` for a line of the fine scales beside a register mark, or `light` for one of a cross behind a mark, on the other face.
    pub kind: String,
    /// `front` or `back`.
    pub face: String,
    /// The end nearer to the piece.
    pub from_mm: [f64; 2],
    /// The far end.
    pub to_mm: [f64; 2],
}

/// A piece on a sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlacementEntry {
    /// Id, e.g. `tin/lid#1`.
    pub id: String,
    /// Id of the piece.
    pub piece: String,
    /// Number of the copy.
    pub copy: u32,
    /// Where the piece's origin lies.
    pub x_mm: f64,
    /// Where the piece's origin lies.
    pub y_mm: f64,
    /// Clockwise as seen.
    pub turn_deg: f64,
    /// Front down.
    pub face_down: bool,
    /// Lies where the maker pinned it.
    #[serde(default)]
    pub pinned: bool,
    /// The outline, holes included, in the sheet frame.
    pub path: String,
    /// Its outer ring flattened to 0.005 mm.
    pub outline_mm: Vec<[f64; 2]>,
    /// Operations in cut order; the cut of the outline is among them.
    pub operations: Vec<OperationEntry>,
    /// Artwork, painted first to last.
    pub artwork: Vec<ArtworkEntry>,
}

/// An operation on a placed piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OperationEntry {
    /// Id, e.g. `tin/lid#1.crease-2`.
    pub id: String,
    /// `cut`, `crease`, `perforation`, `partial-cut`, `hole` or `line`.
    pub kind: String,
    /// `mountain` or `valley` as seen from the sheet's front; creases only.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub fold: Option<String>,
    /// `machine`, `hand` or `die`.
    pub by: String,
    /// Where, in the sheet frame.
    pub path: String,
    /// What the cut of an outline leaves standing; absent where nothing.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub nicks: Option<NicksEntry>,
}

/// Uncut bridges, spread evenly over an outline.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct NicksEntry {
    /// How many.
    pub count: u32,
    /// Length of each along the outline.
    pub length_mm: f64,
}

/// A layer of artwork on a placed piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ArtworkEntry {
    /// `front` or `back`.
    pub face: String,
    /// Box of the picture in the sheet frame: x, y, width, height; for a flat colour or a repeat, the box of the clip.
    pub box_mm: [f64; 4],
    /// Unit square of the picture to the sheet frame, for the first place; absent for a flat colour.
    pub matrix: Option<[f64; 6]>,
    /// All places of a repeated picture; one for a picture placed once.
    pub places: Vec<[f64; 6]>,
    /// Where the repeats of a picture that lets nothing through are painted first, each a little larger, so that the paper does not show
    /// in their seams.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub under: Vec<[f64; 6]>,
    /// SHA-256 of the picture's file; absent for a flat colour.
    pub sha256: Option<String>,
    /// The picture's file as the project spells it, or what words say.
    pub file: Option<String>,
    /// The line of a list that the copy takes; absent where it takes none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<u32>,
    /// What is written in it as text, string by string; absent where nothing is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<Vec<String>>,
    /// How many of its pixels lie on an inch; absent where there are none.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub pixels_per_inch: Option<f64>,
    /// `#rrggbb` of a flat colour.
    pub colour: Option<String>,
    /// The outline grown by the bleed, in the sheet frame.
    pub clip: String,
}

/// A piece that found no place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct UnplacedEntry {
    /// Id of the piece.
    pub piece: String,
    /// Id of the edition.
    pub edition: String,
    /// Id of the stock.
    pub stock: String,
    /// How many of it.
    pub count: u32,
    /// Width and height it needs.
    pub needs_mm: [f64; 2],
    /// Width and height there is.
    pub has_mm: [f64; 2],
    /// `too-large`, `turn-forbidden` or `no-sheets-left`.
    pub reason: String,
}

/// How many spares of a piece found room.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SparesEntry {
    /// Id of the piece.
    pub piece: String,
    /// How many are on the sheets.
    pub placed: u32,
    /// How many are wished for.
    pub wished: u32,
}

/// How many wanted ones of a piece are there already: made before, or left by passes of a punch or die.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ThereEntry {
    /// Id of the piece.
    pub piece: String,
    /// How many.
    pub count: u32,
}

/// An upright rectangle that stays of each physical sheet of one kind.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LeftoverEntry {
    /// Id of the whole stock that it is an offcut of.
    pub of: String,
    /// Number of the distinct sheet it comes from, from 1.
    pub sheet: u32,
    /// How many there are: one for each physical sheet.
    pub count: u32,
    /// Its width and height in the job's lengths.
    pub size: String,
    /// Where it lies in the sheet frame: x, y, width, height.
    pub box_mm: [f64; 4],
}

/// The pictures of a folded object.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FoldedEntry {
    /// Id of the assembly.
    pub assembly: String,
    /// Name of its picture as SVG.
    pub svg: String,
    /// Name of its picture as PNG.
    pub png: String,
    /// Width and height of the pictures' page.
    pub page_mm: [f64; 2],
    /// What of its panels can be seen, the farthest first.
    pub panels: Vec<SeenPanelEntry>,
}

/// A panel in the picture of a folded object.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SeenPanelEntry {
    /// `closed` or `half open`.
    pub view: String,
    /// Its id: `tin/lid:front`.
    pub id: String,
    /// Its outline and holes on the page.
    pub outline: String,
}

/// Something done by hand or by a die.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HandWorkEntry {
    /// Id of the piece.
    pub piece: String,
    /// `outline`, or the operation's name and number as in ids: `crease-2`.
    pub operation: String,
    /// `mountain` or `valley`; creases only.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub fold: Option<String>,
    /// `hand` or `die`.
    pub by: String,
    /// On how many pieces.
    pub times: u32,
    /// Where, in the piece frame.
    pub path: String,
}

/// What the plan takes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct UsageEntry {
    /// 0 to 100.
    pub area_used_percent: f64,
    /// `fewest sheets`, `fewest layouts` or `one kit a sheet`: what was looked for.
    #[serde(default)]
    pub best: String,
    /// `quick`, `usual` or `long`: how much work was put in.
    #[serde(default)]
    pub effort: String,
    /// Sheets over all stocks.
    pub sheets: u32,
    /// Sheets that no layout can go below, from areas alone.
    pub lower_bound_sheets: u32,
    /// Whole sheets that no layout can go below, from areas and from what cannot lie side by side; offcuts are taken as used up.
    #[serde(default)]
    pub better_bound_sheets: u32,
    /// Whether there are no more whole sheets than that, and everything has its place.
    #[serde(default)]
    pub is_proven_fewest: bool,
    /// Price of all sheets whose stock has one, e.g. `4.20 EUR`, for each currency.
    #[serde(default)]
    pub costs: Vec<String>,
    /// `finished` or `stopped`.
    pub search: String,
    /// For each stock.
    pub by_stock: Vec<StockUsageEntry>,
    /// What the register marks cost.
    pub marks_cost: Option<MarksCostEntry>,
    /// Different layouts, whatever paper they are cut from.
    #[serde(default)]
    pub layouts: u32,
    /// How often the fence is set for the whole job; absent in a job that is cut by machine.
    #[serde(default)]
    pub fence_settings: Option<u32>,
    /// How often the blade comes down for the whole job.
    #[serde(default)]
    pub strokes: Option<u32>,
    /// What other choices of what is best would come to, at a glance, where they would gain what they are chosen for.
    #[serde(default)]
    pub other_choices: Vec<ChoiceEntry>,
}

/// What the job would take if something else were best.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ChoiceEntry {
    /// `fewest sheets`, `fewest layouts` or `one kit a sheet`.
    pub best: String,
    /// Sheets over all stocks.
    pub sheets: u32,
    /// Different layouts, whatever paper they are cut from.
    pub layouts: u32,
    /// Price of all sheets whose stock has one, for each currency.
    pub costs: Vec<String>,
}

/// What the plan takes of one stock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StockUsageEntry {
    /// Id of the stock.
    pub stock: String,
    /// Sheets used.
    pub sheets: u32,
    /// Sheets that no layout can go below, from areas alone.
    pub lower_bound_sheets: u32,
    /// Sheets that no layout can go below, from areas and from what cannot lie side by side.
    #[serde(default)]
    pub better_bound_sheets: u32,
    /// 0 to 100.
    pub area_used_percent: f64,
    /// Price with currency, e.g. `4.20 EUR`.
    pub cost: Option<String>,
}

/// What the register marks cost.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MarksCostEntry {
    /// Area their clear zones keep free on each sheet that has them.
    pub area_mm2: f64,
    /// Sheets the same job takes without marks.
    pub sheets_without: u32,
}

//! The plan of a whole job.

use kurbo::Rect;

use super::{Budget, Effort, Remedy, Sheet};
use crate::length::Length;
use crate::project::{Best, Maker, Price};

/// The plan of a whole job.
#[derive(Debug, Clone, PartialEq)]
pub struct JobPlan {
    /// Distinct sheets, grouped by stock in project order.
    pub sheets: Vec<Sheet>,
    /// What found no place.
    pub unplaced: Vec<Unplaced>,
    /// Spares of each piece of which any are wished for; none of them opened a sheet.
    pub spares: Vec<Spares>,
    /// Offcuts worth keeping, the largest first.
    pub leftovers: Vec<Leftover>,
    /// What is done by hand or by a die, once for each piece and operation.
    pub hand_work: Vec<HandWork>,
    /// What it takes.
    pub usage: Usage,
    /// How well print and cut meet; `None` where nothing printed is cut and no layer leaves a reveal.
    pub budget: Option<Budget>,
    /// Width and height that all cut files of the job share, in millimetres; `None` without cut files.
    pub cut_extent_mm: Option<(f64, f64)>,
}

/// An upright rectangle that stays of each physical sheet of one kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leftover {
    /// Position in [`JobPlan::sheets`].
    pub sheet: usize,
    /// Where it lies, in the sheet frame, in millimetres; its sides are whole sixteenths of an inch or whole millimetres.
    pub area: Rect,
}

/// A piece that found no place on any sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Unplaced {
    /// Position of the piece in the project's list.
    pub piece: usize,
    /// Position of its edition.
    pub edition: usize,
    /// Position of the stock it was to be cut from.
    pub stock: usize,
    /// How many of it found no place.
    pub count: u32,
    /// Width and height it needs with bleed in its best allowed turn, in millimetres.
    pub needs_mm: (f64, f64),
    /// Width and height there is where a sheet of the stock comes nearest to holding it, in millimetres.
    pub has_mm: (f64, f64),
    /// Bleed that is counted in what it needs.
    pub bleed: Length,
    /// What takes the rest of the sheet.
    pub taken_by: Vec<Taker>,
    /// Why.
    pub reason: UnplacedReason,
    /// What would help, each by itself, what changes least first.
    pub remedies: Vec<Remedy>,
}

/// What takes room from the pieces on a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Taker {
    /// The bands that the printer cannot print.
    Margins,
    /// The bands that the cutter cannot reach.
    Reach,
    /// Register marks and the white around them.
    Marks,
    /// The caption and the check rule.
    Caption,
}

/// How many spares of a piece found room on sheets that are opened anyway.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Spares {
    /// Position of the piece in the project's list.
    pub piece: usize,
    /// How many are on the sheets.
    pub placed: u32,
    /// How many are wished for: those of all spare copies of all editions.
    pub wished: u32,
}

/// Why a piece found no place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UnplacedReason {
    /// It is larger than the usable area in every allowed turn.
    TooLarge,
    /// It would fit if it could be turned.
    TurnForbidden,
    /// There are not enough sheets on hand.
    NoSheetsLeft,
}

/// Something done by hand or by a die.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HandWork {
    /// Position of the piece in the project's list.
    pub piece: usize,
    /// Position of the operation in the piece's list; `None` is the cut of the outline.
    pub operation: Option<usize>,
    /// By whom.
    pub by: Maker,
    /// On how many pieces in the whole job.
    pub times: u32,
}

/// What a plan takes, and how far it is from what is possible at all.
#[derive(Debug, Clone, PartialEq)]
pub struct Usage {
    /// What was looked for.
    pub best: Best,
    /// How much work was put in.
    pub effort: Effort,
    /// Sheets over all stocks.
    pub sheets: u32,
    /// Sheets that no layout can go below, from areas alone: summed outline area over usable area, for each stock.
    pub lower_bound_sheets: u32,
    /// Whole sheets that no layout can go below, from areas and from what cannot lie side by side, gaps and marks included; offcuts are
    /// taken as used up.
    pub better_bound_sheets: u32,
    /// Whether there are no more whole sheets than that, and everything has its place: no layout has fewer.
    pub is_proven_fewest: bool,
    /// Price of all sheets whose stock has one, for each currency.
    pub costs: Vec<Price>,
    /// Share of the opened sheets that ends as pieces, 0 to 100.
    pub area_used_percent: f64,
    /// How the search ended.
    pub search: SearchEnd,
    /// The same for each stock that is used, in project order.
    pub by_stock: Vec<StockUsage>,
    /// What the register marks cost; `None` where there are none.
    pub marks_cost: Option<MarksCost>,
    /// Different layouts, whatever paper they are cut from.
    pub layouts: u32,
    /// How much work it is with a trimmer; `None` in a job that is cut by machine.
    pub trimming: Option<Trimming>,
    /// What other choices of what is best would come to, where they would gain what they are chosen for.
    pub other_choices: Vec<Choice>,
}

/// How much work a job is with a trimmer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Trimming {
    /// How often the fence is set, going through the sheets in order.
    pub fence_settings: u32,
    /// How often the blade comes down.
    pub strokes: u32,
}

/// What a job would take, at a glance, if something else were best.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// What would be best.
    pub best: Best,
    /// Sheets over all stocks.
    pub sheets: u32,
    /// Different layouts, whatever paper they are cut from.
    pub layouts: u32,
    /// Price of all sheets whose stock has one, for each currency.
    pub costs: Vec<Price>,
}

/// How a search ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SearchEnd {
    /// All its work was done.
    Finished,
    /// It was interrupted; the plan is the best until then.
    Stopped,
}

/// What a plan takes of one stock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StockUsage {
    /// Position of the stock in the project's list.
    pub stock: usize,
    /// Sheets used.
    pub sheets: u32,
    /// Sheets that no layout can go below, from areas alone.
    pub lower_bound_sheets: u32,
    /// Sheets that no layout can go below, from areas and from what cannot lie side by side; offcuts are taken as used up. 0 for an
    /// offcut.
    pub better_bound_sheets: u32,
    /// Share of these sheets that ends as pieces, 0 to 100.
    pub area_used_percent: f64,
    /// Price of these sheets in hundredths of the stock's currency, where the stock has a price.
    pub cost_hundredths: Option<u64>,
}

/// What register marks cost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MarksCost {
    /// Area their clear zones keep free on each sheet that has them, in square millimetres.
    pub area_mm2: f64,
    /// Sheets the same job takes without marks.
    pub sheets_without: u32,
}

//! Everything physical, decided: which piece lies where on which sheet, what is printed on which page, what is cut in which order.
//!
//! Read [`JobPlan`], [`Sheet`] and [`Placement`]. Every coordinate is in millimetres in the *sheet frame*: origin at the sheet's top
//! left corner, y down, the sheet's front towards you. The back is described in this front view, too; only
//! [`PrintedFace::page_from_sheet`] mirrors it. [`place`] is the door of the layout engine; [`file`] is the same plan as it stands in
//! `plan.json`.

pub mod file;
mod job_plan;
pub mod place;
mod sheet;

pub use job_plan::{
    HandWork, JobPlan, MarksCost, SearchEnd, StockUsage, Unplaced, UnplacedReason, Usage,
};
pub use sheet::{
    Content, CutSetup, CutStep, Mark, MarkClass, Placement, PlannedArtwork, PlannedOperation,
    PrintRun, PrintedFace, Sheet, Tick, TickKind,
};

//! What lies on the maker's table, as it stands in `plan.json`. Sizes are millimetres with the text that is printed.

use serde::{Deserialize, Serialize};

use super::{BagsEntry, CostEntry, ShoppingEntry};

/// A length as a number and as it is printed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ShownLength {
    /// In millimetres.
    pub mm: f64,
    /// With its unit.
    pub text: String,
}

/// Everything that lies on the table. Pieces, stocks, supplies, assemblies and editions are named by their ids.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HandoutEntry {
    /// Every kind of piece, in project order.
    pub pieces: Vec<PieceWorkEntry>,
    /// What is stuck to what, in order.
    pub gluing: Vec<GluingEntry>,
    /// Numbered steps.
    pub steps: Vec<StepEntry>,
    /// Tools to have at hand.
    pub tools: Vec<String>,
    /// What to buy, one list for each edition.
    pub shopping: Vec<ShoppingEntry>,
    /// What it costs; absent where nothing has a price.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub cost: Option<CostEntry>,
    /// Why nothing is said of the cost.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub no_cost: Option<String>,
    /// What goes into each bag.
    pub kit: Vec<KitEntry>,
    /// What stands on the labels of the bags.
    pub bags: Vec<BagsEntry>,
    /// The fewest parts that prove each fit.
    pub fit_tests: Vec<FitTestEntry>,
    /// Cautions that are printed, by their names in project files.
    pub cautions: Vec<String>,
}

/// What is done to one kind of piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PieceWorkEntry {
    /// Its id.
    pub piece: String,
    /// Its name.
    pub name: String,
    /// How many a copy needs.
    pub per_copy: u32,
    /// How many all wanted copies need.
    pub wanted: u32,
    /// How many of those are there already.
    pub have: u32,
    /// Width and height of the finished box around it.
    pub size: [ShownLength; 2],
    /// Width and height it is cut to first, where that is larger.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub rough: Option<[ShownLength; 2]>,
    /// Whether it is a rectangle.
    pub is_rectangle: bool,
    /// Pages of the templates on which it stands, from 1.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub template_pages: Vec<usize>,
    /// `front` or `back`: what lies up while it is scored.
    pub scored_face: String,
    /// Whether a fence guides all its creases.
    pub by_fence: bool,
    /// Scores in the order they are made.
    pub scores: Vec<ScoreEntry>,
    /// What is done to its areas, in words, in the order of work.
    pub treated: Vec<String>,
    /// What it is mounted on.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub layer: Option<LayerEntry>,
}

/// One score.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ScoreEntry {
    /// From 1 in each piece.
    pub number: u32,
    /// Names of its creases among the piece's operations.
    pub operations: Vec<String>,
    /// `left`, `right`, `top` or `bottom`: the edge at the fence, as the scored face shows it.
    pub fence: String,
    /// Distance from that edge, as set.
    pub at: ShownLength,
    /// Where the crease truly lies less where it is set, in millimetres.
    pub off_mm: f64,
    /// From and to along the fence, from the piece's left or top edge; absent from edge to edge.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub span: Option<[ShownLength; 2]>,
    /// `mountain` or `valley`, seen from the scored face.
    pub fold: String,
    /// In whole degrees.
    pub folds_to_deg: u32,
    /// Whether it is made again after embossing.
    pub again: bool,
    /// How it fits the grooves of the scoring board; absent without one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub groove: Option<GrooveEntry>,
}

/// How a score fits the grooves of a board.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct GrooveEntry {
    /// `in`, `between`, `from-far-end` or `beyond-reach`.
    pub fit: String,
    /// The nearest groove, or the distance from the far end.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub at: Option<ShownLength>,
    /// How far beyond the nearest groove the score lies, in millimetres.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub off_mm: Option<f64>,
}

/// Where a layer is mounted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LayerEntry {
    /// Id of the piece below.
    pub on: String,
    /// Its panel.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub panel: Option<String>,
    /// What shows at the top, right, bottom and left.
    pub shows: [ShownLength; 4],
    /// Distance from the face below.
    pub standoff: ShownLength,
    /// Whether it is trimmed flush once it is glued.
    pub trim_flush: bool,
}

/// One thing that is stuck to another.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct GluingEntry {
    /// From 1.
    pub number: u32,
    /// Id of the assembly; absent for a layer.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub assembly: Option<String>,
    /// What gets the glue.
    pub from: String,
    /// `front` or `back`.
    pub from_face: String,
    /// What that face is called on the pages: `outside` or `inside` of what is folded, else as `from_face`.
    pub from_side: String,
    /// What it is stuck to.
    pub to: String,
    /// `front` or `back`.
    pub to_face: String,
    /// As `from_side`.
    pub to_side: String,
    /// What it is stuck with; absent where that is any glue.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub with: Option<String>,
}

/// One numbered step.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StepEntry {
    /// From 1.
    pub number: u32,
    /// What to do.
    pub text: String,
    /// Id of the piece beside it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub piece: Option<String>,
    /// Id of the assembly beside it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub assembly: Option<String>,
    /// `before class` or `in class`.
    pub when: String,
    /// For one person and one copy.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub minutes: Option<u32>,
}

/// Something that goes into each bag.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KitEntry {
    /// What it is.
    pub name: String,
    /// What it is of.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub of: Option<String>,
    /// How much of it.
    pub each: String,
    /// Id of the edition it is for; absent for all.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub edition: Option<String>,
}

/// The fewest parts that prove a fit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FitTestEntry {
    /// Id of the assembly.
    pub assembly: String,
    /// What is tried.
    pub proves: String,
    /// Ids of the pieces, and how many of each.
    pub pieces: Vec<(String, u32)>,
}

//! What a handout holds.

use crate::length::{Length, LengthStyle};
use crate::project::{Amount, Axis, Caution, Edge, Face, Fold, Price, When};

/// Everything that lies on the maker's table for one job. Positions are those in the project's lists.
#[derive(Debug, Clone, PartialEq)]
pub struct Handout {
    /// How lengths are shown: the inch edition in fractions or decimals, the metric one in millimetres.
    pub style: LengthStyle,
    /// Every kind of piece, in project order.
    pub pieces: Vec<PieceWork>,
    /// What is stuck to what, in order; nothing is stuck before what it needs is there.
    pub gluing: Vec<Glueing>,
    /// Numbered steps: the maker's own, or those that follow from the work.
    pub steps: Vec<WorkStep>,
    /// Tools to have at hand: those that follow from the work, then the maker's own.
    pub tools: Vec<String>,
    /// What to buy, one list for each edition.
    pub shopping: Vec<ShoppingList>,
    /// What one copy and the whole job cost; `None` where nothing has a price, and where prices are in several currencies.
    pub cost: Option<Cost>,
    /// Why there is no cost although there are prices, in words.
    pub no_cost: Option<String>,
    /// What goes into each bag, one line for each kind of thing.
    pub kit: Vec<KitLine>,
    /// Labels of the bags, one entry for each edition.
    pub labels: Vec<BagLabels>,
    /// The fewest parts that prove each fit, cut before all others.
    pub fit_tests: Vec<FitTest>,
    /// What is printed as a caution, each once.
    pub cautions: Vec<Caution>,
}

impl Handout {
    /// What a face of a piece of the project is called on the pages: `outside` or `inside` of what is folded, else `front` or `back`.
    #[must_use]
    pub fn side(&self, piece: usize, face: Face) -> &'static str {
        let works = self.pieces.iter();
        let mut folded =
            works.filter(|w| w.piece == piece && (!w.scores.is_empty() || !w.by_fence));
        match folded.next() {
            Some(work) if work.scored_face == face => "outside",
            Some(_) => "inside",
            None => face.name(),
        }
    }
}

/// What is done to one kind of piece.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceWork {
    /// Which piece.
    pub piece: usize,
    /// How many a copy needs.
    pub per_copy: u32,
    /// How many all wanted copies need, spares not counted.
    pub wanted: u32,
    /// How many of those are there already: made before, or left by passes of a die.
    pub have: u32,
    /// Width and height of the finished box around it.
    pub size: (Length, Length),
    /// Width and height it is cut to first, where a punch, a die or trimming flush makes it smaller.
    pub rough: Option<(Length, Length)>,
    /// Whether the outline is a rectangle that two pairs of straight cuts make.
    pub is_rectangle: bool,
    /// Scores in the order they are made: all of one fence edge, then turn.
    pub scores: Vec<Score>,
    /// Face that lies up while it is scored: the one that will be outside, so that ridges lie inside the angle.
    pub scored_face: Face,
    /// Whether all scores are along straight lines that a fence allows; others are made by template.
    pub by_fence: bool,
    /// Areas with something done to them, in the order of work.
    pub treated: Vec<TreatedWork>,
    /// What it is mounted on.
    pub layer: Option<LayerOn>,
}

/// One score along a straight line.
#[derive(Debug, Clone, PartialEq)]
pub struct Score {
    /// Number on the drawing, from 1 in each piece.
    pub number: u32,
    /// Positions of the creases on this line in the piece's list of operations.
    pub operations: Vec<usize>,
    /// The piece's edge that lies at the fence, as the scored face shows it.
    pub fence: Edge,
    /// Distance from that edge, as set.
    pub at: Length,
    /// Where the crease truly lies less where it is set; 0 where nothing was rounded.
    pub off: Length,
    /// Where the score begins and ends along the fence, from the piece's left or top edge as the scored face shows it; `None` from edge
    /// to edge.
    pub span: Option<(Length, Length)>,
    /// Which way it folds, seen from the scored face.
    pub fold: Fold,
    /// How far it folds, in whole degrees.
    pub folds_to_deg: u32,
    /// Whether it is scored again after embossing.
    pub again: bool,
    /// How it fits the grooves of the scoring board; `None` without one.
    pub groove: Option<GrooveFit>,
}

/// How a score fits the grooves of a board.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GrooveFit {
    /// It lies in a groove.
    InGroove,
    /// It lies between two grooves: the nearest one, and how far beyond it the score is.
    Between {
        /// The nearest groove.
        nearest: Length,
        /// The score less that.
        off: Length,
    },
    /// It is farther from the fence than the board reaches, but not from the other edge: turn the piece end for end, and set this.
    FromFarEnd {
        /// Distance from the opposite edge.
        at: Length,
    },
    /// No edge lies within the board's reach: score by rule.
    BeyondReach,
}

/// What is done to an area.
#[derive(Debug, Clone, PartialEq)]
pub struct TreatedWork {
    /// Position in the piece's list of treatments.
    pub treatment: usize,
    /// What to do, in words: `emboss front, back, left and right with the leaf plate, left edge in first`.
    pub words: String,
}

/// Where a piece is mounted.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerOn {
    /// The piece below.
    pub on: usize,
    /// Its panel, if one was named.
    pub panel: Option<String>,
    /// What shows of the piece below at the top, right, bottom and left once it is trimmed.
    pub shows: [Length; 4],
    /// Distance from the face below; 0 is glued flat.
    pub standoff: Length,
    /// Whether it is glued oversize and trimmed flush.
    pub trim_flush: bool,
}

/// One thing that is stuck to another.
#[derive(Debug, Clone, PartialEq)]
pub struct Glueing {
    /// From 1.
    pub number: u32,
    /// Position of the assembly; `None` for a layer on a piece.
    pub assembly: Option<usize>,
    /// Position of the piece that gets the glue.
    pub from_piece: usize,
    /// Position of the piece it is stuck to.
    pub to_piece: usize,
    /// What gets the glue: `tray, tab-1` (piece and panel), on which face.
    pub from: String,
    /// The glued face.
    pub from_face: Face,
    /// What it is stuck to: `tray, left`.
    pub to: String,
    /// The face it is stuck to.
    pub to_face: Face,
    /// What it is stuck with, where the project says it: a supply's name, or foam pads.
    pub with: Option<String>,
}

/// One numbered step.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkStep {
    /// From 1.
    pub number: u32,
    /// What to do.
    pub text: String,
    /// Position of a piece that is drawn beside it.
    pub piece: Option<usize>,
    /// Position of an assembly whose picture is beside it.
    pub assembly: Option<usize>,
    /// Position of the maker's step, for its own picture; `None` where the step follows from the work.
    pub own: Option<usize>,
    /// Who does it.
    pub when: When,
    /// Minutes for one person and one copy.
    pub minutes: Option<u32>,
}

/// What to buy for one edition, all copies and spares.
#[derive(Debug, Clone, PartialEq)]
pub struct ShoppingList {
    /// Position of the edition.
    pub edition: usize,
    /// Copies wanted, and spare ones.
    pub copies: (u32, u32),
    /// Paper, in project order.
    pub paper: Vec<Bought>,
    /// Other things, in project order.
    pub supplies: Vec<SupplyBought>,
    /// Sum of what is bought, for each currency, of what has a price.
    pub sums: Vec<Price>,
}

/// Sheets of one stock.
///
/// A sheet with pieces of several editions stands in the list of the first edition that has a wanted piece on it: that one opens it, and
/// the others take its rest. So each sheet of a plan is in one list, and a list of a later edition may be short.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bought {
    /// Position of the stock that is sold: never an offcut.
    pub stock: usize,
    /// Whole sheets that the plan takes for this edition.
    pub takes: u32,
    /// Offcuts of it that the plan uses besides.
    pub offcuts: u32,
    /// Sheets on hand that are taken off.
    pub on_hand: u32,
    /// Sheets that the plan had not, for pieces that found no place on those on hand.
    pub lacks: u32,
    /// Sheets to buy: those taken and those lacking, less those on hand.
    pub buy: u32,
    /// What those cost.
    pub price: Option<Price>,
}

/// So much of a supply.
///
/// Packs are opened for one edition after another, as sheets are: what is left of a pack is used for the next edition, so that packs
/// add up over all lists to what the whole job needs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SupplyBought {
    /// Position of the supply.
    pub supply: usize,
    /// What is needed in all.
    pub needs: Amount,
    /// One length with its overlap, and how many; `None` for what is counted.
    pub lengths: Option<(Length, u32)>,
    /// What of it is there already; of a rest on hand only whole lengths count.
    pub on_hand: Amount,
    /// Packs to buy; lengths or single things, where it is not sold by the pack.
    pub packs: u32,
    /// What those cost.
    pub price: Option<Price>,
}

/// What the job costs. All amounts are of one currency, each rounded up to whole hundredths.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cost {
    /// For one copy, by what it uses up, bought or on hand; of several editions, for their mean copy.
    pub one: Outlay,
    /// For all wanted copies, by what is bought.
    pub all: Outlay,
    /// How many those are.
    pub copies: u32,
    /// Names of papers and supplies that have no price, and so are not counted.
    pub unpriced: Vec<String>,
}

/// What something costs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outlay {
    /// Paper and supplies.
    pub materials: Price,
    /// Minutes of work, where steps say them.
    pub minutes: Option<u32>,
    /// What the work is worth.
    pub work: Option<Price>,
    /// Overhead on both.
    pub overhead: Option<Price>,
    /// What to ask for it.
    pub asks: Option<Price>,
}

/// Something that goes into each bag.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitLine {
    /// What it is.
    pub name: String,
    /// What it is of: the stock's name, or nothing for supplies.
    pub of: Option<String>,
    /// How much of it goes into a bag, in words: `2`, `16 in`.
    pub each: String,
    /// Edition it is for; `None` for all.
    pub edition: Option<usize>,
}

/// Labels of the bags of one edition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BagLabels {
    /// Position of the edition.
    pub edition: usize,
    /// The lesson's title, or the job's name.
    pub title: String,
    /// Name of the edition; `None` where none is declared.
    pub edition_name: Option<String>,
    /// How many bags there are, one for each wanted copy; they are numbered from 1.
    pub bags: u32,
    /// What is in each, a line for each kind of thing: `2 x Lid, Moss card`.
    pub holds: Vec<String>,
}

/// The fewest parts that prove a fit.
#[derive(Debug, Clone, PartialEq)]
pub struct FitTest {
    /// Position of the assembly.
    pub assembly: usize,
    /// What is tried, in words: `the lid goes over the tray and lifts off`.
    pub proves: String,
    /// Pieces to cut and fold, each with how many of it.
    pub pieces: Vec<(usize, u32)>,
    /// The least room between parts, if there is any.
    pub free: Option<Length>,
}

/// Which way a strip of positions runs, for those who set several scores from one edge.
#[must_use]
pub const fn axis_of(fence: Edge) -> Axis {
    match fence {
        Edge::Left | Edge::Right => Axis::X,
        Edge::Top | Edge::Bottom => Axis::Y,
    }
}

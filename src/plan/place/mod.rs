//! Which rectangle goes where: the door behind which a layout engine stands.
//!
//! [`Placer`] is the door. It knows nothing of paper: a [`Request`] holds areas, obstacles and boxes in whole nanometres, a
//! [`Layout`] holds places. Margins, gaps, bleed, grain, patterns and marks have all been turned into areas, box sizes, obstacles
//! and allowed turns before, and [`check`](super::check()) judges the finished plan by the true outlines afterwards. So another
//! engine needs no more than this module's types.
//!
//! [`SimplePlacer`] is the engine of this version: `pattern` repeats well-filled sheets, `guillotine`, `shelf`, `max_rects` and
//! `exact` each fill one sheet, `pile` holds what is left to place, `strategy` lists what is tried, `simple`
//! tries it and `score` says which is best.

mod area;
mod exact;
mod guillotine;
mod max_rects;
mod pattern;
mod pile;
mod score;
mod shelf;
mod simple;
mod strategy;

pub use area::{Area, nm_above, nm_below};
pub use simple::SimplePlacer;

/// Lays boxes out on sheets.
///
/// An engine must return the same layout for the same request, whatever the number of threads, as long as it is not stopped.
pub trait Placer {
    /// Returns the best layout found.
    fn place(&self, request: &Request, watch: &dyn Watch) -> Placed;
}

/// What a [`Placer`] returns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placed {
    /// The layout.
    pub layout: Layout,
    /// Whether the search was stopped before its end.
    pub is_stopped: bool,
}

/// Looks on while a search runs, possibly from several threads at once.
pub trait Watch: Sync {
    /// Whether to stop with the best found so far.
    fn is_stopped(&self) -> bool {
        false
    }

    /// Takes note of progress: `done` of `all` steps.
    fn progress(&self, done: usize, all: usize) {
        let _ = (done, all);
    }
}

/// A [`Watch`] that never stops anything.
#[derive(Debug, Clone, Copy, Default)]
pub struct NoWatch;

impl Watch for NoWatch {}

/// What is to be laid out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Request {
    /// Kinds of sheets, in the order in which they are used up; the last kind is the one to spare.
    pub sheets: Vec<SheetKind>,
    /// Kinds of boxes.
    pub boxes: Vec<BoxKind>,
    /// Which layouts can be cut.
    pub cutting: Cutting,
}

/// A kind of sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetKind {
    /// Where boxes may lie.
    pub area: Area,
    /// Where they may not.
    pub obstacles: Vec<Area>,
    /// How many sheets there are; `None` is any number.
    pub limit: Option<u32>,
}

/// A kind of box. Boxes may touch each other, the area's edge and obstacles.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoxKind {
    /// Width before any turn.
    pub width_nm: i64,
    /// Height before any turn.
    pub height_nm: i64,
    /// How many are wanted.
    pub demand: u32,
    /// Turns allowed on each kind of sheet, in the order of [`Request::sheets`].
    pub turns: Vec<TurnSet>,
}

/// A set of quarter turns, clockwise as seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct TurnSet {
    allowed: [bool; 4],
}

impl TurnSet {
    /// No turn is allowed, not even none at all.
    pub const EMPTY: Self = Self {
        allowed: [false; 4],
    };
    /// Every quarter turn.
    pub const QUARTERS: Self = Self { allowed: [true; 4] };

    /// Returns the set of those turns for which `is_allowed` holds; turns are counted in quarters, 0 to 3.
    #[must_use]
    pub fn of(is_allowed: impl Fn(u8) -> bool) -> Self {
        Self {
            allowed: [0, 1, 2, 3].map(is_allowed),
        }
    }

    /// Whether that many quarter turns are allowed.
    #[must_use]
    pub fn has(self, quarters: u8) -> bool {
        self.allowed[usize::from(quarters % 4)]
    }

    /// The smallest allowed turn that leaves width and height where they are.
    #[must_use]
    pub fn upright(self) -> Option<u8> {
        [0, 2].into_iter().find(|q| self.has(*q))
    }

    /// The smallest allowed turn that swaps width and height.
    #[must_use]
    pub fn sideways(self) -> Option<u8> {
        [1, 3].into_iter().find(|q| self.has(*q))
    }
}

/// Returns the largest rectangles of a sheet that keep clear of its obstacles; they may overlap each other.
#[must_use]
pub fn free_areas(sheet: &SheetKind) -> Vec<Area> {
    max_rects::Free::new(sheet.area, sheet.obstacles.iter().copied()).into_areas()
}

/// Which layouts can be cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cutting {
    /// Any: a blade follows each outline.
    Free,
    /// Only those that come apart by straight cuts from edge to edge.
    EdgeToEdge,
}

/// Boxes on sheets.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Layout {
    /// Sheets, in the order of their kinds.
    pub sheets: Vec<FilledSheet>,
    /// How many of each kind of box found no place.
    pub leftovers: Vec<u32>,
}

/// One sheet, made once or more often.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FilledSheet {
    /// Position of its kind in [`Request::sheets`].
    pub kind: usize,
    /// How many of it.
    pub runs: u32,
    /// What lies on it, from top to bottom, then from left to right.
    pub places: Vec<Place>,
}

/// A box on a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// Position of its kind in [`Request::boxes`].
    pub kind: usize,
    /// Where it lies after the turn.
    pub area: Area,
    /// Quarter turns clockwise, 0 to 3.
    pub quarters: u8,
}

//! What is to be laid out.

use super::{Area, Best, TurnSet};

/// What is to be laid out, everything padded, in whole nanometres, y down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Request {
    /// Kinds of sheets: offcuts first, in the order in which they are used up.
    pub sheets: Vec<SheetKind>,
    /// Kinds of parts.
    pub parts: Vec<PartKind>,
    /// Which layouts can be cut.
    pub cutting: Cutting,
    /// Which layout is the best.
    pub best: Best,
    /// How much work is put in.
    pub effort: Effort,
}

/// A kind of sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetKind {
    /// Where parts may lie, in the sheet frame; the box of `outline` if there is one.
    pub area: Area,
    /// Where parts may lie if that is not the whole of `area`: an offcut of any shape. In the sheet frame.
    pub outline: Option<Shape>,
    /// Where they may not.
    pub obstacles: Vec<Area>,
    /// How many sheets there are; `None` is any number.
    pub limit: Option<u32>,
    /// Used up before whole sheets are opened.
    pub is_offcut: bool,
    /// Price of one in hundredths of the currency unit; 0 where there is none.
    pub price_hundredths: u64,
}

impl SheetKind {
    /// Whole sheets of which all of `area` is free: any number, without a price.
    #[must_use]
    pub const fn of(area: Area) -> Self {
        Self {
            area,
            outline: None,
            obstacles: Vec::new(),
            limit: None,
            is_offcut: false,
            price_hundredths: 0,
        }
    }
}

/// A kind of part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartKind {
    /// Width of its box before any turn.
    pub width_nm: i64,
    /// Height of its box before any turn.
    pub height_nm: i64,
    /// Its outline in the frame of that box, from 0 to width and height; `None` if it is the box itself.
    pub shape: Option<Shape>,
    /// How many are wanted.
    pub demand: u32,
    /// How many more are welcome on sheets that are opened anyway.
    pub spares: u32,
    /// How many one copy of the job takes.
    pub per_kit: u32,
    /// Turns allowed on each kind of sheet, in the order of [`Request::sheets`].
    pub turns: Vec<TurnSet>,
    /// Whether it may lie front down.
    pub may_mirror: bool,
}

impl PartKind {
    /// A box, one in a copy, without spares, that takes these turns on the only kind of sheet.
    #[must_use]
    pub fn boxed(width_nm: i64, height_nm: i64, demand: u32, turns: TurnSet) -> Self {
        Self {
            width_nm,
            height_nm,
            shape: None,
            demand,
            spares: 0,
            per_kit: 1,
            turns: vec![turns],
            may_mirror: false,
        }
    }
}

/// A polygon with holes. Rings are simple, run either way and do not repeat their first corner.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shape {
    /// Corners of the outer ring as x and y.
    pub outer: Vec<[i64; 2]>,
    /// Rings that are not part of it; other parts may lie in them.
    pub holes: Vec<Vec<[i64; 2]>>,
}

/// Which layouts can be cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cutting {
    /// Any: a blade follows each outline.
    Outlines,
    /// Any in which boxes stand in straight rows.
    Rows,
    /// Only those that come apart by straight cuts from edge to edge.
    EdgeToEdge {
        /// The longest cut the trimmer makes; `None` is any length. Longer ones are made only if parts found no place without.
        reach_nm: Option<i64>,
    },
}

/// How much work a search does. More work never gives a worse layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Effort {
    /// A glance.
    Quick,
    /// What a maker waits for.
    Usual,
    /// Over a cup of tea.
    Long,
}

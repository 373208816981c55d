//! Kinds of paper.

use std::fmt;

use super::{Axis, Reads};
use crate::diagnostic::Origin;
use crate::geometry::{Outline, mirror_about_x};
use crate::length::Size;

/// A kind of paper, or one offcut of a kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Declared id.
    pub id: String,
    /// Name for people; the id where none was given.
    pub name: String,
    /// PWG 5101.1 name of the sheet format, short side first whatever the orientation.
    pub format: String,
    /// Sheet width as it lies, face A up.
    pub width: Size,
    /// Sheet height as it lies.
    pub height: Size,
    /// Thickness of one sheet.
    pub caliper: Option<Size>,
    /// Grammage in grams per square metre.
    pub grammage_gsm: Option<f64>,
    /// Direction of the fibres on the sheet as it lies; `None` where the paper has none or it is not known.
    pub grain: Option<Axis>,
    /// Sheets on hand; `None` is as many as needed.
    pub on_hand: Option<u32>,
    /// Whether it can be seen through, as film can.
    pub is_clear: bool,
    /// Price of one sheet.
    pub price: Option<Price>,
    /// Face A, up as the sheet is declared.
    pub face_a: StockFace,
    /// Face B, seen after turning the sheet over left to right.
    pub face_b: StockFace,
    /// The kind this is an offcut of; offcuts are used before whole sheets of their kind.
    pub offcut_of: Option<usize>,
    /// The edge of an offcut that is no rectangle, face A up, with its box at the origin: for cutting, never printed.
    pub outline: Option<Outline>,
    /// Where it is declared.
    pub origin: Origin,
}

impl Stock {
    /// Whether nobody can tell its faces apart, so that it does not matter which of them lies up.
    #[must_use]
    pub fn has_faces_alike(&self) -> bool {
        match (&self.face_a, &self.face_b) {
            (StockFace::Plain, StockFace::Plain) | (StockFace::Printable, StockFace::Printable) => {
                true
            }
            (StockFace::Patterned { .. } | StockFace::Plain | StockFace::Printable, _) => false,
        }
    }

    /// The edge of an offcut that is no rectangle, seen from one of its faces with the box at the origin.
    #[must_use]
    pub fn edge_seen(&self, side: StockSide) -> Option<Outline> {
        let outline = self.outline.as_ref()?;
        Some(match side {
            StockSide::A => outline.clone(),
            StockSide::B => outline.transformed(mirror_about_x(self.width.to_mm() / 2.0)),
        })
    }

    /// Area of one sheet in square millimetres.
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        let whole = self.width.to_mm() * self.height.to_mm();
        self.outline.as_ref().map_or(whole, Outline::area_mm2)
    }

    /// One of the two faces.
    #[must_use]
    pub fn face(&self, side: StockSide) -> &StockFace {
        match side {
            StockSide::A => &self.face_a,
            StockSide::B => &self.face_b,
        }
    }
}

/// What one face of a stock is like.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StockFace {
    /// Nothing on it, and not for the printer.
    Plain,
    /// A bought pattern.
    Patterned {
        /// Its name for people.
        name: String,
        /// How it reads when turned.
        reads: Reads,
        /// The sheet edge at the pattern's top, seen from this face.
        up: Edge,
    },
    /// For the home printer.
    Printable,
}

/// One of the two faces of a stock.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum StockSide {
    /// Face A.
    A,
    /// Face B.
    B,
}

impl StockSide {
    /// The face behind this one.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::A => Self::B,
            Self::B => Self::A,
        }
    }
}

/// An edge of a sheet or piece, as seen from the face in question.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// The top edge.
    Top,
    /// The right edge.
    Right,
    /// The bottom edge.
    Bottom,
    /// The left edge.
    Left,
}

impl Edge {
    /// The one-word name used on pages and in files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Top => "top",
            Self::Right => "right",
            Self::Bottom => "bottom",
            Self::Left => "left",
        }
    }

    /// Quarter turns clockwise from the top: 0 to 3.
    #[must_use]
    pub const fn quarters(self) -> u8 {
        match self {
            Self::Top => 0,
            Self::Right => 1,
            Self::Bottom => 2,
            Self::Left => 3,
        }
    }
}

/// A price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Price {
    /// In hundredths of the currency unit.
    pub hundredths: u64,
    /// Currency as the user wrote it, e.g. `EUR`.
    pub currency: String,
}

impl fmt::Display for Price {
    /// `4.20 EUR`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whole, rest) = (self.hundredths / 100, self.hundredths % 100);
        write!(f, "{whole}.{rest:02} {}", self.currency)
    }
}

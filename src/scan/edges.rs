//! The four edges of the sheet.
//!
//! Every millimetre along a side the picture is sampled across it, from well outside to well inside. The sheet's edge is a rise from
//! a darker ground to the paper; a printed frame is one, too, so that the straight line of rises that lies outermost counts. A white
//! lid gives no such rise, and then nothing is guessed.

use kurbo::{Line, Point, Size};

use super::agreement::Kind;
use super::course::Course;
use super::picture::Picture;
use crate::diagnostic::Diagnostic;
use crate::fit::Homography;

/// Most scatter of a scan's edge about its line, as the median of the distances: beyond it corners were wrong by up to 5 mm.
pub(super) const MOST_SCATTER_MM: f64 = 0.04;

/// A side of the sheet, with its page upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Where the page's y is 0.
    Top,
    /// Where the page's x is its width.
    Right,
    /// Where the page's y is its height.
    Bottom,
    /// Where the page's x is 0.
    Left,
}

impl Side {
    /// All sides, clockwise from the top.
    pub const ALL: [Self; 4] = [Self::Top, Self::Right, Self::Bottom, Self::Left];

    fn name(self) -> &'static str {
        match self {
            Self::Top => "top",
            Self::Right => "right",
            Self::Bottom => "bottom",
            Self::Left => "left",
        }
    }

    /// The side's ends on a sheet of this size, clockwise.
    pub(super) fn ends(self, sheet: Size) -> (Point, Point) {
        let (w, h) = (sheet.width, sheet.height);
        match self {
            Self::Top => (Point::ZERO, Point::new(w, 0.0)),
            Self::Right => (Point::new(w, 0.0), Point::new(w, h)),
            Self::Bottom => (Point::new(w, h), Point::new(0.0, h)),
            Self::Left => (Point::new(0.0, h), Point::ZERO),
        }
    }
}

/// Why an edge is not known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum EdgeFault {
    /// Can occur if the picture ends at the sheet or within it.
    Outside,
    /// Can occur if nothing tells the paper from what lies behind it: a white lid.
    Unseen,
    /// Can occur if the places where it was seen do not lie on one line.
    Scattered {
        /// Median distance from the line in millimetres.
        scatter_mm: f64,
    },
}

/// What was seen of one edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// Which one.
    pub side: Side,
    /// Places on it in pixels, clockwise around the sheet; none if the edge was not seen.
    pub points: Vec<Point>,
    /// The straight line through them, from one end of the side to the other, clockwise; in pixels.
    pub line: Option<Line>,
    /// Median distance of the places from the line, in millimetres.
    pub scatter_mm: f64,
    /// How far the edge's middle lies outside the line between its ends, in millimetres: below zero if it is hollow.
    pub bow_mm: f64,
    /// How many grey values the paper is lighter than what lies behind it.
    pub contrast: f64,
    /// Why the edge is not to be used, if so.
    pub fault: Option<EdgeFault>,
}

/// The edges of the sheet in a picture.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetEdges {
    /// In the order of [`Side::ALL`].
    pub sides: [Edge; 4],
}

impl SheetEdges {
    /// Returns the corners in pixels, clockwise from the page's top left, if all edges are known.
    #[must_use]
    pub fn corners(&self) -> Option<[Point; 4]> {
        let line = |i: usize| self.sides[i].line.filter(|_| self.sides[i].fault.is_none());
        let corner = |a: usize, b: usize| line(a)?.crossing_point(line(b)?);
        Some([corner(3, 0)?, corner(0, 1)?, corner(1, 2)?, corner(2, 3)?])
    }

    /// Returns a warning for each edge that is not known.
    #[must_use]
    pub fn warnings(&self) -> Vec<Diagnostic> {
        self.sides
            .iter()
            .filter_map(|edge| Some(edge.fault?.warning(edge.side)))
            .collect()
    }
}

impl EdgeFault {
    fn warning(self, side: Side) -> Diagnostic {
        let name = side.name();
        match self {
            Self::Outside => Diagnostic::warning(
                "scan.edge-outside",
                format!("the sheet's {name} edge is not in the picture"),
            )
            .hint("let the picture show at least 1/8 in or 3 mm around the sheet"),
            Self::Unseen => Diagnostic::warning(
                "scan.edge-unseen",
                format!("the sheet's {name} edge cannot be told from what lies behind it"),
            )
            .hint("lay a dark sheet behind the page"),
            Self::Scattered { scatter_mm } => Diagnostic::warning(
                "scan.edge-scattered",
                format!(
                    "the sheet's {name} edge is not clear: its places scatter by {scatter_mm:.2} mm, more than {MOST_SCATTER_MM} mm"
                ),
            )
            .hint("lay a dark sheet behind the page, and press the page flat"),
        }
    }
}

/// Finds the sheet's edges near where a map puts those of its page.
#[must_use]
pub fn sheet_edges(
    picture: &Picture,
    picture_from_page: &Homography,
    sheet: Size,
    kind: Kind,
) -> SheetEdges {
    SheetEdges {
        sides: Side::ALL.map(|side| {
            let course = Course::new(picture_from_page, side, sheet);
            course.edge(picture, kind)
        }),
    }
}

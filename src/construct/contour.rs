//! The edge of a panel, drawn corner by corner in the panel's own frame.
//!
//! A panel that hangs on another stands on its crease: u runs along the crease, v away from it, and the contour begins and ends on v = 0,
//! so it runs clockwise as seen. The first panel of a net has no crease; its contour is drawn with x to the right and y down and begins
//! and ends at one corner. Millimetres; what is made from [`Length`]s is exact.

use kurbo::Point;

use crate::geometry::Way;
use crate::length::Length;

/// Edges of the first panel, where it is a rectangle.
pub(super) const TOP: usize = 0;
/// See [`TOP`].
pub(super) const RIGHT: usize = 1;
/// See [`TOP`].
pub(super) const BOTTOM: usize = 2;
/// See [`TOP`].
pub(super) const LEFT: usize = 3;

/// Edges of a flap with two corners: the one at which its crease begins (left of it, seen with the crease below).
pub(super) const FIRST: usize = 0;
/// The edge across from the crease.
pub(super) const FAR: usize = 1;
/// The edge at which the crease ends.
pub(super) const LAST: usize = 2;

/// A chain of edges.
#[derive(Debug, Clone)]
pub(super) struct Contour {
    pub(super) start: Point,
    pub(super) edges: Vec<Edge>,
}

/// One edge: from where the one before ended.
#[derive(Debug, Clone, Copy)]
pub(super) struct Edge {
    pub(super) to: Point,
    pub(super) run: Run,
    /// Radius of the corner at its end; 0 is sharp.
    pub(super) round_mm: f64,
    /// Diameter of the half circle cut into its middle; 0 is none.
    pub(super) notch_mm: f64,
}

/// How an edge runs.
#[derive(Debug, Clone, Copy)]
pub(super) enum Run {
    Straight,
    /// The shorter arc of a circle; its way is as seen, in every frame.
    Arc {
        radius_mm: f64,
        way: Way,
    },
}

impl Contour {
    /// Begins a contour at a point.
    pub(super) fn begin(start: (f64, f64)) -> Self {
        Self {
            start: start.into(),
            edges: Vec::new(),
        }
    }

    /// Draws a straight edge.
    pub(super) fn line(self, to: (f64, f64)) -> Self {
        self.edge(to, Run::Straight)
    }

    /// Draws an arc.
    pub(super) fn arc(self, to: (f64, f64), radius_mm: f64, way: Way) -> Self {
        self.edge(to, Run::Arc { radius_mm, way })
    }

    /// Rounds the corner at the end of the last edge, which is straight as the next one is.
    pub(super) fn round(mut self, radius_mm: f64) -> Self {
        let last = self.edges.last_mut();
        last.expect("an edge was drawn").round_mm = radius_mm;
        self
    }

    /// Cuts a half circle for a thumb into the middle of an edge.
    pub(super) fn notch(mut self, edge: usize, diameter: Length) -> Self {
        self.edges[edge].notch_mm = diameter.to_mm();
        self
    }

    fn edge(mut self, to: (f64, f64), run: Run) -> Self {
        self.edges.push(Edge {
            to: to.into(),
            run,
            round_mm: 0.0,
            notch_mm: 0.0,
        });
        self
    }

    /// Returns the rectangle that begins a net; its edges are [`TOP`], [`RIGHT`], [`BOTTOM`], [`LEFT`].
    pub(super) fn rectangle(width: Length, height: Length) -> Self {
        let (w_mm, h_mm) = (width.to_mm(), height.to_mm());
        Self::begin((0.0, 0.0))
            .line((w_mm, 0.0))
            .line((w_mm, h_mm))
            .line((0.0, h_mm))
            .line((0.0, 0.0))
    }

    /// Returns a square-cut flap that stands on its crease from `from` to `to`.
    pub(super) fn flap(from: Length, to: Length, depth: Length) -> Self {
        Self::tapered(from, to, depth, Length::ZERO)
    }

    /// Returns a flap whose far edge is shorter by `taper` at both ends.
    pub(super) fn tapered(from: Length, to: Length, depth: Length, taper: Length) -> Self {
        let (from_mm, to_mm) = (from.to_mm(), to.to_mm());
        let depth_mm = depth.to_mm();
        Self::begin((from_mm, 0.0))
            .line(((from + taper).to_mm(), depth_mm))
            .line(((to - taper).to_mm(), depth_mm))
            .line((to_mm, 0.0))
    }

    /// Returns a flap with its two far corners rounded.
    pub(super) fn rounded(from: Length, to: Length, depth: Length, radius: Length) -> Self {
        let mut flap = Self::flap(from, to, depth);
        flap.edges[FIRST].round_mm = radius.to_mm();
        flap.edges[FAR].round_mm = radius.to_mm();
        flap
    }

    /// Returns the corners in turn; the first panel's last corner is its first.
    pub(super) fn corners(&self) -> impl Iterator<Item = Point> + '_ {
        std::iter::once(self.start).chain(self.edges.iter().map(|edge| edge.to))
    }
}

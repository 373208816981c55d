//! The four edges of the sheet.
//!
//! Every millimetre along a side the picture is sampled across it, from well outside to well inside. The sheet's edge is a rise from
//! a darker ground to the paper; a printed frame is one, too, so that the straight line of rises that lies outermost counts. A white
//! lid gives no such rise, and then nothing is guessed.

use kurbo::{Line, Point, Size, Vec2};

use super::agreement::{Kind, count, px_per_mm};
use super::picture::Picture;
use super::profile::{Stretch, gradient, peak};
use super::ring::median;
use super::side_fit::{Curve, outermost};
use crate::diagnostic::Diagnostic;
use crate::fit::Homography;
use crate::math::hypot;

/// How far the edge may lie from where the page's marks put it: the printer's shift and scale, and the sheet's size.
const REACH_MM: f64 = 7.0;
const STATION_MM: f64 = 1.0;
/// Left out at either end of a side: the neighbouring side is near.
const CORNER_MM: f64 = 8.0;
/// Lines beside each other that are averaged.
const LANES: u32 = 5;
const STEP_PX: f64 = 0.5;
const FINE_STEP_PX: f64 = 0.25;
/// Half of the stretch about a rise in which its centroid is taken.
const FINE_REACH_MM: f64 = 0.25;
const LEAST_FINE_REACH_PX: f64 = 3.0;
/// Ground and paper are looked at from this far on either side of a rise, for so long.
const BESIDE_MM: f64 = 0.4;
const GROUND_MM: f64 = 2.0;
/// Grey values by which paper is lighter than the ground.
const LEAST_CONTRAST: f64 = 25.0;
/// Share of a side's stations that must show the edge.
const LEAST_SHARE: f64 = 0.5;
/// Most scatter of a scan's edge about its line, as the median of the distances: beyond it corners were wrong by up to 5 mm.
const MOST_SCATTER_MM: f64 = 0.04;

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
    fn ends(self, sheet: Size) -> (Point, Point) {
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

/// A side as it is expected: stations along it, each with a line across.
struct Course {
    side: Side,
    stations: Vec<Station>,
    length_mm: f64,
}

#[derive(Debug, Clone, Copy)]
struct Station {
    /// From the side's first end.
    along_mm: f64,
    at: Point,
    /// One pixel inwards.
    inwards: Vec2,
    px_per_mm: f64,
}

/// A rise from ground to paper at one station.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rise {
    pub(super) along_mm: f64,
    /// Inwards from the expected edge.
    pub(super) depth_mm: f64,
    pub(super) contrast: f64,
    pub(super) station: usize,
}

impl Course {
    fn new(map: &Homography, side: Side, sheet: Size) -> Self {
        let (from, to) = side.ends(sheet);
        let length_mm = hypot(to.x - from.x, to.y - from.y);
        let along = (to - from) / length_mm;
        let inwards = Vec2::new(-along.y, along.x);
        let mut stations = Vec::new();
        let mut along_mm = CORNER_MM;
        while along_mm <= length_mm - CORNER_MM {
            let on_page = from + along * along_mm;
            let (at, inside) = (map.apply(on_page), map.apply(on_page + inwards));
            let px_per_mm = px_per_mm(map, on_page);
            let arrow = (inside - at) / (inside - at).hypot2().sqrt();
            if at.is_finite() && arrow.is_finite() && px_per_mm.is_finite() {
                stations.push(Station {
                    along_mm,
                    at,
                    inwards: arrow,
                    px_per_mm,
                });
            }
            along_mm += STATION_MM;
        }
        Self {
            side,
            stations,
            length_mm,
        }
    }

    fn edge(&self, picture: &Picture, kind: Kind) -> Edge {
        let mut edge = Edge {
            side: self.side,
            points: Vec::new(),
            line: None,
            scatter_mm: f64::INFINITY,
            bow_mm: 0.0,
            contrast: 0.0,
            fault: Some(EdgeFault::Unseen),
        };
        let rises: Vec<Rise> = (0..self.stations.len())
            .flat_map(|i| self.rises(picture, i))
            .collect();
        let least = LEAST_SHARE * count(self.stations.len());
        let Some(chosen) = outermost(&rises, self.stations.len(), kind) else {
            if self.seen(picture) < LEAST_SHARE {
                edge.fault = Some(EdgeFault::Outside);
            }
            return edge;
        };
        let fine: Vec<(usize, f64)> = chosen
            .iter()
            .filter_map(|rise| Some((rise.station, self.fine_depth_mm(picture, rise)?)))
            .collect();
        let Some((curve, kept)) = Curve::through(&self.depths(&fine), kind) else {
            return edge;
        };
        if count(kept.len()) < least {
            return edge;
        }
        edge.contrast = median(chosen.iter().map(|r| r.contrast)).unwrap_or(0.0);
        edge.points = kept
            .iter()
            .map(|i| self.place(fine[*i].0, fine[*i].1))
            .collect();
        edge.bow_mm = -curve.bow_mm(self.length_mm);
        edge.line = Curve::line(&edge.points);
        edge.scatter_mm = self.scatter_mm(&edge);
        edge.fault = match kind {
            Kind::Scan if edge.scatter_mm > MOST_SCATTER_MM => Some(EdgeFault::Scattered {
                scatter_mm: edge.scatter_mm,
            }),
            Kind::Scan | Kind::Photo => None,
        };
        edge
    }

    /// Returns the share of stations of which a millimetre outside is in the picture.
    fn seen(&self, picture: &Picture) -> f64 {
        let is_seen = |s: &&Station| picture.holds(s.at - s.inwards * (1.0 * s.px_per_mm));
        count(self.stations.iter().filter(is_seen).count()) / count(self.stations.len().max(1))
    }

    fn depths(&self, fine: &[(usize, f64)]) -> Vec<(f64, f64)> {
        fine.iter()
            .map(|(station, depth_mm)| (self.stations[*station].along_mm, *depth_mm))
            .collect()
    }

    fn place(&self, station: usize, depth_mm: f64) -> Point {
        let station = &self.stations[station];
        station.at + station.inwards * (depth_mm * station.px_per_mm)
    }

    /// Returns the median distance of an edge's places from its line.
    fn scatter_mm(&self, edge: &Edge) -> f64 {
        let px_per_mm = median(self.stations.iter().map(|s| s.px_per_mm));
        let (Some(line), Some(px_per_mm)) = (edge.line, px_per_mm) else {
            return f64::INFINITY;
        };
        let along = (line.p1 - line.p0) / (line.p1 - line.p0).hypot2().sqrt();
        let away = edge.points.iter().map(|p| along.cross(*p - line.p0).abs());
        median(away).map_or(f64::INFINITY, |px| px / px_per_mm)
    }

    /// Returns the rises at a station from a darker ground to lighter paper.
    fn rises(&self, picture: &Picture, number: usize) -> Vec<Rise> {
        let station = &self.stations[number];
        let reach_px = REACH_MM * station.px_per_mm;
        let mut from_px = -reach_px;
        // The picture may end before the stretch does.
        while from_px < 0.0 && !self.is_inside(picture, station, from_px) {
            from_px += station.px_per_mm / 4.0;
        }
        let stretch = Stretch::new(
            station.at + station.inwards * from_px,
            station.inwards,
            reach_px - from_px,
            STEP_PX,
        );
        let Some(values) = stretch.values(picture, LANES) else {
            return Vec::new();
        };
        let per_mm = station.px_per_mm / STEP_PX;
        rise_places(&values, per_mm)
            .into_iter()
            .map(|(place, contrast)| Rise {
                along_mm: station.along_mm,
                depth_mm: (from_px + STEP_PX * place) / station.px_per_mm,
                contrast,
                station: number,
            })
            .collect()
    }

    fn is_inside(&self, picture: &Picture, station: &Station, depth_px: f64) -> bool {
        let aside = Vec2::new(-station.inwards.y, station.inwards.x) * f64::from(LANES);
        let at = station.at + station.inwards * depth_px;
        picture.holds(at + aside) && picture.holds(at - aside)
    }

    fn fine_depth_mm(&self, picture: &Picture, rise: &Rise) -> Option<f64> {
        let station = &self.stations[rise.station];
        let reach_px = (FINE_REACH_MM * station.px_per_mm).max(LEAST_FINE_REACH_PX);
        let from_px = rise.depth_mm * station.px_per_mm - reach_px;
        let stretch = Stretch::new(
            station.at + station.inwards * from_px,
            station.inwards,
            2.0 * reach_px,
            FINE_STEP_PX,
        );
        let found = peak(&gradient(&stretch.values(picture, LANES)?))?;
        Some((from_px + FINE_STEP_PX * found.at) / station.px_per_mm)
    }
}

/// Returns the steepest place of each rise from ground to paper in samples, with its contrast.
fn rise_places(values: &[f64], per_mm: f64) -> Vec<(f64, f64)> {
    let (beside, ground) = (samples(BESIDE_MM * per_mm), samples(GROUND_MM * per_mm));
    let reach = samples(per_mm / 8.0).max(1);
    let slope =
        |i: usize| values[(i + reach).min(values.len() - 1)] - values[i.saturating_sub(reach)];
    let mut out = Vec::new();
    for i in beside..values.len().saturating_sub(beside) {
        let is_steepest = (i.saturating_sub(beside)..=(i + beside).min(values.len() - 1))
            .all(|j| slope(j) < slope(i) || (j >= i && slope(j) <= slope(i)));
        if slope(i) < LEAST_CONTRAST / 4.0 || !is_steepest {
            continue;
        }
        let outside = &values[(i - beside).saturating_sub(ground)..=i - beside];
        let inside = &values[i + beside..(i + beside + ground).min(values.len())];
        let (Some(dark), Some(light)) = (
            median(outside.iter().copied()),
            median(inside.iter().copied()),
        ) else {
            continue;
        };
        if light - dark >= LEAST_CONTRAST {
            out.push((
                f64::from(u32::try_from(i).unwrap_or(u32::MAX)),
                light - dark,
            ));
        }
    }
    out
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a few millimetres of a picture"
)]
fn samples(count: f64) -> usize {
    count.round().clamp(1.0, 1e6) as usize
}

//! One side of the sheet, station by station.

use kurbo::{Point, Size, Vec2};

use super::agreement::{Kind, count, px_per_mm};
use super::edges::{Edge, EdgeFault, MOST_SCATTER_MM, Side};
use super::picture::Picture;
use super::profile::{Stretch, gradient, peak};
use super::ring::median;
use super::side_fit::{Curve, outermost};
use super::tone;
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
/// A side as it is expected: stations along it, each with a line across.
pub(super) struct Course {
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
    pub(super) fn new(map: &Homography, side: Side, sheet: Size) -> Self {
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

    pub(super) fn edge(&self, picture: &Picture, kind: Kind) -> Edge {
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
        let places: Vec<(usize, f64)> = kept.iter().map(|i| fine[*i]).collect();
        let shift_px = self.tone_shift_px(picture, &places);
        edge.contrast = median(chosen.iter().map(|r| r.contrast)).unwrap_or(0.0);
        edge.points = places
            .iter()
            .map(|(i, depth_mm)| self.stations[*i].place(*depth_mm, shift_px))
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
        let stretch = station.about(rise.depth_mm, station.fine_reach_px());
        let found = peak(&gradient(&stretch.values(picture, LANES)?))?;
        let from_px = rise.depth_mm * station.px_per_mm - station.fine_reach_px();
        Some((from_px + FINE_STEP_PX * found.at) / station.px_per_mm)
    }

    /// Returns how much further inwards the edge lies than it seems because of the picture's tone curve.
    fn tone_shift_px(&self, picture: &Picture, places: &[(usize, f64)]) -> f64 {
        let reach_px = places
            .iter()
            .map(|(i, _)| self.stations[*i].fine_reach_px())
            .fold(LEAST_FINE_REACH_PX, f64::max);
        let mut sum: Vec<f64> = Vec::new();
        let mut number = 0.0;
        for (i, depth_mm) in places {
            let stretch = self.stations[*i].about(*depth_mm, reach_px);
            let Some(values) = stretch.values(picture, LANES) else {
                continue;
            };
            sum.resize(values.len(), 0.0);
            sum.iter_mut().zip(values).for_each(|(s, v)| *s += v);
            number += 1.0;
        }
        let mean: Vec<f64> = sum.iter().map(|s| s / number).collect();
        FINE_STEP_PX * tone::shift(&mean)
    }
}

impl Station {
    /// Returns the place at a depth, and some pixels further inwards.
    fn place(&self, depth_mm: f64, further_px: f64) -> Point {
        self.at + self.inwards * (depth_mm * self.px_per_mm + further_px)
    }

    fn fine_reach_px(&self) -> f64 {
        (FINE_REACH_MM * self.px_per_mm).max(LEAST_FINE_REACH_PX)
    }

    /// The stretch across the edge that reaches as far to either side of a depth.
    fn about(&self, depth_mm: f64, reach_px: f64) -> Stretch {
        Stretch::new(
            self.place(depth_mm, -reach_px),
            self.inwards,
            2.0 * reach_px,
            FINE_STEP_PX,
        )
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

//! The loop that a band runs on, measured from the folded assembly.

use kurbo::{BezPath, Point, Shape};

use super::prism::trapezoids;
use super::{Folded, FoldedMember, FoldedPanel};
use crate::geometry::space::Vec3;
use crate::project::{Joint, JointKind, RunningBand, Surface};

/// Cosine above which a facet counts as lying along the core or across it.
const ALIGNED: f64 = 0.99;

/// The core and the loop round it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Track {
    /// Left turning edge of the core along x of the object's frame.
    left_mm: f64,
    /// Width of the core between its turning edges.
    pub(super) width_mm: f64,
    /// Height of the middle of the core.
    middle_mm: f64,
    /// Thickness of the core.
    pub(super) core_mm: f64,
    /// Thickness of the film.
    pub(super) film_mm: f64,
    /// Length of the loop: the film less what overlaps at its seam.
    pub(super) loop_mm: f64,
}

impl Track {
    /// Returns the loop of a band; `None` if core or band does not lie flat where it should.
    pub(super) fn of(folded: &Folded, band: &RunningBand) -> Option<Self> {
        let (core, film) = (
            folded.members.get(band.core)?,
            folded.members.get(band.band)?,
        );
        let flat = core.panels.iter().find(|panel| is_flat(panel))?;
        let middle_mm = flat.place.apply(Vec3::zeros()).z;
        let front = film
            .panels
            .iter()
            .find(|panel| is_flat(panel) && panel.place.apply(Vec3::zeros()).z > middle_mm)?;
        let (left_mm, right_mm) = narrowest(core, reach(front, &Vec3::y()))?;
        let overlap_mm = band.seam.to.to_mm() - band.seam.from.to_mm();
        Some(Self {
            left_mm,
            width_mm: right_mm - left_mm,
            middle_mm,
            core_mm: core.caliper_mm,
            film_mm: film.caliper_mm,
            loop_mm: length_mm(film, front) - overlap_mm,
        })
    }

    /// Length of the tightest loop: twice the core's width and thickness.
    pub(super) fn tightest_mm(&self) -> f64 {
        2.0 * (self.width_mm + self.core_mm)
    }

    /// Length of the loop at one turning edge.
    fn turn_mm(&self) -> f64 {
        self.loop_mm / 2.0 - self.width_mm
    }

    /// Returns the ends of the run that the middle of a stretch lies on; of the nearer one, where it lies on a turning edge.
    pub(super) fn run_of(&self, (from_mm, to_mm): (f64, f64)) -> (f64, f64) {
        let back_mm = self.loop_mm / 2.0;
        let start_mm = if f64::midpoint(from_mm, to_mm) < back_mm - self.turn_mm() / 2.0 {
            0.0
        } else {
            back_mm
        };
        (start_mm, start_mm + self.width_mm)
    }

    /// Whether a member lies before the core and not behind it.
    pub(super) fn is_front(&self, folded: &Folded, member: usize) -> bool {
        let panels = folded
            .members
            .get(member)
            .map_or(&[][..], |member| &member.panels);
        panels
            .first()
            .is_some_and(|panel| panel.place.apply(Vec3::zeros()).z > self.middle_mm)
    }

    /// Returns where along the loop a member is stuck to the band by a joint; `None` if there is no such panel.
    pub(super) fn strip(&self, folded: &Folded, joint: &Joint, other: usize) -> Option<(f64, f64)> {
        let (left_mm, right_mm) = across(folded, joint)?;
        let (a_mm, b_mm) = (left_mm - self.left_mm, right_mm - self.left_mm);
        if self.is_front(folded, other) {
            return Some((a_mm, b_mm));
        }
        let back_mm = self.loop_mm / 2.0;
        Some((
            back_mm + self.width_mm - b_mm,
            back_mm + self.width_mm - a_mm,
        ))
    }
}

/// Whether a panel lies flat: its faces look up and down.
fn is_flat(panel: &FoldedPanel) -> bool {
    panel.place.direct(Vec3::z()).z.abs() > ALIGNED
}

fn corners(panel: &FoldedPanel) -> impl Iterator<Item = Vec3> {
    panel
        .rings_mm
        .iter()
        .flatten()
        .map(|p| panel.place.apply(Vec3::new(p.x, p.y, 0.0)))
}

fn reach(panel: &FoldedPanel, direction: &Vec3) -> (f64, f64) {
    spread(corners(panel).map(|corner| corner.dot(direction)))
}

fn spread(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), v| {
        (least.min(v), most.max(v))
    })
}

/// Left and right edge of the core where the film runs round it: the least and the most of all strips of it at the film's height. Ears
/// that reach farther stand beside the film.
fn narrowest(core: &FoldedMember, (from_mm, to_mm): (f64, f64)) -> Option<(f64, f64)> {
    let middle_mm = f64::midpoint(from_mm, to_mm);
    let parts = core
        .panels
        .iter()
        .filter(|panel| is_flat(panel))
        .flat_map(|panel| {
            let parts = trapezoids(&panel.rings_mm).into_iter();
            parts.map(|part| part.map(|p| panel.place.apply(Vec3::new(p.x, p.y, 0.0))))
        });
    let beside = |part: &[Vec3; 4]| {
        let (least, most) = spread(part.iter().map(|corner| corner.y));
        least < middle_mm && middle_mm < most
    };
    let (left_mm, right_mm) = spread(parts.filter(beside).flatten().map(|corner| corner.x));
    (left_mm < right_mm).then_some((left_mm, right_mm))
}

/// Length of the flat film along the way it runs.
fn length_mm(film: &FoldedMember, front: &FoldedPanel) -> f64 {
    let along = front.place.inverse().direct(Vec3::x());
    let all = film
        .panels
        .iter()
        .flat_map(|panel| panel.rings_mm.iter().flatten());
    let (least, most) = spread(all.map(|p| p.x * along.x + p.y * along.y));
    most - least
}

/// From where to where along x the glue of a joint reaches.
fn across(folded: &Folded, joint: &Joint) -> Option<(f64, f64)> {
    let JointKind::Stuck { area, .. } = &joint.kind else {
        return None;
    };
    let panel = facet(folded, &joint.from, area.as_ref())?;
    let Some(area) = area else {
        return Some(reach(panel, &Vec3::x()));
    };
    let b = area.bounding_box();
    let corners = [(b.x0, b.y0), (b.x1, b.y0), (b.x1, b.y1), (b.x0, b.y1)];
    Some(spread(
        corners
            .iter()
            .map(|(x, y)| panel.place.apply(Vec3::new(*x, *y, 0.0)).x),
    ))
}

/// The facet of a surface that the middle of an area lies on.
fn facet<'a>(
    folded: &'a Folded,
    surface: &Surface,
    area: Option<&BezPath>,
) -> Option<&'a FoldedPanel> {
    let panels = &folded.members.get(surface.member)?.panels;
    let mut named = panels.iter().filter(|panel| panel.name == surface.panel);
    let Some(area) = area else {
        return named.next();
    };
    let middle = area.bounding_box().center();
    named.find(|panel| {
        panel
            .rings_mm
            .first()
            .is_some_and(|ring| holds(ring, middle))
    })
}

fn holds(ring: &[Point], point: Point) -> bool {
    let (xs, ys) = (
        spread(ring.iter().map(|p| p.x)),
        spread(ring.iter().map(|p| p.y)),
    );
    xs.0 <= point.x && point.x <= xs.1 && ys.0 <= point.y && point.y <= ys.1
}

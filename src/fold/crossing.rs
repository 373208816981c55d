//! Whether one panel passes through another.
//!
//! Two planes share a line; where both panels cover it, each is followed from there to both sides until it ends. The least of these four
//! ways, measured at right angles to the other plane, is how deep they are in each other. Edges that rest on a panel or meet in a corner
//! end there, so their depth is nothing; what is stacked shares no line and is looked at in `pressed`.

use std::collections::BTreeSet;

use kurbo::{Line, Point, Vec2};

use super::arrangement::crossing;
use super::region::sides;
use super::stand::{Stand, in_space};
use super::{FoldedPanel, code};
use crate::diagnostic::Diagnostic;
use crate::geometry::space::Vec3;
use crate::project::JointKind;

/// A panel by its member and its name.
pub(super) type PanelName<'a> = (usize, &'a str);

/// Planes that meet at less than a degree count as stacked.
const LEAST_SINE: f64 = 0.0175;

/// Farther than any panel reaches, in mm.
const FAR_MM: f64 = 1e6;

/// Parts of a shared stretch at which the depth is looked at.
const LOOKS: u32 = 9;

/// Returns how deep two panels are in each other in mm, middle of the paper in middle of the paper; `None` if they do not cross.
pub(super) fn penetration_mm(a: &FoldedPanel, b: &FoldedPanel) -> Option<f64> {
    let (n, m) = (a.place.direct(Vec3::z()), b.place.direct(Vec3::z()));
    let axis = n.cross(&m);
    let sine = axis.norm();
    if sine < LEAST_SINE || !boxes_touch(a, b) {
        return None;
    }
    let axis = axis / sine;
    let origin = on_both(a.place.shift, n, b.place.shift, m, axis);
    let shared = overlaps(&stretches(a, origin, axis), &stretches(b, origin, axis));
    let depth = |at: f64| {
        let ways = [(a, axis.cross(&n)), (b, axis.cross(&m))];
        let reach = ways.map(|(panel, across)| {
            let p = origin + axis * at;
            reach_mm(panel, p, across).min(reach_mm(panel, p, -across))
        });
        reach[0].min(reach[1]) * sine
    };
    let looks = shared.iter().flat_map(|(from, to)| {
        (1..=LOOKS).map(move |i| from + (to - from) * f64::from(i) / f64::from(LOOKS + 1))
    });
    looks
        .map(depth)
        .filter(|mm| *mm > 0.0)
        .max_by(f64::total_cmp)
}

/// Returns the point of both planes that is nearest to the object's origin.
fn on_both(p: Vec3, n: Vec3, q: Vec3, m: Vec3, axis: Vec3) -> Vec3 {
    let cosine = n.dot(&m);
    let (d, e) = (n.dot(&p), m.dot(&q));
    let rest = 1.0 - cosine * cosine;
    let point = n * ((d - e * cosine) / rest) + m * ((e - d * cosine) / rest);
    point - axis * point.dot(&axis)
}

fn boxes_touch(a: &FoldedPanel, b: &FoldedPanel) -> bool {
    let ends = |panel: &FoldedPanel| {
        let corners = panel.rings_mm[0].iter().map(|p| in_space(panel, *p));
        corners.fold(
            (Vec3::repeat(f64::MAX), Vec3::repeat(f64::MIN)),
            |(low, high), p| (low.inf(&p), high.sup(&p)),
        )
    };
    let ((a0, a1), (b0, b1)) = (ends(a), ends(b));
    (0..3).all(|i| a0[i] <= b1[i] && b0[i] <= a1[i])
}

/// Where a line in a panel's plane runs over the panel, as distances from its origin.
fn stretches(panel: &FoldedPanel, origin: Vec3, axis: Vec3) -> Vec<(f64, f64)> {
    let (p, u) = flat(panel, origin, axis);
    let line = Line::new(p - u * FAR_MM, p + u * FAR_MM);
    let mut at: Vec<f64> = panel
        .rings_mm
        .iter()
        .flat_map(|ring| {
            sides(ring)
                .filter(|side| {
                    u.cross(side.p0 - p) > 0.0 && u.cross(side.p1 - p) <= 0.0
                        || u.cross(side.p0 - p) <= 0.0 && u.cross(side.p1 - p) > 0.0
                })
                .collect::<Vec<_>>()
        })
        .filter_map(|side| crossing(line, side))
        .map(|(t, _)| (t * 2.0 - 1.0) * FAR_MM)
        .collect();
    at.sort_by(f64::total_cmp);
    at.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
}

/// A point and a direction in the panel's own frame.
fn flat(panel: &FoldedPanel, point: Vec3, direction: Vec3) -> (Point, Vec2) {
    let back = panel.place.inverse();
    let (p, u) = (back.apply(point), back.direct(direction));
    (Point::new(p.x, p.y), Vec2::new(u.x, u.y))
}

fn overlaps(a: &[(f64, f64)], b: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let both = a
        .iter()
        .flat_map(|x| b.iter().map(move |y| (x.0.max(y.0), x.1.min(y.1))));
    both.filter(|(from, to)| to > from).collect()
}

/// How far a panel goes on from a point in a direction before it ends.
fn reach_mm(panel: &FoldedPanel, point: Vec3, direction: Vec3) -> f64 {
    let (p, u) = flat(panel, point, direction);
    let ray = Line::new(p, p + u * FAR_MM);
    let all = panel
        .rings_mm
        .iter()
        .flat_map(|ring| sides(ring).collect::<Vec<_>>());
    let ends = all
        .filter_map(|side| crossing(ray, side))
        .map(|(t, _)| t * FAR_MM);
    ends.min_by(f64::total_cmp).unwrap_or(0.0)
}

/// Returns all flat panels with their members.
pub(super) fn all_panels<'a>(stand: &Stand<'a>) -> Vec<(usize, &'a FoldedPanel)> {
    let members = stand.folded.members.iter().enumerate();
    members
        .flat_map(|(m, member)| member.panels.iter().map(move |panel| (m, panel)))
        .collect()
}

/// Returns a finding for every two panels that pass through each other.
pub(super) fn findings(stand: &Stand<'_>) -> Vec<Diagnostic> {
    let panels = all_panels(stand);
    let mut deepest: Vec<(f64, PanelName<'_>, PanelName<'_>)> = Vec::new();
    for (i, (m, a)) in panels.iter().enumerate() {
        for (n, b) in &panels[..i] {
            let (one, other) = ((*n, b.name.as_str()), (*m, a.name.as_str()));
            if one == other || may_touch(stand, one, other) {
                continue;
            }
            let allowed_mm = stand.papers_mm(*m, *n) + stand.tolerance_mm();
            if let Some(depth_mm) = penetration_mm(a, b).filter(|mm| *mm > allowed_mm) {
                match deepest.iter_mut().find(|d| d.1 == one && d.2 == other) {
                    Some(same) => same.0 = same.0.max(depth_mm),
                    None => deepest.push((depth_mm, one, other)),
                }
            }
        }
    }
    deepest
        .into_iter()
        .map(|(mm, one, other)| finding(stand, mm, one, other))
        .collect()
}

/// Whether two panels hang together or are declared to lie on each other.
pub(super) fn may_touch(stand: &Stand<'_>, one: PanelName<'_>, other: PanelName<'_>) -> bool {
    if one.0 == other.0 && stand.are_hinged(one.0, one.1, other.1) {
        return true;
    }
    let pair = BTreeSet::from([one, other]);
    stand.assembly.joints.iter().any(|joint| match joint.kind {
        JointKind::Stuck { .. } | JointKind::Tuck { .. } => {
            let [a, b] = [&joint.from, &joint.to].map(|s| (s.member, s.panel.as_str()));
            pair == BTreeSet::from([a, b])
        }
        JointKind::Flush { .. }
        | JointKind::Meet { .. }
        | JointKind::Hinge
        | JointKind::Slide { .. } => false,
    })
}

fn finding(
    stand: &Stand<'_>,
    depth_mm: f64,
    one: PanelName<'_>,
    other: PanelName<'_>,
) -> Diagnostic {
    let (a, b) = (
        stand.panel_name(one.0, one.1),
        stand.panel_name(other.0, other.1),
    );
    let depth = stand.show(depth_mm);
    let message = format!("{a} passes {depth} through {b}");
    let hint = format!("make {a} or {b} {depth} shorter where they meet, or fold them apart");
    Diagnostic::error(code::CROSSING, message)
        .at(&stand.assembly.origin)
        .hint(hint)
}

#[cfg(test)]
mod tests {
    use super::super::trial::{assembly, member, net, only, project};
    use super::*;
    use crate::geometry::space::Rigid;
    use crate::math::Angle;

    fn panel(w_mm: f64, h_mm: f64, place: Rigid) -> FoldedPanel {
        let corners = [(0.0, 0.0), (w_mm, 0.0), (w_mm, h_mm), (0.0, h_mm)];
        FoldedPanel {
            name: "face".to_owned(),
            rings_mm: vec![corners.map(Point::from).to_vec()],
            place,
        }
    }

    /// Stands on its long side above y = `y_mm`, its lower edge at `z_mm`: the panel's y is up.
    fn upright(y_mm: f64, z_mm: f64) -> Rigid {
        let up = Rigid::about(Vec3::zeros(), Vec3::x(), Angle::from_deg(90.0));
        Rigid::shift(10.0, y_mm, z_mm).after(&up)
    }

    #[test]
    fn a_wall_is_as_deep_in_a_floor_as_it_stands_below_it() {
        let floor = panel(60.0, 40.0, Rigid::identity());
        let wall = |z_mm| panel(30.0, 20.0, upright(20.0, z_mm));
        assert!((penetration_mm(&floor, &wall(-3.0)).unwrap() - 3.0).abs() < 1e-9);
        assert!((penetration_mm(&wall(-3.0), &floor).unwrap() - 3.0).abs() < 1e-9);
        // Standing on it, beside it, or a wall at its very edge.
        assert_eq!(penetration_mm(&floor, &wall(0.0)), None);
        assert_eq!(
            penetration_mm(&floor, &panel(30.0, 20.0, upright(45.0, -3.0))),
            None
        );
        assert!(
            penetration_mm(&floor, &panel(30.0, 20.0, upright(39.8, -3.0))).unwrap() < 0.2 + 1e-9
        );
    }

    #[test]
    fn stacked_sheets_do_not_cross_and_a_slanted_one_does() {
        let floor = panel(60.0, 40.0, Rigid::identity());
        assert_eq!(
            penetration_mm(&floor, &panel(60.0, 40.0, Rigid::shift(5.0, 5.0, 0.1))),
            None
        );
        // Through the middle of the floor at 30 degrees, 20 mm to both sides of the line: 20 sin 30 deg.
        let slanted = Rigid::about(Vec3::new(0.0, 20.0, 0.0), Vec3::x(), Angle::from_deg(30.0));
        assert!((penetration_mm(&floor, &panel(60.0, 40.0, slanted)).unwrap() - 10.0).abs() < 1e-9);
    }

    #[test]
    fn a_panel_in_the_notch_of_another_does_not_cross_it() {
        let mut comb = panel(60.0, 40.0, Rigid::identity());
        comb.rings_mm = vec![
            [
                (0.0, 0.0),
                (60.0, 0.0),
                (60.0, 40.0),
                (41.0, 40.0),
                (41.0, 10.0),
                (9.0, 10.0),
                (9.0, 40.0),
                (0.0, 40.0),
            ]
            .map(Point::from)
            .to_vec(),
        ];
        let wall = panel(30.0, 20.0, upright(20.0, -10.0));
        assert_eq!(penetration_mm(&comb, &wall), None);
        assert!(
            (penetration_mm(&comb, &panel(30.0, 20.0, upright(5.0, -10.0))).unwrap() - 5.0).abs()
                < 1e-9
        );
    }

    #[test]
    fn a_divider_through_the_floor_of_its_box_is_told_by_name() {
        let card = |id: &str, h: f64| {
            net(
                id,
                &format!("M0 0 H60 V{h} H0 Z"),
                &[],
                &[("face", (5.0, 5.0))],
            )
        };
        let mut divider = member(1, "divider", "face", (0.0, 0.0, 0.0));
        divider.pose = upright(20.0, -2.0);
        let mut project = project(vec![card("floor", 40.0), card("divider", 20.0)]);
        project.assemblies = vec![assembly(
            vec![member(0, "floor", "face", (0.0, 0.0, 0.0)), divider],
            Vec::new(),
        )];
        let found = only(super::super::prove(&project));
        assert_eq!(
            found.message,
            "\"floor:face\" passes 2 mm through \"divider:face\""
        );
    }
}

//! Whether papers that lie on each other have room for their thickness.
//!
//! Panels in nearly one plane share no line along which one could pass through the other, so what they share is looked at as an area: there
//! the middles of two papers must be as far apart as the papers are thick. What is stuck or tucked in is measured with its joint.

use kurbo::Point;

use super::crossing::{PanelName, all_panels, may_touch};
use super::stand::Stand;
use super::{FoldedPanel, code};
use crate::diagnostic::Diagnostic;
use crate::geometry::areas::{Ring, shared, thickness_of};
use crate::geometry::space::{Rigid, Vec3};

/// Planes whose directions have a greater cosine lie along each other, to a degree.
const ALONG: f64 = 0.999_85;

/// Returns what two flat areas share, seen along the normal of the first, in the frame of the first; slivers left out.
pub(super) fn shared_areas(
    (rings, place): (&[Ring], &Rigid),
    (others, their_place): (&[Ring], &Rigid),
    sliver_mm: f64,
) -> Vec<Vec<Ring>> {
    let map = place.inverse().after(their_place);
    let laid: Vec<Ring> = others
        .iter()
        .map(|ring| ring.iter().map(|p| flat(&map, *p)).collect())
        .collect();
    if !boxes_touch(rings, &laid) {
        return Vec::new();
    }
    let mut parts = shared(rings, &laid);
    parts.retain(|part| thickness_of(part) > sliver_mm);
    parts
}

fn flat(map: &Rigid, p: Point) -> Point {
    let at = map.apply(Vec3::new(p.x, p.y, 0.0));
    Point::new(at.x, at.y)
}

fn boxes_touch(a: &[Ring], b: &[Ring]) -> bool {
    let ends = |rings: &[Ring], of: fn(&Point) -> f64| {
        let all = rings.iter().flatten().map(of);
        all.fold((f64::MAX, f64::MIN), |(low, high), v| {
            (low.min(v), high.max(v))
        })
    };
    let axes: [fn(&Point) -> f64; 2] = [|p| p.x, |p| p.y];
    axes.into_iter().all(|of| {
        let (a, b) = (ends(a, of), ends(b, of));
        a.0 < b.1 && b.0 < a.1
    })
}

/// Returns how near the middles of two panels come where they lie on each other; `None` where they do not.
fn apart_mm(a: &FoldedPanel, b: &FoldedPanel, near_mm: f64, sliver_mm: f64) -> Option<f64> {
    let (n, m) = (a.place.direct(Vec3::z()), b.place.direct(Vec3::z()));
    let height = |p: Vec3| (p - b.place.shift).dot(&m);
    let is_far = || {
        let corners = a.rings_mm[0].iter();
        let heights = corners.map(|p| height(super::stand::in_space(a, *p)));
        let (low, high) = heights.fold((f64::MAX, f64::MIN), |(low, high), h| {
            (low.min(h), high.max(h))
        });
        low > near_mm || high < -near_mm
    };
    if n.dot(&m).abs() < ALONG || is_far() {
        return None;
    }
    let parts = shared_areas((&a.rings_mm, &a.place), (&b.rings_mm, &b.place), sliver_mm);
    let corners = parts.iter().flatten().flatten();
    let heights = corners.map(|p| height(a.place.apply(Vec3::new(p.x, p.y, 0.0))));
    let (low, high) = heights.fold((f64::MAX, f64::MIN), |(low, high), h| {
        (low.min(h), high.max(h))
    });
    if low > high {
        None
    } else if low < 0.0 && high > 0.0 {
        Some(0.0)
    } else {
        Some(low.abs().min(high.abs()))
    }
}

/// Returns a finding for every two panels that lie in each other.
pub(super) fn findings(stand: &Stand<'_>) -> Vec<Diagnostic> {
    let panels = all_panels(stand);
    let mut nearest: Vec<(f64, PanelName<'_>, PanelName<'_>)> = Vec::new();
    for (i, (m, a)) in panels.iter().enumerate() {
        for (n, b) in &panels[..i] {
            let (one, other) = ((*n, b.name.as_str()), (*m, a.name.as_str()));
            if one == other || may_touch(stand, one, other) {
                continue;
            }
            let least_mm = stand.papers_mm(*m, *n) - stand.give_mm(*m, *n);
            let apart_mm = apart_mm(a, b, least_mm, stand.tolerance_mm());
            if let Some(apart_mm) = apart_mm.filter(|mm| *mm < least_mm) {
                match nearest.iter_mut().find(|d| d.1 == one && d.2 == other) {
                    Some(same) => same.0 = same.0.min(apart_mm),
                    None => nearest.push((apart_mm, one, other)),
                }
            }
        }
    }
    nearest
        .into_iter()
        .map(|(mm, one, other)| finding(stand, mm, one, other))
        .collect()
}

fn finding(
    stand: &Stand<'_>,
    apart_mm: f64,
    one: PanelName<'_>,
    other: PanelName<'_>,
) -> Diagnostic {
    let [a, b] = [one, other].map(|(member, panel)| stand.panel_name(member, panel));
    let papers_mm = stand.papers_mm(one.0, other.0);
    let (apart, papers) = (stand.show(apart_mm), stand.show(papers_mm));
    let message = format!(
        "{b} lies in {a}: the middles of their papers are {apart} apart, and {papers} is the least"
    );
    let off = stand.show(papers_mm - apart_mm);
    let hint = format!(
        "move {a} or {b} by {off}, or say by a joint which lies on the other: kind = \"stuck\" or \"tuck\""
    );
    Diagnostic::error(code::CROSSING, message)
        .at(&stand.assembly.origin)
        .hint(hint)
}

#[cfg(test)]
mod tests {
    use super::super::trial::{assembly, joint, member, net, only, project, proved, surface};
    use super::*;
    use crate::project::{Face, JointKind};

    /// Two cards of 0.3 mm, the second `at` there.
    fn cards(at: (f64, f64, f64), is_hinged: bool) -> Vec<Diagnostic> {
        let card = |id: &str| net(id, "M0 0 H60 V40 H0 Z", &[], &[("face", (5.0, 5.0))]);
        let (a, b) = (
            surface(1, "face", Face::Front),
            surface(0, "face", Face::Front),
        );
        let hinge = is_hinged.then(|| joint(JointKind::Hinge, a, b));
        let mut project = project(vec![card("box"), card("lid")]);
        let members = vec![
            member(0, "box", "face", (0.0, 0.0, 0.0)),
            member(1, "lid", "face", at),
        ];
        project.assemblies = vec![assembly(members, hinge.into_iter().collect())];
        super::super::prove(&project)
    }

    #[test]
    fn a_card_in_another_is_found_and_one_on_it_or_beside_it_is_not() {
        assert_eq!(cards((5.0, 5.0, 0.3), false), []);
        assert_eq!(cards((60.0, 0.0, 0.0), false), []);
        // By no more than a trimmer errs: 0.05 mm of paper over the edge of the other, or too near.
        assert_eq!(cards((59.95, 0.0, 0.0), false), []);
        assert_eq!(cards((5.0, 5.0, 0.25), false), []);
        let found = only(cards((5.0, 5.0, 0.1), false));
        assert_eq!(
            (found.code, found.message.as_str()),
            (
                code::CROSSING,
                "\"lid:face\" lies in \"box:face\": the middles of their papers are 0.1 mm apart, and 0.3 mm is the least"
            )
        );
        assert!(found.hints[0].contains("by 0.2 mm"), "{found:?}");
    }

    #[test]
    fn pieces_that_turn_about_one_edge_and_lie_in_each_other_are_found() {
        assert_eq!(cards((0.0, 40.0, 0.0), true), []);
        let found = only(cards((0.0, 0.0, 0.0), true));
        assert_eq!(found.code, code::CROSSING);
    }

    #[test]
    fn walls_that_come_down_on_one_plane_are_found() {
        // A tube of 30 x 20 mm with bottom flaps on two walls, 20 mm deep and folded in at one height: they share 10 mm.
        let tube = net(
            "tube",
            "M0 0 H100 V50 H80 V70 H50 V50 H30 V65 H0 Z",
            &[
                ("M30 0 V50", 90.0),
                ("M50 0 V50", 90.0),
                ("M80 0 V50", 90.0),
                ("M0 50 H30", 90.0),
                ("M50 50 H80", 90.0),
            ],
            &[
                ("front", (15.0, 25.0)),
                ("front-flap", (15.0, 55.0)),
                ("back-flap", (65.0, 60.0)),
            ],
        );
        let found = only(proved(tube, "front", Vec::new()));
        assert_eq!(
            found.message,
            "\"tube:front-flap\" lies in \"tube:back-flap\": the middles of their papers are 0 mm apart, and 0.3 mm is the least"
        );
    }

    #[test]
    fn flaps_folded_flat_lie_in_the_order_they_are_named_and_what_is_glued_lies_below() {
        // An envelope whose closing flap is named first and reaches over the glued back.
        let envelope = net(
            "envelope",
            "M15 -40 H115 V0 L130 5 V65 L115 70 V120 H15 V70 L0 65 V5 L15 0 Z",
            &[
                ("M15 0 H115", 180.0),
                ("M15 0 V70", 180.0),
                ("M115 0 V70", 180.0),
                ("M15 70 H115", 180.0),
            ],
            &[
                ("close", (60.0, -10.0)),
                ("front", (60.0, 30.0)),
                ("left", (7.0, 30.0)),
                ("right", (123.0, 30.0)),
                ("back", (60.0, 100.0)),
            ],
        );
        let glued = |side| {
            joint(
                super::super::trial::stuck(),
                surface(0, "back", Face::Back),
                surface(0, side, Face::Front),
            )
        };
        let joints = vec![glued("left"), glued("right")];
        let errors = |found: Vec<Diagnostic>| {
            let errors = found.into_iter().filter(Diagnostic::is_error);
            errors.map(|f| f.message).collect::<Vec<_>>()
        };
        let folded =
            super::super::trial::folded(envelope.clone(), "front", joints.clone()).unwrap();
        let height = |panel: &str, at| super::super::trial::lies(&folded, panel, at).2;
        // Front 0, sides 0.3, back 0.6, and the closing flap on all of them.
        assert!((height("back", (20.0, 100.0)) - 0.6).abs() < 1e-9);
        assert!((height("close", (60.0, -10.0)) - 0.9).abs() < 1e-9);
        // The back is glued only where it lies on the side flaps, so its whole outline does not land.
        assert!(
            errors(proved(envelope, "front", joints))
                .iter()
                .all(|m| !m.contains("lies in"))
        );
    }

    #[test]
    fn a_sheet_rolled_up_flat_has_its_inner_leaf_between_the_others() {
        // Three leaves, each folded onto the last: 60, then 55, then 50 mm wide.
        let sheet = net(
            "leaflet",
            "M0 0 H165 V40 H0 Z",
            &[("M60 0 V40", 180.0), ("M115 0 V40", 180.0)],
            &[
                ("cover", (30.0, 20.0)),
                ("middle", (80.0, 20.0)),
                ("inner", (130.0, 20.0)),
            ],
        );
        assert_eq!(proved(sheet.clone(), "cover", Vec::new()), []);
        let folded = super::super::trial::folded(sheet, "cover", Vec::new()).unwrap();
        let height = |panel: &str, at| super::super::trial::lies(&folded, panel, at).2;
        assert!((height("inner", (130.0, 20.0)) - 0.3).abs() < 1e-9);
        assert!((height("middle", (80.0, 20.0)) - 0.6).abs() < 1e-9);
    }
}

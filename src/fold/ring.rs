//! Panels that hang together in a ring, as at a corner with a web: whether the crease that was left out of the walk closes it.

use std::collections::BTreeSet;

use super::code;
use super::net::{Hinge, HingeBy};
use super::pose::{Closing, Walk, crease_deg, list, turned, way};
use super::words::Words;
use crate::diagnostic::Diagnostic;
use crate::geometry::space::Vec3;
use crate::math::atan2;

impl Walk<'_> {
    /// Creases between panels that hang on each other another way already: those that close, and a finding for each that does not.
    pub(super) fn rings(
        &self,
        tolerance_mm: f64,
        words: &Words<'_>,
    ) -> (Vec<Closing>, Vec<Diagnostic>) {
        let mut seen = BTreeSet::new();
        let (mut closing, mut found) = (Vec::new(), Vec::new());
        for hinge in &self.net.hinges {
            let [a, b] = hinge.facets.map(|f| self.net.facets[f].panel);
            let HingeBy::Crease(crease) = hinge.by else {
                continue;
            };
            if self.is_branch(a, b) || !self.is_reached[a] || !seen.insert((a.min(b), a.max(b))) {
                continue;
            }
            let declared_deg = crease_deg(self.piece, crease);
            let off_mm = if self.is_declared(hinge) {
                self.off_mm(hinge, declared_deg)
            } else {
                self.gap_mm(hinge)
            };
            let folded_deg = self.folded_deg(hinge);
            let off_mm = off_mm.unwrap_or(f64::INFINITY);
            if off_mm > tolerance_mm {
                found.push(self.ring(hinge, crease, off_mm, words));
            } else {
                let mountain_deg = if self.is_declared(hinge) {
                    declared_deg
                } else {
                    folded_deg
                };
                closing.push(Closing {
                    panels: [a, b],
                    mountain_deg,
                });
            }
        }
        (closing, found)
    }

    fn ring(&self, hinge: &Hinge, crease: usize, off_mm: f64, words: &Words<'_>) -> Diagnostic {
        let [a, b] = hinge.facets.map(|f| self.net.facets[f].panel);
        let name = |p: usize| words.panel(&self.net.panels[p].name);
        let names = list(way(&self.branches, a, b).into_iter().map(name));
        let message = format!(
            "{names} hang together in a ring of creases, and folded as they are said to {} and {} come {} apart at theirs",
            name(a),
            name(b),
            words.show(off_mm)
        );
        let gap_mm = self.gap_mm(hinge).unwrap_or(f64::INFINITY);
        let hint = if gap_mm < off_mm / 2.0 {
            let deg = self.folded_deg(hinge);
            let fold = if deg < 0.0 { "valley" } else { "mountain" };
            format!(
                "the others fold that crease by {:.0} degrees: write fold = \"{fold}\" and folds_to = \"{:.0} deg\"",
                deg.abs(),
                deg.abs()
            )
        } else {
            "say with folds_to how far each is folded (180 deg for a web that lies flat on a wall and for its diagonal), or cut one of \
             the creases through"
                .to_owned()
        };
        let origin = &self.piece.operations[crease].origin;
        Diagnostic::error(code::RING, message).at(origin).hint(hint)
    }

    /// How far the second facet of a hinge lies at most from where the first one and the fold between them would have it.
    fn off_mm(&self, hinge: &Hinge, mountain_deg: f64) -> Option<f64> {
        let [a, b] = hinge.facets;
        let (from, to) = (self.places[a]?, self.places[b]?);
        let wanted = from.after(&turned(hinge, b, mountain_deg));
        let corners = self.net.facets[b].rings_mm.iter().flatten();
        let off = corners.map(|p| {
            let p = Vec3::new(p.x, p.y, 0.0);
            (wanted.apply(p) - to.apply(p)).norm()
        });
        off.max_by(f64::total_cmp)
    }

    /// How far a hinge has come to be folded, in degrees.
    fn folded_deg(&self, hinge: &Hinge) -> f64 {
        let [a, b] = hinge.facets;
        let (Some(from), Some(to)) = (self.places[a], self.places[b]) else {
            return 0.0;
        };
        let normal = from.inverse().after(&to).direct(Vec3::z());
        let way = hinge.line.p1 - hinge.line.p0;
        // The axis about which the second facet turns as a mountain.
        let axis = Vec3::new(-way.x, -way.y, 0.0).normalize();
        atan2(axis.dot(&Vec3::z().cross(&normal)), normal.z).to_degrees()
    }
}

#[cfg(test)]
mod tests {
    use super::super::code;
    use super::super::trial::{assert_near, folded, lies, net, only, proved};
    use crate::project::Piece;

    /// The corner of a tray: bottom, two walls 20 mm high, and between them a web in two halves. How far the web is folded from the front
    /// wall, at its diagonal, and from the left wall.
    fn corner(front: f64, diagonal: f64, left: f64) -> Piece {
        let creases = [
            ("M20 20 H60", 90.0),
            ("M20 20 V60", 90.0),
            ("M20 0 V20", front),
            ("M0 0 L20 20", diagonal),
            ("M0 20 H20", left),
        ];
        let panels = [
            ("bottom", (40.0, 40.0)),
            ("front", (40.0, 10.0)),
            ("left", (10.0, 40.0)),
            ("web-front", (15.0, 5.0)),
            ("web-left", (5.0, 15.0)),
        ];
        net("tray", "M0 0 H60 V60 H0 Z", &creases, &panels)
    }

    #[test]
    fn a_web_folded_against_a_wall_is_an_ordinary_corner() {
        // Outside the front wall: the web's first half by a valley onto it, the second onto that, the left wall's edge at the corner.
        let outside = corner(-180.0, 180.0, 90.0);
        assert_eq!(proved(outside.clone(), "bottom", Vec::new()), []);
        let folded = folded(outside, "bottom", Vec::new()).unwrap();
        // Both walls stand up to 20 mm; the web lies before the front wall, a paper and two papers off its middle.
        assert_near(lies(&folded, "left", (0.0, 60.0)), (20.0, 60.0, 20.0));
        assert_near(lies(&folded, "web-front", (0.0, 0.0)), (40.0, 19.7, 20.0));
        assert_near(lies(&folded, "web-left", (0.0, 0.0)), (40.0, 19.4, 20.0));
        // Inside the box it is as good, and so it is from another root.
        assert_eq!(
            proved(corner(180.0, -180.0, 90.0), "bottom", Vec::new()),
            []
        );
        assert_eq!(proved(corner(180.0, -180.0, 90.0), "left", Vec::new()), []);
    }

    #[test]
    fn a_web_that_cannot_close_is_told() {
        let found = only(proved(corner(90.0, 90.0, 90.0), "bottom", Vec::new()));
        assert_eq!(found.code, code::RING);
        assert!(
            found.message.contains("hang together in a ring of creases"),
            "{found:?}"
        );
        assert!(found.hints[0].contains("folds_to"), "{found:?}");
    }

    #[test]
    fn a_crease_that_the_others_fold_otherwise_is_told_how_far() {
        let found = only(proved(corner(-180.0, 180.0, 45.0), "bottom", Vec::new()));
        assert_eq!(found.code, code::RING);
        let mut undeclared = corner(-180.0, 180.0, 45.0);
        undeclared.operations[4].folds_to = None;
        assert_eq!(proved(undeclared, "bottom", Vec::new()), []);
    }
}

//! The tag: one leaf, or two folded over, with a hole for the string and perhaps a ring that strengthens it.

use kurbo::{Affine, BezPath, Point, Rect};

use super::blank::{Drawn, Leaf, Net, Up};
use super::contour::{Contour, TOP};
use super::flat::{
    AJAR_DEG, WEB_UM, covers, fitted, laid_on, lying_front_up, part, sizes, standing, stuck,
};
use super::joint::{assembly, inside, member, outside};
use super::limits::{refused_above, refused_calipers, refused_sizes};
use super::{Construction, Given, Kind, Made, Parameter, ParameterKind, Refusal, Usual};
use crate::geometry::shape::circle;
use crate::geometry::space::Rigid;
use crate::length::Length;
use crate::project::{Axis, Edges, Fact, Fold, Member, Panel};

/// The tag.
pub(super) const KIND: Kind = Kind {
    name: "tag",
    title: "Tag",
    about: "A tag to tie on: square, rounded or clipped corners, a hole with or without a ring round it, single or folded over.",
    codes: "",
    dimensions: 2,
    sized_by: &["outside"],
    usual_ease: super::USUAL_EASE,
    parameters: &[
        Parameter {
            key: "corners",
            kind: ParameterKind::Choice(&["clipped", "round", "square"]),
            usual: Usual::Word("clipped"),
            scales: false,
            about: "clipped takes the two corners beside the hole (all free corners of a folded tag), round takes all free corners",
        },
        Parameter {
            key: "corner",
            kind: ParameterKind::Length,
            usual: Usual::Length {
                metric: "6 mm",
                inch: "1/4 in",
            },
            scales: true,
            about: "what a clipped corner loses along both edges, or the radius of a round one",
        },
        Parameter {
            key: "fold",
            kind: ParameterKind::Choice(&["none", "top", "left"]),
            usual: Usual::Word("none"),
            scales: false,
            about: "where a tag of two leaves is folded; its size is that of one leaf",
        },
        Parameter {
            key: "hole",
            kind: ParameterKind::Length,
            usual: Usual::Length {
                metric: "5 mm",
                inch: "3/16 in",
            },
            scales: false,
            about: "diameter of the hole; 0 is none",
        },
        Parameter {
            key: "hole_from_top",
            kind: ParameterKind::Length,
            usual: Usual::Length {
                metric: "12 mm",
                inch: "1/2 in",
            },
            scales: false,
            about: "from the top edge to the middle of the hole",
        },
        Parameter {
            key: "ring",
            kind: ParameterKind::Flag,
            usual: Usual::Word("no"),
            scales: false,
            about: "whether a ring is stuck round the hole",
        },
        Parameter {
            key: "ring_width",
            kind: ParameterKind::Length,
            usual: Usual::Length {
                metric: "3 mm",
                inch: "1/8 in",
            },
            scales: false,
            about: "from the hole to the ring's edge",
        },
    ],
    pieces: &["tag", "ring"],
    build,
};

/// How the corners are cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Corners {
    Square,
    Round,
    Clipped,
}

/// Where the second leaf hangs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum FoldAt {
    None,
    Top,
    Left,
}

/// A tag solved on the hand grid.
struct Tag {
    width: Length,
    height: Length,
    corners: Corners,
    corner: Length,
    fold: FoldAt,
    /// Diameter and distance of its middle from the top.
    hole: Option<(Length, Length)>,
    ring_width: Option<Length>,
}

fn build(given: &Given<'_>) -> Result<Construction, Vec<Refusal>> {
    let asked = sizes(given);
    let tag = Tag::solve(given, asked[0], asked[1]);
    let refusals = tag.refusals(given);
    if !refusals.is_empty() {
        return Err(refusals);
    }
    let drawn = tag.draw().map_err(|refusal| vec![refusal])?;
    let pose = match tag.fold {
        FoldAt::None => lying_front_up(),
        FoldAt::Top | FoldAt::Left => standing(),
    };
    let mut members = vec![member(0, &drawn, "front", pose)];
    let mut pieces = vec![drawn.made];
    let mut joints = match tag.fold {
        FoldAt::None => Vec::new(),
        FoldAt::Top | FoldAt::Left => vec![covers(0, "back", "front")],
    };
    if let (Some((hole, from_top)), Some(width)) = (tag.hole, tag.ring_width) {
        let front = pieces[0].panels[0].bounds_mm;
        members.push(ring_member(&tag, front, hole + width * 2, from_top, &pose));
        let ring = ring(hole, width);
        let mut area = ring.outline.path();
        ring.holes.iter().for_each(|hole| area.extend(hole.iter()));
        joints.push(stuck(
            inside(1, "ring"),
            outside(0, "front"),
            area,
            Some(tag.rims(hole + width * 2, from_top)),
            Length::ZERO,
        ));
        pieces.push(ring);
    }
    Ok(Construction {
        pieces,
        assembly: assembly(&KIND, members, joints),
        facts: tag.facts(given, &asked),
    })
}

impl Tag {
    fn solve(given: &Given<'_>, width: Length, height: Length) -> Self {
        let (width, height) = (given.grid.nearest(width), given.grid.nearest(height));
        let corners = match given.word("corners") {
            Some("round") => Corners::Round,
            Some("square") => Corners::Square,
            Some(_) | None => Corners::Clipped,
        };
        let fold = match given.word("fold") {
            Some("top") => FoldAt::Top,
            Some("left") => FoldAt::Left,
            Some(_) | None => FoldAt::None,
        };
        let shorter = width.min(height);
        let diameter = fitted(given, "hole", part(shorter, 4));
        let from_top = fitted(given, "hole_from_top", part(height, 3));
        let hole = (diameter > Length::ZERO).then(|| (diameter, given.grid.nearest(from_top)));
        let ring_width = fitted(given, "ring_width", part(shorter, 8));
        Self {
            width,
            height,
            corners,
            corner: given
                .grid
                .nearest(fitted(given, "corner", part(shorter, 4))),
            fold,
            hole,
            ring_width: given.flag("ring").then_some(ring_width),
        }
    }

    fn refusals(&self, given: &Given<'_>) -> Vec<Refusal> {
        let mut found = refused_sizes(given, &[("width", self.width), ("height", self.height)]);
        found.extend(refused_calipers(given));
        if !found.is_empty() {
            return found;
        }
        let web = Length::from_um(WEB_UM);
        let most = part(self.width.min(self.height), 2) - web;
        found.extend(refused_above(
            given,
            "corner",
            self.corner,
            most,
            "half the shorter side",
        ));
        if let (None, Some(_)) = (self.hole, self.ring_width) {
            found.push(Refusal {
                key: "ring",
                message: "a ring goes round a hole, and the hole is 0".into(),
                hint: "give the hole a diameter, or write ring = false".into(),
            });
        }
        if let Some((hole, from_top)) = self.hole {
            found.extend(self.refused_hole(given, hole, from_top));
        }
        found
    }

    /// Refuses a hole, its ring included, that leaves too little paper at an edge or at a corner.
    fn refused_hole(&self, given: &Given<'_>, hole: Length, from_top: Length) -> Option<Refusal> {
        let width = self.ring_width.unwrap_or(Length::ZERO);
        let across = hole + width * 2;
        let need = part(across, 2) + Length::from_um(WEB_UM);
        let show = |length: Length| given.show(length);
        let what = if self.ring_width.is_some() {
            "the ring"
        } else {
            "the hole"
        };
        if let Some(refusal) = refused_above(
            given,
            "hole",
            across,
            self.width - Length::from_um(2 * WEB_UM),
            "the width of the tag, less 1 mm at both edges,",
        ) {
            return Some(refusal);
        }
        let least = need.max(self.least_from_corner(need));
        let most = self.height - need;
        if from_top >= least && from_top <= most {
            return None;
        }
        Some(Refusal {
            key: "hole_from_top",
            message: format!(
                "the middle of the hole is {} from the top, and {what} of {} needs {} to {}",
                show(from_top),
                show(across),
                show(least),
                show(most)
            ),
            hint: format!(
                "write hole_from_top = \"{}\"",
                given.show_least(given.grid.up(least))
            ),
        })
    }

    /// How far from the top the middle of the hole is at least, so that a clipped corner stays away from it: the cut is the line
    /// x + y = corner, from which the middle of the hole is (w/2 + y - corner) / √2 away.
    fn least_from_corner(&self, need: Length) -> Length {
        match self.corners {
            Corners::Square | Corners::Round => need,
            Corners::Clipped => {
                let least_mm = need.to_mm() * std::f64::consts::SQRT_2 + self.corner.to_mm()
                    - self.width.to_mm() / 2.0;
                Length::nearest_mm(least_mm)
            }
        }
    }

    fn draw(&self) -> Result<Drawn, Refusal> {
        let front = self.front();
        let last = front.edges.len() - 1;
        let mut net = Net::new(Leaf::new("front", front).up(Up::Turned(0.0)));
        let crease = match self.fold {
            FoldAt::None => None,
            FoldAt::Top => Some((TOP, self.width, self.height, Up::In)),
            FoldAt::Left => Some((last, self.height, self.width, Up::AsParent)),
        };
        if let Some((edge, length, depth, up)) = crease {
            let leaf = Leaf::new("back", self.back(length, depth));
            net.hang("front", edge, leaf.folds(Fold::Mountain, AJAR_DEG).up(up));
        }
        for (x, y) in self.hole_places() {
            if let Some((hole, _)) = self.hole {
                net.hole(round_hole(hole, Point::new(x.to_mm(), y.to_mm())));
            }
        }
        let mut drawn = net.draw("tag", "Tag", "outside")?;
        drawn.made.grain = Some(match self.fold {
            FoldAt::None if self.height < self.width => Axis::X,
            FoldAt::None | FoldAt::Left => Axis::Y,
            FoldAt::Top => Axis::X,
        });
        self.move_inside_points(&mut drawn.made);
        Ok(drawn)
    }

    /// The front leaf. Where a leaf hangs, its corners at that edge are square.
    fn front(&self) -> Contour {
        let (w, h) = (self.width.to_mm(), self.height.to_mm());
        let c = self.corner.to_mm();
        // Top left, top right, bottom right, bottom left.
        let free = match (self.fold, self.corners) {
            (FoldAt::None, Corners::Clipped) => [true, true, false, false],
            (FoldAt::None, Corners::Round | Corners::Square) => [true; 4],
            (FoldAt::Top, _) => [false, false, true, true],
            (FoldAt::Left, _) => [false, true, true, false],
        };
        match self.corners {
            Corners::Square => Contour::rectangle(self.width, self.height),
            Corners::Round => {
                let mut contour = Contour::rectangle(self.width, self.height);
                // Edge i ends at the corner after it.
                for (edge, corner) in [(0, 1), (1, 2), (2, 3), (3, 0)] {
                    contour.edges[edge].round_mm = if free[corner] { c } else { 0.0 };
                }
                contour
            }
            Corners::Clipped => {
                let cut = free.map(|is_free| if is_free { c } else { 0.0 });
                clipped(w, h, cut)
            }
        }
    }

    /// The back leaf, on its crease.
    fn back(&self, length: Length, depth: Length) -> Contour {
        match self.corners {
            Corners::Square => Contour::flap(Length::ZERO, length, depth),
            Corners::Round => Contour::rounded(Length::ZERO, length, depth, self.corner),
            Corners::Clipped => {
                let (l, d, c) = (length.to_mm(), depth.to_mm(), self.corner.to_mm());
                Contour::begin((0.0, 0.0))
                    .line((0.0, d - c))
                    .line((c, d))
                    .line((l - c, d))
                    .line((l, d - c))
                    .line((l, 0.0))
            }
        }
    }

    /// Middles of the holes in the frame of the front leaf; the second is that of the back leaf, and lies on the first when folded.
    fn hole_places(&self) -> Vec<(Length, Length)> {
        let Some((_, from_top)) = self.hole else {
            return Vec::new();
        };
        let middle = part(self.width, 2);
        let first = (middle, from_top);
        match self.fold {
            FoldAt::None => vec![first],
            FoldAt::Top => vec![first, (middle, -from_top)],
            FoldAt::Left => vec![first, (-middle, from_top)],
        }
    }

    /// What shows of the front leaf round a ring of that diameter.
    fn rims(&self, across: Length, from_top: Length) -> Edges<Length> {
        let (left, top) = (
            part(self.width, 2) - part(across, 2),
            from_top - part(across, 2),
        );
        Edges {
            top,
            right: self.width - across - left,
            bottom: self.height - across - top,
            left,
        }
    }

    /// Puts the points that name the panels below the holes, where there is paper.
    fn move_inside_points(&self, made: &mut Made) {
        let Some((hole, from_top)) = self.hole else {
            return;
        };
        let below = from_top + part(hole, 2);
        let free_mm = part(self.height - below, 2).to_mm();
        for panel in &mut made.panels {
            let is_upside_down = panel.name == "back" && self.fold == FoldAt::Top;
            let box_mm = panel.bounds_mm;
            let y_mm = if is_upside_down {
                box_mm.y0 + free_mm
            } else {
                box_mm.y1 - free_mm
            };
            panel.inside_mm = Point::new(box_mm.center().x, y_mm);
        }
    }

    fn facts(&self, given: &Given<'_>, asked: &[Length]) -> Vec<Fact> {
        let caliper = given.caliper("tag");
        let leaves = if self.fold == FoldAt::None { 1 } else { 2 };
        let ring = self
            .ring_width
            .map_or(Length::ZERO, |_| given.caliper("ring"));
        vec![
            Fact {
                what: "outside",
                got: vec![self.width, self.height],
                asked: Some(asked.to_vec()),
            },
            Fact {
                what: "thickness",
                got: vec![caliper * leaves + ring],
                asked: None,
            },
        ]
    }
}

/// A rectangle with corners cut off at 45 degrees: top left, top right, bottom right, bottom left; 0 keeps one. The top edge is
/// the first, the left edge the last if its corners are kept.
fn clipped(w: f64, h: f64, cut: [f64; 4]) -> Contour {
    let [tl, tr, br, bl] = cut;
    let mut contour = Contour::begin((tl, 0.0));
    for (size, ends) in [
        (tr, [(w - tr, 0.0), (w, tr)]),
        (br, [(w, h - br), (w - br, h)]),
        (bl, [(bl, h), (0.0, h - bl)]),
        (tl, [(0.0, tl), (tl, 0.0)]),
    ] {
        contour = contour.line(ends[0]);
        if size > 0.0 {
            contour = contour.line(ends[1]);
        }
    }
    contour
}

fn round_hole(diameter: Length, middle: Point) -> BezPath {
    let round = circle(diameter.to_mm()).expect("a hole has a diameter");
    let radius_mm = diameter.to_mm() / 2.0;
    Affine::translate((middle.x - radius_mm, middle.y - radius_mm)) * round.outer()
}

fn ring_member(tag: &Tag, front: Rect, across: Length, from_top: Length, pose: &Rigid) -> Member {
    let radius_mm = across.to_mm() / 2.0;
    let at = Point::new(
        front.x0 + part(tag.width, 2).to_mm() - radius_mm,
        front.y0 + from_top.to_mm() - radius_mm,
    );
    Member {
        piece: 1,
        name: "ring".into(),
        root: "ring".into(),
        pose: laid_on(pose, at),
        bends: Vec::new(),
    }
}

fn ring(hole: Length, width: Length) -> Made {
    let across = hole + width * 2;
    let middle_mm = across.to_mm() / 2.0;
    let outline = circle(across.to_mm()).expect("a ring has a diameter");
    let panel = Panel {
        name: "ring".into(),
        bounds_mm: outline.bounds(),
        inside_mm: Point::new(width.to_mm() / 2.0, middle_mm),
        up: None,
    };
    Made {
        name: "ring",
        title: "Ring".into(),
        per_copy: 1,
        outline,
        panels: vec![panel],
        creases: Vec::new(),
        slits: Vec::new(),
        holes: vec![round_hole(hole, Point::new(middle_mm, middle_mm))],
        grain: None,
    }
}

#[cfg(test)]
mod tests {
    use kurbo::Shape;

    use super::super::trial::{asking, assert_mm, built, fact_mm, with};
    use super::super::{Asked, Grid, Value};
    use super::*;

    fn outside(width_mm: i64, height_mm: i64) -> Asked {
        Asked::Outside(vec![Length::from_mm(width_mm), Length::from_mm(height_mm)])
    }

    fn word(word: &str) -> Value {
        Value::Word(word.into())
    }

    #[test]
    fn a_clipped_tag_loses_two_triangles_at_the_hole() {
        // 50 x 90 mm less two triangles of 6 x 6 / 2; the hole of 5 mm lies 12 mm below the top.
        let made = built(&asking(&KIND, outside(50, 90), Grid::NONE, 300));
        let tag = &made.pieces[0];
        assert!((tag.outline.area_mm2() - (4500.0 - 36.0)).abs() < 1e-6);
        assert!(!tag.outline.contains(Point::new(1.0, 1.0)));
        assert!(tag.outline.contains(Point::new(1.0, 89.0)));
        let hole = tag.holes[0].bounding_box();
        assert!((hole.center() - Point::new(25.0, 12.0)).hypot2() < 1e-12);
        assert!((hole.width() - 5.0).abs() < 1e-6);
        assert!(made.assembly.joints.is_empty() && made.pieces.len() == 1);
        assert_mm(&fact_mm(&made, "outside"), &[50.0, 90.0]);
        assert_mm(&fact_mm(&made, "thickness"), &[0.3]);
    }

    #[test]
    fn a_tag_of_two_leaves_has_holes_that_meet_when_it_is_folded() {
        for (fold, blank, crease) in [
            ("top", (50.0, 180.0), [(0.0, 90.0), (50.0, 90.0)]),
            ("left", (100.0, 90.0), [(50.0, 0.0), (50.0, 90.0)]),
        ] {
            for corners in ["square", "round", "clipped"] {
                let asked = asking(&KIND, outside(50, 90), Grid::NONE, 300);
                let asked = with(with(asked, "fold", word(fold)), "corners", word(corners));
                let made = built(&asked);
                let tag = &made.pieces[0];
                let bounds = tag.outline.bounds();
                assert!((bounds.width() - blank.0).abs() < 1e-9, "{fold} {corners}");
                assert!((bounds.height() - blank.1).abs() < 1e-9);
                let line = tag.creases[0].path.bounding_box();
                assert_eq!(line, Rect::from_points(crease[0], crease[1]));
                // Mirrored at the crease, one hole is the other.
                let middles: Vec<_> = tag
                    .holes
                    .iter()
                    .map(|h| h.bounding_box().center())
                    .collect();
                let mirrored = if fold == "top" {
                    Point::new(middles[0].x, 180.0 - middles[0].y)
                } else {
                    Point::new(100.0 - middles[0].x, middles[0].y)
                };
                assert!((mirrored - middles[1]).hypot2() < 1e-12);
            }
        }
    }

    #[test]
    fn a_ring_lies_about_the_hole_and_all_round_on_paper() {
        let asked = with(
            asking(&KIND, outside(50, 90), Grid::NONE, 300),
            "ring",
            Value::Flag(true),
        );
        let made = built(&asked);
        // 5 + 2 x 3 = 11 mm across; its middle at 25, 12, so its box begins at 19.5, 6.5.
        let ring = &made.pieces[1];
        assert!((ring.outline.bounds().width() - 11.0).abs() < 1e-6);
        let at = made.assembly.members[1]
            .pose
            .apply(crate::geometry::space::Vec3::zeros());
        let want = lying_front_up().apply(crate::geometry::space::Vec3::new(19.5, 6.5, 0.0));
        assert!((at - want).norm() < 1e-9);
        assert_mm(&fact_mm(&made, "thickness"), &[0.6]);
    }

    #[test]
    fn holes_and_corners_that_leave_no_paper_are_refused_with_the_numbers() {
        let hole = with(
            asking(&KIND, outside(50, 90), Grid::NONE, 300),
            "hole_from_top",
            Value::Length(Length::from_mm(3)),
        );
        // 2.5 + 1 mm from the top at least, 90 - 3.5 at most.
        let refusals = (KIND.build)(&hole).unwrap_err();
        assert_eq!(refusals[0].key, "hole_from_top");
        assert_eq!(
            refusals[0].message,
            "the middle of the hole is 3 mm from the top, and the hole of 5 mm needs 3.5 mm to 86.5 mm"
        );
        let corner = with(
            asking(&KIND, outside(50, 90), Grid::NONE, 300),
            "corner",
            Value::Length(Length::from_mm(30)),
        );
        assert!(
            (KIND.build)(&corner).unwrap_err()[0]
                .message
                .contains("30 mm")
        );
        let thin = asking(&KIND, outside(10, 101), Grid::NONE, 300);
        assert_eq!((KIND.build)(&thin).unwrap_err()[0].key, "outside");
    }
}

//! Nets, drawn panel by panel: what the constructions read like.
//!
//! A net begins with one panel; others hang on its edges by creases, and more on theirs. The edge of the piece, the creases and the
//! panels' own outlines follow from that.

use std::collections::BTreeMap;

use kurbo::{Affine, BezPath, ParamCurve, PathEl, Point, Rect, Shape, Vec2};

use super::contour::{Contour, Edge, Run};
use super::{Crease, Made, Refusal};
use crate::geometry::{Outline, Way, arc_to};
use crate::math::{Angle, COINCIDENT_MM, atan2, hypot, round_to};
use crate::project::{Fold, Panel};

/// Steps in a millimetre that coordinates are rounded to: nanometres, as in [`Length`](crate::length::Length).
const STEPS_PER_MM: u32 = 1_000_000;

/// Where the upright of a panel points.
#[derive(Debug, Clone, Copy)]
pub(super) enum Up {
    /// Away from the crease the panel hangs on.
    Out,
    /// Towards that crease.
    In,
    /// As the panel it hangs on.
    AsParent,
    /// Turned clockwise by so many degrees in the piece frame.
    Turned(f64),
    /// No way is up.
    None,
}

/// A panel to be put into a net.
#[derive(Debug, Clone)]
pub(super) struct Leaf {
    name: String,
    contour: Contour,
    fold: Fold,
    folds_to: Angle,
    up: Up,
    /// Length of the slit at each end of its crease.
    lock_mm: f64,
}

impl Leaf {
    /// Returns a panel that folds back by a right angle (a mountain seen from the front) and has no way up.
    pub(super) fn new(name: impl Into<String>, contour: Contour) -> Self {
        Self {
            name: name.into(),
            contour,
            fold: Fold::Mountain,
            folds_to: Angle::from_deg(90.0),
            up: Up::None,
            lock_mm: 0.0,
        }
    }

    /// Folds another way and by another angle.
    pub(super) fn folds(mut self, fold: Fold, deg: f64) -> Self {
        self.fold = fold;
        self.folds_to = Angle::from_deg(deg);
        self
    }

    /// Says where its upright points.
    pub(super) fn up(mut self, up: Up) -> Self {
        self.up = up;
        self
    }

    /// Makes slits of that length at both ends of its crease.
    pub(super) fn locked(mut self, lock_mm: f64) -> Self {
        self.lock_mm = lock_mm;
        self
    }
}

/// A net being drawn.
#[derive(Debug)]
pub(super) struct Net {
    placed: Vec<Placed>,
    holes: Vec<BezPath>,
}

/// A panel in its net.
#[derive(Debug)]
struct Placed {
    leaf: Leaf,
    hangs_on: Option<Hanger>,
    /// The panel's frame to that of the first panel.
    to_net: Affine,
    up: Option<Angle>,
}

/// An edge of a panel.
#[derive(Debug, Clone, Copy)]
struct Hanger {
    panel: usize,
    edge: usize,
}

/// A net as drawn: the piece, and the outline of each of its panels.
#[derive(Debug)]
pub(super) struct Drawn {
    pub(super) made: Made,
    areas: BTreeMap<String, BezPath>,
}

impl Drawn {
    /// Returns the outline of a panel as a closed path in the piece frame.
    pub(super) fn area(&self, panel: &str) -> BezPath {
        self.areas[panel].clone()
    }

    /// Returns the box of a panel in the piece frame.
    pub(super) fn bounds_mm(&self, panel: &str) -> Rect {
        self.areas[panel].bounding_box()
    }
}

impl Net {
    /// Begins a net with the panel that stays while others fold; its fold is not used.
    pub(super) fn new(first: Leaf) -> Self {
        let up = match first.up {
            Up::Turned(deg) => Some(Angle::from_deg(deg)),
            Up::Out | Up::In | Up::AsParent | Up::None => None,
        };
        let placed = Placed {
            leaf: first,
            hangs_on: None,
            to_net: Affine::IDENTITY,
            up,
        };
        Self {
            placed: vec![placed],
            holes: Vec::new(),
        }
    }

    /// Hangs a panel on an edge of one that is drawn already.
    pub(super) fn hang(&mut self, parent: &str, edge: usize, leaf: Leaf) {
        let panel = self.position(parent);
        let (from, to) = self.ends(panel, edge);
        let along = (to - from) / hypot(to.x - from.x, to.y - from.y);
        let out = Vec2::new(along.y, -along.x);
        let up = match leaf.up {
            Up::Out => Some(direction(out)),
            Up::In => Some(direction(-out)),
            Up::AsParent => self.placed[panel].up,
            Up::Turned(deg) => Some(Angle::from_deg(deg)),
            Up::None => None,
        };
        self.placed.push(Placed {
            leaf,
            hangs_on: Some(Hanger { panel, edge }),
            to_net: Affine::new([along.x, along.y, out.x, out.y, from.x, from.y]),
            up,
        });
    }

    /// Adds a hole, a closed path in the frame of the first panel.
    pub(super) fn hole(&mut self, path: BezPath) {
        self.holes.push(path);
    }

    /// Returns the piece, moved so that its box is at the origin.
    ///
    /// # Errors
    ///
    /// Returns a refusal, to the key given, if the edge crosses or touches itself: too much for these sizes.
    pub(super) fn draw(
        self,
        name: &'static str,
        title: &str,
        key: &'static str,
    ) -> Result<Drawn, Refusal> {
        let edge = self.edge_of_all();
        let outlined = |edge: &BezPath| {
            Outline::new(edge, COINCIDENT_MM).map_err(|error| Refusal {
                key,
                message: format!(
                    "the net of the {name} cannot be cut from these sizes: {}",
                    error.message(|mm| format!("{mm:.2} mm"))
                ),
                hint: "make flaps and cuts smaller, or the object larger".into(),
            })
        };
        let found = outlined(&edge)?;
        let shift = Affine::translate(-found.bounds().origin().to_vec2());
        let settle = |path: &BezPath| rounded(&(shift * path));
        // A cut as fine as the rounding to nanometres may touch itself only now.
        let outline = outlined(&settle(&edge))?;
        let areas: Vec<BezPath> = (0..self.placed.len())
            .map(|panel| settle(&self.area(panel)))
            .collect();
        let (creases, locks) = self.creases();
        let made = Made {
            name,
            title: title.into(),
            per_copy: 1,
            outline,
            panels: self.panels(&areas),
            creases: creases
                .into_iter()
                .map(|crease| Crease {
                    path: settle(&crease.path),
                    ..crease
                })
                .collect(),
            slits: locks.iter().map(settle).collect(),
            holes: self.holes.iter().map(settle).collect(),
            grain: None,
        };
        let names = self.placed.iter().map(|placed| placed.leaf.name.clone());
        Ok(Drawn {
            made,
            areas: names.zip(areas).collect(),
        })
    }

    fn position(&self, name: &str) -> usize {
        let found = self.placed.iter().position(|p| p.leaf.name == name);
        found.expect("a panel hangs on one that is drawn already")
    }

    /// Where an edge begins and ends in the net.
    fn ends(&self, panel: usize, edge: usize) -> (Point, Point) {
        let placed = &self.placed[panel];
        let corners: Vec<Point> = placed.leaf.contour.corners().collect();
        (
            placed.to_net * corners[edge],
            placed.to_net * corners[edge + 1],
        )
    }

    /// The panels on an edge, in the order they are met.
    fn children(&self, panel: usize, edge: usize) -> Vec<usize> {
        let hangs = |child: &usize| {
            let hanger = self.placed[*child].hangs_on;
            hanger.is_some_and(|on| on.panel == panel && on.edge == edge)
        };
        let start = |child: &usize| self.placed[*child].leaf.contour.start.x;
        let mut children: Vec<usize> = (0..self.placed.len()).filter(hangs).collect();
        children.sort_by(|a, b| start(a).total_cmp(&start(b)));
        children
    }

    fn edge_of_all(&self) -> BezPath {
        let mut pen = Pen::at(self.first_point(0));
        self.walk(0, Children::Drawn, &mut pen);
        pen.path.close_path();
        pen.path
    }

    /// The outline of one panel; a curved crease it hangs on is part of it.
    fn area(&self, panel: usize) -> BezPath {
        let mut pen = Pen::at(self.first_point(panel));
        self.walk(panel, Children::LeftOut, &mut pen);
        if let Some((radius_mm, way)) = self.curved_crease(panel) {
            let back = self.first_point(panel);
            arc_to(&mut pen.path, back, radius_mm, way.back());
        }
        pen.path.close_path();
        pen.path
    }

    fn curved_crease(&self, panel: usize) -> Option<(f64, Way)> {
        let on = self.placed[panel].hangs_on?;
        match self.placed[on.panel].leaf.contour.edges[on.edge].run {
            Run::Straight => None,
            Run::Arc { radius_mm, way } => Some((radius_mm, way)),
        }
    }

    /// Where drawing a panel begins: at its first corner, or behind it where the first panel has that one rounded.
    fn first_point(&self, panel: usize) -> Point {
        let placed = &self.placed[panel];
        let edges = &placed.leaf.contour.edges;
        let start = placed.to_net * placed.leaf.contour.start;
        match (placed.hangs_on, edges.last()) {
            (None, Some(last)) => self.rounding(panel, edges.len() - 1, *last).1,
            (None, None) | (Some(_), _) => start,
        }
    }

    fn walk(&self, panel: usize, with: Children, pen: &mut Pen) {
        let placed = &self.placed[panel];
        for (i, edge) in placed.leaf.contour.edges.iter().enumerate() {
            let children = match with {
                Children::Drawn => self.children(panel, i),
                Children::LeftOut => Vec::new(),
            };
            for &child in &children {
                pen.line(self.first_point(child));
                self.walk(child, with, pen);
            }
            let (from, to) = self.ends(panel, i);
            let (before, after) = self.rounding(panel, i, *edge);
            match edge.run {
                Run::Straight => pen.notched_line(from.midpoint(to), before, edge.notch_mm),
                Run::Arc { radius_mm, way } if children.is_empty() => {
                    arc_to(&mut pen.path, to, radius_mm, way);
                }
                Run::Arc { .. } => {}
            }
            pen.corner(to, before, after, edge.round_mm);
        }
    }

    /// Where the rounding of the corner at the end of an edge begins and ends; both are the corner itself where it is sharp.
    fn rounding(&self, panel: usize, i: usize, edge: Edge) -> (Point, Point) {
        let placed = &self.placed[panel];
        let corner = placed.to_net * edge.to;
        let count = placed.leaf.contour.edges.len();
        let next = match placed.hangs_on {
            None => (i + 1) % count,
            Some(_) => (i + 1).min(count - 1),
        };
        if edge.round_mm < COINCIDENT_MM || next == i {
            return (corner, corner);
        }
        let unit = |(from, to): (Point, Point)| (to - from) / hypot(to.x - from.x, to.y - from.y);
        let (came, goes) = (unit(self.ends(panel, i)), unit(self.ends(panel, next)));
        // tan(turn / 2) = sin / (1 + cos).
        let reach_mm = edge.round_mm * came.cross(goes).abs() / (1.0 + came.dot(goes));
        (corner - came * reach_mm, corner + goes * reach_mm)
    }

    fn creases(&self) -> (Vec<Crease>, Vec<BezPath>) {
        let mut creases = Vec::new();
        let mut locks = Vec::new();
        for (panel, placed) in self.placed.iter().enumerate().skip(1) {
            let leaf = &placed.leaf;
            let last = leaf
                .contour
                .edges
                .last()
                .map_or(leaf.contour.start, |e| e.to);
            let (from, to) = (placed.to_net * leaf.contour.start, placed.to_net * last);
            let inward = (to - from) / hypot(to.x - from.x, to.y - from.y) * leaf.lock_mm;
            let mut pen = Pen::at(from + inward);
            match self.curved_crease(panel) {
                None => pen.line(to - inward),
                Some((radius_mm, way)) => arc_to(&mut pen.path, to, radius_mm, way),
            }
            creases.push(Crease {
                path: pen.path,
                fold: leaf.fold,
                angle: leaf.folds_to,
            });
            if leaf.lock_mm > 0.0 {
                for end in [from, to] {
                    let into = if end == from { inward } else { -inward };
                    let mut slit = Pen::at(end);
                    slit.line(end + into);
                    locks.push(slit.path);
                }
            }
        }
        (creases, locks)
    }

    fn panels(&self, areas: &[BezPath]) -> Vec<Panel> {
        let panel = |(placed, area): (&Placed, &BezPath)| Panel {
            name: placed.leaf.name.clone(),
            bounds_mm: area.bounding_box(),
            inside_mm: middle(area),
            up: placed.up,
        };
        self.placed.iter().zip(areas).map(panel).collect()
    }
}

/// Whether the panels that hang on one are drawn with it.
#[derive(Debug, Clone, Copy)]
enum Children {
    Drawn,
    LeftOut,
}

#[derive(Debug)]
struct Pen {
    path: BezPath,
}

impl Pen {
    fn at(point: Point) -> Self {
        let mut path = BezPath::new();
        path.move_to(point);
        Self { path }
    }

    /// Draws a line, unless it has no length.
    fn line(&mut self, to: Point) {
        let at = self.path.elements().last().and_then(PathEl::end_point);
        if at.is_some_and(|at| hypot(to.x - at.x, to.y - at.y) > COINCIDENT_MM) {
            self.path.line_to(to);
        }
    }

    /// Draws a line with a half circle of that diameter cut into it about its middle.
    fn notched_line(&mut self, middle: Point, to: Point, notch_mm: f64) {
        if notch_mm > 0.0 {
            let left = to - middle;
            let half = left / hypot(left.x, left.y) * (notch_mm / 2.0);
            self.line(middle - half);
            arc_to(
                &mut self.path,
                middle + half,
                notch_mm / 2.0,
                Way::CounterClockwise,
            );
        }
        self.line(to);
    }

    /// Draws the rounding of a corner.
    fn corner(&mut self, corner: Point, before: Point, after: Point, radius_mm: f64) {
        if before == after {
            return;
        }
        let way = if (corner - before).cross(after - corner) > 0.0 {
            Way::Clockwise
        } else {
            Way::CounterClockwise
        };
        arc_to(&mut self.path, after, radius_mm, way);
    }
}

/// How a direction is turned from the piece's top, clockwise.
fn direction(v: Vec2) -> Angle {
    Angle::from_deg(atan2(v.x, -v.y).to_degrees())
}

/// The middle of an area, by its moments; the area is taken as a polygon of its corners.
fn middle(area: &BezPath) -> Point {
    let corners: Vec<Point> = area.segments().map(|segment| segment.end()).collect();
    let mut sum = Vec2::ZERO;
    let mut doubled_mm2 = 0.0;
    for (i, b) in corners.iter().enumerate() {
        let a = corners[(i + corners.len() - 1) % corners.len()];
        let weight = a.to_vec2().cross(b.to_vec2());
        sum += (a.to_vec2() + b.to_vec2()) * weight;
        doubled_mm2 += weight;
    }
    (sum / (3.0 * doubled_mm2)).to_point()
}

/// A path with its points on whole nanometres.
fn rounded(path: &BezPath) -> BezPath {
    let round = |p: Point| Point::new(round_to(p.x, STEPS_PER_MM), round_to(p.y, STEPS_PER_MM));
    let element = |el: PathEl| match el {
        PathEl::MoveTo(p) => PathEl::MoveTo(round(p)),
        PathEl::LineTo(p) => PathEl::LineTo(round(p)),
        PathEl::QuadTo(a, p) => PathEl::QuadTo(round(a), round(p)),
        PathEl::CurveTo(a, b, p) => PathEl::CurveTo(round(a), round(b), round(p)),
        PathEl::ClosePath => PathEl::ClosePath,
    };
    path.elements().iter().copied().map(element).collect()
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::super::contour::{BOTTOM, FAR, LEFT, RIGHT, TOP};
    use super::*;
    use crate::length::Length;

    fn mm(mm: i64) -> Length {
        Length::from_mm(mm)
    }

    fn cross() -> Net {
        let mut net = Net::new(Leaf::new("bottom", Contour::rectangle(mm(60), mm(40))));
        for (edge, name, long) in [
            (TOP, "front", 60),
            (RIGHT, "right", 40),
            (BOTTOM, "back", 60),
            (LEFT, "left", 40),
        ] {
            let wall = Contour::flap(Length::ZERO, mm(long), mm(20));
            net.hang("bottom", edge, Leaf::new(name, wall).up(Up::Out));
        }
        net
    }

    #[test]
    fn a_cross_has_five_panels_four_creases_and_its_box_at_the_origin() {
        let drawn = cross().draw("tray", "Tray", "inside").unwrap();
        let made = &drawn.made;
        assert_eq!(made.outline.bounds(), Rect::new(0.0, 0.0, 100.0, 80.0));
        // The bottom and four walls: 60 x 40 + 2 (60 + 40) 20.
        assert!((made.outline.area_mm2() - 6400.0).abs() < 1e-9);
        assert_eq!(drawn.bounds_mm("bottom"), Rect::new(20.0, 20.0, 80.0, 60.0));
        assert_eq!(drawn.bounds_mm("front"), Rect::new(20.0, 0.0, 80.0, 20.0));
        assert_eq!(made.creases.len(), 4);
        let ups: Vec<_> = made.panels.iter().map(|p| p.up.map(Angle::deg)).collect();
        let want = [None, Some(0.0), Some(90.0), Some(180.0), Some(270.0)];
        assert_eq!(ups, want);
        assert_eq!(made.panels[2].inside_mm, Point::new(90.0, 40.0));
    }

    #[test]
    fn rounded_corners_and_thumb_cuts_take_their_areas_away() {
        let mut net = cross();
        let tuck = Contour::rounded(mm(5), mm(55), mm(15), mm(6)).notch(FAR, mm(16));
        net.hang("front", FAR, Leaf::new("tuck", tuck));
        let made = net.draw("tray", "Tray", "inside").unwrap().made;
        // Two corners lose (4 - π) / 4 of r² each, the cut half a circle.
        let want = 6400.0 + 50.0 * 15.0 - (4.0 - PI) / 2.0 * 36.0 - PI * 64.0 / 2.0;
        assert!((made.outline.area_mm2() - want).abs() < 0.01);
        assert_eq!(made.outline.bounds(), Rect::new(0.0, 0.0, 100.0, 95.0));
    }

    #[test]
    fn a_curved_crease_is_shared_by_both_panels() {
        // Chord 60 and sagitta 15 make a radius of 37.5 (check value of a pillow pack). The face curves in, the end flap out beyond it.
        let face = Contour::begin((0.0, 0.0))
            .arc((60.0, 0.0), 37.5, Way::CounterClockwise)
            .line((60.0, 100.0))
            .line((0.0, 100.0))
            .line((0.0, 0.0));
        let mut net = Net::new(Leaf::new("face", face));
        let end = Contour::begin((0.0, 0.0)).arc((60.0, 0.0), 37.5, Way::Clockwise);
        net.hang("face", TOP, Leaf::new("end", end));
        let drawn = net.draw("pack", "Pack", "inside").unwrap();
        let bounds = drawn.made.outline.bounds();
        assert!((bounds.height() - 115.0).abs() < 1e-3, "{bounds:?}");
        let end = drawn.bounds_mm("end");
        assert!((end.height() - 30.0).abs() < 1e-3, "{end:?}");
        let crease = drawn.made.creases[0].path.bounding_box();
        assert!((crease.height() - 15.0).abs() < 1e-3);
    }

    #[test]
    fn locks_are_slits_at_both_ends_of_a_crease() {
        let mut net = cross();
        let tuck = Contour::flap(mm(1), mm(59), mm(10));
        net.hang("front", FAR, Leaf::new("tuck", tuck).locked(5.0));
        let made = net.draw("tray", "Tray", "inside").unwrap().made;
        let slits: Vec<Rect> = made.slits.iter().map(Shape::bounding_box).collect();
        let want = [
            Rect::new(21.0, 10.0, 26.0, 10.0),
            Rect::new(74.0, 10.0, 79.0, 10.0),
        ];
        assert_eq!(slits, want);
        let crease = made.creases[4].path.bounding_box();
        assert_eq!(crease, Rect::new(26.0, 10.0, 74.0, 10.0));
    }

    #[test]
    fn the_first_panel_may_be_rounded_all_round() {
        let mut tag = Contour::rectangle(mm(60), mm(40));
        for edge in &mut tag.edges {
            edge.round_mm = 5.0;
        }
        let drawn = Net::new(Leaf::new("tag", tag)).draw("tag", "Tag", "inside");
        let area_mm2 = drawn.unwrap().made.outline.area_mm2();
        assert!((area_mm2 - (2400.0 - (4.0 - PI) * 25.0)).abs() < 1e-3);
    }

    #[test]
    fn a_net_that_touches_itself_is_refused_with_the_place() {
        let mut net = cross();
        let wide = Contour::flap(Length::ZERO, mm(20), mm(20));
        net.hang("front", 2, Leaf::new("tab-1", wide.clone()));
        let wide = Contour::flap(Length::ZERO, mm(20), mm(20));
        net.hang("right", 0, Leaf::new("tab-2", wide));
        let refusal = net.draw("tray", "Tray", "inside").unwrap_err();
        assert_eq!(refusal.key, "inside");
        assert!(refusal.message.contains("crosses or touches itself at"));
    }
}

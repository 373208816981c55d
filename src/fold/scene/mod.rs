//! A folded object as it is seen: which face of which panel, where on a page, and what lies over what.
//!
//! [`scene`] puts an assembly on a page of its own, closed and, where something slides, half open beside it. `view` is the projection, `order`
//! says what hides what, `edge` what the lines around a panel are, and `body` what moves together.

mod body;
mod edge;
mod facet;
mod order;
mod view;

use kurbo::{Affine, Line, Point, Rect, Vec2};

use super::Folded;
use super::leaf::{Leaf, leaves};
use crate::geometry::areas::{Ring, thickness_of, without};
use crate::geometry::space::Vec3;
use crate::project::{Assembly, Face, Project};
pub use edge::{EdgeKind, SeenEdge};
use facet::Facet;

/// Width and height that the object is drawn in at most, in millimetres.
const WIDEST_MM: f64 = 180.0;
const HIGHEST_MM: f64 = 130.0;
/// What stays free around it.
const MARGIN_MM: f64 = 8.0;
/// Between the closed object and the open one.
const BETWEEN_MM: f64 = 12.0;
/// For the words below it.
const WORDS_MM: f64 = 9.0;
/// What shows of a panel in a strip thinner than this is not worth a drawing, in millimetres of the object.
const LEAST_SEEN_MM: f64 = 0.05;

/// A page with one folded object.
#[derive(Debug, Clone, PartialEq)]
pub struct Scene {
    /// Width of the page in millimetres.
    pub width_mm: f64,
    /// Height of the page.
    pub height_mm: f64,
    /// Millimetres on the page for one along an axis of the object.
    pub scale: f64,
    /// The object closed, then half open where something slides.
    pub views: Vec<SceneView>,
}

/// One view of the object.
#[derive(Debug, Clone, PartialEq)]
pub struct SceneView {
    /// `closed` or `half open`.
    pub name: &'static str,
    /// The box of what is drawn, on the page.
    pub bounds: Rect,
    /// What can be seen, the farthest first.
    pub panels: Vec<SeenPanel>,
}

/// A panel as it is seen, or a part of one that others pass through.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenPanel {
    /// Its id: `tin/lid:front`.
    pub id: String,
    /// Position of its piece in the project.
    pub piece: usize,
    /// The face of the paper that is seen.
    pub face: Face,
    /// Which way that face looks, in the object's frame, length 1.
    pub looks: Vec3,
    /// Whether one can see through it.
    pub is_clear: bool,
    /// Piece frame to the page.
    pub page_from_piece: Affine,
    /// Its outline and holes on the page.
    pub rings: Vec<Ring>,
    /// The lines around it, on the page.
    pub edges: Vec<SeenEdge>,
}

/// Returns an object as it is seen from the front, the right and above.
#[must_use]
pub fn scene(project: &Project, assembly: &Assembly, folded: &Folded) -> Scene {
    let mut views = vec![view("closed", project, assembly, folded)];
    if let Some(open) = body::half_open(assembly, folded) {
        views.push(view("half open", project, assembly, &open));
    }
    on_page(views)
}

/// One view at the object's own size, wherever it comes to lie.
fn view(name: &'static str, project: &Project, assembly: &Assembly, folded: &Folded) -> SceneView {
    let leaves = leaves(project, assembly, folded);
    let facets = leaves.iter().enumerate();
    let facets = facets.filter_map(|(i, leaf)| Facet::of(i, leaf)).collect();
    let ordered = order::back_to_front(facets);
    let seen: Vec<&Facet> = ordered
        .iter()
        .enumerate()
        .filter(|(i, facet)| is_seen(facet, &ordered[i + 1..]))
        .map(|(_, facet)| facet)
        .collect();
    let boxes = seen.iter().map(|facet| order::bounds(facet));
    SceneView {
        name,
        bounds: boxes.reduce(|a, b| a.union(b)).unwrap_or_default(),
        panels: seen
            .iter()
            .map(|facet| panel(project, &leaves, facet))
            .collect(),
    }
}

/// Whether anything of a facet is left beside those over it.
fn is_seen(facet: &Facet, over: &[Facet]) -> bool {
    let mut left = vec![facet.rings.clone()];
    for other in over.iter().filter(|other| !other.is_clear) {
        if order::bounds(facet).overlaps(order::bounds(other)) {
            left = left
                .iter()
                .flat_map(|part| without(part, &other.rings))
                .collect();
        }
    }
    left.iter().any(|part| thickness_of(part) > LEAST_SEEN_MM)
}

fn panel(project: &Project, leaves: &[Leaf], facet: &Facet) -> SeenPanel {
    let leaf = &leaves[facet.leaf];
    let edges = edge::edges(project, leaves, facet.leaf, facet.face);
    let on_picture = |edge: &SeenEdge| {
        let line = Line::new(facet.map * edge.line.p0, facet.map * edge.line.p1);
        let line = edge::on_sides(line, &facet.sides)?;
        Some(SeenEdge { line, ..*edge })
    };
    SeenPanel {
        id: leaf.id.clone(),
        piece: leaf.piece,
        face: facet.face,
        looks: facet.looks,
        is_clear: facet.is_clear,
        page_from_piece: facet.map,
        rings: facet.rings.clone(),
        edges: edges.iter().filter_map(on_picture).collect(),
    }
}

/// Puts views beside one another on a page, all at one scale, standing on one line.
fn on_page(views: Vec<SceneView>) -> Scene {
    let count = u32::try_from(views.len()).expect("there are two views at most");
    let between_mm = BETWEEN_MM * f64::from(count.saturating_sub(1));
    let width_mm: f64 = views.iter().map(|v| v.bounds.width()).sum();
    let height_mm = views.iter().map(|v| v.bounds.height()).fold(0.0, f64::max);
    let fits = |room_mm: f64, size_mm: f64| {
        if size_mm > 0.0 {
            room_mm / size_mm
        } else {
            f64::INFINITY
        }
    };
    let scale = fits(WIDEST_MM - between_mm, width_mm).min(fits(HIGHEST_MM, height_mm));
    let scale = if scale.is_finite() { scale } else { 1.0 };
    let ground_mm = MARGIN_MM + scale * height_mm;
    let mut left_mm = MARGIN_MM;
    let mut placed = Vec::new();
    for view in views {
        let corner = Point::new(left_mm, ground_mm - scale * view.bounds.height());
        left_mm += scale * view.bounds.width() + BETWEEN_MM;
        placed.push(moved(view, scale, corner));
    }
    Scene {
        width_mm: 2.0 * MARGIN_MM + between_mm + scale * width_mm,
        height_mm: ground_mm + WORDS_MM + MARGIN_MM,
        scale,
        views: placed,
    }
}

/// A view drawn at a scale, the top left corner of its box at `corner`.
fn moved(mut view: SceneView, scale: f64, corner: Point) -> SceneView {
    let from = view.bounds.origin().to_vec2();
    let map = Affine::translate(corner.to_vec2()) * Affine::scale(scale) * Affine::translate(-from);
    for panel in &mut view.panels {
        panel.page_from_piece = map * panel.page_from_piece;
        for point in panel.rings.iter_mut().flatten() {
            *point = map * *point;
        }
        for edge in &mut panel.edges {
            edge.line = map * edge.line;
        }
    }
    let size = Vec2::new(view.bounds.width(), view.bounds.height()) * scale;
    view.bounds = Rect::from_points(corner, corner + size);
    view
}

//! Pictures of folded objects: every panel that can be seen, with its artwork, paper, shade and lines.
//!
//! Where each panel is seen and what hides it stands in the [`Scene`]; here it gets its looks. `paint` says how paper is shaded.

mod lines;
mod paint;

use kurbo::{Affine, BezPath, Point, Rect, Shape, Vec2};

use super::artwork;
use super::page::{Page, PageLayer};
use super::text::{Align, TextLine};
use crate::drawing::{Colour, Drawing, FillRule, Item, Paint, Tag};
use crate::fold::scene::{EdgeKind, Scene, SceneView, SeenEdge, SeenPanel};
use crate::font::{self, Face as FontFace};
use crate::geometry::areas::{Ring, covers};
use crate::math::hypot;
use crate::plan::{self, PlannedArtwork};
use crate::project::{ArtworkFill, Assembly, Project};

/// Ink of the words.
const INK: Colour = Colour::rgb(0x3c, 0x38, 0x32);
const WORDS_MM: f64 = 3.2;
/// From the ground to the baseline of the words.
const DROP_MM: f64 = 7.0;
/// How far facets of a bent surface reach over one another, in millimetres: a pixel.
const LAP_MM: f64 = 0.22;
/// The edition whose artwork and paper are shown: the first.
const EDITION: usize = 0;

/// Returns the page of an object.
pub(super) fn page(project: &Project, assembly: &Assembly, scene: &Scene) -> Page {
    let layer = |name, drawing| PageLayer {
        name,
        step: None,
        matrix: Affine::IDENTITY,
        drawing,
    };
    let views = scene.views.iter().map(|v| view(project, v));
    let words = words(assembly, scene);
    Page {
        label: format!("{}, folded", assembly.id),
        width_mm: scene.width_mm,
        height_mm: scene.height_mm,
        layers: vec![
            layer(
                "Object",
                Drawing {
                    items: views.collect(),
                },
            ),
            layer("Caption", words),
        ],
    }
}

/// Returns the object alone, closed and half open, with the box that it fills.
pub(super) fn object(project: &Project, scene: &Scene) -> (Drawing, Rect) {
    let boxes = scene.views.iter().map(|v| v.bounds);
    let items = scene.views.iter().map(|v| view(project, v)).collect();
    let filled = boxes.reduce(|a, b| a.union(b));
    (Drawing { items }, filled.unwrap_or(Rect::ZERO))
}

fn view(project: &Project, view: &SceneView) -> Item {
    let panels = view.panels.iter().map(|p| Item::Tagged {
        tag: Tag {
            kind: "panel",
            id: p.id.clone(),
        },
        inner: panel(project, p),
    });
    Item::Tagged {
        tag: Tag {
            kind: "view",
            id: view.name.to_owned(),
        },
        inner: Drawing {
            items: panels.collect(),
        },
    }
}

/// One panel, from the paper up.
fn panel(project: &Project, panel: &SeenPanel) -> Drawing {
    let printed = printed(project, panel);
    let paper = paint::paper(panel, !printed.is_empty());
    let mut items = vec![fill(area(&panel.rings), paper.clone())];
    let mut shape = area(&panel.rings);
    let lap = lap(panel);
    if !lap.is_empty() {
        items.push(fill(lap.clone(), paper));
        shape.extend(lap.elements().iter().copied());
    }
    items.push(Item::Clip {
        path: shape.clone(),
        rule: FillRule::EvenOdd,
        inner: Drawing { items: printed },
    });
    items.push(fill(shape.clone(), paint::shade(panel)));
    items.push(Item::Clip {
        path: shape,
        rule: FillRule::EvenOdd,
        inner: lines::inside(project, panel),
    });
    items.extend(lines::around(panel));
    Drawing { items }
}

/// What a facet of a bent surface reaches over the next one, so that nothing shines through between them.
fn lap(panel: &SeenPanel) -> BezPath {
    let mut path = BezPath::new();
    let bends = panel
        .edges
        .iter()
        .filter(|edge| edge.kind == EdgeKind::Bend);
    for SeenEdge { line, .. } in bends.filter(|_| !panel.is_clear) {
        let way = line.p1 - line.p0;
        let across = Vec2::new(-way.y, way.x) * (LAP_MM / hypot(way.x, way.y).max(LAP_MM));
        let middle = line.midpoint();
        let out = if covers(&panel.rings, middle + across) {
            -across
        } else {
            across
        };
        path.move_to(line.p0);
        path.line_to(line.p1);
        path.line_to(line.p1 + out);
        path.line_to(line.p0 + out);
        path.close_path();
    }
    path
}

/// The artwork on the face that is seen, as far as it reaches the panel.
fn printed(project: &Project, panel: &SeenPanel) -> Vec<Item> {
    let declared = project.artwork_of(EDITION, panel.piece);
    let planned = plan::artwork_under(project, EDITION, panel.piece, panel.page_from_piece);
    let box_mm = area(&panel.rings).bounding_box();
    planned
        .into_iter()
        .filter(|planned| planned.face == panel.face)
        .filter_map(|planned| {
            let artwork = declared[planned.artwork];
            let near = near(planned, box_mm);
            let is_flat = match artwork.fill {
                ArtworkFill::Flat(_) => true,
                ArtworkFill::Picture(_) | ArtworkFill::Repeat(_) | ArtworkFill::Each(_) => false,
            };
            (is_flat || !near.places.is_empty()).then(|| artwork::layer(artwork, &near, &panel.id))
        })
        .collect()
}

/// The artwork without the repeats that do not reach `box_mm`.
fn near(mut planned: PlannedArtwork, box_mm: Rect) -> PlannedArtwork {
    let unit = Rect::new(0.0, 0.0, 1.0, 1.0);
    let is_near = |place: &Affine| place.transform_rect_bbox(unit).overlaps(box_mm);
    planned.places.retain(is_near);
    planned.under.retain(is_near);
    planned
}

/// Rings as one path.
fn area(rings: &[Ring]) -> BezPath {
    let mut path = BezPath::new();
    for ring in rings {
        let mut corners = ring.iter();
        let Some(first) = corners.next() else {
            continue;
        };
        path.move_to(*first);
        corners.for_each(|corner| path.line_to(*corner));
        path.close_path();
    }
    path
}

fn fill(path: BezPath, paint: Paint) -> Item {
    Item::Fill {
        path,
        rule: FillRule::EvenOdd,
        paint,
    }
}

/// What stands below each view.
fn words(assembly: &Assembly, scene: &Scene) -> Drawing {
    let has_name = font::missing(&FontFace::carried(), &assembly.name).is_empty();
    let name = if has_name {
        &assembly.name
    } else {
        &assembly.id
    };
    let items = scene.views.iter().enumerate().map(|(i, view)| {
        let text = match (i, scene.views.len()) {
            (0, 1) => name.clone(),
            (0, _) => format!("{name}, {}", view.name),
            _ => view.name.to_owned(),
        };
        let widest_mm = view.bounds.width().max(40.0);
        let anchor = Point::new(view.bounds.x0, view.bounds.y1 + DROP_MM);
        TextLine::shortened(&text, WORDS_MM, widest_mm).at(anchor, Align::Left, INK)
    });
    Drawing {
        items: items.collect(),
    }
}

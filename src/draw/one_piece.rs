//! One piece by itself, flat: its paper with the artwork, what is cut and folded, and which way its panels read.

use kurbo::{Affine, BezPath, Point, Rect, Vec2};

use super::artwork;
use super::line_kind::LineKind;
use super::page::{Page, PageLayer};
use crate::drawing::{Colour, Drawing, FillRule, Item, Paint, Stroke};
use crate::geometry::mirror_about_x;
use crate::plan;
use crate::project::{Face, OperationKind, Panel, Piece, Project};

/// Room round the piece, in millimetres.
pub const ROOM_MM: f64 = 2.0;
const PAPER: Colour = Colour::rgb(0xfc, 0xfa, 0xf4);
const ARROW: Colour = Colour::rgb(0x6b, 0x4f, 0x8a);
/// Lengths of an arrow and of its barbs, of the smaller side of its panel.
const ARROW_SHARE: f64 = 0.36;
const BARB_SHARE: f64 = 0.3;
/// Longest arrow.
const ARROW_MM: f64 = 12.0;
const ARROW_LINE_MM: f64 = 0.5;
/// The edition whose artwork is shown: the first.
const EDITION: usize = 0;

/// Returns the page of one face of a piece, as seen from that face.
pub(super) fn page(project: &Project, piece: usize, face: Face) -> Page {
    let own = &project.pieces[piece];
    let bounds = own.outline.bounds();
    let seen = match face {
        Face::Front => Affine::IDENTITY,
        Face::Back => mirror_about_x(bounds.center().x),
    };
    let shift = Vec2::new(ROOM_MM - bounds.x0, ROOM_MM - bounds.y0);
    let matrix = Affine::translate(shift) * seen;
    let layer = |name, drawing| PageLayer {
        name,
        step: None,
        matrix,
        drawing,
    };
    Page {
        label: format!("{}, {}", own.name, face.name()),
        width_mm: bounds.width() + 2.0 * ROOM_MM,
        height_mm: bounds.height() + 2.0 * ROOM_MM,
        layers: vec![
            layer("Paper", printed(project, piece, face)),
            layer("Operations", lines(own, face)),
            layer("Ways up", arrows(own)),
        ],
    }
}

/// The paper with what is printed on it, cut to the outline.
fn printed(project: &Project, piece: usize, face: Face) -> Drawing {
    let own = &project.pieces[piece];
    let declared = project.artwork_of(EDITION, piece);
    let planned = plan::artwork_under(project, EDITION, piece, Affine::IDENTITY);
    let layers = planned.iter().filter(|a| a.face == face);
    let mut items = vec![fill(own.outline.path(), PAPER)];
    items.extend(layers.map(|a| artwork::layer(declared[a.artwork], a, &own.id)));
    let holes = own.operations.iter();
    let holes = holes.filter(|o| o.kind == OperationKind::Hole);
    items.extend(holes.map(|hole| fill(hole.path.clone(), Colour::WHITE)));
    let clip = Item::Clip {
        path: own.outline.path(),
        rule: FillRule::EvenOdd,
        inner: Drawing { items },
    };
    Drawing { items: vec![clip] }
}

fn fill(path: BezPath, colour: Colour) -> Item {
    Item::Fill {
        path,
        rule: FillRule::EvenOdd,
        paint: Paint::flat(colour),
    }
}

fn lines(piece: &Piece, face: Face) -> Drawing {
    let line = |path: BezPath, kind: LineKind| Item::Stroke {
        path,
        stroke: kind.stroke(),
        paint: Paint::flat(kind.colour()),
    };
    let operations = piece.operations.iter().map(|operation| {
        let kind = match face {
            Face::Front => LineKind::of_kind(operation.kind),
            Face::Back => LineKind::of_kind(operation.kind).seen_from_behind(),
        };
        line(operation.path.clone(), kind)
    });
    let edge = line(piece.outline.path(), LineKind::Cut);
    Drawing {
        items: operations.chain([edge]).collect(),
    }
}

/// An arrow in each panel that has a way up, pointing that way.
fn arrows(piece: &Piece) -> Drawing {
    let items = piece.panels.iter().filter_map(arrow);
    Drawing {
        items: items.collect(),
    }
}

fn arrow(panel: &Panel) -> Option<Item> {
    let (sin, cos) = panel.up?.sin_cos();
    let small = panel.bounds_mm.width().min(panel.bounds_mm.height());
    let long = (small * ARROW_SHARE).min(ARROW_MM);
    let (up, aside) = (Vec2::new(sin, -cos), Vec2::new(cos, sin));
    let middle = middle(panel);
    let (foot, tip) = (middle - up * (long / 2.0), middle + up * (long / 2.0));
    let barb = long * BARB_SHARE;
    let mut path = BezPath::new();
    path.move_to(foot);
    path.line_to(tip);
    path.move_to(tip - up * barb - aside * barb);
    path.line_to(tip);
    path.line_to(tip - up * barb + aside * barb);
    Some(Item::Stroke {
        path,
        stroke: Stroke::solid(ARROW_LINE_MM),
        paint: Paint::flat(ARROW),
    })
}

/// Near the middle of a panel: its box's middle where the point inside is not far from that.
fn middle(panel: &Panel) -> Point {
    let bounds: Rect = panel.bounds_mm;
    let centre = bounds.center();
    let near = bounds.inflate(-bounds.width() / 4.0, -bounds.height() / 4.0);
    if near.contains(panel.inside_mm) {
        centre
    } else {
        panel.inside_mm
    }
}

//! Width below a drawing and height right of it, and the arrow to the edge that is up.

use kurbo::{BezPath, Point, Rect, Vec2};

use super::super::super::typeset::{INK, Letter};
use super::Seen;
use crate::drawing::{FillRule, Item, Paint, Stroke};
use crate::project::Edge;

/// From the piece's edge to the line of a size.
const OUT_MM: f64 = 4.5;
/// Extension lines begin and end so far from the piece's edge.
const EXTENSION_MM: (f64, f64) = (2.0, 6.0);
const LINE_MM: f64 = 0.2;
const TIP_MM: (f64, f64) = (2.4, 0.8);
/// Length of the arrow to the edge that is up.
const ARROW_MM: f64 = 9.0;

/// Both sizes, with the box they fill.
pub(super) fn sizes(seen: &Seen<'_>) -> (Vec<Item>, Rect) {
    let style = seen.told.handout.style;
    let (w, h) = (seen.width_mm, seen.height_mm);
    let mut lines = BezPath::new();
    let mut segment = |from: (f64, f64), to: (f64, f64)| {
        lines.move_to(from);
        lines.line_to(to);
    };
    let (near, far) = EXTENSION_MM;
    segment((0.0, h + near), (0.0, h + far));
    segment((w, h + near), (w, h + far));
    segment((0.0, h + OUT_MM), (w, h + OUT_MM));
    segment((w + near, 0.0), (w + far, 0.0));
    segment((w + near, h), (w + far, h));
    segment((w + OUT_MM, 0.0), (w + OUT_MM, h));
    let letter = Letter::BODY;
    let (width, height) = seen.drawn_size();
    let (width, height) = (width.display(style), height.display(style));
    let below = Point::new(w / 2.0, h + OUT_MM + 1.2 + letter.drop_mm());
    let beside = Point::new(w + OUT_MM + 1.8, h / 2.0 + 0.35 * letter.size_mm);
    let mut items = vec![
        Item::Stroke {
            path: lines,
            stroke: Stroke::solid(LINE_MM),
            paint: Paint::flat(INK),
        },
        letter.about(&width, below, INK),
        letter.at(&height, beside, INK),
    ];
    items.extend([
        tip(Point::new(0.0, h + OUT_MM), Vec2::new(-1.0, 0.0)),
        tip(Point::new(w, h + OUT_MM), Vec2::new(1.0, 0.0)),
        tip(Point::new(w + OUT_MM, 0.0), Vec2::new(0.0, -1.0)),
        tip(Point::new(w + OUT_MM, h), Vec2::new(0.0, 1.0)),
    ]);
    let half_mm = letter.width_mm(&width) / 2.0;
    let mut filled = Rect::new(
        (w / 2.0 - half_mm).min(0.0),
        0.0,
        (w + OUT_MM + 1.8 + letter.width_mm(&height)).max(w / 2.0 + half_mm),
        h + OUT_MM + 1.2 + letter.leading_mm(),
    );
    if let Some(up) = seen.piece.pattern_up {
        let (arrow, own) = up_arrow(seen, seen.edge(up));
        items.extend(arrow);
        filled = filled.union(own);
    }
    (items, filled)
}

/// A filled tip of an arrow that ends at `end` and points along `way`.
fn tip(end: Point, way: Vec2) -> Item {
    let across = Vec2::new(0.0 - way.y, way.x) * TIP_MM.1;
    let back = end - way * TIP_MM.0;
    let mut path = BezPath::new();
    path.move_to(end);
    path.line_to(back + across);
    path.line_to(back - across);
    path.close_path();
    Item::Fill {
        path,
        rule: FillRule::NonZero,
        paint: Paint::flat(INK),
    }
}

/// An arrow towards an edge with words beside it, right of the height.
fn up_arrow(seen: &Seen<'_>, edge: Edge) -> (Vec<Item>, Rect) {
    let letter = Letter::BODY;
    let style = seen.told.handout.style;
    let height_mm = letter.width_mm(&seen.drawn_size().1.display(style));
    let left_mm = seen.width_mm + OUT_MM + 1.8 + height_mm + 4.0;
    let way = match edge {
        Edge::Top => Vec2::new(0.0, -1.0),
        Edge::Right => Vec2::new(1.0, 0.0),
        Edge::Bottom => Vec2::new(0.0, 1.0),
        Edge::Left => Vec2::new(-1.0, 0.0),
    };
    let middle = Point::new(
        left_mm + ARROW_MM / 2.0,
        seen.height_mm / 2.0 - ARROW_MM / 2.0,
    );
    let mut shaft = BezPath::new();
    shaft.move_to(middle - way * (ARROW_MM / 2.0));
    shaft.line_to(middle + way * (ARROW_MM / 2.0 - 1.0));
    let mut items = vec![
        Item::Stroke {
            path: shaft,
            stroke: Stroke::solid(0.5),
            paint: Paint::flat(INK),
        },
        tip(middle + way * (ARROW_MM / 2.0), way),
    ];
    let mut y_mm = middle.y + ARROW_MM / 2.0 + 1.0;
    let mut widest_mm = ARROW_MM;
    for words in ["this", "edge up"] {
        items.push(letter.at(words, (left_mm, y_mm + letter.drop_mm()), INK));
        y_mm += letter.leading_mm();
        widest_mm = widest_mm.max(letter.width_mm(words));
    }
    let filled = Rect::new(
        left_mm,
        middle.y - ARROW_MM / 2.0,
        left_mm + widest_mm,
        y_mm,
    );
    (items, filled)
}

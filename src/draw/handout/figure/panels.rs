//! Names of panels, written on them; where there is no room a small letter, with a key below the drawing.

use kurbo::{Affine, BezPath, Line, Point, Rect, Shape};

use super::super::super::treated::Parts;
use super::super::super::typeset::{GREY, INK, Letter};
use super::place::{alone_inside, beside, inside};
use super::{Seen, boxed};
use crate::drawing::{Colour, FillRule, Item, Paint, Stroke};
use crate::geometry::Outline;
use crate::project::OperationKind;

/// Height of a box of words, in ems of them; that of a letter or a number alone, which reaches as high as capitals.
const HIGH_EM: f64 = 1.0;
const CAPITAL_EM: f64 = 0.72;
/// From the middle of that to the baseline.
const BASELINE_EM: f64 = 0.34;
/// Most letters of a name that nothing shorter stands for.
const SHORT: usize = 2;
/// How far beside the piece letters may stand.
const BESIDE_MM: f64 = 9.0;

/// The names of a piece's panels, and what its small letters stand for.
pub(super) fn named(seen: &Seen<'_>) -> (Vec<Item>, Vec<String>) {
    let piece = seen.piece;
    if piece.panels.len() < 2 {
        return (Vec::new(), Vec::new());
    }
    let parts = Parts::of(piece);
    let mut taken = obstacles(seen);
    let mut items = Vec::new();
    let mut key = Vec::new();
    for panel in &piece.panels {
        let Some(part) = parts.at(panel.inside_mm) else {
            continue;
        };
        let area = part.transformed(seen.map);
        if let Some((spot, turned)) = spot(&area, &panel.name, &taken) {
            items.extend(words(&panel.name, spot, turned));
            taken.push(spot);
            continue;
        }
        // A number is as short as a letter that stands for it.
        let letter = if panel.name.chars().count() <= SHORT {
            panel.name.clone()
        } else {
            let letter = small_letter(key.len());
            key.push(format!("{letter} = {}", panel.name));
            letter
        };
        let (set, spot) = lettered(seen, &letter, &area, seen.map * panel.inside_mm, &taken);
        items.extend(set);
        taken.push(spot);
    }
    (items, key)
}

/// Boxes of what words keep off, beside creases, which bound the panels anyway.
fn obstacles(seen: &Seen<'_>) -> Vec<Rect> {
    let drawn = seen.piece.operations.iter().filter(|o| match o.kind {
        OperationKind::Cut
        | OperationKind::PartialCut
        | OperationKind::Hole
        | OperationKind::Line => true,
        OperationKind::Crease { .. } | OperationKind::Perforation { .. } => false,
    });
    drawn
        .flat_map(|o| {
            let path = seen.map * o.path.clone();
            segment_boxes(&path)
        })
        .collect()
}

fn segment_boxes(path: &BezPath) -> Vec<Rect> {
    path.segments().map(|s| s.bounding_box()).collect()
}

/// Room for a name in its panel: level, else upright.
fn spot(area: &Outline, name: &str, taken: &[Rect]) -> Option<(Rect, bool)> {
    let letter = Letter::BODY;
    let (long, high) = (letter.width_mm(name), HIGH_EM * letter.size_mm);
    let level = inside(area, (long, high), taken).map(|spot| (spot, false));
    level.or_else(|| inside(area, (high, long), taken).map(|spot| (spot, true)))
}

/// A small letter in its panel, or beside it with a line to it.
fn lettered(
    seen: &Seen<'_>,
    letter: &str,
    area: &Outline,
    inside_mm: Point,
    taken: &[Rect],
) -> (Vec<Item>, Rect) {
    let size = (
        Letter::BODY.width_mm(letter),
        CAPITAL_EM * Letter::BODY.size_mm,
    );
    let roomy = (size.0, HIGH_EM * Letter::BODY.size_mm);
    let spot = inside(area, roomy, taken).or_else(|| alone_inside(area, size, taken));
    if let Some(spot) = spot {
        return (words(letter, spot, false), spot);
    }
    let mut all = taken.to_vec();
    for operation in &seen.piece.operations {
        all.extend(segment_boxes(&(seen.map * operation.path.clone())));
    }
    all.extend(segment_boxes(&seen.outline()));
    let bounds = seen.bounds().inflate(BESIDE_MM, BESIDE_MM);
    let whole = seen.piece.outline.transformed(seen.map);
    let spot = beside(inside_mm, size, &all, (bounds, &whole))
        .unwrap_or_else(|| Rect::from_center_size(inside_mm, size));
    let mut items = words(letter, spot, false);
    if !spot.contains(inside_mm) {
        let end = Point::new(
            inside_mm.x.clamp(spot.x0 - 0.4, spot.x1 + 0.4),
            inside_mm.y.clamp(spot.y0 - 0.4, spot.y1 + 0.4),
        );
        items.push(Item::Stroke {
            path: Line::new(inside_mm, end).to_path(0.1),
            stroke: Stroke::solid(0.15),
            paint: Paint::flat(GREY),
        });
    }
    (items, spot)
}

/// Words in their box, on white, so that hatching does not run through them.
fn words(text: &str, spot: Rect, turned: bool) -> Vec<Item> {
    let letter = Letter::BODY;
    let middle = spot.center();
    let (long, drop) = (letter.width_mm(text), BASELINE_EM * letter.size_mm);
    let matrix = if turned {
        Affine::new([0.0, -1.0, 1.0, 0.0, middle.x + drop, middle.y + long / 2.0])
    } else {
        Affine::translate((middle.x - long / 2.0, middle.y + drop))
    };
    let plate = Item::Fill {
        path: boxed(&spot.to_path(0.1)).inflate(0.4, 0.2).to_path(0.1),
        rule: FillRule::NonZero,
        paint: Paint::flat(Colour::WHITE),
    };
    vec![plate, letter.placed(text, matrix, INK)]
}

fn small_letter(position: usize) -> String {
    super::words::letter(position).to_lowercase()
}

//! What stands on a piece: hatched areas, and the names of its panels.

use kurbo::{Affine, BezPath, Point, Rect, Shape, Vec2};

use super::caption::ARROWS;
use super::leaf::tagged;
use super::subject::Subject;
use super::words::{CAPITAL_MM, TEXT_MM, Words};
use crate::draw::text::TextLine;
use crate::draw::treated::{Parts, What, hatched, treated_areas};
use crate::drawing::{Colour, FillRule, Item, Paint, Weight};
use crate::geometry::Outline;
use crate::project::{Face, Panel, Piece};

/// How far the lines of a hatching are apart, at true size, by what they are on small drawings.
const APART: f64 = 2.0;

/// What is done, as a caption says it.
pub(super) const fn words(what: What) -> &'static str {
    match what {
        What::Glued => "glue",
        What::Embossed => "emboss",
        What::Stamped => "stamp",
        What::Plain => "leave plain",
    }
}

/// The areas of a piece, hatched.
pub(super) fn hatches(subject: &Subject<'_>, page_from_piece: Affine) -> Vec<Item> {
    let areas = treated_areas(subject.project, subject.piece);
    let items = areas.into_iter().enumerate().map(|(i, area)| {
        let id = format!("{}.area-{}", subject.id(), i + 1);
        let path = page_from_piece * area.path;
        tagged("area", &id, hatch(&path, area.what, area.face))
    });
    items.collect()
}

/// Lines across an area: dashed where the other face is meant.
pub(super) fn hatch(path: &BezPath, what: What, face: Face) -> Vec<Item> {
    hatched(path, what, face == Face::Back, APART)
}

/// The names of panels, each where it fits, with an arrow where a panel has its top in the finished object. A name goes on a page of
/// several only if it is whole there, unless it is whole on none.
pub(super) fn names(subject: &Subject<'_>, page_from_piece: Affine, seen: Rect) -> Vec<Item> {
    let piece = &subject.project.pieces[subject.piece];
    if piece.panels.len() < 2 {
        return Vec::new();
    }
    let parts = Parts::of(piece);
    let letters = lettered(piece);
    let named = piece.panels.iter().filter_map(|panel| {
        let inside = page_from_piece * panel.inside_mm;
        let part = &parts.at(panel.inside_mm)?.transformed(page_from_piece);
        if let Some((_, letter)) = letters.iter().find(|(name, _)| *name == panel.name) {
            let letter = Words::plain(letter.clone());
            let spot = placed(&letter, part, inside, seen);
            return spot.or_else(|| seen.contains(inside).then(|| set(&letter, inside, false)));
        }
        let name = spelled(panel, page_from_piece);
        placed(&name, part, inside, seen)
    });
    named.collect()
}

/// Names of panels that have no room for them, each with the letter that stands for it.
pub(super) fn lettered(piece: &Piece) -> Vec<(&str, String)> {
    if piece.panels.len() < 2 {
        return Vec::new();
    }
    let parts = Parts::of(piece);
    let whole = piece.outline.bounds();
    let has_room = |panel: &&Panel| {
        let part = parts.at(panel.inside_mm);
        let name = spelled(panel, Affine::IDENTITY);
        part.is_none_or(|part| placed(&name, part, panel.inside_mm, whole).is_some())
    };
    let small = piece.panels.iter().filter(|panel| !has_room(panel));
    small
        .enumerate()
        .map(|(i, panel)| (panel.name.as_str(), letters(i).to_lowercase()))
        .collect()
}

/// A to Z, then A2 to Z2, ...
pub(super) fn letters(number: usize) -> String {
    let letter = char::from(b'A' + u8::try_from(number % 26).expect("less than 26"));
    match number / 26 {
        0 => letter.to_string(),
        round => format!("{letter}{}", round + 1),
    }
}

fn spelled(panel: &Panel, page_from_piece: Affine) -> Words {
    let [a, ..] = page_from_piece.as_coeffs();
    let turned_deg = if a.abs() < 0.5 { 90.0 } else { 0.0 };
    let arrow = panel.up.map(|up| {
        let deg = (up.deg() + turned_deg) % 360.0;
        let quarter = [0.0, 90.0, 180.0, 270.0]
            .into_iter()
            .position(|q: f64| (q - deg).abs() < 45.0);
        ARROWS[quarter.unwrap_or(0)]
    });
    Words::plain(arrow.map_or_else(
        || panel.name.clone(),
        |arrow| format!("{} {arrow}", panel.name),
    ))
}

/// Sets a name level or upright in its part of the page, in the middle if it fits there; nothing where it fits nowhere.
fn placed(name: &Words, part: &Outline, inside: Point, seen: Rect) -> Option<Item> {
    let half = Vec2::new(name.width_mm() / 2.0 + 0.5, CAPITAL_MM / 2.0 + 1.2);
    let middles = [part.bounds().center(), inside];
    for half in [half, Vec2::new(half.y, half.x)] {
        for middle in middles {
            let area = Rect::from_points(middle - half, middle + half);
            let is_seen = area.intersect(seen).area() >= area.area() - 1e-9;
            if is_on(part, area) && is_seen {
                return Some(set(name, middle, half.x < half.y));
            }
        }
    }
    None
}

fn is_on(part: &Outline, area: Rect) -> bool {
    let middle = area.center();
    let xs = [area.x0, middle.x, area.x1];
    let ys = [area.y0, middle.y, area.y1];
    xs.into_iter()
        .all(|x| ys.into_iter().all(|y| part.contains(Point::new(x, y))))
}

fn set(name: &Words, middle: Point, is_upright: bool) -> Item {
    let (along_mm, down_mm) = (name.width_mm() / 2.0, CAPITAL_MM / 2.0);
    let line = TextLine::weighted(&name.text, TEXT_MM, Weight::Regular);
    // On white, so that a hatching does not run through it.
    let matrix = if is_upright {
        Affine::new([0.0, -1.0, 1.0, 0.0, middle.x + down_mm, middle.y + along_mm])
    } else {
        Affine::translate((middle.x - along_mm, middle.y + down_mm))
    };
    let plate = Rect::new(-0.4, -CAPITAL_MM - 0.4, 2.0 * along_mm + 0.4, 1.1);
    tagged(
        "name",
        &name.text,
        vec![
            Item::Fill {
                path: matrix * plate.to_path(0.1),
                rule: FillRule::NonZero,
                paint: Paint::flat(Colour::WHITE),
            },
            line.placed(matrix, Colour::BLACK),
        ],
    )
}

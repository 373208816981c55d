//! Where on the page the error is: an arrow at each target, drawn many times as long as it is.
//!
//! Each face has two panels side by side: what the printer does by itself, and what is left once pages are made with the profile.

use kurbo::{Affine, BezPath, Point, Rect, Size, Vec2};

use super::mark_error::{MarkError, MarkSummary, place_words};
use super::result::{FaceResult, ScanResult};
use crate::draw::page::{Page, PageLayer};
use crate::drawing::{Colour, Drawing, FillRule, Item, Paint, Stroke};
use crate::emit;
use crate::font::{self, Face as Font};
use crate::project::Face;

/// Resolution of the picture.
const DPI: f64 = 150.0;

/// Sheets are drawn so that their longer side is this long, in millimetres.
const LONG_SIDE_MM: f64 = 150.0;

/// Arrows are never longer than for an error of this many millimetres at the worst place: a smaller one is to look small.
const LEAST_SHOWN_MM: f64 = 0.02;

const BORDER_MM: f64 = 8.0;
const GAP_MM: f64 = 10.0;
const TITLE_MM: f64 = 12.0;
/// Room for the words above a panel, and for the measure and the numbers below it.
const HEAD_MM: f64 = 7.0;
const FOOT_MM: f64 = 17.0;
const TEXT_MM: f64 = 3.4;
const TITLE_TEXT_MM: f64 = 5.0;
const HAIR_MM: f64 = 0.2;
const SHAFT_MM: f64 = 0.45;
const DOT_MM: f64 = 0.7;
const HEAD_LENGTH_MM: f64 = 2.0;

/// The longest arrow reaches this share of the way to the next target.
const REACH: f64 = 0.9;

const GREY: Colour = Colour::rgb(120, 120, 120);
const PAPER: Colour = Colour::rgb(250, 249, 245);
const BEFORE: Colour = Colour::rgb(178, 45, 38);
const AFTER: Colour = Colour::rgb(20, 110, 80);

/// Returns the picture as a PNG file, or `None` where no target was measured.
///
/// `page` is the size of the printed page in millimetres, `title` stands above all.
#[must_use]
pub fn residual_picture(result: &ScanResult, page: Size, title: &str) -> Option<Vec<u8>> {
    let faces: Vec<&FaceResult> = result.front.iter().chain(&result.back).collect();
    if faces.iter().all(|f| f.before.is_empty()) {
        return None;
    }
    Some(emit::png::write(
        &picture_page(&faces, page, title),
        &[],
        DPI,
    ))
}

fn picture_page(faces: &[&FaceResult], page: Size, title: &str) -> Page {
    let scale = LONG_SIDE_MM / page.max_side();
    let panel = page * scale;
    let row_mm = HEAD_MM + panel.height + FOOT_MM;
    let mut items = vec![text(
        title,
        TITLE_TEXT_MM,
        Point::new(BORDER_MM, BORDER_MM + TITLE_TEXT_MM),
        Colour::BLACK,
    )];
    let mut top_mm = BORDER_MM + TITLE_MM;
    for face in faces {
        let name = match face.face {
            Face::Front => "Front",
            Face::Back => "Back as seen from the front",
        };
        for (column, (marks, colour, words)) in [
            (&face.before, BEFORE, "the printer by itself"),
            (&face.after, AFTER, "what stays with the profile"),
        ]
        .into_iter()
        .enumerate()
        {
            let left_mm = BORDER_MM + column as f64 * (panel.width + GAP_MM);
            let sheet = Rect::from_origin_size((left_mm, top_mm + HEAD_MM), panel);
            let head = Point::new(left_mm, top_mm + HEAD_MM - 2.0);
            items.push(text(
                &format!("{name}: {words}"),
                TEXT_MM,
                head,
                Colour::BLACK,
            ));
            items.extend(panel_items(marks, page, sheet, colour));
        }
        top_mm += row_mm;
    }
    Page {
        label: title.to_owned(),
        width_mm: 2.0 * (BORDER_MM + panel.width) + GAP_MM,
        height_mm: top_mm + BORDER_MM - 4.0,
        layers: vec![PageLayer {
            name: "picture",
            step: None,
            matrix: Affine::IDENTITY,
            drawing: Drawing { items },
        }],
    }
}

/// One sheet with its arrows, the measure under it, and the numbers.
fn panel_items(marks: &[MarkError], page: Size, sheet: Rect, colour: Colour) -> Vec<Item> {
    let Some(summary) = MarkSummary::of(marks) else {
        return Vec::new();
    };
    let to_panel =
        Affine::translate(sheet.origin().to_vec2()) * Affine::scale(sheet.width() / page.width);
    let room_mm = room_mm(marks, page) * sheet.width() / page.width;
    let longest_mm = summary.worst_mm.max(LEAST_SHOWN_MM);
    let measure_mm = measure_mm(longest_mm);
    // The measure's arrow is as long as there is room for the longest one, by its share.
    let times = room_mm / longest_mm;
    let mut items = vec![
        fill(rectangle(sheet), PAPER),
        stroke(rectangle(sheet), HAIR_MM, GREY),
    ];
    for mark in marks {
        items.extend(arrow(to_panel * mark.at, mark.off * times, colour));
    }
    let start = Point::new(sheet.x0 + 1.0, sheet.y1 + 5.0);
    items.extend(arrow(
        start,
        Vec2::new(measure_mm * times, 0.0),
        Colour::BLACK,
    ));
    let after_measure = start + Vec2::new(measure_mm * times + 3.0, TEXT_MM * 0.35);
    let on_paper = times * page.width / sheet.width();
    items.push(text(
        &format!(
            "= {measure_mm} mm on the sheet; arrows {} times as long as the error",
            round_factor(on_paper)
        ),
        TEXT_MM,
        after_measure,
        Colour::BLACK,
    ));
    let numbers = format!(
        "on the whole {:.3} mm (rms), worst {:.3} mm, {}",
        summary.rms_mm,
        summary.worst_mm,
        place_words(summary.worst_at, page)
    );
    let below = Point::new(sheet.x0, sheet.y1 + 12.0);
    items.push(text(&numbers, TEXT_MM, below, Colour::BLACK));
    items
}

/// How long an arrow may be in the page's millimetres: not quite to the next target, and not over the page's edge.
fn room_mm(marks: &[MarkError], page: Size) -> f64 {
    let steps = marks.iter().enumerate().flat_map(|(i, a)| {
        let rest = &marks[i + 1..];
        rest.iter()
            .map(move |b| (a.at - b.at).hypot2().sqrt() * REACH)
    });
    let insets = marks.iter().map(|m| {
        let across = m.at.x.min(page.width - m.at.x);
        across.min(m.at.y).min(page.height - m.at.y)
    });
    steps.chain(insets).fold(f64::INFINITY, f64::min)
}

/// A round length near the worst error: 1, 2 or 5 times a power of ten, between a thousandth of a millimetre and 10 mm.
fn measure_mm(worst_mm: f64) -> f64 {
    const ROUND_MM: [f64; 8] = [10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05];
    ROUND_MM
        .into_iter()
        .find(|round| *round <= worst_mm)
        .unwrap_or(LEAST_SHOWN_MM)
}

/// Two digits are enough for a factor that is only to be seen.
fn round_factor(factor: f64) -> String {
    if factor >= 100.0 {
        format!("{:.0}", (factor / 10.0).round() * 10.0)
    } else {
        format!("{factor:.0}")
    }
}

fn arrow(from: Point, way: Vec2, colour: Colour) -> Vec<Item> {
    let mut items = vec![fill(dot(from), GREY)];
    let length_mm = way.hypot2().sqrt();
    if length_mm < DOT_MM {
        return items;
    }
    let along = way / length_mm;
    let aside = Vec2::new(-along.y, along.x);
    let head_mm = HEAD_LENGTH_MM.min(length_mm);
    let (tip, neck) = (from + way, from + along * (length_mm - head_mm));
    let mut shaft = BezPath::new();
    shaft.move_to(from);
    shaft.line_to(neck);
    items.push(stroke(shaft, SHAFT_MM, colour));
    let mut head = BezPath::new();
    head.move_to(tip);
    head.line_to(neck + aside * (head_mm * 0.4));
    head.line_to(neck - aside * (head_mm * 0.4));
    head.close_path();
    items.push(fill(head, colour));
    items
}

/// A diamond is round enough for a dot of a millimetre.
fn dot(at: Point) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(at - Vec2::new(DOT_MM, 0.0));
    path.line_to(at - Vec2::new(0.0, DOT_MM));
    path.line_to(at + Vec2::new(DOT_MM, 0.0));
    path.line_to(at + Vec2::new(0.0, DOT_MM));
    path.close_path();
    path
}

fn rectangle(rect: Rect) -> BezPath {
    let mut path = BezPath::new();
    path.move_to((rect.x0, rect.y0));
    path.line_to((rect.x1, rect.y0));
    path.line_to((rect.x1, rect.y1));
    path.line_to((rect.x0, rect.y1));
    path.close_path();
    path
}

fn fill(path: BezPath, colour: Colour) -> Item {
    Item::Fill {
        path,
        rule: FillRule::NonZero,
        paint: Paint::flat(colour),
    }
}

fn stroke(path: BezPath, width_mm: f64, colour: Colour) -> Item {
    Item::Stroke {
        path,
        stroke: Stroke::solid(width_mm),
        paint: Paint::flat(colour),
    }
}

/// Words with their baseline at a point. Characters that the font lacks are left out: a title may name a file.
fn text(words: &str, size_mm: f64, at: Point, colour: Colour) -> Item {
    let font = Font::carried();
    let lacks = font::missing(&font, words);
    let shown: String = font::normalise(words)
        .chars()
        .filter(|c| !lacks.contains(c))
        .collect();
    let place = Affine::translate(at.to_vec2());
    let run = font::run(&font, &shown, size_mm, place, Paint::flat(colour));
    Item::Glyphs(run.expect("what the font lacks was left out"))
}

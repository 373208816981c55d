//! Labels for the bags, to cut apart along hair lines.

use kurbo::{BezPath, Vec2};

use super::super::typeset::{
    Block, GREY, Letter, Look, WIDTH_MM, line_of_text, moved_all, paragraph, stack,
};
use super::{Told, section, title};
use crate::drawing::{Item, Paint, Stroke};

const COLUMNS: u32 = 2;
const MARGIN_MM: f64 = 4.0;
/// Highest label, so that a page holds some.
const HIGHEST_MM: f64 = 110.0;
const HAIR_LINE_MM: f64 = 0.1;

/// One label for each copy, spares included; nothing where nothing goes into bags.
pub(super) fn blocks(told: Told<'_>) -> Vec<Block> {
    if told.handout.kit.is_empty() {
        return Vec::new();
    }
    let labels = labels(told);
    let highest = labels.iter().map(|l| l.height_mm).fold(0.0, f64::max);
    let height_mm = highest.min(HIGHEST_MM) + 2.0 * MARGIN_MM;
    let mut blocks = vec![Block {
        starts_page: true,
        ..section("Bag labels, to cut apart")
    }];
    let mut rest = labels.into_iter().peekable();
    while rest.peek().is_some() {
        let row: Vec<Block> = rest.by_ref().take(2).collect();
        blocks.push(Block::new(row_items(&row, height_mm), height_mm));
    }
    blocks
}

fn column_mm() -> f64 {
    WIDTH_MM / f64::from(COLUMNS)
}

fn labels(told: Told<'_>) -> Vec<Block> {
    let of: u32 = told
        .project
        .editions
        .iter()
        .map(|e| e.copies + e.spares)
        .sum();
    let mut number = 0;
    let mut labels = Vec::new();
    for (i, edition) in told.project.editions.iter().enumerate() {
        for _ in 0..edition.copies + edition.spares {
            number += 1;
            labels.push(label(told, i, number, of));
        }
    }
    labels
}

fn label(told: Told<'_>, edition: usize, number: u32, of: u32) -> Block {
    let width_mm = column_mm() - 2.0 * MARGIN_MM;
    let mut parts = paragraph(&title(told.project), Look::strong(width_mm));
    let name = &told.project.editions[edition].name;
    let which = if name.is_empty() {
        format!("bag {number} of {of}")
    } else {
        format!("{name} · bag {number} of {of}")
    };
    parts.extend(paragraph(&which, Look::quiet(width_mm)));
    let own = told.handout.kit.iter();
    for line in own.filter(|line| line.edition.is_none_or(|e| e == edition)) {
        let text = match &line.of {
            Some(of) => format!("{}  {}, {of}", line.each, line.name),
            None => format!("{}  {}", line.each, line.name),
        };
        parts.extend(paragraph(&text, Look::body(width_mm)));
    }
    if let Some(by) = &told.project.lesson.by {
        let by = line_of_text(by, Letter::BODY, GREY);
        if Letter::BODY.width_mm(told.project.lesson.by.as_deref().unwrap_or("")) <= width_mm {
            parts.push(by.before(1.5));
        }
    }
    let mut fitting = Vec::new();
    let mut height_mm = 0.0;
    for part in parts {
        height_mm += part.height_mm + part.before_mm;
        if height_mm > HIGHEST_MM {
            break;
        }
        fitting.push(part);
    }
    stack(fitting)
}

/// Labels side by side in a frame of hair lines.
fn row_items(row: &[Block], height_mm: f64) -> Vec<Item> {
    let mut items = Vec::new();
    let mut lines = BezPath::new();
    let mut segment = |from: (f64, f64), to: (f64, f64)| {
        lines.move_to(from);
        lines.line_to(to);
    };
    let mut left_mm = 0.0;
    segment((0.0, 0.0), (0.0, height_mm));
    for label in row {
        let by = Vec2::new(left_mm + MARGIN_MM, MARGIN_MM);
        items.extend(moved_all(&label.items, by));
        left_mm += column_mm();
        segment((left_mm, 0.0), (left_mm, height_mm));
    }
    segment((0.0, 0.0), (left_mm, 0.0));
    segment((0.0, height_mm), (left_mm, height_mm));
    items.push(Item::Stroke {
        path: lines,
        stroke: Stroke::solid(HAIR_LINE_MM),
        paint: Paint::flat(GREY),
    });
    items
}

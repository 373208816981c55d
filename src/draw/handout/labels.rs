//! Labels for the bags, to cut apart along hair lines.

use std::iter::repeat;

use kurbo::{BezPath, Vec2};

use super::super::typeset::{Block, GREY, Letter, Look, WIDTH_MM, line_of_text, paragraph, stack};
use super::{Told, section};
use crate::drawing::{Item, Paint, Stroke, moved_all};
use crate::handout::BagLabels;

const COLUMNS: u32 = 2;
const MARGIN_MM: f64 = 4.0;
/// Highest label, so that a page holds some.
const HIGHEST_MM: f64 = 110.0;
const HAIR_LINE_MM: f64 = 0.1;

/// One label for each wanted copy; nothing where nothing goes into bags.
pub(super) fn blocks(told: Told<'_>) -> Vec<Block> {
    if told.handout.labels.is_empty() {
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
    let editions = told.handout.labels.iter();
    let labels = editions.flat_map(|own| (1..=own.bags).map(move |n| label(told, own, n)));
    labels.collect()
}

fn label(told: Told<'_>, own: &BagLabels, number: u32) -> Block {
    let width_mm = column_mm() - 2.0 * MARGIN_MM;
    let looks = [Look::strong(width_mm), Look::quiet(width_mm)];
    let looks = looks.into_iter().chain(repeat(Look::body(width_mm)));
    let lines = own.lines(number).into_iter().zip(looks);
    let mut parts: Vec<Block> = lines
        .flat_map(|(line, look)| paragraph(&line, look))
        .collect();
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

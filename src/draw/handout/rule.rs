//! A rule in both units, to check that a page was printed at its true size.

use kurbo::{BezPath, Point};

use super::super::typeset::{Block, INK, Letter, Look, paragraph};
use super::picture::tagged;
use super::{MEASURE_MM, section};
use crate::drawing::{Item, Paint, Stroke};

const MM_PER_INCH: f64 = 25.4;
const INCHES: u32 = 4;
const CENTIMETRES: u32 = 10;
/// From the top of the block to the line, with room for ticks and labels above.
const LINE_MM: f64 = 11.0;
const HEIGHT_MM: f64 = 22.0;
const LINE_WIDTH_MM: f64 = 0.2;
/// Room to the left for the label of zero.
const LEFT_MM: f64 = 3.0;

pub(super) fn blocks() -> Vec<Block> {
    let words = "Print these pages at 100 %. Before you measure anything on them, lay a ruler along this rule: \
                 both must agree.";
    let mut blocks = vec![section("Check rule")];
    blocks.extend(
        paragraph(words, Look::body(MEASURE_MM))
            .into_iter()
            .map(Block::with_next),
    );
    blocks.push(rule().before(2.0));
    blocks
}

/// Millimetres above the line, inches below it.
pub(super) fn rule() -> Block {
    let at = |x_mm: f64, up_mm: f64| Point::new(LEFT_MM + x_mm, LINE_MM - up_mm);
    let mut lines = BezPath::new();
    let mut segment = |from: Point, to: Point| {
        lines.move_to(from);
        lines.line_to(to);
    };
    segment(at(0.0, 0.0), at(f64::from(INCHES) * MM_PER_INCH, 0.0));
    let mut items = Vec::new();
    for mm in 0..=CENTIMETRES * 10 {
        let x_mm = f64::from(mm);
        segment(at(x_mm, 0.0), at(x_mm, tick_mm(mm, [10, 5])));
        if mm.is_multiple_of(20) {
            let text = if mm == 0 {
                "0 mm".to_owned()
            } else {
                mm.to_string()
            };
            items.push(label(&text, at(x_mm, 5.2)));
        }
    }
    for eighth in 0..=INCHES * 8 {
        let x_mm = f64::from(eighth) * MM_PER_INCH / 8.0;
        segment(at(x_mm, 0.0), at(x_mm, 0.0 - tick_mm(eighth, [8, 4])));
        if eighth.is_multiple_of(8) {
            let inches = eighth / 8;
            let text = if inches == 0 {
                "0 in".to_owned()
            } else {
                inches.to_string()
            };
            items.push(label(&text, at(x_mm, -8.2)));
        }
    }
    items.insert(0, stroke(lines));
    Block::new(vec![tagged("rule", "rule".to_owned(), items)], HEIGHT_MM)
}

/// Long at multiples of the first number, less so of the second.
const fn tick_mm(position: u32, multiples: [u32; 2]) -> f64 {
    if position.is_multiple_of(multiples[0]) {
        4.0
    } else if position.is_multiple_of(multiples[1]) {
        3.0
    } else {
        1.8
    }
}

fn label(text: &str, middle: Point) -> Item {
    let number_mm = Letter::BODY.width_mm(text.split(' ').next().unwrap_or(text));
    Letter::BODY.at(text, (middle.x - number_mm / 2.0, middle.y), INK)
}

fn stroke(path: BezPath) -> Item {
    Item::Stroke {
        path,
        stroke: Stroke::solid(LINE_WIDTH_MM),
        paint: Paint::flat(INK),
    }
}

#[cfg(test)]
mod tests {
    use kurbo::Shape;

    use super::*;

    #[test]
    fn the_rule_is_4_inches_long_with_a_tick_at_each_millimetre_to_100() {
        let block = rule();
        let [Item::Tagged { inner, .. }] = &block.items[..] else {
            panic!()
        };
        let Item::Stroke { path, .. } = &inner.items[0] else {
            panic!()
        };
        // 4 in are 101.6 mm.
        assert!((path.bounding_box().width() - 101.6).abs() < 1e-9);
        // The line, 101 ticks for 0 to 100 mm, 33 for 0 to 4 in by eighths.
        assert_eq!(path.segments().count(), 1 + 101 + 33);
    }
}

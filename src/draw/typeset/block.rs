//! Blocks: finished, measured drawings that are set one below the other and never split.

use kurbo::{BezPath, Point, Rect, Shape, Vec2};

use super::wrap::{MOST_LETTERS, wrapped_at};
use super::{GREY, INK, Letter};
use crate::drawing::{Colour, Item, Paint, Stroke, moved_all};

/// Above a heading of each rank.
const ABOVE_HEADING_MM: f64 = 9.0;
const ABOVE_SUBHEADING_MM: f64 = 5.5;
const BELOW_HEADING_MM: f64 = 1.6;
/// Around what is boxed.
const BOX_MARGIN_MM: f64 = 4.0;
const BOX_LINE_MM: f64 = 0.5;
const RULE_MM: f64 = 0.25;

/// A drawing with its height. Its origin is its top left corner.
#[derive(Debug, Clone, PartialEq, Default)]
pub(in crate::draw) struct Block {
    pub(in crate::draw) items: Vec<Item>,
    pub(in crate::draw) height_mm: f64,
    /// Free room above it, not at the top of a page.
    pub(in crate::draw) before_mm: f64,
    /// Whether it stands on the page of the next one.
    pub(in crate::draw) keeps_next: bool,
    /// Whether it begins a new page.
    pub(in crate::draw) starts_page: bool,
    /// Whether it only stands between two others, never at the top of a page.
    pub(in crate::draw) is_divider: bool,
    /// What is set once more above it where it is the first on a page: the head of a table.
    pub(in crate::draw) again: Option<Box<Self>>,
}

impl Block {
    pub(in crate::draw) fn new(items: Vec<Item>, height_mm: f64) -> Self {
        Self {
            items,
            height_mm,
            ..Self::default()
        }
    }

    pub(in crate::draw) fn before(self, before_mm: f64) -> Self {
        Self { before_mm, ..self }
    }

    pub(in crate::draw) fn with_next(self) -> Self {
        Self {
            keeps_next: true,
            ..self
        }
    }

    /// The same, shifted to the right.
    pub(in crate::draw) fn indented(self, by_mm: f64) -> Self {
        Self {
            items: moved_all(&self.items, Vec2::new(by_mm, 0.0)),
            ..self
        }
    }
}

/// How a paragraph looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::draw) struct Look {
    pub(in crate::draw) letter: Letter,
    pub(in crate::draw) colour: Colour,
    pub(in crate::draw) width_mm: f64,
    most_letters: usize,
}

impl Look {
    pub(in crate::draw) const fn body(width_mm: f64) -> Self {
        Self {
            letter: Letter::BODY,
            colour: INK,
            width_mm,
            most_letters: MOST_LETTERS,
        }
    }

    /// A fact to look up, on one line if the width allows.
    pub(in crate::draw) const fn fact(width_mm: f64) -> Self {
        Self {
            most_letters: usize::MAX,
            ..Self::body(width_mm)
        }
    }

    pub(in crate::draw) const fn strong(width_mm: f64) -> Self {
        Self {
            letter: Letter::STRONG,
            ..Self::body(width_mm)
        }
    }

    pub(in crate::draw) const fn quiet(width_mm: f64) -> Self {
        Self {
            colour: GREY,
            ..Self::body(width_mm)
        }
    }
}

/// One line, not broken.
pub(in crate::draw) fn line_of_text(text: &str, letter: Letter, colour: Colour) -> Block {
    let item = letter.at(text, (0.0, letter.drop_mm()), colour);
    Block::new(vec![item], letter.leading_mm())
}

/// A paragraph, a block for each line; its first two and its last two lines stay together.
pub(in crate::draw) fn paragraph(text: &str, look: Look) -> Vec<Block> {
    let lines = wrapped_at(text, look.letter, look.width_mm, look.most_letters);
    let count = lines.len();
    let set = |(i, line): (usize, &String)| Block {
        keeps_next: i + 1 < count && (i == 0 || i + 2 == count),
        ..line_of_text(line, look.letter, look.colour)
    };
    lines.iter().enumerate().map(set).collect()
}

/// A heading over `width_mm`, with a line below it if it is a main one. It stands on the page of what follows.
pub(in crate::draw) fn heading(text: &str, letter: Letter, width_mm: f64) -> Block {
    let lines = paragraph(
        text,
        Look {
            letter,
            ..Look::body(width_mm)
        },
    );
    let mut block = stack(lines);
    let is_main = letter == Letter::HEADING;
    if is_main {
        let y_mm = block.height_mm + 0.8;
        block.items.push(line(
            Point::new(0.0, y_mm),
            Point::new(width_mm, y_mm),
            0.5,
            INK,
        ));
        block.height_mm = y_mm + 1.0;
    }
    block.height_mm += BELOW_HEADING_MM;
    let before_mm = if is_main {
        ABOVE_HEADING_MM
    } else {
        ABOVE_SUBHEADING_MM
    };
    block.before(before_mm).with_next()
}

/// Free room that a page's end swallows.
pub(in crate::draw) fn gap(height_mm: f64) -> Block {
    Block::default().before(height_mm)
}

/// A hair line over `width_mm` between two things that stand on one page; none at the top of a page.
pub(in crate::draw) fn divider(width_mm: f64) -> Block {
    let item = line(
        Point::new(0.0, 0.0),
        Point::new(width_mm, 0.0),
        RULE_MM,
        GREY,
    );
    Block {
        keeps_next: true,
        is_divider: true,
        ..Block::new(vec![item], RULE_MM)
    }
}

/// Several blocks as one that never splits.
pub(in crate::draw) fn stack(blocks: Vec<Block>) -> Block {
    let mut whole = Block::default();
    for (i, block) in blocks.into_iter().enumerate() {
        if i == 0 {
            whole.before_mm = block.before_mm;
        } else {
            whole.height_mm += block.before_mm;
        }
        let by = Vec2::new(0.0, whole.height_mm);
        whole.items.extend(moved_all(&block.items, by));
        whole.height_mm += block.height_mm;
        whole.keeps_next = block.keeps_next;
    }
    whole
}

/// `right` at `x_mm` beside as many blocks of `left` as are needed to pass it; those are one block, the others follow.
pub(in crate::draw) fn beside(left: Vec<Block>, right: &Block, x_mm: f64) -> Vec<Block> {
    let mut first = Vec::new();
    let mut height_mm = 0.0;
    let mut rest = left.into_iter().peekable();
    while let Some(block) = rest.next_if(|_| height_mm < right.height_mm) {
        height_mm += block.height_mm
            + if first.is_empty() {
                0.0
            } else {
                block.before_mm
            };
        first.push(block);
    }
    let mut together = stack(first);
    together
        .items
        .extend(moved_all(&right.items, Vec2::new(x_mm, 0.0)));
    together.height_mm = together.height_mm.max(right.height_mm);
    let mut blocks = vec![together];
    blocks.extend(rest);
    blocks
}

/// Blocks as one with a frame around them, `width_mm` wide in all; what is inside was set for [`Block::boxed_width_mm`].
pub(in crate::draw) fn boxed(blocks: Vec<Block>, width_mm: f64) -> Block {
    let inner = stack(blocks);
    let height_mm = inner.height_mm + 2.0 * BOX_MARGIN_MM;
    let frame = Rect::new(0.0, 0.0, width_mm, height_mm)
        .inset(-BOX_LINE_MM / 2.0)
        .to_path(0.1);
    let by = Vec2::new(BOX_MARGIN_MM, BOX_MARGIN_MM);
    let mut items = vec![Item::Stroke {
        path: frame,
        stroke: Stroke::solid(BOX_LINE_MM),
        paint: Paint::flat(INK),
    }];
    items.extend(moved_all(&inner.items, by));
    Block {
        items,
        height_mm,
        before_mm: inner.before_mm,
        ..Block::default()
    }
}

impl Block {
    /// What is free inside a frame that is `width_mm` wide.
    pub(in crate::draw) fn boxed_width_mm(width_mm: f64) -> f64 {
        width_mm - 2.0 * BOX_MARGIN_MM
    }
}

/// A straight line.
pub(super) fn line(from: Point, to: Point, width_mm: f64, colour: Colour) -> Item {
    let mut path = BezPath::new();
    path.move_to(from);
    path.line_to(to);
    Item::Stroke {
        path,
        stroke: Stroke::solid(width_mm),
        paint: Paint::flat(colour),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(height_mm: f64) -> Block {
        Block::new(Vec::new(), height_mm)
    }

    #[test]
    fn a_paragraph_keeps_two_lines_at_both_ends() {
        let lines = paragraph(&"leek ".repeat(75), Look::body(150.0));
        let kept: Vec<bool> = lines.iter().map(|l| l.keeps_next).collect();
        assert_eq!(kept, [true, false, false, true, false]);
        // 11 pt and more with a leading of 1.35 em: 3.9 x 1.35 = 5.265 mm.
        assert!((lines[0].height_mm - 5.265).abs() < 1e-9);
    }

    #[test]
    fn a_stack_is_as_high_as_its_blocks_and_the_room_between() {
        let whole = stack(vec![
            plain(4.0).before(9.0),
            plain(5.0).before(2.0).with_next(),
        ]);
        assert!((whole.height_mm - 11.0).abs() < 1e-12);
        assert!((whole.before_mm - 9.0).abs() < 1e-12);
        assert!(whole.keeps_next);
    }

    #[test]
    fn text_that_is_longer_than_its_picture_goes_on_below() {
        let left = vec![plain(5.0), plain(5.0), plain(5.0)];
        let blocks = beside(left.clone(), &plain(8.0), 100.0);
        let heights: Vec<f64> = blocks.iter().map(|b| b.height_mm).collect();
        assert_eq!(heights, [10.0, 5.0]);
        let blocks = beside(left, &plain(40.0), 100.0);
        assert_eq!(blocks.len(), 1);
        assert!((blocks[0].height_mm - 40.0).abs() < 1e-12);
    }
}

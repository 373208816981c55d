//! Black lines and words, as areas and glyphs in millimetres.
//!
//! Lines are filled bars, not strokes: the chart is a picture, which is stretched onto its box, and a bar lies on the paper just where
//! the table says, whatever a printer does to the width of strokes.

use kurbo::{Affine, Point, Rect, Shape, Size};

use crate::drawing::{Colour, Drawing, FillRule, Item, Paint};
use crate::font::{self, Face};

/// Width of the chart's lines in millimetres: a hair line that home printers print without gaps.
pub(super) const LINE_MM: f64 = 0.13;

/// Where a line of words lies from its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Align {
    Left,
    Middle,
    Right,
}

/// How words are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Seen {
    /// On the page.
    Straight,
    /// From behind, against the light.
    Through,
}

/// What one part of the chart is made of.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Ink {
    pub(super) items: Vec<Item>,
    /// The box of each item, in the same order.
    pub(super) boxes: Vec<Rect>,
}

impl Ink {
    /// Adds an upright or level line.
    pub(super) fn line(&mut self, from: Point, to: Point) {
        let half_mm = LINE_MM / 2.0;
        let line = Rect::from_points(from, to);
        self.bar(if line.width() > line.height() {
            line.inflate(0.0, half_mm)
        } else {
            line.inflate(half_mm, 0.0)
        });
    }

    /// Adds a black rectangle.
    pub(super) fn bar(&mut self, bar: Rect) {
        self.push(
            Item::Fill {
                path: bar.to_path(0.0),
                rule: FillRule::NonZero,
                paint: Paint::flat(Colour::BLACK),
            },
            bar,
        );
    }

    /// Adds the outline of a square to be ticked.
    pub(super) fn tick_box(&mut self, square: Rect) {
        let corners = [
            Point::new(square.x0, square.y0),
            Point::new(square.x1, square.y0),
            Point::new(square.x1, square.y1),
            Point::new(square.x0, square.y1),
        ];
        for (i, from) in corners.iter().enumerate() {
            self.line(*from, corners[(i + 1) % 4]);
        }
    }

    /// Adds a line of words; `at` lies on the baseline.
    pub(super) fn words(&mut self, words: &str, size_mm: f64, at: Point, align: Align) {
        self.words_seen(words, size_mm, at, align, Seen::Straight);
    }

    /// Adds a line of words that may be meant for reading from behind.
    pub(super) fn words_seen(
        &mut self,
        words: &str,
        size_mm: f64,
        at: Point,
        align: Align,
        seen: Seen,
    ) {
        let face = Face::carried();
        let width_mm = font::width_mm(&face, words, size_mm);
        let to_left_mm = match align {
            Align::Left => 0.0,
            Align::Middle => width_mm / 2.0,
            Align::Right => width_mm,
        };
        let turned = match seen {
            Seen::Straight => Affine::IDENTITY,
            Seen::Through => Affine::FLIP_X,
        };
        let matrix =
            Affine::translate(at.to_vec2()) * turned * Affine::translate((-to_left_mm, 0.0));
        let run = font::run(
            &face,
            &words_in_font(&face, words),
            size_mm,
            matrix,
            Paint::flat(Colour::BLACK),
        )
        .expect("characters that the font lacks were taken out");
        let height_mm = face.cap_height_em() * size_mm;
        let line = Rect::new(0.0, -height_mm, width_mm, face.descent_em() * size_mm);
        self.push(Item::Glyphs(run), matrix.transform_rect_bbox(line));
    }

    /// Adds a finished drawing of areas.
    pub(super) fn drawing(&mut self, drawing: Drawing, bounds: Rect) {
        for item in drawing.items {
            self.push(item, bounds);
        }
    }

    fn push(&mut self, item: Item, bounds: Rect) {
        self.items.push(item);
        self.boxes.push(bounds);
    }
}

/// Returns the words without what the font lacks: names of formats come from projects, too.
fn words_in_font(face: &Face, words: &str) -> String {
    let missing = font::missing(face, words);
    font::normalise(words)
        .chars()
        .filter(|c| !missing.contains(c))
        .collect()
}

/// Breaks a text into lines of at most `widest_mm` between its words.
pub(super) fn lines(text: &str, size_mm: f64, widest_mm: f64) -> Vec<String> {
    let face = Face::carried();
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let longer = lines.last().map(|line| format!("{line} {word}"));
        match longer.filter(|line| font::width_mm(&face, line, size_mm) <= widest_mm) {
            Some(longer) => {
                lines.pop();
                lines.push(longer);
            }
            None => lines.push(word.to_owned()),
        }
    }
    lines
}

/// Returns a drawing in millimetres as a picture: the page is the unit square.
pub(super) fn in_unit_square(items: Vec<Item>, page: Size) -> Drawing {
    let to_unit = Affine::scale_non_uniform(1.0 / page.width, 1.0 / page.height);
    let squeezed = |item| match item {
        Item::Fill { path, rule, paint } => Item::Fill {
            path: to_unit * path,
            rule,
            paint,
        },
        Item::Glyphs(mut run) => {
            run.matrix = to_unit * run.matrix;
            Item::Glyphs(run)
        }
        // The chart has none of these: a stroke's width could not follow, the others need no squeezing to be kept whole.
        kept @ (Item::Stroke { .. }
        | Item::Clip { .. }
        | Item::Picture { .. }
        | Item::Tagged { .. }) => kept,
    };
    Drawing {
        items: items.into_iter().map(squeezed).collect(),
    }
}

//! Words drawn: as one vector picture, or one for each row of a list, all of one size and in one place.

use kurbo::{Affine, Rect};

use super::asset::Library;
use super::words::Asked;
use super::words_font::Font;
use super::words_room::Room;
use super::words_set::{Set, outline, set_all, to_box};
use super::words_template::{Text, one_line};
use crate::drawing::{Drawing, FillRule, GlyphRun, Item, Paint, PlacedGlyph, Weight};
use crate::font::{ShapedGlyph, ShapedLine, Shaper};
use crate::geometry::{Pose, unit_square_onto};
use crate::length::{Length, LengthStyle, Size};
use crate::project::{ListRow, PictureBox};

/// The words as pictures: where all of them lie, in the frame, and one for each text that has any.
pub(super) struct Laid {
    /// Shows the first of them.
    pub(super) place: PictureBox,
    pub(super) rows: Vec<ListRow>,
}

/// Sets words in their frame.
pub(super) fn lay(
    library: &Library<'_>,
    asked: &Asked,
    frame: kurbo::Size,
    style: LengthStyle,
) -> Laid {
    let room = Room::of(asked, frame, style);
    let sets = set_all(asked, room);
    let inks = sets.iter().flatten().map(|set| set.ink);
    let ink = inks.reduce(|all, ink| all.union(ink));
    let cover = cover(ink.unwrap_or(Rect::new(0.0, 0.0, 1.0, 1.0)));
    let (width, height) = (side(cover.width()), side(cover.height()));
    let to_unit = unit_square_onto(cover).inverse();
    let shaper = asked.font.shaper();
    let row = |(text, set): (&Text, &Option<Set>)| ListRow {
        line: text.line.unwrap_or(0),
        picture: set.as_ref().map(|set| {
            let name = format!("words \"{}\"", one_line(&text.text));
            let drawing = drawn(set, asked, to_unit, &shaper);
            library.drawn(&name, drawing, cover.height() / cover.width())
        }),
    };
    let rows: Vec<ListRow> = asked.texts.iter().zip(&sets).map(row).collect();
    let first = rows.iter().find_map(|row| row.picture);
    let corner = room.pose.to_affine() * cover.origin();
    Laid {
        place: PictureBox {
            asset: first.unwrap_or_else(|| library.drawn("words", Drawing::default(), 1.0)),
            width,
            height,
            pose: Pose {
                turn: room.pose.turn,
                ..Pose::at(corner.x, corner.y)
            },
        },
        rows,
    }
}

/// A box round all ink, on hundredths of a millimetre.
fn cover(ink: Rect) -> Rect {
    let down = |mm: f64| (mm * 100.0).floor() / 100.0;
    let up = |mm: f64| (mm * 100.0).ceil() / 100.0;
    Rect::new(down(ink.x0), down(ink.y0), up(ink.x1), up(ink.y1))
}

fn side(mm: f64) -> Size {
    let least = Length::from_um(10);
    Size::new(Length::nearest_mm(mm).max(least)).expect("a hundredth of a millimetre is a size")
}

fn drawn(set: &Set, asked: &Asked, to_unit: Affine, shaper: &Shaper<'_>) -> Drawing {
    let paint = Paint::flat(asked.colour);
    let mut items = Vec::new();
    for (line, start) in &set.lines {
        match &asked.font {
            Font::Carried(weight) => {
                let text_to_unit = to_unit * Affine::translate(start.to_vec2());
                let run = Run {
                    weight: *weight,
                    size_mm: set.size_mm,
                    text_to_unit,
                    paint: &paint,
                };
                run.set(line, shaper, &mut items);
            }
            Font::File { .. } => items.push(Item::Fill {
                path: to_unit * to_box(*start, set.size_mm) * outline(line, shaper),
                rule: FillRule::NonZero,
                paint: paint.clone(),
            }),
        }
    }
    Drawing { items }
}

/// How a line of the carried font is set, so that it stays text.
struct Run<'a> {
    weight: Weight,
    size_mm: f64,
    /// From the start of the baseline, in mm.
    text_to_unit: Affine,
    paint: &'a Paint,
}

impl Run<'_> {
    /// Letters on the baseline make one run, marks off it a run each; what stands for several characters at once is an outline.
    fn set(&self, line: &ShapedLine, shaper: &Shaper<'_>, items: &mut Vec<Item>) {
        let (mut text, mut glyphs) = (String::new(), Vec::new());
        let mut others = Vec::new();
        for glyphs_of_one in line.glyphs.chunk_by(|a, b| a.of == b.of) {
            let characters: Vec<char> = line.text[glyphs_of_one[0].of.clone()].chars().collect();
            let is_one_each = characters.len() == glyphs_of_one.len();
            for (n, glyph) in glyphs_of_one.iter().enumerate() {
                let at = glyph.at * self.size_mm;
                if !is_one_each {
                    others.push(self.outline(glyph, shaper));
                } else if at.y.abs() > 1e-9 {
                    let down = self.text_to_unit * Affine::translate((0.0, at.y));
                    let alone = vec![placed(glyph, at.x)];
                    others.push(self.run(characters[n].to_string(), alone, down));
                } else {
                    text.push(characters[n]);
                    glyphs.push(placed(glyph, at.x));
                }
            }
        }
        if !glyphs.is_empty() {
            items.push(self.run(text, glyphs, self.text_to_unit));
        }
        items.append(&mut others);
    }

    fn run(&self, text: String, glyphs: Vec<PlacedGlyph>, matrix: Affine) -> Item {
        Item::Glyphs(GlyphRun {
            weight: self.weight,
            text,
            size_mm: self.size_mm,
            glyphs,
            matrix,
            paint: self.paint.clone(),
        })
    }

    fn outline(&self, glyph: &ShapedGlyph, shaper: &Shaper<'_>) -> Item {
        let place = Affine::scale(self.size_mm) * Affine::translate(glyph.at);
        Item::Fill {
            path: self.text_to_unit * place * shaper.outline(glyph.glyph),
            rule: FillRule::NonZero,
            paint: self.paint.clone(),
        }
    }
}

fn placed(glyph: &ShapedGlyph, x_mm: f64) -> PlacedGlyph {
    PlacedGlyph {
        glyph: glyph.glyph,
        x_mm,
    }
}

//! The `[[piece.artwork]]` tables, and the same keys in `[[edition.artwork]]`.

use kurbo::Rect;

use super::artwork_panel::{self, PanelFrame};
use super::asset::Library;
use super::code;
use super::pattern::{self, Asked};
use super::pattern_laid::{self, Frame};
use super::picture::{self, Picture};
use super::picture_edge::{self, Around, Edge};
use super::shape::Shape;
use super::stock::READS;
use super::table::Table;
use super::value::Value;
use super::{words, words_drawn, words_set};
use crate::diagnostic::Origin;
use crate::drawing::Colour;
use crate::geometry::offset::offset;
use crate::geometry::{Outline, Pose, mirror_about_x};
use crate::length::{Length, LengthStyle};
use crate::project::{Artwork, ArtworkFill, Face, Listed, PictureBox, Reads};

const FACES: &[(&str, Face)] = &[("front", Face::Front), ("back", Face::Back)];

/// The keys of colours and pictures that say nothing about a pattern.
const OF_OTHERS: [&str; 10] = [
    "colour", "file", "width", "at", "turn", "fit", "crop", "mirror", "focus", "edge",
];

/// Artwork as declared, before it is placed: an edition may replace some of it.
#[derive(Debug, Clone)]
pub(super) struct Declared {
    pub(super) face: Face,
    content: Content,
    bleed: Length,
    reads: Option<Reads>,
    /// The panel whose upright frame it is measured in.
    panel: Option<PanelFrame>,
}

#[derive(Debug, Clone)]
enum Content {
    Flat(Colour),
    Picture(Picture),
    Pattern(Box<Asked>),
    Words(Box<words::Asked>),
}

/// Reads the artwork of a piece.
pub(super) fn read(
    table: &Table<'_>,
    library: &Library<'_>,
    bleed: Length,
    (piece_id, shape): (&str, Option<&Shape>),
) -> Option<Declared> {
    let face = table
        .optional("face", |v| v.choice(FACES))
        .unwrap_or(Face::Front);
    let panel = table.optional("panel", |value| {
        artwork_panel::read(value, face, piece_id, shape?)
    });
    let is_whole = table.has("panel") == panel.is_some();
    let read = read_keys(table, library, (face, panel), bleed, None);
    read.filter(|_| is_whole)
}

/// Reads artwork that an edition uses instead of `base`; keys that are not given stay as there.
pub(super) fn read_instead(
    table: &Table<'_>,
    library: &Library<'_>,
    base: &Declared,
) -> Option<Declared> {
    let place = (base.face, base.panel.clone());
    read_keys(table, library, place, base.bleed, Some(base))
}

fn read_keys(
    table: &Table<'_>,
    library: &Library<'_>,
    (face, panel): (Face, Option<PanelFrame>),
    bleed: Length,
    base: Option<&Declared>,
) -> Option<Declared> {
    let content = read_content(table, library, base.map(|b| &b.content));
    let bleed = table.optional("bleed", Value::length).unwrap_or(bleed);
    let reads = table.optional("reads", |v| v.choice(READS));
    table.close();
    let content = content?;
    if let Some(panel) = &panel {
        refuse_cover(table, &panel.name, &content)?;
    }
    Some(Declared {
        face,
        content,
        panel,
        bleed,
        reads: reads.or(base.and_then(|b| b.reads)),
    })
}

/// What covers a face whole has no end at the edges of a panel.
fn refuse_cover(table: &Table<'_>, panel: &str, content: &Content) -> Option<()> {
    let (key, what) = match content {
        Content::Flat(_) => ("colour", "a flat colour covers"),
        Content::Picture(picture) if picture.is_repeated => ("repeat", "a repeated picture covers"),
        // A pattern is only measured on its panel: it runs on over creases as if there were none.
        Content::Picture(_) | Content::Pattern(_) | Content::Words(_) => return Some(()),
    };
    let message = format!("{what} the whole face, not the panel \"{panel}\" alone");
    let hint = "leave panel out, or give a file with the width of the panel and its bleed";
    let origin = table.origin_of(key);
    table
        .mistakes()
        .fail(code::ARTWORK_PANEL, &origin, message, hint)
}

fn read_content(
    table: &Table<'_>,
    library: &Library<'_>,
    base: Option<&Content>,
) -> Option<Content> {
    let words = match base {
        Some(Content::Words(asked)) => Some(asked.as_ref()),
        Some(Content::Flat(_) | Content::Picture(_) | Content::Pattern(_)) | None => None,
    };
    if let Some(words) = words::read_if(table, library, words) {
        return words.map(|asked| Content::Words(Box::new(asked)));
    }
    if let Some(pattern) = read_pattern(table, base) {
        return pattern.map(|asked| Content::Pattern(Box::new(asked)));
    }
    let colour = table.optional("colour", read_colour);
    if table.has("colour") {
        if table.has("file") {
            table.conflict(
                "file",
                "stands beside colour",
                "make two artworks of them, painted in order",
            );
        }
        return flat(table, colour);
    }
    match base {
        Some(Content::Flat(declared)) if !table.has("file") => flat(table, Some(*declared)),
        Some(Content::Flat(_) | Content::Pattern(_) | Content::Words(_)) => {
            picture::read(table, library, None).map(Content::Picture)
        }
        Some(Content::Picture(declared)) => {
            picture::read(table, library, Some(declared)).map(Content::Picture)
        }
        None if table.has("file") => picture::read(table, library, None).map(Content::Picture),
        None => table.missing(
            "colour, no file, no pattern and no text",
            "colour = \"#a3b18a\", file = \"art/packet.svg\", pattern = \"stripe\" or text = \"Sweet basil\"",
        ),
    }
}

/// Reads a pattern where one is meant; `None` where it is not, `None` within where it has a mistake.
#[expect(
    clippy::option_option,
    reason = "what is not there differs from what is there and wrong"
)]
fn read_pattern(table: &Table<'_>, base: Option<&Content>) -> Option<Option<Asked>> {
    let base = match base {
        Some(Content::Pattern(asked)) => Some(asked.as_ref()),
        Some(Content::Flat(_) | Content::Picture(_) | Content::Words(_)) | None => None,
    };
    let is_other = table.has("colour") || table.has("file");
    if !table.has("pattern") {
        if base.is_some() && !is_other {
            table.know(&picture::KEYS);
            return Some(pattern::read(table, base));
        }
        refuse_pattern_keys(table);
        return None;
    }
    for key in OF_OTHERS {
        if table.has(key) {
            let hint = match key {
                "colour" => "write colours, the ground first, or make two artworks of them",
                "turn" => "write angle",
                "at" => "write offset",
                "mirror" => "write mirror_at",
                _ => "leave it out",
            };
            table.conflict(key, "says nothing about a pattern", hint);
        }
    }
    table.know(&OF_OTHERS);
    Some(pattern::read(table, base))
}

/// The keys of a pattern say nothing about a colour or a picture.
fn refuse_pattern_keys(table: &Table<'_>) {
    table.know(&["pattern"]);
    for key in pattern::KEYS {
        table.know(&[key]);
        if table.has(key) {
            table.conflict(
                key,
                "stands without a pattern",
                "write pattern = \"stripe\" beside it, or leave it out",
            );
        }
    }
}

/// A flat colour covers the face; the keys of a picture say nothing about it.
fn flat(table: &Table<'_>, colour: Option<Colour>) -> Option<Content> {
    table.know(&["file"]);
    table.know(&picture::KEYS);
    for key in picture::KEYS {
        if table.has(key) {
            table.conflict(
                key,
                "says nothing about a flat colour, which covers the face",
                &format!("leave {key} out"),
            );
        }
    }
    colour.map(Content::Flat)
}

/// Reads `#rgb`, `#rrggbb` or the name of a CSS colour.
pub(super) fn read_colour(value: &Value<'_>) -> Option<Colour> {
    let text = value.raw_text()?;
    let is_plain = match text.strip_prefix('#') {
        Some(digits) => matches!(digits.len(), 3 | 6),
        None => text.chars().all(|c| c.is_ascii_alphabetic()),
    };
    let found = text.parse::<svgtypes::Color>().ok();
    match found.filter(|c| is_plain && c.alpha == 255) {
        Some(c) => Some(Colour::rgb(c.red, c.green, c.blue)),
        None => {
            let hint =
                "write a colour like colour = \"#a3b18a\", or a CSS colour name like \"olive\"";
            value.fail(
                code::ARTWORK_COLOUR,
                format!("\"{text}\" is no colour"),
                hint,
            )
        }
    }
}

impl Declared {
    /// Refuses a picture of which nothing lies on its face or in the bleed around it.
    pub(super) fn refuse_outside(
        &self,
        table: &Table<'_>,
        piece_id: &str,
        bounds: Rect,
    ) -> Option<()> {
        let picture = match &self.content {
            Content::Picture(picture) if picture.is_fitted() => {
                let bounds = self.panel.as_ref().map_or(bounds, |panel| panel.bounds);
                return self.refuse_end(table, picture, bounds);
            }
            Content::Picture(picture) if !picture.is_repeated => picture,
            Content::Picture(_) | Content::Flat(_) => return Some(()),
            Content::Words(asked) => {
                let what = self.measured_on(piece_id);
                return words_set::refuse(table, asked, (&what, self.frame(bounds).size));
            }
            Content::Pattern(asked) => {
                let cover = pattern_laid::cover(bounds, self.bleed.to_mm());
                return pattern_laid::refuse(table, asked, self.frame(bounds), cover);
            }
        };
        let bounds = self.panel.as_ref().map_or(bounds, |panel| panel.bounds);
        let (printed, bleed_mm) = (picture.turned_box(bounds, bounds), self.bleed.to_mm());
        let is_off = |from: f64, to: f64, extent: f64| to <= -bleed_mm || from >= extent + bleed_mm;
        let (from_mm, to_mm, way, extent_mm, extent) =
            if is_off(printed.x0, printed.x1, bounds.width()) {
                (printed.x0, printed.x1, "across", bounds.width(), "wide")
            } else if is_off(printed.y0, printed.y1, bounds.height()) {
                (printed.y0, printed.y1, "down", bounds.height(), "high")
            } else {
                return self.refuse_end(table, picture, bounds);
            };
        let show = |length_mm| table.mistakes().show_mm(length_mm);
        let what = self.measured_on(piece_id);
        let corner = match &self.panel {
            None => "the top left corner of the face",
            Some(_) => "the top left corner of the panel as it stands",
        };
        let message = format!(
            "the picture lies from {} to {} {way}, but {what} is {} {extent}",
            show(from_mm),
            show(to_mm),
            show(extent_mm)
        );
        let zero = show(0.0);
        let hint = format!("measure at from {corner}, which is at = \"{zero}, {zero}\"");
        table
            .mistakes()
            .fail(code::ARTWORK_OUTSIDE, &table.origin_of("at"), message, hint)
    }

    /// What it is measured on, for messages.
    fn measured_on(&self, piece_id: &str) -> String {
        match &self.panel {
            None => format!("the piece \"{piece_id}\""),
            Some(panel) => format!("the panel \"{}\" of \"{piece_id}\"", panel.name),
        }
    }

    /// Refuses a picture that would be seen too often in mirrors; warns of one with no end on its panel.
    fn refuse_end(&self, table: &Table<'_>, picture: &Picture, bounds: Rect) -> Option<()> {
        match picture.edge {
            Edge::None => {
                if !picture.is_fitted() {
                    self.warn_of_overhang(table, picture);
                }
                Some(())
            }
            Edge::Mirror => {
                let bleed_mm = self.bleed.to_mm();
                let reach = bounds.inflate(bleed_mm, bleed_mm);
                picture_edge::refuse_many(table, picture.turned_box(bounds, reach), reach)
            }
            Edge::Stretch => Some(()),
        }
    }

    /// What a pattern is measured in: its panel as it stands, or the face.
    fn frame(&self, bounds: Rect) -> Frame {
        match &self.panel {
            Some(panel) => Frame {
                size: panel.bounds.size(),
                to_face: panel.on_face(Pose::identity()),
            },
            None => Frame {
                size: bounds.size(),
                to_face: Pose::identity(),
            },
        }
    }

    /// Warns where a picture measured on a panel runs on over its edges by more than its bleed: nothing clips it there.
    fn warn_of_overhang(&self, table: &Table<'_>, picture: &Picture) {
        let Some(panel) = &self.panel else {
            return;
        };
        let printed = picture.turned_box(panel.bounds, panel.bounds);
        let overhang = artwork_panel::Overhang::of(printed, panel.bounds, self.bleed.to_mm());
        if let Some(overhang) = overhang {
            let width = overhang.fits.zip(picture.width());
            let width = width.map(|(by, width)| width.to_mm() * by);
            overhang.warn(table, &panel.name, width);
        }
    }

    /// Where a picture lies: its panel as it stands, or the face.
    fn around(&self, outline: &Outline) -> Around {
        let bleed_mm = self.bleed.to_mm();
        match &self.panel {
            Some(panel) => Around {
                bounds: panel.bounds,
                reach: panel.bounds.inflate(bleed_mm, bleed_mm),
                is_panel: true,
            },
            None => Around {
                bounds: outline.bounds(),
                reach: reach(outline, bleed_mm, self.face),
                is_panel: false,
            },
        }
    }

    /// Returns the artwork on its face of a piece with this outline.
    pub(super) fn place(
        &self,
        outline: &Outline,
        (origin, style): (Origin, LengthStyle),
        library: &Library<'_>,
    ) -> Artwork {
        let bounds = outline.bounds();
        let (fill, reads) = match &self.content {
            Content::Flat(colour) => (ArtworkFill::Flat(*colour), Reads::Free),
            Content::Picture(picture) => {
                let upright = picture_edge::place(library, picture, self.around(outline));
                let placed = match &self.panel {
                    None => upright,
                    Some(panel) => {
                        let pose = panel.on_face(upright.pose);
                        PictureBox { pose, ..upright }
                    }
                };
                let fill = if picture.is_repeated {
                    ArtworkFill::Repeat(placed)
                } else {
                    ArtworkFill::Picture(placed)
                };
                (fill, Reads::OneWay)
            }
            Content::Pattern(asked) => {
                let cover = pattern_laid::cover(bounds, self.bleed.to_mm());
                let picture = pattern_laid::lay(library, asked, self.frame(bounds), cover);
                (ArtworkFill::Picture(picture), asked.field.reads)
            }
            Content::Words(asked) => {
                let laid = words_drawn::lay(library, asked, self.frame(bounds).size, style);
                (self.words(asked, laid), Reads::OneWay)
            }
        };
        let bleed = match &self.content {
            // They end inside their piece.
            Content::Words(_) => Length::ZERO,
            Content::Flat(_) | Content::Picture(_) | Content::Pattern(_) => self.bleed,
        };
        Artwork {
            face: self.face,
            fill,
            bleed,
            reads: self.reads.unwrap_or(reads),
            origin,
        }
    }

    fn words(&self, asked: &words::Asked, laid: words_drawn::Laid) -> ArtworkFill {
        let pose = match &self.panel {
            Some(panel) => panel.on_face(laid.place.pose),
            None => laid.place.pose,
        };
        let place = PictureBox { pose, ..laid.place };
        match asked.list() {
            None => ArtworkFill::Picture(place),
            Some(list) => ArtworkFill::Each(Listed {
                place,
                list: list.to_owned(),
                rows: laid.rows,
            }),
        }
    }
}

/// The box of a face with its bleed, mitred corners included, in the frame of the face.
fn reach(outline: &Outline, bleed_mm: f64, face: Face) -> Rect {
    let bounds = outline.bounds();
    let grown = offset(outline, bleed_mm);
    let all = grown.iter().map(Outline::bounds);
    let reach = all.reduce(|a, b| a.union(b)).unwrap_or(bounds);
    match face {
        Face::Front => reach,
        Face::Back => mirror_about_x(bounds.center().x).transform_rect_bbox(reach),
    }
}

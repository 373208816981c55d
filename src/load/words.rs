//! The keys of words in `[[piece.artwork]]`: a text that is printed once on each piece, the same for all copies or one for each.

use std::rc::Rc;

use super::artwork::read_colour;
use super::asset::Library;
use super::code;
use super::pattern;
use super::picture::TURNS;
use super::table::Table;
use super::value::Value;
use super::words_font::{self, Font};
use super::words_list::{self, List};
use super::words_template::{Template, Text};
use super::words_texts::texts;
use crate::drawing::{Colour, Weight};
use crate::length::{Length, LengthUnit, Parted, Size, typed_lengths};

/// The keys that only words have.
pub(super) const KEYS: [&str; 7] = ["text", "font", "size", "align", "box", "fit", "from"];

const ALIGNS: &[(&str, Align)] = &[
    ("left", Align::Left),
    ("middle", Align::Middle),
    ("right", Align::Right),
];

/// Where lines begin or end in their box.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Align {
    Left,
    #[default]
    Middle,
    Right,
}

/// Words as asked for.
#[derive(Debug, Clone)]
pub(super) struct Asked {
    template: Template,
    list: Option<Rc<List>>,
    /// One, or one for each row of the list.
    pub(super) texts: Vec<Text>,
    pub(super) font: Font,
    /// Size of an em; the greatest where the words are fitted to their box.
    pub(super) size: Option<Size>,
    /// Whether sizes of letters are told in points.
    pub(super) is_in_points: bool,
    pub(super) is_fitted: bool,
    pub(super) lying: Lying,
    pub(super) colour: Colour,
}

/// How words lie on their face or panel.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Lying {
    /// The size of their box, along the lines and across them.
    pub(super) room: Option<(Size, Size)>,
    /// The top left corner of the turned box.
    pub(super) at: Option<(Length, Length)>,
    pub(super) quarters: u8,
    pub(super) align: Align,
}

impl Asked {
    /// Path of the list of which every copy takes a row.
    pub(super) fn list(&self) -> Option<&str> {
        self.list.as_ref().map(|list| list.path.as_str())
    }

    /// How messages name one of its texts.
    pub(super) fn name_of(&self, text: &Text) -> String {
        match (text.line, self.list()) {
            (Some(line), Some(list)) => format!("line {line} of \"{list}\""),
            (Some(_) | None, _) => "text".to_owned(),
        }
    }
}

/// Reads words where they are meant; `None` where they are not, `None` within where they have a mistake.
#[expect(
    clippy::option_option,
    reason = "what is not there differs from what is there and wrong"
)]
pub(super) fn read_if(
    table: &Table<'_>,
    library: &Library<'_>,
    base: Option<&Asked>,
) -> Option<Option<Asked>> {
    let is_other = table.has("file") || table.has("pattern");
    if table.has("text") || (base.is_some() && !is_other) {
        refuse_others(table);
        return Some(read(table, library, base));
    }
    table.know(&KEYS);
    // Pictures have a fit of their own; colours and patterns refuse it themselves.
    let own = KEYS.into_iter().filter(|key| *key != "fit");
    for key in own.filter(|key| table.has(key)) {
        let hint = "write text = \"Sweet basil\" in an artwork of its own, or leave it out";
        table.conflict(key, "stands without a text", hint);
    }
    None
}

/// The keys of pictures and patterns say nothing about words.
fn refuse_others(table: &Table<'_>) {
    let others = [
        "file",
        "pattern",
        "width",
        "repeat",
        "mirror_at",
        "bleed",
        "crop",
        "mirror",
        "focus",
        "edge",
    ];
    for key in others.into_iter().chain(pattern::KEYS) {
        table.know(&[key]);
        if !table.has(key) {
            continue;
        }
        match key {
            "file" | "pattern" => table.conflict(
                key,
                "stands beside text",
                "make two artworks of them, painted in order",
            ),
            "words" => table.conflict(
                key,
                "belongs to pattern = \"words\", which says them over and over",
                "leave it out, or leave text out",
            ),
            _ => table.conflict(
                key,
                "says nothing about a text",
                &format!("leave {key} out"),
            ),
        }
    }
}

fn read(table: &Table<'_>, library: &Library<'_>, base: Option<&Asked>) -> Option<Asked> {
    let template = or_base(table, "text", read_template, base.map(|b| &b.template));
    let list = |v: &Value<'_>| words_list::read(v, library).map(|list| Some(Rc::new(list)));
    let none = None;
    let list = or_base(table, "from", list, Some(base.map_or(&none, |b| &b.list)));
    let font = |v: &Value<'_>| words_font::read(v, library);
    let sans = Font::Carried(Weight::Regular);
    let font = or_base(table, "font", font, Some(base.map_or(&sans, |b| &b.font)));
    let sizes = read_sizes(table, base);
    let lying = read_lying(table, base);
    let colour = base.map_or(&Colour::BLACK, |b| &b.colour);
    let colour = or_base(table, "colour", read_colour, Some(colour));
    let (template, list, font) = (template?, list?, font?);
    // An edition may say the same on all copies where the others say what their rows do.
    let list = list.filter(|_| table.has("from") || template.names_columns());
    let texts = texts(table, &template, list.as_deref(), &font)?;
    let (size, is_in_points, is_fitted) = sizes?;
    Some(Asked {
        template,
        list,
        texts,
        font,
        size,
        is_in_points,
        is_fitted,
        lying: lying?,
        colour: colour?,
    })
}

/// Reads how large the letters are: their size, whether it is told in points, and whether they are fitted to their box.
fn read_sizes(table: &Table<'_>, base: Option<&Asked>) -> Option<(Option<Size>, bool, bool)> {
    let size = |value: &Value<'_>| {
        let size = value.size()?;
        Some((Some(size), is_in_points(value.raw_text()?)))
    };
    let usual = base.map_or((None, true), |b| (b.size, b.is_in_points));
    let size = or_base(table, "size", size, Some(&usual));
    let is_fitted = base.map_or(&false, |b| &b.is_fitted);
    let is_fitted = or_base(table, "fit", Value::boolean, Some(is_fitted));
    let ((size, is_in_points), is_fitted) = (size?, is_fitted?);
    if size.is_none() && !is_fitted {
        let example = "size = \"12 pt\", or fit = true for the largest that fits its box";
        return table.missing("size", example);
    }
    Some((size, is_in_points, is_fitted))
}

/// Reads how the words lie.
fn read_lying(table: &Table<'_>, base: Option<&Asked>) -> Option<Lying> {
    let usual = base.map_or_else(Lying::default, |b| b.lying);
    let room = |v: &Value<'_>| v.pair().map(Some);
    let room = or_base(table, "box", room, Some(&usual.room));
    let at = |v: &Value<'_>| v.point().map(Some);
    let at = or_base(table, "at", at, Some(&usual.at));
    let turn = |v: &Value<'_>| v.choice(TURNS);
    let quarters = or_base(table, "turn", turn, Some(&usual.quarters));
    let align = |v: &Value<'_>| v.choice(ALIGNS);
    let align = or_base(table, "align", align, Some(&usual.align));
    let lying = Lying {
        room: room?,
        at: at?,
        quarters: quarters?,
        align: align?,
    };
    if lying.at.is_some() && lying.room.is_none() {
        table.conflict(
            "at",
            "says where the box of the words has its top left corner, and there is no box",
            "write box = \"50 x 20 mm\" beside it, or leave at out, which puts them in the middle",
        );
        return None;
    }
    Some(lying)
}

/// Reads a key that may be left out, and then stays as it is or is as usual; `None` if its value is wrong.
fn or_base<'t, T: Clone>(
    table: &Table<'t>,
    key: &'static str,
    read: impl FnOnce(&Value<'t>) -> Option<T>,
    usual: Option<&T>,
) -> Option<T> {
    match table.has(key) {
        true => table.optional(key, read),
        false => {
            table.know(&[key]);
            usual.cloned()
        }
    }
}

fn is_in_points(text: &str) -> bool {
    let typed = typed_lengths(text, Parted::ByTimes).unwrap_or_default();
    typed.iter().any(|typed| typed.unit == LengthUnit::Point)
}

fn read_template(value: &Value<'_>) -> Option<Template> {
    let text = value.raw_text()?;
    if text.trim().is_empty() {
        let hint = "write text = \"Sweet basil\"";
        return value.fail(code::TEXT_EMPTY, "text is empty", hint);
    }
    match Template::parse(text) {
        Ok(template) => Some(template),
        Err(wrong) => value.fail(wrong.code, wrong.message, wrong.hint),
    }
}

//! The size of a sheet as it lies: a format's name and an orientation, or a size as typed.

use super::code;
use super::table::Table;
use super::value::Value;
use crate::length::{LengthError, Size, parse_pair};
use crate::paper::{self, Format};

/// A sheet as it lies.
#[derive(Debug)]
pub(super) struct Sheet {
    /// PWG 5101.1 name.
    pub(super) format: String,
    pub(super) width: Size,
    pub(super) height: Size,
}

#[derive(Debug, Clone, Copy)]
enum Orientation {
    Portrait,
    Landscape,
}

const ORIENTATION: &[(&str, Orientation)] = &[
    ("portrait", Orientation::Portrait),
    ("landscape", Orientation::Landscape),
];

/// Reads `format` and `orientation` of a stock.
pub(super) fn read(table: &Table<'_>, id: &str) -> Option<Sheet> {
    let orientation = table.optional("orientation", |v| v.choice(ORIENTATION));
    table.required(
        "format",
        "format = \"letter\" or format = \"8 x 10 in\"",
        |value| {
            let text = value.raw_text()?;
            if is_size(text) {
                refuse_orientation(table);
                return typed(value, id);
            }
            let format = named(value, text)?;
            let (short, long) = (format.short_side(), format.long_side());
            let (width, height) = match orientation.unwrap_or(Orientation::Portrait) {
                Orientation::Portrait => (short, long),
                Orientation::Landscape => (long, short),
            };
            Some(Sheet {
                format: format.name().to_owned(),
                width,
                height,
            })
        },
    )
}

/// Reads a sheet without an orientation, by name or as a size; returns its short and its long side.
pub(super) fn read_sides(value: &Value<'_>) -> Option<(Size, Size)> {
    let text = value.raw_text()?;
    if is_size(text) {
        let (one, other) = value.pair()?;
        return Some((one.min(other), one.max(other)));
    }
    let format = named(value, text)?;
    Some((format.short_side(), format.long_side()))
}

/// Whether the text is a size rather than a name; a name such as `12x12` is found before.
fn is_size(text: &str) -> bool {
    match parse_pair(text, None) {
        Ok(_) => true,
        Err(LengthError::NotTwoLengths(_) | LengthError::Empty) => false,
        Err(_) => {
            text.trim_start().starts_with(|c: char| c.is_ascii_digit())
                && paper::find(text).is_none()
        }
    }
}

/// Takes a size as typed, width first.
fn typed(value: &Value<'_>, id: &str) -> Option<Sheet> {
    let (width, height) = value.pair()?;
    Some(Sheet {
        format: name_of(id, width, height),
        width,
        height,
    })
}

/// The standard name of a size, or one made of `id`.
pub(super) fn name_of(id: &str, width: Size, height: Size) -> String {
    let is_same = |format: &&Format| {
        format.short_side() == width.min(height) && format.long_side() == width.max(height)
    };
    let known = paper::formats().iter().find(is_same);
    known.map_or_else(
        || Format::custom(id, width, height).name().to_owned(),
        |f| f.name().to_owned(),
    )
}

fn named(value: &Value<'_>, text: &str) -> Option<&'static Format> {
    paper::find(text).or_else(|| {
        let hint = match paper::nearest_name(text) {
            Some(near) => format!("write {}", value.typed(&format!("\"{near}\""))),
            None => {
                let (name, size) = (value.typed("\"letter\""), value.typed("\"8 x 10 in\""));
                format!("write a name like {name}, or a size like {size}")
            }
        };
        value.fail(
            code::STOCK_FORMAT,
            format!("no sheet format is called \"{text}\""),
            hint,
        )
    })
}

fn refuse_orientation(table: &Table<'_>) {
    if table.has("orientation") {
        let message = "a size is taken as typed, width first, and has no orientation";
        let hint = "leave orientation out, and write the two lengths in the order wanted";
        table.mistakes().fail::<()>(
            code::STOCK_ORIENTATION,
            &table.origin_of("orientation"),
            message,
            hint,
        );
    }
}

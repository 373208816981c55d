//! Forms: which fields the page shows for each table of a project file, in its words.
//!
//! A form names keys that the reader of project files knows, and no others; what is typed into them is judged by that reader. Forms of
//! constructions follow from what those ask.

mod paper;
mod piece;
mod printed;

use serde_json::{Value, json};

use super::answer::{Answer, Asked, Outcome};
use super::{Desk, start};
use crate::construct::{self, Kind};
use crate::pattern::PALETTES;

/// What a field takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Takes {
    /// One of these: as files have it, and as people do.
    Choice(&'static [(&'static str, &'static str)]),
    Text,
    /// A length with its unit.
    Length,
    /// Lengths parted by commas.
    Lengths,
    /// `a x b` or `a x b x c`, with a unit.
    Size,
    Number,
    Flag,
    Colour,
    Money,
    /// The id of a stock.
    Stock,
    /// The path of a picture.
    Picture,
    /// The name of a pattern.
    Pattern,
    /// The name of a palette: one of those there are.
    Palette,
    /// Front or back.
    Face,
    /// An edge.
    Direction,
    /// Texts parted by commas.
    Texts,
}

impl Takes {
    const fn name(self) -> &'static str {
        match self {
            Self::Choice(_) | Self::Palette => "choice",
            Self::Text => "text",
            Self::Length => "length",
            Self::Lengths => "lengths",
            Self::Size => "size",
            Self::Number => "number",
            Self::Flag => "flag",
            Self::Colour => "colour",
            Self::Money => "money",
            Self::Stock => "stock",
            Self::Picture => "picture",
            Self::Pattern => "pattern",
            Self::Face => "face",
            Self::Direction => "direction",
            Self::Texts => "texts",
        }
    }
}

/// A field: a key of its table with what people are told about it.
#[derive(Debug, Clone, Copy)]
struct Field {
    key: &'static str,
    label: &'static str,
    takes: Takes,
    about: &'static str,
    example: &'static str,
    is_needed: bool,
    is_usual: bool,
}

/// A field among the others.
const fn more(
    (key, label): (&'static str, &'static str),
    takes: Takes,
    about: &'static str,
    example: &'static str,
) -> Field {
    Field {
        key,
        label,
        takes,
        about,
        example,
        is_needed: false,
        is_usual: false,
    }
}

/// A field that is shown at once.
const fn usual(
    named: (&'static str, &'static str),
    takes: Takes,
    about: &'static str,
    example: &'static str,
) -> Field {
    Field {
        is_usual: true,
        ..more(named, takes, about, example)
    }
}

/// A field that must be filled.
const fn needed(
    named: (&'static str, &'static str),
    takes: Takes,
    about: &'static str,
    example: &'static str,
) -> Field {
    Field {
        is_needed: true,
        ..usual(named, takes, about, example)
    }
}

/// The form of a table.
#[derive(Debug, Clone, Copy)]
struct Form {
    table: &'static str,
    title: &'static str,
    about: &'static str,
    fields: &'static [Field],
}

const fn form(
    table: &'static str,
    (title, about): (&'static str, &'static str),
    fields: &'static [Field],
) -> Form {
    Form {
        table,
        title,
        about,
        fields,
    }
}

pub(super) fn forms(_: &Desk, _: &Asked) -> Outcome {
    let fixed = fixed().map(to_json);
    let built = construct::KINDS.iter().map(|kind| construction(kind));
    Ok(Answer::Json(fixed.chain(built).collect()))
}

/// The forms that do not depend on constructions.
fn fixed() -> impl Iterator<Item = &'static Form> {
    let pieces = piece::FORMS.iter().chain(printed::FORMS);
    paper::FORMS.iter().chain(pieces)
}

fn to_json(form: &Form) -> Value {
    json!({
        "table": form.table,
        "title": form.title,
        "about": form.about,
        "fields": form.fields.iter().map(field).collect::<Vec<_>>(),
    })
}

fn field(field: &Field) -> Value {
    let mut told = json!({
        "key": field.key,
        "label": field.label,
        "kind": field.takes.name(),
        "about": field.about,
        "example": field.example,
        "needed": field.is_needed,
        "group": if field.is_usual { "usual" } else { "more" },
    });
    let choices: Vec<Value> = match field.takes {
        Takes::Choice(choices) => choices.iter().map(|c| json!([c.0, c.1])).collect(),
        Takes::Palette => PALETTES.iter().map(|p| json!([p.name, p.title])).collect(),
        Takes::Text
        | Takes::Length
        | Takes::Lengths
        | Takes::Size
        | Takes::Number
        | Takes::Flag
        | Takes::Colour
        | Takes::Money
        | Takes::Stock
        | Takes::Picture
        | Takes::Pattern
        | Takes::Face
        | Takes::Direction
        | Takes::Texts => Vec::new(),
    };
    if !choices.is_empty() {
        told["choices"] = choices.into();
    }
    told
}

fn construction(kind: &Kind) -> Value {
    json!({
        "table": format!("part:{}", kind.name),
        "title": kind.title,
        "about": kind.about,
        "dimensions": kind.dimensions,
        "sizes": kind.sized_by,
        "fields": kind.parameters.iter().map(start::parameter).collect::<Vec<_>>(),
    })
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::desk::document::{self, key_from_zero};
    use crate::{job, load};

    const PROJECT: &str = "sheetwright = 1\n[job]\nname = \"Labels\"\ncopies = 4\ncut_by = \"machine\"\n[[stock]]\nid = \"oat\"\nformat = \"a4\"\ncaliper = \"0.3 mm\"\nface_a = \"printable\"\n[[piece]]\nid = \"label\"\nstock = \"oat\"\n[piece.shape]\nkind = \"rectangle\"\nwidth = \"60 mm\"\nheight = \"80 mm\"\n";

    /// Where a form's table stands in a project, and what must be there besides.
    fn place(table: &str) -> Option<(Vec<Value>, Value)> {
        let (name, variant) = table.split_once(':').unwrap_or((table, ""));
        let (at, with) = match name {
            "job" => (vec![json!("job")], json!({})),
            "stock" => (vec![json!("stock"), json!(0)], json!({})),
            "piece" => (vec![json!("piece"), json!(0)], json!({})),
            "shape" => (
                vec![json!("piece"), json!(0), json!("shape")],
                json!({ "kind": variant }),
            ),
            "mount" => (vec![json!("piece"), json!(0), json!("mount")], json!({})),
            "operation" => (
                vec![json!("piece"), json!(0), json!("operation"), json!(0)],
                json!({ "kind": variant }),
            ),
            "artwork" => (
                vec![json!("piece"), json!(0), json!("artwork"), json!(0)],
                match variant {
                    "pattern" => json!({ "pattern": "stripe" }),
                    "text" => json!({ "text": "Beans" }),
                    "file" => json!({ "file": "leaf.svg" }),
                    _ => json!({}),
                },
            ),
            "part" => (
                vec![json!("part"), json!(0)],
                json!({ "id": "tin", "construction": "tray", "stock": "oat" }),
            ),
            _ => return None,
        };
        Some((at, with))
    }

    /// The keys that are not known or take no such value when a field is filled with its example.
    fn refused(form: &Form, field: &Field) -> Vec<String> {
        let Some((at, with)) = place(form.table) else {
            return Vec::new();
        };
        let value = match field.takes {
            Takes::Number => json!(field.example.parse::<u32>().unwrap()),
            Takes::Flag => json!(true),
            Takes::Lengths | Takes::Texts => {
                let parted = if field.example.contains(';') {
                    "; "
                } else {
                    ", "
                };
                field.example.split(parted).collect()
            }
            Takes::Choice(_)
            | Takes::Text
            | Takes::Length
            | Takes::Size
            | Takes::Colour
            | Takes::Money
            | Takes::Stock
            | Takes::Picture
            | Takes::Pattern
            | Takes::Palette
            | Takes::Face
            | Takes::Direction => json!(field.example),
        };
        let mut table = with;
        let mut inner = &mut table;
        let mut keys = field.key.split('.').peekable();
        while let Some(key) = keys.next() {
            if keys.peek().is_none() {
                inner[key] = value.clone();
            } else {
                inner[key] = json!({});
                inner = &mut inner[key];
            }
        }
        let mut edits = Vec::new();
        let name = form.table.split(':').next().unwrap();
        if ["operation", "artwork", "part"].contains(&name) {
            edits.push(json!({ "at": at[..at.len() - 1], "add": table }));
        } else {
            for (key, value) in table.as_object().unwrap() {
                let mut at = at.clone();
                at.push(json!(key));
                edits.push(json!({ "at": at, "set": value }));
            }
        }
        let asked = serde_json::from_value(json!(edits)).unwrap();
        let text = load::change(PROJECT, &document::changes(asked).unwrap()).unwrap();
        let none: BTreeMap<String, Vec<u8>> = BTreeMap::new();
        let found = job::check("project.toml", &text, &none, &load::Options::default());
        let found = found.err().unwrap_or_default();
        let wrong = [
            "key.unknown",
            "key.type",
            "value.choice",
            "number.spelling",
            "artwork.colour",
            "stock.format",
            "length.no-unit",
            "length.spelling",
        ];
        let own = found.iter().filter(|d| wrong.contains(&d.code));
        own.filter(|d| {
            let key = d
                .origin
                .as_ref()
                .map_or(String::new(), |o| key_from_zero(&o.key_path));
            key.ends_with(field.key) || key.contains(&format!("{}.", field.key))
        })
        .map(|d| format!("{} {}: {}", form.table, field.key, d.message))
        .collect()
    }

    #[test]
    fn every_field_of_every_form_is_a_key_that_takes_its_example() {
        let forms = fixed();
        let wrong: Vec<String> = forms
            .flat_map(|form| {
                form.fields
                    .iter()
                    .flat_map(move |field| refused(form, field))
            })
            .collect();
        assert_eq!(wrong, [""; 0]);
    }

    #[test]
    fn a_key_that_is_none_would_be_found() {
        let field = usual(("colur", "Colour"), Takes::Text, "", "red");
        let form = form("piece", ("", ""), &[]);
        assert_eq!(refused(&form, &field).len(), 1);
    }
}

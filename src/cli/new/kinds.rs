//! The constructions and what can be asked of them, in words.

use serde_json::{Value, json};

use super::super::options::Format;
use super::super::report;
use crate::construct::{Kind, Parameter, ParameterKind, Usual};

/// The constructions, one after the other.
pub(super) fn list(kinds: &[&Kind], format: Format) -> String {
    match format {
        Format::Json => {
            let kinds: Vec<_> = kinds.iter().map(|kind| kind_json(kind)).collect();
            report::pretty(&json!(kinds))
        }
        Format::Text => {
            let mut text = String::new();
            for kind in kinds {
                text += &format!("{:20} {}\n", kind.name, about(kind));
                text += &format!("{:20} by {}\n", "", sizes(kind));
                if !kind.codes.is_empty() {
                    text += &format!("{:20} nearest style: {}\n", "", kind.codes);
                }
            }
            text + "\nsheetwright new NAME --parameters tells what else can be asked of one\n"
        }
    }
}

/// What can be asked of a construction.
pub(super) fn parameters(kind: &Kind, format: Format) -> String {
    match format {
        Format::Json => report::pretty(&kind_json(kind)),
        Format::Text => {
            let mut text = format!("{}: {}\nby {}\n", kind.name, about(kind), sizes(kind));
            if !kind.codes.is_empty() {
                text += &format!("nearest style: {}\n", kind.codes);
            }
            text += &format!("pieces: {}\n", kind.pieces.join(", "));
            text.extend(kind.parameters.iter().map(parameter));
            text
        }
    }
}

/// The sentence after the title.
fn about(kind: &Kind) -> String {
    format!("{}: {}", kind.title, kind.about.trim_end_matches('.'))
}

fn sizes(kind: &Kind) -> String {
    let axes = match kind.dimensions {
        1 => "length",
        2 => "width x height",
        _ => "length x width x depth",
    };
    let flags: Vec<_> = kind.sized_by.iter().map(|by| format!("--{by}")).collect();
    format!("{} \"{axes}\"", flags.join(" or "))
}

/// `--set clearance=0.6 mm (1/32 in)` and what it is.
fn parameter(parameter: &Parameter) -> String {
    let usual = match parameter.usual {
        Usual::Length { metric, inch } => format!("usually {metric}, or {inch}"),
        Usual::Word(word) => format!("usually {word}"),
        Usual::Follows(how) => format!("usually {how}"),
    };
    let values = match parameter.kind {
        ParameterKind::Length => "a length".to_owned(),
        ParameterKind::Pair => "\"a x b\"".to_owned(),
        ParameterKind::Lengths => "lengths parted by commas".to_owned(),
        ParameterKind::Count => "a whole number".to_owned(),
        ParameterKind::Choice(words) => words.join(", "),
        ParameterKind::Flag => "yes or no".to_owned(),
    };
    let about = parameter.about;
    format!(
        "    --set {}=...\n        {about}: {values}; {usual}\n",
        parameter.key
    )
}

fn kind_json(kind: &Kind) -> Value {
    json!({
        "name": kind.name,
        "title": kind.title,
        "about": kind.about,
        "codes": kind.codes,
        "dimensions": kind.dimensions,
        "sized_by": kind.sized_by,
        "pieces": kind.pieces,
        "parameters": kind.parameters.iter().map(parameter_json).collect::<Vec<_>>(),
    })
}

fn parameter_json(parameter: &Parameter) -> Value {
    let (kind, choices): (_, &[&str]) = match parameter.kind {
        ParameterKind::Length => ("length", &[]),
        ParameterKind::Pair => ("pair", &[]),
        ParameterKind::Lengths => ("lengths", &[]),
        ParameterKind::Count => ("count", &[]),
        ParameterKind::Choice(words) => ("choice", words),
        ParameterKind::Flag => ("flag", &[]),
    };
    let usual = match parameter.usual {
        Usual::Length { metric, inch } => json!({ "metric": metric, "inch": inch }),
        Usual::Word(word) => json!(word),
        Usual::Follows(how) => json!({ "follows": how }),
    };
    json!({
        "key": parameter.key,
        "kind": kind,
        "choices": choices,
        "usual": usual,
        "scales": parameter.scales,
        "about": parameter.about,
    })
}

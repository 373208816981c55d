//! What a `[[part]]` asks of its construction: sizes, hand grid and parameters.

use std::collections::BTreeMap;

use super::code;
use super::table::Table;
use super::value::Value;
use crate::construct::{self, Grid, Kind, Parameter, ParameterKind};
use crate::length::{Length, LengthStyle};
use crate::project::{CutBy, Job};

/// More than any construction counts.
const MOST_COUNT: u32 = 999;

/// A coarser grid than this is a slip.
const COARSEST_GRID: Length = Length::from_inch_fraction(1, 1);

/// What was asked, as typed and as read.
#[derive(Debug)]
pub(super) struct ReadAsked {
    pub(super) sizes: Option<construct::Asked>,
    pub(super) grid: Option<Grid>,
    /// `None` if one could not be read.
    pub(super) values: Option<BTreeMap<&'static str, construct::Value>>,
    pub(super) as_typed: Vec<(String, String)>,
    /// The key that gives the sizes.
    pub(super) sizes_key: Option<&'static str>,
}

/// Reads all that can be asked of a construction.
pub(super) fn read(table: &Table<'_>, kind: &Kind, job: &Job) -> ReadAsked {
    let sizes_key = sizes_key(table, kind);
    let sizes = sizes_key.and_then(|key| read_sizes(table, kind, key, job.lengths));
    let grid = read_grid(table, job);
    let mut values = Some(BTreeMap::new());
    for parameter in kind.parameters {
        if !table.has(parameter.key) {
            table.know(&[parameter.key]);
            continue;
        }
        let value = table.optional(parameter.key, |value| read_value(value, parameter));
        values = values.zip(value).map(|(mut values, value)| {
            values.insert(parameter.key, value);
            values
        });
    }
    let mut keys: Vec<&'static str> = sizes_key.into_iter().collect();
    keys.extend(["ease", "grid"]);
    keys.extend(kind.parameters.iter().map(|p| p.key));
    let typed = |key: &&'static str| {
        table.optional(key, |v| {
            let text = v.source().trim_matches(['"', '\'']).to_owned();
            Some(((*key).to_owned(), text))
        })
    };
    ReadAsked {
        sizes,
        grid,
        values,
        as_typed: keys.iter().filter_map(typed).collect(),
        sizes_key,
    }
}

const SIZE_KEYS: [&str; 3] = ["inside", "outside", "contents"];

/// Returns the key that gives the sizes, of which there must be one that the construction takes.
fn sizes_key(table: &Table<'_>, kind: &Kind) -> Option<&'static str> {
    table.know(&SIZE_KEYS);
    let takes = |key: &&str| kind.sized_by.contains(key);
    let given: Vec<_> = SIZE_KEYS.into_iter().filter(|k| table.has(k)).collect();
    if let Some(stranger) = given.iter().find(|key| !takes(key)) {
        let message = format!(
            "a {} is not asked for by {stranger}, but by {}",
            kind.name,
            kind.sized_by.join(" or ")
        );
        let hint = format!("write {} instead", kind.sized_by.join(" or "));
        let origin = table.origin_of(stranger);
        return table
            .mistakes()
            .fail(code::PART_SIZES, &origin, message, hint);
    }
    for second in given.iter().skip(1) {
        let because = format!("stands beside {}", given[0]);
        table.conflict(second, &because, "say one of them only");
    }
    match (given.first(), kind.sized_by.first()) {
        (Some(key), _) => Some(key),
        (None, Some(first)) => {
            let takes: Vec<_> = SIZE_KEYS.into_iter().filter(takes).collect();
            let example = format!("{first} = \"{}\"", example(kind.dimensions));
            table.missing(&takes.join(" or "), &example)
        }
        (None, None) => None,
    }
}

fn example(dimensions: usize) -> &'static str {
    match dimensions {
        1 => "90 mm",
        2 => "90 x 60 mm",
        _ => "90 x 60 x 35 mm",
    }
}

fn axes(dimensions: usize) -> &'static str {
    match dimensions {
        1 => "one length",
        2 => "width x height",
        _ => "length x width x depth",
    }
}

fn read_sizes(
    table: &Table<'_>,
    kind: &Kind,
    key: &'static str,
    style: LengthStyle,
) -> Option<construct::Asked> {
    let sizes = table.optional(key, |value| {
        let sizes = value.sizes()?;
        if sizes.len() == kind.dimensions {
            return Some(sizes);
        }
        let message = format!(
            "{} has {}, and a {} has {}: {}",
            value.typed(value.source()),
            crate::diagnostic::counted(u32::try_from(sizes.len()).unwrap_or(u32::MAX), "length"),
            kind.name,
            kind.dimensions,
            axes(kind.dimensions)
        );
        let hint = format!(
            "write {}",
            value.typed(&format!("\"{}\"", example(kind.dimensions)))
        );
        value.fail(code::PART_SIZES, message, hint)
    });
    if key != "contents" {
        if table.has("ease") {
            let because = format!("is room round contents, and {key} has none");
            table.conflict("ease", &because, "leave ease out, or write contents");
        }
        table.know(&["ease"]);
    }
    let sizes = sizes?;
    match key {
        "inside" => Some(construct::Asked::Inside(sizes)),
        "outside" => Some(construct::Asked::Outside(sizes)),
        _ => {
            let ease = if table.has("ease") {
                table.optional("ease", Value::length)?
            } else {
                table.know(&["ease"]);
                usual_ease(kind, style)
            };
            Some(construct::Asked::Contents { sizes, ease })
        }
    }
}

fn usual_ease(kind: &Kind, style: LengthStyle) -> Length {
    let (metric, inch) = kind.usual_ease;
    let text = if is_inch(style) { inch } else { metric };
    Length::parse(text, None).expect("usual lengths are spelled right")
}

pub(super) fn is_inch(style: LengthStyle) -> bool {
    match style {
        LengthStyle::InchFractions | LengthStyle::InchDecimals => true,
        LengthStyle::Millimetres => false,
    }
}

/// Reads the hand grid; `None` if it is wrong. A machine needs none, a maker what the ruler shows.
fn read_grid(table: &Table<'_>, job: &Job) -> Option<Grid> {
    if !table.has("grid") {
        table.know(&["grid"]);
        return Some(match (job.cut_by, is_inch(job.lengths)) {
            (CutBy::Machine, _) => Grid::NONE,
            (CutBy::Trimmer, true) => Grid::of(Length::from_inch_fraction(1, 16)),
            (CutBy::Trimmer, false) => Grid::of(Length::from_mm(1)),
        });
    }
    table.optional("grid", |value| {
        if value.raw_text()? == "none" {
            return Some(Grid::NONE);
        }
        let step = value.size()?.length();
        if step <= COARSEST_GRID {
            return Some(Grid::of(step));
        }
        let message = format!(
            "a grid of {} is coarser than {}",
            value.mistakes().show(step),
            value.mistakes().show(COARSEST_GRID)
        );
        let hint =
            "write the finest step of your ruler, like grid = \"1/16 in\" or grid = \"1 mm\"";
        value.fail(code::NUMBER_RANGE, message, hint)
    })
}

fn read_value(value: &Value<'_>, parameter: &Parameter) -> Option<construct::Value> {
    match parameter.kind {
        ParameterKind::Length => value.length().map(construct::Value::Length),
        ParameterKind::Pair => {
            let (a, b) = value.pair()?;
            Some(construct::Value::Pair(a.length(), b.length()))
        }
        ParameterKind::Lengths => {
            let items = value.list("[\"1/8 in\", \"1/4 in\"]")?;
            let lengths: Vec<_> = items.iter().map(Value::length).collect();
            let lengths: Option<Vec<Length>> = lengths.into_iter().collect();
            lengths.map(construct::Value::Lengths)
        }
        ParameterKind::Count => value.whole(0..=MOST_COUNT).map(construct::Value::Count),
        ParameterKind::Choice(words) => {
            let choices: Vec<_> = words.iter().map(|word| (*word, *word)).collect();
            let word = value.choice(&choices)?;
            Some(construct::Value::Word(word.to_owned()))
        }
        ParameterKind::Flag => value.boolean().map(construct::Value::Flag),
    }
}

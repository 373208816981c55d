//! Calls of the first view: what there is to begin with, and beginning.

use std::fs;
use std::path::Path;

use serde::Deserialize;
use serde_json::{Value, json};

use super::answer::{Answer, Asked, Outcome, Refused};
use super::at_hand::Held;
use super::checked::{self, Sources};
use super::examples::{self, EXAMPLES, Example};
use super::project::{refuse_stale, told};
use super::tried::{self, Wish};
use super::{Desk, document, state};
use crate::construct::{self, Kind, Parameter, ParameterKind, Usual};
use crate::length::LengthStyle;
use crate::paper;
use crate::pattern::PALETTES;

/// Project files are looked for in this many folders of the desk's folder at most.
const MOST_FOLDERS: usize = 200;

pub(super) fn shelf(desk: &Desk, _: &Asked) -> Outcome {
    let root = desk.open().root().to_owned();
    Ok(Answer::Json(json!({
        "examples": EXAMPLES.iter().map(example).collect::<Vec<_>>(),
        "projects": projects(&root),
        "constructions": construct::KINDS.iter().map(|kind| construction(kind)).collect::<Vec<_>>(),
        "papers": papers(),
        "palettes": PALETTES.iter().map(|p| json!([p.name, p.title])).collect::<Vec<_>>(),
    })))
}

fn example(example: &Example) -> Value {
    let doc = document::to_json(example.text);
    let told = doc.as_ref().map(|doc| &doc["instructions"]["about"]);
    let about = told.and_then(Value::as_str).unwrap_or_default();
    json!({
        "id": example.id,
        "name": job_name(example.text),
        "about": about.split_whitespace().collect::<Vec<_>>().join(" "),
        "picture": format!("/picture/example/{}.svg", example.id),
    })
}

fn job_name(text: &str) -> String {
    let doc = document::to_json(text);
    let name = doc.and_then(|doc| Some(doc["job"]["name"].as_str()?.to_owned()));
    name.unwrap_or_default()
}

/// Project files in a folder and in the folders right in it, with their names for people.
fn projects(root: &Path) -> Vec<Value> {
    let mut found = in_folder(root, "");
    let folders = sorted(root).into_iter().filter(|name| {
        let path = root.join(name);
        path.is_dir() && !name.starts_with('.')
    });
    for folder in folders.take(MOST_FOLDERS) {
        found.extend(in_folder(&root.join(&folder), &format!("{folder}/")));
    }
    found
}

fn sorted(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut names: Vec<String> = entries
        .filter_map(|entry| entry.file_name().into_string().ok())
        .collect();
    names.sort();
    names
}

fn in_folder(folder: &Path, before: &str) -> Vec<Value> {
    const LARGEST: u64 = 4 << 20;
    let projects = sorted(folder).into_iter().filter_map(|name| {
        let path = folder.join(&name);
        let is_small = fs::metadata(&path).is_ok_and(|m| m.is_file() && m.len() <= LARGEST);
        if !name.ends_with(".toml") || name.starts_with('.') || !is_small {
            return None;
        }
        let text = fs::read_to_string(path).ok()?;
        let is_project = text.lines().any(|line| {
            let rest = line.trim_start().strip_prefix("sheetwright");
            rest.is_some_and(|rest| rest.trim_start().starts_with('='))
        });
        let file = format!("{before}{name}");
        is_project.then(|| json!({ "file": file, "name": job_name(&text) }))
    });
    projects.collect()
}

fn construction(kind: &Kind) -> Value {
    json!({
        "name": kind.name,
        "title": kind.title,
        "about": kind.about,
        "picture": format!("/picture/construction/{}.svg", kind.name),
        "sizes": kind.sized_by,
        "dimensions": kind.dimensions,
        "parameters": kind.parameters.iter().map(parameter).collect::<Vec<_>>(),
    })
}

/// A parameter of a construction as a field of a form.
pub(super) fn parameter(parameter: &Parameter) -> Value {
    let (kind, choices): (_, &[&str]) = match parameter.kind {
        ParameterKind::Length => ("length", &[]),
        ParameterKind::Pair => ("size", &[]),
        ParameterKind::Lengths => ("lengths", &[]),
        ParameterKind::Count => ("number", &[]),
        ParameterKind::Choice(words) => ("choice", words),
        ParameterKind::Flag => ("flag", &[]),
    };
    let example = match parameter.usual {
        Usual::Length { metric, inch } => format!("{metric}, or {inch}"),
        Usual::Word(word) => word.to_owned(),
        Usual::Follows(how) => how.to_owned(),
    };
    let mut label = parameter.key.replace('_', " ");
    if let Some(first) = label.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    let choices = choices.iter().map(|word| json!([word, word]));
    json!({
        "key": parameter.key,
        "label": label,
        "kind": kind,
        "choices": choices.collect::<Vec<_>>(),
        "about": parameter.about,
        "example": example,
        "needed": false,
        "group": "more",
    })
}

/// Formats of paper, the usual ones first: what is written, and what people call it.
pub(super) fn papers() -> Vec<[String; 2]> {
    const USUAL: [&str; 7] = ["letter", "a4", "legal", "a5", "pad 12x12", "tabloid", "a3"];
    let mut all: Vec<[String; 2]> = paper::formats()
        .iter()
        .map(|format| {
            let common = format.common_names().first();
            let name = common.map_or_else(|| format.name().to_owned(), Clone::clone);
            let style = if format.name().ends_with("in") {
                LengthStyle::InchFractions
            } else {
                LengthStyle::Millimetres
            };
            let sides = [format.short_side(), format.long_side()].map(|s| s.to_mm());
            let size = state::size(sides[0], sides[1], style);
            let mut label = name.clone();
            if let Some(first) = label.get_mut(..1) {
                first.make_ascii_uppercase();
            }
            let label = if label == size {
                label
            } else {
                format!("{label}, {size}")
            };
            [name, label]
        })
        .collect();
    all.sort_by_key(|[name, _]| {
        USUAL
            .iter()
            .position(|u| u.eq_ignore_ascii_case(name))
            .unwrap_or(USUAL.len())
    });
    all
}

/// One construction for what goes in. It takes a while and touches nothing.
pub(super) fn try_one(_: &Desk, asked: &Asked) -> Outcome {
    let wish: Wish = asked.json()?;
    Ok(Answer::Json(tried::to_json(&wish)))
}

/// The revision that a call goes by, where it says one.
#[derive(Debug, Deserialize)]
struct MayBeBased {
    base: Option<u64>,
}

fn refuse_if_stale(desk: &Desk, asked: &Asked) -> Result<(), Refused> {
    let wish: MayBeBased = asked.json()?;
    match wish.base {
        Some(base) => refuse_stale(&desk.open(), base),
        None => Ok(()),
    }
}

pub(super) fn begin(desk: &Desk, asked: &Asked) -> Outcome {
    let wish: Wish = asked.json()?;
    refuse_if_stale(desk, asked)?;
    let started = tried::started(&wish, true);
    let started = started.map_err(|mistakes| {
        let problem = mistakes.first().map_or("", |d| &d.message);
        let mut refused = Refused::wrong(problem);
        refused.body["diagnostics"] = checked::to_json(&mistakes, &Sources::new());
        refused
    })?;
    desk.work.clear();
    let mut open = desk.open();
    open.begin(started.value.0, Held::new());
    told(&open)
}

#[derive(Debug, Deserialize)]
struct OpenAsked {
    example: Option<String>,
    project: Option<String>,
}

pub(super) fn open(desk: &Desk, asked: &Asked) -> Outcome {
    let wish: OpenAsked = asked.json()?;
    refuse_if_stale(desk, asked)?;
    match (wish.example, wish.project) {
        (Some(id), None) => {
            let example = examples::named(&id).ok_or_else(Refused::missing)?;
            desk.open().begin(example.text.to_owned(), example.held());
        }
        (None, Some(file)) => desk.open().open(&file).map_err(Refused::wrong)?,
        (None, None) | (Some(_), Some(_)) => {
            return Err(Refused::wrong("name an example or a project"));
        }
    }
    desk.work.clear();
    told(&desk.open())
}

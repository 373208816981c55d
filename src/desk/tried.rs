//! One construction tried with what goes in, how many, and which paper: whether it works, and what comes of it.

use std::collections::BTreeMap;

use serde::Deserialize;
use serde_json::{Value, json};

use super::checked::Sources;
use super::{checked, picture, state};
use crate::construct::{self, Kind};
use crate::diagnostic::{Diagnostic, Origin, Warned, counted};
use crate::job::{self, NEW_PROJECT, NewProject, Started};
use crate::length::{LengthError, LengthStyle, LengthUnit, is_in_inches, parse_sizes};
use crate::load::{self, Change, Given, Step};
use crate::paper;
use crate::plan::{Effort, PlanOptions};
use crate::project::{CutBy, JointKind, OperationKind, Project};

/// A flat thing holds what is no thicker than this (common practice, no source: a card, seeds in a layer, a few sheets).
const FLAT_MM: f64 = 3.0;

/// What is asked of a construction, as the page has it.
#[derive(Debug, Clone, Default, Deserialize)]
pub(super) struct Wish {
    construction: String,
    what: String,
    size: String,
    #[serde(default)]
    copies: Value,
    paper: Option<String>,
    caliper: Option<String>,
    cut_by: Option<String>,
    #[serde(default)]
    printed: bool,
    price: Option<String>,
    name: Option<String>,
    #[serde(default)]
    set: BTreeMap<String, Value>,
}

/// The project that a wish comes to.
///
/// # Errors
/// All that cannot be made as it was asked for, at the keys of the wish.
pub(super) fn started(
    wish: &Wish,
    is_kept: bool,
) -> Result<Warned<(String, Project)>, Vec<Diagnostic>> {
    let Some(kind) = construct::named(&wish.construction) else {
        let message = format!("no construction is called \"{}\"", wish.construction);
        return Err(vec![wrong(
            "construction",
            &message,
            "choose one of those shown",
        )]);
    };
    let asked = asked(wish, kind)?;
    let Started { text, project } = if is_kept {
        job::new_project(&asked)?
    } else {
        job::tried_project(&asked)?
    };
    let edits = paper_edits(wish, &project.value);
    if edits.is_empty() {
        let value = (text, project.value);
        return Ok(Warned {
            value,
            warnings: project.warnings,
        });
    }
    let text = load::change(&text, &edits).map_err(|e| vec![wrong("paper", &e.to_string(), "")])?;
    let none = BTreeMap::new();
    let read = job::check(NEW_PROJECT, &text, &none, &load::Options::default());
    let mut read =
        read.map_err(|mistakes| mistakes.into_iter().map(of_wish).collect::<Vec<_>>())?;
    read.warnings.extend(project.warnings);
    let value = (text, read.value);
    let warnings = read.warnings;
    Ok(Warned { value, warnings })
}

/// A mistake in what was added to the project, said of the wish.
fn of_wish(mut found: Diagnostic) -> Diagnostic {
    if let Some(origin) = &mut found.origin {
        let key = origin.key_path.rsplit('.').next().unwrap_or_default();
        origin.key_path = if key == "face_a" { "printed" } else { key }.to_owned();
    }
    found
}

fn asked(wish: &Wish, kind: &'static Kind) -> Result<NewProject, Vec<Diagnostic>> {
    let (by, size) = sized(wish, kind).map_err(|d| vec![d])?;
    let parameters = wish.set.iter().filter_map(|(key, value)| {
        let text = match value {
            Value::String(text) => text.trim().to_owned(),
            Value::Array(items) => {
                let items = items.iter().filter_map(Value::as_str);
                items.collect::<Vec<_>>().join(", ")
            }
            Value::Bool(true) => "yes".to_owned(),
            Value::Bool(false) => "no".to_owned(),
            other @ Value::Number(_) => other.to_string(),
            Value::Null | Value::Object(_) => return None,
        };
        (!text.is_empty()).then(|| (key.clone(), text))
    });
    let copies = copies(wish).map_err(|d| vec![d])?;
    let typed = |text: &Option<String>| text.clone().filter(|t| !t.trim().is_empty());
    let by_trimmer = wish.cut_by.as_deref() == Some("trimmer");
    Ok(NewProject {
        sizes: vec![(by, size)],
        parameters: parameters.collect(),
        name: typed(&wish.name),
        copies,
        paper: typed(&wish.paper),
        caliper: typed(&wish.caliper),
        cut_by: if by_trimmer {
            CutBy::Trimmer
        } else {
            CutBy::Machine
        },
        ..NewProject::of(kind.name)
    })
}

/// How many are made; 1 if nothing is said.
fn copies(wish: &Wish) -> Result<u32, Diagnostic> {
    if wish.copies.is_null() {
        return Ok(1);
    }
    let count = wish.copies.as_u64().and_then(|n| u32::try_from(n).ok());
    count.filter(|n| *n > 0).ok_or_else(|| {
        let message = format!("{} is no number of things to make", wish.copies);
        wrong("copies", &message, "write a whole number of 1 or more")
    })
}

/// What a construction is asked by, and the sizes in as many directions as it has.
fn sized(wish: &Wish, kind: &'static Kind) -> Result<(&'static str, String), Diagnostic> {
    let title = kind.title.to_lowercase();
    let by = match wish.what.as_str() {
        "flat" => "outside",
        what => what,
    };
    let Some(by) = kind.sized_by.iter().find(|own| **own == by) else {
        let message = format!("a {title} is made by its outside size");
        return Err(wrong("what", &message, "ask for an outside size"));
    };
    if wish.what == "flat" && kind.dimensions == 3 {
        let message = format!("a {title} is not flat");
        return Err(wrong("what", &message, "ask for what goes in"));
    }
    match parse_sizes(&wish.size, None).as_ref().map(Vec::as_slice) {
        Ok([a, b, thick]) if kind.dimensions == 2 => {
            if wish.what != "flat" && thick.to_mm() > FLAT_MM {
                let message =
                    format!("a {title} is flat: it holds what is up to {FLAT_MM} mm thick");
                return Err(wrong("size", &message, "choose a box for thicker things"));
            }
            let style = if is_in_inches(&wish.size) {
                LengthStyle::InchFractions
            } else {
                LengthStyle::Millimetres
            };
            Ok((by, format!("{} x {}", a.display(style), b.display(style))))
        }
        Ok(_) => Ok((by, wish.size.clone())),
        Err(error) => Err(no_size(wish, by, error)),
    }
}

/// What is wrong with the sizes; without a unit, that of the paper's own size is offered.
fn no_size(wish: &Wish, key: &str, error: &LengthError) -> Diagnostic {
    let paper = wish.paper.as_deref().and_then(paper::find);
    let is_inch = paper.is_some_and(|format| format.name().ends_with("in"));
    let (unit, name) = if is_inch {
        (LengthUnit::Inch, "in")
    } else {
        (LengthUnit::Millimetre, "mm")
    };
    let size = wish.size.trim();
    if parse_sizes(size, Some(unit)).is_ok() {
        let message = format!("the size \"{size}\" has no unit");
        return wrong(key, &message, &format!("write \"{size} {name}\""));
    }
    wrong(
        key,
        &format!("the size: {}", error.message()),
        &error.hint(),
    )
}

/// What the wish says of paper that a new project does not ask for.
fn paper_edits(wish: &Wish, project: &Project) -> Vec<Change> {
    let set = |stock: usize, key: &str, value: &str| Change::Set {
        steps: vec![
            Step::Key("stock".to_owned()),
            Step::Item(stock),
            Step::Key(key.to_owned()),
        ],
        value: Given::Text(value.to_owned()),
    };
    let mut edits = Vec::new();
    if wish.printed {
        let card = project
            .stocks
            .iter()
            .enumerate()
            .filter(|(_, s)| !s.is_clear);
        edits.extend(card.map(|(i, _)| set(i, "face_a", "printable")));
    }
    let price = wish.price.as_deref().map(str::trim);
    edits.extend(price.filter(|p| !p.is_empty()).map(|p| set(0, "price", p)));
    edits
}

/// A mistake at a key of the wish.
fn wrong(key: &str, message: &str, hint: &str) -> Diagnostic {
    let origin = Origin::of_key(key);
    let found = Diagnostic::error("desk.wish", message).at(&origin);
    if hint.is_empty() {
        found
    } else {
        found.hint(hint)
    }
}

/// Tries a wish and tells what comes of it.
pub(super) fn to_json(wish: &Wish) -> Value {
    match tell(wish) {
        Ok(value) => value,
        Err(mistakes) => json!({
            "works": false,
            "diagnostics": checked::to_json(&mistakes, &Sources::new()),
        }),
    }
}

fn tell(wish: &Wish) -> Result<Value, Vec<Diagnostic>> {
    let started = started(wish, false)?;
    let (_, project) = &started.value;
    let options = PlanOptions {
        effort: Effort::Quick,
        ..PlanOptions::default()
    };
    let planned = job::plan(project, &options)?;
    if !planned.value.unplaced.is_empty() {
        let errors = planned.warnings.into_iter().filter(Diagnostic::is_error);
        return Err(errors.map(without_place).collect());
    }
    let usage = &planned.value.usage;
    let notes = started.warnings.iter().map(|d| &d.message);
    let costs: Vec<String> = usage.costs.iter().map(ToString::to_string).collect();
    Ok(json!({
        "works": true,
        "picture": picture::of_all(project),
        "outside": outside(project),
        "pieces": project.pieces.len(),
        "sheets": usage.sheets,
        "cost": (!costs.is_empty()).then(|| costs.join(" and ")),
        "difficulty": difficulty(project),
        "notes": notes.collect::<Vec<_>>(),
    }))
}

/// There is no file yet that a place could be in.
fn without_place(mut found: Diagnostic) -> Diagnostic {
    found.origin = None;
    found.related.clear();
    found
}

/// What it measures over all: as its construction says, else its largest piece.
fn outside(project: &Project) -> String {
    let facts = project.parts.iter().flat_map(|part| &part.facts);
    let mut outside = facts.filter(|fact| fact.what == "outside");
    match outside.next() {
        Some(fact) => state::sizes(&fact.got, project.job.lengths),
        None => project.pieces.first().map_or_else(String::new, |piece| {
            let bounds = piece.outline.bounds();
            state::size(bounds.width(), bounds.height(), project.job.lengths)
        }),
    }
}

/// How much work one of it is (common practice, no source: a crease is one stroke, gluing takes twice as long, each further piece is cut and
/// fitted as well).
fn difficulty(project: &Project) -> Value {
    const EASY: u32 = 12;
    const SOME_CARE: u32 = 32;
    let mut creases = 0;
    let mut pieces = 0;
    for piece in &project.pieces {
        let own = piece.operations.iter();
        let own = own.filter(|o| matches!(o.kind, OperationKind::Crease { .. }));
        creases += piece.per_copy * u32::try_from(own.count()).unwrap_or(u32::MAX);
        pieces += piece.per_copy;
    }
    let joints = project.assemblies.iter().flat_map(|a| &a.joints);
    let glued = joints.filter(|j| matches!(j.kind, JointKind::Stuck { .. }));
    let glued = u32::try_from(glued.count()).unwrap_or(u32::MAX);
    let work = creases
        .saturating_add(glued.saturating_mul(2))
        .saturating_add(pieces.saturating_sub(1).saturating_mul(4));
    let (level, word) = if work <= EASY {
        (1, "easy")
    } else if work <= SOME_CARE {
        (2, "takes some care")
    } else {
        (3, "takes patience")
    };
    let mut why = vec![counted(pieces, "piece")];
    why.extend((creases > 0).then(|| counted(creases, "crease")));
    why.extend((glued > 0).then(|| counted(glued, "glued flap")));
    json!({ "level": level, "word": word, "why": why.join(", ") })
}

/// A picture of a construction at a size that shows what it is.
pub(super) fn sample(name: &str) -> Option<String> {
    let kind = construct::named(name)?;
    let size = match kind.dimensions {
        1 => "120 mm",
        2 => "90 x 60 mm",
        _ => "80 x 55 x 35 mm",
    };
    let by = kind.sized_by.iter().find(|by| **by == "inside");
    let asked = NewProject {
        sizes: vec![(by.copied().unwrap_or("outside"), size.to_owned())],
        ..NewProject::of(name)
    };
    let started = job::tried_project(&asked).ok()?;
    picture::of_all(&started.project.value)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wish(construction: &str, what: &str, size: &str) -> Wish {
        Wish {
            construction: construction.to_owned(),
            what: what.to_owned(),
            size: size.to_owned(),
            copies: json!(6),
            ..Wish::default()
        }
    }

    #[test]
    fn a_box_for_what_goes_in_works_and_costs_what_its_sheets_do() {
        let mut wish = wish("tray", "contents", "60 x 40 x 20 mm");
        wish.price = Some("0.40 EUR".to_owned());
        wish.printed = true;
        let told = to_json(&wish);
        assert_eq!(told["works"], true, "{told}");
        let sheets = told["sheets"].as_u64().unwrap();
        let hundredths = sheets * 40;
        let cost = format!("{}.{:02} EUR", hundredths / 100, hundredths % 100);
        assert_eq!(told["cost"], json!(cost));
        assert!(told["picture"].as_str().unwrap().contains("<svg"));
    }

    #[test]
    fn what_does_not_work_says_why_at_its_field() {
        for (wish, key) in [
            (wish("tray", "flat", "60 x 40 mm"), "what"),
            (wish("tag", "contents", "60 x 40 x 20 mm"), "what"),
            (
                wish("diamond-envelope", "contents", "120 x 90 x 20 mm"),
                "size",
            ),
            (wish("tray", "contents", "60 x 40"), "contents"),
            (
                Wish {
                    copies: json!(-5),
                    ..wish("tray", "contents", "60 x 40 x 20 mm")
                },
                "copies",
            ),
            (
                Wish {
                    copies: json!(2.5),
                    ..wish("tray", "contents", "60 x 40 x 20 mm")
                },
                "copies",
            ),
            (wish("crate", "contents", "60 x 40 x 20 mm"), "construction"),
        ] {
            let told = to_json(&wish);
            assert_eq!(told["works"], false, "{wish:?}");
            assert_eq!(told["diagnostics"][0]["key"], key, "{told}");
        }
    }

    #[test]
    fn every_construction_has_a_picture() {
        for kind in construct::KINDS {
            assert!(sample(kind.name).is_some(), "{}", kind.name);
        }
    }
}

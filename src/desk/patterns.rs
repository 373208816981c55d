//! Patterns and palettes to choose from, each with a swatch.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::answer::{Answer, Asked, Outcome, Refused};
use super::{Desk, picture};
use crate::job;
use crate::load::{self, Change, Given, Step};
use crate::pattern::{KINDS, Kind, PALETTES, Palette, Role, SETS, Set};

/// A piece to show a pattern on.
const SWATCH: &str = "sheetwright = 1\n[job]\nname = \"-\"\ncopies = 1\ncut_by = \"machine\"\n[[stock]]\nid = \"a\"\nformat = \"a4\"\nface_a = \"printable\"\n[[piece]]\nid = \"a\"\nstock = \"a\"\nshape = { kind = \"rectangle\", width = \"54 mm\", height = \"36 mm\" }\n[[piece.artwork]]\nbleed = \"0 mm\"\n";

pub(super) fn patterns(_: &Desk, _: &Asked) -> Outcome {
    Ok(Answer::Json(json!({
        "patterns": KINDS.iter().map(|kind| pattern(kind)).collect::<Vec<_>>(),
        "palettes": PALETTES.iter().map(palette).collect::<Vec<_>>(),
        "sets": SETS.iter().map(set).collect::<Vec<_>>(),
    })))
}

fn pattern(kind: &Kind) -> Value {
    let (metric, inch) = kind.usual_repeat;
    json!({
        "name": kind.name,
        "title": kind.title,
        "about": kind.says,
        "way": kind.repeat_is,
        "repeat": { "mm": metric, "in": inch },
        "weight": format!("{:.0} %", kind.usual_weight * 100.0),
        "weight_is": kind.weight_is,
        "colours": [kind.colours.0, kind.colours.1],
    })
}

fn palette(palette: &Palette) -> Value {
    let colours =
        Role::ALL.map(|role| (role.name().to_owned(), palette.colour(role).to_hex().into()));
    let colours: serde_json::Map<String, Value> = colours.into_iter().collect();
    json!({ "name": palette.name, "title": palette.title, "about": palette.says, "colours": colours })
}

fn set(set: &Set) -> Value {
    let members: Vec<&str> = set.members.iter().map(|member| member.kind).collect();
    json!({ "name": set.palette, "about": set.says, "patterns": members })
}

/// `GET /picture/pattern.svg?kind=gingham&palette=..&colours=a,b&repeat=..`: a pattern as it would be on a small card.
pub(super) fn swatch(asked: &Asked) -> Outcome {
    let query = &asked.query;
    let name = query.get("kind").ok_or_else(Refused::missing)?;
    let kind = crate::pattern::named(name).ok_or_else(Refused::missing)?;
    let mut values = BTreeMap::from([
        ("pattern", Given::Text(kind.name.to_owned())),
        ("repeat", Given::Text(kind.usual_repeat.0.to_owned())),
        ("palette", Given::Text(PALETTES[0].name.to_owned())),
    ]);
    if kind.name == "words" {
        values.insert(
            "words",
            Given::List(vec![Given::Text("swap seeds".to_owned())]),
        );
    }
    for key in [
        "repeat", "weight", "angle", "offset", "start", "set", "palette",
    ] {
        if let Some(text) = query.get(key).filter(|text| !text.trim().is_empty()) {
            values.insert(key, Given::Text(text.clone()));
        }
    }
    if let Some(colours) = query.get("colours").filter(|text| !text.trim().is_empty()) {
        let colours = colours.split(',').map(|c| Given::Text(c.trim().to_owned()));
        values.insert("colours", Given::List(colours.collect()));
        if !query.contains_key("palette") {
            values.remove("palette");
        }
    }
    if let Some(seed) = query.get("seed").and_then(|seed| seed.parse().ok()) {
        values.insert("seed", Given::Whole(seed));
    }
    drawn(&values).map(Answer::svg).map_err(Refused::wrong)
}

fn drawn(values: &BTreeMap<&str, Given>) -> Result<String, String> {
    let edits = values.iter().map(|(key, value)| Change::Set {
        steps: vec![
            Step::Key("piece".to_owned()),
            Step::Item(0),
            Step::Key("artwork".to_owned()),
            Step::Item(0),
            Step::Key((*key).to_owned()),
        ],
        value: value.clone(),
    });
    let edits: Vec<Change> = edits.collect();
    let text = load::change(SWATCH, &edits).map_err(|e| e.to_string())?;
    let none = BTreeMap::new();
    let read = job::check("project.toml", &text, &none, &load::Options::default());
    let read = read.map_err(|mistakes| {
        mistakes
            .first()
            .map_or_else(String::new, |d| d.message.clone())
    })?;
    picture::of_all(&read.value).ok_or_else(String::new)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pattern_has_a_swatch() {
        for kind in KINDS {
            let asked = Asked {
                query: BTreeMap::from([("kind".to_owned(), kind.name.to_owned())]),
                ..Asked::default()
            };
            assert!(
                swatch(&asked).is_ok(),
                "{}: {:?}",
                kind.name,
                swatch(&asked)
            );
        }
    }
}

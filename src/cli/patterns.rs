//! `patterns`: the patterns and palettes there are, and a book of swatches.

use super::options::{Format, PatternsVerb};
use super::report;
use super::{DONE, WRONG};
use crate::files;
use crate::job;
use crate::pattern::{KINDS, Kind, PALETTES, Palette, Role, SETS, Set};

/// Runs the verb and returns the exit code.
pub(super) fn run(options: &PatternsVerb, format: Format) -> u8 {
    let wanted = options.name.as_deref().unwrap_or_default().to_lowercase();
    let kinds: Vec<_> = KINDS.iter().filter(|k| k.name.contains(&wanted)).collect();
    let palettes: Vec<_> = PALETTES
        .iter()
        .filter(|p| p.name.contains(&wanted))
        .collect();
    let sets: Vec<_> = SETS
        .iter()
        .filter(|s| s.palette.contains(&wanted))
        .collect();
    if kinds.is_empty() && palettes.is_empty() {
        report::talk(&format!(
            "no pattern's and no palette's name holds \"{wanted}\"\n"
        ));
        return WRONG;
    }
    match format {
        Format::Json => report::result(&report::pretty(&serde_json::json!({
            "patterns": kinds.iter().map(|kind| kind_json(kind)).collect::<Vec<_>>(),
            "palettes": palettes.iter().map(|palette| palette_json(palette)).collect::<Vec<_>>(),
            "sets": sets.iter().map(|set| set_json(set)).collect::<Vec<_>>(),
        }))),
        Format::Text => {
            let kinds = kinds.iter().map(|kind| kind_line(kind));
            let palettes = palettes
                .iter()
                .map(|p| format!("{:18} {}\n", p.name, p.says));
            let sets = sets.iter().map(|set| set_line(set));
            report::result(&kinds.chain(palettes).chain(sets).collect::<String>());
        }
    }
    match &options.book {
        Some(folder) => {
            let book = job::swatch_book(options.paper.into());
            let is_ours = |name: &str| name.starts_with("patterns");
            match files::write_folder_of(folder, &book, is_ours) {
                Ok(()) => {
                    let names: Vec<_> = book.keys().cloned().collect();
                    report::talk(&format!(
                        "written to {}: {}\n",
                        folder.display(),
                        names.join(", ")
                    ));
                    DONE
                }
                Err(wrong) => report::fail(wrong, format),
            }
        }
        None => DONE,
    }
}

fn kind_line(kind: &Kind) -> String {
    let (metric, inch) = kind.usual_repeat;
    format!(
        "{:18} {}; repeat {metric} or {inch}\n",
        kind.name, kind.says
    )
}

fn set_line(set: &Set) -> String {
    let kinds: Vec<_> = set.members.iter().map(|member| member.kind).collect();
    let of = format!("set {}", set.palette);
    format!("{of:18} {}: {}\n", set.says, kinds.join(", "))
}

fn set_json(set: &Set) -> serde_json::Value {
    let members = set.members.iter().map(|member| {
        serde_json::json!({
            "pattern": member.kind,
            "scale": member.scale.name(),
            "repeat": [member.repeat.0, member.repeat.1],
            "weight_percent": (member.weight * 100.0).round(),
            "colours": member.colours.iter().map(|role| role.name()).collect::<Vec<_>>(),
        })
    });
    serde_json::json!({ "name": set.palette, "says": set.says, "patterns": members.collect::<Vec<_>>() })
}

fn kind_json(kind: &Kind) -> serde_json::Value {
    serde_json::json!({
        "name": kind.name,
        "says": kind.says,
        "repeat": [kind.usual_repeat.0, kind.usual_repeat.1],
        "repeat_is": kind.repeat_is,
        "weight_percent": (kind.usual_weight * 100.0).round(),
        "weight_is": kind.weight_is,
        "colours": [kind.colours.0, kind.colours.1],
    })
}

fn palette_json(palette: &Palette) -> serde_json::Value {
    let colours =
        Role::ALL.map(|role| (role.name().to_owned(), palette.colour(role).to_hex().into()));
    let colours: serde_json::Map<String, serde_json::Value> = colours.into_iter().collect();
    serde_json::json!({ "name": palette.name, "says": palette.says, "colours": colours })
}

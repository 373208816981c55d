//! Data moves one way: the rooms of the crate import downwards only, and only the edge touches the world.

mod tokens;

use std::fs;
use std::path::{Path, PathBuf};

use tokens::{Token, paths_from, tokens};

/// One room of the crate: a file or folder right under `src`.
struct Room {
    name: &'static str,
    /// Rooms of lower layers may be imported.
    layer: u8,
    /// Rooms of the same layer that may be imported too.
    siblings: &'static [&'static str],
}

const fn room(name: &'static str, layer: u8, siblings: &'static [&'static str]) -> Room {
    Room {
        name,
        layer,
        siblings,
    }
}

/// Layers from the words at the bottom to the edge at the top.
const ROOMS: [Room; 30] = [
    // Words: lengths and paper formats report mistakes, and a format is made of lengths.
    room("length", 0, &["diagnostic", "math"]),
    room("math", 0, &[]),
    room("diagnostic", 0, &[]),
    room("digest", 0, &[]),
    room("date", 0, &[]),
    room("paper", 0, &["length", "math", "diagnostic"]),
    // Shapes: a set line is a drawing, a glyph is a path.
    room("geometry", 1, &[]),
    room("fit", 1, &[]),
    room("font", 1, &["geometry", "drawing"]),
    room("drawing", 1, &["geometry"]),
    room("project", 2, &[]),
    // In: a part with a construction is expanded while it is loaded, a pattern is drawn, and what goes round a thing is measured on it folded.
    room("construct", 3, &[]),
    room("pattern", 3, &[]),
    room("load", 3, &["construct", "fold", "pattern"]),
    room("fold", 3, &[]),
    room("plan", 4, &[]),
    // What lies on the table follows from a finished plan.
    room("handout", 4, &["plan"]),
    room("draw", 5, &[]),
    room("emit", 6, &[]),
    room("verify", 7, &[]),
    room("booking", 7, &[]),
    // Targets found in pictures serve both; a corrected cut file is read as any other.
    room("scan", 7, &[]),
    room("calibrate", 7, &["scan"]),
    room("register", 7, &["scan", "verify"]),
    room("job", 8, &[]),
    // Edge: `cli` starts `desk`, both use the disk.
    room("files", 9, &[]),
    room("cli", 9, &["files", "desk"]),
    room("desk", 9, &["files"]),
    room("main", 9, &["cli"]),
    // The list of rooms itself.
    room("lib", 9, &[]),
];

/// All that the writer of files may see: numbers become text there and nothing is decided.
const EMIT_SEES: [&str; 7] = [
    "draw",
    "drawing",
    "geometry",
    "font",
    "length",
    "math",
    "diagnostic",
];

/// The layer that may touch disk, network, terminal and clock.
const EDGE: u8 = 9;

const WORLD_MODULES: [&str; 4] = ["env", "fs", "net", "process"];
const WORLD_NAMES: [&str; 5] = ["SystemTime", "Instant", "stdin", "stdout", "stderr"];
const PRINTING: [&str; 4] = ["print", "println", "eprint", "eprintln"];

fn room_of(name: &str) -> Option<&'static Room> {
    ROOMS.iter().find(|room| room.name == name)
}

/// Returns one line for each rule that `source`, a file of `room`, breaks.
fn findings(room: &Room, source: &str) -> Vec<String> {
    let code = tokens(source);
    let mut found = import_findings(room, &code);
    if room.layer < EDGE {
        found.extend(world_findings(&code));
    }
    found
}

fn import_findings(room: &Room, code: &[Token]) -> Vec<String> {
    let mut imports = paths_from("crate", code);
    imports.extend(paths_from("sheetwright", code));
    // From a file of a room, two steps up is the root; from its tests it is the room, which names no other room.
    let climbing = ["super::super", "super::super::super"]
        .into_iter()
        .flat_map(|root| paths_from(root, code));
    imports.extend(climbing.filter(|path| room_of(&path.names[0]).is_some()));
    imports
        .iter()
        .filter_map(|path| {
            let below = path.names.get(1).map(String::as_str);
            let reason = refusal(room, &path.names[0], below)?;
            Some(format!(
                "line {}: {} imports {}: {reason}",
                path.line,
                room.name,
                path.names.join("::")
            ))
        })
        .collect()
}

/// Why `room` may not import `target`, or what is `below` it.
fn refusal(room: &Room, target: &str, below: Option<&str>) -> Option<&'static str> {
    let Some(imported) = room_of(target) else {
        return Some("no room of that name is in the table");
    };
    if target == room.name {
        return None;
    }
    if imported.layer > room.layer {
        return Some("a lower layer must not know a higher one");
    }
    if imported.layer == room.layer && !room.siblings.contains(&target) {
        return Some("rooms of one layer do not know each other");
    }
    match room.name {
        "emit" if !EMIT_SEES.contains(&target) => Some("the writer sees finished pages only"),
        "emit" if target == "draw" && below != Some("page") => {
            Some("the writer sees draw::page only")
        }
        "verify" if ["draw", "emit"].contains(&target) => {
            Some("the proof must not lean on what it proves")
        }
        _ => None,
    }
}

fn world_findings(code: &[Token]) -> Vec<String> {
    let mut found = Vec::new();
    for path in paths_from("std", code) {
        if WORLD_MODULES.contains(&path.names[0].as_str()) {
            found.push(format!(
                "line {}: std::{} outside the edge",
                path.line, path.names[0]
            ));
        }
    }
    for (i, token) in code.iter().enumerate() {
        let is_called = code.get(i + 1).is_some_and(|next| next.text == "!");
        if WORLD_NAMES.contains(&token.text.as_str())
            || (is_called && PRINTING.contains(&token.text.as_str()))
        {
            found.push(format!(
                "line {}: {} outside the edge",
                token.line, token.text
            ));
        }
    }
    found
}

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(rust_files(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
    found.sort();
    found
}

#[test]
fn every_room_imports_downwards_and_only_the_edge_touches_the_world() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    for file in rust_files(&src) {
        let inside = file.strip_prefix(&src).unwrap();
        let name = Path::new(inside.components().next().unwrap().as_os_str())
            .file_stem()
            .unwrap();
        match room_of(name.to_str().unwrap()) {
            None => found.push(format!(
                "{}: its room is not in the table of this test",
                inside.display()
            )),
            Some(room) => {
                let source = fs::read_to_string(&file).unwrap();
                found.extend(
                    findings(room, &source)
                        .iter()
                        .map(|f| format!("{}: {f}", inside.display())),
                );
            }
        }
    }
    assert!(found.is_empty(), "\n{}", found.join("\n"));
}

#[test]
fn arrows_pointing_the_wrong_way_are_found() {
    for (room, source, words) in [
        (
            "geometry",
            "use crate::plan::JobPlan;",
            "must not know a higher one",
        ),
        (
            "plan",
            "use crate::{\n    length::Length,\n    draw::{page::Page},\n};",
            "line 3: plan imports draw::page::Page",
        ),
        (
            "plan",
            "fn f() -> crate::verify::Found { g() }",
            "must not know a higher one",
        ),
        (
            "fold",
            "use crate::load::project;",
            "do not know each other",
        ),
        (
            "calibrate",
            "use crate::register::read;",
            "do not know each other",
        ),
        ("emit", "use crate::plan::JobPlan;", "finished pages only"),
        (
            "emit",
            "use crate::draw::{page::Page, print_page};",
            "draw::page only",
        ),
        ("emit", "use crate::draw;", "draw::page only"),
        ("verify", "use crate::emit::pdf;", "must not lean"),
        ("verify", "use crate::draw::page::Page;", "must not lean"),
        (
            "drawing",
            "use super::super::font::Face;",
            "do not know each other",
        ),
        (
            "length",
            "use super::super::plan::place;",
            "must not know a higher one",
        ),
        ("plan", "use crate::helpers::thing;", "no room of that name"),
        (
            "job",
            "use crate::cli::flags;",
            "must not know a higher one",
        ),
    ] {
        let found = findings(room_of(room).unwrap(), source);
        assert!(
            found.len() == 1 && found[0].contains(words),
            "{source}: {found:?}"
        );
    }
}

#[test]
fn reaching_for_the_world_is_found_outside_the_edge() {
    for source in [
        "use std::fs;",
        "use std::{collections::BTreeMap, fs::File};",
        "fn f() { std::net::TcpStream::connect(a) }",
        "fn f() { println!(\"\") }",
        "fn f() { eprint!(\"\") }",
        "use std::time::Instant;",
        "fn f() { std::io::stdout().flush() }",
        "fn f() { io::stdin() }",
        "fn f() { std::env::var(a) }",
        "fn f() -> time::SystemTime { g() }",
    ] {
        let found = findings(room_of("load").unwrap(), source);
        assert_eq!(found.len(), 1, "{source}: {found:?}");
        assert_eq!(
            findings(room_of("files").unwrap(), source),
            [""; 0],
            "{source}"
        );
    }
}

#[test]
fn honest_lines_are_left_alone() {
    for (room, source) in [
        (
            "geometry",
            "use crate::math::{Angle, COINCIDENT_MM};\npub(crate) fn f() {}",
        ),
        ("font", "use crate::drawing::GlyphRun;"),
        (
            "emit",
            "use crate::draw::page::{Page, Layer};\nuse crate::font::Face;",
        ),
        (
            "verify",
            "use crate::plan::JobPlan; use crate::geometry::Outline;",
        ),
        ("cli", "use crate::{desk, files, job};"),
        (
            "math",
            "/// As in [`draw`](crate::draw).\n// crate::cli std::fs\nconst A: &str = \"crate::cli println!\";",
        ),
        ("plan", "mod tests { use super::super::sheet; }"),
        ("plan", "use std::fmt; fn instant() { print(1) }"),
    ] {
        assert_eq!(
            findings(room_of(room).unwrap(), source),
            [""; 0],
            "{source}"
        );
    }
}

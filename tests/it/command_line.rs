//! What the command line promises: verbs, exit codes, and a folder that is written whole or not at all.

use std::fs;
use std::io::Write;
use std::process::{Command, Stdio};

use serde_json::Value;

use crate::program::{files, fresh_folder, make, parts, sheetwright};

const SMALL: &str = r#"
sheetwright = 1
[job]
name = "Bean labels"
copies = 4
cut_by = "machine"
show_lengths = "mm"
[[stock]]
id = "oat"
format = "a4"
[[piece]]
id = "label"
stock = "oat"
shape = { kind = "rectangle", size = "60 x 30 mm" }
"#;

#[test]
fn a_project_without_mistakes_is_checked_with_code_0() {
    let (code, result, talk) = parts(&sheetwright(&["check", "examples/herb-packet"]));
    assert_eq!((code, talk.as_str()), (0, ""));
    assert_eq!(
        result,
        "Herb packets: 3 pieces, 3 stocks, 12 copies and 2 spares; no mistakes\n"
    );
}

#[test]
fn mistakes_are_told_with_place_and_hint_and_code_1() {
    let folder = fresh_folder("mistakes");
    let file = folder.join("project.toml");
    fs::write(&file, SMALL.replace("60 x 30 mm", "60 x 30")).unwrap();
    let (code, result, talk) = parts(&sheetwright(&["check", file.to_str().unwrap()]));
    assert_eq!((code, result.as_str()), (1, ""));
    assert!(talk.contains("error[length."), "{talk}");
    assert!(talk.contains("--> project.toml:14:38"), "{talk}");
    let (code, result, talk) = parts(&sheetwright(&[
        "check",
        file.to_str().unwrap(),
        "--format",
        "json",
    ]));
    assert_eq!((code, talk.as_str()), (1, ""));
    let told: Value = serde_json::from_str(&result).unwrap();
    assert_eq!(told["diagnostics"][0]["place"]["line"], 14);
    assert_eq!(told["diagnostics"][0]["place"]["column"], 38);
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_missing_file_and_a_wrong_flag_give_code_2() {
    let (code, _, talk) = parts(&sheetwright(&["check", "no-such-project.toml"]));
    assert_eq!(code, 2);
    assert!(talk.contains("cannot read no-such-project.toml"), "{talk}");
    assert_eq!(
        parts(&sheetwright(&["check", "examples/herb-packet", "--fast"])).0,
        2
    );
    assert_eq!(parts(&sheetwright(&["verify", "examples"])).0, 2);
    assert_eq!(parts(&sheetwright(&["--version"])).0, 0);
}

#[test]
fn a_project_comes_from_standard_input_too() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_sheetwright"))
        .args(["plan", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child
        .stdin
        .take()
        .unwrap()
        .write_all(SMALL.as_bytes())
        .unwrap();
    let (code, result, talk) = parts(&child.wait_with_output().unwrap());
    assert_eq!(code, 0, "{talk}");
    assert!(result.contains("4 x label"), "{result}");
}

#[test]
fn the_plan_is_written_where_asked() {
    let folder = fresh_folder("plan-file");
    let out = folder.join("plan.json");
    let (code, ..) = parts(&sheetwright(&[
        "plan",
        "examples/plant-labels",
        "--out",
        out.to_str().unwrap(),
    ]));
    assert_eq!(code, 0);
    let plan: Value = serde_json::from_slice(&fs::read(&out).unwrap()).unwrap();
    assert_eq!(plan["format"], "sheetwright-plan/1");
    assert_eq!(files(&folder).len(), 1, "nothing else is left behind");
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_folder_that_is_not_ours_is_left_alone() {
    let folder = fresh_folder("foreign");
    fs::write(folder.join("seeds.txt"), "beans").unwrap();
    let out = folder.to_str().unwrap();
    let (code, result, talk) = parts(&sheetwright(&[
        "make",
        "examples/plant-labels",
        "--out",
        out,
    ]));
    assert_eq!((code, result.as_str()), (2, ""));
    assert!(
        talk.contains("holds files that this program did not make"),
        "{talk}"
    );
    assert_eq!(files(&folder).keys().collect::<Vec<_>>(), ["seeds.txt"]);
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn an_earlier_result_is_replaced_whole() {
    let folder = fresh_folder("replaced");
    let out = folder.join("made");
    make("examples/class-kit", &out, &[]);
    assert!(out.join("print.pdf").is_file());
    make("examples/plant-labels", &out, &[]);
    assert!(
        !out.join("print.pdf").exists(),
        "nothing of the earlier result is left"
    );
    assert_eq!(
        fs::read_dir(&folder).unwrap().count(),
        1,
        "no half-written folder is left beside it"
    );
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn what_does_not_fit_is_named_with_both_sizes_and_nothing_is_written_unless_asked() {
    let folder = fresh_folder("too-large");
    let file = folder.join("project.toml");
    let large = r#"
[[piece]]
id = "banner"
stock = "oat"
shape = { kind = "rectangle", size = "400 x 30 mm" }
"#;
    fs::write(&file, format!("{SMALL}{large}")).unwrap();
    let (project, out) = (file.to_str().unwrap(), folder.join("made"));
    let (code, result, talk) = parts(&sheetwright(&["plan", project]));
    assert_eq!(code, 1);
    assert!(
        result.contains("4 x label"),
        "the rest is planned: {result}"
    );
    assert!(talk.contains("banner") && talk.contains("400"), "{talk}");
    let make = |more: &[&str]| {
        let arguments = [&["make", project, "--out", out.to_str().unwrap()], more].concat();
        parts(&sheetwright(&arguments))
    };
    let (code, _, talk) = make(&[]);
    assert_eq!(code, 1);
    assert!(talk.contains("nothing written"), "{talk}");
    assert!(!out.exists());
    let (code, result, _) = make(&["--partial"]);
    assert_eq!(code, 1, "something is still missing");
    assert!(out.join("cut-01.svg").is_file(), "{result}");
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn verify_names_the_damaged_file_and_gives_code_1() {
    let folder = fresh_folder("damaged");
    let out = folder.join("made");
    make("examples/plant-labels", &out, &[]);
    let cut = out.join("cut-01.svg");
    let text = fs::read_to_string(&cut).unwrap();
    let start = text.find(" d=\"M ").unwrap() + 6;
    let end = start + text[start..].find(' ').unwrap();
    let x: f64 = text[start..end].parse().unwrap();
    fs::write(
        &cut,
        format!("{}{}{}", &text[..start], x + 0.02, &text[end..]),
    )
    .unwrap();
    let (code, result, _) = parts(&sheetwright(&["verify", out.to_str().unwrap()]));
    assert_eq!(code, 1);
    assert!(result.contains("cut-01.svg         WRONG"), "{result}");
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn papers_lists_the_formats_with_their_sources() {
    let (code, result, _) = parts(&sheetwright(&["papers", "letter"]));
    assert_eq!(code, 0);
    assert!(result.contains("na_letter_8.5x11in"), "{result}");
    assert!(result.contains("215.9 x 279.4"), "{result}");
    assert_eq!(parts(&sheetwright(&["papers", "tablecloth"])).0, 1);
}

#[test]
fn hand_work_is_told_with_sizes_and_places_in_the_jobs_units() {
    let (code, result, _) = parts(&sheetwright(&["plan", "examples/class-kit"]));
    assert_eq!(code, 0);
    // The card is two panels of 4 1/4 in, 5 1/2 in across; the stand's panels are 1/2, 3, 3 and 2 1/2 in, from top to bottom. There
    // is room for the four spare stands and for no spare card.
    for line in [
        "card: outline by hand, 8 1/2 in x 5 1/2 in, 24 times",
        "card: crease-1 (mountain) by hand, 4 1/4 in from the left edge, 24 times",
        "stand: crease-2 (mountain) by hand, 3 1/2 in from the top edge, 28 times",
    ] {
        assert!(result.contains(line), "{line}: {result}");
    }
}

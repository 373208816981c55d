//! Measuring a printer and a cutter from the command line: readings as flags, from a file and asked for, and what is written of them.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use serde_json::Value;
use sheetwright::load::{NamedText, cutter_profile, printer_profile};

use crate::program::{fresh_folder, parts, root, sheetwright};

const BY_EYE: [&str; 8] = [
    "x1=20.4", "x2=181.0", "x3=21.2", "x4=181.7", "y1=20.1", "y2=19.8", "y3=265.8", "y4=265.5",
];

fn named(path: &Path) -> NamedText {
    NamedText {
        name: path.display().to_string(),
        text: fs::read_to_string(path).unwrap(),
    }
}

fn run(arguments: &[&str]) -> (i32, String, String) {
    parts(&sheetwright(arguments))
}

#[test]
fn readings_as_flags_make_a_profile_and_words() {
    let folder = fresh_folder("read-flags");
    let out = folder.join("printer.toml");
    let out_text = out.to_str().unwrap();
    let mut arguments = vec![
        "calibrate",
        "read",
        "--paper",
        "a4",
        "--name",
        "Attic printer",
        "--out",
        out_text,
        "--reading",
    ];
    arguments.extend(BY_EYE);
    let (code, result, talk) = run(&arguments);
    assert_eq!((code, talk.as_str()), (0, ""));
    // By hand from `eye-210x297`: 0.34 % and -0.53 %, 1.09 and -0.73 mm; 0.165 mm a reading make 0.44 mm at the worst corner.
    for words in [
        "% too wide and 0.5",
        "% too short",
        "mm to the right and 0.7",
        "within 0.44 mm (1/32 in)",
        "written to ",
    ] {
        assert!(result.contains(words), "no {words} in {result}");
    }
    for jargon in ["sigma", "shear", "deviation", "mrad"] {
        assert!(!result.contains(jargon), "{result}");
    }
    let profile = printer_profile(&named(&out), None).unwrap().value;
    assert_eq!(profile.name.as_deref(), Some("Attic printer"));
    assert!(profile.calibration.is_some());

    arguments.insert(2, "--details");
    let (_, result, _) = run(&arguments);
    assert!(
        result.contains("shear")
            && result.contains("standard deviation of one reading: 0.165 mm, assumed"),
        "{result}"
    );
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_file_with_readings_renews_a_profile_that_is_there() {
    let folder = fresh_folder("read-file");
    let out = folder.join("attic.toml");
    fs::write(&out, "# Upstairs.\nsheetwright_printer = 1\nname = \"Old faithful\"\nmargins = \"1/4 in\"\nlargest = \"legal\"\n").unwrap();
    let out_text = out.to_str().unwrap();
    let arguments = [
        "calibrate",
        "read",
        "--readings",
        "calibration/readings-by-eye-a4.toml",
        "--out",
        out_text,
        "--format",
        "json",
    ];
    let (code, result, talk) = run(&arguments);
    assert_eq!((code, talk.as_str()), (0, ""));
    let told: Value = serde_json::from_str(&result).unwrap();
    assert_eq!(told["measured"]["margins_mm"]["bottom"], 13.0);
    assert!(told["measured"]["back"]["terms"]["turn_mrad"].is_number());
    let text = fs::read_to_string(&out).unwrap();
    assert!(
        text.starts_with("# Upstairs.\nsheetwright_printer = 1\nname = \"Old faithful\"\n"),
        "{text}"
    );
    // A project is checked with it; the readings are older than 90 days or not, but never a mistake.
    let (code, _, talk) = run(&["check", "examples/herb-packet", "--printer", out_text]);
    assert_eq!(code, 0, "{talk}");
    fs::remove_dir_all(folder).unwrap();
}

/// Runs `calibrate read` with these lines typed.
fn asked(out: &Path, lines: &str) -> (i32, String, String) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_sheetwright"))
        .args([
            "calibrate",
            "read",
            "--paper",
            "a4",
            "--out",
            out.to_str().unwrap(),
        ])
        .current_dir(root())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child
        .stdin
        .take()
        .unwrap()
        .write_all(lines.as_bytes())
        .unwrap();
    parts(&child.wait_with_output().unwrap())
}

#[test]
fn readings_are_asked_for_one_at_a_time() {
    let folder = fresh_folder("read-asked");
    let out = folder.join("printer.toml");
    let lines: String = BY_EYE
        .iter()
        .map(|r| format!("{}\n", r.split_once('=').unwrap().1))
        .collect();
    let (code, result, talk) = asked(&out, &(lines.clone() + "5\n4\n13\n4\n"));
    assert_eq!(code, 0, "{talk}");
    assert!(
        talk.contains("tick 4 meets a mark: type 20.4")
            && result.contains("it cannot print 5.0 mm at the top"),
        "{talk}{result}"
    );
    fs::remove_file(&out).unwrap();
    // Ended early: nothing is written.
    let (code, _, talk) = asked(&out, "20.4\nquit\n");
    assert!(
        code == 1 && talk.contains("nothing was written") && !out.exists(),
        "{talk}"
    );
    // What contradicts itself is refused, and need not be typed again.
    let (code, _, talk) = asked(&out, &(lines.replacen("20.4", "30.4", 1) + "\n\n\n\n"));
    assert!(
        code == 1 && talk.contains("x1 = \"30.4\" is in doubt") && talk.contains("\"x2=181.0\""),
        "{talk}"
    );
    assert!(!out.exists());
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn mistakes_in_readings_are_told_and_nothing_is_written() {
    let folder = fresh_folder("read-wrong");
    let out = folder.join("printer.toml");
    let out_text = out.to_str().unwrap();
    let (code, _, talk) = run(&[
        "calibrate",
        "read",
        "--paper",
        "a4",
        "--out",
        out_text,
        "--reading",
        "x1=0.79",
    ]);
    assert!(
        code == 1 && talk.contains("looks like inches") && talk.contains("y4 was not read"),
        "{talk}"
    );
    let readings = folder.join("readings.toml");
    fs::write(&readings, "sheetwright_readings = 1\nformat = \"a4\"\nedition = \"mm\"\n[readings]\nx1 = 20.4\nx9 = 3\n").unwrap();
    let (code, _, talk) = run(&[
        "calibrate",
        "read",
        "--readings",
        readings.to_str().unwrap(),
        "--out",
        out_text,
    ]);
    assert!(code == 1 && talk.contains("readings.toml:6:6"), "{talk}");
    let (code, _, talk) = run(&[
        "calibrate",
        "read",
        "--paper",
        "a4",
        "--out",
        out_text,
        "--date",
        "9 May",
        "--reading",
        "x1=20.4",
    ]);
    assert!(code == 2 && talk.contains("9 May is no day"), "{talk}");
    assert!(!out.exists());
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_ruler_tells_whether_the_job_needs_more() {
    let folder = fresh_folder("ruler");
    let out = folder.join("printer.toml");
    let arguments = [
        "calibrate",
        "ruler",
        "--readings",
        "calibration/readings-by-ruler-letter-inch.toml",
        "--project",
        "examples/herb-packet",
        "--out",
        out.to_str().unwrap(),
    ];
    let (code, result, talk) = run(&arguments);
    assert_eq!((code, talk.as_str()), (0, ""));
    assert!(result.contains("of \"Herb packets\" is"), "{result}");
    assert!(
        printer_profile(&named(&out), None)
            .unwrap()
            .value
            .calibration
            .is_some()
    );
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_test_cut_is_written_and_its_readings_make_a_profile() {
    let folder = fresh_folder("test-cut");
    let file = folder.join("test-cut.svg");
    let (code, result, talk) = run(&[
        "calibrate",
        "test-cut",
        "--paper",
        "a4",
        "--out",
        file.to_str().unwrap(),
    ]);
    assert_eq!((code, talk.as_str()), (0, ""));
    assert!(
        result.contains("a1, c1, e1, a4, c4, e4, a7, c7, e7"),
        "{result}"
    );
    let svg = fs::read_to_string(&file).unwrap();
    // The cross at the top left target, 20 mm from both edges, with arms of 2 mm.
    assert!(
        svg.contains("M 20 18 L 20 22")
            && svg.contains("M 18 20 L 22 20")
            && svg.contains("width=\"210mm\""),
        "{svg}"
    );

    let out = folder.join("cutter.toml");
    let readings = "calibration/readings-of-a-test-cut-a4.toml";
    let out_text = out.to_str().unwrap();
    let (code, _, talk) = run(&[
        "calibrate",
        "cutter",
        "--readings",
        readings,
        "--out",
        out_text,
    ]);
    assert!(code == 2 && talk.contains("--printer"), "{talk}");
    let (code, result, talk) = run(&[
        "calibrate",
        "cutter",
        "--readings",
        readings,
        "--printer",
        "calibration/attic-printer.toml",
        "--out",
        out_text,
    ]);
    assert_eq!(code, 0, "{talk}");
    assert!(
        result.contains("your cutter, measured 2026-05-09 by 9 crosses cut on 3 charts"),
        "{result}"
    );
    assert!(
        cutter_profile(&named(&out), None)
            .unwrap()
            .value
            .calibration
            .is_some()
    );
    fs::remove_dir_all(folder).unwrap();
}

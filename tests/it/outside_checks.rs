//! Checks by programs that share nothing with this crate: see `tests/outside`. `tests/run` sets up what they need.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::folded_outside;
use crate::program::{examples, fresh_folder, make, parts, root, sheetwright};

/// Runs a script of `tests/outside` and returns what it prints.
fn python(script: &str, arguments: &[&str]) -> String {
    let python = std::env::var("SHEETWRIGHT_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let path = root().join("tests/outside").join(script);
    let output = Command::new(python)
        .arg(path)
        .args(arguments)
        .output()
        .unwrap();
    let (code, result, talk) = parts(&output);
    assert_eq!(
        code, 0,
        "{script} {arguments:?} (set up by tests/run): {result}{talk}"
    );
    result
}

/// Runs a check over every example as made, two at a time: a script waits for other programs one after the other.
fn over_examples(test: &str, check: impl Fn(&str, &Path) + Sync) {
    let folder = fresh_folder(test);
    let names = examples();
    let check_each = |first: usize| {
        for name in names.iter().skip(first).step_by(2) {
            let out = folder.join(name);
            make(&format!("examples/{name}"), &out, &[]);
            check(&format!("examples/{name}/project.toml"), &out);
        }
    };
    std::thread::scope(|scope| {
        let other = scope.spawn(|| check_each(1));
        check_each(0);
        if let Err(failed) = other.join() {
            std::panic::resume_unwind(failed);
        }
    });
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn sheet_formats_agree_with_four_other_libraries() {
    let folder = fresh_folder("papers");
    let rows = folder.join("papers.json");
    let (code, result, _) = parts(&sheetwright(&["papers", "--format", "json"]));
    assert_eq!(code, 0);
    fs::write(&rows, result).unwrap();
    python("papers.py", &[rows.to_str().unwrap()]);
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn small_labels_held_by_nicks_and_turned_freely_agree_with_the_plan() {
    let folder = fresh_folder("small-labels");
    let project = "tests/projects/good/small-labels.toml";
    make(project, &folder.join("made"), &[]);
    let (project, out) = (root().join(project), folder.join("made"));
    let (project, out) = (project.to_str().unwrap(), out.to_str().unwrap());
    python("outlines.py", &[project, out]);
    let caught = python("outlines.py", &["--self-test", project, out]);
    assert!(caught.contains("caught: a nick cut through"), "{caught}");
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn outlines_worked_out_from_the_project_alone_agree_with_the_plan() {
    over_examples("outlines", |project, out| {
        let (project, out) = (root().join(project), out.to_str().unwrap());
        python("outlines.py", &[project.to_str().unwrap(), out]);
        // The same check on damaged plans, each of which it has to catch.
        python(
            "outlines.py",
            &["--self-test", project.to_str().unwrap(), out],
        );
    });
}

#[test]
fn two_renderers_and_a_browser_draw_marks_ticks_artwork_and_cuts_where_the_plan_says() {
    over_examples("raster", |_, out| {
        python("raster.py", &["--self-test", out.to_str().unwrap()]);
    });
}

/// Has a script make small projects with this program and measure them; then what it says of itself on what is wrong.
fn on_trials(script: &str) {
    let folder = fresh_folder(script);
    let program = env!("CARGO_BIN_EXE_sheetwright");
    let told = python(script, &["--self-test", program, folder.to_str().unwrap()]);
    assert!(told.contains("caught: "), "{told}");
    fs::remove_dir_all(folder).unwrap();
}

#[test]
#[ignore = "takes minutes: for changes of patterns, pictures and the PDF"]
fn patterns_and_tiled_pictures_show_no_seams_in_three_renderers() {
    on_trials("seams.py");
}

#[test]
#[ignore = "takes minutes: for changes of patterns, pictures and the PDF"]
fn patterns_come_again_as_asked_and_nothing_drifts_over_a_foot() {
    on_trials("repeats.py");
}

#[test]
fn a_test_card_and_jpeg_bytes_come_back_from_the_page() {
    on_trials("card.py");
}

#[test]
fn pages_for_the_table_measure_what_they_say_and_are_fit_to_print() {
    let folder = fresh_folder("table-pages");
    // One of each kind: a box with creases and glue, and labels with holes, tears, tools and curves in the other units.
    for name in ["bulb-box", "plant-labels"] {
        let out = folder.join(name);
        make(&format!("examples/{name}"), &out, &["--units", "mm"]);
        python("pages.py", &[out.to_str().unwrap()]);
    }
    let out = folder.join("bulb-box");
    let told = python("pages.py", &["--self-test", out.to_str().unwrap()]);
    assert!(told.contains("caught: pale ink"), "{told}");
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn folded_corners_agree_with_shapely_and_scipy_to_a_micrometre() {
    let folder = fresh_folder("folded");
    let (nets, kinds) = folded_outside::nets();
    assert!(folded_outside::are_enough(kinds), "{kinds} constructions");
    let file = folder.join("nets.json");
    fs::write(&file, serde_json::to_string(&nets).unwrap()).unwrap();
    python("folded.py", &[file.to_str().unwrap()]);
    // Turned by a degree more at one crease, each net has to be found off.
    python("folded.py", &["--self-test", file.to_str().unwrap()]);
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn pages_for_the_table_say_what_plan_and_sheets_hold_in_inches_and_in_millimetres() {
    let folder = fresh_folder("handout-pages");
    for name in examples() {
        for units in ["in", "mm"] {
            let out = folder.join(format!("{name}-{units}"));
            make_in(&name, units, &out);
            let out = out.to_str().unwrap();
            // What the sheets hold, worked out again; then what the pages say, from their text. Both on damaged plans as well, each of
            // which they have to report.
            let caught = python("handout_numbers.py", &["--self-test", out]);
            assert!(caught.contains("caught: one piece more"), "{caught}");
            let reported = python("handout_pages.py", &["--self-test", out]);
            assert!(reported.contains("no difference"), "{reported}");
            assert!(reported.contains("reported: a count"), "{reported}");
        }
    }
    fs::remove_dir_all(folder).unwrap();
}

/// Makes an example in other units. What does not fit on its paper there is told by exit code 1; the pages speak of it all the same.
fn make_in(name: &str, units: &str, out: &Path) {
    let project = format!("examples/{name}");
    let (code, result, talk) = parts(&sheetwright(&[
        "make",
        &project,
        "--units",
        units,
        "--effort",
        "quick",
        "--partial",
        "--out",
        out.to_str().unwrap(),
    ]));
    let is_partial = code == 1 && talk.contains("plan.");
    assert!(code == 0 || is_partial, "{name} {units}: {result}{talk}");
}

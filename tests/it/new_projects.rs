//! Projects that are begun from a few sizes, and sized down to a sheet.

use std::fs;
use std::num::NonZeroUsize;

use sheetwright::construct::{KINDS, Kind};
use sheetwright::job::{self, NewProject};
use sheetwright::plan::{Effort, PlanOptions};
use sheetwright::project::CutBy;

use crate::program::{fresh_folder, parts, sheetwright};

/// Every way that a construction is asked by, in millimetres and in inches on a grid, with sizes that
/// every one of them takes and whose blanks a sheet holds.
fn asked(kind: &Kind) -> Vec<NewProject> {
    let (metric, inch) = match kind.dimensions {
        1 => ("90 mm", "3 1/2 in"),
        2 => ("70 x 50 mm", "3 x 2 in"),
        _ => ("60 x 40 x 20 mm", "2 1/2 x 1 1/2 x 1 in"),
    };
    let mut asked = Vec::new();
    for by in kind.sized_by {
        let sized = |sizes: &str| NewProject {
            sizes: vec![(*by, sizes.to_owned())],
            ..NewProject::of(kind.name)
        };
        asked.push(sized(metric));
        asked.push(NewProject {
            grid: Some("1/16 in".to_owned()),
            paper: Some("12 x 12 in".to_owned()),
            ..sized(inch)
        });
    }
    asked
}

fn glance() -> PlanOptions<'static> {
    PlanOptions {
        effort: Effort::Quick,
        ..PlanOptions::default()
    }
}

#[test]
fn every_construction_begins_a_project_that_is_made_and_proved() {
    assert!(!KINDS.is_empty());
    for kind in KINDS {
        for asked in asked(kind) {
            let what = format!("{} {:?}", kind.name, asked.sizes);
            let started =
                job::new_project(&asked).unwrap_or_else(|found| panic!("{what}: {found:#?}"));
            let project = &started.project.value;
            let planned = job::plan(project, &glance()).unwrap();
            let errors: Vec<_> = planned.warnings.iter().filter(|d| d.is_error()).collect();
            assert!(errors.is_empty(), "{what}: {errors:#?}");
            let made = job::make(project, &planned.value, NonZeroUsize::MIN).unwrap();
            assert!(made.verdict.is_proved(), "{what}: {:#?}", made.verdict);
        }
    }
}

#[test]
fn a_project_that_was_begun_says_what_was_asked_and_what_else_there_is() {
    for kind in KINDS {
        let asked = &asked(kind)[0];
        let started = job::new_project(asked).unwrap();
        let (by, sizes) = &asked.sizes[0];
        assert!(
            started
                .text
                .contains(&format!("# Asked for: {by} {sizes}.")),
            "{}",
            started.text
        );
        for parameter in kind.parameters {
            let (key, text) = (parameter.key, &started.text);
            assert!(text.contains(&format!("# {key} = ")), "no {key}:\n{text}");
        }
    }
}

#[test]
fn what_was_asked_wrongly_is_shown_on_the_command_line() {
    // One of each kind of slip: a unit left out, a size left out, a parameter that is none, a format that is none, a construction that is none.
    for (arguments, words) in [
        (
            &["tray", "--inside", "90 x 60 x 35"][..],
            "--inside \"90 x 60 x 35\"",
        ),
        (
            &["tray", "--inside", "90 x 60 mm"],
            "--inside \"90 x 60 mm\"",
        ),
        (
            &["tray", "--inside", "90 x 60 x 35 mm", "--set", "tbas=9 mm"],
            "--set \"tbas=9 mm\"",
        ),
        (
            &["tray", "--inside", "90 x 60 x 35 mm", "--paper", "lettre"],
            "--paper lettre",
        ),
        (&["tary", "--inside", "90 x 60 x 35 mm"], "tary"),
    ] {
        let all: Vec<&str> = ["new"].iter().chain(arguments).copied().collect();
        let (code, result, talk) = parts(&sheetwright(&all));
        assert_eq!(code, 1, "{arguments:?}: {result}{talk}");
        assert_eq!(result, "", "{arguments:?}");
        assert!(talk.contains("--> command line:1:"), "{talk}");
        assert!(talk.contains(words), "{talk}");
        assert!(!talk.contains("project.toml"), "{talk}");
    }
}

#[test]
fn nothing_is_written_over() {
    let folder = fresh_folder("new-over");
    let file = folder.join("project.toml");
    let new = [
        "new",
        "tray",
        "--inside",
        "90 x 60 x 35 mm",
        "--out",
        file.to_str().unwrap(),
    ];
    assert_eq!(parts(&sheetwright(&new)).0, 0);
    let before = fs::read_to_string(&file).unwrap();
    let (code, _, talk) = parts(&sheetwright(&new));
    assert_eq!(code, 2, "{talk}");
    assert!(talk.contains("not written over"), "{talk}");
    assert_eq!(fs::read_to_string(&file).unwrap(), before);
    let (code, result, talk) = parts(&sheetwright(&["check", file.to_str().unwrap()]));
    assert_eq!(code, 0, "{result}{talk}");
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_tray_is_as_large_as_its_blank_fits() {
    // The blank of a tray is L + 2 D + 2 t by W + 2 D + 2 t (check value of a 60 x 40 x 20 tray: 100.6 x 80.6 mm), and on A4 the short side
    // has 210 less twice the 6.35 mm that no blade reaches: 197.3 mm. At 147 x 98 x 49 it takes 98 + 98 + 0.6 = 196.6 mm; the next in
    // these proportions is 148 x 99 x 49, 99 + 98 + 0.6 = 197.6 mm.
    let tray = NewProject {
        sizes: vec![("inside", "60 x 40 x 20 mm".to_owned())],
        caliper: Some("0.3 mm".to_owned()),
        ..NewProject::of("tray")
    };
    let fitted = job::fit(&tray, 1).unwrap();
    assert_eq!(fitted.sizes_text, "147 x 98 x 49 mm");
    assert_eq!(fitted.next.0, "148 x 99 x 49 mm");
    assert!(fitted.next.1.contains("tray"), "{:?}", fitted.next);
}

/// A plain rectangle: a tag without a hole.
fn rectangle(sizes: &str, paper: &str, cut_by: CutBy) -> NewProject {
    let plain = [("corners", "square"), ("hole", "0 in")];
    NewProject {
        sizes: vec![("outside", sizes.to_owned())],
        parameters: plain
            .map(|(key, value)| (key.to_owned(), value.to_owned()))
            .to_vec(),
        paper: Some(paper.to_owned()),
        cut_by,
        ..NewProject::of("tag")
    }
}

#[test]
fn twelve_tags_on_a_letter_sheet_can_be_a_little_larger_than_usual() {
    // Edge to edge 4 x 3 tags lie on 8 1/2 x 11 in. Of 2 : 3 1/2, the longest side 58/16 makes 2 1/16 x 3 5/8 (33.1 sixteenths wide):
    // 4 x 2 1/16 = 8 1/4 and 3 x 3 5/8 = 10 7/8. With 59/16 (2 1/8 wide) twelve cover 94.03 of 93.5 square inches, so none fit.
    let tags = rectangle("2 x 3 1/2 in", "letter", CutBy::Trimmer);
    let fitted = job::fit(&tags, 12).unwrap();
    assert_eq!(fitted.sizes_text, "2 1/16 x 3 5/8 in");
    assert_eq!(fitted.next.0, "2 1/8 x 3 11/16 in");
    assert!(
        fitted
            .started
            .text
            .contains("outside = \"2 1/16 x 3 5/8 in\"")
    );
}

#[test]
fn four_squares_keep_their_gap_and_what_a_blade_cannot_reach() {
    // Two beside each other on A4: 210 mm less 6.35 mm at either side (1/4 in that no blade reaches) and 3 mm between, by two: 97.15 mm.
    // Four in one column would be smaller: 297 less 12.7 and 9, by four, 68.8 mm.
    let mut squares = rectangle("10 x 10 mm", "a4", CutBy::Machine);
    squares.parameters[1].1 = "0 mm".to_owned();
    let fitted = job::fit(&squares, 4).unwrap();
    assert_eq!(fitted.sizes_text, "97 x 97 mm");
    assert!(fitted.next.1.contains("2 sheets"), "{:?}", fitted.next);
}

//! Sheets that are printed all over, to be cut up by hand.

use std::collections::BTreeMap;

use sheetwright::job;
use sheetwright::load::Options;
use sheetwright::plan::PlanOptions;
use sheetwright::project::Project;

use crate::made::made_of;

const JOB: &str = r#"
sheetwright = 1
[job]
name = "Gingham for lining"
copies = 3
cut_by = "trimmer"
"#;

const SHEETS: &str = r#"
[[stock]]
id = "white"
format = "a4"
face_a = "printable"
[[piece]]
id = "gingham"
stock = "white"
shape = { kind = "sheet" }
[[piece.artwork]]
pattern = "gingham"
"#;

fn files() -> BTreeMap<String, Vec<u8>> {
    let printer = r#"
sheetwright_printer = 1
name = "Hall inkjet"
margins = { top = "3 mm", right = "4 mm", bottom = "12 mm", left = "5 mm" }
"#;
    BTreeMap::from([("hall.toml".to_owned(), printer.as_bytes().to_vec())])
}

fn read(text: &str) -> Project {
    let read = job::check("project.toml", text, &files(), &Options::default());
    read.unwrap_or_else(|mistakes| panic!("{mistakes:#?}"))
        .value
}

fn messages(text: &str) -> Vec<String> {
    let read = job::check("project.toml", text, &files(), &Options::default());
    let mistakes = read.expect_err("the project is wrong");
    mistakes.into_iter().map(|d| d.message).collect()
}

/// By hand: A4 is 210 x 297 mm (ISO 216), and 1/4 in is 6.35 mm; 210 - 12.7 = 197.3, 297 - 12.7 = 284.3.
#[test]
fn a_pattern_fills_a_sheet_from_margin_to_margin_and_nothing_is_cut() {
    let project = read(&format!("{JOB}{SHEETS}"));
    let bounds = project.pieces[0].outline.bounds();
    assert_eq!((bounds.width(), bounds.height()), (197.3, 284.3));
    let plan = job::plan(&project, &PlanOptions::default()).unwrap().value;
    let sheet = &plan.sheets[0];
    assert_eq!((plan.sheets.len(), sheet.runs), (1, 3));
    let pose = sheet.placements[0].pose;
    assert_eq!((pose.x_mm, pose.y_mm), (6.35, 6.35));
    assert_eq!((sheet.marks.len(), sheet.ticks.len()), (0, 0));
    assert!(sheet.caption.is_none() && sheet.cut_list.is_none());
    let made = made_of(&project);
    let names: Vec<&str> = made.files.keys().map(String::as_str).collect();
    assert_eq!(
        names,
        [
            "plan.json",
            "print.pdf",
            "proof.pdf",
            "report.json",
            "sheet-01.png"
        ]
    );
}

/// By hand: 210 - 5 - 4 = 201 and 297 - 3 - 12 = 282; with a back, which is turned over, 210 - 2 * 5 = 200 and 297 - 2 * 12 = 273.
#[test]
fn the_margins_are_those_of_the_printer_and_of_both_faces() {
    let job = JOB.replace("cut_by", "printer = \"hall.toml\"\ncut_by");
    let one = read(&format!("{job}{SHEETS}"));
    let bounds = one.pieces[0].outline.bounds();
    assert_eq!((bounds.width(), bounds.height()), (201.0, 282.0));
    let sheets = SHEETS.replace("face_a", "face_b = \"printable\"\nface_a");
    let back = "[[piece.artwork]]\nface = \"back\"\ncolour = \"#d8e4c8\"\n";
    let both = read(&format!("{job}{sheets}{back}"));
    let bounds = both.pieces[0].outline.bounds();
    assert_eq!((bounds.width(), bounds.height()), (200.0, 273.0));
    made_of(&both);
}

#[test]
fn beside_pieces_that_a_machine_cuts_its_sheets_alone_have_no_marks() {
    let job = JOB.replace("trimmer", "machine");
    let label = r#"
[[piece]]
id = "label"
stock = "white"
shape = { kind = "rectangle", size = "60 x 40 mm" }
[[piece.artwork]]
colour = "seagreen"
"#;
    let project = read(&format!("{job}{SHEETS}{label}"));
    let plan = job::plan(&project, &PlanOptions::default()).unwrap().value;
    let of = |piece: usize| {
        let mut sheets = plan.sheets.iter();
        sheets.find(|s| s.placements.iter().any(|p| p.piece == piece))
    };
    let (gingham, labels) = (of(0).unwrap(), of(1).unwrap());
    assert_eq!((gingham.placements.len(), gingham.runs), (1, 3));
    assert!(gingham.marks.is_empty() && gingham.cut.is_none());
    assert!(labels.marks.len() == 6 && labels.cut.is_some());
    made_of(&project);
}

#[test]
fn what_makes_no_sense_on_a_whole_sheet_is_refused() {
    let said = |text: &str| messages(text).join("\n");
    let bleed = format!("{JOB}{SHEETS}bleed = \"2 mm\"\n");
    assert!(said(&bleed).contains("bleed is given where a whole sheet is printed"));
    let cut = SHEETS.replace("shape =", "cut_by = \"machine\"\nshape =");
    let cut = said(&format!("{JOB}{cut}"));
    assert!(cut.contains("is cut up by hand, as you like"), "{cut}");
}

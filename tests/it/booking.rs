//! The maker's list of paper on hand: what jobs draw from it, and how they are booked in it.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::program::{fresh_folder, parts, sheetwright};

/// Four labels of 4 x 5 in fit on a letter sheet, so five take two sheets.
const PROJECT: &str = r#"
sheetwright = 1
[job]
name = "Bean labels"
copies = 5
date = "May"
cut_by = "trimmer"
on_hand = "paper-on-hand.toml"
[[stock]]
id = "oat"
format = "letter"
[[piece]]
id = "label"
stock = "oat"
turns = "none"
shape = { kind = "rectangle", size = "4 x 5 in" }
"#;

const LIST: &str = r#"# In the plan chest.
sheetwright_paper = 1

[[stock]]
id = "oat"
format = "letter"
sheets = 10        # counted in March
"#;

/// A folder with the project and the list.
struct Desk {
    folder: PathBuf,
}

impl Desk {
    fn new(test: &str) -> Self {
        let desk = Self {
            folder: fresh_folder(test),
        };
        desk.write("project.toml", PROJECT);
        desk.write("paper-on-hand.toml", LIST);
        desk
    }

    fn path(&self, name: &str) -> String {
        self.folder.join(name).to_str().unwrap().to_owned()
    }

    fn write(&self, name: &str, text: &str) {
        fs::write(self.path(name), text).unwrap();
    }

    fn list(&self) -> String {
        fs::read_to_string(self.path("paper-on-hand.toml")).unwrap()
    }

    fn make(&self, out: &str) {
        let (code, result, talk) = parts(&sheetwright(&[
            "make",
            &self.path("project.toml"),
            "--out",
            &self.path(out),
        ]));
        assert_eq!(code, 0, "{result}{talk}");
    }

    fn stock(&self, arguments: &[&str]) -> (i32, String, String) {
        let list = self.path("paper-on-hand.toml");
        let mut all = vec!["stock"];
        all.extend(arguments);
        all.extend(["--list", &list]);
        let (code, result, talk) = parts(&sheetwright(&all));
        let plain = |text: String| text.replace(&format!("{}/", self.folder.display()), "");
        (code, plain(result), plain(talk))
    }

    fn book(&self, out: &str) -> (i32, String, String) {
        self.stock(&["use", &self.path(out)])
    }

    fn sheets_of(&self, out: &str) -> Vec<(String, u64)> {
        let bytes = fs::read(Path::new(&self.path(out)).join("plan.json")).unwrap();
        let plan: Value = serde_json::from_slice(&bytes).unwrap();
        let sheets = plan["sheets"].as_array().unwrap();
        let mut used: Vec<(String, u64)> = Vec::new();
        for sheet in sheets {
            let (id, runs) = (
                sheet["stock"].as_str().unwrap(),
                sheet["runs"].as_u64().unwrap(),
            );
            match used.iter_mut().find(|(known, _)| known == id) {
                Some((_, count)) => *count += runs,
                None => used.push((id.to_owned(), runs)),
            }
        }
        used
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        if !std::thread::panicking() {
            fs::remove_dir_all(&self.folder).unwrap();
        }
    }
}

#[test]
fn a_job_made_again_after_booking_draws_from_what_the_first_left() {
    let desk = Desk::new("booking-twice");
    desk.make("first");
    assert_eq!(desk.sheets_of("first"), [("oat".to_owned(), 2)]);
    let (code, result, talk) = desk.book("first");
    assert_eq!(code, 0, "{talk}");
    assert!(
        result.starts_with("booked first in paper-on-hand.toml\n    oat: 2 used, 8 left\n"),
        "{result}"
    );
    // However the five are shared out, two of them side by side or one alone leave 8 1/2 x 6 in below.
    assert!(result.contains("8 1/2 in x 6 in\n"), "{result}");

    // Two labels come out of that, and a third out of 4 1/2 x 5 in beside one; the other two take a new sheet.
    desk.make("second");
    let used = desk.sheets_of("second");
    let whole = used.iter().find(|(id, _)| id == "oat").unwrap().1;
    assert_eq!(whole, 1, "{used:?}");
    assert!(used.len() > 1, "{used:?}");
    let (code, result, talk) = desk.book("second");
    assert_eq!(code, 0, "{talk}");
    assert!(result.contains("    oat: 1 used, 7 left\n"), "{result}");
    assert!(result.contains("    oat-1: 1 used, 0 left\n"), "{result}");
    assert!(!desk.list().contains("id = \"oat-1\""), "{}", desk.list());
}

#[test]
fn a_folder_is_booked_once_and_comments_stay() {
    let desk = Desk::new("booking-once");
    desk.make("made");
    assert_eq!(desk.book("made").0, 0);
    let booked = desk.list();
    assert!(
        booked.starts_with(&LIST.replace("sheets = 10 ", "sheets = 8 ")),
        "{booked}"
    );
    for line in [
        "of = \"oat\"",
        "date = \"May\"",
        "note = \"from Bean labels\"",
        "job = \"Bean labels\"",
    ] {
        assert!(booked.contains(line), "{booked}");
    }
    let (code, result, _) = desk.book("made");
    assert_eq!(
        (code, result.as_str()),
        (
            0,
            "made was booked in paper-on-hand.toml before: nothing changed\n"
        )
    );
    assert_eq!(desk.list(), booked);
    // The same job made with the new list is another plan.
    desk.make("again");
    let (_, result, _) = desk.book("again");
    assert!(result.starts_with("booked again"), "{result}");
}

#[test]
fn more_than_is_on_hand_is_refused_and_nothing_is_written() {
    let desk = Desk::new("booking-too-few");
    desk.make("made");
    let fewer = LIST.replace("sheets = 10 ", "sheets = 1 ");
    desk.write("paper-on-hand.toml", &fewer);
    let (code, _, talk) = desk.book("made");
    assert_eq!(code, 1);
    let message = "error[booking.too-few]: the plan uses 2 of \"oat\", more than the 1 on hand";
    assert!(
        talk.contains(message) && talk.contains("paper-on-hand.toml:4:1"),
        "{talk}"
    );
    assert_eq!(desk.list(), fewer);
}

#[test]
fn a_list_of_other_paper_is_refused() {
    let desk = Desk::new("booking-other");
    desk.make("made");
    for (old, new, code) in [
        ("id = \"oat\"", "id = \"moss\"", "booking.unlisted"),
        ("letter", "a4", "booking.other-paper"),
        ("sheets", "sheet", "key.unknown"),
    ] {
        desk.write("paper-on-hand.toml", &LIST.replace(old, new));
        let (exit, _, talk) = desk.book("made");
        assert_eq!(exit, 1);
        assert!(talk.contains(&format!("error[{code}]")), "{talk}");
    }
}

#[test]
fn a_changed_plan_and_a_missing_list_are_not_booked() {
    let desk = Desk::new("booking-changed");
    desk.make("made");
    let plan = desk.path("made/plan.json");
    let text = fs::read_to_string(&plan).unwrap();
    fs::write(
        &plan,
        text.replace("\"job\": \"Bean labels\"", "\"job\": \"Pea labels\""),
    )
    .unwrap();
    let (code, _, talk) = desk.book("made");
    assert_eq!(code, 1);
    assert!(
        talk.contains("plan.json has changed since it was made"),
        "{talk}"
    );
    fs::remove_file(desk.path("paper-on-hand.toml")).unwrap();
    let (code, _, talk) = desk.book("made");
    assert_eq!(code, 2);
    assert!(talk.contains("cannot read paper-on-hand.toml"), "{talk}");
}

#[test]
fn with_no_sheets_on_hand_offcuts_alone_are_used() {
    let desk = Desk::new("booking-none");
    let none = LIST.replace("sheets = 10 ", "sheets = 0 ");
    let offcut =
        "\n[[offcut]]\nid = \"strip\"\nof = \"oat\"\nsize = \"8 1/2 x 5 in\"\nsheets = 2\n";
    desk.write("paper-on-hand.toml", &(none + offcut));
    let plan = |copies: &str| {
        desk.write("project.toml", &PROJECT.replace("copies = 5", copies));
        parts(&sheetwright(&["plan", &desk.path("project.toml")]))
    };
    // Two labels side by side on each strip.
    let (code, result, talk) = plan("copies = 4");
    assert_eq!(code, 0, "{talk}");
    assert!(
        result.contains("offcut strip, 2 sheets with 2 x label"),
        "{result}"
    );
    let (code, _, talk) = plan("copies = 5");
    assert_eq!(code, 1);
    let hint = "type `on_hand = 1`, or `sheets = 1` in the list of paper on hand";
    assert!(
        talk.contains("plan.no-sheets-left") && talk.contains(hint),
        "{talk}"
    );
}

#[test]
fn strips_on_hand_are_cut_before_whole_sheets() {
    // Eight numbers of 2 x 4 in come out of the two strips of 8 1/2 x 4 in, none out of the corner: 2/6 + 4/5 is more than 1. Of the
    // other twelve a letter sheet holds ten or eleven, by area.
    let project = "tests/projects/good/on-hand.toml";
    let (code, result, talk) = parts(&sheetwright(&["plan", project, "--format", "json"]));
    assert_eq!(code, 0, "{talk}");
    let shown: Value = serde_json::from_str(&result).unwrap();
    let used: Vec<_> = shown["plan"]["usage"]["by_stock"]
        .as_array()
        .unwrap()
        .iter()
        .map(|s| (s["stock"].as_str().unwrap(), s["sheets"].as_u64().unwrap()))
        .collect();
    assert_eq!(used, [("moss", 2), ("moss-1", 2)]);
}

#[cfg(unix)]
#[test]
fn a_list_behind_a_link_is_written_where_it_lies() {
    let desk = Desk::new("booking-link");
    desk.make("made");
    fs::rename(desk.path("paper-on-hand.toml"), desk.path("drawer.toml")).unwrap();
    std::os::unix::fs::symlink(desk.path("drawer.toml"), desk.path("paper-on-hand.toml")).unwrap();
    assert_eq!(desk.book("made").0, 0);
    let link = fs::symlink_metadata(desk.path("paper-on-hand.toml")).unwrap();
    assert!(link.is_symlink());
    let drawer = fs::read_to_string(desk.path("drawer.toml")).unwrap();
    assert!(drawer.contains("[[booked]]"), "{drawer}");
}

#[test]
fn a_list_named_on_the_command_line_comes_before_the_projects() {
    let desk = Desk::new("booking-named");
    desk.write("other.toml", &LIST.replace("sheets = 10 ", "sheets = 1 "));
    let (code, _, talk) = parts(&sheetwright(&[
        "plan",
        &desk.path("project.toml"),
        "--on-hand",
        &desk.path("other.toml"),
    ]));
    assert_eq!(code, 1);
    assert!(talk.contains("plan.no-sheets-left"), "{talk}");
}

#[test]
fn the_list_is_shown_for_people_and_programs() {
    let list = "tests/projects/good/files/paper-on-hand.toml";
    let (code, text, _) = parts(&sheetwright(&["stock", "--list", list]));
    assert_eq!(code, 0);
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(
        lines,
        [
            "moss                    12  8 1/2 in x 11 in; second drawer",
            "  moss-1                 2  8 1/2 in x 4 in; April",
            "  moss-corner            1  6 in x 5 in, cut only: no rectangle; cut off across, fibres along the long side",
            "oat            not counted  12 in x 12 in",
            "  oat-1                  1  5 in x 5 in, cut only: no rectangle",
        ]
    );
    let (_, json, _) = parts(&sheetwright(&[
        "stock", "list", "--list", list, "--format", "json",
    ]));
    let shown: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(shown["stocks"][0]["sheets"], 12);
    assert_eq!(shown["offcuts"][1]["width_mm"], 152.4);
    assert_eq!(shown["offcuts"][1]["is_rectangle"], false);
}

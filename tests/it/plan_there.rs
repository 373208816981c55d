//! What is there already is not laid out again: pieces made before, and what passes of a punch or die leave besides.

use std::collections::{BTreeMap, BTreeSet};

use sheetwright::job;
use sheetwright::load;
use sheetwright::plan::file::PlanFile;
use sheetwright::plan::{JobPlan, PlanOptions};
use sheetwright::project::Project;

const JOB: &str = "sheetwright = 1\n[job]\nname = \"Leaves\"\ncut_by = \"machine\"\n";

/// A die that cuts a corner from a rough piece, with two leaves beside it; three leaves go into each copy.
const PIECES: &str = r#"
[[stock]]
id = "bark"
format = "a4"
[[tool]]
id = "die"
kind = "die"
press_width = "150 mm"
[[piece]]
id = "leaf"
stock = "bark"
per_copy = 3
HAVE
shape = { kind = "rectangle", size = "20 x 30 mm" }
[[piece]]
id = "corner"
stock = "bark"
MADE
shape = { kind = "rectangle", size = "90 x 60 mm" }
[piece.finish]
tool = "die"
shape = { kind = "circle", diameter = "50 mm" }
also = [{ piece = "leaf", count = 2 }]
"#;

fn planned(copies: &str, leaves: &str, corners: &str) -> (Project, JobPlan) {
    let pieces = PIECES.replace("HAVE", leaves).replace("MADE", corners);
    let (of_job, editions) = match copies.contains("[[") {
        true => ("", copies),
        false => (copies, ""),
    };
    let text = format!("{JOB}{of_job}\n{pieces}{editions}");
    let none = BTreeMap::new();
    let read = load::project("project.toml", &text, &none, &load::Options::default());
    let project = read
        .unwrap_or_else(|mistakes| panic!("{mistakes:#?}"))
        .value;
    let plan = job::plan(&project, &PlanOptions::default()).unwrap().value;
    (project, plan)
}

/// Ids of all of a piece that lie on sheets, as `plan.json` has them.
fn ids(project: &Project, plan: &JobPlan, piece: &str) -> BTreeSet<String> {
    let file: serde_json::Value =
        serde_json::from_str(&PlanFile::new(project, plan).to_json()).unwrap();
    let mut found = BTreeSet::new();
    gather(&file, &format!("{piece}#"), &mut found);
    found
}

fn gather(value: &serde_json::Value, start: &str, found: &mut BTreeSet<String>) {
    match value {
        serde_json::Value::String(text)
            if text.starts_with(start) && !text.ends_with("outline") =>
        {
            found.insert(text.clone());
        }
        serde_json::Value::Array(items) => items.iter().for_each(|v| gather(v, start, found)),
        serde_json::Value::Object(map) => map.values().for_each(|v| gather(v, start, found)),
        serde_json::Value::String(_)
        | serde_json::Value::Null
        | serde_json::Value::Bool(_)
        | serde_json::Value::Number(_) => {}
    }
}

#[test]
fn pieces_made_before_go_into_the_first_copies() {
    // 4 copies of 3 leaves are 12, of which 4 corners leave 8 and 1 was made before: 3 are laid out, the last three.
    let (project, plan) = planned("copies = 4", "have = 1", "");
    assert_eq!(project.there(0, 0), 9);
    let wanted = ["leaf#4.1", "leaf#4.2", "leaf#4.3"].map(str::to_owned);
    assert_eq!(ids(&project, &plan, "leaf"), BTreeSet::from(wanted));
    assert_eq!(ids(&project, &plan, "corner").len(), 4);
}

#[test]
fn a_piece_that_was_made_before_takes_no_pass_and_leaves_nothing() {
    // 3 of the 4 corners are there, so one pass leaves 2 leaves: the other 10 of 12 are laid out, from the last of copy 1.
    let (project, plan) = planned("copies = 4", "", "have = 3");
    let leaves = ids(&project, &plan, "leaf");
    assert_eq!(leaves.len(), 10);
    assert_eq!(leaves.first().map(String::as_str), Some("leaf#1.3"));
    let corners = ids(&project, &plan, "corner");
    assert_eq!(corners, BTreeSet::from(["corner#4".to_owned()]));
}

#[test]
fn what_an_edition_leaves_is_of_its_own_and_what_was_made_is_shared_in_order() {
    // 2 copies of one edition want 6 leaves: 5 were made before, and its passes leave 4. The other one wants 9, its 3 passes leave 6.
    let editions =
        "[[edition]]\nid = \"sage\"\ncopies = 2\n[[edition]]\nid = \"plum\"\ncopies = 3\n";
    let (project, plan) = planned(editions, "have = 5", "");
    assert_eq!((project.there(0, 0), project.there(1, 0)), (6, 6));
    let wanted = ["leaf#5.1", "leaf#5.2", "leaf#5.3"].map(str::to_owned);
    assert_eq!(ids(&project, &plan, "leaf"), BTreeSet::from(wanted));
}

#[test]
fn a_piece_of_which_all_are_there_lies_on_no_sheet_and_the_files_agree() {
    let (project, plan) = planned("copies = 4", "have = 20", "have = 2");
    assert_eq!(ids(&project, &plan, "leaf"), BTreeSet::new());
    assert_eq!(ids(&project, &plan, "corner").len(), 2);
    let one = std::num::NonZeroUsize::MIN;
    let made = job::make(&project, &plan, one).unwrap();
    let findings: Vec<_> = made.verdict.findings().collect();
    assert!(made.verdict.is_proved(), "{findings:#?}");
    let file = String::from_utf8(made.files["plan.json"].clone()).unwrap();
    let file: serde_json::Value = serde_json::from_str(&file).unwrap();
    let there =
        serde_json::json!([{ "piece": "leaf", "count": 12 }, { "piece": "corner", "count": 2 }]);
    assert_eq!(file["there"], there);
}

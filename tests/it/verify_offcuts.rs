//! Offcuts of any outline in made folders: what is drawn of their edge, and what the proof finds if that is damaged.

use std::fs;
use std::sync::LazyLock;

use sheetwright::job::{self, FileSet, Made};

use crate::folder::Folder;
use crate::made::made;
use crate::program::root;

static MADE: LazyLock<Made> = LazyLock::new(|| {
    let path = root().join("tests/projects/good/l-shaped-offcut.toml");
    made(&fs::read_to_string(&path).unwrap(), &Folder::of(&path))
});

/// Replaces a text of a file, which must be there.
fn damaged(file: &str, old: &str, new: &str) -> FileSet {
    let mut files = MADE.files.clone();
    let text = String::from_utf8(files[file].clone()).unwrap();
    assert!(text.contains(old), "{file}: {text}");
    files.insert(file.to_owned(), text.replacen(old, new, 1).into_bytes());
    // The digests would tell, too; what is looked for here is what is seen without them.
    files.remove("report.json");
    files
}

fn codes(files: &FileSet) -> Vec<(&'static str, String)> {
    let verdict = job::verify(files).unwrap();
    let findings = verdict.findings();
    findings.map(|f| (f.code, f.message.clone())).collect()
}

/// 5, 6, 10 and 11 in, by the definition of the inch.
const EDGE: &str = "M 0 0 L 127 0 L 127 152.4 L 279.4 152.4 L 279.4 254 L 0 254 Z";

#[test]
fn the_edge_stands_in_plan_cut_file_and_proof() {
    let plan: serde_json::Value = serde_json::from_slice(&MADE.files["plan.json"]).unwrap();
    let sheet = &plan["sheets"][0];
    assert_eq!(sheet["stock"], "moss-rest");
    assert_eq!(sheet["offcut_of"], "moss");
    assert_eq!(sheet["paper"]["outline"], EDGE);
    assert_eq!(sheet["paper"]["width_mm"], 279.4);
    let cut = String::from_utf8(MADE.files["cut-01.svg"].clone()).unwrap();
    let path = format!("<path d=\"{EDGE}\" id=\"paper-edge\">");
    assert!(cut.contains(&path), "{cut}");
}

#[test]
fn a_moved_or_missing_edge_in_a_cut_file_is_found() {
    let moved = codes(&damaged("cut-01.svg", EDGE, &EDGE.replace("127 ", "128 ")));
    assert!(
        moved
            .iter()
            .any(|(_, message)| message.contains("edge of offcut moss-rest")),
        "{moved:?}"
    );
    let missing = codes(&damaged("cut-01.svg", "id=\"paper-edge\"", "id=\"other\""));
    let codes: Vec<_> = missing.iter().map(|(code, _)| *code).collect();
    assert_eq!(codes, ["verify.missing", "verify.extra"], "{missing:?}");
}

#[test]
fn a_plan_with_pieces_beside_the_paper_is_found() {
    // The leg narrowed from 5 in to 3: pieces in it now lie over its edge, and the drawn edges are others.
    let narrow = EDGE.replace("127 ", "76.2 ");
    let found = codes(&damaged("plan.json", EDGE, &narrow));
    let leaves = |(code, message): &&(&str, String)| {
        *code == "verify.plan" && message.contains("leaves the edge of its offcut")
    };
    assert!(found.iter().any(|f| leaves(&f)), "{found:?}");
    let in_proof = job::verify(&damaged("plan.json", EDGE, &narrow)).unwrap();
    let proof = in_proof
        .files
        .iter()
        .find(|f| f.name == "proof.pdf")
        .unwrap();
    assert!(!proof.findings.is_empty());
}

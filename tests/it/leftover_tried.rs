//! Which pieces come out of one leftover, beside counts by hand.

use std::collections::BTreeMap;

use sheetwright::job::{self, FromLeftover, Leftover, leftover, leftover_pictures};
use sheetwright::length::{Size, parse_pair};
use sheetwright::load::Options;
use sheetwright::plan::{Effort, PlanOptions};
use sheetwright::project::Project;

fn read(text: &str) -> Project {
    let no_files = BTreeMap::new();
    let read = job::check("project.toml", text, &no_files, &Options::default());
    read.unwrap_or_else(|mistakes| panic!("{mistakes:?}")).value
}

/// A project cut by trimmer, so that nothing stands between pieces.
fn project(stocks: &str, pieces: &str) -> Project {
    read(&format!(
        r#"
        sheetwright = 1
        job = {{ name = "Swap morning", copies = 24, cut_by = "trimmer", show_lengths = "inch fractions" }}
        stock = [{stocks}]
        piece = [{pieces}]
        "#
    ))
}

fn piece(id: &str, more: &str, size: &str) -> String {
    let (width, height) = size.split_once(" x ").unwrap();
    format!(
        "{{ id = \"{id}\", stock = \"oat\"{more}, shape = {{ kind = \"rectangle\", width = \"{width} in\", height = \"{height} in\" }} }},"
    )
}

const OAT: &str = "{ id = \"oat\", format = \"letter\" },";

fn rectangle(size: &str) -> Leftover<'static> {
    let (width, height) = parse_pair(size, None).unwrap();
    Leftover::Rectangle {
        width: Size::new(width).unwrap(),
        height: Size::new(height).unwrap(),
        of: None,
    }
}

fn tried(project: &Project, asked: Leftover<'_>) -> FromLeftover {
    let options = PlanOptions {
        effort: Effort::Quick,
        ..PlanOptions::default()
    };
    leftover(project, asked, &options).unwrap_or_else(|mistakes| panic!("{mistakes:?}"))
}

fn counts(found: &FromLeftover) -> Vec<u32> {
    found.pieces.iter().map(|p| p.count).collect()
}

#[test]
fn both_turns_are_tried_and_grain_forbids_one_of_them() {
    let pieces = piece("tag", "", "2 x 3 1/2") + &piece("card", "", "7 x 2 1/2");
    // On 5 x 7 in stand two tags beside two tags (4 x 7 in). Two cards lie upright side by side, each 2 1/2 in wide and 7 in high.
    let found = tried(&project(OAT, &pieces), rectangle("5 x 7 in"));
    assert_eq!(counts(&found), [4, 2]);
    // Fibres run along the 11 in of the sheet, from top to bottom. A card with fibres across its 7 in may not be turned upright, and
    // lying it is wider than 5 in. A tag with fibres along its 2 in must lie: 3 1/2 in wide, three above each other in 7 in.
    let grained = "{ id = \"oat\", format = \"letter\", grain = \"long\" },";
    let pieces = piece("tag", ", grain = \"x\"", "2 x 3 1/2")
        + &piece("card", ", grain = \"y\"", "7 x 2 1/2");
    let found = tried(&project(grained, &pieces), rectangle("5 x 7 in"));
    assert_eq!(counts(&found), [3, 0]);
    let reason = found.pieces[1].reason.as_deref().unwrap();
    assert!(reason.contains("7 in x 2 1/2 in"), "{reason}");
    assert!(found.pieces[1].layout.is_none());
}

#[test]
fn a_one_way_pattern_forbids_turning() {
    let rows = "{ id = \"oat\", format = \"letter\", face_a = { pattern = \"rows\", reads = \"one-way\", up = \"top\" } },";
    let pieces = piece("band", ", pattern_up = \"top\"", "4 x 3")
        + &piece("loose", ", pattern_up = \"any\"", "4 x 3");
    // On 7 x 4 in two of 3 x 4 in fit only lying on their sides.
    let found = tried(&project(rows, &pieces), rectangle("7 x 4 in"));
    assert_eq!(counts(&found), [1, 2]);
}

#[test]
fn whole_copies_are_found_and_the_rest_is_filled() {
    let pieces = piece("card", "", "4 x 3") + &piece("mat", ", per_copy = 2", "2 x 1 1/2");
    // A copy takes 12 + 2 x 3 = 18 square inches of the 8 x 6 = 48: two at most. Two cards leave 4 x 6 in beside them, for which four
    // mats take half, and four more fill the rest exactly.
    let found = tried(&project(OAT, &pieces), rectangle("8 x 6 in"));
    let copies = found.copies.as_ref().unwrap();
    assert_eq!((copies.edition, copies.copies), (0, 2));
    let placed: u32 = copies.pieces.iter().map(|(_, n)| n).sum();
    let area: u32 = copies.pieces.iter().map(|(p, n)| [12, 3][*p] * n).sum();
    assert!(placed >= 6 && area <= 48, "{:?}", copies.pieces);
    assert_eq!(
        copies.pieces.iter().map(|(p, _)| *p).collect::<Vec<_>>(),
        [0, 1]
    );
    assert_eq!(counts(&found), [4, 16]);
    let pictures = leftover_pictures(&found);
    let names: Vec<&str> = pictures.keys().map(String::as_str).collect();
    assert_eq!(
        names,
        [
            "leftover-copies.png",
            "leftover-copies.svg",
            "leftover-piece-card.png",
            "leftover-piece-card.svg",
            "leftover-piece-mat.png",
            "leftover-piece-mat.svg"
        ]
    );
    let svg = std::str::from_utf8(&pictures["leftover-piece-card.svg"]).unwrap();
    // 8 x 6 in are 203.2 x 152.4 mm.
    assert!(svg.contains("203.2") && svg.contains("152.4"), "{svg:.300}");
}

#[test]
fn an_outlined_offcut_is_used_within_its_edge() {
    let stocks = "{ id = \"oat\", format = \"letter\" }, { id = \"oat-1\", offcut_of = \"oat\", on_hand = 3, outline = [\"0 in, 0 in\", \"8 in, 0 in\", \"8 in, 4 in\", \"4 in, 4 in\", \"4 in, 8 in\", \"0 in, 8 in\"] },";
    let text = format!(
        r#"
        sheetwright = 1
        job = {{ name = "Swap morning", copies = 4, cut_by = "machine", gap = "0 in", show_lengths = "inch fractions" }}
        stock = [{stocks}]
        piece = [{}]
        "#,
        piece("tile", "", "3 1/4 x 3 1/4")
    );
    let found = tried(&read(&text), Leftover::OnHand("oat-1"));
    // An L of three squares of 4 in: each holds one tile of 3 1/4 in, whatever up to 1/4 in the cutter cannot reach at the edges; two
    // side by side need 6 1/2 in. The fourth square is not there.
    assert_eq!(counts(&found), [3]);
    assert!(found.leftover.outline.is_some());
    assert!(found.copies.is_none());
}

#[test]
fn what_is_not_there_is_told_with_what_there_is() {
    let two = "{ id = \"oat\", format = \"letter\" }, { id = \"sage\", format = \"letter\" },";
    let project = project(two, &piece("tag", "", "2 x 3 1/2"));
    let options = PlanOptions::default();
    let told = |asked| {
        let mistakes = leftover(&project, asked, &options).unwrap_err();
        format!("{} ({})", mistakes[0].message, mistakes[0].hints.join("; "))
    };
    assert_eq!(
        told(rectangle("5 x 7 in")),
        "the project has 2 stocks, and the leftover is of one (say which with --stock: oat)"
    );
    assert!(told(Leftover::OnHand("oat")).starts_with("\"oat\" is a whole sheet, no offcut"));
    assert!(told(Leftover::OnHand("oat-7")).starts_with("no offcut on hand is called \"oat-7\""));
    let Leftover::Rectangle { width, height, .. } = rectangle("5 x 7 in") else {
        panic!("a rectangle was asked for");
    };
    let of = |id| Leftover::Rectangle {
        width,
        height,
        of: Some(id),
    };
    assert!(told(of("plum")).starts_with("no whole sheets are called \"plum\""));
    assert!(told(of("sage")).starts_with("no piece is made of \"sage\""));
}

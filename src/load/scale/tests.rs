use std::collections::BTreeMap;

use super::*;
use crate::load::{Options, project};

const HEAD: &str = r#"sheetwright = 1
[job]
name = "Swap morning"
copies = 1
cut_by = "machine"
[[stock]]
id = "oat"
format = "letter"
caliper = "0.3 mm"
"#;

fn scaled_by(tables: &str, by: &str, rounding: Rounding) -> Scaled {
    let text = format!("{HEAD}{tables}");
    let read = |text: &str| project("project.toml", text, &BTreeMap::new(), &Options::default());
    let declared = read(&text).unwrap().value;
    let scaled = scale(&text, &declared, by.parse().unwrap(), rounding);
    read(&scaled.text).expect("what was scaled is a project");
    scaled
}

fn tables_of(scaled: &Scaled) -> &str {
    scaled.text.strip_prefix(HEAD).unwrap()
}

#[test]
fn a_hand_drawn_box_grows_but_for_its_tab() {
    // By hand, times 5/4: 1/2 -> 5/8, 1 7/8 -> 2 11/32, on the ruler 2 3/8 (halves up), 2 -> 2 1/2; the tab of 3/8 stays.
    let band = r#"
[[piece]]
id = "band" # round the jar
stock = "oat"
[piece.shape]
kind = "strip"
across = "2 in"
panels = [
    "3/8 in", # tab
    "1/2 in",
    "1 7/8 in",
]
snipped = "start"
[[piece.operation]]
kind = "hole"
at = "1 in, 1 in"
diameter = "1/4 in"
"#;
    let scaled = scaled_by(band, "5/4", Rounding::ToRuler);
    // The hole lies 1/8 in behind the second crease at 7/8: by hand 3/8 + 5/8 + 1/8 x (2 3/8 / 1 7/8) = 1.158, on the ruler 1 3/16.
    let want = band
        .replace("across = \"2 in\"", "across = \"2 1/2 in\"")
        .replace("    \"1/2 in\"", "    \"5/8 in\"")
        .replace("\"1 7/8 in\"", "\"2 3/8 in\"")
        .replace("\"1 in, 1 in\"", "\"1 3/16 in, 1 1/4 in\"");
    assert_eq!(tables_of(&scaled), want);
    let kept: Vec<_> = scaled.stays.iter().map(|s| s.key.as_str()).collect();
    assert_eq!(
        kept,
        ["shape.panels[1]", "operation[1].diameter", "caliper"]
    );

    let exact = scaled_by(band, "5/4", Rounding::Exact);
    assert!(exact.text.contains("\"2 11/32 in\""), "{}", exact.text);
}

#[test]
fn creases_and_the_length_beside_them_move_together() {
    // By hand, times 3/2 with a tab of 10 mm at the end: panels 20, 30, 10 -> 30, 45, 10, so creases at 30 and 75, length 85.
    let strip = r#"
[[piece]]
id = "strip"
stock = "oat"
shape = { kind = "strip", along = "y", across = "40 mm", creases_at = ["20 mm", "5 cm"], length = "60 mm", snipped = "end" }
"#;
    let scaled = scaled_by(strip, "150%", Rounding::ToRuler);
    let want = strip
        .replace("\"40 mm\"", "\"60 mm\"")
        .replace("[\"20 mm\", \"5 cm\"]", "[\"30 mm\", \"7.5 cm\"]")
        .replace("length = \"60 mm\"", "length = \"85 mm\"");
    assert_eq!(tables_of(&scaled), want);
}

#[test]
fn a_drawn_outline_and_its_creases_stay_together() {
    // By hand, times 5/4. 35.15 mm is no half millimetre, so nothing of this piece is rounded: 43.9375, 12.5, 112.5, 25.
    let tray = r#"
[[piece]]
id = "tray"
stock = "oat"
[piece.shape]
kind = "path"
unit = "mm"
data = """
M 35.15 0 H 90
V 20 H 0 L 10 0 Z
"""
[[piece.operation]]
kind = "crease"
at_x = "35.15 mm"
[[piece.operation]]
kind = "crease"
path = "M 10 0 v 20"
unit = "mm"
"#;
    let scaled = scaled_by(tray, "1.25", Rounding::ToRuler);
    let want = tray
        .replace(
            "M 35.15 0 H 90\nV 20 H 0 L 10 0 Z",
            "M 43.9375 0 H 112.5\nV 25 H 0 L 12.5 0 Z",
        )
        .replace("\"35.15 mm\"", "\"43.9375 mm\"")
        .replace("M 10 0 v 20", "M 12.5 0 v 25");
    assert_eq!(tables_of(&scaled), want);
    assert_eq!(scaled.whole, ["tray"]);
    let data = &scaled.changes[0];
    assert_eq!(
        (
            data.of.as_str(),
            data.key.as_str(),
            data.old.as_str(),
            data.new.as_str()
        ),
        ("tray", "shape.data", "90 mm x 20 mm", "112.5 mm x 25 mm")
    );
}

#[test]
fn layers_keep_their_reveal_and_what_is_glued_on_keeps_its_place() {
    let card = r#"
[[piece]]
id = "card"
stock = "oat"
shape = { kind = "rounded-rectangle", size = "4 1/4 x 5 1/2 in", radius = "1/4 in" }
[[piece]]
id = "mat"
stock = "oat"
mount = { on = "card", reveal = "1/8 in" }
[[piece]]
id = "token"
stock = "oat"
shape = { kind = "polygon", sides = 6, side = "10 mm" }
mount = { on = "mat", anchor = "top", offset = "-5 mm, 1 in", standoff = "2 mm" }
"#;
    // By hand, times 2/3: 4 1/4 -> 2 5/6 = 45.33/16 -> 2 13/16; 5 1/2 -> 3 2/3 = 58.67/16 -> 3 11/16; 1/4 -> 2.67/16 -> 3/16;
    // 10 -> 6.67 -> 6.5 mm; -5 -> -3.33 -> -3.5 mm; 1 in -> 10.67/16 -> 11/16.
    let scaled = scaled_by(card, "2/3", Rounding::ToRuler);
    let want = card
        .replace("4 1/4 x 5 1/2 in", "2 13/16 x 3 11/16 in")
        .replace("radius = \"1/4 in\"", "radius = \"3/16 in\"")
        .replace("\"10 mm\"", "\"6.5 mm\"")
        .replace("-5 mm, 1 in", "-3.5 mm, 11/16 in");
    assert_eq!(tables_of(&scaled), want);
    let kept: Vec<_> = scaled
        .stays
        .iter()
        .map(|s| format!("{} {}", s.of, s.key))
        .collect();
    assert_eq!(
        kept,
        ["mat mount.reveal", "token mount.standoff", "oat caliper"]
    );
}

#[test]
fn panels_stay_where_they_are_named_and_assemblies_fit_what_was_drawn() {
    // By hand, times 2: every place of the net is twice as far, and the gap at its seam is twice as wide. A place that lies on no half
    // millimetre, 152.25, moves exactly.
    let sleeve = r#"
[[piece]]
id = "sleeve"
stock = "oat"
shape = { kind = "path", unit = "mm", data = "M 10 0 H 159.5 V 40 H 10 L 0 37 V 3 Z" }
[[piece.operation]]
kind = "crease"
fold = "mountain"
folds_to = "90 deg"
unit = "mm"
path = "M 10 0 V 40 M 70 0 V 40 M 85 0 V 40 M 145 0 V 40"
[[piece.panel]]
name = "tab"
at = "5 mm, 20 mm"
[[piece.panel]]
name = "front"
at = "40 mm, 20 mm"
[[piece.panel]]
name = "left"
at = "152.25 mm, 20 mm"
[[assembly]]
id = "sleeve"
[[assembly.member]]
piece = "sleeve"
root = "front"
at = "40 mm, 0 mm"
height = "20 mm"
[[assembly.joint]]
kind = "meet"
from = "sleeve:left"
to = "sleeve:front"
gap = "0.5 mm"
"#;
    let scaled = scaled_by(sleeve, "2", Rounding::ToRuler);
    let want = sleeve
        .replace(
            "M 10 0 H 159.5 V 40 H 10 L 0 37 V 3 Z",
            "M 20 0 H 319 V 80 H 20 L 0 74 V 6 Z",
        )
        .replace(
            "M 10 0 V 40 M 70 0 V 40 M 85 0 V 40 M 145 0 V 40",
            "M 20 0 V 80 M 140 0 V 80 M 170 0 V 80 M 290 0 V 80",
        )
        .replace("\"5 mm, 20 mm\"", "\"10 mm, 40 mm\"")
        .replace("\"40 mm, 20 mm\"", "\"80 mm, 40 mm\"")
        .replace("\"152.25 mm, 20 mm\"", "\"304.5 mm, 40 mm\"")
        .replace("\"40 mm, 0 mm\"", "\"80 mm, 0 mm\"")
        .replace("height = \"20 mm\"", "height = \"40 mm\"")
        .replace("gap = \"0.5 mm\"", "gap = \"1 mm\"");
    assert_eq!(tables_of(&scaled), want);
}

#[test]
fn treated_areas_grow_with_their_piece_and_what_tools_make_does_not() {
    let tables = r#"
[[tool]]
id = "plate"
kind = "embosser"
size = "6 x 9 in"
[[tool]]
id = "punch"
kind = "punch"
reach = "2 in"
[[supply]]
id = "ribbon"
length = "16 in"
[[piece]]
id = "card"
stock = "oat"
shape = { kind = "rectangle", size = "4 x 3 in" }
[[piece.treat]]
do = "emboss"
tool = "plate"
at = "1/2 in, 1 in"
size = "2 x 1 1/2 in"
caliper = "0.5 mm"
[[piece]]
id = "leaf"
stock = "oat"
shape = { kind = "rectangle", size = "2 x 2 in" }
[piece.finish]
tool = "punch"
at = "1/2 in, 1/4 in"
shape = { kind = "circle", diameter = "1 in" }
"#;
    // By hand, times 3/2: 4 x 3 -> 6 x 4 1/2, 1/2 and 1 -> 3/4 and 1 1/2, 2 x 1 1/2 -> 3 x 2 1/4.
    let scaled = scaled_by(tables, "3/2", Rounding::ToRuler);
    let want = tables
        .replace("4 x 3 in", "6 x 4 1/2 in")
        .replace("1/2 in, 1 in", "3/4 in, 1 1/2 in")
        .replace("2 x 1 1/2 in", "3 x 2 1/4 in");
    assert_eq!(tables_of(&scaled), want);
    let kept: Vec<_> = scaled
        .stays
        .iter()
        .map(|s| format!("{} {}", s.of, s.key))
        .collect();
    let wanted = [
        "card treat[1].caliper",
        "leaf shape.size",
        "oat caliper",
        "ribbon length",
    ];
    assert_eq!(kept, wanted);
}

//! Every damage to the pages for the table is found and named; saving them again is none.
//!
//! The example with a tray and a lid. Its cut list says 160.6 x 130.6 mm and 132.4 x 101.8 mm; both pieces are drawn at 1:2.

use crate::damage::found::{assert_found, saved_again, verdict};
use crate::damage::{Files, changed, pdf};
use crate::made::example;

const LESSON: &str = "instructions.pdf";
const KIT: &str = "kit.pdf";

/// The set without the report, whose digests tell any damage.
fn files() -> Files {
    let mut files = example("bulb-box").files.clone();
    files.remove("report.json").unwrap();
    files
}

/// The set with words of one file changed where they stand first; `None` takes them away.
fn retyped(file: &str, from: &str, to: Option<&str>) -> Files {
    changed(&files(), file, |bytes| {
        pdf::retype(bytes, pdf::page_with(bytes, from), from, to)
    })
}

/// Asserts that the proof has a finding with this code whose message holds all of this, and none about other files.
fn assert_told(damaged: &Files, file: &str, code: &str, parts: &[&str]) {
    for files in saved_again(damaged) {
        let verdict = verdict(&files);
        let findings: Vec<_> = verdict.findings().collect();
        let is_told = findings
            .iter()
            .any(|f| f.code == code && parts.iter().all(|part| f.message.contains(part)));
        assert!(is_told, "{code} {parts:?}: {findings:#?}");
        assert!(findings.iter().all(|f| f.file == file), "{findings:#?}");
    }
}

#[test]
fn nothing_is_found_however_pages_for_the_table_are_saved() {
    for files in saved_again(&files()) {
        let verdict = verdict(&files);
        let findings: Vec<_> = verdict.findings().collect();
        assert!(findings.is_empty(), "{findings:#?}");
        for name in [LESSON, KIT] {
            let file = verdict.files.iter().find(|file| file.name == name).unwrap();
            assert!(file.compared > 200, "{file:#?}");
        }
    }
}

#[test]
fn a_missing_file_for_the_table_is_found() {
    for name in [LESSON, KIT] {
        let mut files = files();
        files.remove(name).unwrap();
        let verdict = verdict(&files);
        assert!(
            verdict
                .findings()
                .any(|f| f.code == "verify.missing" && f.file == name)
        );
    }
}

#[test]
fn a_missing_page_is_found() {
    let of_steps = |bytes: &[u8]| pdf::page_with(bytes, "Step 4");
    let damaged = changed(&files(), LESSON, |bytes| {
        pdf::drop_page(bytes, of_steps(bytes))
    });
    assert_told(&damaged, LESSON, "verify.pages", &["length"]);
    assert_told(&damaged, LESSON, "verify.missing", &["steps"]);
    let damaged = changed(&files(), KIT, |bytes| pdf::drop_page(bytes, 2));
    assert_told(&damaged, KIT, "verify.missing", &["Bag labels"]);
}

#[test]
fn a_crease_of_a_drawing_moved_by_two_hundredths_is_found() {
    let moved = [1.0, 0.0, 0.0, 1.0, 0.02, 0.0];
    let damaged = changed(&files(), LESSON, |bytes| {
        let page = pdf::page_with(bytes, "A Tray");
        pdf::map_tagged(bytes, page, "crease", "box/tray.crease-1", moved)
    });
    assert_told(
        &damaged,
        LESSON,
        "verify.moved",
        &["box/tray.crease-1", "0.0200 mm right"],
    );
}

#[test]
fn a_drawing_off_its_scale_is_found() {
    // At 1:2 the tray is 80.3 x 65.3 mm; times 1.0004 that makes 80.33212 x 65.32612 mm.
    let larger = [1.0004, 0.0, 0.0, 1.0004, 0.0, 0.0];
    let damaged = changed(&files(), LESSON, |bytes| {
        let page = pdf::page_with(bytes, "A Tray");
        pdf::map_tagged(bytes, page, "piece-drawing", "box/tray", larger)
    });
    assert_found(
        &damaged,
        LESSON,
        "verify.scaled",
        "box/tray",
        ["80.3000 x 65.3000 mm", "80.3321 x 65.3261 mm"],
    );
}

#[test]
fn a_drawing_or_a_crease_that_is_left_out_is_found() {
    for (kind, id, name) in [
        ("piece-drawing", "box/tray", "drawings of Tray"),
        ("crease", "box/tray.crease-3", "box/tray.crease-3"),
    ] {
        let damaged = changed(&files(), LESSON, |bytes| {
            let page = pdf::page_with(bytes, "A Tray");
            pdf::drop_tagged(bytes, page, kind, id)
        });
        assert_told(&damaged, LESSON, "verify.missing", &[name]);
    }
}

#[test]
fn a_check_rule_that_is_too_long_is_found() {
    // 4 in are 101.6 mm.
    let longer = [1.0004, 0.0, 0.0, 1.0, 0.0, 0.0];
    let damaged = changed(&files(), LESSON, |bytes| {
        let page = pdf::page_with(bytes, "Check rule");
        pdf::map_tagged(bytes, page, "rule", "rule", longer)
    });
    assert_found(
        &damaged,
        LESSON,
        "verify.scaled",
        "rule",
        ["101.6000 mm", "101.6406 mm"],
    );
}

#[test]
fn a_changed_number_of_a_list_is_found() {
    for (from, to, planned) in [
        (
            "160.6 x 130.6 mm",
            "160.6 x 136.6 mm",
            "Tray in the cut list: planned 130.6 mm",
        ),
        (
            "from the left edge at 35 mm",
            "from the left edge at 36 mm",
            "score 1 of Tray: planned 35 mm",
        ),
        (
            "from the left edge at 35 mm",
            "from the right edge at 35 mm",
            "score 1 of Tray: planned left",
        ),
        ("13.10 EUR", "13.60 EUR", "cost: planned 13.10 EUR"),
    ] {
        let damaged = retyped(LESSON, from, Some(to));
        assert_told(&damaged, LESSON, "verify.words", &[planned, to]);
    }
}

#[test]
fn a_changed_count_is_found() {
    let damaged = changed(&files(), LESSON, |bytes| {
        let page = pdf::page_with(bytes, "Cut list, for one");
        pdf::retype(bytes, page, "1", Some("2"))
    });
    assert_told(
        &damaged,
        LESSON,
        "verify.words",
        &["Tray in the cut list: planned 1, found A | Tray", "| 2 |"],
    );
}

#[test]
fn another_face_up_is_found() {
    let up = "Score it with this face up: front.";
    let damaged = retyped(LESSON, up, Some("Score it with this face up: back."));
    assert_told(
        &damaged,
        LESSON,
        "verify.words",
        &["face of Tray", "planned front", "back"],
    );
}

#[test]
fn a_turn_that_is_left_out_is_found() {
    let turn = "Turn the piece, the same face up: now the top edge lies at the fence.";
    let damaged = retyped(LESSON, turn, None);
    assert_told(
        &damaged,
        LESSON,
        "verify.words",
        &["score 2 of Tray", "planned top"],
    );
    assert_told(
        &damaged,
        LESSON,
        "verify.missing",
        &["turns after", "score 2 of Tray"],
    );
}

#[test]
fn gluing_in_another_order_is_found() {
    let (second, third) = (
        "2. Tray: glue the outside of tab-2 to the inside of right",
        "3. Tray: glue the outside of tab-3 to the inside of left",
    );
    let swapped = changed(&files(), LESSON, |bytes| {
        let page = pdf::page_with(bytes, second);
        let other = "2. Tray: glue the outside of tab-3 to the inside of left";
        let bytes = pdf::retype(bytes, page, second, Some(other));
        let other = "3. Tray: glue the outside of tab-2 to the inside of right";
        pdf::retype(&bytes, page, third, Some(other))
    });
    assert_told(
        &swapped,
        LESSON,
        "verify.words",
        &["number 2 of the gluing order", "planned tab-2"],
    );
    assert_told(
        &swapped,
        LESSON,
        "verify.words",
        &["number 3 of the gluing order", "planned tab-3"],
    );
    let dropped = retyped(LESSON, second, None);
    assert_told(
        &dropped,
        LESSON,
        "verify.missing",
        &["things that are glued", "planned 8", "found 7"],
    );
}

#[test]
fn a_missing_caution_is_found() {
    let damaged = retyped(LESSON, "Heat cutting", None);
    assert_told(
        &damaged,
        LESSON,
        "verify.missing",
        &["the caution about heat cutting"],
    );
}

#[test]
fn a_step_that_says_something_else_is_found() {
    let line = "then press its creases again.";
    let damaged = retyped(LESSON, line, Some("then press its creases."));
    assert_told(&damaged, LESSON, "verify.words", &["step 2", line]);
}

#[test]
fn words_that_leave_what_letter_and_a4_both_print_are_found() {
    let damaged = changed(&files(), LESSON, |bytes| {
        pdf::map_layers(bytes, 1, |[a, b, c, d, e, f]| [a, b, c, d, e - 20.0, f])
    });
    assert_told(
        &damaged,
        LESSON,
        "verify.moved",
        &["leaves what letter and A4 both print"],
    );
}

#[test]
fn a_shopping_list_kit_list_or_label_that_says_something_else_is_found() {
    for (from, to, planned) in [
        (
            "9 x 700 mm",
            "6 x 700 mm",
            "Ribbon, 10 mm in the shopping list: planned 9",
        ),
        (
            "9 x 700 mm",
            "9 x 760 mm",
            "length of Ribbon, 10 mm in the shopping list: planned 700.000 mm",
        ),
        (
            "2.40 EUR",
            "2.60 EUR",
            "Ribbon, 10 mm in the shopping list: planned 2.40 EUR",
        ),
        ("Tray", "Lid", "Tray in the kit list: planned Tray"),
        (
            "In all: 6.70 EUR",
            "In all: 6.10 EUR",
            "sum of the shopping list: planned 6.70 EUR",
        ),
        (
            "1 x Tray, Bark card",
            "2 x Tray, Bark card",
            "the label of bag 1 of 8",
        ),
    ] {
        let damaged = retyped(KIT, from, Some(to));
        let needs = to.replace("9 x 760 mm", "760.000 mm");
        assert_told(&damaged, KIT, "verify.words", &[planned, &needs]);
    }
    let dropped = retyped(KIT, "bag 3 of 8", None);
    assert_told(
        &dropped,
        KIT,
        "verify.missing",
        &["the label of bag 3 of 8"],
    );
}

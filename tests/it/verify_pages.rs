//! What could change a printed page unseen is found.

use lopdf::{Object, dictionary};
use sheetwright::verify::{Verdict, folder};

use crate::damage::{Files, changed, pdf};
use crate::made_by_hand;

fn print(damage: impl FnOnce(&[u8]) -> Vec<u8>) -> Verdict {
    folder(&changed(&made_by_hand::folder(), "print.pdf", damage)).unwrap()
}

fn assert_has(verdict: &Verdict, code: &str, words: &str) {
    let is_it = |finding: &&sheetwright::verify::Finding| {
        finding.code == code && finding.message.contains(words)
    };
    let found: Vec<_> = verdict.findings().collect();
    assert!(found.iter().any(is_it), "{code} {words}: {found:#?}");
}

fn rectangle(numbers: [f32; 4]) -> Object {
    numbers.map(Object::Real).to_vec().into()
}

#[test]
fn another_page_size_is_found_in_every_box() {
    // A4 is 595.276 x 841.89 pt.
    for (key, name) in [
        ("MediaBox", "media box"),
        ("CropBox", "crop box"),
        ("TrimBox", "trim box"),
        ("BleedBox", "bleed box"),
    ] {
        let verdict = print(|bytes| {
            pdf::edit_page(bytes, 2, |page| {
                page.set(key, rectangle([0.0, 0.0, 595.276, 841.89]));
            })
        });
        assert_has(
            &verdict,
            "verify.page-box",
            &format!("{name}: planned 215.9000 x 279.4000 mm"),
        );
        let finding = verdict
            .findings()
            .find(|finding| finding.code == "verify.page-box")
            .unwrap();
        assert_eq!(finding.page, Some(2));
    }
}

#[test]
fn turned_scaled_and_annotated_pages_are_found() {
    let verdict = print(|bytes| pdf::edit_page(bytes, 1, |page| page.set("Rotate", 90)));
    assert_has(&verdict, "verify.content", "/Rotate");
    let verdict = print(|bytes| pdf::edit_page(bytes, 1, |page| page.set("UserUnit", 2)));
    assert_has(&verdict, "verify.content", "/UserUnit");
    let verdict = print(|bytes| {
        let note = Object::from(dictionary! { "Type" => "Annot", "Subtype" => "Square" });
        pdf::edit_page(bytes, 1, |page| page.set("Annots", vec![note]))
    });
    assert_has(&verdict, "verify.content", "annotations");
}

#[test]
fn a_file_that_may_be_printed_at_another_size_is_found() {
    let verdict = print(|bytes| {
        pdf::edit_catalog(bytes, |catalog| drop(catalog.remove(b"ViewerPreferences")))
    });
    assert_has(&verdict, "verify.content", "/PrintScaling");
}

#[test]
fn hidden_layers_are_found() {
    let verdict = print(|bytes| {
        pdf::edit_catalog(bytes, |catalog| {
            let layers = catalog
                .get_mut(b"OCProperties")
                .and_then(Object::as_dict_mut)
                .unwrap();
            let groups = layers.get(b"OCGs").unwrap().clone();
            layers.set("D", dictionary! { "OFF" => groups });
        })
    });
    assert_has(&verdict, "verify.content", "hides layers");
}

#[test]
fn operators_outside_the_list_are_found() {
    for (content, words) in [
        (" BX EX", "uses the operator BX"),
        (
            " BI /W 1 /H 1 /BPC 8 /CS /G ID x EI",
            "uses the operator BI",
        ),
        (" 1 0 0 1 zz", "uses the operator zz"),
        (" 1 0 m 2 l", "uses the operator l with wrong operands"),
        (" 4 5 l S", "draws a line from nowhere"),
        (" (open", "no list of operators"),
    ] {
        let verdict = print(|bytes| pdf::append(bytes, 1, content));
        assert_has(&verdict, "verify.content", words);
    }
}

#[test]
fn a_clip_that_cuts_into_a_mark_or_artwork_is_found() {
    let clipped = |kind: &'static str, id: &'static str, clip: &'static str| {
        print(move |bytes| {
            pdf::edit(bytes, 1, |operations| {
                let text = format!("({id})");
                let begin = operations.iter().position(|operation| {
                    operation.operator == "BDC"
                        && format!("{:?}", operation.operands).contains(&text)
                        && format!("{:?}", operation.operands).contains(&format!("({kind})"))
                });
                let clip = lopdf::content::Content::decode_strict(clip.as_bytes())
                    .unwrap()
                    .operations;
                let at = begin.unwrap() + 1;
                operations.splice(at..at, clip);
            })
        })
    };
    assert_has(
        &clipped("mark", "m1", "0 0 30 279.4 re W n"),
        "verify.content",
        "cuts into it",
    );
    assert_has(
        &clipped("artwork", "packet#1", "0 0 50 279.4 re W n"),
        "verify.content",
        "cut into it",
    );
}

#[test]
fn a_missing_page_and_missing_and_unplanned_files_are_found() {
    let made = made_by_hand::folder();
    let verdict = print(|bytes| {
        let mut document = lopdf::Document::load_mem(bytes).unwrap();
        document.delete_pages(&[2]);
        let mut saved = Vec::new();
        document.save_to(&mut saved).unwrap();
        saved
    });
    assert_has(&verdict, "verify.pages", "planned 2 pages, found 1 pages");
    for name in [
        "print.pdf",
        "proof.pdf",
        "cut-01.svg",
        "sheet-01.png",
        "sheet-01-back.png",
    ] {
        let mut files = made.clone();
        files.remove(name);
        assert_has(&folder(&files).unwrap(), "verify.missing", name);
    }
    for name in ["cut-02.svg", "sheet-02.png"] {
        let mut files = made.clone();
        files.insert(name.to_owned(), Vec::new());
        assert_has(&folder(&files).unwrap(), "verify.extra", name);
    }
}

#[test]
fn a_folder_without_a_readable_plan_is_an_error() {
    let mut files = made_by_hand::folder();
    files.insert("plan.json".to_owned(), b"{}".to_vec());
    assert_eq!(folder(&files).unwrap_err().code, "verify.plan");
    files.remove("plan.json");
    assert_eq!(folder(&files).unwrap_err().code, "verify.plan");
}

#[test]
fn a_picture_of_other_proportions_or_cut_short_is_found() {
    let made = made_by_hand::folder();
    // Letter at 850 px wide is 1100 px high.
    let stretched = changed(&made, "sheet-01.png", |_| made_by_hand::picture(850, 1110));
    assert_has(
        &folder(&stretched).unwrap(),
        "verify.page-box",
        "850 x 1110 pixels",
    );
    let short = changed(&made, "sheet-01.png", |bytes| {
        bytes[..bytes.len() / 2].to_vec()
    });
    assert_has(&folder(&short).unwrap(), "verify.unreadable", "picture");
}

#[test]
fn a_file_that_differs_from_the_report_is_found() {
    // SHA-256 of nothing, FIPS 180-4 (example of the NIST test vectors, from memory).
    let empty = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
    let mut files: Files = made_by_hand::folder();
    let report = format!(r#"{{"files": [{{"name": "notes.txt", "sha256": "{empty}"}}]}}"#);
    files.insert("report.json".to_owned(), report.into_bytes());
    files.insert("notes.txt".to_owned(), Vec::new());
    assert!(folder(&files).unwrap().is_proved());
    files.insert("notes.txt".to_owned(), b"more".to_vec());
    assert_has(&folder(&files).unwrap(), "verify.digest", empty);
    files.remove("notes.txt");
    assert_has(&folder(&files).unwrap(), "verify.missing", "notes.txt");
}

//! What other programs find in the documents of the examples.

use std::collections::BTreeSet;

use lopdf::content::Content;
use sheetwright::job::FileSet;

use crate::folder::Folder;
use crate::made::{example, made};
use crate::program::examples;
use crate::tool::{PdfFile, run};

/// Kinds of tagged drawings that are lines of their own: everything that may be stroked in `print.pdf`.
const STROKED: [&str; 4] = ["mark", "tick", "caption", "rule"];

/// Programs and libraries that PDFs pass through here; a document that names one was not written by `sheetwright` alone.
const OTHERS: [&str; 8] = [
    "printpdf", "lopdf", "usvg", "resvg", "svg2pdf", "skia", "qpdf", "http:",
];

fn project(hand_lines: bool) -> FileSet {
    project_with(&format!("hand_lines = {hand_lines}"))
}

fn project_with(key: &str) -> FileSet {
    let text = format!(
        r##"
sheetwright = 1

[job]
name = "Żółw: leek tags"
copies = 2
cut_by = "trimmer"
{key}

[[stock]]
id = "cream"
name = "Gęś paper"
format = "a4"
caliper = "0.1 mm"
face_a = "printable"

[[piece]]
id = "tag"
name = "Żółw"
stock = "cream"
shape = {{ kind = "rectangle", size = "50 x 30 mm" }}

[[piece.artwork]]
colour = "#dfe7d0"
"##
    );
    made(&text, &Folder(".".into())).files
}

/// Calls `check` with the example's name, the document's name and its bytes, for every document of every example.
fn over_documents(check: impl Fn(&str, &str, &[u8])) {
    for name in examples() {
        for (file, bytes) in &example(&name).files {
            if file.ends_with(".pdf") {
                check(&name, file, bytes);
            }
        }
    }
}

fn page_text(file: &PdfFile, page: usize) -> String {
    let page = page.to_string();
    run("pdftotext", &["-f", &page, "-l", &page, &file.path, "-"])
}

fn pages(file: &PdfFile) -> usize {
    file.object("trailer/Root/Pages/Count").parse().unwrap()
}

#[test]
fn every_document_is_sound_and_asks_for_true_size() {
    over_documents(|name, document, bytes| {
        let file = PdfFile::checked(&format!("sound-{name}-{document}"), bytes);
        // ISO 32000-1, table 150.
        let scaling = file.object("trailer/Root/ViewerPreferences/PrintScaling");
        assert_eq!(scaling, "/None", "{name}/{document}");
    });
}

#[test]
fn no_document_names_another_program() {
    let own = format!("(sheetwright {})", env!("CARGO_PKG_VERSION"));
    over_documents(|name, document, bytes| {
        let file = PdfFile::checked(&format!("names-{name}-{document}"), bytes);
        let producer = file.object("trailer/Info/Producer");
        assert_eq!(producer, own, "{name}/{document}");
        let creator = file.object("trailer/Info/Creator");
        assert_eq!(creator, "null", "{name}/{document}");
        assert_eq!(
            file.object("trailer/Root/Metadata"),
            "null",
            "{name}/{document}"
        );
        let raw = String::from_utf8_lossy(bytes).to_lowercase();
        let unpacked = file.unpacked().to_lowercase();
        // The first line is a comment that tells who unpacked the file: qpdf.
        let unpacked = unpacked.replace("%qdf-1.0", "");
        for other in OTHERS {
            let names_it = raw.contains(other) || unpacked.contains(other);
            assert!(!names_it, "{name}/{document} names {other}");
        }
    });
}

#[test]
fn proofs_tell_the_processing_step_of_each_layer_that_is_one() {
    // The operations of each project file. ISO 19593-1 as the design notes quote it; the standard's text was not read.
    let steps: [(&str, &[&str]); 4] = [
        ("bulb-box", &["Bleed", "Cutting", "ReverseCreasing"]),
        ("class-kit", &["Bleed", "Cutting", "ReverseCreasing"]),
        ("herb-packet", &["Bleed", "Cutting", "ReverseCreasing"]),
        (
            "plant-labels",
            &["Cutting", "PartialCutting", "Perforating", "Punching"],
        ),
    ];
    for (name, steps) in steps {
        let file = PdfFile::checked(&format!("steps-{name}"), &example(name).files["proof.pdf"]);
        let groups = file.object("trailer/Root/OCProperties/OCGs");
        let count = groups.matches(" 0 R").count();
        let mut found = BTreeSet::new();
        for number in 1..=count {
            let group = format!("trailer/Root/OCProperties/OCGs/{number}");
            let metadata = file.object(&format!("{group}/GTS_Metadata"));
            if metadata != "null" {
                let value = |key: &str| file.object(&format!("{group}/GTS_Metadata/{key}"));
                assert_eq!(value("GTS_ProcStepsGroup"), "/Structural", "{name}");
                found.insert(
                    value("GTS_ProcStepsType")
                        .trim_start_matches('/')
                        .to_owned(),
                );
            }
        }
        assert_eq!(
            found,
            steps.iter().map(|s| (*s).to_owned()).collect(),
            "{name}"
        );
    }
}

/// Lines stroked in the pages of a document outside marks, ticks, captions and rules. Pictures are forms and images of their own.
fn stroked_lines(pdf: &[u8]) -> usize {
    let document = lopdf::Document::load_mem(pdf).unwrap();
    let mut lines = 0;
    for page in document.get_pages().into_values() {
        let content = Content::decode_strict(&document.get_page_content(page)).unwrap();
        let mut inside: Vec<bool> = Vec::new();
        for operation in content.operations {
            match operation.operator.as_str() {
                "BDC" => {
                    let properties = operation.operands[1].as_dict();
                    let kind = properties.and_then(|p| p.get(b"Kind")?.as_str()).ok();
                    inside.push(STROKED.iter().any(|s| kind == Some(s.as_bytes())));
                }
                "EMC" => drop(inside.pop().unwrap()),
                "S" | "s" | "B" | "B*" | "b" | "b*" if !inside.contains(&true) => lines += 1,
                _ => {}
            }
        }
    }
    lines
}

#[test]
fn print_has_no_cut_line_unless_hand_lines_are_asked_for() {
    for name in examples() {
        if let Some(print) = example(&name).files.get("print.pdf") {
            assert_eq!(stroked_lines(print), 0, "{name}");
        }
    }
    assert_eq!(stroked_lines(&project(false)["print.pdf"]), 0);
    // Two tags, each with the line to cut along.
    assert_eq!(stroked_lines(&project(true)["print.pdf"]), 2);
}

#[test]
fn every_page_to_print_says_to_print_at_100_per_cent() {
    for name in examples() {
        if let Some(print) = example(&name).files.get("print.pdf") {
            let file = PdfFile::checked(&format!("caption-{name}"), print);
            for page in 1..=pages(&file) {
                let text = page_text(&file, page);
                assert!(text.contains("100 %"), "{name}, page {page}: {text}");
            }
        }
    }
}

#[test]
fn a_job_without_captions_prints_no_word() {
    let files = project_with("caption = false");
    let file = PdfFile::checked("no-caption", &files["print.pdf"]);
    assert_eq!(page_text(&file, 1).trim(), "");
    let with = PdfFile::checked("caption", &project(false)["print.pdf"]);
    assert!(page_text(&with, 1).contains("leek tags"));
}

#[test]
fn names_beyond_latin_1_are_found_as_text() {
    let files = project(false);
    for document in ["print.pdf", "proof.pdf"] {
        let file = PdfFile::checked(&format!("letters-{document}"), &files[document]);
        let text = page_text(&file, 1);
        for words in ["Żółw: leek tags", "Gęś paper"] {
            assert!(text.contains(words), "{document}: {text}");
        }
        let info = run("pdfinfo", &[&file.path]);
        assert!(info.contains("Żółw: leek tags"), "{info}");
    }
    let file = PdfFile::checked("letters-piece", &files["proof.pdf"]);
    assert!(page_text(&file, 1).contains("Żółw #2"));
}

#[test]
fn a_page_names_the_editions_it_is_for() {
    // Fourteen labels to a sheet: the twelve wanted of sage and the first two of plum, then ten of plum and two spare ones of each.
    let print = &example("class-kit").files["print.pdf"];
    let file = PdfFile::checked("editions", print);
    for page in [1, 2] {
        let text = page_text(&file, page);
        assert!(text.contains("Sage") && text.contains("Plum"), "{text}");
    }
}

//! Sizes, layers, tags, and what a document says about itself.

use std::thread;

use kurbo::Affine;
use sheetwright::{
    draw::page::{Document, Duplex, PageLayer, ProcessStep},
    drawing::{Item, Tag},
    emit::pdf::{Streams, write},
};

use super::{LETTER_MM, black, document, fill, layer, page, rectangle};
use crate::tool::{PdfFile, RENDERERS, run};

fn tagged(kind: &'static str, id: &str) -> Item {
    Item::Tagged {
        tag: Tag {
            kind,
            id: id.into(),
        },
        inner: sheetwright::drawing::Drawing {
            items: vec![fill(rectangle(10.0, 10.0, 40.0, 30.0), black())],
        },
    }
}

/// Two pages that share the layer `artwork`; the first also has a crease and a mark layer.
fn seed_swap() -> Document {
    let creases = PageLayer {
        step: Some(ProcessStep::ReverseCreasing),
        ..layer(
            "mountain creases",
            vec![tagged("crease", "packet#1.crease-2")],
        )
    };
    let first = vec![
        layer(
            "artwork",
            vec![tagged("artwork", "packet#1"), tagged("artwork", "tag(2)#1")],
        ),
        creases,
        layer("marks", vec![tagged("mark", "m1")]),
    ];
    let second = vec![layer("artwork", vec![tagged("artwork", "packet#2")])];
    document(vec![
        page("oat, sheet 1, front", LETTER_MM, first),
        page("Żółw, sheet 1", LETTER_MM, second),
    ])
}

#[test]
fn page_boxes_are_exactly_the_sheet_in_two_readers() {
    // 72 pt = 1 in = 25.4 mm. 210 * 72 / 25.4 = 595.27559.., 297 * 72 / 25.4 = 841.88976.., 12 in = 864 pt.
    let sheets = [
        (LETTER_MM, ["612", "792"]),
        ([210.0, 297.0], ["595.2756", "841.8898"]),
        ([304.8, 304.8], ["864", "864"]),
    ];
    let pages = sheets.map(|(size_mm, _)| page("sheet", size_mm, Vec::new()));
    let file = PdfFile::checked(
        "boxes",
        &write(&document(pages.into()), &[], Streams::Packed),
    );
    for (number, (_, [width, height])) in (1..).zip(sheets) {
        let number = number.to_string();
        let info = run(
            "pdfinfo",
            &["-box", "-f", &number, "-l", &number, &file.path],
        );
        let found = run("mutool", &["pages", &file.path, &number]);
        for name in ["MediaBox", "CropBox", "BleedBox", "TrimBox"] {
            // poppler prints two decimals, mupdf all that there are.
            let round = |text: &str| format!("{:.2}", text.parse::<f64>().unwrap());
            let corners: Vec<_> = info
                .lines()
                .find_map(|line| line.split_once(name).map(|(_, rest)| rest))
                .unwrap()
                .split_whitespace()
                .skip(1)
                .collect();
            assert_eq!(
                corners,
                ["0.00", "0.00", &round(width), &round(height)],
                "{name}: {info}"
            );
            let want = format!("<{name} l=\"0\" b=\"0\" r=\"{width}\" t=\"{height}\" />");
            assert!(found.contains(&want), "{want} in {found}");
        }
    }
    let unpacked = file.unpacked();
    assert!(!unpacked.contains("/Rotate") && !unpacked.contains("/UserUnit"));
}

#[test]
fn viewers_are_asked_for_true_size_and_the_right_turning() {
    let turnings = [
        (Duplex::Simplex, "Simplex"),
        (Duplex::LongEdge, "DuplexFlipLongEdge"),
        (Duplex::ShortEdge, "DuplexFlipShortEdge"),
    ];
    for (duplex, name) in turnings {
        let bytes = write(
            &Document {
                duplex,
                ..seed_swap()
            },
            &[],
            Streams::Packed,
        );
        // ISO 32000-1, table 150: /Duplex and /PickTrayByPDFSize came with PDF 1.7, /PrintScaling with 1.6.
        assert!(bytes.starts_with(b"%PDF-1.7\n"));
        let file = PdfFile::checked(&format!("viewer-{name}"), &bytes);
        let found = file.object("trailer/Root/ViewerPreferences");
        for want in [
            "/PrintScaling /None",
            "/PickTrayByPDFSize true",
            &format!("/Duplex /{name} "),
        ] {
            assert!(found.contains(want), "{want} in {found}");
        }
    }
}

#[test]
fn the_file_names_its_title_and_this_program_and_no_other() {
    let file = PdfFile::checked("information", &write(&seed_swap(), &[], Streams::Packed));
    let program = format!("(sheetwright {})", env!("CARGO_PKG_VERSION"));
    assert_eq!(
        file.object("trailer/Info"),
        format!("<< /Title (Plant-swap morning) /Producer {program} >>")
    );
    let unpacked = file.unpacked().to_lowercase();
    for foreign in [
        "printpdf",
        "lopdf",
        "creationdate",
        "moddate",
        "/metadata",
        "xmp",
    ] {
        assert!(!unpacked.contains(foreign), "{foreign}");
    }
    assert!(unpacked.contains("(oat, sheet 1, front)"));
}

#[test]
fn titles_and_labels_keep_their_letters() {
    let title = "Plant-swap morning, Żółw bed – 24 × 2¼ in (кружок)";
    let document = Document {
        title: title.into(),
        author: None,
        ..seed_swap()
    };
    let file = PdfFile::checked("title", &write(&document, &[], Streams::Packed));
    let info = run("pdfinfo", &[&file.path]);
    let found = info.lines().find_map(|line| line.strip_prefix("Title:"));
    assert_eq!(found.map(str::trim), Some(title), "{info}");
    // ISO 32000-1, 7.9.2.2: byte order mark, then UTF-16, big end first. Ż is U+017B.
    let labels = file.object("trailer/Root/PageLabels");
    assert!(labels.contains("<FEFF017B00F30142"), "{labels}");
}

#[test]
fn layers_of_one_name_are_one_layer_with_its_processing_step() {
    let file = PdfFile::checked("layers", &write(&seed_swap(), &[], Streams::Packed));
    let unpacked = file.unpacked();
    assert_eq!(unpacked.matches("/Type /OCG").count(), 3);
    assert_eq!(unpacked.matches("/Name (artwork)").count(), 1);
    assert_eq!(unpacked.matches("GTS_Metadata").count(), 1);
    for (index, name) in (1..).zip(["artwork", "mountain creases", "marks"]) {
        for list in ["OCGs", "D/Order"] {
            let path = format!("trailer/Root/OCProperties/{list}/{index}");
            let group = file.object(&path);
            assert!(
                group.contains(&format!("/Name ({name})")),
                "{path}: {group}"
            );
        }
    }
    let metadata = file.object("trailer/Root/OCProperties/OCGs/2/GTS_Metadata");
    assert_eq!(
        metadata,
        "<< /GTS_ProcStepsGroup /Structural /GTS_ProcStepsType /ReverseCreasing >>"
    );
    // ISO 32000-1, 8.11.3.2: content of a layer is marked /OC with a name from /Properties.
    let used = file.object("pages/1/Resources/Properties");
    assert_eq!(used.matches(" R").count(), 3, "{used}");
    assert_eq!(
        file.object("pages/2/Resources/Properties")
            .matches(" R")
            .count(),
        1
    );
}

#[test]
fn every_stretch_of_content_keeps_the_id_it_belongs_to_after_rewriting() {
    let file = PdfFile::checked("tags", &write(&seed_swap(), &[], Streams::Packed));
    let unpacked = file.unpacked();
    for (kind, id) in [
        ("artwork", "packet#1"),
        ("artwork", r"tag\(2\)#1"),
        ("crease", "packet#1.crease-2"),
        ("mark", "m1"),
        ("artwork", "packet#2"),
    ] {
        let opening = format!("/Sheetwright << /Kind ({kind}) /Id ({id}) >> BDC");
        assert_eq!(unpacked.matches(&opening).count(), 1, "{opening}");
    }
    // Five tags and four layers, each opened and closed once.
    assert_eq!(unpacked.matches(" BDC\n").count(), 9);
    assert_eq!(unpacked.matches("EMC\n").count(), 9);
}

#[test]
fn a_document_is_the_same_bytes_whatever_else_is_written() {
    let first = write(&seed_swap(), &[], Streams::Packed);
    let other = write(&document(Vec::new()), &[], Streams::Packed);
    let again = write(&seed_swap(), &[], Streams::Packed);
    assert!(first == again);
    let in_threads = thread::scope(|scope| {
        let threads = [(); 4].map(|()| scope.spawn(|| write(&seed_swap(), &[], Streams::Packed)));
        threads.map(|thread| thread.join().unwrap())
    });
    assert!(in_threads.iter().all(|bytes| *bytes == first));
    let id = |bytes: &[u8]| {
        let text = String::from_utf8_lossy(bytes).into_owned();
        let (_, id) = text.rsplit_once("/ID[<").unwrap();
        id[..32].to_owned()
    };
    assert_ne!(id(&first), id(&other));
}

#[test]
fn plain_streams_show_the_same_page() {
    let packed = PdfFile::checked("packed", &write(&seed_swap(), &[], Streams::Packed));
    let bytes = write(&seed_swap(), &[], Streams::Plain);
    assert!(
        String::from_utf8_lossy(&bytes).contains("/Sheetwright << /Kind (mark) /Id (m1) >> BDC\n")
    );
    let plain = PdfFile::checked("plain", &bytes);
    for renderer in RENDERERS {
        assert!(
            packed.picture(renderer, 72) == plain.picture(renderer, 72),
            "{renderer:?}"
        );
    }
}

#[test]
fn a_layer_matrix_moves_the_drawing_before_the_page_is_turned_into_points() {
    // A quarter turn clockwise as seen about (100, 100): (x, y) goes to (200 - y, x).
    let turned = PageLayer {
        matrix: Affine::new([0.0, 1.0, -1.0, 0.0, 200.0, 0.0]),
        ..layer(
            "artwork",
            vec![fill(rectangle(10.0, 20.0, 40.0, 30.0), black())],
        )
    };
    let document = document(vec![page("sheet", LETTER_MM, vec![turned])]);
    let file = PdfFile::checked("matrix", &write(&document, &[], Streams::Packed));
    for renderer in RENDERERS {
        let picture = file.picture(renderer, 100);
        // The rectangle x 10..40, y 20..30 lands on x 170..180, y 10..40.
        for (x_mm, y_mm, want) in [
            (171.0, 11.0, [0; 3]),
            (179.0, 39.0, [0; 3]),
            (169.0, 25.0, [255; 3]),
            (175.0, 41.0, [255; 3]),
            (25.0, 25.0, [255; 3]),
        ] {
            assert_eq!(
                super::colour_at(&picture, 100, x_mm, y_mm),
                want,
                "{renderer:?} {x_mm} {y_mm}"
            );
        }
    }
}

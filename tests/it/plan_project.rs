//! Projects made by hand for the tests of the plan, in millimetres.

use kurbo::BezPath;
use sheetwright::diagnostic::{Origin, Place};
use sheetwright::drawing::Colour;
use sheetwright::geometry::{Outline, shape};
use sheetwright::length::{Length, LengthStyle, Size};
use sheetwright::project::{
    Artwork, ArtworkFill, Best, CutBy, CutterProfile, Edges, Edition, Face, Job, Maker, MarkUse,
    Operation, OperationKind, Piece, PrinterProfile, Project, Reads, Stock, StockFace, StockSide,
    TrimmerProfile, TurnOver, Turns,
};

/// Letter: 8 1/2 x 11 in.
pub(crate) const LETTER_MM: (f64, f64) = (215.9, 279.4);

pub(crate) fn length(mm: f64) -> Length {
    let text = format!("{mm:.6} mm");
    Length::parse(&text, None).unwrap()
}

pub(crate) fn size(mm: f64) -> Size {
    Size::new(length(mm)).unwrap()
}

pub(crate) fn origin(key_path: &str) -> Origin {
    Origin {
        key_path: key_path.to_owned(),
        place: Place {
            file: "project.toml".to_owned(),
            span: 0..0,
        },
    }
}

/// A job of rectangles with nothing printed.
pub(crate) fn project(
    cut_by: CutBy,
    stocks: Vec<Stock>,
    pieces: Vec<Piece>,
    copies: u32,
) -> Project {
    Project {
        parts: Vec::new(),
        assemblies: Vec::new(),
        job: Job {
            name: "Plant-swap morning".to_owned(),
            date: None,
            cut_by,
            best: Best::FewestSheets,
            rows: false,
            lengths: LengthStyle::Millimetres,
            gap: match cut_by {
                CutBy::Machine => Length::from_mm(3),
                CutBy::Trimmer => Length::ZERO,
            },
            least_offcut: (size(76.2), size(76.2)),
            marks: MarkUse::Auto,
            turn_over: TurnOver::LeftRight,
            mark_scales: false,
            caption: true,
            hand_lines: false,
            origin: origin("job"),
        },
        stocks,
        pieces,
        editions: vec![edition("", copies)],
        pins: Vec::new(),
        tools: Vec::new(),
        supplies: Vec::new(),
        lesson: sheetwright::project::Lesson::default(),
        paper_list_sha256: None,
        assets: Vec::new(),
        printer: PrinterProfile::default(),
        cutter: reach(Edges::all(Length::ZERO)),
        trimmer: TrimmerProfile::default(),
    }
}

pub(crate) fn edition(id: &str, copies: u32) -> Edition {
    Edition {
        id: id.to_owned(),
        name: id.to_owned(),
        copies,
        spares: 0,
        stock_swaps: Vec::new(),
        artwork_swaps: Vec::new(),
        origin: origin("edition"),
    }
}

pub(crate) fn stock(id: &str, (width_mm, height_mm): (f64, f64)) -> Stock {
    Stock {
        id: id.to_owned(),
        name: id.to_owned(),
        format: "custom_test_1x1mm".to_owned(),
        width: size(width_mm),
        height: size(height_mm),
        caliper: None,
        grammage_gsm: None,
        grain: None,
        on_hand: None,
        is_clear: false,
        price: None,
        face_a: StockFace::Printable,
        face_b: StockFace::Printable,
        offcut_of: None,
        outline: None,
        origin: origin("stock"),
    }
}

pub(crate) fn piece(id: &str, width_mm: f64, height_mm: f64) -> Piece {
    shaped(id, shape::rectangle(width_mm, height_mm).unwrap())
}

pub(crate) fn shaped(id: &str, outline: Outline) -> Piece {
    Piece {
        id: id.to_owned(),
        name: id.to_owned(),
        per_copy: 1,
        outline,
        fills_sheet: false,
        cut_by: Maker::Machine,
        nicks: None,
        may_mirror: false,
        treatments: Vec::new(),
        finish: None,
        have: 0,
        panels: Vec::new(),
        stock: 0,
        shows: StockSide::A,
        grain: None,
        pattern_up: None,
        turns: Turns::Quarters,
        operations: Vec::new(),
        artwork: Vec::new(),
        mount: None,
        origin: origin("piece"),
    }
}

pub(crate) fn colour(face: Face, bleed_mm: f64, colour: Colour) -> Artwork {
    Artwork {
        face,
        fill: ArtworkFill::Flat(colour),
        bleed: length(bleed_mm),
        reads: Reads::Free,
        origin: origin("piece[1].artwork[1]"),
    }
}

pub(crate) fn operation(kind: OperationKind, path: &str) -> Operation {
    Operation {
        kind,
        path: BezPath::from_svg(path).unwrap(),
        folds_to: None,
        by: Maker::Machine,
        origin: origin("piece[1].operation[1]"),
    }
}

/// A cutter that reaches everywhere but the bands at the edges.
pub(crate) fn reach(unreachable: Edges<Length>) -> CutterProfile {
    CutterProfile {
        unreachable,
        ..CutterProfile::default()
    }
}

pub(crate) fn margins(mm: f64) -> PrinterProfile {
    PrinterProfile {
        margins: Edges::all(length(mm)),
        ..PrinterProfile::default()
    }
}

//! The chart as a project, so that it goes through the same pipeline as any other and is proved like one.

use super::{Chart, ChartFaces, face, words};
use crate::diagnostic::{Origin, Place};
use crate::digest::sha256_hex;
use crate::drawing::{Asset, AssetContent, AssetIndex};
use crate::geometry::{Pose, shape};
use crate::length::{Length, LengthStyle, Size};
use crate::paper::{self, Format};
use crate::project::{
    Artwork, ArtworkFill, Best, Calibration, CutBy, CutterProfile, Edges, Edition, Face, Job,
    Maker, MarkUse, PictureBox, Piece, PrinterProfile, Project, Reads, Stock, StockFace, StockSide,
    TrimmerProfile, TurnOver, Turns,
};

use super::ChartEdition;

/// Returns a project that prints the chart: one piece as large as the sheet, nothing to be cut, no marks and no caption, and a
/// printer that is taken to reach every edge, since the ladders show how far it does.
///
/// # Examples
///
/// ```
/// use sheetwright::calibrate::chart::{Chart, ChartEdition, ChartFaces, project};
/// use sheetwright::{job, paper, plan::PlanOptions};
///
/// let chart = Chart::upright(paper::find("a4").unwrap(), ChartEdition::Millimetres)?;
/// let planned = job::plan(&project(&chart, ChartFaces::Both), &PlanOptions::default()).unwrap();
/// // One sheet with two pages.
/// assert_eq!(planned.value.usage.sheets, 1);
/// assert_eq!(planned.value.sheets[0].prints[0].back, Some(2));
/// # Ok::<(), sheetwright::diagnostic::Diagnostic>(())
/// ```
#[must_use]
pub fn project(chart: &Chart, faces: ChartFaces) -> Project {
    let printed = match faces {
        ChartFaces::Front => [Face::Front].as_slice(),
        ChartFaces::Both => &[Face::Front, Face::Back],
    };
    let [width, height] = [chart.page.width, chart.page.height].map(side);
    let picture = |(index, face): (usize, &Face)| Artwork {
        face: *face,
        fill: ArtworkFill::Picture(PictureBox {
            asset: AssetIndex(index),
            width,
            height,
            pose: Pose::identity(),
        }),
        bleed: Length::ZERO,
        reads: Reads::OneWay,
        origin: origin("artwork"),
    };
    Project {
        job: job(words::title(chart, faces), chart.edition),
        stocks: vec![stock(chart, width, height)],
        pieces: vec![Piece {
            artwork: printed.iter().enumerate().map(picture).collect(),
            ..piece(chart)
        }],
        parts: Vec::new(),
        assemblies: Vec::new(),
        editions: vec![edition()],
        pins: Vec::new(),
        tools: Vec::new(),
        supplies: Vec::new(),
        lesson: crate::project::Lesson::default(),
        paper_list_sha256: None,
        assets: printed
            .iter()
            .map(|face| asset(chart, *face, faces))
            .collect(),
        printer: PrinterProfile {
            margins: Edges::all(Length::ZERO),
            ..PrinterProfile::default()
        },
        cutter: CutterProfile {
            unreachable: Edges::all(Length::ZERO),
            ..CutterProfile::default()
        },
        trimmer: TrimmerProfile::default(),
    }
}

/// Returns the project that prints the chart through what was measured of the printer, so that the error is seen gone.
///
/// What leaves the printer's reach at the edges is lost, as on any print of the chart: the ladders show that, too.
#[must_use]
pub fn project_through(chart: &Chart, faces: ChartFaces, calibration: Calibration) -> Project {
    let plain = project(chart, faces);
    Project {
        printer: PrinterProfile {
            margins: Edges::all(BEYOND),
            calibration: Some(calibration),
            ..plain.printer
        },
        ..plain
    }
}

/// Further outside the sheet than any measured printer moves a page: nothing of the chart is taken for out of reach.
const BEYOND: Length = Length::from_mm(-30);

fn side(mm: f64) -> Size {
    Size::new(Length::nearest_mm(mm)).expect("a page with a grid of targets is larger than nothing")
}

/// Nobody wrote the chart's project; what is said of it stands without a place.
fn origin(key_path: &str) -> Origin {
    Origin {
        key_path: key_path.to_owned(),
        place: Place {
            file: "chart".to_owned(),
            span: 0..0,
        },
    }
}

fn job(name: String, edition: ChartEdition) -> Job {
    let least = side(76.2);
    Job {
        name,
        date: None,
        cut_by: CutBy::Machine,
        best: Best::FewestSheets,
        rows: false,
        lengths: match edition {
            ChartEdition::Millimetres => LengthStyle::Millimetres,
            ChartEdition::Inches => LengthStyle::InchFractions,
        },
        gap: Length::ZERO,
        least_offcut: (least, least),
        marks: MarkUse::Never,
        mark_scales: false,
        caption: false,
        turn_over: TurnOver::LeftRight,
        hand_lines: false,
        origin: origin("job"),
    }
}

fn stock(chart: &Chart, width: Size, height: Size) -> Stock {
    let sides = |format: &Format| (format.short_side(), format.long_side());
    let known = paper::find(&chart.format)
        .filter(|format| sides(format) == (width.min(height), width.max(height)));
    let format = known.map_or_else(
        || {
            Format::custom(&chart.format, width, height)
                .name()
                .to_owned()
        },
        |format| format.name().to_owned(),
    );
    Stock {
        id: "paper".to_owned(),
        name: chart.format.clone(),
        format,
        width,
        height,
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

/// The whole sheet; its edge is the sheet's own.
fn piece(chart: &Chart) -> Piece {
    let outline = shape::rectangle(chart.page.width, chart.page.height)
        .expect("a page with a grid of targets is a rectangle");
    Piece {
        id: "chart".to_owned(),
        name: "chart".to_owned(),
        per_copy: 1,
        outline,
        fills_sheet: false,
        cut_by: Maker::Hand,
        nicks: None,
        panels: Vec::new(),
        stock: 0,
        shows: StockSide::A,
        grain: None,
        pattern_up: None,
        turns: Turns::None,
        may_mirror: false,
        treatments: Vec::new(),
        finish: None,
        have: 0,
        operations: Vec::new(),
        artwork: Vec::new(),
        mount: None,
        origin: origin("piece"),
    }
}

fn edition() -> Edition {
    Edition {
        id: String::new(),
        name: String::new(),
        copies: 1,
        spares: 0,
        stock_swaps: Vec::new(),
        artwork_swaps: Vec::new(),
        origin: origin("job"),
    }
}

/// A face as a picture. Its digest is that of all numbers in it, for there is no file.
fn asset(chart: &Chart, face: Face, faces: ChartFaces) -> Asset {
    let picture = face::picture(chart, face, faces);
    Asset {
        path: format!("chart {}", face.name()),
        sha256: sha256_hex(format!("{picture:?}").as_bytes()),
        aspect: chart.page.height / chart.page.width,
        content: AssetContent::Vector(picture),
    }
}

//! From the chart and the sheet's edges in a picture to what the fit wants.

use kurbo::{Point, Size, Vec2};

use super::face_scan::FaceScan;
use super::frame::{SheetEdge, SheetFrame};
use super::seen_chart::{SeenChart, seen_chart};
use crate::calibrate::chart::Chart;
use crate::diagnostic::Diagnostic;
use crate::fit::{Homography, Pair, affine};
use crate::length::MM_PER_INCH;
use crate::paper::Format;
use crate::project::Face;
use crate::scan::{Edge, Kind, Picture, ScaleHint, SheetEdges, find_targets, sheet_edges};

/// Sheets differ from their format by 2 mm at most between 150 and 600 mm, 1.5 mm below (ISO 216); a scanner adds some tenths of a
/// percent. Other standards state nothing; their sheets are cut on the same machines (common practice, no source).
const SHEET_OFF_MM: f64 = 2.0;
const SCANNER_OFF: f64 = 0.004;

/// Median distance to standard deviation, for normal errors: 1 over the 75 % point of the normal distribution.
const SD_BY_MEDIAN: f64 = 1.4826;

/// Least errors of an edge that are believed: paper is not straighter, and its cut leaves fibres (measured on simulated scans, whose
/// edges were wrong by no more).
const LEAST_PLACE_MM: f64 = 0.005;
const LEAST_TILT_RAD: f64 = 0.000_02;

/// Neighbouring places on an edge err together: so many of them tell as much as one.
const TOGETHER: f64 = 4.0;

/// What a picture shows, with which of the charts it is.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadScan {
    /// Position of the chart.
    pub chart: usize,
    /// Targets and edges.
    pub scan: FaceScan,
    /// What the user should know.
    pub warnings: Vec<Diagnostic>,
}

/// Reads one picture called `name`, which shows one of the charts.
///
/// # Errors
///
/// Returns why the picture gives no measurement, and what to do.
pub fn read_scan(
    name: &str,
    picture: &Picture,
    charts: &[Chart],
) -> Result<ReadScan, Vec<Diagnostic>> {
    let found = find_targets(picture, ScaleHint::Tagged);
    let seen = seen_chart(name, &found, charts).map_err(|d| vec![d])?;
    let chart = &charts[seen.chart];
    let in_px: Vec<Pair> = chart
        .targets(seen.face)
        .iter()
        .zip(&seen.places_px)
        .map(|(target, place)| Pair::new(target.centre, *place))
        .collect();
    let map = affine(&in_px)
        .map_err(|e| vec![no_map(name, &e.to_string())])?
        .map;
    let edges = sheet_edges(
        picture,
        &Homography::from_affine(map),
        chart.page,
        Kind::Scan,
    );
    let frame = frame(name, &edges, &seen, chart.page)?;
    refuse_other_size(name, &frame, chart, &seen).map_err(|d| vec![d])?;
    let scan = FaceScan {
        name: name.to_owned(),
        face: seen.face,
        frame,
        targets: targets(&in_px, &seen, chart.page),
    };
    let warnings = if seen.is_stated {
        Vec::new()
    } else {
        vec![not_stated(name, seen.dpi)]
    };
    Ok(ReadScan {
        chart: seen.chart,
        scan,
        warnings,
    })
}

/// The targets in front view and in millimetres of the scan.
fn targets(in_px: &[Pair], seen: &SeenChart, page: Size) -> Vec<Pair> {
    let mm_per_px = MM_PER_INCH / seen.dpi;
    let front_view = |at: Point| match seen.face {
        Face::Front => at,
        Face::Back => Point::new(page.width - at.x, at.y),
    };
    in_px
        .iter()
        .map(|pair| {
            let measured = (pair.measured.to_vec2() * mm_per_px).to_point();
            Pair::new(front_view(pair.nominal), measured)
        })
        .collect()
}

/// The edges by their names in front view.
fn frame(
    name: &str,
    edges: &SheetEdges,
    seen: &SeenChart,
    page: Size,
) -> Result<SheetFrame, Vec<Diagnostic>> {
    let faults: Vec<Diagnostic> = edges
        .warnings()
        .into_iter()
        .map(|d| {
            let message = format!("{name}: {}", d.message);
            let fault = Diagnostic::error("calibrate.edges", message);
            d.hints.into_iter().fold(fault, Diagnostic::hint)
        })
        .collect();
    if !faults.is_empty() {
        return Err(faults);
    }
    let mm_per_px = MM_PER_INCH / seen.dpi;
    let [top, right, bottom, left] = &edges.sides;
    let (left, right) = match seen.face {
        Face::Front => (left, right),
        Face::Back => (right, left),
    };
    let edge = |edge: &Edge, length_mm: f64| {
        sheet_edge(edge, mm_per_px, length_mm)
            .ok_or_else(|| vec![no_map(name, "an edge of the sheet has no line")])
    };
    Ok(SheetFrame {
        left: edge(left, page.height)?,
        right: edge(right, page.height)?,
        top: edge(top, page.width)?,
        bottom: edge(bottom, page.width)?,
    })
}

/// The line through an edge's places; they run clockwise around the sheet, so that its inside is on the right.
fn sheet_edge(edge: &Edge, mm_per_px: f64, length_mm: f64) -> Option<SheetEdge> {
    let line = edge.line?;
    let way = line.p1 - line.p0;
    let along = way / way.hypot2().sqrt();
    let count = edge.points.len().max(1) as f64;
    let sum = edge
        .points
        .iter()
        .fold(Vec2::ZERO, |sum, p| sum + p.to_vec2());
    let mean_mm = edge.scatter_mm * SD_BY_MEDIAN * (TOGETHER / count).sqrt();
    Some(SheetEdge {
        middle: (sum / count * mm_per_px).to_point(),
        inwards: Vec2::new(-along.y, along.x),
        place_mm: mean_mm.max(LEAST_PLACE_MM),
        // A line through evenly spread places: the root of 12 over its length.
        tilt_rad: (mean_mm * 12.0_f64.sqrt() / length_mm).max(LEAST_TILT_RAD),
    })
}

fn no_map(name: &str, why: &str) -> Diagnostic {
    Diagnostic::error("calibrate.targets", format!("{name}: {why}"))
        .hint("scan the whole sheet again at 300 dpi")
}

fn not_stated(name: &str, dpi: f64) -> Diagnostic {
    let message = format!(
        "{name} does not say how many pixels an inch has; by the size of its targets it is taken for {dpi:.0}"
    );
    Diagnostic::warning("calibrate.dpi", message)
        .hint(format!("if that is so, say it: --dpi {dpi:.0}"))
}

fn refuse_other_size(
    name: &str,
    frame: &SheetFrame,
    chart: &Chart,
    seen: &SeenChart,
) -> Result<(), Diagnostic> {
    let (found, page) = (frame.size_mm(), chart.page);
    let is_off =
        |found: f64, wanted: f64| (found - wanted).abs() > SHEET_OFF_MM + wanted * SCANNER_OFF;
    if !is_off(found.width, page.width) && !is_off(found.height, page.height) {
        return Ok(());
    }
    let share = (found.width / page.width, found.height / page.height);
    let is_even = (share.0 / share.1 - 1.0).abs() < 2.0 * SCANNER_OFF;
    let message = format!(
        "{name}: at {:.0} pixels to the inch the sheet is {:.1} x {:.1} mm, and {} is {:.1} x {:.1} mm",
        seen.dpi, found.width, found.height, chart.format, page.width, page.height
    );
    let hint = if is_even {
        let dpi = seen.dpi * f64::midpoint(share.0, share.1);
        format!(
            "the picture was resized or its resolution is not what it says, which looks like {dpi:.0}: scan again without resizing, or state the true one with --dpi"
        )
    } else {
        "see that all four edges are the sheet's own and seen against a dark ground; if the sheet was cut, print the chart on a whole one".to_owned()
    };
    Err(Diagnostic::error("calibrate.sheet-size", message).hint(hint))
}

/// Returns the charts that a picture may show: of one format, or of every format that holds one; upright and lying.
#[must_use]
pub fn possible_charts(format: Option<&Format>) -> Vec<Chart> {
    use crate::calibrate::chart::ChartEdition::Millimetres;
    let all = match format {
        Some(format) => std::slice::from_ref(format),
        None => crate::paper::formats(),
    };
    let both = |format: &Format| {
        [
            Chart::upright(format, Millimetres),
            Chart::lying(format, Millimetres),
        ]
    };
    all.iter().flat_map(both).filter_map(Result::ok).collect()
}

//! The paths of the cut files.

use kurbo::{Affine, BezPath, Point};

use super::furniture::{PAPER_EDGE, paper_edge};
use super::line_kind::LineKind;
use super::mark::circle_and_cross;
use super::page::{CutLayer, CutPath, CutSheet};
use super::words;
use crate::drawing::Colour;
use crate::plan::{CutSetup, JobPlan, PlannedOperation, Sheet};
use crate::project::{Face, OperationKind, Project, StockFace};

/// Name of the layer that is not cut.
const REFERENCE: &str = "reference";

/// Colour of that layer.
const REFERENCE_COLOUR: Colour = Colour::rgb(0x96, 0x92, 0x8a);

/// Length of the lines that fix the extent.
const REFERENCE_LINE_MM: f64 = 3.0;

/// Returns each cut file's name with its content, in the order of the sheets that use it first.
pub(super) fn cut_sheets(project: &Project, plan: &JobPlan) -> Vec<(String, CutSheet)> {
    let Some(extent_mm) = plan.cut_extent_mm else {
        return Vec::new();
    };
    let mut files: Vec<(String, CutSheet)> = Vec::new();
    for sheet in &plan.sheets {
        let Some(setup) = &sheet.cut else { continue };
        if files.iter().all(|(name, _)| *name != setup.file) {
            let content = cut_sheet(project, plan, sheet, setup, extent_mm);
            files.push((setup.file.clone(), content));
        }
    }
    files
}

fn cut_sheet(
    project: &Project,
    plan: &JobPlan,
    sheet: &Sheet,
    setup: &CutSetup,
    (width_mm, height_mm): (f64, f64),
) -> CutSheet {
    let mut layers = vec![reference_layer(project, sheet, setup, width_mm, height_mm)];
    for step in &setup.order {
        let placement = &sheet.placements[step.placement];
        let operation = &placement.operations[step.operation];
        let name = operation.kind.name();
        if layers.last().is_none_or(|layer| layer.name != name) {
            layers.push(CutLayer {
                name,
                colour: layer_colour(operation.kind),
                paths: Vec::new(),
            });
        }
        let mut title = project.pieces[placement.piece].name.clone();
        if placement.face_down {
            title += ", front down";
        }
        let path = cut_path(operation, title, setup.cut_from_sheet);
        layers
            .last_mut()
            .expect("the reference layer is there at least")
            .paths
            .push(path);
    }
    CutSheet {
        title: format!(
            "{}, {}",
            project.job.name,
            setup.file.trim_end_matches(".svg")
        ),
        note: note(project, plan, setup, width_mm, height_mm),
        width_mm,
        height_mm,
        layers,
    }
}

fn cut_path(operation: &PlannedOperation, title: String, cut_from_sheet: Affine) -> CutPath {
    CutPath {
        id: operation.id.clone(),
        title,
        path: cut_from_sheet * operation.path.clone(),
    }
}

/// Marks, the edge of an offcut, and two short lines in opposite corners that give all files of the job the same bounds: programs that place a drawing by
/// its bounds then place all of them alike. The edge is not cut but shows where the paper lies, so that it stays within these bounds
/// whatever is made up for.
fn reference_layer(
    project: &Project,
    sheet: &Sheet,
    setup: &CutSetup,
    width_mm: f64,
    height_mm: f64,
) -> CutLayer {
    let mut paths = vec![
        reference_line("ref-top-left", Point::ORIGIN),
        reference_line(
            "ref-bottom-right",
            Point::new(width_mm - REFERENCE_LINE_MM, height_mm),
        ),
    ];
    paths.extend(sheet.marks.iter().map(|mark| CutPath {
        id: mark.id.clone(),
        title: "register mark".to_owned(),
        path: setup.cut_from_sheet * circle_and_cross(mark),
    }));
    paths.extend(paper_edge(project, sheet).map(|edge| CutPath {
        id: PAPER_EDGE.to_owned(),
        title: "edge of the offcut".to_owned(),
        path: setup.file_from_sheet * edge,
    }));
    CutLayer {
        name: REFERENCE,
        colour: REFERENCE_COLOUR,
        paths,
    }
}

fn reference_line(id: &str, from: Point) -> CutPath {
    let mut path = BezPath::new();
    path.move_to(from);
    path.line_to(Point::new(from.x + REFERENCE_LINE_MM, from.y));
    CutPath {
        id: id.to_owned(),
        title: "reference line".to_owned(),
        path,
    }
}

fn layer_colour(kind: OperationKind) -> Colour {
    match kind {
        OperationKind::Cut => LineKind::Cut,
        OperationKind::Crease { .. } => LineKind::Valley,
        OperationKind::Perforation { .. } => LineKind::Perforation,
        OperationKind::PartialCut => LineKind::PartialCut,
        OperationKind::Hole => LineKind::Hole,
        OperationKind::Line => LineKind::Line,
    }
    .colour()
}

/// Returns the name that a layer of a cut file has in this program, with its colour; `None` for any other name.
pub(super) fn layer_of(name: &str) -> Option<(&'static str, Colour)> {
    let kinds = [
        ("cut", LineKind::Cut),
        ("crease", LineKind::Valley),
        ("perforation", LineKind::Perforation),
        ("partial-cut", LineKind::PartialCut),
        ("hole", LineKind::Hole),
        ("line", LineKind::Line),
    ];
    let kinds = kinds.map(|(name, kind)| (name, kind.colour()));
    let all = kinds.into_iter().chain([(REFERENCE, REFERENCE_COLOUR)]);
    all.into_iter().find(|(known, _)| *known == name)
}

fn note(
    project: &Project,
    plan: &JobPlan,
    setup: &CutSetup,
    width_mm: f64,
    height_mm: f64,
) -> String {
    let mut stocks: Vec<String> = Vec::new();
    for sheet in &plan.sheets {
        let stock = stock_as_it_lies(project, sheet, setup.face_up);
        if sheet.cut.as_ref().is_some_and(|c| c.file == setup.file) && !stocks.contains(&stock) {
            stocks.push(stock);
        }
    }
    let face = setup.face_up.name();
    format!(
        "Stock: {}. Lay the {face} up. This drawing is {} x {} mm; one unit is 1 mm.",
        stocks.join(", "),
        words::millimetres(width_mm),
        words::millimetres(height_mm),
    )
}

/// The name of a sheet's stock, with the pattern that shows which face of a bought paper lies up.
fn stock_as_it_lies(project: &Project, sheet: &Sheet, face_up: Face) -> String {
    let stock = &project.stocks[sheet.stock];
    let side_up = match face_up {
        Face::Front => sheet.front_is,
        Face::Back => sheet.front_is.other(),
    };
    match (stock.face(side_up), stock.face(side_up.other())) {
        (StockFace::Patterned { name, .. }, _) => format!("{} ({name} up)", stock.name),
        (StockFace::Plain | StockFace::Printable, StockFace::Patterned { name, .. }) => {
            format!("{} ({name} down)", stock.name)
        }
        (StockFace::Plain | StockFace::Printable, StockFace::Plain | StockFace::Printable) => {
            stock.name.clone()
        }
    }
}

//! Pages that the tool wrote, as ink.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use kurbo::{Point, Size};
use sheetwright::calibrate::chart::{Chart, ChartEdition, ChartFaces, project};
use sheetwright::plan::{Mark, PlanOptions};
use sheetwright::project::Face;
use sheetwright::{draw, emit, job, paper};

use crate::simulator::raster::Raster;
use crate::simulator::target::{self, Target};

/// A page as it was written, and what stands on it.
#[derive(Debug, Clone)]
pub(crate) struct MadePage {
    pub(crate) size: Size,
    pub(crate) ink: Raster,
    /// The marks as the tool names them, in millimetres on the page.
    pub(crate) marks: Vec<Mark>,
}

/// The front of a chart.
pub(crate) fn chart(format: &str) -> Chart {
    Chart::upright(paper::find(format).unwrap(), ChartEdition::Millimetres).unwrap()
}

/// Returns the PDF of a chart.
pub(crate) fn chart_pdf(chart: &Chart, faces: ChartFaces) -> Vec<u8> {
    let project = project(chart, faces);
    let plan = job::plan(&project, &PlanOptions::default()).unwrap().value;
    let document = draw::print_document(&project, &plan);
    emit::pdf::write(&document, &project.assets, emit::pdf::Streams::Packed)
}

/// Returns one page of a chart, by way of its PDF and poppler.
pub(crate) fn chart_page(chart: &Chart, face: Face, dpi: u32) -> MadePage {
    let (faces, number) = match face {
        Face::Front => (ChartFaces::Front, 1),
        Face::Back => (ChartFaces::Both, 2),
    };
    MadePage {
        size: chart.page,
        ink: ink_of_pdf(&chart_pdf(chart, faces), number, dpi),
        marks: chart_marks(chart, face),
    }
}

/// Returns the targets of a chart as marks of one page.
pub(crate) fn chart_marks(chart: &Chart, face: Face) -> Vec<Mark> {
    let mark = |t: &sheetwright::calibrate::chart::Target| Mark {
        id: t.id.clone(),
        centre: t.centre,
        diameter_mm: t.diameter_mm,
        class: t.class,
    };
    chart.targets(face).iter().map(mark).collect()
}

/// Returns a page of a PDF as poppler draws it through cairo.
pub(crate) fn ink_of_pdf(pdf: &[u8], page: u32, dpi: u32) -> Raster {
    let folder = folder();
    let file = folder.join("page.pdf");
    fs::write(&file, pdf).unwrap();
    let stem = folder.join("page");
    let (number, dpi_text) = (page.to_string(), dpi.to_string());
    let arguments = [
        "-png",
        "-gray",
        "-singlefile",
        "-f",
        &number,
        "-r",
        &dpi_text,
    ];
    let status = Command::new("pdftocairo")
        .args(arguments)
        .arg(&file)
        .arg(&stem)
        .status();
    assert!(status.unwrap().success(), "pdftocairo; see tests/run");
    let mut reader = image::ImageReader::open(folder.join("page.png")).unwrap();
    reader.no_limits();
    let picture = reader.decode().unwrap().into_luma8();
    fs::remove_dir_all(&folder).unwrap();
    Raster::from_picture(&picture, f64::from(dpi))
}

/// A new folder for one use.
pub(crate) fn folder() -> PathBuf {
    use std::sync::atomic::{AtomicUsize, Ordering};
    static NEXT: AtomicUsize = AtomicUsize::new(0);
    let next = NEXT.fetch_add(1, Ordering::Relaxed);
    let name = format!("register-{}-{next}", std::process::id());
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("target/tmp")
        .join(name);
    fs::create_dir_all(&folder).unwrap();
    folder
}

/// Returns marks of the tool as targets of the simulator.
pub(crate) fn targets(marks: &[Mark]) -> Vec<Target> {
    marks
        .iter()
        .map(|mark| Target {
            centre: mark.centre,
            diameter_mm: mark.diameter_mm,
            filled: super::targets::filled(mark.class),
        })
        .collect()
}

/// Returns a page of the simulator's own drawing with its marks as the tool names them.
pub(crate) fn drawn(page: &target::Page, dpi: f64) -> MadePage {
    let marks = page.targets.iter().enumerate().map(|(i, t)| Mark {
        id: format!("m{}", i + 1),
        centre: Point::new(t.centre.x, t.centre.y),
        diameter_mm: t.diameter_mm,
        class: super::targets::class(t.filled),
    });
    MadePage {
        size: page.size,
        marks: marks.collect(),
        ink: page.raster(dpi),
    }
}

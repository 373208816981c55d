//! The whole pipeline: a project file in, a proved set of files out.
//!
//! Nothing here touches a disk: files are bytes by name. A project is begun in `new_project` (its text in
//! `starter`), sized down to a sheet in `fit`, and made larger or smaller in `scale`; `leftover` tries pieces on one leftover.

mod fit;
mod leftover;
mod new_project;
mod restate;
mod scale;
mod starter;

use std::collections::BTreeMap;
use std::num::NonZeroUsize;

use serde::Serialize;

use crate::booking::{self, Booking};
use crate::diagnostic::{Diagnostic, Warned, sort_by_place};
use crate::digest::sha256_hex;
use crate::draw::{self, page::Document};
use crate::emit::{self, pdf::Streams, png::InkCover};
use crate::fold;
use crate::handout::{self, Handout};
use crate::length::Size;
use crate::load::{self, Assets, NamedText};
use crate::math::VERIFY_MM;
use crate::plan::file::{BudgetEntry, HandoutEntry, PlanFile, UsageEntry};
use crate::plan::{self, JobPlan, PlanOptions};
use crate::project::{Piece, Project};
use crate::register::{self, MarkReading, PrintedSheet, Registered};
use crate::verify::{self, Verdict};

pub use fit::{Fitted, fit};
pub use leftover::{
    FromLeftover, Layout, Leftover, OnePiece, WholeCopies, leftover, leftover_pictures,
};
pub use new_project::{NEW_PROJECT, NewProject, Started, new_project, tried_project};
pub use restate::{KEPT_WORDS, RestatedProject, restate};
pub use scale::{ScaledProject, scale};

/// Resolution of the sheet pictures: a letter sheet comes out 935 x 1210 pixels, whole on a screen and legible.
const PICTURE_DPI: f64 = 110.0;

/// Files by name.
pub type FileSet = BTreeMap<String, Vec<u8>>;

/// Reads a project and finds every mistake in it, what the printer or cutter cannot take and what does not fold up included.
///
/// # Errors
/// All mistakes and warnings, sorted by place.
pub fn check(
    file_name: &str,
    text: &str,
    assets: &dyn Assets,
    options: &load::Options,
) -> Result<Warned<Project>, Vec<Diagnostic>> {
    let mut read = load::project(file_name, text, assets, options)?;
    read.warnings.extend(plan::feed(&read.value));
    read.warnings.extend(plan::misplaced_pins(&read.value));
    read.warnings.extend(fold::prove(&read.value));
    sort_by_place(&mut read.warnings);
    if read.warnings.iter().any(Diagnostic::is_error) {
        Err(read.warnings)
    } else {
        Ok(read)
    }
}

/// Returns a warning for each piece that is too large for the paper it is made of; [`plan()`] has an error for it.
#[must_use]
pub fn too_large(project: &Project) -> Vec<Diagnostic> {
    plan::too_large(project)
}

/// Lays a project out. The warnings hold an error for each piece that found no place.
///
/// # Errors
/// Broken promises of the layout: bugs of this program, caught before anybody cuts paper.
pub fn plan(
    project: &Project,
    options: &PlanOptions<'_>,
) -> Result<Warned<JobPlan>, Vec<Diagnostic>> {
    let mut planned = plan::plan(project, options);
    let broken = plan::check(project, &planned.value);
    if !broken.is_empty() {
        return Err(broken);
    }
    planned
        .warnings
        .extend(plan::unplaced_errors(project, &planned.value));
    planned.warnings.extend(handout::warnings(project));
    sort_by_place(&mut planned.warnings);
    Ok(planned)
}

/// Returns what `plan.json` holds: the plan, and what lies on the maker's table for it where there are pages about that.
#[must_use]
pub fn plan_file(project: &Project, plan: &JobPlan) -> PlanFile {
    plan_file_with(project, plan, &handout::handout(project, plan))
}

fn plan_file_with(project: &Project, plan: &JobPlan, handout: &Handout) -> PlanFile {
    let file = PlanFile::new(project, plan);
    let has_pages = has_table_pages(project);
    PlanFile {
        handout: has_pages.then(|| table_entry(project, plan, handout)),
        templates: file.templates.clone().filter(|_| has_pages),
        ..file
    }
}

/// The entry of the table's pages in the plan file, with the template pages that show each piece.
fn table_entry(project: &Project, plan: &JobPlan, handout: &Handout) -> HandoutEntry {
    let mut entry = handout::entry(project, handout);
    let pages = draw::template_pages(project, plan, handout);
    for (work, own) in handout.pieces.iter().zip(&mut entry.pieces) {
        own.template_pages.clone_from(&pages[work.piece]);
    }
    entry
}

/// What [`make`] made.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// All files, `report.json` included.
    pub files: FileSet,
    /// What reading them back found.
    pub verdict: Verdict,
    /// How much ink each page of `print.pdf` takes, in order.
    pub ink: Vec<InkCover>,
}

/// Draws, writes, reads back and measures. The files are the same with any number of threads.
///
/// # Errors
/// If the plan just written cannot be read: a bug of this program.
pub fn make(project: &Project, plan: &JobPlan, threads: NonZeroUsize) -> Result<Made, Diagnostic> {
    let mut files = FileSet::new();
    let handout = handout::handout(project, plan);
    let plan_file = plan_file_with(project, plan, &handout);
    files.insert("plan.json".into(), plan_file.to_json().into_bytes());
    let print = draw::print_document(project, plan);
    if !print.pages.is_empty() {
        files.insert(
            "print.pdf".into(),
            emit::pdf::write(&print, &project.assets, Streams::Packed),
        );
    }
    let proof = draw::proof_document(project, plan);
    files.insert(
        "proof.pdf".into(),
        emit::pdf::write(&proof, &project.assets, Streams::Packed),
    );
    for (name, document) in table_pages(project, plan, &handout) {
        let bytes = emit::pdf::write(&document, &project.assets, Streams::Packed);
        files.insert(name.into(), bytes);
    }
    if let Some(list) = draw::cut_list_file(project, plan) {
        files.insert("cut-list.txt".into(), list.into_bytes());
    }
    for (name, sheet) in draw::cut_sheets(project, plan) {
        files.insert(name, emit::svg::write(&sheet).into_bytes());
    }
    if let Some(leftovers) = plan::leftovers_file(project, plan) {
        files.insert("leftovers.toml".into(), leftovers.into_bytes());
    }
    files.extend(pictures(project, plan, threads));
    files.extend(folded_pictures(project));
    let verdict = verify::folder(&files)?;
    let ink = shared_out(&print.pages, threads, |page| {
        emit::png::ink_cover(page, &project.assets)
    });
    let report = report(&files, &plan_file, &verdict, &ink);
    files.insert("report.json".into(), report);
    Ok(Made {
        files,
        verdict,
        ink,
    })
}

/// The pages for the maker's table; none for a chart and the like, of which nothing is cut.
fn table_pages(
    project: &Project,
    plan: &JobPlan,
    handout: &Handout,
) -> Vec<(&'static str, Document)> {
    if !has_table_pages(project) {
        return Vec::new();
    }
    let lesson = draw::instructions(project, plan, handout);
    let kit = draw::kit(project, plan, handout);
    let mut pages = vec![("instructions.pdf", lesson)];
    pages.extend(kit.map(|kit| ("kit.pdf", kit)));
    let templates = draw::templates(project, plan, handout);
    if !templates.pages.is_empty() {
        pages.push(("templates.pdf", templates));
    }
    pages
}

/// Whether there is a piece that is more than a sheet as it was bought.
fn has_table_pages(project: &Project) -> bool {
    let mut pieces = project.pieces.iter();
    pieces.any(|piece| !is_whole_sheet(project, piece))
}

/// Whether a piece is a sheet as it was bought, or all that a printer reaches of one.
fn is_whole_sheet(project: &Project, piece: &Piece) -> bool {
    let stock = &project.stocks[piece.stock];
    let bounds = piece.outline.bounds();
    let is_same = |mm: f64, size: Size| (mm - size.to_mm()).abs() < VERIFY_MM;
    let is_as_bought =
        is_same(bounds.width(), stock.width) && is_same(bounds.height(), stock.height);
    piece.operations.is_empty() && (piece.fills_sheet || is_as_bought)
}

/// Measures files written earlier again.
///
/// # Errors
/// If there is no readable `plan.json` among them.
pub fn verify(files: &FileSet) -> Result<Verdict, Diagnostic> {
    verify::folder(files)
}

/// Takes the paper of a made set off a list of paper on hand.
///
/// # Errors
/// If the set is not as it was made and proved, and whatever [`booking::book`] refuses.
pub fn book(files: &FileSet, list: &NamedText) -> Result<Booking, Vec<Diagnostic>> {
    let (plan, sha256) = verify::made_plan(files).map_err(|d| vec![d])?;
    booking::book(&plan, &sha256, list)
}

/// Finds one printed sheet of a made set by its marks, and moves its cut file to fit it.
///
/// # Errors
/// If the set is not as it was made, or the marks cannot be that sheet's; see [`register::locate`].
pub fn register(
    files: &FileSet,
    sheet: Option<usize>,
    readings: &[MarkReading],
    options: &register::Options,
) -> Result<Warned<Registered>, Vec<Diagnostic>> {
    let sheet = PrintedSheet::read(files, sheet).map_err(|d| vec![d])?;
    register::register(&sheet, readings, options)
}

/// Paints the sheet pictures.
fn pictures(project: &Project, plan: &JobPlan, threads: NonZeroUsize) -> Vec<(String, Vec<u8>)> {
    let pages = draw::pictures(project, plan);
    shared_out(&pages, threads, |(name, page)| {
        let picture = emit::png::write(page, &project.assets, PICTURE_DPI);
        (name.clone(), picture)
    })
}

/// Does something for each page, each thread its share of them; answers stand in the order of the pages.
fn shared_out<P: Sync, T: Send>(
    pages: &[P],
    threads: NonZeroUsize,
    work: impl Fn(&P) -> T + Sync,
) -> Vec<T> {
    let share = pages.len().div_ceil(threads.get()).max(1);
    std::thread::scope(|scope| {
        let workers: Vec<_> = pages
            .chunks(share)
            .map(|pages| scope.spawn(|| pages.iter().map(&work).collect::<Vec<_>>()))
            .collect();
        workers
            .into_iter()
            .flat_map(|w| w.join().expect("painting a finished page does not panic"))
            .collect()
    })
}

/// Draws every object that can be folded, as SVG and PNG.
#[must_use]
pub fn folded_pictures(project: &Project) -> FileSet {
    let mut files = FileSet::new();
    for assembly in &project.assemblies {
        let Ok(folded) = fold::fold(project, assembly) else {
            continue;
        };
        let page = draw::folded(project, assembly, &folded);
        let name = plan::picture_name(&assembly.id);
        let svg = emit::svg_picture::write(&page, &project.assets);
        let png = emit::png::write(&page, &project.assets, PICTURE_DPI);
        files.insert(format!("{name}.svg"), svg.into_bytes());
        files.insert(format!("{name}.png"), png);
    }
    files
}

/// Returns a book of all patterns in all palettes: `patterns.pdf`, and each page as `patterns-1.png` and so on.
#[must_use]
pub fn swatch_book(paper: draw::BookPaper) -> FileSet {
    let (book, assets) = draw::swatch_book(paper);
    let mut files = FileSet::new();
    for (i, page) in book.pages.iter().enumerate() {
        let png = emit::png::write(page, &assets, PICTURE_DPI);
        files.insert(format!("patterns-{}.png", i + 1), png);
    }
    let pdf = emit::pdf::write(&book, &assets, Streams::Packed);
    files.insert("patterns.pdf".into(), pdf);
    files
}

/// What `report.json` says.
#[derive(Debug, Serialize)]
struct Report<'a> {
    format: &'static str,
    made_by: &'static str,
    is_proved: bool,
    largest_deviation_mm: f64,
    files: Vec<FileReport<'a>>,
    usage: &'a UsageEntry,
    /// How much ink each page of `print.pdf` takes, in order.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    ink: &'a [InkCover],
    #[serde(skip_serializing_if = "Option::is_none")]
    error_budget: Option<&'a BudgetEntry>,
    verdict: &'a Verdict,
}

/// One file in `report.json`.
#[derive(Debug, Serialize)]
struct FileReport<'a> {
    name: &'a str,
    bytes: usize,
    sha256: String,
}

fn report(files: &FileSet, plan: &PlanFile, verdict: &Verdict, ink: &[InkCover]) -> Vec<u8> {
    let report = Report {
        format: "sheetwright-report/1",
        made_by: concat!("sheetwright ", env!("CARGO_PKG_VERSION")),
        is_proved: verdict.is_proved(),
        largest_deviation_mm: verdict.largest_deviation_mm(),
        files: files
            .iter()
            .map(|(name, bytes)| FileReport {
                name,
                bytes: bytes.len(),
                sha256: sha256_hex(bytes),
            })
            .collect(),
        usage: &plan.usage,
        ink,
        error_budget: plan.error_budget.as_ref(),
        verdict,
    };
    let mut text =
        serde_json::to_vec_pretty(&report).expect("a report holds nothing that JSON cannot");
    text.push(b'\n');
    text
}

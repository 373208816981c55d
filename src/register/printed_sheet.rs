//! What a made folder says of one sheet that is to be cut.
//!
//! Two frames matter here. The *sheet as it lies*: millimetres from the top left corner of the paper that lies on the machine with
//! the printed face up, x right, y down. And the cut file's own, which is the same but for what it makes up of the machine's errors.

use std::collections::BTreeMap;

use kurbo::{Affine, Point, Size};

use crate::diagnostic::{Diagnostic, counted};
use crate::geometry::mirror_about_x;
use crate::plan::file::{PlanFile, SheetEntry};
use crate::verify::{self, CutFound};

/// A sheet that was planned, with its cut file as it was made.
#[derive(Debug, Clone, PartialEq)]
pub struct PrintedSheet {
    /// Name of the job.
    pub job: String,
    /// SHA-256 of the plan.
    pub plan_sha256: String,
    /// Number of the distinct sheet, from 1.
    pub number: usize,
    /// Name of its cut file.
    pub cut_file: String,
    /// `front` or `back`: the face that lies up.
    pub face_up: String,
    /// Size of the paper.
    pub paper: Size,
    /// Its marks.
    pub marks: Vec<PlannedMark>,
    /// Whether fine scales are printed beside its marks.
    pub has_mark_scales: bool,
    /// The sheet as it lies to the cut file's frame: the identity where nothing of the machine is made up for.
    pub file_from_lying: Affine,
    /// What the cut file holds.
    pub cut: CutFound,
    /// Whether the printer's errors were measured and made up for on the printed page.
    pub is_profiled: bool,
    /// Error of one coordinate of the machine from one cut to the next, one standard deviation; `None` where it was not measured.
    pub machine_mm: Option<f64>,
    /// Least distance that print reaches beyond the outlines of its pieces, in millimetres; `None` where none does.
    pub bleed_mm: Option<f64>,
}

/// A mark as planned.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedMark {
    /// `m1` to `m6`.
    pub id: String,
    /// Its centre on the sheet as it lies.
    pub centre: Point,
    /// Outer diameter of its ring in millimetres.
    pub diameter_mm: f64,
    /// `empty`, `one`, `two-adjacent`, `two-opposite`, `three` or `full`, as printed.
    pub quadrants: String,
}

impl PrintedSheet {
    /// Reads a sheet of a folder that `make` wrote. Without a number, the folder's only sheet that has marks and is cut.
    ///
    /// # Errors
    ///
    /// There is no such sheet, it has no marks or is not cut by machine, or the plan or the cut file has changed since it was made.
    pub fn read(
        files: &BTreeMap<String, Vec<u8>>,
        number: Option<usize>,
    ) -> Result<Self, Diagnostic> {
        let (plan, plan_sha256) = verify::made_plan(files)?;
        let number = number.map_or_else(|| only_sheet(&plan), Ok)?;
        let entry = number
            .checked_sub(1)
            .and_then(|at| plan.sheets.get(at))
            .ok_or_else(|| no_sheet(&plan, number))?;
        let Some(cut_file) = entry.cut_file.clone() else {
            let message = format!("sheet {number} is not cut by machine");
            return Err(Diagnostic::error("register.no-cut", message).hint(registrable(&plan)));
        };
        if entry.marks.is_empty() {
            let message = format!("sheet {number} has no register marks");
            return Err(Diagnostic::error("register.no-marks", message).hint(registrable(&plan)));
        }
        let cut = verify::made_cut_file(files, &cut_file)?;
        let paper = Size::new(entry.paper.width_mm, entry.paper.height_mm);
        let lying_from_sheet = lying_from_sheet(entry, paper);
        let stated = entry.cut_from_sheet.map_or(lying_from_sheet, Affine::new);
        Ok(Self {
            job: plan.job.clone(),
            plan_sha256,
            number,
            cut_file,
            face_up: entry.cut_face_up.clone().unwrap_or_default(),
            paper,
            marks: marks(entry, lying_from_sheet),
            has_mark_scales: entry.ticks.iter().any(|tick| tick.kind == "scale"),
            // The turn of the sheet is its own inverse.
            file_from_lying: stated * lying_from_sheet,
            cut,
            is_profiled: is_profiled(entry),
            machine_mm: plan.cutter.as_ref().map(|cutter| cutter.repeat_mm),
            bleed_mm: super::forecast::bleed_mm(entry),
        })
    }

    /// Returns the mark of an id.
    #[must_use]
    pub fn mark(&self, id: &str) -> Option<&PlannedMark> {
        self.marks.iter().find(|mark| mark.id == id)
    }

    /// Returns the ids of its marks as people list them: `m1, m2, m3`.
    #[must_use]
    pub fn mark_ids(&self) -> String {
        let ids: Vec<_> = self.marks.iter().map(|mark| mark.id.as_str()).collect();
        ids.join(", ")
    }
}

fn marks(entry: &SheetEntry, lying_from_sheet: Affine) -> Vec<PlannedMark> {
    let marks = entry.marks.iter().map(|mark| PlannedMark {
        id: mark.id.clone(),
        centre: lying_from_sheet * Point::new(mark.x_mm, mark.y_mm),
        diameter_mm: mark.diameter_mm,
        quadrants: mark.quadrants.clone(),
    });
    marks.collect()
}

/// How the sheet, seen from the front, lies on the machine: turned over if its back is up, the way the cut file's map says.
fn lying_from_sheet(entry: &SheetEntry, paper: Size) -> Affine {
    let [a, _, _, d, ..] = entry.cut_from_sheet.unwrap_or_default();
    if a < 0.0 {
        mirror_about_x(paper.width / 2.0)
    } else if d < 0.0 {
        Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, paper.height])
    } else {
        Affine::IDENTITY
    }
}

/// Whether the page of the face that lies up makes up for the printer.
fn is_profiled(entry: &SheetEntry) -> bool {
    let face = match entry.cut_face_up.as_deref() {
        Some("back") => entry.back.as_ref(),
        Some(_) | None => entry.front.as_ref(),
    };
    face.is_some_and(|face| face.sheet_from_page.is_some())
}

fn is_registrable(entry: &SheetEntry) -> bool {
    entry.cut_file.is_some() && !entry.marks.is_empty()
}

fn only_sheet(plan: &PlanFile) -> Result<usize, Diagnostic> {
    let numbers: Vec<usize> = (1..)
        .zip(&plan.sheets)
        .filter(|(_, entry)| is_registrable(entry))
        .map(|(number, _)| number)
        .collect();
    match numbers[..] {
        [only] => Ok(only),
        [] => Err(Diagnostic::error(
            "register.no-marks",
            "no sheet of the folder has register marks and is cut by machine",
        )
        .hint("print something on what is cut by machine, or cut without registering")),
        [..] => {
            let message = format!(
                "{} can be registered, and none is named",
                counted(u32::try_from(numbers.len()).unwrap_or(u32::MAX), "sheet")
            );
            Err(Diagnostic::error("register.which-sheet", message).hint(registrable(plan)))
        }
    }
}

fn no_sheet(plan: &PlanFile, number: usize) -> Diagnostic {
    let message = format!(
        "there is no sheet {number}: the folder has {}",
        counted(
            u32::try_from(plan.sheets.len()).unwrap_or(u32::MAX),
            "sheet"
        )
    );
    Diagnostic::error("register.no-sheet", message).hint(registrable(plan))
}

/// What to type for a sheet that can be registered.
fn registrable(plan: &PlanFile) -> String {
    let all = (1..).zip(&plan.sheets);
    let numbers: Vec<String> = all
        .filter(|(_, entry)| is_registrable(entry))
        .map(|(number, _): (usize, _)| format!("--sheet {number}"))
        .collect();
    if numbers.is_empty() {
        "no sheet of the folder has register marks and is cut by machine".to_owned()
    } else {
        format!("type {}", numbers.join(" or "))
    }
}

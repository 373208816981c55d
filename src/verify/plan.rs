//! Reads `plan.json` and checks that the plan agrees with itself.

use std::collections::BTreeMap;

use kurbo::{Affine, BezPath, Rect};

use super::compare::PlannedPath;
use super::printed;
use crate::diagnostic::Diagnostic;
use crate::plan::file::{ArtworkEntry, FORMAT, PlanFile, PrintEntry, SheetEntry};

/// The plan's file in the folder.
pub(super) const NAME: &str = "plan.json";

/// A sheet of the plan with its paths read, all in the sheet frame.
#[derive(Debug)]
pub(super) struct PlannedSheet<'p> {
    /// Its number, from 1.
    pub(super) number: usize,
    /// As it stands in the file.
    pub(super) entry: &'p SheetEntry,
    /// The edge of an offcut that is no rectangle.
    pub(super) edge: Option<PlannedPath>,
    /// Outlines of the placements, in their order.
    pub(super) outlines: Vec<BezPath>,
    /// Operations of all placements, in the order of the plan.
    pub(super) operations: Vec<PlannedPath>,
    /// What is printed on how many of the sheets.
    pub(super) runs: Vec<PlannedRun<'p>>,
    /// Whether the cut file makes up for what was measured of the cutter.
    is_made_up_for: bool,
    by_id: BTreeMap<&'p str, usize>,
}

/// What is printed on some of the sheets.
#[derive(Debug)]
pub(super) struct PlannedRun<'p> {
    /// As it stands in the file.
    pub(super) entry: &'p PrintEntry,
    /// Artwork of both faces, piece by piece, painted first to last.
    pub(super) contents: Vec<Vec<PlannedArtwork<'p>>>,
}

/// A layer of artwork of one piece.
#[derive(Debug)]
pub(super) struct PlannedArtwork<'p> {
    /// As it stands in the file.
    pub(super) entry: &'p ArtworkEntry,
    /// What it is seen through.
    pub(super) clip: PlannedPath,
}

impl<'p> PlannedSheet<'p> {
    /// The operation of an id.
    pub(super) fn operation(&self, id: &str) -> Option<&PlannedPath> {
        self.by_id.get(id).map(|i| &self.operations[*i])
    }

    /// The paper.
    pub(super) fn paper(&self) -> Rect {
        Rect::new(
            0.0,
            0.0,
            self.entry.paper.width_mm,
            self.entry.paper.height_mm,
        )
    }

    /// How the sheet lies in the frame of the cut file: what is stated, or, where that makes up for what was measured of the cutter,
    /// as the face that lies up is seen.
    pub(super) fn file_from_sheet(&self) -> Affine {
        let Some(stated) = self.entry.cut_from_sheet else {
            return Affine::IDENTITY;
        };
        match &self.entry.cut_face_up {
            Some(face) if self.is_made_up_for => printed::turned(self, face, stated),
            Some(_) | None => Affine::new(stated),
        }
    }

    /// Names of its pictures: of the front, and of the back if that is printed.
    pub(super) fn pictures(&self) -> Vec<String> {
        let front = &self.entry.picture;
        let mut names = vec![front.clone()];
        if self.entry.back.is_some() {
            names.push(format!("{}-back.png", front.trim_end_matches(".png")));
        }
        names
    }

    fn read(plan: &PlanFile, number: usize, entry: &'p SheetEntry) -> Result<Self, Diagnostic> {
        let mut sheet = Self {
            number,
            entry,
            is_made_up_for: plan.cutter.is_some(),
            edge: super::edge::read(entry)?,
            outlines: Vec::new(),
            operations: Vec::new(),
            runs: entry
                .prints
                .iter()
                .map(PlannedRun::read)
                .collect::<Result<_, _>>()?,
            by_id: BTreeMap::new(),
        };
        for placement in &entry.placements {
            sheet.outlines.push(path(&placement.id, &placement.path)?);
            for operation in &placement.operations {
                sheet.by_id.insert(&operation.id, sheet.operations.len());
                sheet.operations.push(PlannedPath {
                    id: operation.id.clone(),
                    name: operation.id.clone(),
                    kind: operation.kind.clone(),
                    path: path(&operation.id, &operation.path)?,
                });
            }
        }
        Ok(sheet)
    }
}

impl<'p> PlannedRun<'p> {
    fn read(entry: &'p PrintEntry) -> Result<Self, Diagnostic> {
        let contents = entry.contents.iter().map(|content| {
            let layers = (1_usize..).zip(&content.artwork);
            layers
                .map(|(number, layer)| PlannedArtwork::read(&content.id, number, layer))
                .collect()
        });
        Ok(Self {
            entry,
            contents: contents.collect::<Result<_, _>>()?,
        })
    }
}

impl<'p> PlannedArtwork<'p> {
    fn read(id: &str, number: usize, entry: &'p ArtworkEntry) -> Result<Self, Diagnostic> {
        let clip = PlannedPath {
            id: id.to_owned(),
            name: format!("artwork {number} of {id}"),
            kind: "artwork".to_owned(),
            path: path(id, &entry.clip)?,
        };
        Ok(Self { entry, clip })
    }
}

pub(super) fn path(id: &str, data: &str) -> Result<BezPath, Diagnostic> {
    super::trace::read(data).map_err(|error| {
        let message = format!("a path of {id} in {NAME} cannot be read: {error}");
        Diagnostic::error("verify.plan", message)
    })
}

/// Reads the plan.
///
/// # Errors
///
/// The file is missing, is no plan, or one of a later format.
pub(super) fn read_plan(files: &BTreeMap<String, Vec<u8>>) -> Result<PlanFile, Diagnostic> {
    let fail = |message: String| {
        Diagnostic::error("verify.plan", message)
            .hint("give a folder that `make` wrote, with its plan.json")
    };
    let bytes = files
        .get(NAME)
        .ok_or_else(|| fail(format!("the folder holds no {NAME}")))?;
    let plan: PlanFile = serde_json::from_slice(bytes)
        .map_err(|error| fail(format!("{NAME} cannot be read: {error}")))?;
    if plan.format == FORMAT {
        Ok(plan)
    } else {
        Err(fail(format!(
            "{NAME} is of format \"{}\", this version reads \"{FORMAT}\"",
            plan.format
        )))
    }
}

/// Reads the paths of all sheets.
///
/// # Errors
///
/// A path of the plan is no path.
pub(super) fn planned_sheets(plan: &PlanFile) -> Result<Vec<PlannedSheet<'_>>, Diagnostic> {
    (1..)
        .zip(&plan.sheets)
        .map(|(number, entry)| PlannedSheet::read(plan, number, entry))
        .collect()
}

//! What was found wrong, file by file.

use serde::Serialize;

use crate::math::VERIFY_MM;

/// Everything that [`folder`](super::folder) measured.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Verdict {
    /// One for each file, `plan.json` first.
    pub files: Vec<FileVerdict>,
}

impl Verdict {
    /// Is `true` if nothing was found wrong in any file.
    #[must_use]
    pub fn is_proved(&self) -> bool {
        self.findings().next().is_none()
    }

    /// All findings, file by file.
    pub fn findings(&self) -> impl Iterator<Item = &Finding> {
        self.files.iter().flat_map(|file| &file.findings)
    }

    /// The largest deviation over all files in millimetres.
    #[must_use]
    pub fn largest_deviation_mm(&self) -> f64 {
        self.files
            .iter()
            .fold(0.0, |largest, file| largest.max(file.largest_deviation_mm))
    }
}

/// What was measured in one file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FileVerdict {
    /// The file's name in the folder.
    pub name: String,
    /// The largest distance in millimetres between something planned and the same thing found, fine or not.
    pub largest_deviation_mm: f64,
    /// How many things were compared with the plan.
    pub compared: usize,
    /// What is wrong; empty if the file is as planned.
    pub findings: Vec<Finding>,
}

/// One thing that is not as planned.
///
/// | code | what is wrong |
/// |---|---|
/// | `verify.moved`, `verify.scaled`, `verify.turned`, `verify.mirrored` | something lies elsewhere, is larger or smaller, is turned or mirrored |
/// | `verify.shape` | a path has another shape |
/// | `verify.swapped` | something lies where something else of its kind is planned |
/// | `verify.missing`, `verify.extra` | something planned is not there, something is there that is not planned |
/// | `verify.order`, `verify.layer` | a cut file cuts in another order, something stands on another layer |
/// | `verify.page-box`, `verify.pages` | a page, cut file or picture has another size, a PDF another number of pages |
/// | `verify.artwork` | artwork shows another picture or colour, or does not cover its piece |
/// | `verify.offcut` | the list of offcuts is not the plan's |
/// | `verify.words` | a page for the table says something else |
/// | `verify.content` | a file holds what could change the paper unseen |
/// | `verify.unreadable` | a file cannot be read |
/// | `verify.digest` | a file has changed since `report.json` was written |
/// | `verify.plan` | the plan contradicts itself |
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// Stable dotted lower-case code such as `verify.moved`.
    pub code: &'static str,
    /// The file's name in the folder.
    pub file: String,
    /// Page of a PDF, from 1.
    pub page: Option<u32>,
    /// The plan's id of the piece, operation, mark or tick: `tin/lid#1.crease-2`.
    pub id: Option<String>,
    /// What is wrong, with both numbers: lower case, no full stop.
    pub message: String,
    /// What the plan says, with units.
    pub planned: Option<String>,
    /// What the file says, with units.
    pub found: Option<String>,
    /// How far it is off in millimetres, where that is a distance.
    pub deviation_mm: Option<f64>,
}

impl Finding {
    /// Returns a finding without numbers; the file and page are filled in by [`Tally::add`].
    pub(super) fn new(code: &'static str, message: impl Into<String>) -> Self {
        Self {
            code,
            file: String::new(),
            page: None,
            id: None,
            message: message.into(),
            planned: None,
            found: None,
            deviation_mm: None,
        }
    }

    /// Returns a finding whose message states both values.
    pub(super) fn numbers(
        code: &'static str,
        what: &str,
        planned: impl Into<String>,
        found: impl Into<String>,
    ) -> Self {
        let (planned, found) = (planned.into(), found.into());
        let mut finding = Self::new(code, format!("{what}: planned {planned}, found {found}"));
        finding.planned = Some(planned);
        finding.found = Some(found);
        finding
    }

    /// Returns the same finding about something the plan has an id for.
    pub(super) fn about(mut self, id: &str) -> Self {
        self.id = Some(id.to_owned());
        self
    }

    /// Returns the same finding with a distance.
    pub(super) fn off_by(mut self, deviation_mm: f64) -> Self {
        self.deviation_mm = Some(deviation_mm);
        self
    }
}

/// Counts and findings of one file while it is being checked.
#[derive(Debug)]
pub(super) struct Tally {
    verdict: FileVerdict,
    page: Option<u32>,
}

impl Tally {
    pub(super) fn new(name: &str) -> Self {
        Self {
            verdict: FileVerdict {
                name: name.to_owned(),
                largest_deviation_mm: 0.0,
                compared: 0,
                findings: Vec::new(),
            },
            page: None,
        }
    }

    /// Says which page the findings to come are on.
    pub(super) fn on_page(&mut self, page: u32) {
        self.page = Some(page);
    }

    /// Counts something compared that has no measure, such as a word or a count.
    pub(super) fn count(&mut self) {
        self.verdict.compared += 1;
    }

    /// Counts a comparison and returns whether the deviation is one that passes.
    pub(super) fn measure(&mut self, deviation_mm: f64) -> bool {
        self.verdict.compared += 1;
        // A deviation that is no number would vanish in `max`.
        let deviation_mm = if deviation_mm.is_nan() {
            f64::MAX
        } else {
            deviation_mm
        };
        let largest = self.verdict.largest_deviation_mm.max(deviation_mm);
        self.verdict.largest_deviation_mm = largest;
        deviation_mm <= VERIFY_MM
    }

    /// Notes a finding.
    pub(super) fn add(&mut self, mut finding: Finding) {
        finding.file.clone_from(&self.verdict.name);
        finding.page = self.page;
        self.verdict.findings.push(finding);
    }

    /// Ends the check.
    pub(super) fn finish(self) -> FileVerdict {
        self.verdict
    }
}

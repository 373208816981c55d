//! Whether a job's bleed bears what a measurement leaves open.

use super::eye::within_mm;
use crate::length::with_covering_inches;
use crate::project::{Calibration, Project};

/// What a job needs, and what a measurement gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Need {
    /// Least bleed of the job's artwork in millimetres; `None` where nothing has a bleed.
    pub least_bleed_mm: Option<f64>,
    /// How far print may lie from where it should at the worst corner of the measured page, 19 times in 20, in millimetres.
    pub misfit_mm: f64,
}

impl Need {
    /// Returns what a project needs of a printer that was measured so.
    #[must_use]
    pub fn of(project: &Project, calibration: &Calibration) -> Self {
        let artwork = project.pieces.iter().flat_map(|piece| &piece.artwork);
        let bleeds = artwork.map(|a| a.bleed.to_mm()).filter(|mm| *mm > 0.0);
        let (_, misfit_mm) = within_mm(&calibration.front, calibration.page);
        Self {
            least_bleed_mm: bleeds.min_by(f64::total_cmp),
            misfit_mm,
        }
    }

    /// Whether the bleed covers the misfit of the print alone; `None` where there is no bleed to cover it.
    #[must_use]
    pub fn is_covered(&self) -> Option<bool> {
        self.least_bleed_mm
            .map(|bleed_mm| bleed_mm >= self.misfit_mm)
    }

    /// Returns that in words.
    #[must_use]
    pub fn words(&self, job: &str) -> String {
        let misfit = with_covering_inches(self.misfit_mm);
        match (self.least_bleed_mm, self.is_covered()) {
            (Some(bleed_mm), Some(true)) => format!(
                "the bleed of \"{job}\" is {}, and print may be off by {misfit} at the corners: a ruler is enough, cutting comes on top",
                with_covering_inches(bleed_mm)
            ),
            (Some(bleed_mm), Some(false) | None) => format!(
                "the bleed of \"{job}\" is {}, and print may be off by {misfit} at the corners: it needs more than a ruler; read the fine \
                 scales with `calibrate read`, or make the bleed larger",
                with_covering_inches(bleed_mm)
            ),
            (None, Some(_) | None) => format!(
                "nothing in \"{job}\" has a bleed, so that a white line shows wherever print is off, by up to {misfit} at the corners"
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bleed_covers_what_is_less() {
        let need = |least_bleed_mm| Need {
            least_bleed_mm,
            misfit_mm: 1.3,
        };
        assert_eq!(need(Some(1.5)).is_covered(), Some(true));
        assert_eq!(need(Some(1.0)).is_covered(), Some(false));
        assert_eq!(need(None).is_covered(), None);
        assert!(need(Some(1.5)).words("Beans").contains("a ruler is enough"));
        assert!(need(Some(1.0)).words("Beans").contains("more than a ruler"));
        assert!(
            need(None)
                .words("Beans")
                .contains("nothing in \"Beans\" has a bleed")
        );
    }
}

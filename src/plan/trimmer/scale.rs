//! The scale that a fence is set by.

use crate::length::Length;
use crate::project::{CutBy, Project, TrimmerProfile};

/// Returns the setting nearest to a distance; `None` where the scale is not known.
pub(super) fn nearest(trimmer: &TrimmerProfile, distance: Length) -> Option<Length> {
    let division_nm = trimmer.division?.length().nm();
    let steps = (2 * distance.nm() + division_nm).div_euclid(2 * division_nm);
    Some(Length::from_nm(steps * division_nm))
}

/// Returns a distance rounded up to the next setting in a job that is cut by a trimmer with a known scale; else as it is.
///
/// Boxes of such sizes, laid edge to edge, put every fence on a division.
pub(in crate::plan) fn on_division(project: &Project, distance: Length) -> Length {
    match (project.job.cut_by, project.trimmer.division) {
        (CutBy::Trimmer, Some(division)) => {
            let division_nm = division.length().nm();
            let steps = distance.nm().div_euclid(division_nm)
                + i64::from(distance.nm().rem_euclid(division_nm) > 0);
            Length::from_nm(steps * division_nm)
        }
        (CutBy::Trimmer, None) | (CutBy::Machine, _) => distance,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::Size;

    #[test]
    fn the_nearest_sixteenth_is_found_on_either_side() {
        let trimmer = TrimmerProfile {
            division: Size::new(Length::from_inch_fraction(1, 16)),
            ..TrimmerProfile::default()
        };
        // 57 mm are 35.906 sixteenths: 36, 2 1/4 in; 56 mm are 35.276: 35, 2 3/16 in.
        let inches = |n, d| Some(Length::from_inch_fraction(n, d));
        assert_eq!(nearest(&trimmer, Length::from_mm(57)), inches(9, 4));
        assert_eq!(nearest(&trimmer, Length::from_mm(56)), inches(35, 16));
        assert_eq!(
            nearest(&TrimmerProfile::default(), Length::from_mm(56)),
            None
        );
    }
}

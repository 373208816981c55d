//! Which target is which mark.

use kurbo::Point;

use super::agreement::{Agreement, Kind, count, px_per_mm};
use super::class::drawn_direction_rad;
use super::guess::best;
use super::refusal::Refusal;
use super::target::{Target, Targets};
use crate::fit::Homography;
use crate::length::MM_PER_INCH;
use crate::math::atan2;
use crate::plan::Mark;

/// What a centre may be wrong by, whatever its edges say: edges of toner and paper, measured on simulated prints.
const LEAST_SIGMA_SCAN_MM: f64 = 0.004;
const LEAST_SIGMA_PHOTO_MM: f64 = 0.015;
/// Marks that a map needs: one more than two, and as many as perspective has.
const LEAST_SCAN: usize = 3;
const LEAST_PHOTO: usize = 4;
/// Share of the marks that must be found, of those that lie in the picture.
const LEAST_SHARE: f64 = 0.5;
/// One mark of another class may be dirt for every so many that agree.
const AGREED_BY_CONTRADICTED: usize = 4;
/// The file's density is not believed beyond this: printers are off by 3 % at most.
const DENSITY: f64 = 0.05;

/// A mark with its target.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The mark as it was expected.
    pub mark: Mark,
    /// What was found of it.
    pub target: Target,
    /// Standard deviation of either coordinate of its centre, in millimetres on the page.
    pub sigma_mm: f64,
}

/// A mark without a target.
#[derive(Debug, Clone, PartialEq)]
pub struct Missing {
    /// Its id.
    pub id: String,
    /// Where it should be, in pixels.
    pub place: Point,
    /// Would it lie outside the picture, at least in part?
    pub is_outside: bool,
}

/// The marks of one page in a picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Identified {
    /// The marks that were found, in the order in which they were expected.
    pub found: Vec<Found>,
    /// Those that were not, in the same order.
    pub missing: Vec<Missing>,
    /// Marks at whose place another target lies; they are among the missing.
    pub contradicted: usize,
    /// The map that was fitted to all of them: affine for a scan, projective for a photo. Page millimetres to pixels.
    pub picture_from_page: Homography,
    /// Targets in the picture that are none of the marks.
    pub others: usize,
}

impl Identified {
    /// Returns the pixels to the millimetre in the middle of the marks that were found.
    #[must_use]
    pub fn px_per_mm(&self) -> f64 {
        px_per_mm(&self.picture_from_page, self.middle())
    }

    /// Returns the turn from the page to the picture in radians, clockwise as seen, from -π to π.
    #[must_use]
    pub fn turn_rad(&self) -> f64 {
        let [a, b, c, d, ..] = self.picture_from_page.near(self.middle()).as_coeffs();
        atan2(b - c, a + d)
    }

    fn middle(&self) -> Point {
        let sum = self
            .found
            .iter()
            .fold(kurbo::Vec2::ZERO, |sum, f| sum + f.mark.centre.to_vec2());
        (sum / count(self.found.len().max(1))).to_point()
    }
}

/// Finds out which target is which mark of a page.
///
/// # Errors
///
/// Refuses a picture that does not show the page once, unmirrored, with enough of its marks.
pub fn identify(targets: &Targets, marks: &[Mark], kind: Kind) -> Result<Identified, Refusal> {
    let needed = match kind {
        Kind::Scan => LEAST_SCAN,
        Kind::Photo => LEAST_PHOTO,
    };
    let all = &targets.all;
    if all.len() < needed {
        return Err(too_few(targets, needed));
    }
    let agreement = best(marks, all, kind).filter(|a| a.found() >= needed);
    let seen = agreement
        .as_ref()
        .filter(|a| is_borne_out(a, marks, all, targets));
    if let Some(seen) = seen {
        let rest: Vec<Target> = unused(seen, all);
        if best(marks, &rest, kind)
            .is_some_and(|a| a.found() >= needed && is_borne_out(&a, marks, &rest, targets))
        {
            return Err(Refusal::TwoSheets);
        }
    }
    let Some(seen) = seen.filter(|a| is_alone(a, marks, all)) else {
        return Err(refusal(agreement.as_ref(), targets, marks, kind));
    };
    let identified = identified(seen, targets, marks, kind);
    check_density(&identified, targets, kind)?;
    Ok(identified)
}

/// Finds out which of several pages is in the picture, and which target is which mark of it.
///
/// # Errors
///
/// Refuses as [`identify`] does, and a picture in which two pages could be seen as well.
pub fn identify_one_of(
    targets: &Targets,
    pages: &[&[Mark]],
    kind: Kind,
) -> Result<(usize, Identified), Refusal> {
    let mut refused = Refusal::WrongPage {
        found: targets.all.len(),
    };
    let mut seen: Vec<(usize, Identified)> = Vec::new();
    for (i, marks) in pages.iter().enumerate() {
        match identify(targets, marks, kind) {
            Ok(identified) => seen.push((i, identified)),
            Err(Refusal::WrongPage { .. }) => {}
            Err(refusal) => refused = refusal,
        }
    }
    let score = |i: &Identified| count(i.found.len()) - count(i.contradicted);
    seen.sort_by(|a, b| score(&b.1).total_cmp(&score(&a.1)));
    let mut ranked = seen.into_iter();
    let first = ranked.next().ok_or(refused)?;
    match ranked.next() {
        Some(second) if score(&second.1) >= score(&first.1) => Err(Refusal::WhichPage),
        Some(_) | None => Ok(first),
    }
}

/// Is `true` if enough of the marks that lie in the picture are found, and few are contradicted.
fn is_borne_out(agreement: &Agreement, marks: &[Mark], all: &[Target], targets: &Targets) -> bool {
    let outside = marks
        .iter()
        .filter(|m| is_outside(agreement, m, targets))
        .count();
    let inside = count(marks.len() - outside);
    count(agreement.found()) >= LEAST_SHARE * inside && is_consistent(agreement, marks, all)
}

/// Is `true` if nothing in the picture speaks against the map. A class that the page has once is never contradicted by dirt alone: it
/// tells how the page lies, where a grid of targets looks the same mirrored or turned.
fn is_consistent(agreement: &Agreement, marks: &[Mark], all: &[Target]) -> bool {
    agreement.contradicted_once == 0
        && agreement.contradicted * AGREED_BY_CONTRADICTED <= agreement.found()
        && agreement.keeps_rings_round(marks, all)
}

/// Is `true` if the picture shows no more other targets of the marks' size than marks.
fn is_alone(agreement: &Agreement, marks: &[Mark], all: &[Target]) -> bool {
    agreement.strangers(marks, all) <= agreement.found()
}

/// Is `true` for a mark whose ring would not lie in the picture whole.
fn is_outside(agreement: &Agreement, mark: &Mark, targets: &Targets) -> bool {
    let map = &agreement.picture_from_page;
    let (at, radius_px) = (
        map.apply(mark.centre),
        mark.diameter_mm / 2.0 * px_per_mm(map, mark.centre),
    );
    let (width, height) = (f64::from(targets.size_px.0), f64::from(targets.size_px.1));
    at.x < radius_px || at.y < radius_px || at.x > width - radius_px || at.y > height - radius_px
}

fn too_few(targets: &Targets, needed: usize) -> Refusal {
    let found = targets.all.len();
    if found + targets.blurred >= needed {
        Refusal::Blurred {
            rings: targets.blurred,
        }
    } else {
        Refusal::TooFew { found, needed }
    }
}

/// Says what is wrong with marks that do not agree, or with too few of which agree.
fn refusal(
    agreement: Option<&Agreement>,
    targets: &Targets,
    marks: &[Mark],
    kind: Kind,
) -> Refusal {
    let mirrored: Vec<Target> = targets
        .all
        .iter()
        .map(|t| mirrored(t, targets.size_px.0))
        .collect();
    let so_far = agreement.map_or(0, Agreement::found);
    let seen_in_mirror = best(marks, &mirrored, kind);
    if seen_in_mirror
        .filter(|a| a.found() > so_far && is_alone(a, marks, &mirrored))
        .is_some_and(|a| is_borne_out(&a, marks, &mirrored, targets))
    {
        return Refusal::Mirrored;
    }
    let found = targets.all.len();
    let Some(agreement) = agreement
        .filter(|a| is_consistent(a, marks, &targets.all) && is_alone(a, marks, &targets.all))
    else {
        return Refusal::WrongPage { found };
    };
    let (outside, unseen): (Vec<&Mark>, Vec<&Mark>) = marks
        .iter()
        .zip(&agreement.of_marks)
        .filter(|(_, i)| i.is_none())
        .map(|(m, _)| m)
        .partition(|m| is_outside(agreement, m, targets));
    let ids = |marks: &[&Mark]| marks.iter().map(|m| m.id.clone()).collect();
    if outside.len() > unseen.len() {
        Refusal::Cropped {
            outside: ids(&outside),
        }
    } else {
        Refusal::Covered {
            unseen: ids(&unseen),
            found: agreement.found(),
        }
    }
}

/// Returns the target as it is seen in a mirror that swaps left and right.
fn mirrored(target: &Target, width_px: u32) -> Target {
    let [xx, xy, yy] = target.shape_px;
    let drawn = drawn_direction_rad(target.class);
    Target {
        centre: Point::new(f64::from(width_px) - target.centre.x, target.centre.y),
        shape_px: [xx, -xy, yy],
        turn_rad: target
            .turn_rad
            .zip(drawn)
            .map(|(turn_rad, (drawn_rad, period_rad))| {
                (std::f64::consts::PI - turn_rad - 2.0 * drawn_rad).rem_euclid(period_rad)
            }),
        ..*target
    }
}

fn unused(agreement: &Agreement, targets: &[Target]) -> Vec<Target> {
    targets
        .iter()
        .enumerate()
        .filter(|(i, _)| !agreement.of_marks.contains(&Some(*i)))
        .map(|(_, t)| *t)
        .collect()
}

fn identified(agreement: &Agreement, targets: &Targets, marks: &[Mark], kind: Kind) -> Identified {
    let map = &agreement.picture_from_page;
    let least_mm = match kind {
        Kind::Scan => LEAST_SIGMA_SCAN_MM,
        Kind::Photo => LEAST_SIGMA_PHOTO_MM,
    };
    let (mut found, mut missing) = (Vec::new(), Vec::new());
    for (mark, i) in marks.iter().zip(&agreement.of_marks) {
        if let Some(target) = i.and_then(|i| targets.all.get(i)) {
            found.push(Found {
                mark: mark.clone(),
                target: *target,
                sigma_mm: (target.sigma_px / px_per_mm(map, mark.centre)).max(least_mm),
            });
        } else {
            missing.push(Missing {
                id: mark.id.clone(),
                place: map.apply(mark.centre),
                is_outside: is_outside(agreement, mark, targets),
            });
        }
    }
    Identified {
        others: targets.all.len() - found.len(),
        found,
        missing,
        contradicted: agreement.contradicted,
        picture_from_page: *map,
    }
}

fn check_density(identified: &Identified, targets: &Targets, kind: Kind) -> Result<(), Refusal> {
    let (Kind::Scan, Some(stated_dpi)) = (kind, targets.dpi) else {
        return Ok(());
    };
    let seen_dpi = identified.px_per_mm() * MM_PER_INCH;
    if (seen_dpi / stated_dpi - 1.0).abs() <= DENSITY {
        Ok(())
    } else {
        Err(Refusal::Density {
            stated_dpi,
            seen_dpi,
        })
    }
}

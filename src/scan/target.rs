//! All targets in a picture.

use kurbo::Point;

use super::candidates::candidates;
use super::class::quadrants;
use super::picture::Picture;
use super::reduced::Reduction;
use super::ring::{Ring, RingFault, measure};
use crate::length::MM_PER_INCH;
use crate::plan::MarkClass;

/// Targets of 5 to 8 mm are looked for as if they had this radius.
const RADIUS_MM: f64 = 3.0;
/// Densities that are tried where none is known: from 75 to 1200 dpi, each the root of two times the last.
const LEAST_DPI: f64 = 75.0;
const TRIALS: i32 = 9;
/// Long side of a picture of a sheet in millimetres: a label on a small glass, and an A2 sheet in an ample frame.
const LONG_SIDE_MM: std::ops::RangeInclusive<f64> = 60.0..=700.0;
/// With fewer targets than this the file's word on its density is not believed.
const ENOUGH: usize = 3;

/// How large a millimetre is in the picture, as far as is known before anything is found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ScaleHint {
    /// What the file states, for scans; every density is tried if it states none, one that makes the picture larger than any sheet, or
    /// one with which too little is found.
    Tagged,
    /// About so many pixels to the millimetre, within half and one and a half times as many; for photos.
    PxPerMm(f64),
    /// Nothing is known: every density is tried.
    Unknown,
}

/// One ring-and-quadrant target in a picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Target {
    /// Its centre in pixels, as [`Picture`] counts them.
    pub centre: Point,
    /// Standard deviation of either coordinate of the centre, from the scatter of the ring's edges alone. It is too small by a factor
    /// of 2 to 8; [`Found::sigma_mm`](super::Found::sigma_mm) is what to reckon with.
    pub sigma_px: f64,
    /// Long and short half axis of the ring's outer edge in pixels.
    pub half_axes_px: (f64, f64),
    /// The symmetric matrix `[xx, xy, yy]` in pixels that makes the outer edge of the unit circle.
    pub shape_px: [f64; 3],
    /// Which quadrants are filled.
    pub class: MarkClass,
    /// The turn from the drawn target to the picture, clockwise as seen, up to the turn after which it looks the same; `None` if its
    /// quadrants are all alike.
    pub turn_rad: Option<f64>,
    /// Grey values of ring and paper.
    pub ink: f64,
    /// See [`ink`](Self::ink).
    pub paper: f64,
    /// Standard deviation of the blur of its edges in pixels.
    pub blur_px: f64,
}

/// All that was found in a picture, with what [`identify`](super::identify) has to know of the picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Targets {
    /// The targets, from top to bottom.
    pub all: Vec<Target>,
    /// Rings that are too blurred to measure.
    pub blurred: usize,
    /// Rings that are too faint to measure.
    pub faint: usize,
    /// Rings of which too much is covered.
    pub broken: usize,
    /// Width and height of the picture in pixels.
    pub size_px: (u32, u32),
    /// Pixels to the inch that the file states.
    pub dpi: Option<f64>,
}

/// Finds every target in a picture and measures it at full size.
#[must_use]
pub fn find_targets(picture: &Picture, hint: ScaleHint) -> Targets {
    let stated = match hint {
        ScaleHint::Tagged => stated_px_per_mm(picture),
        ScaleHint::PxPerMm(px_per_mm) => Some(px_per_mm),
        ScaleHint::Unknown => None,
    };
    let mut search = Search::new(picture);
    if let Some(px_per_mm) = stated {
        search.look(px_per_mm);
    }
    let is_open = match hint {
        ScaleHint::Tagged => search.found.len() < ENOUGH,
        ScaleHint::PxPerMm(_) => false,
        ScaleHint::Unknown => true,
    };
    if is_open {
        for px_per_mm in trials(picture) {
            search.look(px_per_mm);
        }
    }
    search.finish()
}

/// Returns the densities in pixels to the millimetre with which the picture is as large as a sheet may be.
fn trials(picture: &Picture) -> impl Iterator<Item = f64> {
    (0..TRIALS)
        .map(|i| LEAST_DPI * 2.0_f64.sqrt().powi(i) / MM_PER_INCH)
        .filter(|px_per_mm| LONG_SIDE_MM.contains(&long_side_mm(picture, *px_per_mm)))
}

/// Returns what the file states, unless the picture were larger than any sheet: its density is wrong then, and looking for targets of
/// so few pixels in so many would take long.
fn stated_px_per_mm(picture: &Picture) -> Option<f64> {
    let px_per_mm = picture.dpi()? / MM_PER_INCH;
    (long_side_mm(picture, px_per_mm) <= *LONG_SIDE_MM.end()).then_some(px_per_mm)
}

fn long_side_mm(picture: &Picture, px_per_mm: f64) -> f64 {
    f64::from(picture.width_px().max(picture.height_px())) / px_per_mm
}

struct Search<'a> {
    picture: &'a Picture,
    tried: Vec<Reduction>,
    found: Vec<Target>,
    faults: Vec<(Point, f64, RingFault)>,
}

impl<'a> Search<'a> {
    fn new(picture: &'a Picture) -> Self {
        Self {
            picture,
            tried: Vec::new(),
            found: Vec::new(),
            faults: Vec::new(),
        }
    }

    /// Looks for targets at one scale, and adds those that are new.
    fn look(&mut self, px_per_mm: f64) {
        let reduction = Reduction::for_radius(RADIUS_MM * px_per_mm);
        if self.tried.contains(&reduction) {
            return;
        }
        self.tried.push(reduction);
        for candidate in candidates(&reduction.of(self.picture), reduction) {
            if self.is_known(candidate.outer.centre) {
                continue;
            }
            match measure(self.picture, &candidate) {
                Ok(ring) => self.take(&ring),
                Err(fault) => {
                    let (at, radius_px) = (candidate.outer.centre, candidate.outer.radius_px());
                    self.faults.push((at, radius_px, fault));
                }
            }
        }
    }

    fn is_known(&self, centre: Point) -> bool {
        self.found
            .iter()
            .any(|t| (t.centre - centre).hypot2().sqrt() < t.half_axes_px.0 / 2.0)
    }

    fn take(&mut self, ring: &Ring) {
        if self.is_known(ring.centre) {
            return;
        }
        if let Some(seen) = quadrants(self.picture, ring) {
            self.found.push(Target {
                centre: ring.centre,
                sigma_px: ring.sigma_px,
                half_axes_px: ring.outer.half_axes_px(),
                shape_px: [ring.outer.xx, ring.outer.xy, ring.outer.yy],
                class: seen.class,
                turn_rad: seen.turn_rad,
                ink: ring.ink,
                paper: ring.paper,
                blur_px: ring.blur_px,
            });
        }
    }

    fn finish(mut self) -> Targets {
        self.found.sort_by(|a, b| {
            a.centre
                .y
                .total_cmp(&b.centre.y)
                .then(a.centre.x.total_cmp(&b.centre.x))
        });
        let found = &self.found;
        let count = |wanted: RingFault| {
            self.faults
                .iter()
                .filter(|(at, radius_px, fault)| {
                    *fault == wanted
                        && !found
                            .iter()
                            .any(|t| (t.centre - *at).hypot2().sqrt() < *radius_px)
                })
                .count()
        };
        Targets {
            blurred: count(RingFault::Blurred),
            faint: count(RingFault::Faint),
            broken: count(RingFault::Broken),
            size_px: (self.picture.width_px(), self.picture.height_px()),
            dpi: self.picture.dpi(),
            all: self.found,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 3000 px are 508 mm at 150 to the inch, and 1058 mm at 72.
    #[test]
    fn a_density_that_makes_the_picture_larger_than_any_sheet_is_not_believed() {
        let picture = Picture::from_grey(2, 3000, vec![0; 6000]).unwrap();
        let stated = |dpi: f64| stated_px_per_mm(&picture.clone().with_dpi(Some(dpi)));
        assert_eq!(stated(150.0), Some(150.0 / 25.4));
        assert_eq!(stated(72.0), None);
    }
}

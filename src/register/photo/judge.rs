//! Photos that are refused, and why.
//!
//! A plane seen from anywhere explains six marks on a bent sheet quite well, so that what the marks leave over says little. Here the sheet
//! may bend as paper does, and what then still contradicts is what no bent sheet before a camera explains: edges that are no smooth
//! curves, and unknowns that would have to lie far from where they ever lie.

use kurbo::Size;

use super::count;
use super::scene::{SIDES, Side};
use super::solve::{Seen, Solved};
use super::unknown::at;
use crate::diagnostic::{Diagnostic, counted};

/// Slant of the camera above which rings look too thin and a bend counts too much.
const MOST_TILT_DEG: f64 = 35.0;

/// Most that the middle of the sheet may lie above or below the line between its edges.
const MOST_RISE_MM: f64 = 6.0;

/// Most that the edges may lie off the edges of a smooth sheet, as the root of the mean square.
const MOST_EDGE_RMS_MM: f64 = 0.05;

/// Most that marks and unknowns together may lie off, as a sum of squares in sigmas.
const MOST_MISFIT: f64 = 20.0;

/// Misfit, in parts of the most allowed, above which neither slant nor bend means anything.
const NONSENSE: f64 = 10.0;

/// Slant and bend above which a photo is answered with a warning: of 21 simulated photos beyond them one was wrong by more than 0.5 mm.
const USUAL_TILT_DEG: f64 = 20.0;
const USUAL_RISE_MM: f64 = 1.5;

const FLATTEN: &str = "press the sheet flat, with tape on its corners, and take the photo again";

/// Least part of an edge that must be seen.
const LEAST_EDGE: f64 = 0.6;

/// What a photo's fit has come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PhotoQuality {
    /// Slant of the camera's axis against the sheet's plumb line, in degrees.
    pub tilt_deg: f64,
    /// How far the middle of the sheet lies off the line between its edges, in millimetres, where it is most.
    pub rise_mm: f64,
    /// How far the edges lie off a smooth sheet's, in millimetres, as the root of the mean square of the nearest nine in ten points:
    /// a stray thread or a shadow is no bend, and the fit makes little of it, too.
    pub edge_rms_mm: f64,
    /// Marks' misses and unknowns' distances from their guesses, as a sum of squares in standard deviations; some 5 is usual.
    pub misfit: f64,
}

impl PhotoQuality {
    pub(super) fn of(seen: &Seen, solved: &Solved, px_per_mm: f64) -> Self {
        let off_mm = solved
            .edge_misfits
            .iter()
            .zip(&seen.edges)
            .map(|(misfit, edge)| misfit * edge.sigma_px / px_per_mm);
        let squares = |values: &[f64]| values.iter().map(|v| v * v).sum::<f64>();
        Self {
            tilt_deg: libm::acos(solved.scene.turn[(2, 2)].clamp(-1.0, 1.0)).to_degrees(),
            rise_mm: solved.scene.rise_mm(),
            edge_rms_mm: without_strangers(off_mm.collect()),
            misfit: squares(&solved.mark_misfits) + squares(&solved.strains),
        }
    }
}

/// How to take a photo in which all edges can be found.
const SHOW_EDGES: &str = "lay the sheet on a dark or coloured table and take in all four edges, with a finger's width of table around";

/// Checks that a sheet before a camera explains what was seen, and that all of it was seen.
pub(super) fn check(
    seen: &Seen,
    solved: &Solved,
    quality: &PhotoQuality,
) -> Result<(), Diagnostic> {
    let size = solved.scene.sheet_guess;
    if quality.misfit > NONSENSE * MOST_MISFIT {
        return Err(contradiction(quality, size));
    }
    check_view(quality)?;
    check_edges(seen, solved)?;
    check_fit(quality, size)
}

/// The camera must look from above, at a sheet that is nearly flat.
fn check_view(quality: &PhotoQuality) -> Result<(), Diagnostic> {
    let PhotoQuality {
        tilt_deg, rise_mm, ..
    } = *quality;
    if tilt_deg > MOST_TILT_DEG {
        let text = format!(
            "the camera was slanted by {tilt_deg:.0} degrees, at most {MOST_TILT_DEG:.0} are allowed"
        );
        return Err(Diagnostic::error("register.photo-slanted", text)
            .hint("hold the phone level above the middle of the sheet"));
    }
    if rise_mm > MOST_RISE_MM {
        let text = format!(
            "the sheet is bent by {rise_mm:.0} mm, at most {MOST_RISE_MM:.0} mm are allowed"
        );
        return Err(Diagnostic::error("register.photo-bent", text).hint(FLATTEN));
    }
    Ok(())
}

/// The root of the mean square of all but the farthest tenth.
fn without_strangers(mut off_mm: Vec<f64>) -> f64 {
    off_mm.sort_by(|a, b| a.abs().total_cmp(&b.abs()));
    off_mm.truncate(off_mm.len() - off_mm.len() / 10);
    let square: f64 = off_mm.iter().map(|off| off * off).sum();
    (square / count(off_mm.len().max(1))).sqrt()
}

/// All four edges must be seen for most of their length, within the picture.
fn check_edges(seen: &Seen, solved: &Solved) -> Result<(), Diagnostic> {
    for side in SIDES {
        let feet = seen
            .edges
            .iter()
            .zip(&solved.feet)
            .filter(|(edge, _)| edge.side == side)
            .map(|(_, foot)| *foot);
        let (low, high) = feet.fold((1.0_f64, -1.0_f64), |(low, high), foot| {
            (low.min(foot), high.max(foot))
        });
        let part = (high - low) / 2.0;
        if part < LEAST_EDGE {
            let text = format!(
                "only {:.0} % of the sheet's {} edge can be seen in the photo, at least {:.0} % are needed",
                100.0 * part.max(0.0),
                side.name(),
                100.0 * LEAST_EDGE
            );
            return Err(Diagnostic::error("register.photo-edge", text).hint(SHOW_EDGES));
        }
    }
    if solved.scene.is_whole_sheet_in_picture() {
        Ok(())
    } else {
        Err(cropped())
    }
}

/// What is left over must be as little as usual.
fn check_fit(quality: &PhotoQuality, size: Size) -> Result<(), Diagnostic> {
    let PhotoQuality {
        edge_rms_mm,
        misfit,
        ..
    } = *quality;
    if edge_rms_mm > MOST_EDGE_RMS_MM {
        let text = format!(
            "the sheet's edges in the photo are off smooth lines by {edge_rms_mm:.2} mm, at most {MOST_EDGE_RMS_MM:.2} mm are allowed"
        );
        return Err(Diagnostic::error("register.photo-edges", text)
            .hint(FLATTEN)
            .hint(SHOW_EDGES));
    }
    if misfit > MOST_MISFIT {
        return Err(contradiction(quality, size));
    }
    Ok(())
}

fn contradiction(quality: &PhotoQuality, size: Size) -> Diagnostic {
    let text = format!(
        "no nearly flat sheet of {} x {} mm looks like the one in the photo: the contradiction is {:.1} times what is allowed",
        size.width,
        size.height,
        quality.misfit / MOST_MISFIT
    );
    Diagnostic::error("register.photo-contradiction", text)
        .hint("measure the sheet's width and height again")
        .hint(FLATTEN)
}

pub(super) fn too_few_marks(found: usize, needed: usize) -> Diagnostic {
    let text = format!(
        "{} can be seen in the photo, at least {needed} are needed",
        counted_marks(found)
    );
    Diagnostic::error("register.photo-marks", text)
        .hint("take the photo again, in even light, sharp, with nothing lying on the marks; or scan the sheet")
}

fn counted_marks(number: usize) -> String {
    counted(u32::try_from(number).unwrap_or(u32::MAX), "register mark")
}

pub(super) fn cropped() -> Diagnostic {
    let text = "the sheet is not wholly in the photo";
    Diagnostic::error("register.photo-cropped", text).hint(SHOW_EDGES)
}

pub(super) fn no_plane() -> Diagnostic {
    let text = "the marks in the photo do not lie as they do on any sheet before a camera";
    Diagnostic::error("register.photo-contradiction", text).hint(FLATTEN)
}

pub(super) fn no_edges(sides: &[Side]) -> Diagnostic {
    let names: Vec<&str> = sides.iter().map(|side| side.name()).collect();
    let text = format!(
        "these edges of the sheet cannot be found in the photo: {}",
        names.join(", ")
    );
    Diagnostic::error("register.photo-edge", text).hint(SHOW_EDGES)
}

/// Said of a photo that fits only if its middle need not be the lens's.
pub(super) fn retouched(size: Size) -> Diagnostic {
    let text = format!(
        "either the photo was cropped or straightened by a program, or the sheet is not {} x {} mm",
        size.width, size.height
    );
    Diagnostic::warning("register.photo-retouched", text)
        .hint("give the file as the phone's camera has stored it, and measure the sheet's width and height again")
}

/// A warning where the photo was taken at more of a slant, or of a sheet more bent, than a careful hand takes it.
pub(super) fn careless(quality: &PhotoQuality) -> Option<Diagnostic> {
    let PhotoQuality {
        tilt_deg, rise_mm, ..
    } = *quality;
    let (text, hint) = if tilt_deg > USUAL_TILT_DEG {
        (
            format!(
                "the photo was taken at a slant of {tilt_deg:.0} degrees, which makes it less sure"
            ),
            "hold the camera straight above the middle of the sheet",
        )
    } else if rise_mm.abs() > USUAL_RISE_MM {
        (
            format!(
                "the sheet is bent by {:.1} mm in the photo, which makes it less sure",
                rise_mm.abs()
            ),
            FLATTEN,
        )
    } else {
        return None;
    };
    Some(Diagnostic::warning("register.photo-careless", text).hint(hint))
}

/// Is `true` where the camera's own unknowns contradict most: the picture may have been cropped, or straightened by a program.
pub(super) fn blames_camera(solved: &Solved) -> bool {
    let square =
        |range: std::ops::Range<usize>| solved.strains[range].iter().map(|s| s * s).sum::<f64>();
    square(at::FOCAL..at::LENS) > MOST_MISFIT / 4.0
}

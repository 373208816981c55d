//! What was found, as it stands in `registration.json`.

use kurbo::Affine;
use serde::Serialize;

use super::{Bleed, Forecast, Located, PrintedSheet};
use crate::diagnostic::Diagnostic;
use crate::fit::{Reason, Terms};
use crate::math::round_to;

/// What the six numbers of a map are, in this order.
pub const MAP_KEYS: &str = "[a, b, c, d, e, f]: x' = a x + c y + e, y' = b x + d y + f";

/// Version of the file.
const FORMAT: &str = "sheetwright-registration/1";

/// One printed sheet found: millimetres, y down, on the sheet as it lies with its printed face up, unless a name says otherwise.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Registration {
    /// Version of the file.
    pub format: &'static str,
    /// Name of the job.
    pub job: String,
    /// SHA-256 of its plan.
    pub plan_sha256: String,
    /// Number of the sheet.
    pub sheet: usize,
    /// The cut file that was moved.
    pub cut_file: String,
    /// The face that lies up.
    pub face_up: String,
    /// `ruler`, `prick`, `scan` or `photo`.
    pub read_by: &'static str,
    /// `similarity` or `affine`.
    pub model: &'static str,
    /// Why this model, in words.
    pub why: String,
    /// The marks that were read.
    pub marks: Vec<MarkFound>,
    /// Root of the mean squared residual of the marks that were used.
    pub rms_mm: f64,
    /// Largest residual of the marks that were used.
    pub max_mm: f64,
    /// Readings left to check the fit with.
    pub degrees_of_freedom: usize,
    /// Planned places of the sheet to where they are; see [`MAP_KEYS`].
    pub found_from_planned: [f64; 6],
    /// Places of the planned cut file to those of the moved one.
    pub cut_from_planned_cut: [f64; 6],
    /// How the sheet's centre is shifted.
    pub shift_mm: [f64; 2],
    /// How the sheet is turned, clockwise.
    pub turn_deg: f64,
    /// How much wider it is than planned.
    pub wider_percent: f64,
    /// How much higher it is than planned.
    pub higher_percent: f64,
    /// How far the cut may be from the print 19 times in 20, at the worst place.
    pub within_mm: f64,
    /// Planned place of that.
    pub worst_at_mm: [f64; 2],
    /// Title of the path there.
    pub worst_of: String,
    /// Farthest distance of a cut from the area between the marks that were used.
    pub outside_marks_mm: f64,
    /// Error of the machine that is counted in, one standard deviation of a coordinate; absent where it is not known.
    pub machine_sigma_mm: Option<f64>,
    /// Bleed of the sheet; absent where no print reaches beyond an outline.
    pub bleed_mm: Option<f64>,
    /// Whether the bleed covers what the cut may be off.
    pub is_covered: bool,
    /// What to look at, in words.
    pub warnings: Vec<String>,
}

/// One mark that was read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MarkFound {
    /// Its id.
    pub id: String,
    /// Where it was planned.
    pub planned_mm: [f64; 2],
    /// Where it was read.
    pub found_mm: [f64; 2],
    /// Standard deviation of one coordinate.
    pub sigma_mm: f64,
    /// Whether the fit used it.
    pub is_used: bool,
    /// Where it was read minus where the fit puts it.
    pub residual_mm: [f64; 2],
    /// Where it was read minus where the other marks put it; absent where they put it nowhere.
    pub left_out_mm: Option<[f64; 2]>,
    /// Chance of that by the errors of the readings.
    pub chance: f64,
    /// Chance of that by how the other marks scatter.
    pub chance_by_scatter: f64,
}

impl Registration {
    pub(super) fn new(
        sheet: &PrintedSheet,
        located: &Located,
        forecast: &Forecast,
        warnings: &[Diagnostic],
    ) -> Self {
        let fit = &located.cleaned.fit;
        let centre = sheet.paper.to_rect().center();
        let terms = Terms::of(located.moved, centre);
        Self {
            format: FORMAT,
            job: sheet.job.clone(),
            plan_sha256: sheet.plan_sha256.clone(),
            sheet: sheet.number,
            cut_file: sheet.cut_file.clone(),
            face_up: sheet.face_up.clone(),
            read_by: located.read_by.name(),
            model: fit.model.name(),
            why: why(&located.reason, sheet.is_profiled),
            marks: marks(sheet, located),
            rms_mm: micro(fit.rms_mm()),
            max_mm: micro(fit.max_mm()),
            degrees_of_freedom: fit.freedom(),
            found_from_planned: numbers(located.moved),
            cut_from_planned_cut: numbers(located.file_moved),
            shift_mm: [micro(terms.shift.x), micro(terms.shift.y)],
            turn_deg: micro(terms.turn_rad.to_degrees()),
            wider_percent: micro(100.0 * terms.scale_x),
            higher_percent: micro(100.0 * terms.scale_y),
            within_mm: micro(forecast.worst_mm),
            worst_at_mm: [micro(forecast.worst_at.x), micro(forecast.worst_at.y)],
            worst_of: forecast.worst_of.clone(),
            outside_marks_mm: micro(forecast.outside_mm),
            machine_sigma_mm: forecast.machine_mm,
            bleed_mm: match forecast.bleed {
                Bleed::NotNeeded => None,
                Bleed::Covers(mm) | Bleed::TooSmall(mm) => Some(micro(mm)),
            },
            is_covered: !matches!(forecast.bleed, Bleed::TooSmall(_)),
            warnings: warnings.iter().map(|w| w.message.clone()).collect(),
        }
    }

    /// Returns what `registration.json` holds.
    #[must_use]
    pub fn to_json(&self) -> String {
        let text = serde_json::to_string_pretty(self);
        text.expect("a registration holds nothing that JSON cannot") + "\n"
    }
}

fn micro(value: f64) -> f64 {
    round_to(value, 1_000_000)
}

fn numbers(map: Affine) -> [f64; 6] {
    map.as_coeffs().map(|v| round_to(v, 1_000_000_000))
}

fn why(reason: &Reason, is_profiled: bool) -> String {
    match reason {
        Reason::TwoPairs => {
            "two marks: shift, turn and size, with nothing to check but their distance".to_owned()
        }
        Reason::ThreePairs => {
            "three marks: shift, turn and one size, which leaves something to check".to_owned()
        }
        Reason::Unprofiled => {
            "the printer was not measured, so its width and height may be off differently"
                .to_owned()
        }
        Reason::Profiled => {
            debug_assert!(is_profiled, "only a measured printer gets a stiff map");
            "the printer was measured: shift, turn and one size are enough".to_owned()
        }
        Reason::Bent { fall_mm, .. } => format!(
            "the printer was measured, but the sheet is stretched unevenly: the marks fit {fall_mm:.2} mm better so"
        ),
    }
}

fn marks(sheet: &PrintedSheet, located: &Located) -> Vec<MarkFound> {
    let dropped = located.dropped();
    let lying_from_fit = located.fit_from_lying.inverse();
    let fit = &located.cleaned.fit;
    // The pairs of the fit without the one that was left out, which stands in for itself below.
    let mut used = fit.pairs.iter();
    let found = (0..).zip(&located.ids).filter_map(|(i, id)| {
        let mark = sheet.mark(id)?;
        let test = located.cleaned.tests[i];
        let is_used = dropped != Some(i);
        let pair = if is_used {
            *used.next()?
        } else {
            located.cleaned.left_out?
        };
        let residual = pair.measured - fit.map * pair.nominal;
        let at = lying_from_fit * pair.measured;
        Some(MarkFound {
            id: id.clone(),
            planned_mm: [micro(mark.centre.x), micro(mark.centre.y)],
            found_mm: [micro(at.x), micro(at.y)],
            sigma_mm: micro(pair.sigma_mm),
            is_used,
            residual_mm: [micro(residual.x), micro(residual.y)],
            left_out_mm: test.left_out_mm.map(|v| [micro(v.x), micro(v.y)]),
            chance: micro(test.chance),
            chance_by_scatter: micro(test.deleted_chance),
        })
    });
    found.collect()
}

impl Registration {
    /// Returns the id of the mark that was left out.
    #[must_use]
    pub fn left_out(&self) -> Option<&str> {
        let out = self.marks.iter().find(|mark| !mark.is_used);
        out.map(|mark| mark.id.as_str())
    }
}

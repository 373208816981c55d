//! Where a sheet lies, by its marks.

use kurbo::{Affine, Point, Vec2};

use super::{MarkReading, PrintedSheet, ReadBy};
use crate::diagnostic::{Diagnostic, Warned};
use crate::fit::{
    self, Choice, Cleaned, FitError, LEAST_SCANNED_MM, LEAST_TYPED_MM, MapFit, Noise, Pair, Reason,
    Slip, Spread, Terms,
};
use crate::math::hypot;

/// Largest difference of a printed sheet's scale from what was planned: old printers were allowed 3 %.
const MOST_SCALE: f64 = 0.03;

/// Largest turn of a sheet that is meant to lie straight, in degrees: 11 mm along the short side of a Letter sheet, more than a hand
/// or a feed leaves unseen.
const MOST_TURN_DEG: f64 = 3.0;

/// Largest shear of a printed sheet, in radians: 10 mm over a Letter sheet's height, several times what printers do.
const MOST_SHEAR_RAD: f64 = 0.03;

/// Largest distance of a mark from where the others put it that a print and a reading together bring about, in millimetres.
const MOST_MISFIT_MM: f64 = 1.5;

/// Chance below which readings contradict each other for more than bad luck: refused.
const NO_CHANCE: f64 = 0.000_1;

/// Chance below which the readings are taken to err more than they say.
const DOUBT: f64 = 0.01;

/// Half the difference of a home printer's two scales, and half its shear, one standard deviation each: scales off by up to 0.4 % and
/// 0.6 %, shear up to 1 mrad, as prototypes took them. Only where nobody measured the printer and the marks cannot tell.
const UNEVEN: [f64; 2] = [0.0021, 0.0005];

/// How a sheet is to be found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Options {
    /// How the marks were found.
    pub read_by: ReadBy,
    /// How the sheet lies turned on purpose, clockwise in degrees.
    pub turn_deg: f64,
    /// How far the frame that the readings were taken in may itself be wrong, which no mark beside the others shows: the scale of a scan,
    /// the sheet's size in a photo. [`Spread::NONE`] for what was typed.
    pub beside: Spread,
}

/// Where a sheet lies.
#[derive(Debug, Clone, PartialEq)]
pub struct Located {
    /// How the marks were found.
    pub read_by: ReadBy,
    /// The marks that were read, in the order of the fit before any was left out.
    pub ids: Vec<String>,
    /// The fit and what its pairs say of each other, in the frame that the readings were taken in.
    pub cleaned: Cleaned,
    /// Why this kind of map.
    pub reason: Reason,
    /// What is taken for the error of the readings.
    pub noise: Noise,
    /// The frame that the fit was made in, from the sheet as it lies.
    pub fit_from_lying: Affine,
    /// Planned places on the sheet as it lies to where they are.
    pub moved: Affine,
    /// The same in the frame of the cut file.
    pub file_moved: Affine,
    /// How far the frame of the readings may be wrong, for planned places on the sheet as it lies.
    pub beside: Spread,
}

impl Located {
    /// Returns the position of the mark that was left out.
    #[must_use]
    pub fn dropped(&self) -> Option<usize> {
        match self.cleaned.slip {
            Slip::Named(at) => Some(at),
            Slip::None | Slip::Unnamed | Slip::Unchecked => None,
        }
    }

    /// Returns the radius that the map's error at a planned place of the sheet stays within 19 times in 20, in millimetres, with a
    /// machine that errs by `machine_mm` in each coordinate.
    #[must_use]
    pub fn r95_mm(&self, at: Point, machine_mm: f64) -> f64 {
        let fit = &self.cleaned.fit;
        let beside_mm = self.beside.r95_mm(at);
        let at = self.fit_from_lying * at;
        let uneven = hypot(self.uneven_mm(at), machine_mm);
        hypot(fit.r95_with_mm(at, self.noise, uneven), beside_mm)
    }

    /// What an unmeasured printer's unevenness adds where the map has only one scale, one standard deviation.
    fn uneven_mm(&self, at: Point) -> f64 {
        match self.reason {
            Reason::TwoPairs | Reason::ThreePairs => uneven_mm(&self.cleaned.fit, at),
            Reason::Unprofiled | Reason::Profiled | Reason::Bent { .. } => 0.0,
        }
    }
}

/// Finds a sheet by its marks.
///
/// # Errors
///
/// A mark is not the sheet's, fewer than two were read, they are mirrored, larger or smaller than printed, turned without that being
/// asked for, or contradict each other beyond what one mark can explain.
pub fn locate(
    sheet: &PrintedSheet,
    readings: &[MarkReading],
    options: &Options,
) -> Result<Warned<Located>, Vec<Diagnostic>> {
    refuse_strangers(sheet, readings)?;
    let fit_from_lying = match options.read_by {
        ReadBy::Prick => sheet.file_from_lying,
        ReadBy::Ruler | ReadBy::Scan | ReadBy::Photo => Affine::IDENTITY,
    };
    let pairs = pairs(sheet, readings, fit_from_lying);
    refuse_shape(&pairs, options).map_err(|d| vec![d])?;
    let choice = fit::choose(&pairs, sheet.is_profiled).map_err(no_map)?;
    let cleaned = cleaned(&choice).map_err(no_map)?;
    let ids: Vec<String> = readings.iter().map(|r| r.id.clone()).collect();
    let mut warnings = contradictions(&ids, &choice, &cleaned, sheet).map_err(|d| vec![d])?;
    let in_fit = cleaned.fit.map;
    let moved = fit_from_lying.inverse() * in_fit * fit_from_lying;
    let noise = noise(&choice, &cleaned, options);
    let located = Located {
        read_by: options.read_by,
        ids,
        reason: choice.reason,
        noise,
        fit_from_lying,
        moved,
        file_moved: sheet.file_from_lying * moved * sheet.file_from_lying.inverse(),
        beside: options.beside,
        cleaned,
    };
    refuse_map(sheet, &located).map_err(|d| vec![d])?;
    warnings.extend(unchecked(&located));
    Ok(Warned {
        value: located,
        warnings,
    })
}

/// Readings of marks that the sheet does not have, marks read twice, and too few.
fn refuse_strangers(sheet: &PrintedSheet, readings: &[MarkReading]) -> Result<(), Vec<Diagnostic>> {
    let mut found = Vec::new();
    for (i, reading) in readings.iter().enumerate() {
        if sheet.mark(&reading.id).is_none() {
            let message = format!("sheet {} has no mark \"{}\"", sheet.number, reading.id);
            let hint = format!("its marks are {}", sheet.mark_ids());
            found.push(Diagnostic::error("register.unknown-mark", message).hint(hint));
        }
        if readings[..i].iter().any(|r| r.id == reading.id) {
            let message = format!("mark {} is given twice", reading.id);
            found.push(
                Diagnostic::error("register.twice", message)
                    .hint("leave out the one that is wrong"),
            );
        }
    }
    if readings.len() < 2 && found.is_empty() {
        let message = format!(
            "{} of {} marks are given, 2 are needed",
            readings.len(),
            sheet.marks.len()
        );
        let hint = "give all marks that can be read: with six, one that is misread is found";
        found.push(Diagnostic::error("register.too-few", message).hint(hint));
    }
    if found.is_empty() { Ok(()) } else { Err(found) }
}

fn pairs(sheet: &PrintedSheet, readings: &[MarkReading], fit_from_lying: Affine) -> Vec<Pair> {
    let pairs = readings.iter().filter_map(|reading| {
        let mark = sheet.mark(&reading.id)?;
        let (planned, found) = (fit_from_lying * mark.centre, fit_from_lying * reading.at);
        Some(Pair::new(planned, found).with_sigma(reading.sigma_mm))
    });
    pairs.collect()
}

fn no_map(error: FitError) -> Vec<Diagnostic> {
    let message = format!("the marks fix no place: {error}");
    let hint = "give marks from at least two corners of the sheet";
    vec![Diagnostic::error("register.no-map", message).hint(hint)]
}

/// What even the roughest fit shows: a mirrored set, a turned sheet, another size.
fn refuse_shape(pairs: &[Pair], options: &Options) -> Result<(), Diagnostic> {
    let rough = fit::similarity(pairs).map_err(|e| no_map(e).remove(0))?;
    // Three good marks of a sheet that only leans a little cannot look mirrored.
    if pairs.len() > 2 && fit::is_mirrored(pairs) {
        let message = "the marks lie as in a mirror";
        let hint = "lay the printed face up, and count from the left and from the top; if two marks were mixed up, put them right";
        return Err(Diagnostic::error("register.mirrored", message).hint(hint));
    }
    let terms = Terms::of(rough.map, Point::ZERO);
    let turn_deg = terms.turn_rad.to_degrees();
    let off_deg = (turn_deg - options.turn_deg + 180.0).rem_euclid(360.0) - 180.0;
    if off_deg.abs() > MOST_TURN_DEG {
        let clockwise = turn_deg.rem_euclid(360.0);
        let message = format!(
            "the marks say that the sheet lies turned by {clockwise:.1} degrees, {:.1} were said",
            options.turn_deg
        );
        let hint = format!(
            "if it lies so on purpose, type --turn {}; else lay it straight, or check which mark is which",
            clockwise.round() % 360.0
        );
        return Err(Diagnostic::error("register.turned", message).hint(hint));
    }
    refuse_scale("", terms.scale_x)
}

fn refuse_scale(way: &str, scale: f64) -> Result<(), Diagnostic> {
    if scale.abs() <= MOST_SCALE {
        return Ok(());
    }
    let message = format!(
        "the marks lie {:.1} % {} apart{way} than planned, more than the {:.0} % a printer is off",
        100.0 * scale.abs(),
        if scale > 0.0 { "wider" } else { "less" },
        100.0 * MOST_SCALE
    );
    let hint = "print at 100 %, without \"fit to page\"; check the unit, and that this is the sheet that was named";
    Err(Diagnostic::error("register.scale", message).hint(hint))
}

/// Leaves out a mark that contradicts the others, unless the printer's unevenness may be the reason.
fn cleaned(choice: &Choice) -> Result<Cleaned, FitError> {
    let mut cleaned = fit::clean(&choice.fit)?;
    if let (Reason::ThreePairs, Slip::Unnamed) = (choice.reason, cleaned.slip)
        && chance(choice, &cleaned.fit) >= DOUBT
    {
        (cleaned.slip, cleaned.rest) = (Slip::None, Slip::None);
    }
    Ok(cleaned)
}

/// The chance of the residuals by the errors of the readings and, where the map cannot follow it, the printer's unevenness.
fn chance(choice: &Choice, fit: &MapFit) -> f64 {
    match choice.reason {
        Reason::TwoPairs | Reason::ThreePairs => {
            // What is left over is as large as both together bring about on the average, or so many times that.
            let uneven = fit.pairs.iter().map(|pair| {
                let share = uneven_mm(fit, pair.nominal) / pair.sigma_mm;
                2.0 * share * share
            });
            let freedom = f64::from(u32::try_from(fit.freedom()).unwrap_or(u32::MAX));
            let expected = freedom + uneven.sum::<f64>();
            fit::chi2_tail(freedom * fit.square_sum() / expected, fit.freedom())
        }
        Reason::Unprofiled | Reason::Profiled | Reason::Bent { .. } => fit.chance(),
    }
}

/// What is told of marks that contradict each other, or refused.
fn contradictions(
    ids: &[String],
    choice: &Choice,
    cleaned: &Cleaned,
    sheet: &PrintedSheet,
) -> Result<Vec<Diagnostic>, Diagnostic> {
    let mut warnings = Vec::new();
    if let Slip::Named(at) = cleaned.slip {
        warnings.push(left_out(&ids[at], &choice.fit.pairs[at], cleaned, at));
    }
    let is_unsure = matches!(cleaned.rest, Slip::Unnamed | Slip::Named(_));
    let misfit_mm = cleaned.fit.max_mm();
    if misfit_mm > MOST_MISFIT_MM || (is_unsure && chance(choice, &cleaned.fit) < NO_CHANCE) {
        let message = format!(
            "the marks do not fit sheet {}: they contradict each other by up to {misfit_mm:.2} mm",
            sheet.number
        );
        return Err(Diagnostic::error("register.misfit", message).hint(misfit_hint(cleaned)));
    }
    if is_unsure {
        let message = format!(
            "the marks contradict each other by up to {misfit_mm:.2} mm, more than reading them explains, and there are too few to tell which is wrong"
        );
        warnings.push(
            Diagnostic::warning("register.contradiction", message).hint(misfit_hint(cleaned)),
        );
    }
    Ok(warnings)
}

fn misfit_hint(cleaned: &Cleaned) -> &'static str {
    match cleaned.slip {
        Slip::Named(_) => {
            "more than one mark is misread: read all of them again, and check that this is the sheet that was named"
        }
        Slip::Unnamed | Slip::None | Slip::Unchecked => {
            "read them again and add more marks: from five marks on, the one that is misread is found; check that this is the sheet that was named"
        }
    }
}

fn left_out(id: &str, pair: &Pair, cleaned: &Cleaned, at: usize) -> Diagnostic {
    let expected = cleaned.fit.map * pair.nominal;
    let off: Vec2 = cleaned.tests[at].left_out_mm.unwrap_or_default();
    let message = format!(
        "mark {id} was left out: it was read {:.2} mm from where the others put it",
        hypot(off.x, off.y)
    );
    let hint = format!(
        "read it again; the others say {:.1} mm, {:.1} mm",
        expected.x, expected.y
    );
    Diagnostic::warning("register.left-out", message).hint(hint)
}

/// The error that is taken for the readings: what they say, unless they contradict each other too much for that.
fn noise(choice: &Choice, cleaned: &Cleaned, options: &Options) -> Noise {
    let fit = &cleaned.fit;
    if chance(choice, fit) >= DOUBT {
        return Noise::Known;
    }
    let least_mm = match options.read_by {
        ReadBy::Ruler | ReadBy::Prick => LEAST_TYPED_MM,
        ReadBy::Scan | ReadBy::Photo => LEAST_SCANNED_MM,
    };
    let sigmas = fit.pairs.iter().map(|p| p.sigma_mm);
    let smallest = sigmas.fold(f64::INFINITY, f64::min);
    Noise::Estimated {
        least: (least_mm / smallest).max(1.0),
    }
}

/// What only the finished map shows.
fn refuse_map(sheet: &PrintedSheet, located: &Located) -> Result<(), Diagnostic> {
    let centre = sheet.paper.to_rect().center();
    let terms = Terms::of(located.moved, centre);
    refuse_scale(" from left to right", terms.scale_x)?;
    refuse_scale(" from top to bottom", terms.scale_y)?;
    if terms.shear_rad.abs() > MOST_SHEAR_RAD {
        let message = format!(
            "the marks lean by {:.1} mm over the sheet's height",
            terms.shear_rad.abs() * sheet.paper.height
        );
        let hint = "read them again, and check that this is the sheet that was named";
        return Err(Diagnostic::error("register.shear", message).hint(hint));
    }
    Ok(())
}

/// What the marks cannot check.
fn unchecked(located: &Located) -> Option<Diagnostic> {
    let hint = "give all marks that can be read: with six, one that is misread is found";
    let warn = |text: &str| Some(Diagnostic::warning("register.unchecked", text).hint(hint));
    match located.reason {
        Reason::TwoPairs => warn(
            "two marks leave nothing to check but their distance: a mark that is misread stays unseen",
        ),
        Reason::ThreePairs => warn("three marks show that one is misread, but not which"),
        Reason::Unprofiled | Reason::Profiled | Reason::Bent { .. } => {
            (located.ids.len() == 4 && located.cleaned.fit.freedom() <= 2).then(|| {
                let text = "four marks show that one is misread, but not which";
                Diagnostic::warning("register.unchecked", text).hint(hint)
            })
        }
    }
}

/// How far an uneven printer moves a place beside what the map of one scale follows, one standard deviation of a coordinate.
fn uneven_mm(fit: &MapFit, at: Point) -> f64 {
    let Spread { about, .. } = fit.unit_spread;
    let stretch = |arm: Vec2| Vec2::new(arm.x, -arm.y);
    let lean = |arm: Vec2| Vec2::new(arm.y, arm.x);
    let kinds: [fn(Vec2) -> Vec2; 2] = [stretch, lean];
    let squares = kinds.iter().zip(UNEVEN).map(|(field, size)| {
        let (mut spread, mut along, mut across) = (0.0, 0.0, 0.0);
        for pair in &fit.pairs {
            let (arm, weight) = (pair.nominal - about, 1.0 / (pair.sigma_mm * pair.sigma_mm));
            spread += weight * arm.hypot2();
            along += weight * arm.dot(field(arm));
            across += weight * arm.cross(field(arm));
        }
        let (scale, turn, arm) = (along / spread, across / spread, at - about);
        let followed = scale * arm + turn * Vec2::new(-arm.y, arm.x);
        size * size * (field(arm) - followed).hypot2() / 2.0
    });
    squares.sum::<f64>().sqrt()
}

//! Which of four readings is misread, where they contradict each other.
//!
//! Four readings and three unknowns leave one number that should be zero, `(r1 - r2 - r3 + r4) / 2`. It says that something is wrong
//! and by how much, but not where: each of the four could be the one. Two things tell more. A slip has a form: a millimetre or ten
//! counted wrong, two digits changed about. And a printer that is only a little wrong makes three of the four corrections unlikely:
//! its scale is off by half a percent, its feed out of square by a thousandth, its page by a millimetre and a half (assumed). A
//! reading is named where the others are twenty times less likely.

use super::chart::{Chart, ChartEdition};
use super::reading::Tenths;
use crate::fit::{Reading, RowFit, fit_row};
use crate::length::MM_PER_INCH;
use crate::project::Axis;

/// How far home printers are off, as deviations: of a scale, of a right angle, of the middle in millimetres.
const USUAL: (f64, f64, f64) = (0.005, 0.001, 1.5);

/// Logarithm of 20: how much likelier the named one must be.
const CLEARLY: f64 = 2.995_732;

/// One of the four readings.
#[derive(Debug)]
pub(super) struct Corner {
    pub(super) key: &'static str,
    pub(super) typed: String,
}

/// What is told of the contradiction.
#[derive(Debug)]
pub(super) struct Doubt {
    pub(super) key: &'static str,
    pub(super) message: String,
    pub(super) hint: String,
}

/// One reading that may be the wrong one.
struct Suspect {
    at: usize,
    /// What it would have to be.
    right_mm: f64,
    /// The slip that explains it.
    slip: Option<String>,
    /// Logarithm of how likely the printer is that the corrected readings tell of.
    likely: f64,
}

/// Tells which of the four readings of `row` is in doubt. `other` is the row across, where that is sound; `check_mm` exceeds `most_mm`.
pub(super) fn doubt(
    row: &RowFit,
    other: Option<&RowFit>,
    corners: &[Corner],
    check_mm: f64,
    most_mm: f64,
    chart: &Chart,
) -> Doubt {
    let mut suspects: Vec<Suspect> = (0..)
        .zip([1.0, -1.0, -1.0, 1.0])
        .take(corners.len())
        .map(|(at, sign)| suspect(row, other, &corners[at], at, sign * 2.0 * check_mm, chart))
        .collect();
    if suspects.iter().any(|s| s.slip.is_some()) {
        suspects.retain(|s| s.slip.is_some());
    }
    suspects.sort_by(|a, b| b.likely.total_cmp(&a.likely));
    let best = suspects[0].likely;
    suspects.retain(|s| best - s.likely < CLEARLY);
    let keys: Vec<_> = corners.iter().map(|c| c.key).collect();
    let contradiction = format!(
        "{} contradict each other by {:.1} mm, more than {:.1} mm",
        words(&keys, "and"),
        2.0 * check_mm.abs(),
        2.0 * most_mm
    );
    told(&contradiction, &suspects, corners, chart.edition)
}

fn told(
    contradiction: &str,
    suspects: &[Suspect],
    corners: &[Corner],
    edition: ChartEdition,
) -> Doubt {
    let key = corners[suspects[0].at].key;
    if let [
        Suspect {
            at, right_mm, slip, ..
        },
    ] = suspects
    {
        let typed = &corners[*at].typed;
        let right = super::sane::vernier_text(*right_mm, edition);
        let slip = slip
            .as_ref()
            .map_or_else(String::new, |slip| format!(" ({slip})"));
        return Doubt {
            key,
            message: format!(
                "{contradiction}: {key} = \"{typed}\" is in doubt, about {right} would fit{slip}"
            ),
            hint: format!("read {key} once more"),
        };
    }
    let all: Vec<_> = corners.iter().map(|c| c.key).collect();
    let likely = if suspects.len() < corners.len() {
        let keys: Vec<_> = suspects.iter().map(|s| corners[s.at].key).collect();
        format!(", most likely {}", words(&keys, "or"))
    } else {
        String::new()
    };
    Doubt {
        key,
        message: format!("{contradiction}: one of these four is misread{likely}"),
        hint: format!(
            "read {} once more, each two or three times",
            words(&all, "and")
        ),
    }
}

fn suspect(
    row: &RowFit,
    other: Option<&RowFit>,
    corner: &Corner,
    at: usize,
    error_mm: f64,
    chart: &Chart,
) -> Suspect {
    let mut readings: Vec<Reading> = row.readings.clone();
    readings[at].value_mm -= error_mm;
    let right_mm = readings[at].value_mm;
    // What three readings and their fourth corner say fits without rest.
    let corrected = fit_row(&readings).expect("the chart's verniers stand at four corners");
    let vernier = chart.verniers.iter().find(|v| v.id == corner.key);
    let axis = vernier.map_or(Axis::X, |v| v.axis);
    Suspect {
        at,
        right_mm,
        slip: slip(corner, error_mm, 2.0 * row.readings[at].sigma_mm, chart),
        likely: likely(&corrected, other, axis, chart),
    }
}

/// How likely a printer is, but for a constant.
fn likely(row: &RowFit, other: Option<&RowFit>, axis: Axis, chart: &Chart) -> f64 {
    let centre = (chart.page.width / 2.0, chart.page.height / 2.0);
    let (along, across, off_mm) = match axis {
        Axis::X => (
            row.along_x,
            row.along_y,
            row.value_mm(centre.into()) - centre.0,
        ),
        Axis::Y => (
            row.along_y,
            row.along_x,
            row.value_mm(centre.into()) - centre.1,
        ),
    };
    // A turn shows in both rows with opposite signs; what does not cancel is out of square.
    let square = other.map_or(0.0, |other| {
        across
            + match axis {
                Axis::X => other.along_x,
                Axis::Y => other.along_y,
            }
    });
    let (scale, angle, shift_mm) = USUAL;
    let squares =
        ((along - 1.0) / scale).powi(2) + (square / angle).powi(2) + (off_mm / shift_mm).powi(2);
    -squares / 2.0
}

/// Returns the slip that makes an error of this size, to within two deviations.
fn slip(corner: &Corner, error_mm: f64, sigma_mm: f64, chart: &Chart) -> Option<String> {
    let fits = |mm: f64| (error_mm - mm).abs() <= 2.0 * sigma_mm;
    let steps: &[(f64, &str)] = match chart.edition {
        ChartEdition::Millimetres => &[(1.0, "1 mm"), (10.0, "10 mm")],
        ChartEdition::Inches => &[
            (MM_PER_INCH / 16.0, "1/16 in"),
            (MM_PER_INCH / 8.0, "1/8 in"),
            (MM_PER_INCH / 4.0, "1/4 in"),
            (MM_PER_INCH / 2.0, "1/2 in"),
            (MM_PER_INCH, "1 in"),
        ],
    };
    if let Some(swapped) = swapped(corner, chart).into_iter().find(|(_, mm)| fits(*mm)) {
        return Some(format!("two digits changed about: {}", swapped.0));
    }
    let near = steps.iter().min_by(|a, b| {
        (error_mm.abs() - a.0)
            .abs()
            .total_cmp(&(error_mm.abs() - b.0).abs())
    });
    let (mm, words) = near?;
    fits(mm.copysign(error_mm)).then(|| {
        format!(
            "counted {words} too {}",
            if error_mm > 0.0 { "many" } else { "few" }
        )
    })
}

/// The texts with two neighbouring digits changed about, and how much the typed one exceeds each, in millimetres.
fn swapped(corner: &Corner, chart: &Chart) -> Vec<(String, f64)> {
    let Some(vernier) = chart.verniers.iter().find(|v| v.id == corner.key) else {
        return Vec::new();
    };
    let mm = |text: &str| {
        Tenths::parse(text, chart.edition)
            .ok()
            .map(|t| t.mm(vernier, 1.0))
    };
    let Some(typed_mm) = mm(&corner.typed) else {
        return Vec::new();
    };
    let chars: Vec<char> = corner.typed.chars().collect();
    let digits: Vec<usize> = (0..chars.len())
        .filter(|i| chars[*i].is_ascii_digit())
        .collect();
    let pairs = digits
        .windows(2)
        .filter(|pair| chars[pair[0]] != chars[pair[1]]);
    pairs
        .filter_map(|pair| {
            let mut other = chars.clone();
            other.swap(pair[0], pair[1]);
            let other: String = other.into_iter().collect();
            let mm = mm(&other)?;
            Some((other, typed_mm - mm))
        })
        .collect()
}

/// `x1, x2 and x3`.
fn words(keys: &[&str], last: &str) -> String {
    match keys {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [before @ .., end] => format!("{} {last} {end}", before.join(", ")),
    }
}

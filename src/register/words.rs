//! A registration as people say it.

use super::{MAP_KEYS, Registration};
use crate::length::with_covering_inches;

/// Whether the numbers behind the words are told as well.
type Details = bool;

/// Returns what was found, line by line. `details` adds the numbers that only those who know fits want.
#[must_use]
pub fn text(found: &Registration, details: Details) -> String {
    let mut text = format!("sheet {} of {}: {}\n", found.sheet, found.job, place(found));
    let used = found.marks.iter().filter(|mark| mark.is_used).count();
    text += &match found.left_out() {
        Some(id) => format!("{used} marks used, {id} left out\n"),
        None => format!("{used} marks used\n"),
    };
    text += &format!(
        "the cut will lie within {} of the print, 19 times in 20{}\n",
        with_covering_inches(found.within_mm),
        if found.machine_sigma_mm.is_some() {
            ""
        } else {
            ", not counting the machine's own error, which was not measured"
        }
    );
    text += &match found.bleed_mm {
        None => "no print reaches beyond an outline: no bleed is needed\n".to_owned(),
        Some(has_mm) if found.is_covered => {
            format!(
                "the bleed of {} covers that\n",
                with_covering_inches(has_mm)
            )
        }
        Some(has_mm) => format!(
            "the bleed of {} does NOT cover that\n",
            with_covering_inches(has_mm)
        ),
    };
    if details {
        text += &detail(found);
    }
    text
}

/// Where the sheet lies and how large the print is, as far as an eye could see.
fn place(found: &Registration) -> String {
    let [x_mm, y_mm] = found.shift_mm;
    let moved = [
        seen(x_mm, 1, " mm too far right", " mm too far left"),
        seen(y_mm, 1, " mm too low", " mm too high"),
        seen(
            found.turn_deg,
            2,
            " degrees clockwise",
            " degrees anticlockwise",
        ),
    ];
    let size = [
        seen(found.wider_percent, 2, " % too wide", " % too narrow"),
        seen(found.higher_percent, 2, " % too tall", " % too short"),
    ];
    let or_right = |all: &[Option<String>], right: &str| {
        let all: Vec<&str> = all.iter().flatten().map(String::as_str).collect();
        if all.is_empty() {
            right.to_owned()
        } else {
            all.join(", ")
        }
    };
    format!(
        "its middle lies {}; the print is {}",
        or_right(&moved, "where it was planned"),
        or_right(&size, "true to size")
    )
}

/// A number with the words for its sign, or nothing where it rounds to zero.
fn seen(value: f64, decimals: usize, above: &str, below: &str) -> Option<String> {
    let digits = format!("{:.decimals$}", value.abs());
    let is_zero = digits.chars().all(|c| matches!(c, '0' | '.'));
    (!is_zero).then(|| digits + if value < 0.0 { below } else { above })
}

fn detail(found: &Registration) -> String {
    let mut text = format!(
        "model: {} ({}), {} degrees of freedom, rms {:.3} mm, largest residual {:.3} mm\n",
        found.model, found.why, found.degrees_of_freedom, found.rms_mm, found.max_mm
    );
    for mark in &found.marks {
        let [x, y] = mark.residual_mm;
        text += &format!(
            "{} read at {:.3}, {:.3} mm, sigma {:.3} mm, residual {x:+.3}, {y:+.3} mm{}, chance {:.4} (by scatter {:.4})\n",
            mark.id,
            mark.found_mm[0],
            mark.found_mm[1],
            mark.sigma_mm,
            mark.left_out_mm.map_or_else(String::new, |[x, y]| format!(
                ", from the others {x:+.3}, {y:+.3} mm"
            )),
            mark.chance,
            mark.chance_by_scatter
        );
    }
    let [x, y] = found.worst_at_mm;
    text += &format!(
        "worst place: {x:.1}, {y:.1} mm, {}; farthest cut outside the marks: {:.1} mm\n",
        found.worst_of, found.outside_marks_mm
    );
    text + &format!(
        "cut from planned cut {:?}, {MAP_KEYS}\n",
        found.cut_from_planned_cut
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_an_eye_could_see_is_told() {
        let told = |mm| seen(mm, 1, " mm too low", " mm too high");
        assert_eq!(told(-0.04), None);
        assert_eq!(told(0.0), None);
        assert_eq!(told(-0.06).as_deref(), Some("0.1 mm too high"));
        assert_eq!(told(10.0).as_deref(), Some("10.0 mm too low"));
    }
}

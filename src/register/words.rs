//! A registration as people say it.

use super::{MAP_KEYS, Registration};
use crate::length::MM_PER_INCH;

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
        length(found.within_mm),
        if found.machine_sigma_mm.is_some() {
            ""
        } else {
            ", not counting the machine's own error, which was not measured"
        }
    );
    text += &match found.bleed_mm {
        None => "no print reaches beyond an outline: no bleed is needed\n".to_owned(),
        Some(has_mm) if found.is_covered => {
            format!("the bleed of {} covers that\n", length(has_mm))
        }
        Some(has_mm) => format!("the bleed of {} does NOT cover that\n", length(has_mm)),
    };
    if details {
        text += &detail(found);
    }
    text
}

/// Where the sheet lies, as far as an eye could see.
fn place(found: &Registration) -> String {
    let [x_mm, y_mm] = found.shift_mm;
    let way = |mm: f64, less: &str, more: &str| {
        format!("{:.1} mm {}", mm.abs(), if mm < 0.0 { less } else { more })
    };
    format!(
        "its middle lies {} and {} of where it was planned, turned by {:.2} degrees; print is {:+.2} % wide, {:+.2} % high",
        way(x_mm, "left", "right"),
        way(y_mm, "above", "below"),
        found.turn_deg,
        found.wider_percent,
        found.higher_percent
    )
}

/// A length in millimetres and as the next 1/64 in above it.
fn length(mm: f64) -> String {
    let steps = (mm / MM_PER_INCH * 64.0 - 1e-9).ceil().max(1.0);
    let halvings = (0..6).take_while(|n| {
        let step = f64::from(1_u32 << (n + 1));
        (steps / step).fract().abs() < 1e-9
    });
    let shared = f64::from(1_u32 << halvings.count());
    let (over, under) = (steps / shared, 64.0 / shared);
    if under < 1.5 {
        format!("{mm:.2} mm ({over:.0} in)")
    } else {
        format!("{mm:.2} mm ({over:.0}/{under:.0} in)")
    }
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

    /// 0.39 mm is just under 1/64 in = 0.397 mm; 3.175 mm is 1/8 in; 0.41 mm needs 2/64 = 1/32 in; 25.4 mm is 1 in.
    #[test]
    fn lengths_are_said_in_the_next_larger_fraction() {
        assert_eq!(length(0.39), "0.39 mm (1/64 in)");
        assert_eq!(length(3.175), "3.17 mm (1/8 in)");
        assert_eq!(length(0.41), "0.41 mm (1/32 in)");
        assert_eq!(length(25.4), "25.40 mm (1 in)");
    }
}

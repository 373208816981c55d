//! Measured distances as people say them.

use super::{Length, LengthStyle};

/// Returns a distance in millimetres with the next sixty-fourths of an inch that cover it; no fraction below half of the first, where a
/// ruler shows nothing.
///
/// # Examples
///
/// ```
/// use sheetwright::length::with_covering_inches;
///
/// // 1/64 in = 0.397 mm, of which half is 0.198 mm.
/// assert_eq!(with_covering_inches(0.39), "0.39 mm (1/64 in)");
/// assert_eq!(with_covering_inches(0.41), "0.41 mm (1/32 in)");
/// assert_eq!(with_covering_inches(0.12), "0.12 mm");
/// ```
#[must_use]
pub fn with_covering_inches(mm: f64) -> String {
    let shows = mm.is_finite() && mm >= sixty_fourth().to_mm() / 2.0;
    if shows {
        format!("{mm:.2} mm ({})", covering_inches(mm))
    } else {
        format!("{mm:.2} mm")
    }
}

/// Returns the next sixty-fourths of an inch that cover a distance in millimetres: `7/64 in`.
///
/// # Panics
///
/// If `mm` is not a finite number.
#[must_use]
pub fn covering_inches(mm: f64) -> String {
    let step = sixty_fourth();
    let nm = Length::nearest_mm(mm).nm() + step.nm() - 1;
    let inches = step * nm.div_euclid(step.nm());
    inches.display(LengthStyle::InchFractions).to_string()
}

fn sixty_fourth() -> Length {
    Length::from_inch_fraction(1, 64)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 3.175 mm is 1/8 in; 25.4 mm is 1 in; 2.78 mm is just over 7/64 in = 2.778 mm, and 8/64 is 1/8.
    #[test]
    fn inches_are_rounded_up_to_what_a_ruler_shows() {
        for (mm, said) in [
            (0.0, "0.00 mm"),
            (3.175, "3.17 mm (1/8 in)"),
            (2.78, "2.78 mm (1/8 in)"),
            (25.4, "25.40 mm (1 in)"),
            (f64::INFINITY, "inf mm"),
        ] {
            assert_eq!(with_covering_inches(mm), said);
        }
    }
}

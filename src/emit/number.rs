//! How a number becomes text: fixed decimals, trimmed, rounded once.
//!
//! Every format that is written here is read back by programs that choke on exponents and compare text, so a number is spelled
//! the shortest way its decimals allow: `2.5`, never `2.50`, `-0` or `2.5e0`.

/// Returns `value` rounded to at most `decimals` places after the point, halves of the stored binary value to even, without trailing
/// zeros, without exponent and never as `-0`.
///
/// # Panics
///
/// Panics if `value` is not finite: shapes are checked long before they are spelled.
///
/// # Examples
///
/// ```
/// use sheetwright::emit::number::fixed;
/// assert_eq!(fixed(279.4 * 72.0 / 25.4, 4), "792");
/// assert_eq!(fixed(-0.00001, 4), "0");
/// ```
#[must_use]
pub fn fixed(value: f64, decimals: usize) -> String {
    assert!(value.is_finite(), "only finite numbers are written");
    let mut text = format!("{value:.decimals$}");
    if decimals > 0 {
        let kept = text.trim_end_matches('0').trim_end_matches('.').len();
        text.truncate(kept);
    }
    if text == "-0" {
        text.remove(0);
    }
    text
}

/// Returns `value` as the nearest `f32` of its [`fixed`] text, for libraries that take no text.
///
/// # Panics
///
/// As [`fixed`].
#[must_use]
pub fn single(value: f64, decimals: usize) -> f32 {
    fixed(value, decimals)
        .parse()
        .expect("fixed decimals are a number")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_trimmed_to_their_shortest_spelling() {
        let cases = [
            (0.0, 4, "0"),
            (-0.0, 4, "0"),
            (10.0, 0, "10"),
            (10.0, 4, "10"),
            (100.5, 4, "100.5"),
            (-0.25, 4, "-0.25"),
            (-0.000_049, 4, "0"),
            (-0.000_051, 4, "-0.0001"),
            (0.1 + 0.2, 4, "0.3"),
            (1e15, 2, "1000000000000000"),
            (1e-9, 9, "0.000000001"),
        ];
        for (value, decimals, want) in cases {
            assert_eq!(fixed(value, decimals), want, "{value} at {decimals}");
        }
    }

    #[test]
    fn points_of_common_sheets_are_what_the_inch_says() {
        // 1 in = 72 pt = 25.4 mm: Letter 8.5 x 11 in, Tabloid 11 x 17 in, A4 210 x 297 mm worked out by hand to four places.
        let points = [
            (215.9, "612"),
            (279.4, "792"),
            (431.8, "1224"),
            (210.0, "595.2756"),
            (297.0, "841.8898"),
        ];
        for (size_mm, want) in points {
            assert_eq!(fixed(size_mm * 72.0 / 25.4, 4), want);
        }
    }

    #[test]
    fn single_precision_keeps_four_decimals_of_a_page_size() {
        assert_eq!(single(595.275_590_551, 4).to_string(), "595.2756");
        assert_eq!(single(-0.000_01, 4).to_string(), "0");
    }

    #[test]
    #[should_panic(expected = "finite")]
    fn a_number_that_is_none_is_a_bug() {
        let _ = fixed(f64::NAN, 4);
    }
}

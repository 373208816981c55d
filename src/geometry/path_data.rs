//! SVG path data: text to path and back.

use kurbo::{BezPath, PathEl, Point};
use svgtypes::PathParser;

use super::pen::Pen;

/// Why a text is no path data.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PathDataError {
    /// Bytes of the text before the place where reading stopped.
    pub offset: usize,
    /// Characters of the text up to and including the one that cannot be read, so counted from 1.
    pub character: usize,
}

impl PathDataError {
    /// Returns what is wrong, lower case, no full stop.
    #[must_use]
    pub fn message(&self) -> String {
        format!(
            "the path data cannot be read at character {}",
            self.character
        )
    }
}

/// Returns the path that SVG path data draws, in absolute moves, lines, cubic curves and closes.
///
/// Every command of SVG 2 is taken; quadratic curves are raised, arcs become cubics of at most 45 degrees. Numbers are
/// multiplied by `unit_mm`, the length of the text's unit in mm.
///
/// # Errors
///
/// Returns the place of the first character that does not belong; unlike a browser, nothing before it is drawn.
///
/// # Examples
///
/// ```
/// use sheetwright::geometry::path_data::{parse_path_data, to_path_data};
///
/// // Inches; relative commands become absolute ones.
/// let path = parse_path_data("m 1 1 h 2 v 1 z", 25.4).unwrap();
/// assert_eq!(to_path_data(&path, 4), "M 25.4 25.4 L 76.2 25.4 L 76.2 50.8 Z");
/// ```
pub fn parse_path_data(text: &str, unit_mm: f64) -> Result<BezPath, PathDataError> {
    let mut pen = Pen::default();
    for segment in PathParser::from(text) {
        let segment = segment.map_err(|error| error_at(text, &error))?;
        pen.draw(segment);
    }
    let mut path = pen.into_path();
    path.apply_affine(kurbo::Affine::scale(unit_mm));
    Ok(path)
}

fn error_at(text: &str, error: &svgtypes::Error) -> PathDataError {
    use svgtypes::Error as E;
    // Positions come counted in characters from 1, found on ASCII text up to there.
    let character = match error {
        E::UnexpectedData(at)
        | E::InvalidChar(_, at)
        | E::InvalidString(_, at)
        | E::InvalidNumber(at) => *at,
        E::UnexpectedEndOfStream | E::InvalidValue | E::InvalidIdent => text.chars().count() + 1,
    };
    let offset = text
        .char_indices()
        .nth(character.saturating_sub(1))
        .map_or(text.len(), |(i, _)| i);
    PathDataError { offset, character }
}

/// Returns the path as SVG path data: absolute M, L, C and Z, numbers with at most `decimals` decimals and no trailing zeros.
///
/// Quadratic curves, which [`parse_path_data`] never makes, are raised.
#[must_use]
pub fn to_path_data(path: &BezPath, decimals: usize) -> String {
    let mut words: Vec<String> = Vec::new();
    let mut at = Point::ORIGIN;
    for element in path.elements() {
        let (command, points) = match *element {
            PathEl::MoveTo(p) => ("M", vec![p]),
            PathEl::LineTo(p) => ("L", vec![p]),
            PathEl::QuadTo(h, p) => (
                "C",
                vec![at + 2.0 / 3.0 * (h - at), p + 2.0 / 3.0 * (h - p), p],
            ),
            PathEl::CurveTo(a, b, p) => ("C", vec![a, b, p]),
            PathEl::ClosePath => ("Z", vec![]),
        };
        words.push(command.into());
        words.extend(
            points
                .iter()
                .flat_map(|p| [number(p.x, decimals), number(p.y, decimals)]),
        );
        at = points.last().copied().unwrap_or(at);
    }
    words.join(" ")
}

fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    if text == "-0" {
        "0".into()
    } else {
        text.into()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn rewritten(text: &str) -> String {
        to_path_data(&parse_path_data(text, 1.0).unwrap(), 3)
    }

    #[test]
    fn every_command_becomes_m_l_c_or_z() {
        for (text, want) in [
            ("M1 2L3 4", "M 1 2 L 3 4"),
            ("m1 2 3 4 5 6", "M 1 2 L 4 6 L 9 12"),
            ("M1 2H5V6h-1v-1z", "M 1 2 L 5 2 L 5 6 L 4 6 L 4 5 Z"),
            ("M0 0c1 1 2 1 3 0", "M 0 0 C 1 1 2 1 3 0"),
            // Q (0,0) (3,3) (6,0): thirds of the way from the ends to the handle.
            ("M0 0Q3 3 6 0", "M 0 0 C 2 2 4 2 6 0"),
            // The smooth forms mirror the last handle of their own kind, or use the pen's place.
            (
                "M0 0C1 1 2 1 3 0s2 -1 3 0",
                "M 0 0 C 1 1 2 1 3 0 C 4 -1 5 -1 6 0",
            ),
            ("M0 0S2 1 3 0", "M 0 0 C 0 0 2 1 3 0"),
            ("M0 0Q3 3 6 0T12 0", "M 0 0 C 2 2 4 2 6 0 C 8 -2 10 -2 12 0"),
            ("M0 0C1 1 2 1 3 0T6 0", "M 0 0 C 1 1 2 1 3 0 C 3 0 4 0 6 0"),
            // After a close, drawing goes on from the subpath's start.
            ("M1 1h2v2zl-1 -1", "M 1 1 L 3 1 L 3 3 Z M 1 1 L 0 0"),
            ("M1 1h2v2zz", "M 1 1 L 3 1 L 3 3 Z"),
        ] {
            assert_eq!(rewritten(text), want, "{text}");
        }
    }

    #[test]
    fn arcs_join_on_exactly() {
        let path = parse_path_data("M10 0A10 10 0 0 1 0 10L0 0Z", 1.0).unwrap();
        assert_eq!(path.elements().len(), 5);
        assert!(
            matches!(path.elements()[2], PathEl::CurveTo(_, _, p) if p == Point::new(0.0, 10.0))
        );
        // Flags may be run together: rx ry axis, flags 0 and 1, then the end.
        assert_eq!(
            parse_path_data("M10 0a10 10 0 01-10 10L0 0Z", 1.0).unwrap(),
            path
        );
    }

    #[test]
    fn absurd_arcs_do_not_panic() {
        for text in [
            "M1e308 0a1e308 1 0 0 1 1e308 1e308",
            "M0 0A1e-300 1e-300 0 0 0 1 1",
            "M0 0A1 1 1e30 0 0 1 1",
        ] {
            let _ = parse_path_data(text, 25.4).unwrap();
        }
    }

    #[test]
    fn the_unit_scales_every_number() {
        // A circle of 1 in radius, in inches: its lowest point is 50.8 mm down.
        let path = parse_path_data("M0 1a1 1 0 0 0 2 0a1 1 0 0 0-2 0Z", 25.4).unwrap();
        use kurbo::Shape;
        let b = path.bounding_box();
        assert!((b.y1 - 50.8).abs() < 1e-9 && (b.x1 - 50.8).abs() < 1e-9);
    }

    #[test]
    fn mistakes_are_placed_by_character() {
        for (text, character) in [
            ("L 1 1", 1),
            ("M 0 0 L x 1", 9),
            ("M 0 0 Z 5", 9),
            ("M 0 0 A 1 1 0 2 0 5 5", 15),
            ("M 0 0 L 1", 10),
        ] {
            let error = parse_path_data(text, 1.0).unwrap_err();
            assert_eq!(error.character, character, "{text}");
            assert_eq!(error.offset, character - 1);
        }
        let error = parse_path_data("M 0 0 é", 1.0).unwrap_err();
        assert_eq!((error.character, error.offset), (7, 6));
        assert_eq!(
            error.message(),
            "the path data cannot be read at character 7"
        );
        assert!(parse_path_data("", 1.0).unwrap().is_empty());
    }

    #[test]
    fn numbers_are_short_and_never_minus_nothing() {
        let numbers = [
            (0.0, "0"),
            (-0.00001, "0"),
            (1.5, "1.5"),
            (-12.34567, "-12.3457"),
            (100.0, "100"),
            (0.1 + 0.2, "0.3"),
        ];
        for (value, want) in numbers {
            assert_eq!(number(value, 4), want);
        }
        assert_eq!(number(100.4, 0), "100");
    }

    proptest! {
        #[test]
        fn what_is_written_reads_back_the_same(
            points in prop::collection::vec((-500_000..500_000_i32, -500_000..500_000_i32), 8),
        ) {
            // Points on the grid that three decimals write.
            let p: Vec<Point> = points.iter().map(|(x, y)| Point::new(f64::from(*x) / 1000.0, f64::from(*y) / 1000.0)).collect();
            let mut path = BezPath::new();
            path.move_to(p[0]);
            path.line_to(p[1]);
            path.curve_to(p[2], p[3], p[4]);
            path.close_path();
            path.move_to(p[5]);
            path.line_to(p[6]);
            path.line_to(p[7]);
            prop_assert_eq!(parse_path_data(&to_path_data(&path, 3), 1.0).unwrap(), path);
        }
    }
}

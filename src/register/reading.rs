//! Where a mark was found, as typed or from a picture.

use std::collections::BTreeMap;

use kurbo::{Point, Vec2};

use crate::diagnostic::Diagnostic;
use crate::length::parse_point;
use crate::plan::PRICKED;

/// How the marks were found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReadBy {
    /// Distances from the sheet's or mat's top left corner, by a ruler.
    Ruler,
    /// Distances from where the machine pricked to where the mark is, by verniers.
    Prick,
    /// In a scan.
    Scan,
    /// In a photo.
    Photo,
}

impl ReadBy {
    /// Returns the name that files use.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ruler => "ruler",
            Self::Prick => "prick",
            Self::Scan => "scan",
            Self::Photo => "photo",
        }
    }

    /// Returns the standard deviation of one coordinate where nobody says otherwise, in millimetres: a plain ruler read to 0.5 mm, a
    /// vernier with its setting, and what was measured of pictures.
    #[must_use]
    pub const fn usual_sigma_mm(self) -> f64 {
        match self {
            Self::Ruler => 0.165,
            Self::Prick => 0.1,
            Self::Scan => 0.01,
            Self::Photo => 0.15,
        }
    }
}

/// Where a mark was found.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkReading {
    /// Id of the mark.
    pub id: String,
    /// Where its centre is: on the sheet as it lies, counted from the corner that the machine counts from.
    pub at: Point,
    /// Standard deviation of one coordinate, in millimetres.
    pub sigma_mm: f64,
}

/// Reads `m1=16.2 mm, 15.9 mm`.
///
/// # Errors
///
/// There is no `=`, or behind it stands no point.
///
/// # Examples
///
/// ```
/// let (id, at) = sheetwright::register::parse_reading("m2 = 8 in, 1/2 in").unwrap();
/// assert_eq!((id.as_str(), at.x, at.y), ("m2", 203.2, 12.7));
/// ```
pub fn parse_reading(text: &str) -> Result<(String, Point), Diagnostic> {
    let Some((id, point)) = text.split_once('=') else {
        let message = format!("\"{text}\" names no mark");
        let hint = "write --mark \"m1=16.2 mm, 15.9 mm\": from the left, then from the top";
        return Err(Diagnostic::error("register.reading", message).hint(hint));
    };
    let id = id.trim();
    let (x, y) = parse_point(point, None).map_err(|error| {
        let message = format!("mark {id}: {}", error.message());
        Diagnostic::error("register.reading", message).hint(error.hint())
    })?;
    Ok((id.to_owned(), Point::new(x.to_mm(), y.to_mm())))
}

/// Reads `m1=-1 7, 0 3`: whole millimetres and tenths of the verniers along x and along y; `None` where the text is no such thing.
///
/// # Examples
///
/// ```
/// use sheetwright::register::parse_verniers;
/// assert_eq!(parse_verniers("m1 = -1 7, 0 3"), Some(("m1".to_owned(), [(-1, 7), (0, 3)])));
/// assert_eq!(parse_verniers("m1 = -1 mm, 0 mm"), None);
/// ```
#[must_use]
pub fn parse_verniers(text: &str) -> Option<(String, [(i32, i32); 2])> {
    let (id, both) = text.split_once('=')?;
    let (x, y) = both.split_once(',')?;
    let one = |text: &str| {
        let mut numbers = text.split_whitespace().map(str::parse::<i32>);
        match (numbers.next()?, numbers.next()?, numbers.next()) {
            (Ok(whole), Ok(tenth), None) if PRICKED.contains(&tenth) && whole.abs() <= 20 => {
                Some((whole, tenth))
            }
            (Ok(_) | Err(_), Ok(_) | Err(_), _) => None,
        }
    };
    Some((id.trim().to_owned(), [one(x)?, one(y)?]))
}

/// Takes the mean of what was read more than once, and the error of a reading from how the repeats scatter where there are enough of
/// them to tell (four coordinates beyond the means); else each reading has `sigma_mm`.
#[must_use]
pub fn pooled(read: &[(String, Point)], sigma_mm: f64) -> Vec<MarkReading> {
    let mut by_id: BTreeMap<&str, Vec<Point>> = BTreeMap::new();
    for (id, at) in read {
        by_id.entry(id).or_default().push(*at);
    }
    let (mut square_sum, mut freedom) = (0.0, 0_u32);
    for points in by_id.values() {
        let mean = mean(points);
        square_sum += points.iter().map(|p| (*p - mean).hypot2()).sum::<f64>();
        freedom += 2 * (count(points) - 1);
    }
    let sigma_mm = if freedom >= 4 {
        let found = (square_sum / f64::from(freedom)).sqrt();
        found.max(crate::fit::LEAST_TYPED_MM)
    } else {
        sigma_mm
    };
    let readings = by_id.into_iter().map(|(id, points)| MarkReading {
        id: id.to_owned(),
        at: mean(&points),
        sigma_mm: sigma_mm / f64::from(count(&points)).sqrt(),
    });
    readings.collect()
}

fn count(points: &[Point]) -> u32 {
    u32::try_from(points.len()).unwrap_or(u32::MAX)
}

fn mean(points: &[Point]) -> Point {
    let sum = points.iter().fold(Vec2::ZERO, |sum, p| sum + p.to_vec2());
    (sum / f64::from(count(points).max(1))).to_point()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two readings of two marks each, 0.2 mm apart in x: the mean lies between, each deviates by 0.1, so that s^2 = 4 x 0.01 / 4 = 0.01
    /// and the error of a mean of two is 0.1 / 1.41 = 0.0707.
    #[test]
    fn repeats_tell_how_well_somebody_reads() {
        let read = |id: &str, x: f64| (id.to_owned(), Point::new(x, 5.0));
        let all = [
            read("m1", 10.0),
            read("m2", 50.0),
            read("m1", 10.2),
            read("m2", 50.2),
        ];
        let pooled = pooled(&all, 0.165);
        assert_eq!(pooled.len(), 2);
        assert!((pooled[0].at.x - 10.1).abs() < 1e-12 && (pooled[1].at.x - 50.1).abs() < 1e-12);
        assert!((pooled[0].sigma_mm - 0.0707).abs() < 1e-4, "{pooled:?}");
    }

    #[test]
    fn single_readings_have_the_usual_error() {
        let pooled = pooled(&[("m1".to_owned(), Point::new(1.0, 2.0))], 0.165);
        assert!((pooled[0].sigma_mm - 0.165).abs() < 1e-12);
    }

    #[test]
    fn what_is_no_reading_is_told_with_what_to_type() {
        for text in ["16 mm, 15 mm", "m1=16, 15", "m1=16 mm", "m1=", "m1=a, b"] {
            let error = parse_reading(text).unwrap_err();
            assert!(error.is_error() && !error.hints.is_empty(), "{text}");
        }
    }
}

//! What was read off a chart, as it was typed.

use kurbo::Size;

use crate::date::Date;
use crate::diagnostic::Origin;

/// What the marks of a ruler are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ruler {
    /// Millimetres.
    Millimetres,
    /// Fractions of an inch.
    Inches,
}

/// Readings with what people know of the sheet they were taken from.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingSheet {
    /// PWG 5101.1 name of the chart's format.
    pub format: String,
    /// Size of the chart's page as it was fed, in millimetres.
    pub page: Size,
    /// What it was read with.
    pub ruler: Ruler,
    /// Day of the readings.
    pub date: Option<Date>,
    /// Name of the printer or cutter, for people.
    pub name: Option<String>,
    /// Paper it was printed on, in the maker's words.
    pub paper: Option<String>,
    /// Tray it was fed from, in the maker's words.
    pub tray: Option<String>,
    /// The readings, in the order they were typed.
    pub readings: Vec<TypedReading>,
}

/// One reading, repeated or not.
#[derive(Debug, Clone, PartialEq)]
pub struct TypedReading {
    /// What was read: `x1` and so on, as the chart calls it.
    pub key: String,
    /// What was typed, one text for each time it was read.
    pub values: Vec<String>,
    /// Where it stands, if it stands in a file.
    pub origin: Option<Origin>,
}

impl TypedReading {
    /// Returns a reading typed as one text, such as `20.4, 20.5`.
    #[must_use]
    pub fn typed(key: &str, text: &str) -> Self {
        let values = text.split([',', ';']).map(str::trim);
        Self {
            key: key.to_owned(),
            values: values
                .filter(|v| !v.is_empty())
                .map(str::to_owned)
                .collect(),
            origin: None,
        }
    }
}

impl ReadingSheet {
    /// Returns what was typed for a key; empty if nothing was.
    #[must_use]
    pub fn values(&self, key: &str) -> &[String] {
        self.readings
            .iter()
            .find(|r| r.key == key)
            .map_or(&[], |r| &r.values)
    }

    /// Returns all readings as they are kept in a profile: the key, and what was typed.
    #[must_use]
    pub fn kept(&self) -> Vec<(String, String)> {
        let one = |r: &TypedReading| (r.key.clone(), r.values.join(", "));
        self.readings.iter().map(one).collect()
    }
}

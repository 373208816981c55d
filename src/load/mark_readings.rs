//! Where the register marks of a printed sheet were found: a file of its own.

use kurbo::Point;
use toml::de::DeValue;

use super::document::{Document, check_version};
use super::mistakes::Mistakes;
use super::table::Table;
use super::value::Value;
use crate::diagnostic::{Diagnostic, sort_by_place};
use crate::length::Size;

/// The version of such files that is read.
const VERSION: u32 = 1;

/// Sheets are counted up to here, far beyond any job's.
const MOST_SHEETS: u32 = 9999;

/// Pricked lines are counted up to here.
const LAST_TENTH: u32 = 10;

/// Whole millimetres are read up to here, beyond any printed scale.
const MOST_WHOLE_MM: i32 = 20;

/// What somebody read off a printed sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkReadings {
    /// Number of the sheet, if it is named.
    pub sheet: Option<u32>,
    /// Standard deviation of one reading in millimetres, if it is stated.
    pub sigma_mm: Option<f64>,
    /// The marks, in the file's order; one that was read more than once stands there as often.
    pub marks: Vec<MarkRead>,
}

/// One mark that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkRead {
    /// Its id.
    pub id: String,
    /// What was read.
    pub found: MarkFoundAt,
}

/// What was read of a mark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MarkFoundAt {
    /// How far its centre is from the left and from the top, or from its prick, in millimetres.
    Place(Point),
    /// Whole millimetres and tenths of the verniers along x and along y.
    Verniers([(i32, i32); 2]),
}

/// Returns what a file of readings says.
///
/// # Errors
///
/// Every mistake of the file, sorted by place.
///
/// # Examples
///
/// ```
/// use sheetwright::load::{MarkFoundAt, mark_readings};
///
/// let text = r#"
/// sheetwright_readings = 1
/// sheet = 2
/// [[mark]]
/// id = "m1"
/// at = "16.2 mm, 15.9 mm"
/// "#;
/// let readings = mark_readings("marks.toml", text).unwrap();
/// assert_eq!(readings.sheet, Some(2));
/// let MarkFoundAt::Place(at) = readings.marks[0].found else { panic!() };
/// assert_eq!((at.x, at.y), (16.2, 15.9));
/// ```
pub fn mark_readings(file_name: &str, text: &str) -> Result<MarkReadings, Vec<Diagnostic>> {
    let mistakes = Mistakes::new(file_name, text);
    let readings = Document::parse(&mistakes).and_then(|document| {
        mistakes.show_lengths_in(document.lengths_as_typed());
        read(&document.root(&mistakes))
    });
    let mut found = mistakes.take();
    sort_by_place(&mut found);
    match readings {
        Some(readings) if found.is_empty() => Ok(readings),
        Some(_) | None => Err(found),
    }
}

fn read(root: &Table<'_>) -> Option<MarkReadings> {
    check_version(
        root,
        "sheetwright_readings",
        VERSION,
        "a file of mark readings",
    )?;
    let sheet = root.optional("sheet", |v| v.whole(1..=MOST_SHEETS));
    let sigma = root.optional("reading_error", Value::size);
    let marks: Vec<_> = root.tables("mark").iter().map(read_mark).collect();
    root.close();
    Some(MarkReadings {
        sheet,
        sigma_mm: sigma.map(Size::to_mm),
        marks: marks.into_iter().collect::<Option<_>>()?,
    })
}

fn read_mark(table: &Table<'_>) -> Option<MarkRead> {
    let id = table.required("id", "id = \"m1\"", Value::words);
    table.know(&["at", "x", "y"]);
    let found = if table.has("x") || table.has("y") {
        let x = table.required("x", "x = [-1, 7]", read_vernier);
        let y = table.required("y", "y = [0, 3]", read_vernier);
        x.zip(y).map(|(x, y)| MarkFoundAt::Verniers([x, y]))
    } else {
        let at = table.required("at", "at = \"16.2 mm, 15.9 mm\"", Value::point);
        at.map(|(x, y)| MarkFoundAt::Place(Point::new(x.to_mm(), y.to_mm())))
    };
    table.close();
    Some(MarkRead {
        id: id?,
        found: found?,
    })
}

/// Reads `[-1, 7]`: the whole millimetres at the first pricked line, and the number of the one that meets a printed line.
fn read_vernier(value: &Value<'_>) -> Option<(i32, i32)> {
    let items = value.list("[-1, 7]")?;
    let [whole, _] = &items[..] else {
        return value.wrong_type("two whole numbers", "write [-1, 7]");
    };
    let whole = match whole.get() {
        DeValue::Integer(number) => number.as_str().parse().ok(),
        DeValue::String(_)
        | DeValue::Float(_)
        | DeValue::Boolean(_)
        | DeValue::Datetime(_)
        | DeValue::Array(_)
        | DeValue::Table(_) => None,
    };
    let whole: Option<i32> = whole.filter(|mm: &i32| mm.abs() <= MOST_WHOLE_MM);
    let Some(whole) = whole else {
        return value.wrong_type("whole millimetres and tenths", "write [-1, 7]");
    };
    let tenth = items[1].whole(0..=LAST_TENTH)?;
    Some((whole, i32::try_from(tenth).ok()?))
}

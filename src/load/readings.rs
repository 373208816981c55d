//! What a maker read off a chart, written down in a file.

use kurbo::Size;
use toml::de::DeValue;

use super::calibration::read_date;
use super::document::{Document, check_version};
use super::mistakes::Mistakes;
use super::read_project::NamedText;
use super::table::Table;
use super::value::Value;
use super::{code, format};
use crate::diagnostic::{Diagnostic, sort_by_place};
use crate::project::{ReadingSheet, Ruler, TypedReading};

/// The version of files with readings that is read.
const VERSION: u32 = 1;

const EDITION: &[(&str, Ruler)] = &[("mm", Ruler::Millimetres), ("inch", Ruler::Inches)];

/// Returns the readings that a file holds, as they were typed; what they mean is for the chart to say.
///
/// # Errors
///
/// Returns every mistake of the file, sorted by place; after a mistake in the TOML itself only mistakes of that kind.
///
/// # Examples
///
/// ```
/// use sheetwright::load::{NamedText, readings};
///
/// let text = r#"
/// sheetwright_readings = 1
/// format = "a4"
/// edition = "mm"
/// [readings]
/// x1 = "20.4, 20.5"
/// x2 = 181.0
/// "#;
/// let named = NamedText { name: "readings.toml".to_owned(), text: text.to_owned() };
/// let sheet = readings(&named).unwrap();
/// assert_eq!(sheet.values("x1"), ["20.4", "20.5"]);
/// assert_eq!(sheet.values("x2"), ["181.0"]);
/// ```
pub fn readings(named: &NamedText) -> Result<ReadingSheet, Vec<Diagnostic>> {
    let mistakes = Mistakes::new(&named.name, &named.text);
    let sheet = Document::parse(&mistakes).and_then(|document| read(&document.root(&mistakes)));
    let mut found = mistakes.take();
    sort_by_place(&mut found);
    match sheet {
        Some(sheet) if found.is_empty() => Ok(sheet),
        Some(_) | None => Err(found),
    }
}

fn read(root: &Table<'_>) -> Option<ReadingSheet> {
    check_version(
        root,
        "sheetwright_readings",
        VERSION,
        "a file with readings",
    )?;
    let sheet = format::read(root, "page");
    let edition = root.required("edition", "edition = \"mm\" or edition = \"inch\"", |v| {
        v.choice(EDITION)
    });
    let date = root.optional("date", read_date);
    let name = root.optional("name", Value::words);
    let paper = root.optional("paper", Value::words);
    let tray = root.optional("tray", Value::words);
    let readings = match root.table("readings") {
        Some(table) => table.pairs().into_iter().map(read_one).collect(),
        None if root.has("readings") => None,
        None => root.missing(
            "readings",
            "[readings] with a line for each, such as x1 = \"20.4, 20.5\"",
        ),
    };
    root.close();
    let (sheet, mut readings): (_, Vec<TypedReading>) = (sheet?, readings?);
    readings.sort_by_key(|r| r.origin.as_ref().map(|o| o.place.span.start));
    Some(ReadingSheet {
        format: sheet.format,
        page: Size::new(sheet.width.to_mm(), sheet.height.to_mm()),
        ruler: edition?,
        date,
        name,
        paper,
        tray,
        readings,
    })
}

fn read_one((key, _, value): (&str, crate::diagnostic::Origin, Value<'_>)) -> Option<TypedReading> {
    let texts: Vec<String> = match value.get() {
        DeValue::Array(_) => {
            let items = value.list("[20.4, 20.5]")?;
            items.iter().map(number_or_text).collect::<Option<_>>()?
        }
        DeValue::String(_)
        | DeValue::Integer(_)
        | DeValue::Float(_)
        | DeValue::Boolean(_)
        | DeValue::Datetime(_)
        | DeValue::Table(_) => vec![number_or_text(&value)?],
    };
    let reading = TypedReading {
        origin: Some(value.origin()),
        ..TypedReading::typed(key, &texts.join(","))
    };
    if reading.values.is_empty() {
        let hint = format!("write {}, or leave the line out", value.typed("\"20.4\""));
        return value.fail(code::TEXT_EMPTY, format!("{key} is empty"), hint);
    }
    Some(reading)
}

/// A number as it is spelled, or a text.
fn number_or_text(value: &Value<'_>) -> Option<String> {
    match value.get() {
        DeValue::Integer(_) | DeValue::Float(_) => Some(value.source().to_owned()),
        DeValue::String(text) => Some(text.to_string()),
        DeValue::Boolean(_) | DeValue::Datetime(_) | DeValue::Array(_) | DeValue::Table(_) => {
            value.wrong_type("a reading", &format!("write {}", value.typed("\"20.4\"")))
        }
    }
}

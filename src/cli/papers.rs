//! `papers`: the sheet formats.

use super::options::{Format, PapersVerb};
use super::report;
use super::{DONE, WRONG};
use crate::paper::{self, FormatRow};

/// Runs the verb and returns the exit code.
pub(super) fn run(options: &PapersVerb, format: Format) -> u8 {
    let wanted = options.name.as_deref().unwrap_or_default().to_lowercase();
    let rows: Vec<FormatRow<'_>> = paper::formats()
        .iter()
        .map(paper::Format::row)
        .filter(|row| names(row).any(|name| name.to_lowercase().contains(&wanted)))
        .collect();
    match format {
        Format::Json => report::result(&report::pretty(&serde_json::json!(rows))),
        Format::Text => report::result(&table(&rows)),
    }
    if rows.is_empty() {
        report::talk(&format!("no format's name holds \"{wanted}\"\n"));
        return WRONG;
    }
    DONE
}

fn names<'a>(row: &FormatRow<'a>) -> impl Iterator<Item = &'a str> + use<'a> {
    std::iter::once(row.name).chain(row.common_names.iter().map(String::as_str))
}

fn table(rows: &[FormatRow<'_>]) -> String {
    let mut text = format!(
        "{:32} {:>17}  {:>17}  {:28} also\n",
        "name", "mm", "tolerance", "source"
    );
    for row in rows {
        let size = format!("{} x {}", row.width_mm, row.height_mm);
        let tolerance = row
            .tolerance_mm
            .map_or_else(|| "-".to_owned(), |[w, h]| format!("±{w} x ±{h}"));
        let names = row.common_names.join(", ");
        text += format!(
            "{:32} {size:>17}  {tolerance:>17}  {:28} {names}",
            row.name, row.standard
        )
        .trim_end();
        text.push('\n');
    }
    text
}

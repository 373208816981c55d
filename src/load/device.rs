//! The profiles of printer, cutter and trimmer, each a file of its own.

use super::code;
use super::document::{Document, check_version};
use super::mistakes::Mistakes;
use super::table::Table;
use super::value::Value;
use super::{format, paper_weight, sides};
use crate::diagnostic::{Diagnostic, Origin};
use crate::length::LengthStyle;
use crate::project::{CutterProfile, PrinterProfile, SheetLimit, TrimmerProfile};

/// Version of all kinds of profile.
const VERSION: u32 = 1;

/// A profile file's name and text, and what names it.
#[derive(Debug)]
pub(super) struct ProfileText {
    pub(super) file: String,
    pub(super) text: String,
    pub(super) origin: Origin,
}

/// Reads a printer profile; mistakes in it are added to `found`.
pub(super) fn read_printer(
    profile: &ProfileText,
    style: LengthStyle,
    found: &mut Vec<Diagnostic>,
) -> Option<PrinterProfile> {
    read_profile(profile, style, found, |table| {
        check_version(table, "sheetwright_printer", VERSION, "a printer profile")?;
        let name = table.required("name", "name = \"Attic printer\"", Value::words);
        let margins = table.required("margins", "margins = \"1/4 in\"", |v| {
            sides::read(v, Value::length)
        });
        let largest = table.optional("largest", read_limit);
        let smallest = table.optional("smallest", read_limit);
        let heaviest_gsm = table.optional("heaviest", paper_weight::read);
        table.close();
        if let (Some(largest), Some(smallest)) = (largest, smallest) {
            refuse_contradiction(table, largest, smallest);
        }
        Some(PrinterProfile {
            name: Some(name?),
            margins: margins?,
            largest,
            smallest,
            heaviest_gsm,
            calibration: None,
            origin: Some(profile.origin.clone()),
        })
    })
}

/// Reads a cutter profile; mistakes in it are added to `found`.
pub(super) fn read_cutter(
    profile: &ProfileText,
    style: LengthStyle,
    found: &mut Vec<Diagnostic>,
) -> Option<CutterProfile> {
    read_profile(profile, style, found, |table| {
        check_version(table, "sheetwright_cutter", VERSION, "a cutter profile")?;
        let name = table.required("name", "name = \"Bench cutter\"", Value::words);
        let unreachable = table.optional("unreachable", |v| sides::read(v, Value::length));
        let largest = table.optional("largest", read_limit);
        table.close();
        Some(CutterProfile {
            name: Some(name?),
            unreachable: unreachable.unwrap_or(CutterProfile::default().unreachable),
            largest,
            calibration: None,
            origin: Some(profile.origin.clone()),
        })
    })
}

/// Reads a trimmer profile; mistakes in it are added to `found`.
pub(super) fn read_trimmer(
    profile: &ProfileText,
    style: LengthStyle,
    found: &mut Vec<Diagnostic>,
) -> Option<TrimmerProfile> {
    read_profile(profile, style, found, |table| {
        check_version(table, "sheetwright_trimmer", VERSION, "a trimmer profile")?;
        let name = table.required("name", "name = \"Bench trimmer\"", Value::words);
        let reach = table.required("reach", "reach = \"12 in\"", Value::size);
        let stack = table.optional("stack", Value::size);
        let division = table.optional("division", Value::size);
        let least_held = table.optional("least_held", Value::length);
        table.close();
        let unknown = TrimmerProfile::default();
        Some(TrimmerProfile {
            name: Some(name?),
            reach: reach?,
            stack: stack.unwrap_or(unknown.stack),
            division,
            least_held: least_held.unwrap_or(unknown.least_held),
            origin: Some(profile.origin.clone()),
        })
    })
}

fn read_profile<T>(
    profile: &ProfileText,
    style: LengthStyle,
    found: &mut Vec<Diagnostic>,
    read: impl FnOnce(&Table<'_>) -> Option<T>,
) -> Option<T> {
    let mistakes = Mistakes::new(&profile.file, &profile.text);
    mistakes.show_lengths_in(style);
    let document = Document::parse(&mistakes);
    let value = document
        .as_ref()
        .and_then(|document| read(&document.root(&mistakes)));
    found.extend(mistakes.take());
    value
}

fn read_limit(value: &Value<'_>) -> Option<SheetLimit> {
    let (short, long) = format::read_sides(value)?;
    Some(SheetLimit { short, long })
}

fn refuse_contradiction(table: &Table<'_>, largest: SheetLimit, smallest: SheetLimit) {
    if smallest.short <= largest.short && smallest.long <= largest.long {
        return;
    }
    let show = |limit: SheetLimit| {
        let show = |length| table.mistakes().show(length);
        format!(
            "{} x {}",
            show(limit.short.length()),
            show(limit.long.length())
        )
    };
    let message = format!(
        "the smallest sheet, {}, does not fit into the largest, {}",
        show(smallest),
        show(largest)
    );
    table.mistakes().fail::<()>(
        code::DEVICE_LIMITS,
        &table.origin_of("smallest"),
        message,
        "give smallest and largest the other way round",
    );
}

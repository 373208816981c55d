//! The profiles of printer, cutter and trimmer, each a file of its own.

use super::code;
use super::document::{Document, check_version};
use super::mistakes::Mistakes;
use super::read_project::NamedText;
use super::table::Table;
use super::value::Value;
use super::{calibration, format, paper_weight, sides};
use crate::date::Date;
use crate::diagnostic::{Diagnostic, Origin, Place, Warned, sort_by_place};
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

impl ProfileText {
    /// A profile that the caller gives is named by nothing but itself.
    pub(super) fn given(named: &NamedText) -> Self {
        Self {
            file: named.name.clone(),
            text: named.text.clone(),
            origin: Origin {
                key_path: String::new(),
                place: Place {
                    file: named.name.clone(),
                    span: 0..0,
                },
            },
        }
    }
}

/// How a profile is read.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reading {
    /// How messages show lengths.
    pub(super) style: LengthStyle,
    /// The day from which the age of a measurement is counted.
    pub(super) today: Option<Date>,
}

/// Returns the printer that a profile declares, with warnings.
///
/// `today` is the day from which the age of its measurement is counted; without it no age is.
///
/// # Errors
///
/// Returns every mistake of the profile, sorted by place; after a mistake in the TOML itself only mistakes of that kind.
///
/// # Examples
///
/// ```
/// use sheetwright::load::{NamedText, printer_profile};
///
/// let text = "sheetwright_printer = 1\nname = \"Attic printer\"\nmargins = \"5 mm\"\n";
/// let named = NamedText { name: "printer.toml".to_owned(), text: text.to_owned() };
/// let printer = printer_profile(&named, None).unwrap().value;
/// assert_eq!(printer.margins.left.to_mm(), 5.0);
/// assert!(printer.calibration.is_none());
/// ```
pub fn printer_profile(
    named: &NamedText,
    today: Option<Date>,
) -> Result<Warned<PrinterProfile>, Vec<Diagnostic>> {
    alone(named, today, read_printer)
}

/// Returns the cutting machine that a profile declares, with warnings.
///
/// `today` is the day from which the age of its measurement is counted; without it no age is.
///
/// # Errors
///
/// Returns every mistake of the profile, sorted by place; after a mistake in the TOML itself only mistakes of that kind.
pub fn cutter_profile(
    named: &NamedText,
    today: Option<Date>,
) -> Result<Warned<CutterProfile>, Vec<Diagnostic>> {
    alone(named, today, read_cutter)
}

/// Reads a profile that no project names.
fn alone<T>(
    named: &NamedText,
    today: Option<Date>,
    read: impl FnOnce(&ProfileText, Reading, &mut Vec<Diagnostic>) -> Option<T>,
) -> Result<Warned<T>, Vec<Diagnostic>> {
    let mistakes = Mistakes::new(&named.name, &named.text);
    let style =
        Document::parse(&mistakes).map_or(LengthStyle::Millimetres, |d| d.lengths_as_typed());
    let mut found = Vec::new();
    let value = read(
        &ProfileText::given(named),
        Reading { style, today },
        &mut found,
    );
    sort_by_place(&mut found);
    match value {
        Some(value) if !found.iter().any(Diagnostic::is_error) => Ok(Warned {
            value,
            warnings: found,
        }),
        Some(_) | None => Err(found),
    }
}

/// Reads a printer profile; mistakes in it are added to `found`.
pub(super) fn read_printer(
    profile: &ProfileText,
    reading: Reading,
    found: &mut Vec<Diagnostic>,
) -> Option<PrinterProfile> {
    read_profile(profile, reading.style, found, |table| {
        check_version(table, "sheetwright_printer", VERSION, "a printer profile")?;
        let name = table.required("name", "name = \"Attic printer\"", Value::words);
        let margins = table.required("margins", "margins = \"1/4 in\"", |v| {
            sides::read(v, Value::length)
        });
        let largest = table.optional("largest", read_limit);
        let smallest = table.optional("smallest", read_limit);
        let heaviest_gsm = table.optional("heaviest", paper_weight::read);
        let calibration = table
            .table("calibration")
            .map(|t| calibration::read_printer(&t, reading.today));
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
            calibration: calibration.flatten(),
            origin: Some(profile.origin.clone()),
        })
    })
}

/// Reads a cutter profile; mistakes in it are added to `found`.
pub(super) fn read_cutter(
    profile: &ProfileText,
    reading: Reading,
    found: &mut Vec<Diagnostic>,
) -> Option<CutterProfile> {
    read_profile(profile, reading.style, found, |table| {
        check_version(table, "sheetwright_cutter", VERSION, "a cutter profile")?;
        let name = table.required("name", "name = \"Bench cutter\"", Value::words);
        let unreachable = table.optional("unreachable", |v| sides::read(v, Value::length));
        let largest = table.optional("largest", read_limit);
        let calibration = table
            .table("calibration")
            .map(|t| calibration::read_cutter(&t, reading.today));
        table.close();
        Some(CutterProfile {
            name: Some(name?),
            unreachable: unreachable.unwrap_or(CutterProfile::default().unreachable),
            largest,
            calibration: calibration.flatten(),
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

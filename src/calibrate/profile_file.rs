//! The profile of a measured printer or cutter as a file that people can read, and that `load` reads back to the last bit.
//!
//! A profile that is there already keeps its name, its limits and its comments: only `[calibration]` is replaced, and the margins
//! where they were measured.

use kurbo::{Affine, Size, Vec2};

use crate::date;
use crate::diagnostic::{Diagnostic, Warned};
use crate::fit::{Spread, Terms};
use crate::length::{Length, LengthStyle};
use crate::load::{self, Edit, NamedText};
use crate::math::round_to;
use crate::paper;
use crate::project::{Calibration, CutterCalibration, CutterProfile, Edges, PrinterProfile};

/// How something was measured, for people.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Account {
    /// The way it was measured, such as `by eye, 8 verniers`.
    pub method: String,
    /// What was read, each reading under the name it is typed by.
    pub readings: Vec<(String, String)>,
}

/// A profile as text, and as `load` reads it.
#[derive(Debug, Clone, PartialEq)]
pub struct Written<T> {
    /// The file's text.
    pub text: String,
    /// What it says.
    pub profile: T,
}

/// Returns the profile of a measured printer: `before` with the measurement renewed, or a new one called `name`.
///
/// Numbers are rounded to four decimals (a thousandth of a millimetre over a page), so that the profile as read is what holds.
/// Margins that were not measured stay, and are 1/4 in in a new profile.
///
/// # Errors
///
/// Returns the mistakes of the profile before, or what of the new one cannot be read, such as a name in letters that cannot
/// be printed.
pub fn printer_file(
    calibration: &Calibration,
    margins: Option<Edges<Length>>,
    account: &Account,
    name: &str,
    before: Option<&NamedText>,
) -> Result<Written<PrinterProfile>, Vec<Diagnostic>> {
    let tables = printer_tables(calibration, account);
    let text = match before {
        Some(before) => {
            load::printer_profile(before, None)?;
            let mut edits = vec![Edit::Replace {
                table: "calibration",
                text: tables,
            }];
            edits.extend(margins.map(|margins| Edit::SetRoot {
                key: "margins",
                toml: margins_text(margins),
            }));
            load::edit(&before.text, &edits)
        }
        None => {
            let margins = match margins {
                Some(margins) => margins_text(margins),
                None => "\"1/4 in\"   # not measured; published manuals agree that this is safe"
                    .to_owned(),
            };
            let name = quoted(name);
            format!("sheetwright_printer = 1\nname = {name}\nmargins = {margins}\n\n{tables}")
        }
    };
    let named = NamedText {
        name: before.map_or_else(|| "printer.toml".to_owned(), |b| b.name.clone()),
        text,
    };
    let Warned { value, .. } = load::printer_profile(&named, None)?;
    Ok(Written {
        text: named.text,
        profile: value,
    })
}

/// Returns the profile of a measured cutter: `before` with the measurement renewed, or a new one called `name`.
///
/// `page` is the format the test cut was made on, about whose middle the shift is told.
///
/// # Errors
///
/// As [`printer_file`].
pub fn cutter_file(
    calibration: &CutterCalibration,
    page: (&str, Size),
    account: &Account,
    name: &str,
    before: Option<&NamedText>,
) -> Result<Written<CutterProfile>, Vec<Diagnostic>> {
    let tables = cutter_tables(calibration, page, account);
    let text = match before {
        Some(before) => {
            load::cutter_profile(before, None)?;
            let renewed = Edit::Replace {
                table: "calibration",
                text: tables,
            };
            load::edit(&before.text, &[renewed])
        }
        None => format!(
            "sheetwright_cutter = 1\nname = {}\n\n{tables}",
            quoted(name)
        ),
    };
    let named = NamedText {
        name: before.map_or_else(|| "cutter.toml".to_owned(), |b| b.name.clone()),
        text,
    };
    let Warned { value, .. } = load::cutter_profile(&named, None)?;
    Ok(Written {
        text: named.text,
        profile: value,
    })
}

fn printer_tables(calibration: &Calibration, account: &Account) -> String {
    let Calibration {
        date,
        format,
        page,
        paper,
        tray,
        front,
        back,
    } = calibration;
    let mut text = head(*date, (format, *page));
    for (key, words) in [("paper", paper), ("tray", tray)] {
        text += &words
            .as_ref()
            .map_or_else(String::new, |w| format!("{key} = {}\n", quoted(w)));
    }
    text += &format!("method = {}\n", quoted(&account.method));
    text += "\n# What the printer does to the front.\n";
    text += &map_text("front", front.sheet_from_page, &front.spread, *page);
    if let Some(back) = back {
        text += "\n# What it does to the back, seen from the front through the sheet: with the front's numbers, both sides would meet.\n";
        text += &map_text("back", back.sheet_from_page, &back.spread, *page);
    }
    text + &readings_text(account)
}

fn cutter_tables(calibration: &CutterCalibration, page: (&str, Size), account: &Account) -> String {
    let mut text = head(calibration.date, page);
    text += &format!("method = {}\n", quoted(&account.method));
    let repeat = significant(calibration.repeat_mm);
    text += &format!(
        "repeat = {{ mm = {repeat} }}   # how much one cut differs from the next, as a standard deviation\n"
    );
    text += "\n# What the cutter does to a cut file.\n";
    text += &map_text(
        "cut",
        calibration.cut_from_file,
        &calibration.spread,
        page.1,
    );
    text + &readings_text(account)
}

fn head(day: date::Date, (format, page): (&str, Size)) -> String {
    let mut text = format!(
        "# Measured; \"within\" is how far a number may be off, 19 times in 20.\n[calibration]\ndate = {}\n",
        date::show(day)
    );
    let (short, long) = (page.width.min(page.height), page.width.max(page.height));
    let is_same = |f: &&paper::Format| {
        (f.short_side().to_mm() - short).abs() < 1e-6 && (f.long_side().to_mm() - long).abs() < 1e-6
    };
    let show = |mm: f64| Length::nearest_mm(mm).display(LengthStyle::Millimetres);
    let size = format!("{} x {}", show(page.width), show(page.height));
    if paper::find(format).filter(is_same).is_some() {
        text += &format!("format = {}   # {size}\n", quoted(format));
        if page.width > page.height {
            text += "orientation = \"landscape\"\n";
        }
    } else {
        text += &format!("format = {}\n", quoted(&size));
    }
    text
}

/// One face as a table, the numbers about the middle of the page.
fn map_text(face: &str, map: Affine, spread: &Spread, page: Size) -> String {
    let centre = page.to_rect().center();
    let spread = spread.counted_from(centre);
    let (x, y) = (typed_row(&spread.x), typed_row(&spread.y));
    let is = rounded(Terms::of(map, centre));
    // Told from the rounded numbers, so that the file says the same when it is written again.
    let known = Spread {
        about: centre,
        x: read_row(x),
        y: read_row(y),
    };
    let within = Terms::within_95(is.to_map(centre), &known, centre);
    let mut text = format!("[calibration.{face}]\n");
    for (key, unit, per_one, part, means) in PARTS {
        let (is, within) = (
            decimals(part(&is) * per_one),
            decimals(part(&within) * per_one),
        );
        let set = format!("{key} = {{ {unit} = {is}, within = {within} }}");
        text += &format!("{set:50} # {means}\n");
    }
    text += "# How these errors hang together: x comes out as a x + b y + c, counted from the middle of the page, and y likewise.\n";
    text += "# Variances and covariances [aa, ab, bb, ac, bc, cc] of each, with a and b in mm per m and c in mm.\n";
    let row = |typed: [f64; 6]| typed.map(|v| format!("{v}")).join(", ");
    text + &format!(
        "[calibration.{face}.spread]\nx = [{}]\ny = [{}]\n",
        row(x),
        row(y)
    )
}

/// Key, unit, units to a whole, the part, and what it means.
type PartLine = (
    &'static str,
    &'static str,
    f64,
    fn(&Terms) -> f64,
    &'static str,
);

const PARTS: [PartLine; 6] = [
    (
        "scale_x",
        "percent",
        100.0,
        |p| p.scale_x,
        "above 0: comes out too wide",
    ),
    (
        "scale_y",
        "percent",
        100.0,
        |p| p.scale_y,
        "above 0: comes out too tall",
    ),
    (
        "turn",
        "mrad",
        1000.0,
        |p| p.turn_rad,
        "above 0: clockwise; 1 mrad is 0.1 mm over 100 mm",
    ),
    (
        "shear",
        "mrad",
        1000.0,
        |p| p.shear_rad,
        "above 0: the lower end leans to the right",
    ),
    (
        "shift_x",
        "mm",
        1.0,
        |p| p.shift.x,
        "of the middle of the page, to the right",
    ),
    (
        "shift_y",
        "mm",
        1.0,
        |p| p.shift.y,
        "of the middle of the page, downwards",
    ),
];

/// The parts as the file will say them, by the same steps as they are read.
fn rounded(parts: Terms) -> Terms {
    let to = |value: f64, per_one: f64| round_to(value * per_one, DECIMAL_STEPS) / per_one;
    Terms {
        scale_x: to(parts.scale_x, 100.0),
        scale_y: to(parts.scale_y, 100.0),
        turn_rad: to(parts.turn_rad, 1000.0),
        shear_rad: to(parts.shear_rad, 1000.0),
        shift: Vec2::new(to(parts.shift.x, 1.0), to(parts.shift.y, 1.0)),
    }
}

/// How many of a row's units make a whole: entries for x and y in millimetres a metre, the shift in millimetres.
const ROW_PER_ONE: [f64; 6] = [1e6, 1e6, 1e6, 1e3, 1e3, 1.0];

/// The numbers as they are typed; what is nothing beside the variances it belongs to is rounding of the machine, and left out.
fn typed_row(row: &[f64; 6]) -> [f64; 6] {
    const NOTHING: f64 = 1e-9;
    let [aa, _, bb, _, _, cc] = *row;
    let most = [
        aa,
        (aa * bb).sqrt(),
        bb,
        (aa * cc).sqrt(),
        (bb * cc).sqrt(),
        cc,
    ];
    std::array::from_fn(|i| {
        let is_nothing = row[i].abs() < NOTHING * most[i];
        significant(if is_nothing {
            0.0
        } else {
            row[i] * ROW_PER_ONE[i]
        })
    })
}

fn read_row(typed: [f64; 6]) -> [f64; 6] {
    std::array::from_fn(|i| typed[i] / ROW_PER_ONE[i])
}

fn readings_text(account: &Account) -> String {
    if account.readings.is_empty() {
        return String::new();
    }
    let lines: String = account
        .readings
        .iter()
        .map(|(key, value)| format!("{key} = {}\n", quoted(value)))
        .collect();
    format!("\n# What was read, kept as it was typed.\n[calibration.readings]\n{lines}")
}

fn margins_text(margins: Edges<Length>) -> String {
    let Edges {
        top,
        right,
        bottom,
        left,
    } = margins;
    let show = |length: Length| quoted(&length.display(LengthStyle::Millimetres));
    format!(
        "{{ top = {}, right = {}, bottom = {}, left = {} }}",
        show(top),
        show(right),
        show(bottom),
        show(left)
    )
}

/// Four decimals: 0.0003 mm over a page for percents and thousandths.
const DECIMAL_STEPS: u32 = 10_000;

fn decimals(value: f64) -> String {
    // Adding zero turns a negative zero into zero.
    format!("{}", round_to(value, DECIMAL_STEPS) + 0.0)
}

/// Six digits from the first that counts.
fn significant(value: f64) -> f64 {
    let rounded: f64 = format!("{value:.5e}")
        .parse()
        .expect("a number was written");
    rounded + 0.0
}

fn quoted(text: &str) -> String {
    toml_edit::Value::from(text).to_string()
}

#[cfg(test)]
mod tests {
    use kurbo::Point;
    use proptest::prelude::*;

    use super::*;
    use crate::project::PrintMap;

    const A4: Size = Size::new(210.0, 297.0);

    fn map(parts: [f64; 6], row: [f64; 6], page: Size) -> PrintMap {
        let centre = page.to_rect().center();
        let [scale_x, scale_y, turn_rad, shear_rad, x, y] = parts;
        let parts = Terms {
            scale_x,
            scale_y,
            turn_rad,
            shear_rad,
            shift: Vec2::new(x, y),
        };
        PrintMap {
            sheet_from_page: parts.to_map(centre),
            spread: Spread {
                about: Point::new(100.0, 120.0),
                x: row,
                y: row.map(|v| v * 1.5),
            },
        }
    }

    fn calibration(front: PrintMap, back: Option<PrintMap>) -> Calibration {
        Calibration {
            date: (2026, 5, 9),
            format: "iso_a4_210x297mm".into(),
            page: A4,
            paper: Some("oat card, 200 g/m2".into()),
            tray: Some("rear tray".into()),
            front,
            back,
        }
    }

    fn account() -> Account {
        Account {
            method: "by eye".into(),
            readings: vec![("x1".into(), "20.4, 20.5".into())],
        }
    }

    fn write(calibration: &Calibration, before: Option<&NamedText>) -> Written<PrinterProfile> {
        let margins = Edges {
            top: Length::from_mm(5),
            right: Length::from_mm(4),
            bottom: Length::from_mm(13),
            left: Length::from_mm(4),
        };
        printer_file(
            calibration,
            Some(margins),
            &account(),
            "Attic printer",
            before,
        )
        .unwrap()
    }

    fn named(text: &str) -> NamedText {
        NamedText {
            name: "printer.toml".into(),
            text: text.into(),
        }
    }

    prop_compose! {
        fn maps()(
            scale_x in -0.05..0.05, scale_y in -0.05..0.05, turn in -0.05..0.05, shear in -0.05..0.05,
            x in -15.0..15.0, y in -15.0..15.0, fine in 1e-5..1e-1,
        ) -> PrintMap {
            let row = [fine * fine * 1e-4, fine * fine * 1e-5, fine * fine * 2e-4, 0.0, fine * fine * 1e-3, fine * fine];
            map([scale_x, scale_y, turn, shear, x, y].map(|v| v * 0.999), row, A4)
        }
    }

    proptest! {
        /// What is read is what was measured but for the rounding, and written again it is read to the last bit.
        #[test]
        fn what_is_written_is_read_back(front in maps(), back in proptest::option::of(maps())) {
            let measured = calibration(front, back);
            let once = write(&measured, None);
            let read = once.profile.calibration.clone().unwrap();
            for corner in [Point::ZERO, Point::new(210.0, 0.0), Point::new(210.0, 297.0), Point::new(0.0, 297.0)] {
                for (one, other) in [(Some(read.front), Some(measured.front)), (read.back, measured.back)] {
                    let (Some(one), Some(other)) = (one, other) else { continue };
                    let off = one.sheet_from_page * corner - other.sheet_from_page * corner;
                    prop_assert!(off.x.abs() < 5e-4 && off.y.abs() < 5e-4, "{off:?}");
                    let r95 = (one.spread.r95_mm(corner), other.spread.r95_mm(corner));
                    prop_assert!((r95.0 / r95.1 - 1.0).abs() < 1e-4, "{r95:?}");
                }
            }
            prop_assert_eq!(read.back.is_some(), measured.back.is_some());
            let twice = write(&read, None);
            prop_assert_eq!(&twice.text, &once.text);
            prop_assert_eq!(twice.profile.calibration.unwrap(), read);
        }
    }

    #[test]
    fn the_shift_on_another_format_stays_readable() {
        let page = Size::new(279.4, 215.9);
        let mut lying = calibration(map([0.0; 6], [0.0; 6], page), None);
        lying.page = page;
        lying.format = "na_letter_8.5x11in".into();
        let written = write(&lying, None);
        assert!(
            written.text.contains("orientation = \"landscape\""),
            "{}",
            written.text
        );
        assert_eq!(written.profile.calibration.unwrap().page, page);
        lying.page = Size::new(200.0, 250.0);
        let written = write(&lying, None);
        assert!(
            written.text.contains("format = \"200 mm x 250 mm\""),
            "{}",
            written.text
        );
        assert_eq!(written.profile.calibration.unwrap().page, lying.page);
    }

    #[test]
    fn a_profile_that_was_there_keeps_its_words() {
        let before = "# Up in the attic.\nsheetwright_printer = 1\nname = 'Old faithful' # since spring\nmargins = \"1/4 in\" # guessed\nlargest = \"letter\"\n";
        let measured = calibration(map([0.001; 6], [1e-6, 0.0, 1e-6, 0.0, 0.0, 0.01], A4), None);
        let first = write(&measured, Some(&named(before)));
        assert_eq!(first.profile.name.as_deref(), Some("Old faithful"));
        assert!(first.profile.largest.is_some());
        let margins = "margins = { top = \"5 mm\", right = \"4 mm\", bottom = \"13 mm\", left = \"4 mm\" } # guessed";
        let kept = before.replace("margins = \"1/4 in\" # guessed", margins);
        assert!(first.text.starts_with(&kept), "{}", first.text);
        // Measured again, the numbers change in place and nothing piles up.
        let again = write(&measured, Some(&named(&first.text)));
        assert_eq!(again.text, first.text);
    }

    #[test]
    fn mistakes_of_the_profile_before_are_told() {
        let measured = calibration(map([0.0; 6], [0.0; 6], A4), None);
        let before = named("sheetwright_printer = 1\nmargins = \"5 mm\"\n");
        let mistakes = printer_file(&measured, None, &account(), "", Some(&before)).unwrap_err();
        assert_eq!(mistakes[0].message, "the file has no name");
    }

    #[test]
    fn a_cutter_is_written_and_read_back() {
        let measured = CutterCalibration {
            date: (2026, 5, 9),
            cut_from_file: map([0.002, -0.001, 0.0, 0.0015, 0.4, -0.3], [0.0; 6], A4)
                .sheet_from_page,
            spread: Spread::NONE,
            repeat_mm: 0.07,
        };
        let page = ("iso_a4_210x297mm", A4);
        let once = cutter_file(&measured, page, &account(), "Bench cutter", None).unwrap();
        let read = once.profile.calibration.clone().unwrap();
        assert!((read.repeat_mm - 0.07).abs() < 1e-12);
        let again = cutter_file(
            &read,
            page,
            &account(),
            "Bench cutter",
            Some(&named(&once.text)),
        )
        .unwrap();
        assert_eq!(again.text, once.text);
        assert_eq!(again.profile.calibration, once.profile.calibration);
    }
}

//! What a profile says it was measured to be: the tables `[calibration]` of printers and cutters.

use kurbo::{Size, Vec2};
use toml::de::DeValue;

use super::code;
use super::format;
use super::table::Table;
use super::value::Value;
use crate::date::{self, Date};
use crate::diagnostic::Diagnostic;
use crate::fit::{Spread, Terms};
use crate::math::round_to;
use crate::project::{Calibration, CutterCalibration, PrintMap};

/// Days after which a printer is measured again: moisture, drum and rollers change (common practice, no source).
const OLD_DAYS: i64 = 90;
/// Most percent that a scale is off; old engines were allowed 3 %.
const MOST_PERCENT: f64 = 5.0;
/// Most thousandths that a page turns or leans: 15 mm over the height of a page.
const MOST_MRAD: f64 = 50.0;
/// Most millimetres that a page is shifted; feeds of home printers are off by 1 mm, guides by a few.
const MOST_MM: f64 = 15.0;
/// Most millimetres that one cut of a machine differs from the next.
const MOST_REPEAT_MM: f64 = 5.0;

const MEASURE_AGAIN: &str =
    "measure again with a chart printed at 100 %, and check the unit of the readings";

/// Reads what was measured of a printer.
pub(super) fn read_printer(table: &Table<'_>, today: Option<Date>) -> Option<Calibration> {
    let head = Head::read(table, today, "printer");
    let paper = table.optional("paper", Value::words);
    let tray = table.optional("tray", Value::words);
    let page = head.as_ref().map(|h| h.page);
    let front = match table.table("front") {
        Some(front) => read_face(&front, page),
        None if table.has("front") => None,
        None => table.missing("front", "[calibration.front] as `calibrate` writes it"),
    };
    let back = table.table("back").map(|back| read_face(&back, page));
    table.close();
    let head = head?;
    Some(Calibration {
        date: head.date,
        format: head.format,
        page: head.page,
        paper,
        tray,
        front: front?,
        back: match back {
            Some(back) => Some(back?),
            None => None,
        },
    })
}

/// Reads what was measured of a cutting machine.
pub(super) fn read_cutter(table: &Table<'_>, today: Option<Date>) -> Option<CutterCalibration> {
    let head = Head::read(table, today, "cutter");
    let repeat_mm = table.required("repeat", "repeat = { mm = 0.05 }", |value| {
        let table = as_table(value, "{ mm = 0.05 }")?;
        let mm = table.required("mm", "mm = 0.05", |v| {
            v.decimal(0.0..=MOST_REPEAT_MM, MEASURE_AGAIN)
        });
        table.close();
        mm
    });
    let page = head.as_ref().map(|h| h.page);
    let cut = match table.table("cut") {
        Some(cut) => read_face(&cut, page),
        None if table.has("cut") => None,
        None => table.missing("cut", "[calibration.cut] as `calibrate` writes it"),
    };
    table.close();
    let cut = cut?;
    Some(CutterCalibration {
        date: head?.date,
        cut_from_file: cut.sheet_from_page,
        spread: cut.spread,
        repeat_mm: repeat_mm?,
    })
}

/// What both kinds say of the measurement itself.
struct Head {
    date: Date,
    format: String,
    page: Size,
}

impl Head {
    fn read(table: &Table<'_>, today: Option<Date>, device: &str) -> Option<Self> {
        let date = table.required(
            "date",
            "date = 2026-05-09, the day of the measurement",
            read_date,
        );
        if let (Some(date), Some(today)) = (date, today) {
            warn_of_date(table, date, today, device);
        }
        let sheet = format::read(table, "page");
        table.optional("method", Value::words);
        if let Some(readings) = table.table("readings") {
            // Kept for people, who may type anything there.
            for (_, _, value) in readings.pairs() {
                value.raw_text();
            }
        }
        let (date, sheet) = (date?, sheet?);
        Some(Self {
            date,
            format: sheet.format,
            page: Size::new(sheet.width.to_mm(), sheet.height.to_mm()),
        })
    }
}

pub(super) fn read_date(value: &Value<'_>) -> Option<Date> {
    let example = "2026-05-09";
    let text = match value.get() {
        DeValue::Datetime(day) => day.to_string(),
        DeValue::String(text) => text.to_string(),
        DeValue::Integer(_)
        | DeValue::Float(_)
        | DeValue::Boolean(_)
        | DeValue::Array(_)
        | DeValue::Table(_) => {
            return value.wrong_type("a date", &format!("write {}", value.typed(example)));
        }
    };
    date::parse(&text).or_else(|| {
        let message = format!("{} is no day of the calendar", value.typed(value.source()));
        let hint = format!("write year, month and day, like {}", value.typed(example));
        value.fail(code::CALIBRATION_DATE, message, hint)
    })
}

/// Warns of a measurement that is old, or not made yet.
fn warn_of_date(table: &Table<'_>, date: Date, today: Date, device: &str) {
    let age = date::days(today) - date::days(date);
    let (code, message, hint) = if age < 0 {
        let message = format!(
            "the {device} was measured on {}, which is still to come: today is {}",
            date::show(date),
            date::show(today)
        );
        (
            code::CALIBRATION_DATE,
            message,
            "correct the date of the measurement",
        )
    } else if age > OLD_DAYS {
        let message = format!(
            "the {device} was measured on {}, {age} days ago and more than {OLD_DAYS}",
            date::show(date)
        );
        let hint = "measure it again, since paper, rollers and blades change; the job is made with the old numbers";
        (code::CALIBRATION_OLD, message, hint)
    } else {
        return;
    };
    let warning = Diagnostic::warning(code, message)
        .at(&table.origin_of("date"))
        .hint(hint);
    table.mistakes().push(warning);
}

/// A table of the line it stands on, whichever way it is written.
fn as_table<'a>(value: &Value<'a>, example: &str) -> Option<Table<'a>> {
    value
        .table()
        .or_else(|| value.wrong_type("a table", &format!("write {}", value.typed(example))))
}

/// Reads where one face comes out; without a page the map cannot be told, but its mistakes can.
fn read_face(table: &Table<'_>, page: Option<Size>) -> Option<PrintMap> {
    let scale_x = read_part(table, "scale_x", PERCENT);
    let scale_y = read_part(table, "scale_y", PERCENT);
    let turn = read_part(table, "turn", MRAD);
    let shear = read_part(table, "shear", MRAD);
    let shift_x = read_part(table, "shift_x", MM);
    let shift_y = read_part(table, "shift_y", MM);
    let spread = match table.table("spread") {
        Some(spread) => read_spread(&spread),
        None if table.has("spread") => None,
        None => table.missing("spread", "the table spread as `calibrate` writes it"),
    };
    table.close();
    let parts = [scale_x?, scale_y?, turn?, shear?, shift_x?, shift_y?];
    let ([x, y], page) = (spread?, page?);
    let centre = page.to_rect().center();
    let [scale_x, scale_y, turn, shear, shift_x, shift_y] = parts.map(|p| p.value);
    let map = Terms {
        scale_x: scale_x / PERCENT.per_one,
        scale_y: scale_y / PERCENT.per_one,
        turn_rad: turn / MRAD.per_one,
        shear_rad: shear / MRAD.per_one,
        shift: Vec2::new(shift_x, shift_y),
    }
    .to_map(centre);
    let spread = Spread {
        about: centre,
        x,
        y,
    };
    refuse_contradiction(table, &parts, &Terms::within_95(map, &spread, centre))?;
    Some(PrintMap {
        sheet_from_page: map,
        spread,
    })
}

/// A unit that parts are typed in.
#[derive(Clone, Copy)]
struct Unit {
    key: &'static str,
    most: f64,
    /// How many make a whole.
    per_one: f64,
}

const PERCENT: Unit = Unit {
    key: "percent",
    most: MOST_PERCENT,
    per_one: 100.0,
};
const MRAD: Unit = Unit {
    key: "mrad",
    most: MOST_MRAD,
    per_one: 1000.0,
};
const MM: Unit = Unit {
    key: "mm",
    most: MOST_MM,
    per_one: 1.0,
};

/// One number as typed, and how far it may be off 19 times in 20.
#[derive(Clone, Copy)]
struct Part {
    key: &'static str,
    unit: Unit,
    value: f64,
    within: f64,
}

fn read_part(table: &Table<'_>, key: &'static str, unit: Unit) -> Option<Part> {
    let inside = format!("{{ {} = 0.2, within = 0.1 }}", unit.key);
    table.required(key, &format!("{key} = {inside}"), |value| {
        let table = as_table(value, &inside)?;
        let number = table.required(unit.key, &format!("{} = 0.2", unit.key), |v| {
            v.decimal(-unit.most..=unit.most, MEASURE_AGAIN)
        });
        let within = table.required(
            "within",
            "within = 0.1, how far it may be off 19 times in 20",
            |v| {
                v.decimal(
                    0.0..=unit.most,
                    "write 0 or more, and measure again if it is known no better",
                )
            },
        );
        table.close();
        Some(Part {
            key,
            unit,
            value: number?,
            within: within?,
        })
    })
}

/// Units of a row's covariances: entries for x and y in millimetres a metre, the shift in millimetres.
const ROW_PER_ONE: [f64; 6] = [1e6, 1e6, 1e6, 1e3, 1e3, 1.0];

fn read_spread(table: &Table<'_>) -> Option<[[f64; 6]; 2]> {
    let row = |key: &'static str| {
        let example = "[1.5, 0, 0.7, 0, 0, 0.003]";
        table.required(key, &format!("{key} = {example}"), |v| read_row(v, example))
    };
    let (x, y) = (row("x"), row("y"));
    table.close();
    Some([x?, y?])
}

fn read_row(value: &Value<'_>, example: &str) -> Option<[f64; 6]> {
    let items = value.list(example)?;
    let most = 1e9;
    let numbers: Option<Vec<f64>> = items
        .iter()
        .map(|item| {
            item.decimal(
                -most..=most,
                "measure again, or copy the line as it was written",
            )
        })
        .collect();
    let typed: [f64; 6] = match numbers?.try_into() {
        Ok(typed) => typed,
        Err(other) => {
            let message = format!(
                "{} has {} numbers, and 6 are wanted",
                value.key(),
                other.len()
            );
            return value.fail(
                code::CALIBRATION_SPREAD,
                message,
                format!("write {}", value.typed(example)),
            );
        }
    };
    refuse_impossible(value, &typed)?;
    let mut row = typed;
    for (number, per_one) in row.iter_mut().zip(ROW_PER_ONE) {
        *number /= per_one;
    }
    Some(row)
}

/// Numbers on the diagonal are squares, and those beside it are no larger than their products.
fn refuse_impossible(value: &Value<'_>, [xx, xy, yy, x1, y1, one]: &[f64; 6]) -> Option<()> {
    let hint = "measure again, or copy the line as it was written";
    if let Some(negative) = [xx, yy, one].into_iter().find(|v| **v < 0.0) {
        let message = format!(
            "{} has the variance {negative}, and none is below 0",
            value.key()
        );
        return value.fail(code::CALIBRATION_SPREAD, message, hint);
    }
    for (beside, a, b) in [(xy, xx, yy), (x1, xx, one), (y1, yy, one)] {
        let most = (a * b).sqrt();
        if beside.abs() > most * 1.001 + 1e-9 {
            let message = format!(
                "{} has {beside} beside the variances {a} and {b}, which allow {} at most",
                value.key(),
                round_to(most, 10_000)
            );
            return value.fail(code::CALIBRATION_SPREAD, message, hint);
        }
    }
    Some(())
}

/// What people read and what is reckoned with must be the same knowledge, to 2 % and what is rounded off.
fn refuse_contradiction(table: &Table<'_>, parts: &[Part; 6], known: &Terms) -> Option<()> {
    let known = [
        known.scale_x,
        known.scale_y,
        known.turn_rad,
        known.shear_rad,
        known.shift.x,
        known.shift.y,
    ];
    let mut agree = Some(());
    for (part, known) in parts.iter().zip(known) {
        let known = known * part.unit.per_one;
        if (part.within - known).abs() <= 0.02 * known + 1e-4 {
            continue;
        }
        let (key, unit) = (part.key, part.unit.key);
        let message = format!(
            "{key} is said to be known within {} {unit}, and its spread makes that {}",
            part.within,
            round_to(known, 10_000)
        );
        let hint = "leave both as they were written, or measure again";
        let origin = table.origin_of(key);
        agree = table
            .mistakes()
            .fail(code::CALIBRATION_SPREAD, &origin, message, hint);
    }
    agree
}

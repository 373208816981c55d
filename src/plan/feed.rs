//! What the printer and the cutting machine can take, told before anything is planned.
//!
//! Limits on grammage are common practice: the manuals of five office laser printers give 60 to 105 gsm for automatic two-sided
//! printing and 163 to 203 gsm for the by-pass tray; a general article gives 200 to 300 gsm for the rear feed of ink printers.

use super::demand::{Group, groups, is_machine_cut};
use super::unplaced::size_text;
use crate::diagnostic::{Diagnostic, sort_by_place};
use crate::paper::{self, FormatKind};
use crate::project::{PrinterProfile, Project, SheetLimit, Stock};

const MOST_TWO_SIDED_GSM: f64 = 105.0;
const MOST_BY_PASS_GSM: f64 = 163.0;
const MOST_AT_ALL_GSM: f64 = 250.0;

/// Returns what the printer or the cutting machine cannot feed, as errors, and what it may fail at, as warnings; sorted by place.
///
/// Offcuts are not spoken of: those that cannot be printed on are left to pieces without print.
#[must_use]
pub fn feed(project: &Project) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    let groups = groups(project);
    for (index, stock) in project.stocks.iter().enumerate() {
        let groups: Vec<&Group> = groups.iter().filter(|g| g.stock == index).collect();
        let kinds = || groups.iter().flat_map(|g| &g.kinds);
        let printed = names(
            project,
            kinds().filter(|k| k.print.is_any()).map(|k| k.piece),
        );
        let cut = kinds()
            .map(|k| k.piece)
            .filter(|p| is_machine_cut(&project.pieces[*p]));
        let cut = names(project, cut);
        // Only a sheet that takes print on both faces goes through the printer twice.
        let is_two_sided = groups.iter().any(|g| {
            let has = |f: fn(&super::demand::Print) -> bool| g.kinds.iter().any(|k| f(&k.print));
            has(|p| p.front) && has(|p| p.back)
        });
        if let Some(pieces) = printed {
            found.extend(print_errors(project, stock, &pieces));
            if !is_too_heavy(&project.printer, stock) {
                found.extend(print_warnings(stock, is_two_sided));
            }
        }
        if let Some(pieces) = cut {
            found.extend(cut_errors(project, stock, &pieces));
        }
    }
    sort_by_place(&mut found);
    found
}

/// Whether the printer feeds sheets of that size and weight, as far as its limits are known.
pub(super) fn printer_takes(printer: &PrinterProfile, stock: &Stock) -> bool {
    !is_too_heavy(printer, stock)
        && !is_above(stock, printer.largest)
        && !is_below(stock, printer.smallest)
}

fn is_too_heavy(printer: &PrinterProfile, stock: &Stock) -> bool {
    let limits = printer.heaviest_gsm.zip(stock.grammage_gsm);
    limits.is_some_and(|(most, gsm)| gsm > most)
}

/// Whether a sheet is larger than a limit, as far as there is one.
pub(super) fn is_above(stock: &Stock, limit: Option<SheetLimit>) -> bool {
    let (short, long) = (stock.width.min(stock.height), stock.width.max(stock.height));
    limit.is_some_and(|l| short > l.short || long > l.long)
}

fn is_below(stock: &Stock, limit: Option<SheetLimit>) -> bool {
    let (short, long) = (stock.width.min(stock.height), stock.width.max(stock.height));
    limit.is_some_and(|l| short < l.short || long < l.long)
}

fn print_errors(project: &Project, stock: &Stock, pieces: &str) -> Vec<Diagnostic> {
    let printer = &project.printer;
    let size = |w: f64, h: f64| size_text(project, w, h);
    let limit = |l: SheetLimit| size(l.short.to_mm(), l.long.to_mm());
    let own = size(stock.width.to_mm(), stock.height.to_mm());
    let mut found = Vec::new();
    if let Some(most) = printer.largest.filter(|_| is_above(stock, printer.largest)) {
        let text = format!(
            "stock \"{}\" is {own}, the printer takes {} at most; printed pieces: {pieces}",
            stock.id,
            limit(most)
        );
        found.push(with_format(
            Diagnostic::error("device.printer-size", text),
            stock,
            printer.largest,
            printer.smallest,
        ));
    }
    if let Some(least) = printer
        .smallest
        .filter(|_| is_below(stock, printer.smallest))
    {
        let text = format!(
            "stock \"{}\" is {own}, the printer takes {} at least; printed pieces: {pieces}",
            stock.id,
            limit(least)
        );
        found.push(with_format(
            Diagnostic::error("device.printer-size", text),
            stock,
            printer.largest,
            printer.smallest,
        ));
    }
    if let (Some(most), Some(gsm)) = (printer.heaviest_gsm, stock.grammage_gsm)
        && gsm > most
    {
        let text = format!(
            "stock \"{}\" weighs {gsm:.0} gsm, the printer takes {most:.0} gsm at most; printed pieces: {pieces}",
            stock.id
        );
        let hint = format!("choose a stock of {most:.0} gsm or less for these pieces");
        found.push(Diagnostic::error("device.printer-weight", text).hint(hint));
    }
    found.into_iter().map(|d| d.at(&stock.origin)).collect()
}

fn print_warnings(stock: &Stock, is_two_sided: bool) -> Vec<Diagnostic> {
    let Some(gsm) = stock.grammage_gsm else {
        return Vec::new();
    };
    let mut found = Vec::new();
    let mut warn = |most: f64, what: &str, hint: &str| {
        let text = format!(
            "stock \"{}\" weighs {gsm:.0} gsm, {what} {most:.0} gsm",
            stock.id
        );
        found.push(
            Diagnostic::warning("device.printer-weight", text)
                .at(&stock.origin)
                .hint(hint),
        );
    };
    if gsm > MOST_AT_ALL_GSM {
        warn(
            MOST_AT_ALL_GSM,
            "home printers rarely feed more than",
            "try one sheet before the rest",
        );
    } else if gsm > MOST_BY_PASS_GSM {
        warn(
            MOST_BY_PASS_GSM,
            "trays and by-pass slots of home printers take up to about",
            "use the straight rear feed, one sheet at a time",
        );
    }
    if is_two_sided && gsm > MOST_TWO_SIDED_GSM {
        warn(
            MOST_TWO_SIDED_GSM,
            "automatic two-sided printing takes up to about",
            "print the fronts, turn the sheets over by hand, then print the backs",
        );
    }
    found
}

fn cut_errors(project: &Project, stock: &Stock, pieces: &str) -> Vec<Diagnostic> {
    let Some(most) = project.cutter.largest.filter(|l| is_above(stock, Some(*l))) else {
        return Vec::new();
    };
    let limit = size_text(project, most.short.to_mm(), most.long.to_mm());
    let text = format!(
        "stock \"{}\" is {}, the cutting machine takes {limit} at most; pieces: {pieces}",
        stock.id,
        size_text(project, stock.width.to_mm(), stock.height.to_mm()),
    );
    let error = Diagnostic::error("device.cutter-size", text).at(&stock.origin);
    vec![with_format(error, stock, Some(most), None)]
}

/// Adds the sheet format within the limits that is nearest in size.
fn with_format(
    error: Diagnostic,
    stock: &Stock,
    most: Option<SheetLimit>,
    least: Option<SheetLimit>,
) -> Diagnostic {
    let area = |short: crate::length::Size, long: crate::length::Size| {
        i128::from(short.length().nm()) * i128::from(long.length().nm())
    };
    let own = area(stock.width, stock.height);
    let nearest = paper::formats()
        .iter()
        .filter(|f| f.kind() == FormatKind::Sheet)
        .filter(|f| most.is_none_or(|l| f.short_side() <= l.short && f.long_side() <= l.long))
        .filter(|f| least.is_none_or(|l| f.short_side() >= l.short && f.long_side() >= l.long))
        .min_by_key(|f| (area(f.short_side(), f.long_side()) - own).abs());
    match nearest {
        Some(format) => {
            let name = format
                .common_names()
                .first()
                .map_or(format.name(), String::as_str);
            error.hint(format!("the nearest format it takes is {name}"))
        }
        None => error,
    }
}

/// The ids of pieces, each once, in project order; `None` if there are none.
fn names(project: &Project, pieces: impl Iterator<Item = usize>) -> Option<String> {
    let pieces: std::collections::BTreeSet<usize> = pieces.collect();
    let names: Vec<String> = pieces
        .iter()
        .map(|p| format!("\"{}\"", project.pieces[*p].id))
        .collect();
    (!names.is_empty()).then(|| names.join(", "))
}

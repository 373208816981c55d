//! What found no place, in words.

use kurbo::Size;

use super::super::place::nm_above;
use super::super::reach;
use super::super::{JobPlan, Unplaced, UnplacedReason};
use super::{Remedy, Taker};
use crate::diagnostic::{Diagnostic, counted, listed};
use crate::length::Length;
use crate::project::{Face, Project};

/// Returns one error for each entry of [`JobPlan::unplaced`]: what it needs, what there is, and what to type.
#[must_use]
pub fn unplaced_errors(project: &Project, plan: &JobPlan) -> Vec<Diagnostic> {
    plan.unplaced.iter().map(|u| error(project, u)).collect()
}

/// A size as the job shows lengths.
pub(in super::super) fn size_text(project: &Project, width_mm: f64, height_mm: f64) -> String {
    let text = |mm: f64| Length::from_nm(nm_above(mm)).told(project.job.lengths);
    format!("{} x {}", text(width_mm), text(height_mm))
}

pub(super) fn error(project: &Project, u: &Unplaced) -> Diagnostic {
    let piece = &project.pieces[u.piece];
    let stock = &project.stocks[u.stock];
    let size = |(w, h)| size_text(project, w, h);
    let (needs, count) = (size(u.needs_mm), u.count);
    let (id, has) = (&stock.id, has_text(project, u));
    let (code, message) = match u.reason {
        UnplacedReason::TooLarge => (
            "plan.too-large",
            format!(
                "piece \"{}\" needs {needs}{}, {has}{}",
                piece.id,
                bleed_text(project, u),
                over_text(project, u)
            ),
        ),
        UnplacedReason::TurnForbidden => (
            "plan.turn-forbidden",
            format!(
                "piece \"{}\" needs {needs}{} in the turns it may take, {has}{}",
                piece.id,
                bleed_text(project, u),
                over_text(project, u)
            ),
        ),
        UnplacedReason::NoSheetsLeft => (
            "plan.no-sheets-left",
            format!(
                "no sheets of \"{id}\" are left for {count} of piece \"{}\", {needs} each; {} are on hand",
                piece.id,
                stock.on_hand.unwrap_or(0)
            ),
        ),
    };
    let error = Diagnostic::error(code, message)
        .at(&piece.origin)
        .related(&stock.origin, "this stock");
    let hints = u.remedies.iter().map(|remedy| hint(project, u, remedy));
    let error = hints.fold(error, Diagnostic::hint);
    match u.reason {
        UnplacedReason::NoSheetsLeft => error.hint("or plan fewer copies"),
        UnplacedReason::TooLarge | UnplacedReason::TurnForbidden => error,
    }
}

/// Says that the size holds the bleed, where there is any.
fn bleed_text(project: &Project, u: &Unplaced) -> String {
    if u.bleed == Length::ZERO {
        return String::new();
    }
    let bleed = u.bleed.told(project.job.lengths);
    format!(" with {bleed} of bleed all round")
}

/// By how much it is too large, where a profile takes some of the room.
fn over_text(project: &Project, u: &Unplaced) -> String {
    let stock = &project.stocks[u.stock];
    let size = Size::new(stock.width.to_mm(), stock.height.to_mm());
    let faces = [Face::Front, Face::Back].map(|face| reach::lost(project, size, face));
    let lost = faces[0].max(faces[1]);
    if lost == Length::ZERO {
        return String::new();
    }
    let over_mm = (u.needs_mm.0 - u.has_mm.0).max(u.needs_mm.1 - u.has_mm.1);
    let text = |length: Length| length.display(project.job.lengths);
    format!(
        ", which is {} too little; up to {} at an edge are lost to what the printer's profile makes up for",
        text(Length::from_nm(nm_above(over_mm))),
        text(lost)
    )
}

/// What there is, and what takes the rest.
fn has_text(project: &Project, u: &Unplaced) -> String {
    let stock = &project.stocks[u.stock];
    let has = size_text(project, u.has_mm.0, u.has_mm.1);
    let text = format!("a sheet of \"{}\" has {has}", stock.id);
    let names: Vec<&str> = u.taken_by.iter().map(|taker| name(*taker)).collect();
    if names.is_empty() {
        return text;
    }
    let takers = listed(&names);
    let whole = size_text(project, stock.width.to_mm(), stock.height.to_mm());
    format!("{text} left of {whole} by {takers}")
}

const fn name(taker: Taker) -> &'static str {
    match taker {
        Taker::Margins => "the printer's margins",
        Taker::Reach => "what the cutter cannot reach",
        Taker::Marks => "the register marks",
        Taker::Caption => "the caption",
    }
}

fn hint(project: &Project, u: &Unplaced, remedy: &Remedy) -> String {
    let piece = &project.pieces[u.piece].id;
    let text = |length: Length| length.display(project.job.lengths);
    let less = |now: Length, to: Length| format!("{} less than now", text(now - to));
    let (printer, cutter) = (&project.printer.margins, &project.cutter.unreachable);
    match remedy {
        Remedy::Turn {
            turns,
            grain,
            pattern_up,
        } => turn_hint(*turns, *grain, *pattern_up),
        Remedy::AnyTurn(deg) => format!("it fits turned by {deg} degrees: type `turns = \"any\"`"),
        Remedy::Bleed(to) => format!(
            "it fits with less bleed: type `bleed = \"{}\"` for the artwork of \"{piece}\", {}",
            text(*to),
            less(u.bleed, *to)
        ),
        Remedy::Gap(to) => format!(
            "it fits with a smaller gap: type `gap = \"{}\"` in [job], {}",
            text(*to),
            less(project.job.gap, *to)
        ),
        Remedy::NoMarks => {
            "it fits where the register marks are: type `marks = \"never\"` in [job]".to_owned()
        }
        Remedy::Margins(to) => format!(
            "it fits on a printer with margins of at most {}, not {}: name its profile with `printer` in [job]",
            text(*to),
            text(super::remedy::widest(*printer))
        ),
        Remedy::Reach(to) => format!(
            "it fits on a cutter that reaches to {} from the edge, not {}: name its profile with `cutter` in [job]",
            text(*to),
            text(super::remedy::widest(*cutter))
        ),
        Remedy::Stock(stock) => format!(
            "it fits on other stock: type `stock = \"{}\"`",
            project.stocks[*stock].id
        ),
        Remedy::Format(format) => {
            let names = format.common_names();
            let name = names.first().map_or(format.name(), String::as_str);
            format!(
                "the smallest format that holds it is {name}: type `format = \"{}\"` for \"{}\"",
                name.to_lowercase(),
                project.stocks[u.stock].id
            )
        }
        Remedy::OnHand(sheets) => {
            let stock = &project.stocks[u.stock];
            let more = sheets - stock.on_hand.unwrap_or(0);
            let in_list = match &project.paper_list_sha256 {
                Some(_) => format!(", or `sheets = {sheets}` in the list of paper on hand"),
                None => String::new(),
            };
            format!(
                "{} of \"{}\" are enough: type `on_hand = {sheets}`{in_list}",
                counted(more, "more sheet"),
                stock.id
            )
        }
    }
}

fn turn_hint(turns: bool, grain: bool, pattern_up: bool) -> String {
    let wishes = [
        (turns, "`turns = \"quarters\"`"),
        (grain, "`grain = \"any\"`"),
        (pattern_up, "`pattern_up = \"any\"`"),
    ];
    let typed: Vec<&str> = wishes
        .into_iter()
        .filter(|(is, _)| *is)
        .map(|(_, text)| text)
        .collect();
    format!("it fits turned by a quarter: type {}", typed.join(" and "))
}

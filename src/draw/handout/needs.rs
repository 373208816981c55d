//! What to have at hand: paper, other things, tools.

use super::super::typeset::{
    Block, Cell, INK, Letter, Look, Row, Table, WIDTH_MM, line_of_text, paragraph, stack, table,
};
use super::{MEASURE_MM, Told, section, subsection, words};
use crate::diagnostic::listed;
use crate::handout::sheet_name;
use crate::length::{Length, LengthStyle};
use crate::project::{Need, Stock, Supply};

/// Between two columns of tools, and how many go into columns.
const COLUMN_GAP_MM: f64 = 6.0;
const MOST_IN_COLUMNS: usize = 20;

pub(super) fn blocks(told: Told<'_>) -> Vec<Block> {
    let mut blocks = vec![section("What you need")];
    blocks.extend(table(&papers(told), WIDTH_MM));
    if let Some(words) = spares(told) {
        let lines = paragraph(&words, Look::body(MEASURE_MM));
        blocks.push(stack(lines).before(2.0));
    }
    if !told.project.supplies.is_empty() {
        blocks.push(subsection("Besides paper"));
        let rows = told.project.supplies.iter().map(|s| supply(told, s));
        let supplies = Table {
            head: vec!["What".into(), "For one".into()],
            rows: rows.collect(),
        };
        blocks.extend(table(&supplies, WIDTH_MM));
    }
    if !told.handout.tools.is_empty() {
        blocks.push(subsection("Tools"));
        blocks.extend(tools(told));
    }
    blocks
}

/// Tools in two columns that stay on one page; long names or many of them one below the other.
fn tools(told: Told<'_>) -> Vec<Block> {
    let tools = &told.handout.tools;
    let column_mm = WIDTH_MM / 2.0;
    let is_short = |tool: &String| Letter::BODY.width_mm(tool) <= column_mm - COLUMN_GAP_MM;
    let line = |tool: &String| line_of_text(tool, Letter::BODY, INK);
    if tools.len() > MOST_IN_COLUMNS || !tools.iter().all(is_short) {
        let lines = tools.iter();
        return lines
            .flat_map(|tool| paragraph(tool, Look::body(MEASURE_MM)))
            .collect();
    }
    let (left, right) = tools.split_at(tools.len().div_ceil(2));
    let mut whole = stack(left.iter().map(line).collect());
    let right = stack(right.iter().map(line).collect());
    whole.items.extend(right.indented(column_mm).items);
    vec![whole]
}

/// Every paper that pieces are made of, with those that other editions take instead.
fn papers(told: Told<'_>) -> Table {
    let project = told.project;
    let mut used: Vec<usize> = Vec::new();
    for edition in 0..project.editions.len() {
        let stocks = (0..project.pieces.len()).map(|piece| project.stock_of(edition, piece));
        used.extend(stocks);
    }
    used.sort_unstable();
    used.dedup();
    let rows = used.into_iter().map(|stock| paper(told, stock));
    let head = ["Paper", "Sheet", "Thickness", "For pieces", "Sheets"];
    Table {
        head: head.map(str::to_owned).to_vec(),
        rows: rows.collect(),
    }
}

fn paper(told: Told<'_>, stock: usize) -> Row {
    let project = told.project;
    let declared = &project.stocks[stock];
    let style = told.handout.style;
    let used_in = |edition: usize| {
        let pieces = told.handout.pieces.iter().map(|w| w.piece);
        pieces.filter(move |piece| project.stock_of(edition, *piece) == stock)
    };
    let editions: Vec<usize> = (0..project.editions.len()).collect();
    let letters = editions
        .iter()
        .map(|e| used_in(*e).map(|p| told.letter(p)).collect::<Vec<_>>())
        .find(|letters| !letters.is_empty());
    let is_everywhere = editions.iter().all(|e| used_in(*e).next().is_some());
    let only: Vec<String> = editions
        .iter()
        .filter(|e| !is_everywhere && used_in(**e).next().is_some())
        .map(|e| project.editions[*e].name.clone())
        .collect();
    let copies = project.editions.iter().enumerate();
    let copies = copies.filter(|(e, _)| used_in(*e).next().is_some());
    let copies = copies.map(|(_, e)| e.copies).sum();
    let mut notes = Vec::new();
    if !only.is_empty() {
        notes.push(format!("for {} only", listed(&only)));
    }
    Row {
        cells: vec![
            Cell::strong(&declared.name),
            Cell::plain(sheet(declared, style)),
            Cell::plain(thickness(declared, told)),
            Cell::plain(letters.unwrap_or_default().join(", ")),
            Cell::plain(sheets(told, stock, copies)),
        ],
        notes,
    }
}

/// A sheet by its size, or by its name where that is no round size in these units.
fn sheet(stock: &Stock, style: LengthStyle) -> String {
    let size = (stock.width.length(), stock.height.length());
    sheet_name(stock, style).map_or_else(|| words::size(size, style), str::to_owned)
}

/// How many spares of each piece the same sheets hold; nothing where none is wished for.
fn spares(told: Told<'_>) -> Option<String> {
    let spares = &told.plan.spares;
    let named = |wanted: &dyn Fn(u32) -> bool| -> Vec<(u32, String)> {
        let of = spares.iter().filter(|s| wanted(s.placed));
        of.map(|s| (s.placed, told.letter(s.piece))).collect()
    };
    if spares.is_empty() {
        return None;
    }
    let placed: Vec<String> = named(&|n| n > 0)
        .into_iter()
        .map(|(count, letter)| format!("{count} of {letter}"))
        .collect();
    let none: Vec<String> = named(&|n| n == 0).into_iter().map(|(_, l)| l).collect();
    let mut told_of = Vec::new();
    if !placed.is_empty() {
        told_of.push(listed(&placed));
    }
    if !none.is_empty() {
        told_of.push(format!("none of {}", listed(&none)));
    }
    Some(format!(
        "Spares that find room on the same sheets: {}.",
        told_of.join(", ")
    ))
}

fn thickness(stock: &Stock, told: Told<'_>) -> String {
    let caliper = stock
        .caliper
        .map(|c| caliper(c.length(), told.handout.style));
    let grammage = stock.grammage_gsm.map(|gsm| format!("{gsm:.0} g/m²"));
    let facts: Vec<String> = caliper.into_iter().chain(grammage).collect();
    facts.join(", ")
}

/// A caliper in thousandths of an inch or hundredths of a millimetre, as gauges have it.
fn caliper(caliper: Length, style: LengthStyle) -> String {
    match style {
        LengthStyle::InchFractions | LengthStyle::InchDecimals => {
            format!("{:.3} in", caliper.to_mm() / 25.4)
        }
        LengthStyle::Millimetres => format!("{:.2} mm", caliper.to_mm()),
    }
}

/// How many sheets so many copies take, offcuts told apart.
fn sheets(told: Told<'_>, stock: usize, copies: u32) -> String {
    let takes = |wanted: &dyn Fn(usize) -> bool| -> u32 {
        let used = told.plan.usage.by_stock.iter();
        used.filter(|u| wanted(u.stock)).map(|u| u.sheets).sum()
    };
    let whole = takes(&|s| s == stock);
    let offcuts = takes(&|s| told.project.stocks[s].offcut_of == Some(stock));
    let besides = match offcuts {
        0 => String::new(),
        1 => " and 1 offcut".to_owned(),
        more => format!(" and {more} offcuts"),
    };
    match copies {
        1 => format!("{whole}{besides}"),
        _ => format!("{whole}{besides} for {copies} copies"),
    }
}

fn supply(told: Told<'_>, supply: &Supply) -> Row {
    let style = told.handout.style;
    let how_much = match supply.need {
        Need::Lengths {
            each,
            overlap,
            per_copy,
        } => {
            let each = each.length().display(style);
            let seam = if overlap == Length::ZERO {
                String::new()
            } else {
                format!(", {} of it for the overlap", overlap.display(style))
            };
            match per_copy {
                1 => format!("{each}{seam}"),
                _ => format!("{per_copy} of {each} each{seam}"),
            }
        }
        Need::Count { per_copy } => per_copy.to_string(),
        Need::Once { count } => format!("{count} for the whole table"),
    };
    Row {
        cells: vec![Cell::strong(&supply.name), Cell::plain(how_much)],
        notes: Vec::new(),
    }
}

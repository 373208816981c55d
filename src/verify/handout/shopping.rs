//! Shopping lists and the kit list.

use super::super::verdict::Tally;
use super::facts::{as_many, ask, lengths};
use super::section;
use super::text::{Row, Section, joined, rows};
use crate::plan::file::{HandoutEntry, PaperBoughtEntry, ShoppingEntry, SupplyBoughtEntry};

/// Cells that a row has at least: what, and how much of it.
const CELLS: usize = 2;

pub(super) fn check(tally: &mut Tally, handout: &HandoutEntry, sections: &[Section<'_>]) {
    let lists = sections
        .iter()
        .filter(|part| part.title.starts_with("To buy"));
    let lists: Vec<&Section<'_>> = lists.collect();
    as_many(
        tally,
        "shopping lists",
        None,
        handout.shopping.len(),
        lists.len(),
    );
    for (list, part) in handout.shopping.iter().zip(lists) {
        tally.on_page(part.page);
        check_list(tally, list, part);
    }
    let lines = section(tally, sections, "Into each bag", !handout.kit.is_empty());
    let rows = rows(lines, CELLS);
    as_many(
        tally,
        "things that go into each bag",
        None,
        handout.kit.len(),
        rows.len(),
    );
    for (line, row) in handout.kit.iter().zip(&rows) {
        tally.on_page(row.page);
        let mut facts = vec![line.each.as_str(), &line.name];
        facts.extend(line.of.as_deref());
        ask(
            tally,
            &format!("{} in the kit list", line.name),
            None,
            &facts,
            &row.text(),
        );
    }
}

fn check_list(tally: &mut Tally, list: &ShoppingEntry, part: &Section<'_>) {
    let what = match list.edition.as_str() {
        "" => "the shopping list".to_owned(),
        edition => format!("the shopping list for {edition}"),
    };
    let (copies, spares) = (list.copies.to_string(), list.spares.to_string());
    let mut facts = vec![copies.as_str()];
    facts.extend((list.spares > 0).then_some(spares.as_str()));
    ask(
        tally,
        &format!("copies of {what}"),
        None,
        &facts,
        &part.title,
    );
    let rows = rows(&part.lines, CELLS);
    let planned = list.paper.len() + list.supplies.len();
    as_many(tally, &format!("rows of {what}"), None, planned, rows.len());
    for (paper, row) in list.paper.iter().zip(&rows) {
        tally.on_page(row.page);
        check_paper(tally, paper, row, &what);
    }
    for (supply, row) in list.supplies.iter().zip(rows.iter().skip(list.paper.len())) {
        tally.on_page(row.page);
        check_supply(tally, supply, row, &what);
    }
    let below = part
        .lines
        .iter()
        .copied()
        .filter(|line| line.cells.len() < CELLS);
    let sums: Vec<&str> = list.sums.iter().map(String::as_str).collect();
    ask(
        tally,
        &format!("sum of {what}"),
        None,
        &sums,
        &joined(&below.collect::<Vec<_>>()),
    );
}

fn check_paper(tally: &mut Tally, paper: &PaperBoughtEntry, row: &Row, list: &str) {
    let whole = paper.takes.saturating_add(paper.lacks);
    let [whole_words, offcuts, on_hand] =
        [whole, paper.offcuts, paper.on_hand].map(|n| n.to_string());
    let buy = bought(paper.buy);
    let mut facts = vec![paper.name.as_str()];
    facts.extend((whole > 0 || paper.offcuts == 0).then_some(whole_words.as_str()));
    facts.extend((paper.offcuts > 0).then_some(offcuts.as_str()));
    facts.extend((paper.on_hand > 0).then_some(on_hand.as_str()));
    facts.extend((paper.offcuts > 0).then_some(offcuts.as_str()));
    facts.push(&buy);
    facts.extend(paper.price.as_deref().filter(|_| paper.buy > 0));
    ask(
        tally,
        &format!("{} in {list}", named(&paper.name, &paper.stock)),
        None,
        &facts,
        &row.text(),
    );
}

fn check_supply(tally: &mut Tally, supply: &SupplyBoughtEntry, row: &Row, list: &str) {
    let what = format!("{} in {list}", named(&supply.name, &supply.supply));
    let (needs, on_hand) = (supply.needs.to_string(), supply.on_hand.to_string());
    let buy = bought(supply.buy);
    let mut facts = vec![supply.name.as_str(), &needs];
    facts.extend((supply.on_hand > 0).then_some(on_hand.as_str()));
    facts.push(&buy);
    facts.extend(supply.price.as_deref().filter(|_| supply.buy > 0));
    ask(tally, &what, None, &facts, &row.text());
    let needed = row.columns.get(1).map_or("", String::as_str);
    let each: Vec<f64> = supply.each_mm.into_iter().collect();
    lengths(
        tally,
        &format!("length of {what}"),
        &supply.supply,
        &each,
        needed,
    );
}

fn bought(count: u32) -> String {
    match count {
        0 => "nothing".to_owned(),
        n => n.to_string(),
    }
}

/// The name; files of before names were written have the id alone.
fn named<'a>(name: &'a str, id: &'a str) -> &'a str {
    if name.is_empty() { id } else { name }
}

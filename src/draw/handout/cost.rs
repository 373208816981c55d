//! What one copy and the whole job cost, and what to ask for them.

use super::super::typeset::{Block, Cell, Look, Row, Table, WIDTH_MM, paragraph, stack, table};
use super::{MEASURE_MM, Told, section};
use crate::handout::{Cost, Outlay};
use crate::length::Length;
use crate::project::{Amount, Price, Pricing};

pub(super) fn blocks(told: Told<'_>) -> Vec<Block> {
    let Some(cost) = &told.handout.cost else {
        let why = told.handout.no_cost.iter();
        let words = why.flat_map(|why| paragraph(why, Look::body(MEASURE_MM)));
        let words: Vec<Block> = words.collect();
        if words.is_empty() {
            return Vec::new();
        }
        return [vec![section("Cost")], words].concat();
    };
    let mut blocks = vec![section("Cost")];
    blocks.extend(table(&outlays(cost), WIDTH_MM));
    if !cost.unpriced.is_empty() {
        let without = format!(
            "not counted, for want of a price: {}",
            cost.unpriced.join(", ")
        );
        blocks.extend(paragraph(&without, Look::body(MEASURE_MM)));
    }
    if takes_from_stock(told) {
        let words =
            "As used up counts everything at its price; as bought leaves out what is on hand.";
        let lines = paragraph(words, Look::body(MEASURE_MM));
        blocks.push(stack(lines).before(2.0));
    }
    if let Some(pricing) = &told.project.lesson.pricing {
        let mut lines = paragraph(&formula(pricing), Look::quiet(MEASURE_MM));
        if let Some(first) = lines.first_mut() {
            first.before_mm = 2.0;
        }
        blocks.extend(lines);
    }
    blocks
}

/// Whether anything on hand need not be bought.
fn takes_from_stock(told: Told<'_>) -> bool {
    told.handout.shopping.iter().any(|list| {
        let paper = list.paper.iter().any(|p| p.on_hand > 0 || p.offcuts > 0);
        let mut supplies = list.supplies.iter();
        paper
            || supplies.any(|s| match s.on_hand {
                Amount::Count(count) => count > 0,
                Amount::Length(length) => length > Length::ZERO,
            })
    })
}

fn outlays(cost: &Cost) -> Table {
    let price = |of: &dyn Fn(&Outlay) -> Option<Price>, outlay: &Outlay| {
        of(outlay).map_or_else(String::new, |p| p.to_string())
    };
    let line = |name: &str, of: &dyn Fn(&Outlay) -> Option<Price>| {
        let is_told = of(&cost.one).is_some() || of(&cost.all).is_some();
        is_told.then(|| Row {
            cells: vec![
                Cell::plain(name),
                Cell::plain(price(of, &cost.one)),
                Cell::plain(price(of, &cost.all)),
            ],
            notes: Vec::new(),
        })
    };
    let time = |outlay: &Outlay| {
        outlay
            .minutes
            .map_or_else(String::new, |m| format!("{m} min"))
    };
    let has_time = cost.one.minutes.is_some() || cost.all.minutes.is_some();
    let time = has_time.then(|| Row {
        cells: vec![
            Cell::plain("time"),
            Cell::plain(time(&cost.one)),
            Cell::plain(time(&cost.all)),
        ],
        notes: Vec::new(),
    });
    let rows = [
        line("paper and other things", &|o| Some(o.materials.clone())),
        time,
        line("work", &|o| o.work.clone()),
        line("overhead", &|o| o.overhead.clone()),
        line("price to ask", &|o| o.asks.clone()),
    ];
    let all = match cost.copies {
        1 => "As bought".to_owned(),
        copies => format!("For {copies}, as bought"),
    };
    Table {
        head: vec![String::new(), "For one, as used up".to_owned(), all],
        rows: rows.into_iter().flatten().collect(),
    }
}

/// How the price is made.
fn formula(pricing: &Pricing) -> String {
    format!(
        "price = (paper and other things + work + overhead) x {}; work is time at {} an hour, overhead {} % of both",
        pricing.multiple(),
        pricing.per_hour,
        pricing.overhead_percent
    )
}

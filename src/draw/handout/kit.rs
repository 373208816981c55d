//! What to buy and what goes into each bag.

use super::super::typeset::{
    Block, Cell, Letter, Look, Row, Table, WIDTH_MM, heading, paragraph, table,
};
use super::{MEASURE_MM, Told, section, subsection, words};
use crate::handout::{Bought, ShoppingList, SupplyBought};
use crate::length::Length;
use crate::project::{Amount, Price};

pub(super) fn blocks(told: Told<'_>, title: &str) -> Vec<Block> {
    let mut blocks = vec![heading(title, Letter::TITLE, WIDTH_MM)];
    blocks.extend(paragraph(&copies(told), Look::quiet(MEASURE_MM)));
    for list in &told.handout.shopping {
        blocks.extend(shopping(told, list));
    }
    blocks.extend(kit_list(told));
    blocks
}

fn copies(told: Told<'_>) -> String {
    let spares: u32 = told.project.editions.iter().map(|e| e.spares).sum();
    let copies = told.copies();
    match spares {
        0 => format!("for {copies}"),
        _ => format!("for {copies}, and {spares} to spare"),
    }
}

/// The name of an edition, where the job has several.
fn edition_name(told: Told<'_>, edition: usize) -> Option<&str> {
    let name = told.project.editions.get(edition)?.name.as_str();
    (!name.is_empty()).then_some(name)
}

fn shopping(told: Told<'_>, list: &ShoppingList) -> Vec<Block> {
    let (wanted, spare) = list.copies;
    let title = match edition_name(told, list.edition) {
        Some(name) => format!("Shopping list: {name}, {wanted} and {spare} to spare"),
        None => "Shopping list".to_owned(),
    };
    let mut blocks = vec![section(&title)];
    if !list.paper.is_empty() {
        let head = ["Paper", "Sheet", "Buy", "Needed", "On hand", "Price"];
        let paper = Table {
            head: head.map(str::to_owned).to_vec(),
            rows: list.paper.iter().map(|b| paper(told, b)).collect(),
        };
        blocks.extend(table(&paper, WIDTH_MM));
    }
    if !list.supplies.is_empty() {
        blocks.push(subsection("Besides paper"));
        let head = ["What", "Buy", "Needed", "On hand", "Price"];
        let supplies = Table {
            head: head.map(str::to_owned).to_vec(),
            rows: list.supplies.iter().map(|b| supply(told, b)).collect(),
        };
        blocks.extend(table(&supplies, WIDTH_MM));
    }
    if !list.sums.is_empty() {
        let sums: Vec<String> = list.sums.iter().map(Price::to_string).collect();
        let line = format!("In all: {}", sums.join(" and "));
        let look = Look::strong(MEASURE_MM);
        blocks.extend(paragraph(&line, look).into_iter().map(|b| b.before(2.0)));
    }
    blocks
}

fn paper(told: Told<'_>, bought: &Bought) -> Row {
    let stock = &told.project.stocks[bought.stock];
    let size = (stock.width.length(), stock.height.length());
    let mut notes = match bought.offcuts {
        0 => Vec::new(),
        1 => vec!["and one offcut that is there".to_owned()],
        more => vec![format!("and {more} offcuts that are there")],
    };
    if bought.lacks > 0 {
        notes.push(format!("{} more than the plan had", bought.lacks));
    }
    Row {
        cells: vec![
            Cell::strong(&stock.name),
            Cell::plain(words::size(size, told.handout.style)),
            Cell::strong(format!("buy {}", bought.buy)),
            Cell::plain(bought.takes.to_string()),
            Cell::plain(bought.on_hand.to_string()),
            Cell::plain(told_price(bought.price.as_ref())),
        ],
        notes,
    }
}

fn supply(told: Told<'_>, bought: &SupplyBought) -> Row {
    let style = told.handout.style;
    let supply = &told.project.supplies[bought.supply];
    let buys = match &supply.pack {
        Some(pack) => format!(
            "buy {} of {}",
            bought.packs,
            words::amount(pack.holds, style)
        ),
        None => format!("buy {}", words::amount(less(bought), style)),
    };
    let mut needs = words::amount(bought.needs, style);
    if let Some((each, count)) = bought.lengths {
        needs = format!("{count} of {}", each.display(style));
    }
    let mut notes = Vec::new();
    if bought.lengths.is_some() {
        notes.push(format!("{} in all", words::amount(bought.needs, style)));
    }
    Row {
        cells: vec![
            Cell::strong(&supply.name),
            Cell::strong(buys),
            Cell::plain(needs),
            Cell::plain(words::amount(bought.on_hand, style)),
            Cell::plain(told_price(bought.price.as_ref())),
        ],
        notes,
    }
}

/// What is needed less what is there.
fn less(bought: &SupplyBought) -> Amount {
    match (bought.needs, bought.on_hand) {
        (Amount::Length(needs), Amount::Length(there)) => Amount::Length(if there < needs {
            needs - there
        } else {
            Length::ZERO
        }),
        (Amount::Count(needs), Amount::Count(there)) => Amount::Count(needs.saturating_sub(there)),
        (needs @ Amount::Length(_), Amount::Count(_))
        | (needs @ Amount::Count(_), Amount::Length(_)) => needs,
    }
}

fn told_price(price: Option<&Price>) -> String {
    price.map_or_else(String::new, Price::to_string)
}

fn kit_list(told: Told<'_>) -> Vec<Block> {
    if told.handout.kit.is_empty() {
        return Vec::new();
    }
    let has_editions = told.handout.kit.iter().any(|line| line.edition.is_some());
    let rows = told.handout.kit.iter().map(|line| {
        let edition = line.edition.and_then(|e| edition_name(told, e));
        let mut cells = vec![
            Cell::strong(&line.each),
            Cell::plain(&line.name),
            Cell::plain(line.of.as_deref().unwrap_or("")),
        ];
        if has_editions {
            cells.push(Cell::plain(edition.unwrap_or("all")));
        }
        Row {
            cells,
            notes: Vec::new(),
        }
    });
    let mut head = vec!["Each", "What", "Paper"];
    if has_editions {
        head.push("For");
    }
    let kit = Table {
        head: head.into_iter().map(str::to_owned).collect(),
        rows: rows.collect(),
    };
    let mut blocks = vec![section("Into each bag")];
    blocks.extend(table(&kit, WIDTH_MM));
    blocks
}

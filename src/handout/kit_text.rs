//! The words of `kit.pdf`: shopping lists as tables, cost, kit lists and bag labels.

use super::kit::{of_edition, title};
use super::money::sums;
use super::words::sheet_name;
use super::{BagLabels, Bought, Cost, Handout, KitLine, Outlay, ShoppingList, SupplyBought};
use crate::diagnostic::counted;
use crate::length::Length;
use crate::project::{Amount, Price, Project};

/// What `kit.pdf` says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitText {
    /// The lesson's title, or the job's name.
    pub title: String,
    /// A table for each edition.
    pub shopping: Vec<ShoppingText>,
    /// What it costs, a line for each thing; empty where nothing has a price.
    pub cost: Vec<String>,
    /// What goes into each bag, for each edition.
    pub kit: Vec<KitListText>,
    /// What stands on the bags, for each edition.
    pub labels: Vec<BagLabels>,
}

/// A shopping list in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShoppingText {
    /// `To buy for Sage: 12 copies and 2 spares`.
    pub heading: String,
    /// A row for each thing.
    pub rows: Vec<ShoppingRow>,
    /// `4.20 EUR`; `None` where nothing has a price.
    pub sum: Option<String>,
    /// Sentences under the table.
    pub notes: Vec<String>,
}

/// A row of a shopping list; what is not said is empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShoppingRow {
    /// The name, with the size of a sheet: `Moss card, 12 in x 12 in`.
    pub what: String,
    /// What is needed: `3 sheets`, `24 x 16 in`.
    pub needs: String,
    /// What is there already.
    pub there: String,
    /// What to buy: `2 sheets`, `2 packs of 5 m`, `nothing`.
    pub buy: String,
    /// What that costs.
    pub price: String,
}

/// What goes into each bag of one edition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitListText {
    /// `In each of the 12 bags for Sage`.
    pub heading: String,
    /// Lines as [`KitLine::words`] has them.
    pub lines: Vec<String>,
}

/// Returns what `kit.pdf` says for a handout of `project`.
#[must_use]
pub fn kit_text(project: &Project, handout: &Handout) -> KitText {
    let lists = handout.shopping.iter();
    let labels = handout.labels.iter();
    let cost = handout.cost.iter().flat_map(|c| cost_lines(project, c));
    KitText {
        title: title(project).to_owned(),
        shopping: lists.map(|list| shopping(project, list)).collect(),
        cost: cost.chain(handout.no_cost.clone()).collect(),
        kit: labels.map(|l| kit_list(&handout.kit, l)).collect(),
        labels: handout.labels.clone(),
    }
}

fn shopping(project: &Project, list: &ShoppingList) -> ShoppingText {
    let paper = list.paper.iter().map(|b| paper_row(project, b));
    let supplies = list.supplies.iter().map(|s| supply_row(project, s));
    ShoppingText {
        heading: heading(project, list),
        rows: paper.chain(supplies).collect(),
        sum: sums(&list.sums),
        notes: notes(project, list),
    }
}

/// `To buy for Sage: 12 copies and 2 spares`.
fn heading(project: &Project, list: &ShoppingList) -> String {
    let name = &project.editions[list.edition].name;
    let edition = match name.as_str() {
        "" => String::new(),
        name => format!(" {name}:"),
    };
    let copies = match list.copies.0 {
        1 => "1 copy".to_owned(),
        n => format!("{n} copies"),
    };
    let spares = match list.copies.1 {
        0 => String::new(),
        n => format!(" and {}", counted(n, "spare")),
    };
    format!("To buy for{edition} {copies}{spares}")
}

/// What has to be said of what editions share, and of what was lacking.
fn notes(project: &Project, list: &ShoppingList) -> Vec<String> {
    let lacking = list.paper.iter().filter(|b| b.lacks > 0).map(|b| {
        format!(
            "{} of {} more than are on hand are for pieces that the plan could not place.",
            counted(b.lacks, "sheet"),
            project.stocks[b.stock].name
        )
    });
    let shared = (project.editions.len() > 1)
        .then(|| "A sheet or pack that editions share is in the list of the first of them.".into());
    lacking.chain(shared).collect()
}

fn paper_row(project: &Project, bought: &Bought) -> ShoppingRow {
    let stock = &project.stocks[bought.stock];
    let show = |length: Length| length.display(project.job.lengths);
    let (width, height) = (show(stock.width.length()), show(stock.height.length()));
    let sheet = sheet_name(stock, project.job.lengths)
        .map_or_else(|| format!("{width} x {height}"), str::to_owned);
    let whole = bought.takes.saturating_add(bought.lacks);
    ShoppingRow {
        what: format!("{}, {sheet}", stock.name),
        needs: both(whole, bought.offcuts),
        there: match (bought.on_hand, bought.offcuts) {
            (0, 0) => String::new(),
            (sheets, offcuts) => both(sheets, offcuts),
        },
        buy: match bought.buy {
            0 => "nothing".to_owned(),
            n => counted(n, "sheet"),
        },
        price: priced(bought.buy, bought.price.as_ref().map(Price::to_string)),
    }
}

/// `3 sheets and 1 offcut`.
fn both(sheets: u32, offcuts: u32) -> String {
    match (sheets, offcuts) {
        (0, 1..) => counted(offcuts, "offcut"),
        (_, 0) => counted(sheets, "sheet"),
        (_, _) => format!(
            "{} and {}",
            counted(sheets, "sheet"),
            counted(offcuts, "offcut")
        ),
    }
}

fn priced(buy: u32, price: Option<String>) -> String {
    price.filter(|_| buy > 0).unwrap_or_default()
}

fn supply_row(project: &Project, bought: &SupplyBought) -> ShoppingRow {
    let each = bought.lengths.map(|(each, _)| each);
    ShoppingRow {
        what: project.supplies[bought.supply].name.clone(),
        needs: amount(project, bought.needs, each),
        there: match bought.on_hand {
            Amount::Length(Length::ZERO) | Amount::Count(0) => String::new(),
            Amount::Length(_) | Amount::Count(_) => amount(project, bought.on_hand, each),
        },
        buy: supply_to_buy(project, bought),
        price: priced(bought.packs, bought.price.as_ref().map(Price::to_string)),
    }
}

/// `24 x 16 in`, or `5`.
fn amount(project: &Project, amount: Amount, each: Option<Length>) -> String {
    match (amount, each) {
        (Amount::Length(length), Some(each)) => {
            let count = length.nm() / each.nm().max(1);
            format!("{count} x {}", each.display(project.job.lengths))
        }
        (Amount::Length(length), None) => length.display(project.job.lengths),
        (Amount::Count(count), _) => count.to_string(),
    }
}

/// Whether it is bought by the piece or the length.
fn is_sold_singly(project: &Project, bought: &SupplyBought) -> bool {
    let pack = project.supplies[bought.supply].pack.as_ref();
    pack.is_none_or(|pack| pack.holds == Amount::Count(1))
}

/// `2 packs of 5 m`; without packs the lengths or the count.
fn supply_to_buy(project: &Project, bought: &SupplyBought) -> String {
    let pack = project.supplies[bought.supply].pack.as_ref();
    match (bought.packs, pack.map(|pack| pack.holds)) {
        (0, _) => "nothing".to_owned(),
        (n, None | Some(Amount::Count(1))) => match bought.lengths {
            Some((each, _)) => format!("{n} x {}", each.display(project.job.lengths)),
            None => n.to_string(),
        },
        (n, Some(Amount::Length(holds))) => {
            format!("{} of {}", counted(n, "pack"), as_sold(project, holds))
        }
        (n, Some(Amount::Count(holds))) => format!("{} of {holds}", counted(n, "pack")),
    }
}

/// `120 in`; whole metres stay what they are sold as where they are no fraction of an inch.
fn as_sold(project: &Project, holds: Length) -> String {
    let metre = Length::from_mm(1000).nm();
    if holds.nm() % metre == 0 && !holds.is_inch_fraction() {
        format!("{} m", holds.nm() / metre)
    } else {
        holds.display(project.job.lengths)
    }
}

fn cost_lines(project: &Project, cost: &Cost) -> Vec<String> {
    let copies = match cost.copies {
        1 => "All 1 copy".to_owned(),
        n => format!("All {n} copies"),
    };
    let mut lines = vec![format!(
        "One copy, by what it uses up: {}",
        outlay(project, &cost.one)
    )];
    lines.push(format!(
        "{copies}, by what is bought: {}",
        outlay(project, &cost.all)
    ));
    if !cost.unpriced.is_empty() {
        lines.push(format!(
            "Not counted, for want of a price: {}",
            cost.unpriced.join(", ")
        ));
    }
    lines
}

/// `materials 0.41 EUR, 25 minutes of work 5.00 EUR, overhead 0.55 EUR; to ask 14.91 EUR`.
fn outlay(project: &Project, outlay: &Outlay) -> String {
    let mut words = format!("materials {}", outlay.materials);
    if let Some(minutes) = outlay.minutes {
        words += &format!(", {} of work", counted(minutes, "minute"));
    }
    if let Some(work) = &outlay.work {
        words += &format!(" {}", work);
    }
    let Some(pricing) = &project.lesson.pricing else {
        return words;
    };
    if let Some(overhead) = outlay.overhead.as_ref().filter(|o| o.hundredths > 0) {
        words += &format!(", overhead of {} % {}", pricing.overhead_percent, overhead);
    }
    if let Some(asks) = &outlay.asks {
        let multiple = match pricing.multiple_hundredths {
            100 => String::new(),
            _ => format!(", {} times that", pricing.multiple()),
        };
        words += &format!("; to ask{multiple}: {}", asks);
    }
    words
}

fn kit_list(kit: &[KitLine], labels: &BagLabels) -> KitListText {
    let bags = match labels.bags {
        1 => "the bag".to_owned(),
        n => format!("each of the {n} bags"),
    };
    let heading = match &labels.edition_name {
        Some(name) => format!("In {bags} for {name}"),
        None => format!("In {bags}"),
    };
    KitListText {
        heading,
        lines: of_edition(kit, labels.edition)
            .map(KitLine::words)
            .collect(),
    }
}

/// Returns what to buy in one line for each edition: `to buy: 3 sheets of Moss card, 2 packs of 5 m of Ribbon; 4.20 EUR`.
#[must_use]
pub fn shopping_lines(project: &Project, lists: &[ShoppingList]) -> Vec<String> {
    let lines = lists.iter().map(|list| {
        let edition = match project.editions[list.edition].name.as_str() {
            "" => String::new(),
            name => format!(" for {name}"),
        };
        let paper = list.paper.iter().filter(|bought| bought.buy > 0);
        let paper = paper.map(|bought| {
            let name = &project.stocks[bought.stock].name;
            format!("{} of {name}", counted(bought.buy, "sheet"))
        });
        let supplies = list.supplies.iter().filter(|bought| bought.packs > 0);
        let supplies = supplies.map(|bought| {
            let name = &project.supplies[bought.supply].name;
            let is_bare = is_sold_singly(project, bought) && bought.lengths.is_none();
            let by = if is_bare { "x" } else { "of" };
            format!("{} {by} {name}", supply_to_buy(project, bought))
        });
        let things: Vec<String> = paper.chain(supplies).collect();
        match (&things[..], sums(&list.sums)) {
            ([], _) => format!("to buy{edition}: nothing"),
            (_, None) => format!("to buy{edition}: {}", things.join(", ")),
            (_, Some(sum)) => format!("to buy{edition}: {}; {sum}", things.join(", ")),
        }
    });
    lines.collect()
}

//! Shopping lists, cost and bags in the words of JSON.

use super::{BagLabels, Bought, Cost, Handout, Outlay, SupplyBought};
use crate::length::Length;
use crate::plan::file::{
    BagsEntry, CostEntry, OutlayEntry, PaperBoughtEntry, ShoppingEntry, SupplyBoughtEntry,
};
use crate::project::{Amount, Price, Project};

/// Returns the shopping lists as they stand in JSON.
#[must_use]
pub fn shopping_entries(project: &Project, handout: &Handout) -> Vec<ShoppingEntry> {
    let lists = handout.shopping.iter().map(|list| ShoppingEntry {
        edition: project.editions[list.edition].id.clone(),
        copies: list.copies.0,
        spares: list.copies.1,
        paper: list.paper.iter().map(|b| paper(project, b)).collect(),
        supplies: list.supplies.iter().map(|s| supply(project, s)).collect(),
        sums: list.sums.iter().map(Price::to_string).collect(),
    });
    lists.collect()
}

fn paper(project: &Project, bought: &Bought) -> PaperBoughtEntry {
    PaperBoughtEntry {
        stock: project.stocks[bought.stock].id.clone(),
        name: project.stocks[bought.stock].name.clone(),
        takes: bought.takes,
        offcuts: bought.offcuts,
        on_hand: bought.on_hand,
        lacks: bought.lacks,
        buy: bought.buy,
        price: bought.price.as_ref().map(Price::to_string),
    }
}

fn supply(project: &Project, bought: &SupplyBought) -> SupplyBoughtEntry {
    let each = bought.lengths.map(|(each, _)| each);
    let count = |amount: Amount| match amount {
        Amount::Count(count) => count,
        Amount::Length(length) => {
            let each = each.map_or(1, Length::nm).max(1);
            u32::try_from(length.nm() / each).unwrap_or(u32::MAX)
        }
    };
    SupplyBoughtEntry {
        supply: project.supplies[bought.supply].id.clone(),
        name: project.supplies[bought.supply].name.clone(),
        needs: count(bought.needs),
        each_mm: each.map(Length::to_mm),
        on_hand: count(bought.on_hand),
        buy: bought.packs,
        price: bought.price.as_ref().map(Price::to_string),
    }
}

/// Returns a cost as it stands in JSON.
#[must_use]
pub fn cost_entry(cost: &Cost) -> CostEntry {
    CostEntry {
        one: outlay(&cost.one),
        all: outlay(&cost.all),
        copies: cost.copies,
        unpriced: cost.unpriced.clone(),
    }
}

fn outlay(outlay: &Outlay) -> OutlayEntry {
    OutlayEntry {
        materials: outlay.materials.to_string(),
        minutes: outlay.minutes,
        work: outlay.work.as_ref().map(Price::to_string),
        overhead: outlay.overhead.as_ref().map(Price::to_string),
        asks: outlay.asks.as_ref().map(Price::to_string),
    }
}

/// Returns the bags of an edition as they stand in JSON.
#[must_use]
pub fn bags_entry(project: &Project, labels: &BagLabels) -> BagsEntry {
    BagsEntry {
        edition: project.editions[labels.edition].id.clone(),
        title: labels.title.clone(),
        bags: labels.bags,
        holds: labels.holds.clone(),
    }
}

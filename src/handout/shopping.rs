//! What to buy: whole sheets, less those on hand, and packs of what is needed besides.
//!
//! Each edition has its list. What editions share, a sheet or a pack, stands in the list of the first of them, so that the lists add up
//! to what the whole job takes.

use super::money;
use super::opened::{Opened, opened, sold};
use super::supplies;
use super::{Bought, ShoppingList};
use crate::plan::{JobPlan, Remedy, UnplacedReason};
use crate::project::{Project, Stock};

/// Returns what to buy, one list for each edition.
pub(super) fn shopping(project: &Project, plan: &JobPlan) -> Vec<ShoppingList> {
    let mut paper = paper(project, plan);
    let mut supplies = supplies::supplies(project);
    let lists = project.editions.iter().enumerate().map(|(i, edition)| {
        let (paper, supplies) = (
            std::mem::take(&mut paper[i]),
            std::mem::take(&mut supplies[i]),
        );
        let mut sums = Vec::new();
        let prices = paper.iter().map(|b| &b.price);
        prices
            .chain(supplies.iter().map(|s| &s.price))
            .for_each(|price| money::add(&mut sums, price.as_ref()));
        ShoppingList {
            edition: i,
            copies: (edition.copies, edition.spares),
            paper,
            supplies,
            sums,
        }
    });
    lists.collect()
}

/// What is bought of each stock that is used, for each edition.
fn paper(project: &Project, plan: &JobPlan) -> Vec<Vec<Bought>> {
    let sheets = opened(project, plan);
    let mut lists: Vec<Vec<Bought>> = vec![Vec::new(); project.editions.len()];
    for (position, stock) in project.stocks.iter().enumerate() {
        let mut on_hand = stock.on_hand.unwrap_or(0);
        for (edition, list) in lists.iter_mut().enumerate() {
            let takes = count(&sheets, edition, |s| s == position);
            let offcuts = count(&sheets, edition, |s| {
                s != position && sold(project, s) == position
            });
            let lacks = lacks(plan, stock, position, edition);
            let is_sold = stock.offcut_of.is_none();
            if is_sold && (takes, offcuts, lacks) != (0, 0, 0) {
                let there = takes.min(on_hand);
                on_hand -= there;
                let buy = (takes - there).saturating_add(lacks);
                list.push(Bought {
                    stock: position,
                    takes,
                    offcuts,
                    on_hand: there,
                    lacks,
                    buy,
                    price: stock.price.as_ref().map(|p| money::times(p, buy)),
                });
            }
        }
    }
    lists
}

/// How many sheets opened for an edition are of such a stock.
fn count(sheets: &[Opened<'_>], edition: usize, is_such: impl Fn(usize) -> bool) -> u32 {
    let own = sheets.iter().filter(|s| s.edition == edition);
    let count = own.filter(|s| is_such(s.sheet.stock)).count();
    u32::try_from(count).expect("a job has fewer sheets than 2^32")
}

/// Sheets that would have been enough for what found no place, beyond those on hand; counted for the first edition that lacks them.
fn lacks(plan: &JobPlan, stock: &Stock, position: usize, edition: usize) -> u32 {
    let mut short = plan
        .unplaced
        .iter()
        .filter(|u| u.stock == position && u.reason == UnplacedReason::NoSheetsLeft);
    let first = short.clone().map(|u| u.edition).min();
    let enough = short.find_map(|u| {
        u.remedies.iter().find_map(|remedy| {
            if let Remedy::OnHand(sheets) = remedy {
                Some(*sheets)
            } else {
                None
            }
        })
    });
    match enough {
        Some(enough) if first == Some(edition) => enough.saturating_sub(stock.on_hand.unwrap_or(0)),
        Some(_) | None => 0,
    }
}

//! What one copy and the whole job cost, and what to ask for them.
//!
//! One copy costs what it uses up, whether that is bought or on hand. A sheet's price is shared out by area over the pieces cut from the
//! sheets of its stock, waste with it; an offcut is worth its share of the area of a whole sheet. A pack's price is shared out over what
//! comes out of it whole. What is bought once for all is shared by the wanted copies.
//! Shares are cut off after nine decimals of a hundredth and amounts rounded up to whole hundredths, so that shares of a whole
//! hundredth make that hundredth and no more.

use super::opened::{opened, sold};
use super::supplies::per_pack;
use super::{Cost, Outlay, ShoppingList};
use crate::length::Length;
use crate::plan::{JobPlan, edition_of};
use crate::project::{Need, Price, Pricing, Project, Supply};

/// Parts of a hundredth that shares are counted in.
const PARTS: u128 = 1_000_000_000;

/// What a job costs, or why that is not told.
#[derive(Debug, Default)]
pub(super) struct Told {
    pub(super) cost: Option<Cost>,
    pub(super) no_cost: Option<String>,
}

/// Returns what a job costs whose shopping lists are these.
pub(super) fn cost(project: &Project, plan: &JobPlan, lists: &[ShoppingList]) -> Told {
    let used = used(project, plan);
    let currencies = currencies(project, &used);
    let currency = match &currencies[..] {
        [] => return Told::default(),
        [one] => one,
        [_, ..] => {
            let words = format!(
                "prices are in {}, which are not added: there is no cost",
                currencies.join(" and ")
            );
            return Told {
                cost: None,
                no_cost: Some(words),
            };
        }
    };
    let copies = copies(project);
    let minutes = minutes(project);
    let pricing = project.lesson.pricing.as_ref();
    let sums = lists.iter().flat_map(|list| &list.sums);
    let bought = sums.fold(0_u64, |sum, price| sum.saturating_add(price.hundredths));
    let outlay = |hundredths, minutes| outlay(hundredths, minutes, pricing, currency);
    Told {
        cost: Some(Cost {
            one: outlay(one_copy(project, &used), minutes),
            all: outlay(bought, minutes.map(|m| m.saturating_mul(copies))),
            copies,
            unpriced: unpriced(project, &used),
        }),
        no_cost: None,
    }
}

/// Wanted copies over all editions.
fn copies(project: &Project) -> u32 {
    let copies = project.editions.iter().map(|e| e.copies);
    copies.fold(0, u32::saturating_add)
}

/// Minutes for one copy, where steps say them.
fn minutes(project: &Project) -> Option<u32> {
    let minutes = project.lesson.steps.iter().filter_map(|step| step.minutes);
    minutes.reduce(u32::saturating_add)
}

/// What is cut from the sheets of one stock, or one offcut.
#[derive(Debug)]
struct Used {
    stock: usize,
    sheets: u32,
    /// Area of the wanted pieces, and of all, in millionths of a square millimetre.
    wanted: u128,
    all: u128,
}

fn used(project: &Project, plan: &JobPlan) -> Vec<Used> {
    let areas: Vec<u128> = project
        .pieces
        .iter()
        .map(|piece| millionths(piece.outline.area_mm2()))
        .collect();
    let mut used: Vec<Used> = Vec::new();
    for one in opened(project, plan) {
        let stock = one.sheet.stock;
        let at = used.iter().position(|u| u.stock == stock);
        let at = at.unwrap_or_else(|| {
            used.push(Used {
                stock,
                sheets: 0,
                wanted: 0,
                all: 0,
            });
            used.len() - 1
        });
        used[at].sheets += 1;
        for (placement, copy) in one.sheet.placements.iter().zip(one.held) {
            let area = areas[placement.piece];
            used[at].all += area;
            if edition_of(project, *copy).is_some_and(|(_, is_spare)| !is_spare) {
                used[at].wanted += area;
            }
        }
    }
    used
}

/// An area as whole millionths of a square millimetre, the nearest ones.
fn millionths(area_mm2: f64) -> u128 {
    // The same rounding as of millimetres to nanometres.
    u128::try_from(Length::nearest_mm(area_mm2).nm()).unwrap_or(0)
}

/// What a copy uses up, in whole hundredths.
fn one_copy(project: &Project, used: &[Used]) -> u64 {
    let copies = u128::from(copies(project).max(1));
    let paper: u128 = used.iter().map(|u| paper_share(project, u, copies)).sum();
    let supplies = project.supplies.iter();
    let supplies: u128 = supplies.map(|s| supply_share(s, copies)).sum();
    rounded_up(paper + supplies, PARTS)
}

/// A copy's share of the sheets of one stock, in parts of a hundredth.
fn paper_share(project: &Project, used: &Used, copies: u128) -> u128 {
    let whole = sold(project, used.stock);
    let Some(price) = &project.stocks[whole].price else {
        return 0;
    };
    let value = u128::from(price.hundredths) * u128::from(used.sheets) * PARTS;
    let value = if whole == used.stock {
        value
    } else {
        let area = |stock: usize| millionths(project.stocks[stock].area_mm2());
        share(value, area(used.stock), area(whole))
    };
    share(value, used.wanted, used.all * copies)
}

/// What a copy uses up of a supply, in parts of a hundredth.
fn supply_share(supply: &Supply, copies: u128) -> u128 {
    let Some(price) = supply.pack.as_ref().and_then(|pack| pack.price.as_ref()) else {
        return 0;
    };
    let per_pack = u128::from(per_pack(supply));
    let value = u128::from(price.hundredths) * PARTS;
    match supply.need {
        Need::Lengths { per_copy, .. } | Need::Count { per_copy } => {
            share(value, u128::from(per_copy), per_pack)
        }
        Need::Once { count } => share(value, u128::from(count), per_pack * copies),
    }
}

/// `value x part / of`, cut off.
fn share(value: u128, part: u128, of: u128) -> u128 {
    let common = greatest_common_divisor(part, of);
    if common == 0 {
        return 0;
    }
    let (part, of) = (part / common, of / common);
    if of == 0 {
        return 0;
    }
    // In two steps, so that large products stay within range.
    let (whole, rest) = (value / of, value % of);
    whole
        .saturating_mul(part)
        .saturating_add(rest.saturating_mul(part) / of)
}

fn greatest_common_divisor(a: u128, b: u128) -> u128 {
    if b == 0 {
        a
    } else {
        greatest_common_divisor(b, a % b)
    }
}

fn rounded_up(value: u128, per_hundredth: u128) -> u64 {
    u64::try_from(value.div_ceil(per_hundredth)).unwrap_or(u64::MAX)
}

fn nearest(value: u128, per_hundredth: u128) -> u64 {
    rounded_down(value.saturating_add(per_hundredth / 2), per_hundredth)
}

fn rounded_down(value: u128, per_hundredth: u128) -> u64 {
    u64::try_from(value / per_hundredth).unwrap_or(u64::MAX)
}

/// Materials, work, overhead, and what to ask: (materials + work + overhead) x multiple, of the amounts as they are told, so that whoever
/// works it out again on paper comes to the same. Overhead is rounded to the nearest hundredth.
fn outlay(
    materials: u64,
    minutes: Option<u32>,
    pricing: Option<&Pricing>,
    currency: &str,
) -> Outlay {
    let price = |hundredths| Price {
        hundredths,
        currency: currency.to_owned(),
    };
    let work = pricing.zip(minutes).map(|(pricing, minutes)| {
        let hundredths = u128::from(pricing.per_hour.hundredths) * u128::from(minutes);
        rounded_up(hundredths, 60)
    });
    let base = u128::from(materials) + u128::from(work.unwrap_or(0));
    let percent = |p: &Pricing| base.saturating_mul(u128::from(p.overhead_percent));
    let overhead = |p: &Pricing| nearest(percent(p), 100);
    let asks = |p: &Pricing| {
        let with_overhead = base.saturating_add(u128::from(overhead(p)));
        with_overhead.saturating_mul(u128::from(p.multiple_hundredths))
    };
    Outlay {
        materials: price(materials),
        minutes,
        work: work.map(price),
        overhead: pricing.map(|p| price(overhead(p))),
        asks: pricing.map(|p| price(rounded_up(asks(p), 100))),
    }
}

/// Currencies of everything that counts, each once.
fn currencies(project: &Project, used: &[Used]) -> Vec<String> {
    let sheets = sold_stocks(project, used);
    let paper = sheets.filter_map(|s| project.stocks[s].price.as_ref());
    let packs = project.supplies.iter().filter_map(|s| s.pack.as_ref());
    let supplies = packs.filter_map(|pack| pack.price.as_ref());
    let wage = project.lesson.pricing.iter().map(|p| &p.per_hour);
    let mut found: Vec<String> = Vec::new();
    for price in paper.chain(supplies).chain(wage) {
        if !found.contains(&price.currency) {
            found.push(price.currency.clone());
        }
    }
    found
}

/// Stocks that are sold and used, whole or as offcuts, each once.
fn sold_stocks(project: &Project, used: &[Used]) -> impl Iterator<Item = usize> {
    let mut stocks: Vec<usize> = used.iter().map(|u| sold(project, u.stock)).collect();
    stocks.sort_unstable();
    stocks.dedup();
    stocks.into_iter()
}

/// Names of what has no price.
fn unpriced(project: &Project, used: &[Used]) -> Vec<String> {
    let stocks = sold_stocks(project, used).map(|s| &project.stocks[s]);
    let paper = stocks.filter(|s| s.price.is_none()).map(|s| s.name.clone());
    let has_price = |s: &&Supply| s.pack.as_ref().is_some_and(|pack| pack.price.is_some());
    let supplies = project.supplies.iter().filter(|s| !has_price(s));
    paper.chain(supplies.map(|s| s.name.clone())).collect()
}

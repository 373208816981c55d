//! What to buy besides paper.
//!
//! Lengths are cut in one run, so that of equal lengths each pack holds as many as fit into it whole: first fit decreasing comes to
//! that. What is left of a pack after that is too short for another.

use super::SupplyBought;
use super::money;
use crate::length::Length;
use crate::project::{Amount, Edition, Need, Project, Supply};

/// What is bought of each supply, for each edition.
pub(super) fn supplies(project: &Project) -> Vec<Vec<SupplyBought>> {
    let mut lists: Vec<Vec<SupplyBought>> = vec![Vec::new(); project.editions.len()];
    for (position, supply) in project.supplies.iter().enumerate() {
        let mut before = 0;
        for (index, edition) in project.editions.iter().enumerate() {
            let needs = units(supply.need, edition, index);
            if needs > 0 {
                lists[index].push(bought(position, supply, before, needs));
            }
            before = before.saturating_add(needs);
        }
    }
    lists
}

/// How many lengths or single things an edition needs; what is needed once is counted for the first.
fn units(need: Need, edition: &Edition, index: usize) -> u32 {
    let copies = edition.copies.saturating_add(edition.spares);
    match need {
        Need::Lengths { per_copy, .. } | Need::Count { per_copy } => {
            per_copy.saturating_mul(copies)
        }
        Need::Once { count } if index == 0 => count,
        Need::Once { .. } => 0,
    }
}

/// What is bought of a supply for an edition that needs so many after others have taken theirs.
fn bought(position: usize, supply: &Supply, before: u32, needs: u32) -> SupplyBought {
    let there = units_in(supply.need, supply.on_hand);
    let taken = |units: u32| units.min(there);
    let up_to = before.saturating_add(needs);
    let packs = |units: u32| packs_for(supply, units - taken(units));
    let packs = packs(up_to) - packs(before);
    let price = supply.pack.as_ref().and_then(|pack| pack.price.as_ref());
    SupplyBought {
        supply: position,
        needs: amount(supply.need, needs),
        lengths: match supply.need {
            Need::Lengths { each, .. } => Some((each.length(), needs)),
            Need::Count { .. } | Need::Once { .. } => None,
        },
        on_hand: amount(supply.need, taken(up_to) - taken(before)),
        packs,
        price: price.map(|p| money::times(p, packs)),
    }
}

/// How many packs hold so many; each its own pack where it is not sold by the pack.
fn packs_for(supply: &Supply, units: u32) -> u32 {
    units.div_ceil(per_pack(supply))
}

/// How many lengths or single things one pack holds; 1 where it is not sold by the pack.
pub(super) fn per_pack(supply: &Supply) -> u32 {
    let pack = supply.pack.as_ref();
    // A pack holds at least one length, which the reader of projects sees to.
    pack.map_or(1, |pack| units_in(supply.need, pack.holds))
        .max(1)
}

/// How many whole lengths, or single things, there are in an amount.
fn units_in(need: Need, amount: Amount) -> u32 {
    match (need, amount) {
        (Need::Lengths { each, .. }, Amount::Length(length)) => {
            u32::try_from(length.nm() / each.length().nm()).unwrap_or(u32::MAX)
        }
        (_, Amount::Count(count)) => count,
        (Need::Count { .. } | Need::Once { .. }, Amount::Length(_)) => 0,
    }
}

/// So many lengths, or single things, as an amount.
fn amount(need: Need, units: u32) -> Amount {
    match need {
        Need::Lengths { each, .. } => Amount::Length(
            each.length()
                .checked_mul(i64::from(units))
                .unwrap_or(Length::from_nm(i64::MAX)),
        ),
        Need::Count { .. } | Need::Once { .. } => Amount::Count(units),
    }
}

//! Amounts of money: sums, and words.

use crate::project::Price;

/// Adds `price`, if there is one, to the sum in its currency; sums stand in the order in which their currencies first come up.
pub(super) fn add(sums: &mut Vec<Price>, price: Option<&Price>) {
    let Some(price) = price else {
        return;
    };
    match sums.iter_mut().find(|s| s.currency == price.currency) {
        Some(sum) => sum.hundredths = sum.hundredths.saturating_add(price.hundredths),
        None => sums.push(price.clone()),
    }
}

/// So many times a price.
pub(super) fn times(price: &Price, count: u32) -> Price {
    Price {
        hundredths: price.hundredths.saturating_mul(u64::from(count)),
        currency: price.currency.clone(),
    }
}

/// Returns sums in words: `4.20 EUR and 1.00 USD`; `None` where there is none.
pub(super) fn sums(prices: &[Price]) -> Option<String> {
    let words: Vec<String> = prices.iter().map(Price::to_string).collect();
    (!words.is_empty()).then(|| words.join(" and "))
}

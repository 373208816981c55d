//! Amounts of money and other numbers with two decimals.

use toml::de::DeValue;

use super::code;
use super::value::Value;
use crate::project::Price;

/// Reads an amount with at most two decimals and a currency, such as `0.35 EUR`.
pub(super) fn price(value: &Value<'_>) -> Option<Price> {
    let text = value.raw_text()?;
    let price = text.trim().split_once(' ').and_then(|(amount, currency)| {
        Some(Price {
            hundredths: hundredths(amount)?,
            currency: Some(currency.trim()).filter(|c| !c.is_empty())?.to_owned(),
        })
    });
    price.or_else(|| {
        let message = format!(
            "{} is no amount with at most two decimals and a currency",
            value.typed(&format!("\"{text}\""))
        );
        let hint = format!("write a price like {}", value.typed("\"0.35 EUR\""));
        value.fail(code::NUMBER_SPELLING, message, hint)
    })
}

/// Reads how many times, with at most two decimals, such as `2.5`; returns hundredths, at least one and `most` at most.
pub(super) fn times(value: &Value<'_>, most: u32) -> Option<u32> {
    let text = match value.get() {
        DeValue::String(text) => text.as_ref().trim(),
        DeValue::Integer(_) | DeValue::Float(_) => value.source(),
        DeValue::Boolean(_) | DeValue::Datetime(_) | DeValue::Array(_) | DeValue::Table(_) => {
            let hint = format!("write {}", value.typed("\"2.5\""));
            return value.wrong_type("a number", &hint);
        }
    };
    let read = hundredths(text).and_then(|n| u32::try_from(n).ok());
    if let Some(read) = read.filter(|n| (1..=most).contains(n)) {
        return Some(read);
    }
    let message = format!(
        "{} is no number from 0.01 to {} with at most two decimals",
        value.typed(&format!("\"{text}\"")),
        most / 100
    );
    let hint = format!("write {}", value.typed("\"2.5\""));
    value.fail(code::NUMBER_SPELLING, message, hint)
}

/// Reads a whole percentage up to `most`, such as `10 %`.
pub(super) fn percent(value: &Value<'_>, most: u32) -> Option<u32> {
    let text = value.raw_text()?;
    let number = text.trim().strip_suffix('%').map(str::trim);
    let number = number.and_then(|n| n.parse::<u32>().ok());
    number.filter(|n| *n <= most).or_else(|| {
        let message = format!(
            "{} is no whole percentage up to {most}",
            value.typed(&format!("\"{text}\""))
        );
        let hint = format!("write {}", value.typed("\"10 %\""));
        value.fail(code::NUMBER_SPELLING, message, hint)
    })
}

fn hundredths(amount: &str) -> Option<u64> {
    let (whole, decimals) = amount.split_once('.').unwrap_or((amount, ""));
    let is_digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty()
        || whole.len() > 9
        || decimals.len() > 2
        || !is_digits(whole)
        || !is_digits(decimals)
    {
        return None;
    }
    format!("{whole}{decimals:0<2}").parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prices_are_whole_hundredths() {
        let cases = [("0.35", 35), ("2", 200), ("1.5", 150), ("12.05", 1205)];
        for (text, want) in cases {
            assert_eq!(hundredths(text), Some(want), "{text}");
        }
        for text in ["", ".5", "1.234", "-1", "1,50", "1e3"] {
            assert_eq!(hundredths(text), None, "{text}");
        }
    }
}

//! The `[instructions]` table and the `[[step]]` tables: what the maker says to those who make it too.

use super::asset::Library;
use super::ids::Ids;
use super::table::Table;
use super::value::Value;
use super::{code, money};
use crate::diagnostic::Diagnostic;
use crate::drawing::AssetIndex;
use crate::project::{Caution, Lesson, Price, Pricing, Project, Step, Stock, Supply, When};

/// Ten times the cost is more than any shop asks.
const MOST_MULTIPLE_HUNDREDTHS: u32 = 1000;
const MOST_OVERHEAD_PERCENT: u32 = 999;
/// A whole day for one step.
const MOST_MINUTES: u32 = 1440;

const WHEN: &[(&str, When)] = &[
    (When::BeforeClass.name(), When::BeforeClass),
    (When::InClass.name(), When::InClass),
];

/// What a lesson is read with.
#[derive(Debug, Clone, Copy)]
pub(super) struct Known<'s> {
    pub(super) pieces: &'s Ids,
    pub(super) assemblies: &'s Ids,
    pub(super) library: &'s Library<'s>,
}

/// Reads the lesson; without a title of its own it has the job's name.
pub(super) fn read(root: &Table<'_>, job_name: &str, known: Known<'_>) -> Option<Lesson> {
    let steps: Vec<_> = root
        .tables("step")
        .iter()
        .map(|table| read_step(table, known))
        .collect();
    let words = match root.table("instructions") {
        Some(table) => read_words(&table, known.library),
        None if root.has("instructions") => None,
        None => Some(Lesson::default()),
    };
    let mut lesson = words?;
    if lesson.title.is_empty() {
        job_name.clone_into(&mut lesson.title);
    }
    lesson.steps = steps.into_iter().collect::<Option<_>>()?;
    Some(lesson)
}

fn read_words(table: &Table<'_>, library: &Library<'_>) -> Option<Lesson> {
    let lesson = Lesson {
        title: table.optional("title", Value::words).unwrap_or_default(),
        by: table.optional("by", Value::words),
        logo: picture(table, "logo", library),
        terms: table.optional("terms", Value::sentences),
        version: table.optional("version", Value::words),
        about: table.optional("about", Value::sentences),
        photo: picture(table, "photo", library),
        tools: list(table, "tools", "[\"bone folder\"]", Value::words),
        cautions: list(table, "cautions", "[\"blades\"]", |v| {
            v.choice(Caution::NAMES)
        }),
        pricing: table.table("price").and_then(|own| read_pricing(&own)),
        steps: Vec::new(),
    };
    table.close();
    Some(lesson)
}

fn picture(table: &Table<'_>, key: &'static str, library: &Library<'_>) -> Option<AssetIndex> {
    table
        .optional(key, |value| library.picture(value))
        .map(|(index, _)| index)
}

/// Reads a list, without what is wrong in it, which is reported.
fn list<'a, T>(
    table: &Table<'a>,
    key: &'static str,
    example: &str,
    read: impl Fn(&Value<'a>) -> Option<T>,
) -> Vec<T> {
    let items = table.optional(key, |value| value.list(example));
    items.iter().flatten().filter_map(read).collect()
}

fn read_pricing(table: &Table<'_>) -> Option<Pricing> {
    let per_hour = table.required("per_hour", "per_hour = \"12 EUR\"", money::price);
    let overhead = table.optional("overhead", |v| money::percent(v, MOST_OVERHEAD_PERCENT));
    let multiple = table.optional("multiple", |v| money::times(v, MOST_MULTIPLE_HUNDREDTHS));
    table.close();
    Some(Pricing {
        per_hour: per_hour?,
        overhead_percent: overhead.unwrap_or(0),
        multiple_hundredths: multiple.unwrap_or(100),
        origin: table.origin(),
    })
}

fn read_step(table: &Table<'_>, known: Known<'_>) -> Option<Step> {
    let text = table.required(
        "text",
        "text = \"Score all creases with the print down.\"",
        Value::sentences,
    );
    let piece = table.optional("piece", |v| known.pieces.find(v));
    let assembly = table.optional("assembly", |v| known.assemblies.find(v));
    let picture = picture(table, "picture", known.library);
    let when = table.optional("when", |v| v.choice(WHEN));
    let minutes = table.optional("minutes", |v| v.whole(1..=MOST_MINUTES));
    table.close();
    Some(Step {
        text: text?,
        piece,
        assembly,
        picture,
        when: when.unwrap_or(When::InClass),
        minutes,
        origin: table.origin(),
    })
}

/// Work and paper that are paid in two currencies have no sum.
pub(super) fn refuse_other_currency(project: &Project, root: &Table<'_>) {
    let Some(pricing) = &project.lesson.pricing else {
        return;
    };
    let of_stock = |stock: &Stock| Some((stock.price.clone()?, format!("stock \"{}\"", stock.id)));
    let of_supply = |supply: &Supply| {
        let price = supply.pack.as_ref()?.price.clone()?;
        Some((price, format!("supply \"{}\"", supply.id)))
    };
    let of_stocks = project.stocks.iter().filter_map(of_stock);
    let of_supplies = project.supplies.iter().filter_map(of_supply);
    let mut prices = of_stocks.chain(of_supplies);
    let own = &pricing.per_hour.currency;
    let other = prices.find(|(price, _): &(Price, String)| price.currency != *own);
    if let Some((price, what)) = other {
        let message = format!(
            "an hour is paid in {own} and {what} in {}, so there is no sum of both",
            price.currency
        );
        let mistake = Diagnostic::error(code::LESSON_CURRENCY, message)
            .at(&pricing.origin)
            .hint(format!(
                "write per_hour in {}, as \"12 {}\"",
                price.currency, price.currency
            ));
        root.mistakes().push(mistake);
    }
}

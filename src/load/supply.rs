//! The `[[supply]]` tables: what copies need besides paper.
//!
//! A length may be asked for by what it goes round; that is measured once everything else is read, so the tables are read first and
//! settled last.

use super::code;
use super::ids::Ids;
use super::money;
use super::table::Table;
use super::value::Value;
use super::wrap::{self, Target};
use crate::diagnostic::{Diagnostic, Origin};
use crate::length::{Length, Size};
use crate::project::{Amount, Need, Pack, Price, Project, Supply};

/// More than anybody needs of one thing.
const MOST: u32 = 9999;
/// More than any pack holds.
const MOST_IN_PACK: u32 = 1_000_000;

/// The keys of which one tells how much is needed.
const NEEDS: [&str; 4] = ["length", "round", "count", "once"];

/// A supply as declared.
#[derive(Debug)]
pub(super) struct Declared {
    supply: Supply,
    round: Option<(Target, Origin)>,
    pack_origin: Origin,
}

/// Reads all supplies; `None` where one has a mistake. What they go round is looked for among pieces and assemblies.
pub(super) fn read_all(
    tables: &[Table<'_>],
    ids: &Ids,
    pieces: &Ids,
    assemblies: &Ids,
) -> Vec<Option<Declared>> {
    let read = |(i, table)| read(table, ids.get(i), pieces, assemblies);
    tables.iter().enumerate().map(read).collect()
}

fn read(table: &Table<'_>, id: String, pieces: &Ids, assemblies: &Ids) -> Option<Declared> {
    let name = table
        .optional("name", Value::words)
        .unwrap_or_else(|| id.clone());
    let round = table.optional("round", |value| {
        Some((Target::read(value, pieces, assemblies)?, value.origin()))
    });
    let need = read_need(table);
    let by_length = table.has("length") || table.has("round");
    let pack = read_pack(table, by_length, &name);
    let on_hand = if table.has("on_hand") {
        table.optional("on_hand", |v| read_amount(v, by_length, &name))
    } else {
        table.know(&["on_hand"]);
        Some(nothing(by_length))
    };
    table.close();
    let supply = Supply {
        id,
        name,
        need: need?,
        pack: pack?,
        on_hand: on_hand?,
        origin: table.origin(),
    };
    if table.has("round") && round.is_none() {
        return None;
    }
    Some(Declared {
        supply,
        round,
        pack_origin: table.origin_of("pack"),
    })
}

/// Reads how much is needed; of a length that goes round something only the overlap is known yet.
fn read_need(table: &Table<'_>) -> Option<Need> {
    table.know(&NEEDS);
    table.know(&["overlap", "per_copy"]);
    let mut given = NEEDS.into_iter().filter(|key| table.has(key));
    let Some(key) = given.next() else {
        return table.missing(
            "length, round, count or once",
            "length = \"16 in\" or count = 2, for each copy, or once = 1, for all together",
        );
    };
    for second in given {
        table.conflict(
            second,
            &format!("stands beside {key}"),
            "say one of them only",
        );
    }
    match key {
        "length" => {
            let length = table.optional("length", Value::size);
            let (overlap, per_copy) = read_lengths(table);
            let each = Size::new(length?.length() + overlap)?;
            Some(Need::Lengths {
                each,
                overlap,
                per_copy: per_copy?,
            })
        }
        "round" => {
            let (overlap, per_copy) = read_lengths(table);
            let least = Size::new(Length::from_nm(1)).expect("a nanometre is more than nothing");
            Some(Need::Lengths {
                each: least,
                overlap,
                per_copy: per_copy?,
            })
        }
        key => {
            for stranger in ["overlap", "per_copy"] {
                if table.has(stranger) {
                    let because = format!("stands beside {key}, and is for lengths");
                    table.conflict(stranger, &because, &format!("leave {stranger} out"));
                }
            }
            let count = table.optional(key, |v| v.whole(1..=MOST))?;
            Some(match key {
                "count" => Need::Count { per_copy: count },
                _ => Need::Once { count },
            })
        }
    }
}

/// Reads the overlap of a seam, and how many lengths a copy takes; `None` for that if it is wrong.
fn read_lengths(table: &Table<'_>) -> (Length, Option<u32>) {
    let overlap = table.optional("overlap", Value::length);
    let per_copy = match table.has("per_copy") {
        true => table.optional("per_copy", |v| v.whole(1..=MOST)),
        false => Some(1),
    };
    (overlap.unwrap_or(Length::ZERO), per_copy)
}

/// Reads what a pack holds and costs; `Some(None)` where it is not sold by the pack, `None` if something is wrong.
#[expect(
    clippy::option_option,
    reason = "a mistake is told apart from no pack at all"
)]
fn read_pack(table: &Table<'_>, by_length: bool, name: &str) -> Option<Option<Pack>> {
    let price = table.optional("price", money::price);
    if !table.has("pack") {
        table.know(&["pack"]);
        return match table.has("price") {
            true => table.missing(
                "pack, whose price it is",
                match by_length {
                    true => "pack = \"5 m\"",
                    false => "pack = 1",
                },
            ),
            false => Some(None),
        };
    }
    let holds = table.optional("pack", |value| {
        let holds = read_amount(value, by_length, name)?;
        if holds != Amount::Count(0) {
            return Some(holds);
        }
        let message = "a pack of nothing is none";
        value.fail(code::NUMBER_RANGE, message, "write how many are in a pack")
    });
    let price: Option<Price> = match (table.has("price"), price) {
        (true, None) => return None,
        (_, price) => price,
    };
    Some(Some(Pack {
        holds: holds?,
        price,
    }))
}

const fn nothing(by_length: bool) -> Amount {
    match by_length {
        true => Amount::Length(Length::ZERO),
        false => Amount::Count(0),
    }
}

/// Reads an amount of the kind that the supply is needed by.
fn read_amount(value: &Value<'_>, by_length: bool, name: &str) -> Option<Amount> {
    match (by_length, value.is_text()) {
        (true, true) => value.roll().map(|size| Amount::Length(size.length())),
        (false, false) => value.whole(0..=MOST_IN_PACK).map(Amount::Count),
        (true, false) => {
            let message = format!(
                "{} counts {name}, which is needed by length",
                value.typed(value.source())
            );
            let hint = format!("write a length, like {}", value.typed("\"5 m\""));
            value.fail(code::SUPPLY_KIND, message, hint)
        }
        (false, true) => {
            let message = format!(
                "{} is no count, and {name} is needed by count",
                value.typed(value.source())
            );
            let hint = format!("write how many, like {}", value.typed("100"));
            value.fail(code::SUPPLY_KIND, message, hint)
        }
    }
}

/// Settles how long what goes round something is, and reports what no pack holds in one run.
pub(super) fn settle(
    declared: Vec<Declared>,
    project: &Project,
    root: &Table<'_>,
) -> Option<Vec<Supply>> {
    let settled: Vec<_> = declared
        .into_iter()
        .map(|one| settle_one(one, project, root))
        .collect();
    settled.into_iter().collect()
}

fn settle_one(declared: Declared, project: &Project, root: &Table<'_>) -> Option<Supply> {
    let mut supply = declared.supply;
    if let (Some((target, origin)), Need::Lengths { each, overlap, .. }) =
        (declared.round, &mut supply.need)
    {
        let girth = wrap::girth(target, project, &origin, root.mistakes())?;
        *each = Size::new(girth + *overlap)?;
    }
    if let (Need::Lengths { each, overlap, .. }, Some(Amount::Length(holds))) =
        (supply.need, supply.pack.as_ref().map(|pack| pack.holds))
        && each.length() > holds
    {
        let show = |length| root.mistakes().show(length);
        let with = match overlap {
            Length::ZERO => String::new(),
            overlap => format!(", {} of overlap with it", show(overlap)),
        };
        let message = format!(
            "each {} is {} long{with}, and a pack holds {} in one run",
            supply.name,
            show(each.length()),
            show(holds)
        );
        let mistake = Diagnostic::error(code::SUPPLY_LENGTH, message)
            .at(&declared.pack_origin)
            .hint(
                "choose a longer pack; or write two shorter lengths, each with the overlap of its seam",
            );
        root.mistakes().push(mistake);
        return None;
    }
    Some(supply)
}

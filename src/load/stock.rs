//! The `[[stock]]` tables.

use std::cmp::Ordering;

use super::asset::Library;
use super::code;
use super::format::Sheet;
use super::ids::Ids;
use super::money;
use super::offcut;
use super::paper_weight;
use super::table::Table;
use super::value::Value;
use crate::project::{Axis, Edge, Reads, Stock, StockFace};

/// More sheets than a project can plan.
pub(super) const MOST_SHEETS: u32 = 1_000_000;

pub(super) const READS: &[(&str, Reads)] = &[
    ("one-way", Reads::OneWay),
    ("stripe", Reads::Stripe),
    ("free", Reads::Free),
];
pub(super) const EDGES: &[(&str, Edge)] = &[
    ("top", Edge::Top),
    ("right", Edge::Right),
    ("bottom", Edge::Bottom),
    ("left", Edge::Left),
];

/// How the file gives the direction of the fibres.
#[derive(Debug, Clone, Copy)]
enum Grain {
    Long,
    Short,
    Along(Option<Axis>),
}

const GRAIN: &[(&str, Grain)] = &[
    ("long", Grain::Long),
    ("short", Grain::Short),
    ("none", Grain::Along(None)),
    ("x", Grain::Along(Some(Axis::X))),
    ("y", Grain::Along(Some(Axis::Y))),
];

/// Reads all stocks; whole sheets first, since offcuts take over what theirs is like. `None` where a sheet has no size.
pub(super) fn read_all(
    tables: &[Table<'_>],
    ids: &Ids,
    library: &Library<'_>,
) -> Vec<Option<Stock>> {
    let is_offcut = |table: &Table<'_>| table.has("offcut_of");
    let mut stocks: Vec<_> = (0..tables.len())
        .map(|i| {
            if is_offcut(&tables[i]) {
                None
            } else {
                read(&tables[i], ids.get(i), None, library)
            }
        })
        .collect();
    for (i, table) in tables
        .iter()
        .enumerate()
        .filter(|(_, table)| is_offcut(table))
    {
        let parent = table.optional("offcut_of", |value| {
            let parent = ids.find(value)?;
            if is_offcut(&tables[parent]) {
                let message = format!("stock \"{}\" is an offcut itself", ids.get(parent));
                return value.fail(
                    code::STOCK_OFFCUT,
                    message,
                    "name the whole sheet it was cut from",
                );
            }
            Some(parent)
        });
        let whole = parent.and_then(|parent| Some((parent, stocks[parent].clone()?)));
        stocks[i] = read(table, ids.get(i), whole, library);
    }
    stocks
}

fn read(
    table: &Table<'_>,
    id: String,
    whole: Option<(usize, Stock)>,
    library: &Library<'_>,
) -> Option<Stock> {
    let (sheet, outline) = offcut::read_sheet(table, &id, library);
    let grain = table.optional("grain", |v| read_grain(v, sheet.as_ref()));
    if let (Some(sheet), Some((_, whole))) = (&sheet, &whole) {
        let key = if table.has("outline") {
            "outline"
        } else {
            "format"
        };
        let whole = (whole.width, whole.height, whole.id.as_str());
        offcut::refuse_larger(table, key, (sheet.width, sheet.height), whole);
    }
    let (offcut_of, whole) = whole.unzip();
    let inherited = |face: fn(&Stock) -> &StockFace| {
        let face = whole.as_ref().map_or(StockFace::Plain, |w| face(w).clone());
        offcut::face_of(&face, outline.as_ref())
    };
    let name = table
        .optional("name", Value::words)
        .unwrap_or_else(|| id.clone());
    let caliper = table.optional("caliper", Value::size);
    let grammage_gsm = table.optional("grammage", paper_weight::read);
    let on_hand = table.optional("on_hand", |v| v.whole(0..=MOST_SHEETS));
    let price = table.optional("price", money::price);
    let is_clear = table.optional("clear", Value::boolean).unwrap_or(false);
    let face_a = table
        .optional("face_a", read_face)
        .unwrap_or_else(|| inherited(|w| &w.face_a));
    let face_b = table
        .optional("face_b", read_face)
        .unwrap_or_else(|| inherited(|w| &w.face_b));
    if outline.is_some() {
        offcut::refuse_printing(table, &face_a, &face_b);
    }
    table.close();
    let sheet = sheet?;
    Some(Stock {
        id,
        name,
        format: sheet.format,
        width: sheet.width,
        height: sheet.height,
        caliper: caliper.or(whole.as_ref().and_then(|w| w.caliper)),
        grammage_gsm: grammage_gsm.or(whole.as_ref().and_then(|w| w.grammage_gsm)),
        grain: if table.has("grain") {
            grain
        } else {
            whole.as_ref().and_then(|w| w.grain)
        },
        on_hand: on_hand.or(table.has("offcut_of").then_some(1)),
        is_clear,
        price,
        face_a,
        face_b,
        offcut_of,
        outline,
        origin: table.origin(),
    })
}

/// Reads the direction of the fibres as an axis of the sheet as it lies.
fn read_grain(value: &Value<'_>, sheet: Option<&Sheet>) -> Option<Axis> {
    let grain = value.choice(GRAIN)?;
    let sheet = sheet?;
    let (long, short) = match sheet.width.cmp(&sheet.height) {
        Ordering::Greater => (Some(Axis::X), Some(Axis::Y)),
        Ordering::Less => (Some(Axis::Y), Some(Axis::X)),
        Ordering::Equal => (None, None),
    };
    let axis = match grain {
        Grain::Along(axis) => return axis,
        Grain::Long => long,
        Grain::Short => short,
    };
    axis.or_else(|| {
        let side = value.mistakes().show(sheet.width.length());
        let message = format!("both sides of the sheet are {side}, so none is the long one");
        let hint =
            "write grain = \"x\" if the fibres run left to right, grain = \"y\" if top to bottom";
        value.fail(code::STOCK_GRAIN, message, hint)
    })
}

/// Reads `plain`, `printable`, or a table that describes a bought pattern.
fn read_face(value: &Value<'_>) -> Option<StockFace> {
    let Some(table) = value.table() else {
        let plain: &[(&str, bool)] = &[("plain", false), ("printable", true)];
        let is_printable = value.choice(plain)?;
        return Some(if is_printable {
            StockFace::Printable
        } else {
            StockFace::Plain
        });
    };
    let name = table.required("pattern", "pattern = \"leaf rows\"", Value::words);
    let reads = table.required(
        "reads",
        "reads = \"one-way\", \"stripe\" or \"free\"",
        |v| v.choice(READS),
    );
    let up = table
        .optional("up", |v| v.choice(EDGES))
        .unwrap_or(Edge::Top);
    table.close();
    Some(StockFace::Patterned {
        name: name?,
        reads: reads?,
        up,
    })
}

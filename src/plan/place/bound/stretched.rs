//! A bound from boxes whose sides are stretched and shrunk by dual feasible functions.
//!
//! Two ways of pricing a box that may be turned, for functions f across and g down:
//!
//! - *upright*: the lesser of f(w) g(h) and f(h) g(w). It is at most what the box counts as it lies.
//! - *both ways*: half their sum, with f and g for the same side. Every layout is also one with across and down exchanged; what a
//!   box counts in both together depends on no turn, and a sheet holds half of f(W) g(H) + f(H) g(W). (F. Clautiaux, A. Jouglet and
//!   J. El Hayek, "A new lower bound for the non-oriented two-dimensional bin-packing problem", 2007, do the same by doubling
//!   parts.)
//!
//! The first knows sheets that are not square and boxes that must not turn, the second is the stronger one for all others. Cost:
//! boxes times pairs of functions, of which there are a few for each length.

use super::content::{Content, Item, Sheet, Ways};
use super::count::needed;
use super::dual::Dual;

/// Kinds of parts from which lengths are taken, the first ones of a request. More are counted, but no function is made for them:
/// time grows with the third power of the lengths.
const MOST_MEASURED: usize = 120;

/// Returns how many whole sheets it takes at least, and which part of one.
pub(super) fn bound(content: &Content) -> f64 {
    let whole = || content.sheets.iter().filter(|s| !s.is_offcut);
    let width_nm = whole().map(|s| s.width_nm).max().unwrap_or(0);
    let height_nm = whole().map(|s| s.height_nm).max().unwrap_or(0);
    if width_nm == 0 || height_nm == 0 {
        return 0.0;
    }
    let measured = content.items.iter().take(MOST_MEASURED);
    let lengths: Vec<i64> = measured.flat_map(|i| [i.width_nm, i.height_nm]).collect();
    let tables = |side_nm| tables(content, Dual::all(side_nm, &lengths));
    let (across, down) = (tables(width_nm), tables(height_nm));
    let longer = if width_nm < height_nm { &down } else { &across };
    upright(content, &across, &down).max(both_ways(content, longer))
}

/// What a function makes of all lengths.
struct Table {
    /// Width and height of each item.
    items: Vec<(f64, f64)>,
    /// What width and height of each sheet hold.
    sheets: Vec<(f64, f64)>,
}

impl Table {
    fn new(content: &Content, dual: Dual) -> Self {
        let of_item = |i: &Item| (dual.share(i.width_nm), dual.share(i.height_nm));
        let of_sheet = |s: &Sheet| (dual.most(s.width_nm), dual.most(s.height_nm));
        Self {
            items: content.items.iter().map(of_item).collect(),
            sheets: content.sheets.iter().map(of_sheet).collect(),
        }
    }

    fn is_same(&self, other: &Self) -> bool {
        let bits = |pairs: &[(f64, f64)]| -> Vec<[u64; 2]> {
            let both = pairs.iter().map(|(w, h)| [w.to_bits(), h.to_bits()]);
            both.collect()
        };
        bits(&self.items) == bits(&other.items) && bits(&self.sheets) == bits(&other.sheets)
    }
}

/// Returns the tables of all functions that differ on something.
fn tables(content: &Content, duals: Vec<Dual>) -> Vec<Table> {
    let mut tables: Vec<Table> = Vec::new();
    for dual in duals {
        let table = Table::new(content, dual);
        if !tables.iter().any(|t| t.is_same(&table)) {
            tables.push(table);
        }
    }
    tables
}

fn upright(content: &Content, across: &[Table], down: &[Table]) -> f64 {
    let ways = content.items.iter().map(|i| i.ways_on(&content.sheets));
    let ways: Vec<Ways> = ways.collect();
    let price = |f: &Table, g: &Table| -> f64 {
        let items = content.items.iter().zip(&ways);
        let lengths = f.items.iter().zip(&g.items);
        let prices = items.zip(lengths).map(|((item, ways), (f, g))| {
            let lying = |is_allowed, share: f64| if is_allowed { share } else { f64::INFINITY };
            let least = lying(ways.is_upright, f.0 * g.1).min(lying(ways.is_sideways, f.1 * g.0));
            item.demand * least
        });
        prices.sum()
    };
    let room = |f: &Table, g: &Table, sheet: usize| f.sheets[sheet].0 * g.sheets[sheet].1;
    let pairs = across.iter().flat_map(|f| down.iter().map(move |g| (f, g)));
    greatest(content, pairs, price, room)
}

fn both_ways(content: &Content, tables: &[Table]) -> f64 {
    let half_sum = |f: &(f64, f64), g: &(f64, f64)| (f.0 * g.1 + f.1 * g.0) / 2.0;
    let price = |f: &Table, g: &Table| -> f64 {
        let lengths = f.items.iter().zip(&g.items);
        let items = content.items.iter().zip(lengths);
        items
            .map(|(item, (f, g))| item.demand * half_sum(f, g))
            .sum()
    };
    let room = |f: &Table, g: &Table, sheet: usize| half_sum(&f.sheets[sheet], &g.sheets[sheet]);
    let numbered = tables.iter().enumerate();
    let pairs = numbered.flat_map(|(i, f)| tables[i..].iter().map(move |g| (f, g)));
    greatest(content, pairs, price, room)
}

/// Returns the greatest of the bounds that the pairs of functions give.
fn greatest<'a>(
    content: &Content,
    pairs: impl Iterator<Item = (&'a Table, &'a Table)>,
    price: impl Fn(&Table, &Table) -> f64,
    room: impl Fn(&Table, &Table, usize) -> f64,
) -> f64 {
    let bounds = pairs.map(|(f, g)| {
        let held: Vec<f64> = (0..content.sheets.len()).map(|s| room(f, g, s)).collect();
        needed(price(f, g), &content.sheets, &held)
    });
    bounds.fold(0.0, f64::max)
}

//! A request in the words of the trimmer: sizes of boxes, and sheets as rectangles that have been cut apart.

use super::super::{Area, Cutting, Request};
use super::block::{Block, size_nm2};
use super::region::regions;

/// Boxes that can stand for each other: same measures, same turns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Size {
    pub(super) width_nm: i64,
    pub(super) height_nm: i64,
    /// For each kind of sheet, whether it may lie upright and whether sideways.
    pub(super) turns: Vec<(bool, bool)>,
    /// The parts of this size, in their order in the request.
    pub(super) parts: Vec<usize>,
    /// How many are wanted, all parts together; none if it fits no sheet.
    pub(super) demand: u32,
    /// How many more are welcome, all parts together.
    pub(super) spares: u32,
}

impl Size {
    /// Width times height in square nanometres.
    pub(super) fn size_nm2(&self) -> f64 {
        size_nm2(self.width_nm, self.height_nm)
    }
}

/// A kind of sheet.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Kind {
    /// Free rectangles, cut apart.
    pub(super) free: Vec<Area>,
    /// What fits into one of them.
    pub(super) blocks: Vec<Block>,
    /// How many sheets there are.
    pub(super) limit: Option<u32>,
    /// Whether it is used up before whole sheets.
    pub(super) is_offcut: bool,
    /// What it costs, in whole sheets: 1 and a little for its price, next to nothing for an offcut.
    pub(super) cost: f64,
    /// Size of its free rectangles.
    pub(super) size_nm2: f64,
}

/// What makes two parts one size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sameness {
    /// Measures and turns: they can stand for each other.
    Measures,
    /// Nothing.
    Never,
}

/// The request.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Problem {
    pub(super) sizes: Vec<Size>,
    pub(super) kinds: Vec<Kind>,
    /// The longest cut.
    pub(super) reach_nm: Option<i64>,
}

/// Cost of an offcut: enough to leave one alone that saves nothing, too little for any number of them to outweigh a sheet.
const OFFCUT_COST: f64 = 1e-3;
/// Weight of the dearest sheet's price: too little for a hundred sheets of it to outweigh one sheet more.
const PRICE_WEIGHT: f64 = 5e-3;

impl Problem {
    /// The problem of a request; parts of the same measures and turns are one size unless they are to be told apart.
    pub(super) fn new(request: &Request, sameness: Sameness) -> Self {
        let reach_nm = match request.cutting {
            Cutting::EdgeToEdge { reach_nm } => reach_nm,
            Cutting::Outlines | Cutting::Rows => None,
        };
        let mut sizes = sizes(request, sameness);
        let dearest = request.sheets.iter().map(|s| s.price_hundredths).max();
        let kinds: Vec<Kind> = request
            .sheets
            .iter()
            .enumerate()
            .map(|(at, sheet)| {
                let free = regions(sheet, reach_nm);
                let price = sheet.price_hundredths as f64 / dearest.unwrap_or(0).max(1) as f64;
                Kind {
                    blocks: blocks(&sizes, at, &free),
                    size_nm2: free.iter().map(|a| size_nm2(a.width_nm, a.height_nm)).sum(),
                    free,
                    limit: sheet.limit,
                    is_offcut: sheet.is_offcut,
                    cost: if sheet.is_offcut {
                        OFFCUT_COST
                    } else {
                        1.0 + PRICE_WEIGHT * price
                    },
                }
            })
            .collect();
        for (at, size) in sizes.iter_mut().enumerate() {
            let fits =
                |kind: &Kind| kind.limit != Some(0) && kind.blocks.iter().any(|b| b.size == at);
            if !kinds.iter().any(fits) {
                size.demand = 0;
                size.spares = 0;
            }
        }
        Self {
            sizes,
            kinds,
            reach_nm,
        }
    }

    /// What so many whole sheets cost at least.
    pub(super) fn least_cost(&self, whole_sheets: u32) -> f64 {
        let costs = self
            .kinds
            .iter()
            .filter(|kind| !kind.is_offcut)
            .map(|kind| kind.cost);
        costs
            .reduce(f64::min)
            .map_or(0.0, |cost| cost * f64::from(whole_sheets))
    }

    /// Size of all boxes wanted in `counts`, in square nanometres.
    pub(super) fn wanted_nm2(&self, counts: &[u32]) -> f64 {
        self.sizes
            .iter()
            .zip(counts)
            .map(|(size, n)| size.size_nm2() * f64::from(*n))
            .sum()
    }
}

fn sizes(request: &Request, sameness: Sameness) -> Vec<Size> {
    let mut sizes: Vec<Size> = Vec::new();
    for (at, part) in request.parts.iter().enumerate() {
        let is_square = part.width_nm == part.height_nm;
        let turns: Vec<_> = part
            .turns
            .iter()
            .map(
                |turns| match (turns.upright().is_some(), turns.sideways().is_some()) {
                    (false, true) if is_square => (true, false),
                    (upright, sideways) => (upright, sideways && !is_square),
                },
            )
            .collect();
        let is_same = |size: &&mut Size| {
            sameness == Sameness::Measures
                && (size.width_nm, size.height_nm) == (part.width_nm, part.height_nm)
                && size.turns == turns
        };
        if let Some(size) = sizes.iter_mut().find(is_same) {
            size.parts.push(at);
            size.demand += part.demand;
            size.spares += part.spares;
        } else {
            sizes.push(Size {
                width_nm: part.width_nm,
                height_nm: part.height_nm,
                turns,
                parts: vec![at],
                demand: part.demand,
                spares: part.spares,
            });
        }
    }
    sizes
}

fn blocks(sizes: &[Size], kind: usize, free: &[Area]) -> Vec<Block> {
    let both = sizes.iter().enumerate().flat_map(|(at, size)| {
        let (upright, sideways) = size.turns[kind];
        let block = |width_nm, height_nm, is_sideways| Block {
            size: at,
            width_nm,
            height_nm,
            is_sideways,
        };
        let upright = upright.then(|| block(size.width_nm, size.height_nm, false));
        let sideways = sideways.then(|| block(size.height_nm, size.width_nm, true));
        upright.into_iter().chain(sideways)
    });
    both.filter(|block| free.iter().any(|area| block.fits(*area)))
        .collect()
}

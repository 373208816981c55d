//! What stands behind the door.

use std::num::NonZeroUsize;

use super::{Cutting, Placed, Placer, Request, Watch};
use super::{boxes, nest, spares, trim};

/// The layout engine.
#[derive(Debug, Clone, Copy)]
pub struct Engine {
    /// Threads to use.
    pub threads: NonZeroUsize,
}

impl Placer for Engine {
    fn place(&self, request: &Request, watch: &dyn Watch) -> Placed {
        let mut placed = match request.cutting {
            Cutting::EdgeToEdge { .. } => self.cut_edge_to_edge(request, watch),
            Cutting::Outlines => nest::place(request, self.threads, watch),
            Cutting::Rows => boxes::place(request, self.threads, watch),
        };
        spares::fill(request, &mut placed.layout);
        placed
    }
}

impl Engine {
    /// Keeps to the trimmer's reach, unless that leaves parts out: a rule and a knife make the longer cuts.
    fn cut_edge_to_edge(self, request: &Request, watch: &dyn Watch) -> Placed {
        let within_reach = trim::place(request, self.threads, watch);
        if within_reach.layout.leftovers.iter().all(|left| *left == 0) {
            return within_reach;
        }
        let any_length = Request {
            cutting: Cutting::EdgeToEdge { reach_nm: None },
            ..request.clone()
        };
        let beyond = trim::place(&any_length, self.threads, watch);
        let left = |placed: &Placed| placed.layout.leftovers.iter().sum::<u32>();
        if left(&beyond) < left(&within_reach) {
            beyond
        } else {
            within_reach
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Area, Best, Effort, NoWatch, PartKind, SheetKind, TurnSet};
    use super::*;

    /// Sheets of 20 x 40 that four upright boxes 10 wide take, and how many boxes are left over.
    fn sheets(height_nm: i64, reach_nm: i64) -> (u32, u32) {
        let request = Request {
            sheets: vec![SheetKind::of(Area::from_edges(0, 0, 20, 40))],
            parts: vec![PartKind::boxed(10, height_nm, 4, TurnSet::of(|q| q == 0))],
            cutting: Cutting::EdgeToEdge {
                reach_nm: Some(reach_nm),
            },
            best: Best::FewestSheets,
            effort: Effort::Usual,
        };
        let engine = Engine {
            threads: NonZeroUsize::MIN,
        };
        let layout = engine.place(&request, &NoWatch).layout;
        (layout.sheet_count(), layout.leftovers[0])
    }

    #[test]
    fn no_part_is_left_out_because_the_trimmer_is_short() {
        // Strips as long as the sheet need a cut of 40; two to a sheet. With a reach of 25 a sheet is halved first.
        assert_eq!(sheets(40, 25), (2, 0));
        assert_eq!(sheets(20, 25), (1, 0));
        // A reach of 10 makes no first cut at all.
        assert_eq!(sheets(20, 10), (1, 0));
    }
}

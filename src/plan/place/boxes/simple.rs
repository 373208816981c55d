//! The best of several hundred guillotine, shelf and free-rectangle layouts.
//!
//! What is best, `score` says; among equals it is the way that stands first in the list. Every way has a bound on its work, so
//! the search ends; ways are independent, so threads change nothing but the time.

use std::num::NonZeroUsize;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::super::{self as door, Effort, Placed, Progress, Request, Watch};
use super::Layout;
use super::edge::as_obstacles;
use super::pattern::lay_out;
use super::score::Score;
use super::strategy::{Filler, PLAIN, Ration, Step, Strategy, fillers, strategies};

/// Lays the boxes of all parts out.
pub(in super::super) fn place(
    request: &Request,
    threads: NonZeroUsize,
    watch: &dyn Watch,
) -> Placed {
    let request = &as_obstacles(request);
    Placed {
        layout: to_door(request, best(request, threads, watch)),
        is_stopped: watch.is_stopped(),
    }
}

fn to_door(request: &Request, layout: Layout) -> door::Layout {
    let sheets = layout.sheets.into_iter().map(|sheet| door::FilledSheet {
        kind: sheet.kind,
        runs: sheet.runs,
        places: sheet
            .places
            .iter()
            .map(|p| door::Place::covering(p.kind, p.area, p.quarters))
            .collect(),
    });
    door::Layout {
        sheets: sheets.collect(),
        leftovers: layout.leftovers,
        spares: vec![0; request.parts.len()],
    }
}

fn best(request: &Request, threads: NonZeroUsize, watch: &dyn Watch) -> Layout {
    let mut ways = strategies(request.cutting);
    if request.effort == Effort::Quick {
        ways = ways.into_iter().step_by(WAYS_FOR_A_GLANCE).collect();
    }
    // First of all the way that has no bound on its work, so that there is always a result.
    ways.insert(0, FIRST);
    let search = Search {
        request,
        watch,
        fillers: fillers(request.cutting),
        next: AtomicUsize::new(0),
        best: Mutex::new(None),
    };
    std::thread::scope(|scope| {
        for _ in 1..threads.get() {
            scope.spawn(|| search.work(&ways));
        }
        search.work(&ways);
    });
    let best = search
        .best
        .into_inner()
        .expect("no worker panics while it holds the lock");
    best.expect("the first way has no bound and is never skipped")
        .layout
}

/// For a glance one way in so many is tried.
const WAYS_FOR_A_GLANCE: usize = 8;

const FIRST: Strategy = Strategy {
    step: Step::Fixed(PLAIN),
    ration: Ration::All,
};

struct Search<'a> {
    request: &'a Request,
    watch: &'a dyn Watch,
    fillers: Vec<Filler>,
    next: AtomicUsize,
    best: Mutex<Option<Best>>,
}

struct Best {
    score: Score,
    way: usize,
    layout: Layout,
}

impl Search<'_> {
    fn work(&self, ways: &[Strategy]) {
        loop {
            let way = self.next.fetch_add(1, Ordering::Relaxed);
            let Some(strategy) = ways.get(way) else {
                return;
            };
            if way > 0 && self.watch.is_stopped() {
                return;
            }
            if let Some(layout) = lay_out(self.request, *strategy, &self.fillers) {
                self.offer(way, layout);
            }
            self.watch.progress(Progress {
                done: way + 1,
                all: ways.len(),
                sheets: self.sheets(),
                bound: 0,
            });
        }
    }

    fn sheets(&self) -> Option<u32> {
        let best = self
            .best
            .lock()
            .expect("no worker panics while it holds the lock");
        let runs = |best: &Best| best.layout.sheets.iter().map(|s| s.runs).sum();
        best.as_ref().map(runs)
    }

    fn offer(&self, way: usize, layout: Layout) {
        let score = Score::new(self.request, &layout);
        let mut best = self
            .best
            .lock()
            .expect("no worker panics while it holds the lock");
        if best
            .as_ref()
            .is_none_or(|b| (score, way) < (b.score, b.way))
        {
            *best = Some(Best { score, way, layout });
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::super::{Area, Best, Cutting, Effort, NoWatch, PartKind, SheetKind, TurnSet};
    use super::super::{FilledSheet, Layout};
    use super::{NonZeroUsize, Request, Watch, best};

    const EDGE_TO_EDGE: Cutting = Cutting::EdgeToEdge { reach_nm: None };
    const EIGHTH_INCH_NM: i64 = 3_175_000;

    fn place(request: &Request, threads: usize) -> Layout {
        let threads = NonZeroUsize::new(threads).expect("tests ask for one or two");
        best(request, threads, &NoWatch)
    }

    fn boxes(width_nm: i64, height_nm: i64, demand: u32, turns: TurnSet) -> PartKind {
        PartKind::boxed(width_nm, height_nm, demand, turns)
    }

    fn on_one_kind(
        width_nm: i64,
        height_nm: i64,
        boxes: Vec<PartKind>,
        cutting: Cutting,
    ) -> Request {
        let area = Area::from_edges(0, 0, width_nm, height_nm);
        let sheets = vec![SheetKind::of(area)];
        Request {
            sheets,
            parts: boxes,
            cutting,
            best: Best::FewestSheets,
            effort: Effort::Usual,
        }
    }

    fn sheets(layout: &Layout) -> u32 {
        layout.sheets.iter().map(|s| s.runs).sum()
    }

    /// In eighths of an inch: the tag of 2 x 3 1/2 in on 6 x 6 in. By hand: two upright stand side by side, 4 x 3 1/2 in; one lies in
    /// the 2 1/2 in below them and one stands in the 2 in beside them, four in all; a grid holds 3 x 1 upright or 1 x 3 lying.
    #[test]
    fn four_tags_come_out_of_a_square_where_a_grid_gives_three() {
        let tag = boxes(
            16 * EIGHTH_INCH_NM,
            28 * EIGHTH_INCH_NM,
            24,
            TurnSet::QUARTERS,
        );
        let side = 48 * EIGHTH_INCH_NM;
        for cutting in [EDGE_TO_EDGE, Cutting::Outlines] {
            let layout = place(&on_one_kind(side, side, vec![tag.clone()], cutting), 1);
            assert_eq!(layout.sheets.len(), 1);
            assert_eq!(
                (layout.sheets[0].runs, layout.sheets[0].places.len()),
                (6, 4)
            );
        }
    }

    #[test]
    fn offcuts_are_used_before_whole_sheets() {
        // Ten squares of side 2: the offcut of 4 x 4 takes four, the whole sheet of 6 x 4 six.
        let mut request = on_one_kind(6, 4, vec![boxes(2, 2, 10, TurnSet::QUARTERS)], EDGE_TO_EDGE);
        let offcut = SheetKind {
            area: Area::from_edges(0, 0, 4, 4),
            limit: Some(1),
            is_offcut: true,
            ..request.sheets[0].clone()
        };
        request.sheets.insert(0, offcut);
        request.parts[0].turns = vec![TurnSet::QUARTERS; 2];
        let counts: Vec<_> = place(&request, 1)
            .sheets
            .iter()
            .map(|s| (s.kind, s.runs, s.places.len()))
            .collect();
        assert_eq!(counts, [(0, 1, 4), (1, 1, 6)]);
    }

    #[test]
    fn what_no_sheet_is_left_for_is_left_over() {
        let mut request = on_one_kind(
            10,
            10,
            vec![boxes(5, 5, 11, TurnSet::QUARTERS)],
            Cutting::Outlines,
        );
        request.sheets[0].limit = Some(2);
        let layout = place(&request, 1);
        assert_eq!((sheets(&layout), layout.leftovers), (2, vec![3]));
    }

    #[test]
    fn a_box_that_may_not_turn_is_not_turned() {
        let request = on_one_kind(
            10,
            4,
            vec![boxes(4, 10, 1, TurnSet::of(|q| q % 2 == 0))],
            Cutting::Outlines,
        );
        assert_eq!(place(&request, 1).leftovers, [1]);
    }

    #[test]
    fn boxes_keep_clear_of_obstacles() {
        // A bar across the middle leaves two strips of 10 x 4, each for five boxes of 2 x 4.
        let mut request = on_one_kind(
            10,
            10,
            vec![boxes(2, 4, 10, TurnSet::of(|q| q == 0))],
            Cutting::Outlines,
        );
        request.sheets[0].obstacles = vec![Area::from_edges(0, 4, 10, 6)];
        let layout = place(&request, 1);
        assert_eq!((sheets(&layout), layout.leftovers), (1, vec![0]));
    }

    #[test]
    fn a_stopped_search_still_returns_a_layout() {
        #[derive(Debug)]
        struct Impatient;
        impl Watch for Impatient {
            fn is_stopped(&self) -> bool {
                true
            }
        }
        let request = on_one_kind(
            10,
            10,
            vec![boxes(5, 5, 8, TurnSet::QUARTERS)],
            Cutting::Outlines,
        );
        assert_eq!(sheets(&best(&request, NonZeroUsize::MIN, &Impatient)), 2);
    }

    /// Whether the boxes come apart by straight cuts from edge to edge, tried by cutting.
    fn comes_apart(areas: &[Area]) -> bool {
        if areas.len() < 2 {
            return true;
        }
        let cut = |at: i64, end: fn(&Area) -> i64, start: fn(&Area) -> i64| {
            let (first, second): (Vec<Area>, Vec<Area>) = areas.iter().partition(|a| end(a) <= at);
            let clean = second.iter().all(|a| start(a) >= at);
            (clean && !first.is_empty() && !second.is_empty()).then_some((first, second))
        };
        let beside = areas
            .iter()
            .find_map(|a| cut(a.right_nm(), |a| a.right_nm(), |a| a.x_nm));
        let below = || {
            areas
                .iter()
                .find_map(|a| cut(a.bottom_nm(), |a| a.bottom_nm(), |a| a.y_nm))
        };
        let Some((first, second)) = beside.or_else(below) else {
            return false;
        };
        comes_apart(&first) && comes_apart(&second)
    }

    fn is_sound(request: &Request, sheet: &FilledSheet) -> bool {
        let kind = &request.sheets[sheet.kind];
        let areas: Vec<Area> = sheet.places.iter().map(|p| p.area).collect();
        let apart = areas
            .iter()
            .enumerate()
            .all(|(i, a)| areas[..i].iter().all(|b| !a.overlaps(*b)));
        let inside = areas
            .iter()
            .all(|a| kind.area.contains(*a) && !kind.obstacles.iter().any(|o| o.overlaps(*a)));
        let sized = sheet.places.iter().all(|p| {
            let b = &request.parts[p.kind];
            let size = if p.quarters % 2 == 0 {
                (b.width_nm, b.height_nm)
            } else {
                (b.height_nm, b.width_nm)
            };
            size == (p.area.width_nm, p.area.height_nm) && b.turns[sheet.kind].has(p.quarters)
        });
        apart && inside && sized && (request.cutting == Cutting::Outlines || comes_apart(&areas))
    }

    fn any_boxes() -> impl Strategy<Value = Vec<PartKind>> {
        let turns = prop_oneof![
            Just(TurnSet::QUARTERS),
            Just(TurnSet::of(|q| q == 0)),
            Just(TurnSet::of(|q| q == 3))
        ];
        let kind =
            (1..60_i64, 1..60_i64, 1..9_u32, turns).prop_map(|(w, h, n, t)| boxes(w, h, n, t));
        prop::collection::vec(kind, 1..6)
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        #[test]
        fn layouts_are_sound_complete_and_the_same_on_two_threads(kinds in any_boxes(), is_free: bool) {
            let cutting = if is_free { Cutting::Outlines } else { EDGE_TO_EDGE };
            let mut request = on_one_kind(60, 80, kinds, cutting);
            if is_free {
                request.sheets[0].obstacles = vec![Area::from_edges(0, 0, 8, 8), Area::from_edges(20, 70, 50, 80)];
            }
            let layout = place(&request, 1);
            prop_assert_eq!(&layout, &place(&request, 2));
            for sheet in &layout.sheets {
                prop_assert!(is_sound(&request, sheet));
            }
            for (kind, wanted) in request.parts.iter().enumerate() {
                let placed = layout.sheets.iter().map(|s| {
                    s.runs as usize * s.places.iter().filter(|p| p.kind == kind).count()
                });
                prop_assert_eq!(placed.sum::<usize>() + layout.leftovers[kind] as usize, wanted.demand as usize);
            }
        }
    }
}

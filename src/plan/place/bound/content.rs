//! What a bound sees of a request.

use super::super::{Area, Cutting, PartKind, Request, Shape, SheetKind, TurnSet};
use super::inscribed;

/// A request as a bound sees it.
pub(super) struct Content {
    /// Kinds of sheets.
    pub(super) sheets: Vec<Sheet>,
    /// Kinds of parts that fit on one of the request's sheets.
    pub(super) items: Vec<Item>,
}

/// A kind of sheet.
#[derive(Debug, Clone)]
pub(super) struct Sheet {
    /// Position in [`Request::sheets`].
    kind: usize,
    pub(super) width_nm: i64,
    pub(super) height_nm: i64,
    /// What parts can cover of it.
    pub(super) free_nm2: f64,
    pub(super) limit: Option<u32>,
    pub(super) is_offcut: bool,
}

/// A kind of part.
#[derive(Debug, Clone)]
pub(super) struct Item {
    pub(super) demand: f64,
    pub(super) area_nm2: f64,
    /// Width of an upright rectangle inside the unturned part: the part itself, if it is a box.
    pub(super) width_nm: i64,
    /// Height of that rectangle.
    pub(super) height_nm: i64,
    /// Diameter of a disc inside the part.
    pub(super) disc_nm: f64,
    /// Width and height of its box before any turn.
    box_nm: (i64, i64),
    /// For each kind of sheet of the request.
    turns: Vec<TurnSet>,
    /// Whether angles between the quarters count as turns.
    turns_freely: bool,
}

/// Which sides of a part may lie along the width of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Ways {
    /// Its width.
    pub(super) is_upright: bool,
    /// Its height.
    pub(super) is_sideways: bool,
}

impl Ways {
    fn or(self, other: Self) -> Self {
        Self {
            is_upright: self.is_upright || other.is_upright,
            is_sideways: self.is_sideways || other.is_sideways,
        }
    }
}

impl Content {
    pub(super) fn new(request: &Request) -> Self {
        let kinds = request.sheets.iter().enumerate();
        let sheets: Vec<Sheet> = kinds.map(|(kind, s)| Sheet::new(kind, s)).collect();
        let wanted = request.parts.iter().filter(|p| p.demand > 0);
        let items = wanted.map(|part| Item::new(part, request.cutting));
        let fits = |item: &Item| item.ways_on(&sheets) != Ways::default();
        Self {
            items: items.filter(fits).collect(),
            sheets,
        }
    }

    /// Whether every item fits on one of the sheets.
    pub(super) fn holds_every_item(&self) -> bool {
        let fits = |item: &Item| item.ways_on(&self.sheets) != Ways::default();
        self.items.iter().all(fits)
    }
}

impl Sheet {
    fn new(kind: usize, sheet: &SheetKind) -> Self {
        let area_nm2 = free_nm2(sheet.area, &sheet.obstacles);
        let outline_nm2 = sheet.outline.as_ref().map_or(area_nm2, shape_nm2);
        Self {
            kind,
            width_nm: sheet.area.width_nm,
            height_nm: sheet.area.height_nm,
            free_nm2: area_nm2.min(outline_nm2),
            limit: sheet.limit,
            is_offcut: sheet.is_offcut,
        }
    }
}

impl Item {
    fn new(part: &PartKind, cutting: Cutting) -> Self {
        let follows_outline = cutting == Cutting::Outlines;
        let turns_freely = follows_outline && part.turns.iter().any(|t| t.is_any());
        let shape = part.shape.as_ref().filter(|_| follows_outline);
        let (w, h) = (part.width_nm, part.height_nm);
        let disc_nm = shape.map_or(w.min(h) as f64, inscribed::disc_nm);
        let inside = match shape {
            _ if turns_freely => inscribed::square_in_disc(disc_nm),
            Some(shape) => inscribed::rectangle(shape),
            None => (w, h),
        };
        Self {
            demand: f64::from(part.demand),
            area_nm2: shape.map_or(w as f64 * h as f64, shape_nm2),
            width_nm: inside.0,
            height_nm: inside.1,
            disc_nm,
            box_nm: (w, h),
            turns: part.turns.clone(),
            turns_freely,
        }
    }

    /// Returns in which ways it may lie on any of the sheets. One that turns freely is taken to fit wherever it may lie.
    pub(super) fn ways_on(&self, sheets: &[Sheet]) -> Ways {
        let ways = sheets.iter().map(|sheet| {
            let turns = self.turns[sheet.kind];
            let fits = |width, height| width <= sheet.width_nm && height <= sheet.height_nm;
            let (w, h) = self.box_nm;
            let is_anyhow = self.turns_freely && turns.is_any();
            Ways {
                is_upright: is_anyhow || turns.upright().is_some() && fits(w, h),
                is_sideways: is_anyhow || turns.sideways().is_some() && fits(h, w),
            }
        });
        ways.fold(Ways::default(), Ways::or)
    }
}

/// Returns the size of an area less the obstacles in it, which may overlap each other.
fn free_nm2(area: Area, obstacles: &[Area]) -> f64 {
    let clipped = obstacles.iter().map(|o| {
        let (right, bottom) = (area.right_nm(), area.bottom_nm());
        Area::from_edges(
            o.x_nm.max(area.x_nm),
            o.y_nm.max(area.y_nm),
            o.right_nm().min(right),
            o.bottom_nm().min(bottom),
        )
    });
    let clipped: Vec<Area> = clipped.filter(|o| !o.is_empty()).collect();
    let edges = clipped.iter().flat_map(|o| [o.x_nm, o.right_nm()]);
    let mut edges: Vec<i64> = edges.collect();
    edges.sort_unstable();
    let taken = edges.windows(2).map(|strip| {
        let over = clipped
            .iter()
            .filter(|o| o.x_nm <= strip[0] && strip[1] <= o.right_nm());
        let spans: Vec<(i64, i64)> = over.map(|o| (o.y_nm, o.bottom_nm())).collect();
        (strip[1] - strip[0]) as f64 * covered_nm(spans) as f64
    });
    area.size_nm2() as f64 - taken.sum::<f64>()
}

/// Returns how much of a line spans cover together.
fn covered_nm(mut spans: Vec<(i64, i64)>) -> i64 {
    spans.sort_unstable();
    let mut reached = i64::MIN;
    let mut covered = 0;
    for (from, to) in spans {
        covered += (to - from.max(reached)).max(0);
        reached = reached.max(to);
    }
    covered
}

fn shape_nm2(shape: &Shape) -> f64 {
    ring_nm2(&shape.outer) - shape.holes.iter().map(|ring| ring_nm2(ring)).sum::<f64>()
}

/// Returns the area inside a ring, by the shoelace formula in whole numbers.
fn ring_nm2(ring: &[[i64; 2]]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    let doubled: i128 = ring
        .iter()
        .zip(next)
        .map(|(a, b)| i128::from(a[0]) * i128::from(b[1]) - i128::from(b[0]) * i128::from(a[1]))
        .sum();
    doubled.unsigned_abs() as f64 / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn obstacles_that_overlap_or_reach_out_are_taken_off_once() {
        let area = Area::from_edges(0, 0, 100, 50);
        // 10 x 10 and 10 x 10 that share 5 x 5 are 175; of 20 x 20 at the corner, 10 x 10 lies inside.
        let obstacles = [
            Area::from_edges(20, 20, 30, 30),
            Area::from_edges(25, 25, 35, 35),
            Area::from_edges(90, -10, 110, 10),
            Area::from_edges(-30, 0, -20, 50),
        ];
        assert!((free_nm2(area, &obstacles) - (5000.0 - 175.0 - 100.0)).abs() < 1e-9);
        assert!((free_nm2(area, &[]) - 5000.0).abs() < 1e-9);
    }

    #[test]
    fn a_ring_with_a_hole_is_measured_whichever_way_it_runs() {
        // A 3-4-5 triangle of 6 without a square of 1.
        let outer = vec![[0, 0], [4, 0], [0, 3]];
        let hole = vec![[1, 1], [1, 2], [2, 2], [2, 1]];
        let backwards = outer.iter().rev().copied().collect();
        for outer in [outer, backwards] {
            let shape = Shape {
                outer,
                holes: vec![hole.clone()],
            };
            assert!((shape_nm2(&shape) - 5.0).abs() < 1e-12);
        }
    }
}

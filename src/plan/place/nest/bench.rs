//! A request made ready for the search: every part in every turn as convex cells, every kind of sheet with what lies in the way.

use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::super::{Area, PartKind, Request, SheetKind, TurnSet};
use super::form::{Bounds, Form, Turner};
use super::pair::{Pair, overlap_without_table};
use super::ring::{Point, area_nm2, hull, rectangle, rings};
use super::simplify::{Slack, grown};
use super::split::convex_cells;

/// A kind of sheet.
#[derive(Debug)]
pub(super) struct Board {
    /// Where parts may lie but for what is in the way.
    pub(super) area: Bounds,
    /// The form of all that is in the way: obstacles and what the outline leaves out.
    pub(super) hazard: Option<usize>,
    /// Area that is free.
    pub(super) area_nm2: f64,
}

/// A kind of part.
#[derive(Debug)]
pub(super) struct Part {
    /// For each kind of sheet the forms in which it may lie there; those that do not fit into its rectangle are left out.
    pub(super) forms: Vec<Vec<usize>>,
    /// Area of its padded outline.
    pub(super) area_nm2: f64,
    /// Area of its convex hull: what is large by this is hard to place.
    pub(super) hull_nm2: f64,
}

/// A request made ready.
#[derive(Debug)]
pub(super) struct Bench {
    pub(super) boards: Vec<Board>,
    pub(super) parts: Vec<Part>,
    pub(super) forms: Vec<Form>,
    pairs: Vec<OnceLock<Box<Pair>>>,
    bytes: AtomicUsize,
    /// What no part is narrower than: holes of less are of no use.
    least: f64,
}

/// Angles tried for parts that may lie at any: every 5 degrees.
const STEP_MDEG: u32 = 5_000;

/// Tables are made until they take this much memory; further pairs are worked out each time, with the same result.
const MOST_BYTES: usize = 160 << 20;

/// With more forms than this not even the list of tables is worth its memory.
const MOST_FORMS: usize = 1500;

const FULL_TURN_MDEG: u32 = 360_000;
const QUARTER_MDEG: u32 = 90_000;

impl Bench {
    /// Makes a request ready.
    pub(super) fn new(request: &Request) -> Self {
        let mut bench = Self {
            boards: Vec::new(),
            parts: Vec::new(),
            forms: Vec::new(),
            pairs: Vec::new(),
            bytes: AtomicUsize::new(0),
            least: narrowest(request),
        };
        let slack = slack(request);
        for sheet in &request.sheets {
            bench.add_board(sheet, slack);
        }
        for part in &request.parts {
            bench.add_part(part, slack);
        }
        let n = bench.forms.len();
        if n <= MOST_FORMS {
            bench.pairs.resize_with(n * n, OnceLock::new);
        }
        bench
    }

    /// How much two forms overlap if the second lies shifted by that much against the first.
    pub(super) fn overlap(&self, first: usize, second: usize, shift: Point) -> f64 {
        if first > second {
            return self.overlap(second, first, [-shift[0], -shift[1]]);
        }
        let (a, b) = (&self.forms[first], &self.forms[second]);
        let Some(slot) = self.pairs.get(first * self.forms.len() + second) else {
            return overlap_without_table(a, b, shift);
        };
        if let Some(pair) = slot.get() {
            return pair.overlap(shift);
        }
        if self.bytes.load(Ordering::Relaxed) > MOST_BYTES {
            return overlap_without_table(a, b, shift);
        }
        let pair = slot.get_or_init(|| Box::new(Pair::new(a, b)));
        self.bytes.fetch_add(pair.size(), Ordering::Relaxed);
        pair.overlap(shift)
    }

    /// The shifts at which a form lies within the rectangle of a kind of sheet; `None` if it is too large.
    pub(super) fn room(&self, form: usize, board: usize) -> Option<Bounds> {
        let (area, own) = (&self.boards[board].area, &self.forms[form].bounds);
        let low = [area.low[0] - own.low[0], area.low[1] - own.low[1]].map(f64::ceil);
        let high = [area.high[0] - own.high[0], area.high[1] - own.high[1]].map(f64::floor);
        (low[0] <= high[0] && low[1] <= high[1]).then_some(Bounds { low, high })
    }

    /// The shift at which the rectangle around a form covers an area; `None` if it is of another size.
    pub(super) fn shift_onto(&self, form: usize, area: Area) -> Option<Point> {
        let (own, there) = (&self.forms[form].bounds, bounds(area));
        let shift = [0, 1].map(|axis| there.low[axis] - own.low[axis]);
        (own.moved(shift) == there).then_some(shift)
    }

    fn add_board(&mut self, sheet: &SheetKind, slack: Slack) {
        let area = bounds(sheet.area);
        let mut cells = Vec::new();
        let mut free = area.size()[0] * area.size()[1];
        if let Some(outline) = &sheet.outline {
            let mut rings = rings(outline);
            free = rings.iter().map(|ring| area_nm2(ring)).sum();
            rings.iter_mut().for_each(|ring| ring.reverse());
            let around: Vec<Vec<Point>> = rings.iter().map(|ring| grown(ring, slack)).collect();
            // So wide that the shortest way off it is into the sheet.
            let wide = area.size()[0].max(area.size()[1]);
            let frame = rectangle(
                area.low[0] - wide,
                area.low[1] - wide,
                area.high[0] + wide,
                area.high[1] + wide,
            );
            cells.extend(convex_cells(&[frame, around[0].clone()]));
            for hole in &around[1..] {
                cells.extend(convex_cells(std::slice::from_ref(hole)));
            }
        }
        for obstacle in &sheet.obstacles {
            let b = bounds(*obstacle);
            free -= b.size()[0] * b.size()[1];
            cells.push(rectangle(b.low[0], b.low[1], b.high[0], b.high[1]));
        }
        let hazard = (!cells.is_empty()).then(|| {
            let size_nm2 = area.size()[0] * area.size()[1];
            self.add_form(Form::new(Turner::new(0, None), cells, [0.0; 2], size_nm2))
        });
        self.boards.push(Board {
            area,
            hazard,
            area_nm2: free,
        });
    }

    fn add_part(&mut self, kind: &PartKind, slack: Slack) {
        let outline = kind.shape.as_ref().map_or_else(
            || {
                vec![rectangle(
                    0.0,
                    0.0,
                    whole(kind.width_nm),
                    whole(kind.height_nm),
                )]
            },
            rings,
        );
        let area: f64 = outline.iter().map(|ring| area_nm2(ring)).sum();
        let (rings, cells) = simplified(&outline, slack, self.least);
        let hull_nm2 = area_nm2(&hull(&rings[0]));
        let mut part = Part {
            forms: vec![Vec::new(); self.boards.len()],
            area_nm2: area,
            hull_nm2,
        };
        let sides: &[bool] = if kind.may_mirror {
            &[false, true]
        } else {
            &[false]
        };
        let mut seen: Vec<Vec<[i64; 2]>> = Vec::new();
        for is_mirrored in sides {
            let first = self.forms.len();
            for turn_mdeg in (0..FULL_TURN_MDEG).step_by(STEP_MDEG as usize) {
                let turner = Turner::new(turn_mdeg, is_mirrored.then(|| whole(kind.width_nm)));
                let look = look(&outline, turner);
                if !seen.contains(&look) && self.add_turn(&mut part, kind, &cells, turner) {
                    seen.push(look);
                }
            }
            let end = self.forms.len();
            self.forms[first..]
                .iter_mut()
                .for_each(|f| f.round = first..end);
        }
        self.parts.push(part);
    }

    /// Adds the form of one turn and returns whether it did: some kind of sheet must allow it.
    fn add_turn(
        &mut self,
        part: &mut Part,
        kind: &PartKind,
        cells: &[Vec<Point>],
        turner: Turner,
    ) -> bool {
        let allows: Vec<bool> = kind
            .turns
            .iter()
            .map(|t| allows(*t, turner.turn_mdeg))
            .collect();
        if !allows.contains(&true) {
            return false;
        }
        let turned = cells.iter().map(|cell| turner.ring(cell)).collect();
        let centre = turner.point([whole(kind.width_nm) / 2.0, whole(kind.height_nm) / 2.0]);
        let form = self.add_form(Form::new(turner, turned, centre, part.hull_nm2));
        for (board, allowed) in allows.iter().enumerate() {
            if *allowed && self.room(form, board).is_some() {
                part.forms[board].push(form);
            }
        }
        allows.iter().all(|allowed| *allowed)
    }

    fn add_form(&mut self, form: Form) -> usize {
        self.forms.push(form);
        self.forms.len() - 1
    }
}

fn allows(turns: TurnSet, turn_mdeg: u32) -> bool {
    let quarters = u8::try_from(turn_mdeg / QUARTER_MDEG).expect("less than a full turn");
    turns.is_any() || (turn_mdeg.is_multiple_of(QUARTER_MDEG) && turns.has(quarters))
}

/// The corners of a turned outline in the frame of the rectangle around it, in order: equal for turns that look the same.
fn look(outline: &[Vec<Point>], turner: Turner) -> Vec<[i64; 2]> {
    let corners: Vec<Point> = outline.iter().flat_map(|ring| turner.ring(ring)).collect();
    let low = Bounds::around(&corners).low;
    let mut look: Vec<[i64; 2]> = corners
        .iter()
        .map(|p| [rounded(p[0] - low[0]), rounded(p[1] - low[1])])
        .collect();
    look.sort_unstable();
    look
}

/// The outline with fewer corners, and its cells. Where dents make many cells, deeper and deeper dents are filled.
fn simplified(
    outline: &[Vec<Point>],
    slack: Slack,
    least: f64,
) -> (Vec<Vec<Point>>, Vec<Vec<Point>>) {
    let (outer, holes) = outline.split_first().expect("a shape has an outer ring");
    let [width, height] = Bounds::around(outer).size();
    let most_dent = width.min(height) * MOST_FILLED;
    let mut slack = slack;
    loop {
        let mut rings = vec![grown(outer, slack)];
        let useful = holes.iter().filter(|hole| is_useful(hole, least));
        rings.extend(useful.map(|hole| grown(hole, slack)));
        let cells = convex_cells(&rings);
        if cells.len() <= FEW_CELLS || slack.dent_nm > most_dent {
            return (rings, cells);
        }
        slack.dent_nm *= 1.5;
    }
}

const FEW_CELLS: usize = 8;
const MOST_FILLED: f64 = 1.0 / 20.0;

/// The least width of any part in any turn it may lie in.
fn narrowest(request: &Request) -> f64 {
    let widths = request.parts.iter().map(|part| {
        let upright = whole(part.width_nm.min(part.height_nm));
        match &part.shape {
            Some(shape) if part.turns.iter().any(|t| t.is_any()) => (0..FULL_TURN_MDEG / 2)
                .step_by(STEP_MDEG as usize)
                .map(|turn| {
                    let outer = Turner::new(turn, None).ring(&rings(shape)[0]);
                    Bounds::around(&outer).size()[0]
                })
                .fold(upright, f64::min),
            Some(_) | None => upright,
        }
    });
    widths.fold(f64::MAX, f64::min)
}

/// Whether something that wide may lie in a hole.
fn is_useful(hole: &[Point], least: f64) -> bool {
    let [width, height] = Bounds::around(hole).size();
    width.min(height) >= least
}

/// How far outlines may be moved outwards to have fewer corners: a little of the smallest part, and never what is seen.
fn slack(request: &Request) -> Slack {
    let size_nm = narrowest(request);
    Slack {
        bulge_nm: (size_nm * BULGE).min(MOST_BULGE_NM),
        dent_nm: (size_nm * DENT).min(MOST_DENT_NM),
    }
}

const BULGE: f64 = 1.0 / 250.0;
const DENT: f64 = 1.0 / 120.0;
const MOST_BULGE_NM: f64 = 160_000.0;
const MOST_DENT_NM: f64 = 300_000.0;

fn bounds(area: Area) -> Bounds {
    Bounds {
        low: [whole(area.x_nm), whole(area.y_nm)],
        high: [whole(area.right_nm()), whole(area.bottom_nm())],
    }
}

#[expect(
    clippy::cast_precision_loss,
    reason = "sheets end metres from the origin, far below 2^53 nm"
)]
fn whole(nm: i64) -> f64 {
    nm as f64
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "sheets end metres from the origin, far below 2^53 nm"
)]
pub(super) fn rounded(nm: f64) -> i64 {
    nm.round() as i64
}

//! Small kits to lay out, made up from random numbers.

use sheetwright::plan::place::{
    Area, Best, Cutting, Effort, PartKind, Request, Shape, SheetKind, TurnSet,
};

const MM_NM: i64 = 1_000_000;

/// A way to draw whole numbers below a limit.
pub(crate) trait Draw {
    fn below(&mut self, limit: u32) -> u32;
}

/// Numbers that are the same on every machine: a congruential generator with the constants of D. Knuth, "The art of computer
/// programming" 2, 3.3.4.
pub(crate) struct Seeded(pub(crate) u64);

impl Draw for Seeded {
    fn below(&mut self, limit: u32) -> u32 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        u32::try_from((self.0 >> 33) % u64::from(limit)).unwrap()
    }
}

/// A kit of two to five kinds on sheets of 100 x 120 mm, some with marks on them, sometimes with an offcut before.
pub(crate) fn kit(draw: &mut impl Draw) -> Request {
    let cutting = match draw.below(3) {
        0 => Cutting::Outlines,
        1 => Cutting::Rows,
        _ => Cutting::EdgeToEdge { reach_nm: None },
    };
    let mut sheets = vec![whole_sheet(draw)];
    if draw.below(3) == 0 {
        sheets.insert(0, offcut(draw));
    }
    let kinds = 2 + draw.below(4);
    let parts = (0..kinds).map(|_| part(draw, sheets.len()));
    Request {
        parts: parts.collect(),
        sheets,
        cutting,
        best: Best::FewestSheets,
        effort: Effort::Quick,
    }
}

pub(crate) fn offcut(draw: &mut impl Draw) -> SheetKind {
    let (w, h) = (mm(draw, 40, 110), mm(draw, 40, 110));
    let cut = |draw: &mut _, side: i64| side / 2 + mm(draw, 0, 15);
    let (x, y) = (cut(draw, w), cut(draw, h));
    // A rectangle, or one without a corner, straight or slanted.
    let outer = match draw.below(3) {
        0 => None,
        1 => Some(vec![[0, 0], [w, 0], [w, y], [x, y], [x, h], [0, h]]),
        _ => Some(vec![[0, 0], [w, 0], [w, y], [x, h], [0, h]]),
    };
    SheetKind {
        area: Area::from_edges(0, 0, w, h),
        outline: outer.map(|outer| Shape {
            outer,
            holes: Vec::new(),
        }),
        obstacles: Vec::new(),
        limit: Some(1 + draw.below(2)),
        is_offcut: true,
        price_hundredths: 0,
    }
}

fn whole_sheet(draw: &mut impl Draw) -> SheetKind {
    let (w, h) = (100 * MM_NM, 120 * MM_NM);
    let mark = |x: i64, y: i64| Area::from_edges(x, y, x + 5 * MM_NM, y + 5 * MM_NM);
    let obstacles = match draw.below(3) {
        0 => vec![mark(0, 0), mark(w - 5 * MM_NM, 0), mark(0, h - 5 * MM_NM)],
        _ => Vec::new(),
    };
    SheetKind {
        area: Area::from_edges(0, 0, w, h),
        outline: None,
        obstacles,
        limit: None,
        is_offcut: false,
        price_hundredths: 0,
    }
}

/// Always fits on a whole sheet with its corners taken by marks: at most 70 x 70 mm.
pub(crate) fn part(draw: &mut impl Draw, sheets: usize) -> PartKind {
    let (w, h) = (mm(draw, 8, 70), mm(draw, 8, 70));
    let turns = match draw.below(4) {
        0 => TurnSet::of(|q| q == 0),
        1 => TurnSet::of(|q| q % 2 == 0),
        2 => TurnSet::QUARTERS,
        _ => TurnSet::ANY,
    };
    let demand = 1 + draw.below(5);
    PartKind {
        width_nm: w,
        height_nm: h,
        shape: shape(draw, w, h),
        demand,
        spares: 0,
        per_kit: demand,
        turns: vec![turns; sheets],
        may_mirror: draw.below(4) == 0,
    }
}

fn shape(draw: &mut impl Draw, w: i64, h: i64) -> Option<Shape> {
    let outer = match draw.below(5) {
        0 => vec![
            [0, 0],
            [w, 0],
            [w, h / 3],
            [w / 3, h / 3],
            [w / 3, h],
            [0, h],
        ],
        1 => vec![[0, 0], [w, h / 4], [w / 3, h]],
        2 => vec![
            [w / 4, 0],
            [3 * w / 4, 0],
            [w, h / 2],
            [3 * w / 4, h],
            [w / 4, h],
            [0, h / 2],
        ],
        3 => vec![[0, 0], [w, 0], [w, h], [0, h]],
        _ => return None,
    };
    let is_frame = outer.len() == 4;
    let (x, y) = (w / 5, h / 5);
    let hole = vec![[x, y], [x, h - y], [w - x, h - y], [w - x, y]];
    Some(Shape {
        outer,
        holes: if is_frame { vec![hole] } else { Vec::new() },
    })
}

/// A length in tenths of a millimetre.
fn mm(draw: &mut impl Draw, least: i64, most: i64) -> i64 {
    let tenths = u32::try_from(10 * (most - least)).unwrap();
    least * MM_NM + i64::from(draw.below(tenths + 1)) * MM_NM / 10
}

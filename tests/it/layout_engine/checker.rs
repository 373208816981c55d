//! Whether a layout keeps to its request, in `f64` millimetres and without a line of the engines or of `plan::check`.

use sheetwright::plan::place::{Area, Cutting, Layout, PartKind, Place, Request, Shape, SheetKind};

/// How deep parts may lie in each other or over an edge: the engines' own rounding.
const TOLERANCE_MM: f64 = 0.01;

type Point = [f64; 2];
type Rings = Vec<Vec<Point>>;

/// Panics with what is wrong.
pub(crate) fn check(request: &Request, layout: &Layout) {
    check_counts(request, layout);
    for sheet in &layout.sheets {
        let kind = &request.sheets[sheet.kind];
        let parts: Vec<Rings> = sheet
            .places
            .iter()
            .map(|place| {
                check_turn(&request.parts[place.kind], place, sheet.kind);
                lying(&request.parts[place.kind], place, request.cutting)
            })
            .collect();
        check_sheet(kind, &parts);
        if request.cutting != Cutting::Outlines {
            assert!(
                sheet
                    .places
                    .iter()
                    .all(|p| p.turn_mdeg.is_multiple_of(90_000))
            );
        }
        if let Cutting::EdgeToEdge { .. } = request.cutting {
            let boxes: Vec<[f64; 4]> = parts.iter().map(|rings| box_of(&rings[0])).collect();
            assert!(comes_apart(&boxes), "no cuts from edge to edge: {boxes:?}");
        }
    }
}

fn check_counts(request: &Request, layout: &Layout) {
    for (kind, part) in request.parts.iter().enumerate() {
        let placed: u32 = layout
            .sheets
            .iter()
            .map(|s| {
                let here = s.places.iter().filter(|p| p.kind == kind).count();
                s.runs * u32::try_from(here).unwrap()
            })
            .sum();
        let (left, more) = (layout.leftovers[kind], layout.spares[kind]);
        assert_eq!(placed + left, part.demand + more, "part {kind}");
        assert!(more <= part.spares, "part {kind}");
        assert!(
            left == 0 || more == 0,
            "spares of part {kind} before its demand"
        );
    }
    for (kind, sheet) in request.sheets.iter().enumerate() {
        let used = layout.sheets.iter().filter(|s| s.kind == kind);
        let used: u32 = used.map(|s| s.runs).sum();
        assert!(
            sheet.limit.is_none_or(|limit| used <= limit),
            "sheet {kind}"
        );
    }
}

fn check_turn(part: &PartKind, place: &Place, sheet: usize) {
    let turns = part.turns[sheet];
    let quarters = u8::try_from(place.turn_mdeg / 90_000).unwrap();
    let is_quarter = place.turn_mdeg.is_multiple_of(90_000);
    assert!(place.turn_mdeg < 360_000);
    assert!(
        turns.is_any() || is_quarter && turns.has(quarters),
        "{place:?}"
    );
    assert!(part.may_mirror || !place.is_mirrored, "{place:?}");
}

fn check_sheet(kind: &SheetKind, parts: &[Rings]) {
    let edge = match &kind.outline {
        Some(shape) => rings_mm(shape),
        None => vec![corners(kind.area)],
    };
    let obstacles: Vec<Rings> = kind.obstacles.iter().map(|o| vec![corners(*o)]).collect();
    for (i, part) in parts.iter().enumerate() {
        assert!(lies_within(part, &edge), "part {i} sticks out: {part:?}");
        for other in parts[..i].iter().chain(&obstacles) {
            assert!(!overlap(part, other), "{part:?} overlaps {other:?}");
        }
    }
}

/// The rings of a part where it lies; the box, where boxes are cut.
fn lying(part: &PartKind, place: &Place, cutting: Cutting) -> Rings {
    let whole = || {
        vec![corners(Area::from_edges(
            0,
            0,
            part.width_nm,
            part.height_nm,
        ))]
    };
    let rings = match (&part.shape, cutting) {
        (Some(shape), Cutting::Outlines) => rings_mm(shape),
        (Some(_), Cutting::Rows | Cutting::EdgeToEdge { .. }) | (None, _) => whole(),
    };
    let (sin, cos) = sin_cos(place.turn_mdeg);
    let width_mm = mm(part.width_nm);
    let moved = |[x, y]: Point| {
        let x = if place.is_mirrored { width_mm - x } else { x };
        [
            mm(place.x_nm) + x * cos - y * sin,
            mm(place.y_nm) + x * sin + y * cos,
        ]
    };
    let rings = rings.into_iter();
    rings
        .map(|ring| ring.into_iter().map(moved).collect())
        .collect()
}

#[expect(
    clippy::disallowed_methods,
    reason = "a check that shares nothing may use the platform's"
)]
fn sin_cos(turn_mdeg: u32) -> (f64, f64) {
    match turn_mdeg {
        0 => (0.0, 1.0),
        90_000 => (1.0, 0.0),
        180_000 => (0.0, -1.0),
        270_000 => (-1.0, 0.0),
        other => (f64::from(other) / 1000.0).to_radians().sin_cos(),
    }
}

fn mm(nm: i64) -> f64 {
    nm as f64 / 1e6
}

fn corners(area: Area) -> Vec<Point> {
    let (left, top) = (mm(area.x_nm), mm(area.y_nm));
    let (right, bottom) = (mm(area.right_nm()), mm(area.bottom_nm()));
    vec![[left, top], [right, top], [right, bottom], [left, bottom]]
}

fn rings_mm(shape: &Shape) -> Rings {
    let rings = std::iter::once(&shape.outer).chain(&shape.holes);
    rings
        .map(|ring| ring.iter().map(|c| c.map(mm)).collect())
        .collect()
}

fn sides(rings: &Rings) -> impl Iterator<Item = [Point; 2]> {
    rings.iter().flat_map(|ring| {
        let next = ring.iter().cycle().skip(1);
        ring.iter().zip(next).map(|(a, b)| [*a, *b])
    })
}

/// Whether one lies in the other or their sides cross, deeper than the tolerance.
fn overlap(a: &Rings, b: &Rings) -> bool {
    let (p, q) = (box_of(&a[0]), box_of(&b[0]));
    let is_apart =
        (0..2).any(|i| p[i + 2] <= q[i] + TOLERANCE_MM || q[i + 2] <= p[i] + TOLERANCE_MM);
    !is_apart && (sides_cross(a, b) || reaches_into(a, b) || reaches_into(b, a))
}

fn sides_cross(a: &Rings, b: &Rings) -> bool {
    sides(a).any(|side| sides(b).any(|other| cross(side, other)))
}

/// Whether both ends of each side lie on different sides of the other, clear of it.
fn cross(a: [Point; 2], b: [Point; 2]) -> bool {
    let parts = |line: [Point; 2], ends: [Point; 2]| {
        let offs = ends.map(|p| off_line(line, p));
        offs[0] * offs[1] < 0.0 && offs.iter().all(|off| off.abs() > TOLERANCE_MM)
    };
    parts(a, b) && parts(b, a)
}

/// Signed distance from a line.
fn off_line([a, b]: [Point; 2], p: Point) -> f64 {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    (dx * (p[1] - a[1]) - dy * (p[0] - a[0])) / (dx * dx + dy * dy).sqrt()
}

/// Whether a corner, the middle of a side, or a point well inside `a` lies in `b`, clear of its edge.
fn reaches_into(a: &Rings, b: &Rings) -> bool {
    let on_sides =
        sides(a).flat_map(|[p, q]| [p, [f64::midpoint(p[0], q[0]), f64::midpoint(p[1], q[1])]]);
    on_sides
        .chain(some_inside(a))
        .any(|p| is_in(b, p) && distance_mm(b, p) > TOLERANCE_MM)
}

/// A point inside, for a part that lies exactly over another one: a little off the middle of the first side that has room there.
fn some_inside(rings: &Rings) -> Option<Point> {
    sides(rings).find_map(|[p, q]| {
        let middle = [f64::midpoint(p[0], q[0]), f64::midpoint(p[1], q[1])];
        let (dx, dy) = (q[0] - p[0], q[1] - p[1]);
        let length = (dx * dx + dy * dy).sqrt();
        let step = 4.0 * TOLERANCE_MM / length;
        let beside = [step, -step].map(|s| [middle[0] - s * dy, middle[1] + s * dx]);
        let has_room = |p: &Point| is_in(rings, *p) && distance_mm(rings, *p) > 2.0 * TOLERANCE_MM;
        beside.into_iter().find(has_room)
    })
}

fn lies_within(part: &Rings, edge: &Rings) -> bool {
    let is_near = |p: Point| is_in(edge, p) || distance_mm(edge, p) <= TOLERANCE_MM;
    let no_hole_in_it = edge[1..]
        .iter()
        .all(|hole| !overlap(part, &vec![hole.clone()]));
    sides(part)
        .all(|[p, q]| is_near(p) && is_near([f64::midpoint(p[0], q[0]), f64::midpoint(p[1], q[1])]))
        && !sides_cross(part, edge)
        && no_hole_in_it
}

/// By counting the sides that a ray crosses.
fn is_in(rings: &Rings, p: Point) -> bool {
    let crossed = sides(rings).filter(|[a, b]| {
        let is_beside = (a[1] > p[1]) != (b[1] > p[1]);
        is_beside && p[0] < a[0] + (p[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
    });
    crossed.count() % 2 == 1
}

fn distance_mm(rings: &Rings, p: Point) -> f64 {
    let to_side = |[a, b]: [Point; 2]| {
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let along = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / (dx * dx + dy * dy);
        let along = along.clamp(0.0, 1.0);
        let (x, y) = (p[0] - a[0] - along * dx, p[1] - a[1] - along * dy);
        (x * x + y * y).sqrt()
    };
    sides(rings).map(to_side).fold(f64::INFINITY, f64::min)
}

/// Left, top, right and bottom.
fn box_of(ring: &[Point]) -> [f64; 4] {
    let mut ends = [
        f64::INFINITY,
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::NEG_INFINITY,
    ];
    for p in ring {
        for axis in 0..2 {
            ends[axis] = ends[axis].min(p[axis]);
            ends[axis + 2] = ends[axis + 2].max(p[axis]);
        }
    }
    ends
}

/// Whether boxes can be parted by cuts from edge to edge. Any cut that parts them may come first: what could be cut before can be
/// cut after it, too.
fn comes_apart(boxes: &[[f64; 4]]) -> bool {
    if boxes.len() < 2 {
        return true;
    }
    for axis in 0..2 {
        let mut order = boxes.to_owned();
        order.sort_by(|a, b| a[axis].total_cmp(&b[axis]));
        let mut reached_mm = f64::NEG_INFINITY;
        for i in 0..order.len() {
            if i > 0 && reached_mm <= order[i][axis] + TOLERANCE_MM {
                let rest = order.split_off(i);
                return comes_apart(&order) && comes_apart(&rest);
            }
            reached_mm = reached_mm.max(order[i][axis + 2]);
        }
    }
    false
}

#[test]
fn the_checker_tells_touching_from_overlapping() {
    let square = |x: f64, y: f64| {
        vec![vec![
            [x, y],
            [x + 10.0, y],
            [x + 10.0, y + 10.0],
            [x, y + 10.0],
        ]]
    };
    for (x, y, expected) in [
        (10.0, 0.0, false),
        (9.995, 3.0, false),
        (9.9, 3.0, true),
        (0.0, 0.0, true),
        (9.9, 9.9, true),
        (10.0, 10.0, false),
    ] {
        assert_eq!(
            overlap(&square(0.0, 0.0), &square(x, y)),
            expected,
            "{x} {y}"
        );
    }
    // A bar across a square has no corner in it, and the square none in the bar.
    let bar = vec![vec![[-5.0, 4.0], [15.0, 4.0], [15.0, 6.0], [-5.0, 6.0]]];
    assert!(overlap(&square(0.0, 0.0), &bar));
    // In the hole of a frame there is room, but not for the frame's own size.
    let mut frame = vec![vec![[-5.0, -5.0], [15.0, -5.0], [15.0, 15.0], [-5.0, 15.0]]];
    frame.extend(square(0.0, 0.0));
    assert!(!overlap(&frame, &square(0.0, 0.0)));
    assert!(overlap(&frame, &square(0.1, 0.0)) && overlap(&frame, &frame));
    assert!(lies_within(&square(-5.0, 5.0), &square(-5.0, 5.0)));
    assert!(!lies_within(&square(-5.0, 0.0), &frame));
}

#[test]
fn a_pinwheel_does_not_come_apart() {
    let pinwheel = vec![
        [0.0, 0.0, 2.0, 1.0],
        [2.0, 0.0, 3.0, 2.0],
        [1.0, 2.0, 3.0, 3.0],
        [0.0, 1.0, 1.0, 3.0],
    ];
    assert!(comes_apart(&pinwheel[..3]));
    assert!(!comes_apart(&pinwheel));
}

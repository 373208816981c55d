//! What patterns are put together from: flat areas, layers around them, and blocks of many small repeats.

use kurbo::{BezPath, PathEl, Point, Rect, Shape, Vec2};

use super::{Layer, REACH_MM, Refusal, Settings, Steps};
use crate::drawing::{Colour, Drawing, FillRule, Item, Paint};
use crate::geometry::{Way, arc_to};

/// Least side of a block of small repeats, in millimetres: a letter sheet of the finest dots then shows a motif a few hundred times, not
/// tens of thousands of times.
const BLOCK_MM: f64 = 20.0;

/// Returns an area in one colour; its curves become cubics.
pub(super) fn flat(path: &BezPath, colour: Colour) -> Item {
    Item::Fill {
        path: with_cubics(path),
        rule: FillRule::NonZero,
        paint: Paint::flat(colour),
    }
}

fn with_cubics(path: &BezPath) -> BezPath {
    let mut cubics = BezPath::new();
    let mut at = Point::ORIGIN;
    for element in path.elements() {
        match *element {
            PathEl::QuadTo(handle, to) => {
                let (one, two) = (at.lerp(handle, 2.0 / 3.0), to.lerp(handle, 2.0 / 3.0));
                cubics.curve_to(one, two, to);
            }
            PathEl::MoveTo(_) | PathEl::LineTo(_) | PathEl::CurveTo(..) | PathEl::ClosePath => {
                cubics.push(*element);
            }
        }
        at = element.end_point().unwrap_or(at);
    }
    cubics
}

/// Appends a circle.
pub(super) fn circle_into(path: &mut BezPath, centre: Point, radius_mm: f64) {
    let side = Vec2::new(radius_mm, 0.0);
    path.move_to(centre - side);
    arc_to(path, centre + side, radius_mm, Way::Clockwise);
    arc_to(path, centre - side, radius_mm, Way::Clockwise);
    path.close_path();
}

/// Returns the layer of these areas, which are not empty.
pub(super) fn layer(items: Vec<Item>, steps: Steps) -> Layer {
    let boxes = items.iter().filter_map(|item| match item {
        Item::Fill { path, .. } => Some(path.bounding_box()),
        Item::Stroke { .. }
        | Item::Clip { .. }
        | Item::Picture { .. }
        | Item::Glyphs(_)
        | Item::Tagged { .. } => None,
    });
    let bounds = boxes.reduce(|all, one| all.union(one));
    Layer {
        motif: Drawing { items },
        bounds: bounds.unwrap_or(Rect::ZERO),
        steps,
    }
}

/// Returns how many repeats of this length make a block.
pub(super) fn block_count(repeat_mm: f64) -> u32 {
    let mut count = 1;
    while f64::from(count) * repeat_mm < BLOCK_MM {
        count += 1;
    }
    count
}

/// Returns by how much each repeat of a square block of `count` by `count` is moved; row by row.
pub(super) fn block_shifts(count: u32, repeat_mm: f64) -> Vec<Vec2> {
    let rows = 0..count;
    rows.flat_map(|row| (0..count).map(move |column| (row, column)))
        .map(|(row, column)| Vec2::new(f64::from(column), f64::from(row)) * repeat_mm)
        .collect()
}

/// Refuses a repeat that is finer than `least_mm` or coarser than any sheet.
pub(super) fn require_repeat(settings: &Settings, least_mm: f64) -> Result<(), Refusal> {
    let repeat_mm = settings.repeat_mm;
    if repeat_mm >= least_mm && repeat_mm <= REACH_MM {
        return Ok(());
    }
    let (message, right_mm) = if repeat_mm > REACH_MM {
        ("more than the largest sheet", REACH_MM)
    } else {
        ("finer than this pattern can be printed", least_mm)
    };
    Err(Refusal {
        key: "repeat",
        message: format!("a repeat of {repeat_mm} mm is {message}: {right_mm} mm"),
        hint: format!("repeat = \"{right_mm} mm\""),
    })
}

#[cfg(test)]
pub(super) mod seen {
    //! A field as an eye sees it, worked out point by point, and as a list of its areas.

    use super::super::Field;
    use super::*;

    /// A field's colour at a point as red, green and blue, what is translucent mixed in.
    pub(in crate::pattern) fn colour_at(field: &Field, at: Point) -> [f64; 3] {
        let near = Rect::from_center_size(at, (1e-6, 1e-6));
        let mut seen = parts(field.ground);
        for layer in &field.layers {
            for shift in layer.shifts(near) {
                for item in &layer.motif.items {
                    let (path, rule, colour, opacity) = area(item);
                    let winding = path.winding(at - shift);
                    let is_in = match rule {
                        FillRule::NonZero => winding != 0,
                        FillRule::EvenOdd => winding % 2 != 0,
                    };
                    if is_in {
                        let over = parts(colour);
                        for (below, above) in seen.iter_mut().zip(over) {
                            *below += (above - *below) * opacity;
                        }
                    }
                }
            }
        }
        seen
    }

    /// Red, green and blue of a colour.
    pub(in crate::pattern) fn parts(colour: Colour) -> [f64; 3] {
        [colour.red, colour.green, colour.blue].map(f64::from)
    }

    fn area(item: &Item) -> (&BezPath, FillRule, Colour, f64) {
        let Item::Fill { path, rule, paint } = item else {
            panic!("{item:?} is no area")
        };
        let Paint::Solid { colour, opacity } = paint else {
            panic!("{paint:?} is not flat")
        };
        (path, *rule, *colour, *opacity)
    }

    /// Whether two colours are the same but for rounding.
    pub(in crate::pattern) fn is_same(one: [f64; 3], two: [f64; 3]) -> bool {
        one.iter().zip(two).all(|(a, b)| (a - b).abs() < 1e-6)
    }

    /// A number that is whole already.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a count of repeats on a sheet"
    )]
    pub(in crate::pattern) fn whole(value: f64) -> i32 {
        value.round() as i32
    }

    /// A place in a list of `count`, which goes round.
    pub(in crate::pattern) fn place(n: i32, count: usize) -> usize {
        let count = i32::try_from(count).unwrap();
        usize::try_from(n.rem_euclid(count)).unwrap()
    }

    /// Boxes of all closed lines that reach into `over`, with their colours, in order of painting.
    pub(in crate::pattern) fn boxes(field: &Field, over: Rect) -> Vec<(Colour, Rect)> {
        let mut found = Vec::new();
        for layer in &field.layers {
            for shift in layer.shifts(over) {
                for item in &layer.motif.items {
                    let (path, _, colour, _) = area(item);
                    let rings = rings(path);
                    let moved = rings.iter().map(|ring| ring.bounding_box() + shift);
                    found.extend(moved.filter(|b| reaches(*b, over)).map(|b| (colour, b)));
                }
            }
        }
        found
    }

    /// The closed lines of a path.
    pub(in crate::pattern) fn rings(path: &BezPath) -> Vec<BezPath> {
        let mut rings: Vec<BezPath> = Vec::new();
        for element in path.elements() {
            if matches!(element, PathEl::MoveTo(_)) {
                rings.push(BezPath::new());
            }
            rings.last_mut().unwrap().push(*element);
        }
        rings
    }

    /// Whether a box reaches into another.
    pub(in crate::pattern) fn reaches(one: Rect, over: Rect) -> bool {
        one.x0 < over.x1 && one.x1 > over.x0 && one.y0 < over.y1 && one.y1 > over.y0
    }

    /// Whether both lists hold the same boxes, each as often.
    pub(in crate::pattern) fn assert_same(
        mut found: Vec<(Colour, Rect)>,
        mut wanted: Vec<(Colour, Rect)>,
    ) {
        let order = |a: &(Colour, Rect), b: &(Colour, Rect)| {
            // Rows first, with a grain far above rounding, so that rounding cannot swap neighbours.
            let key = |(colour, b): &(Colour, Rect)| {
                [b.center().y, b.center().x, b.width(), f64::from(colour.red)]
                    .map(|v| (v * 1e5).round())
            };
            key(a).partial_cmp(&key(b)).unwrap()
        };
        found.sort_by(order);
        wanted.sort_by(order);
        assert_eq!(found.len(), wanted.len());
        for (one, two) in found.iter().zip(&wanted) {
            let apart = [
                one.1.x0 - two.1.x0,
                one.1.y0 - two.1.y0,
                one.1.x1 - two.1.x1,
                one.1.y1 - two.1.y1,
            ];
            assert!(
                one.0 == two.0 && apart.iter().all(|d| d.abs() < 1e-6),
                "{one:?} {two:?}"
            );
        }
    }

    /// The share of `count` points, taken evenly from a square of `side_mm` about the origin, at which the field looks another once it is
    /// turned by quarters about the origin and then moved.
    fn differing(field: &Field, quarters: u32, moved: Vec2, side_mm: f64, count: u32) -> f64 {
        // Steps of the plastic number's sequence (Roberts 2018): even, and on no lattice of the pattern's.
        let (step_x, step_y) = (0.754_877_666_246_693, 0.569_840_290_998_053);
        let is_other = |n: u32| {
            let unit = Vec2::new(
                (f64::from(n) * step_x).fract(),
                (f64::from(n) * step_y).fract(),
            );
            let at = (unit - Vec2::new(0.5, 0.5)) * side_mm;
            let turned = (0..quarters).fold(at, |v, _| Vec2::new(-v.y, v.x));
            let one = colour_at(field, at.to_point());
            let two = colour_at(field, (turned + moved).to_point());
            one.iter().zip(two).any(|(a, b)| (a - b).abs() > 0.5)
        };
        let others = (1..=count).filter(|n| is_other(*n)).count();
        f64::from(u32::try_from(others).unwrap()) / f64::from(count)
    }

    /// The share of 400 points of a square of `side_mm` that look another once the field is turned and moved.
    pub(in crate::pattern) fn differs_turned(
        field: &Field,
        quarters: u32,
        moved: Vec2,
        side_mm: f64,
    ) -> f64 {
        differing(field, quarters, moved, side_mm, 400)
    }

    /// The least share of 50 points that look another once the field is turned, over moves by a twelfth of the repeat each way.
    pub(in crate::pattern) fn differs_wherever_moved(field: &Field, quarters: u32) -> f64 {
        let step = field.repeat_mm / 12.0;
        let moves =
            (0..144).map(|n| Vec2::new(step.x * f64::from(n % 12), step.y * f64::from(n / 12)));
        moves
            .map(|moved| differing(field, quarters, moved, field.repeat_mm.x * 2.0, 50))
            .fold(f64::INFINITY, f64::min)
    }
}

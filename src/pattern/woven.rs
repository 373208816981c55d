//! For the tests of woven patterns: what is seen at a point, which elements lie on a box, settings at random.

use std::ops::RangeInclusive;

use kurbo::{Affine, BezPath, PathEl, Point, Rect, Shape, Vec2};
use rand_pcg::Pcg32;
use rand_pcg::rand_core::{Rng, SeedableRng};

use super::{Field, Kind, Refusal, Settings};
use crate::drawing::{Colour, FillRule, Item, Paint};

/// Six colours that no mixing of two of them gives again.
pub(super) const SIX: [Colour; 6] = [
    Colour::rgb(250, 244, 230),
    Colour::rgb(40, 90, 60),
    Colour::rgb(200, 70, 50),
    Colour::rgb(30, 50, 110),
    Colour::rgb(220, 170, 60),
    Colour::rgb(120, 40, 90),
];

/// One subpath of a motif where it is laid: its colour and its corners.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Element {
    pub(super) colour: Colour,
    pub(super) corners: Vec<Point>,
}

impl Element {
    pub(super) fn oblong(colour: Colour, x0: f64, y0: f64, x1: f64, y1: f64) -> Self {
        let corners = vec![
            Point::new(x0, y0),
            Point::new(x1, y0),
            Point::new(x1, y1),
            Point::new(x0, y1),
        ];
        Self { colour, corners }
    }

    /// Whether its box reaches into `over`.
    pub(super) fn reaches(&self, over: Rect) -> bool {
        let first = Rect::from_points(self.corners[0], self.corners[0]);
        let bounds = self.corners.iter().fold(first, |b, c| b.union_pt(*c));
        bounds.x0 < over.x1 && bounds.x1 > over.x0 && bounds.y0 < over.y1 && bounds.y1 > over.y0
    }

    /// Whether the other one is the same to a millionth of a millimetre.
    fn is_as(&self, other: &Self) -> bool {
        let near = |(a, b): (&Point, &Point)| (a.x - b.x).abs() < 1e-6 && (a.y - b.y).abs() < 1e-6;
        self.colour == other.colour
            && self.corners.len() == other.corners.len()
            && self.corners.iter().zip(&other.corners).all(near)
    }
}

/// Returns settings with the first of [`SIX`].
pub(super) fn settings(repeat_mm: f64, weight: f64, colours: usize) -> Settings {
    Settings {
        repeat_mm,
        weight,
        colours: SIX[..colours].to_vec(),
        seed: 0,
        threads: Vec::new(),
        words: Vec::new(),
    }
}

/// Returns 100 settings within the kind's limits, the same ones every time, and a box for each that is two or three repeats wide.
pub(super) fn hundred(kind: &Kind, repeats_mm: RangeInclusive<f64>) -> Vec<(Settings, Rect)> {
    let mut dice = Pcg32::seed_from_u64(7);
    let mut share = move || f64::from(dice.next_u32()) / 4_294_967_296.0;
    let mut between = |least: f64, most: f64| least + (most - least) * share();
    (0..100)
        .map(|n| {
            let repeat_mm = between(*repeats_mm.start(), *repeats_mm.end());
            let weight = between(kind.weights.0, kind.weights.1);
            let (fewest, most) = kind.colours;
            let (x, y) = (between(-200.0, 200.0), between(-200.0, 200.0));
            let width = repeat_mm * between(0.3, 3.0);
            let over = Rect::new(x, y, x + width, y + repeat_mm * between(0.3, 3.0));
            (
                settings(repeat_mm, weight, fewest + n % (most - fewest + 1)),
                over,
            )
        })
        .collect()
}

/// Returns every subpath that the field's layers lay on the box.
pub(super) fn laid(field: &Field, over: Rect) -> Vec<Element> {
    let mut found = Vec::new();
    for layer in &field.layers {
        for shift in layer.shifts(over) {
            for (colour, path) in layer.motif.items.iter().map(opaque) {
                let moved = Affine::translate(shift) * path.clone();
                found.extend(
                    subpaths(&moved)
                        .into_iter()
                        .map(|corners| Element { colour, corners }),
                );
            }
        }
    }
    found.retain(|element| element.reaches(over));
    found
}

fn opaque(item: &Item) -> (Colour, &BezPath) {
    let Item::Fill {
        path,
        rule: FillRule::NonZero,
        paint: Paint::Solid { colour, opacity },
    } = item
    else {
        panic!("not a flat area: {item:?}")
    };
    assert!((*opacity - 1.0).abs() < 1e-12, "seen through");
    (*colour, path)
}

fn subpaths(path: &BezPath) -> Vec<Vec<Point>> {
    let corners = |subpath: &[PathEl]| subpath.iter().filter_map(PathEl::end_point).collect();
    path.elements().chunk_by(goes_on).map(corners).collect()
}

fn goes_on(_: &PathEl, next: &PathEl) -> bool {
    !matches!(next, PathEl::MoveTo(_))
}

/// Asserts that each of `expected` that reaches into the box is laid there once, and nothing else is.
pub(super) fn assert_laid(field: &Field, over: Rect, expected: Vec<Element>) {
    let from_left = |it: &Element| it.corners[0].x;
    let mut found = laid(field, over);
    found.sort_by(|a, b| from_left(a).total_cmp(&from_left(b)));
    let mut is_met = vec![false; found.len()];
    for element in expected.into_iter().filter(|it| it.reaches(over)) {
        let first = found.partition_point(|it| from_left(it) < from_left(&element) - 1e-6);
        let met = (first..found.len())
            .take_while(|n| from_left(&found[*n]) < from_left(&element) + 1e-6)
            .find(|n| !is_met[*n] && found[*n].is_as(&element));
        is_met[met.unwrap_or_else(|| panic!("missing on {over:?}: {element:?}"))] = true;
    }
    let too_many = found.iter().zip(is_met).find(|(_, is_met)| !is_met);
    assert_eq!(too_many, None, "not asked for on {over:?}");
}

/// Returns the colour on top at a point.
pub(super) fn seen(field: &Field, point: Point) -> Colour {
    let over = Rect::from_center_size(point, (1e-9, 1e-9));
    for layer in field.layers.iter().rev() {
        for shift in layer.shifts(over) {
            let mut items = layer.motif.items.iter().rev().map(opaque);
            if let Some((colour, _)) = items.find(|(_, path)| is_inside(path, point - shift)) {
                return colour;
            }
        }
    }
    field.ground
}

/// Whether the point is in one of the subpaths; none of them overlap.
fn is_inside(path: &BezPath, point: Point) -> bool {
    path.elements().chunk_by(goes_on).any(|subpath| {
        let mut corners = subpath.iter().filter_map(PathEl::end_point);
        let first = corners
            .next()
            .map(|corner| Rect::from_points(corner, corner));
        let bounds =
            first.map(|first| corners.fold(first, |bounds, corner| bounds.union_pt(corner)));
        bounds.is_some_and(|bounds| bounds.contains(point))
            && subpath.iter().copied().collect::<BezPath>().contains(point)
    })
}

/// Returns points at random over two repeats of 20 mm each way.
pub(super) fn points(many: usize) -> Vec<Point> {
    let mut dice = Pcg32::seed_from_u64(11);
    let mut mm = move || f64::from(dice.next_u32()) / 4_294_967_296.0 * 40.0 - 20.0;
    (0..many).map(|_| Point::new(mm(), mm())).collect()
}

/// Returns of 2,000 points how many look the same after the field was turned by quarters about a point, clockwise.
pub(super) fn same_when_turned(field: &Field, about: Point, quarters: usize) -> usize {
    let turned = |point: &Point| {
        let mut arm = *point - about;
        for _ in 0..quarters {
            arm = Vec2::new(-arm.y, arm.x);
        }
        about + arm
    };
    let points = points(2000);
    let same = |point: &&Point| seen(field, **point) == seen(field, turned(point));
    points.iter().filter(same).count()
}

/// Asserts that the field looks the same one repeat farther on, wherever one looks.
pub(super) fn assert_comes_again(field: &Field) {
    let steps = [
        Vec2::new(field.repeat_mm.x, 0.0),
        Vec2::new(0.0, field.repeat_mm.y),
    ];
    for point in points(500) {
        for step in steps {
            assert_eq!(
                seen(field, point),
                seen(field, point + step),
                "{point:?} {step:?}"
            );
        }
    }
}

/// Returns the share of a line of 10,000 points from `from`, over `across`, that is not the ground.
pub(super) fn cover(field: &Field, from: Point, across: Vec2) -> f64 {
    let points = (0..10_000).map(|n| from + across * ((f64::from(n) + 0.5) / 10_000.0));
    let on = points.filter(|point| seen(field, *point) != field.ground);
    f64::from(u32::try_from(on.count()).unwrap()) / 10_000.0
}

/// Returns why the kind will not be drawn like that.
pub(super) fn refused(kind: &Kind, settings: &Settings) -> Refusal {
    (kind.draw)(settings).expect_err("beyond the limits")
}

/// Returns the field.
pub(super) fn drawn(kind: &Kind, settings: &Settings) -> Field {
    (kind.draw)(settings).unwrap()
}

/// Returns which colour the nth of `colours` in turn there and back has, ground not counted: 1 2 3 2 1 2 3 2 for three.
pub(super) fn in_turn(n: i64, colours: i64) -> usize {
    let period = (2 * colours - 2).max(1);
    let place = n.rem_euclid(period);
    usize::try_from(1 + place.min(period - place)).unwrap()
}

/// Returns how many stripes there are to a repeat of so many colours, ground not counted.
pub(super) fn stripes(colours: i64) -> f64 {
    [1.0, 2.0, 4.0, 6.0, 8.0][usize::try_from(colours - 1).unwrap()]
}

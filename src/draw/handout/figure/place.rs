//! Room for words on a drawing, found by trying.

use kurbo::{Point, Rect, Vec2};

use crate::geometry::Outline;

/// Places tried along each side of an area.
const STEPS: u32 = 9;
/// Kept free around words.
const PAD_MM: f64 = 0.8;
/// The same around a letter or a number that stands alone.
const ALONE_PAD_MM: f64 = 0.6;
/// How far from a point words beside an area are looked for, and in which steps.
const FARTHEST_MM: f64 = 40.0;
const STEP_MM: f64 = 2.0;

/// Ways to look from a point, about evenly round.
const WAYS: [(f64, f64); 8] = [
    (1.0, 0.0),
    (0.0, 1.0),
    (-1.0, 0.0),
    (0.0, -1.0),
    (0.7, 0.7),
    (-0.7, 0.7),
    (0.7, -0.7),
    (-0.7, -0.7),
];

/// The box nearest to the middle of an area that holds words of this size: wholly in the area, on nothing that is taken.
pub(super) fn inside(area: &Outline, size: (f64, f64), taken: &[Rect]) -> Option<Rect> {
    inside_by(area, size, taken, PAD_MM)
}

/// The same for a letter or a number alone, which may stand closer to the edges.
pub(super) fn alone_inside(area: &Outline, size: (f64, f64), taken: &[Rect]) -> Option<Rect> {
    inside_by(area, size, taken, ALONE_PAD_MM)
}

fn inside_by(area: &Outline, size: (f64, f64), taken: &[Rect], pad_mm: f64) -> Option<Rect> {
    let bounds = area.bounds();
    let step = |i: u32| (f64::from(i) + 0.5) / f64::from(STEPS);
    let mut middles: Vec<Point> = (0..STEPS)
        .flat_map(|row| (0..STEPS).map(move |column| (column, row)))
        .map(|(column, row)| {
            let (u, v) = (step(column), step(row));
            Point::new(
                bounds.x0 + u * bounds.width(),
                bounds.y0 + v * bounds.height(),
            )
        })
        .collect();
    let from_middle = |p: &Point| (*p - bounds.center()).hypot2();
    middles.sort_by(|a, b| from_middle(a).total_cmp(&from_middle(b)));
    let spots = middles.into_iter().map(|m| Rect::from_center_size(m, size));
    let mut free = spots.filter(|spot| is_free(*spot, taken));
    free.find(|spot| lies_in(area, spot.inflate(pad_mm, pad_mm)))
}

/// The box nearest to a point that holds words of this size and lies on nothing that is taken, within `bounds` and beside the whole
/// piece: on another part of it, it would name that one.
pub(super) fn beside(
    point: Point,
    size: (f64, f64),
    taken: &[Rect],
    (bounds, piece): (Rect, &Outline),
) -> Option<Rect> {
    let mut far_mm = size.0.max(size.1);
    while far_mm < FARTHEST_MM {
        let spots =
            WAYS.map(|(x, y)| Rect::from_center_size(point + Vec2::new(x, y) * far_mm, size));
        let is_within = |spot: &Rect| bounds.union(*spot) == bounds;
        let found = spots.into_iter().find(|spot| {
            is_within(spot) && is_free(*spot, taken) && !piece.contains(spot.center())
        });
        if found.is_some() {
            return found;
        }
        far_mm += STEP_MM;
    }
    None
}

fn is_free(spot: Rect, taken: &[Rect]) -> bool {
    let spot = spot.inflate(PAD_MM / 2.0, PAD_MM / 2.0);
    taken
        .iter()
        .all(|t| spot.x0 >= t.x1 || t.x0 >= spot.x1 || spot.y0 >= t.y1 || t.y0 >= spot.y1)
}

/// Whether corners, middles of the sides and the middle of a box lie in the area.
fn lies_in(area: &Outline, spot: Rect) -> bool {
    [0.0, 0.25, 0.5, 0.75, 1.0].iter().all(|u| {
        [0.0, 0.5, 1.0].iter().all(|v| {
            area.contains(Point::new(
                spot.x0 + u * spot.width(),
                spot.y0 + v * spot.height(),
            ))
        })
    })
}

#[cfg(test)]
mod tests {
    use kurbo::Affine;

    use super::*;
    use crate::geometry::shape::rectangle;

    #[test]
    fn words_stand_in_the_middle_where_it_is_free() {
        let area = rectangle(40.0, 20.0).unwrap();
        let spot = inside(&area, (10.0, 4.0), &[]).unwrap();
        assert!((spot.center() - Point::new(20.0, 10.0)).hypot2() < 1e-9);
        let taken = [Rect::new(15.0, 8.0, 25.0, 12.0)];
        let spot = inside(&area, (10.0, 4.0), &taken).unwrap();
        assert!(is_free(spot, &taken));
    }

    #[test]
    fn words_that_are_larger_than_the_area_find_no_room() {
        let area = rectangle(12.0, 3.0).unwrap();
        assert_eq!(inside(&area, (10.0, 4.0), &[]), None);
        assert_eq!(inside(&area, (14.0, 2.0), &[]), None);
    }

    #[test]
    fn words_beside_a_narrow_panel_keep_off_what_is_there() {
        let taken = [Rect::new(-1.0, -50.0, 1.0, 50.0)];
        let bounds = Rect::new(-60.0, -60.0, 60.0, 60.0);
        let narrow = rectangle(2.0, 100.0).unwrap();
        let narrow = narrow.transformed(Affine::translate((-1.0, -50.0)));
        let near = beside(Point::ORIGIN, (4.0, 4.0), &taken, (bounds, &narrow)).unwrap();
        assert!(near.x0 >= 1.0 || near.x1 <= -1.0);
        // Right of it there is another part of a wider piece: the letter stands left of both.
        let wide = rectangle(21.0, 100.0).unwrap();
        let wide = wide.transformed(Affine::translate((-1.0, -50.0)));
        let far = beside(Point::ORIGIN, (4.0, 4.0), &taken, (bounds, &wide)).unwrap();
        assert!(far.x1 <= -1.0, "{far:?}");
    }
}

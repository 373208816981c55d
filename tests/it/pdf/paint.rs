//! Areas, lines, clips, opacity and gradients, as three renderers show them.

use kurbo::{Affine, BezPath, Point};
use sheetwright::drawing::{
    Colour, Drawing, FillRule, Gradient, GradientStop, Item, LineCap, LineJoin, Paint, Stroke,
};

use super::{LETTER_MM, assert_near, black, colour_at, fill, rectangle, written};
use crate::tool::{RENDERERS, Renderer};

const WHITE: [u8; 3] = [255; 3];
const BLACK: [u8; 3] = [0; 3];

/// A page of 100 x 60 mm.
const CARD_MM: [f64; 2] = [100.0, 60.0];
const CARD_DPI: u32 = 200;

fn assert_colours(test: &str, items: Vec<Item>, levels: u8, places: &[(f64, f64, [u8; 3])]) {
    let file = written(test, CARD_MM, items, &[]);
    for renderer in RENDERERS {
        let picture = file.picture(renderer, CARD_DPI);
        for (x_mm, y_mm, want) in places {
            let found = colour_at(&picture, CARD_DPI, *x_mm, *y_mm);
            assert_near(
                found,
                *want,
                levels,
                &format!("{renderer:?} at {x_mm}, {y_mm}"),
            );
        }
    }
}

fn gradient(stops: &[(f64, u8)], matrix: Affine) -> Gradient {
    let stops = stops.iter().map(|(offset, level)| GradientStop {
        offset: *offset,
        colour: Colour::rgb(*level, *level, *level),
    });
    Gradient {
        stops: stops.collect(),
        matrix,
    }
}

fn stroke(points: &[(f64, f64)], stroke: Stroke, paint: Paint) -> Item {
    let mut path = BezPath::new();
    path.move_to(points[0]);
    for point in &points[1..] {
        path.line_to(*point);
    }
    Item::Stroke {
        path,
        stroke,
        paint,
    }
}

#[test]
fn edges_of_an_area_lie_where_they_are_drawn() {
    let (x0, y0, x1, y1) = (31.37, 52.43, 97.61, 141.29);
    let file = written(
        "edges",
        LETTER_MM,
        vec![fill(rectangle(x0, y0, x1, y1), black())],
        &[],
    );
    let mm_per_pixel = 25.4 / 600.0;
    // poppler's own rasteriser moves straight edges to whole pixels, which are 0.042 mm here.
    for renderer in [Renderer::Cairo, Renderer::Mupdf] {
        let picture = file.picture(renderer, 600);
        assert_eq!(picture.dimensions(), (5100, 6600));
        let dark = |x: u32, y: u32| f64::from(255 - picture.get_pixel(x, y).0[0]) / 255.0;
        // Through the middle, the sum of darkness from the paper's edge to the middle is the distance from the edge of the area.
        let (middle_x, middle_y) = (1500, 2300);
        let left: f64 = (0..middle_x).map(|x| dark(x, middle_y)).sum();
        let right: f64 = (middle_x..5100).map(|x| dark(x, middle_y)).sum();
        let top: f64 = (0..middle_y).map(|y| dark(middle_x, y)).sum();
        let bottom: f64 = (middle_y..6600).map(|y| dark(middle_x, y)).sum();
        let found = [
            f64::from(middle_x) - left,
            f64::from(middle_y) - top,
            f64::from(middle_x) + right,
            f64::from(middle_y) + bottom,
        ];
        for (edge, want_mm) in found.iter().zip([x0, y0, x1, y1]) {
            let error_mm = edge * mm_per_pixel - want_mm;
            println!("{renderer:?} edge at {want_mm} mm is off by {error_mm:.4} mm");
            assert!(
                error_mm.abs() < 0.02,
                "{renderer:?}: {error_mm} mm at {want_mm}"
            );
        }
    }
}

#[test]
fn fill_rules_tell_a_hole_from_an_overlap() {
    let mut twice = rectangle(10.0, 10.0, 40.0, 40.0);
    twice.extend(rectangle(20.0, 20.0, 30.0, 30.0));
    let mut moved = twice.clone();
    moved.apply_affine(Affine::translate((50.0, 0.0)));
    let items = vec![
        fill(twice, black()),
        Item::Fill {
            path: moved,
            rule: FillRule::EvenOdd,
            paint: black(),
        },
    ];
    let places = [
        (15.0, 25.0, BLACK),
        (25.0, 25.0, BLACK),
        (65.0, 25.0, BLACK),
        (75.0, 25.0, WHITE),
    ];
    assert_colours("rules", items, 0, &places);
}

#[test]
fn clips_hide_what_is_outside_them_and_end_with_their_drawing() {
    let mut ring = rectangle(10.0, 10.0, 50.0, 50.0);
    ring.extend(rectangle(20.0, 20.0, 40.0, 40.0));
    let inner = Drawing {
        items: vec![fill(rectangle(0.0, 0.0, 100.0, 60.0), black())],
    };
    let items = vec![
        Item::Clip {
            path: ring,
            rule: FillRule::EvenOdd,
            inner: inner.clone(),
        },
        Item::Clip {
            path: BezPath::new(),
            rule: FillRule::NonZero,
            inner,
        },
        fill(
            rectangle(70.0, 10.0, 80.0, 20.0),
            Paint::flat(Colour::rgb(0, 128, 64)),
        ),
    ];
    let places = [
        (15.0, 30.0, BLACK),
        (30.0, 30.0, WHITE),
        (55.0, 30.0, WHITE),
        (75.0, 15.0, [0, 128, 64]),
    ];
    assert_colours("clips", items, 1, &places);
}

#[test]
fn opacity_mixes_with_what_lies_below_and_ends_with_its_item() {
    let veil = |colour, opacity| Paint::Solid { colour, opacity };
    let items = vec![
        fill(
            rectangle(0.0, 0.0, 50.0, 60.0),
            Paint::flat(Colour::rgb(255, 0, 0)),
        ),
        fill(rectangle(10.0, 10.0, 90.0, 20.0), veil(Colour::BLACK, 0.4)),
        fill(
            rectangle(10.0, 30.0, 90.0, 40.0),
            veil(Colour::rgb(0, 0, 255), 0.25),
        ),
        fill(rectangle(60.0, 50.0, 90.0, 55.0), black()),
    ];
    // Result = (1 - opacity) * below + opacity * above: 255 * 0.6 = 153; 255 * 0.75 = 191.25 and 255 * 0.25 = 63.75.
    let places = [
        (30.0, 15.0, [153, 0, 0]),
        (70.0, 15.0, [153, 153, 153]),
        (30.0, 35.0, [191, 0, 64]),
        (70.0, 35.0, [191, 191, 255]),
        (75.0, 52.0, BLACK),
    ];
    // mupdf keeps an opacity in 8 bits.
    assert_colours("opacity", items, 2, &places);
}

#[test]
fn lines_have_their_width_dashes_ends_and_corners() {
    let wide = |cap, join| Stroke {
        cap,
        join,
        ..Stroke::solid(8.0)
    };
    let dashed = Stroke {
        dash_mm: vec![6.0, 4.0],
        ..Stroke::solid(2.0)
    };
    let corner = |x: f64| [(x, 55.0), (x, 35.0), (x + 15.0, 35.0)];
    let items = vec![
        stroke(&[(10.0, 10.0), (60.0, 10.0)], dashed, black()),
        stroke(
            &[(20.0, 22.0), (30.0, 22.0)],
            wide(LineCap::Butt, LineJoin::Miter),
            black(),
        ),
        stroke(
            &[(50.0, 22.0), (60.0, 22.0)],
            wide(LineCap::Square, LineJoin::Miter),
            black(),
        ),
        stroke(
            &[(80.0, 22.0), (90.0, 22.0)],
            wide(LineCap::Round, LineJoin::Miter),
            black(),
        ),
        stroke(&corner(10.0), wide(LineCap::Butt, LineJoin::Miter), black()),
        stroke(&corner(45.0), wide(LineCap::Butt, LineJoin::Bevel), black()),
        stroke(&corner(75.0), wide(LineCap::Butt, LineJoin::Round), black()),
    ];
    let places = [
        // On 10..16, off 16..20, on 20..26; 2 mm wide.
        (15.0, 10.5, BLACK),
        (18.0, 10.0, WHITE),
        (21.0, 9.5, BLACK),
        (21.0, 11.4, WHITE),
        // Ends at x = 20, 50, 80: nothing beyond, half a width beyond, half a circle of 4 mm beyond.
        (19.0, 19.0, WHITE),
        (47.0, 19.0, BLACK),
        (77.0, 22.0, BLACK),
        (77.0, 19.0, WHITE),
        // Corner squares reach 4 mm out; the bevel cuts off half of it, the circle what is more than 4 mm away.
        (6.5, 31.5, BLACK),
        (41.5, 31.5, WHITE),
        (44.0, 34.0, BLACK),
        (71.5, 31.5, WHITE),
        (72.7, 32.7, BLACK),
    ];
    assert_colours("lines", items, 2, &places);
}

#[test]
fn a_miter_longer_than_its_limit_is_cut_off() {
    // Two lines that meet at 28.07 degrees: miter length / width = 1 / sin(14.04 degrees) = 4.12 (ISO 32000-1, 8.4.3.5).
    // With a width of 4 the point lies 8.25 mm beyond the corner.
    let spike = |x: f64, miter_limit| {
        let line = Stroke {
            miter_limit,
            ..Stroke::solid(4.0)
        };
        stroke(
            &[(x - 5.0, 50.0), (x, 30.0), (x + 5.0, 50.0)],
            line,
            black(),
        )
    };
    let items = vec![spike(25.0, 4.0), spike(75.0, 4.3)];
    let places = [(25.0, 26.0, WHITE), (75.0, 26.0, BLACK)];
    assert_colours("miter", items, 0, &places);
}

#[test]
fn linear_gradients_run_between_their_points_and_on_beyond_them() {
    let stops = [(0.0, 0), (0.25, 200), (0.25, 100), (1.0, 250)];
    let paint = |matrix| Paint::Linear {
        from: Point::new(20.0, 0.0),
        to: Point::new(80.0, 0.0),
        gradient: gradient(&stops, matrix),
    };
    let turned = Affine::new([0.0, 1.0, -1.0, 0.0, 0.0, 0.0]);
    let items = vec![
        fill(rectangle(5.0, 2.0, 95.0, 18.0), paint(Affine::IDENTITY)),
        // Along y, half as long: from y = 10 to y = 40.
        fill(
            rectangle(40.0, 20.0, 60.0, 58.0),
            paint(turned * Affine::scale(0.5)),
        ),
    ];
    // Offset 0 at x = 20, 0.25 at 35, 1 at 80: halfway to the first stop 100; after the step 100 + 150 * t / 0.75.
    let grey = |level| [level; 3];
    let places = [
        (10.0, 10.0, grey(0)),
        (27.5, 10.0, grey(100)),
        (35.3, 10.0, grey(101)),
        (57.5, 10.0, grey(175)),
        (90.0, 10.0, grey(250)),
        // y = 28.75 is offset 0.625: 100 + 150 * (0.625 - 0.25) / 0.75 = 175.
        (50.0, 28.75, grey(175)),
        (50.0, 50.0, grey(250)),
        (30.0, 40.0, WHITE),
    ];
    assert_colours("linear", items, 3, &places);
}

#[test]
fn radial_gradients_run_from_focus_to_circle_and_on_beyond_it() {
    let paint = |focus| Paint::Radial {
        focus,
        centre: Point::new(50.0, 30.0),
        radius: 20.0,
        gradient: gradient(&[(0.0, 0), (1.0, 200)], Affine::IDENTITY),
    };
    let centred = vec![fill(
        rectangle(0.0, 0.0, 100.0, 60.0),
        paint(Point::new(50.0, 30.0)),
    )];
    let places = [
        (60.0, 30.0, [100; 3]),
        (50.0, 15.0, [150; 3]),
        (90.0, 30.0, [200; 3]),
    ];
    assert_colours("radial", centred, 3, &places);

    // Focus 10 mm left of the centre: to the right the circle is 30 mm away, to the left 10 mm.
    let off_centre = vec![fill(
        rectangle(0.0, 0.0, 100.0, 60.0),
        paint(Point::new(40.0, 30.0)),
    )];
    let places = [
        (55.0, 30.0, [100; 3]),
        (35.0, 30.0, [100; 3]),
        (75.0, 30.0, [200; 3]),
    ];
    assert_colours("radial-focus", off_centre, 3, &places);
}

#[test]
fn lines_take_gradients_too() {
    let paint = Paint::Linear {
        from: Point::new(10.0, 0.0),
        to: Point::new(90.0, 0.0),
        gradient: gradient(&[(0.0, 0), (1.0, 200)], Affine::IDENTITY),
    };
    let items = vec![stroke(
        &[(10.0, 30.0), (90.0, 30.0)],
        Stroke::solid(10.0),
        paint,
    )];
    let places = [
        (30.0, 27.0, [50; 3]),
        (70.0, 33.0, [150; 3]),
        (50.0, 20.0, WHITE),
    ];
    assert_colours("line-gradient", items, 3, &places);
}

//! The simulator's pictures show what it says they show.
//!
//! The check is a centre of gravity of darkness, which knows neither rings nor edges.

use kurbo::{Point, Size, Vec2};

use crate::simulator::camera::{Curl, Photo};
use crate::simulator::printer::{Ink, PrintError, PrintPath};
use crate::simulator::random::Random;
use crate::simulator::scanner::{Lid, Scan};
use crate::simulator::sheet::Sheet;
use crate::simulator::target::{NONE, Page, Side};
use crate::simulator::{Printed, Shot, photo, scan};

const A5: Size = Size::new(148.0, 210.0);

fn printed(seed: u64) -> Printed {
    let mut random = Random::new(seed);
    let path = PrintPath::new(PrintError::home(&mut random), A5, &mut random);
    let page = Page::chart(A5, Side::Front).raster(600.0);
    Printed::new(&page, &Ink::PERFECT, path, Sheet::true_to(A5))
}

/// Returns how far the centre of gravity of what is dark about a place lies from it, in pixels.
fn gravity_px(shot: &Shot, middle: Point, reach_px: f64, white: f64) -> f64 {
    let (mut sum, mut x_sum, mut y_sum) = (0.0, 0.0, 0.0);
    for (x, y, pixel) in shot.picture.enumerate_pixels() {
        let (dx, dy) = (f64::from(x) + 0.5 - middle.x, f64::from(y) + 0.5 - middle.y);
        let dark = white - f64::from(pixel.0[0]);
        if dx * dx + dy * dy < reach_px * reach_px && dark > 2.0 {
            sum += dark;
            x_sum += dark * dx;
            y_sum += dark * dy;
        }
    }
    libm::hypot(x_sum / sum, y_sum / sum)
}

/// Returns where the gravity of an empty target is seen: slanted paper and lenses move it off the centre by some thousandths of a
/// millimetre. Each cell of a fine grid of the page weighs as much as the picture shows of it.
fn seen_gravity(shot: &Shot, centre: Point) -> Point {
    let cell_mm = 0.05;
    let (mut sum, mut moment) = (0.0, Vec2::ZERO);
    for (i, j) in (-62..62).flat_map(|j| (-62..62).map(move |i| (i, j))) {
        let offset = Vec2::new(f64::from(i) + 0.5, f64::from(j) + 0.5) * cell_mm;
        let (across, down) = (offset.x.abs(), offset.y.abs());
        // A ring of 3 mm, 0.72 of it inside; a cross of 0.15 mm, each arm 0.62 of it.
        let is_ring = (2.16..=3.0).contains(&libm::hypot(across, down));
        let is_cross = across.min(down) < 0.075 && across.max(down) < 1.86;
        if is_ring || is_cross {
            let at = centre + offset;
            let seen = shot.picture_from_page(at);
            let right = shot.picture_from_page(at + Vec2::new(cell_mm, 0.0)) - seen;
            let below = shot.picture_from_page(at + Vec2::new(0.0, cell_mm)) - seen;
            let weight = right.cross(below);
            sum += weight;
            moment += seen.to_vec2() * weight;
        }
    }
    (moment / sum).to_point()
}

fn worst_mm(shot: &Shot, px_per_mm: f64) -> f64 {
    let page = Page::chart(A5, Side::Front);
    let empty = page.targets.iter().filter(|t| t.filled == NONE);
    let misses = empty.step_by(7).map(|target| {
        let middle = seen_gravity(shot, target.centre);
        gravity_px(shot, middle, 3.6 * px_per_mm, 229.5) / px_per_mm
    });
    misses.fold(0.0, f64::max)
}

#[test]
fn a_scan_shows_targets_where_it_says() {
    for (dpi, limit_mm) in [(300.0, 0.001), (150.0, 0.002), (100.0, 0.003)] {
        let mut random = Random::new(7);
        let mut set = Scan::perfect(dpi);
        set.turn_rad = 0.4;
        set.scale = (0.004, -0.003);
        let shot = scan(&mut printed(7), &set, &mut random);
        let miss_mm = worst_mm(&shot, dpi / 25.4);
        assert!(miss_mm < limit_mm, "{dpi} dpi: {miss_mm} mm");
    }
}

#[test]
fn a_photo_of_bent_paper_shows_targets_where_it_says() {
    let mut set = Photo::perfect(A5);
    set.k1 = 0.02;
    set.curl = Curl {
        rise_mm: 2.0,
        lean: 0.5,
        direction_rad: 0.5,
    };
    let shot = photo(&mut printed(3), &set, &mut Random::new(3));
    // 3000 px of focal length at the distance.
    let miss_mm = worst_mm(&shot, set.focal_px / set.distance_mm);
    assert!(miss_mm < 0.002, "{miss_mm} mm");
}

/// By hand: a sheet of 148 mm that lies straight, with 5 mm of glass around it, at 254 dpi (10 pixels to a millimetre).
#[test]
fn the_edge_of_a_sheet_lies_where_the_borders_say() {
    let mut set = Scan::perfect(254.0);
    set.lid = Lid::Dark;
    let shot = scan(&mut printed(1), &set, &mut Random::new(1));
    assert_eq!(shot.picture.width(), 1580);
    let row: Vec<f64> = shot
        .picture
        .rows()
        .nth(60)
        .unwrap()
        .map(|p| f64::from(p.0[0]))
        .collect();
    let (low, high) = (row[0], row[800]);
    // Where the light is between lid and paper, it tells how much of the row is paper.
    let paper_px: f64 = row.iter().map(|v| (v - low) / (high - low)).sum();
    assert!((paper_px - 1480.0).abs() < 0.1, "{paper_px}");
    assert!((shot.corners[0] - Point::new(50.0, 50.0)).hypot2() < 1e-12);
}

/// By hand: with a tenth of a pixel more glass at the left each time, the paper begins a tenth of a pixel later. A straight sheet shows
/// it best: all its rows cut pixels alike.
#[test]
fn the_edge_of_a_straight_sheet_moves_by_less_than_a_pixel() {
    let mut sheet = printed(1);
    for tenths in 0..10 {
        let mut set = Scan::perfect(254.0);
        set.border_mm[0] += f64::from(tenths) * 0.01;
        let shot = scan(&mut sheet, &set, &mut Random::new(1));
        let row = shot.picture.rows().nth(60).unwrap();
        let row: Vec<f64> = row.take(800).map(|p| f64::from(p.0[0])).collect();
        let (low, high) = (row[0], row[799]);
        let paper_px: f64 = row.iter().map(|v| (v - low) / (high - low)).sum();
        let glass_px = 50.0 + f64::from(tenths) / 10.0;
        assert!(
            (800.0 - paper_px - glass_px).abs() < 0.02,
            "{glass_px} {paper_px}"
        );
    }
}

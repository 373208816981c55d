//! The simulator's pictures show what it says they show.
//!
//! The check is a centre of gravity of darkness, which knows neither rings nor edges.

use kurbo::{Point, Size};

use crate::simulator::camera::{Curl, Photo};
use crate::simulator::printer::{Ink, PrintError, PrintPath};
use crate::simulator::random::Random;
use crate::simulator::scanner::{Lid, Scan};
use crate::simulator::sheet::Sheet;
use crate::simulator::target::{FULL, NONE, OPPOSITE, Page, Side};
use crate::simulator::{Printed, Shot, photo, scan};

const A5: Size = Size::new(148.0, 210.0);

fn printed(seed: u64) -> Printed {
    let mut random = Random::new(seed);
    // A ripple moves the whole of a target by some micrometres less than its centre, so it is left out here.
    let error = PrintError {
        ripple_mm: 0.0,
        ..PrintError::home(&mut random)
    };
    let path = PrintPath::new(error, A5, &mut random);
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

fn worst_mm(shot: &Shot, px_per_mm: f64) -> f64 {
    let page = Page::chart(A5, Side::Front);
    // These look the same after half a turn, so their gravity lies in their centre.
    let even = page
        .targets
        .iter()
        .filter(|t| [NONE, FULL, OPPOSITE].contains(&t.filled));
    let misses = even.step_by(7).map(|target| {
        let middle = shot.picture_from_page(target.centre);
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

/// Slanted by s at a distance d, the gravity of a disc of radius r is seen off its centre by about r^2 s / d: bent by 0.5 mm over
/// 150 mm the paper slants by 4 x 0.5 / 150 at its edge, so that at 185 mm a radius of 2.6 mm makes 0.0005 mm.
#[test]
fn a_photo_of_bent_paper_shows_targets_where_it_says() {
    let mut set = Photo::perfect(A5);
    set.k1 = 0.02;
    set.curl = Curl {
        rise_mm: 0.5,
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

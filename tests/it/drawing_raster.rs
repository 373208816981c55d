//! Painted pages measured in pixels.

use image::RgbImage;
use sheetwright::{draw, emit};

use crate::drawing_sample::{plan, project};

/// As many pixels to the inch as a fine home print.
const DPI: f64 = 600.0;

fn front() -> RgbImage {
    let (project, plan) = (project(), plan());
    let document = draw::print_document(&project, &plan);
    image::load_from_memory(&emit::png::write(&document.pages[0], &project.assets, DPI))
        .unwrap()
        .into_rgb8()
}

fn px(mm: f64) -> u32 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place on the sheet is positive and small"
    )]
    let px = (mm * DPI / 25.4).round() as u32;
    px
}

/// Centre of darkness of a window about (x, y), in millimetres.
fn dark_centre_mm(picture: &RgbImage, (x, y): (f64, f64), reach_mm: f64) -> (f64, f64) {
    let (mut sum, mut sum_x, mut sum_y) = (0.0, 0.0, 0.0);
    for row in px(y - reach_mm)..px(y + reach_mm) {
        for column in px(x - reach_mm)..px(x + reach_mm) {
            let dark = f64::from(255 - picture.get_pixel(column, row).0[0]);
            sum += dark;
            sum_x += dark * (f64::from(column) + 0.5);
            sum_y += dark * (f64::from(row) + 0.5);
        }
    }
    (sum_x / sum * 25.4 / DPI, sum_y / sum * 25.4 / DPI)
}

#[test]
fn mark_centres_artwork_edges_and_ticks_lie_where_they_are_planned() {
    let picture = front();
    // Marks without quadrants or with all of them are symmetrical, so that their centre of darkness is their centre.
    for centre in [(199.9, 111.76), (16.0, 173.23)] {
        let found = dark_centre_mm(&picture, centre, 3.5);
        assert!(
            (found.0 - centre.0).abs() < 0.02 && (found.1 - centre.1).abs() < 0.02,
            "{found:?}, not {centre:?}"
        );
    }
    // The artwork's edge: packet at x = 26 mm, less 2 mm bleed. Covered share of a row from paper to artwork.
    let row = px(80.0);
    let (paper, art) = (255.0, f64::from(picture.get_pixel(px(30.0), row).0[2]));
    let uncovered: f64 = (px(20.0)..px(30.0))
        .map(|x| (f64::from(picture.get_pixel(x, row).0[2]) - art) / (paper - art))
        .sum();
    let edge_mm = (f64::from(px(20.0)) + uncovered) * 25.4 / DPI;
    assert!((edge_mm - 24.0).abs() < 0.02, "{edge_mm}");
    // A crease tick at x = 92 mm, from y 21 to 24 mm.
    let (x, _) = dark_centre_mm(&picture, (92.0, 22.5), 1.0);
    assert!((x - 92.0).abs() < 0.02, "{x}");
}

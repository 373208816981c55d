//! A printed sheet found by its marks, and how far the cut would be off.

use std::f64::consts::FRAC_PI_2;

use kurbo::{Affine, Point, Size};
use sheetwright::fit::{Pair, affine};
use sheetwright::register::photo::{BY_RULER_MM, KnownSheet, PhotoMark, PhotoSeen, measure};
use sheetwright::register::scanned::{ScanScale, look};
use sheetwright::scan::{
    Identified, Kind, Picture, ScaleHint, find_targets, identify, sheet_edges,
};

use super::made_page::MadePage;
use super::targets::picture;
use crate::simulator::camera::Photo;
use crate::simulator::printer::{Ink, PrintError, PrintPath};
use crate::simulator::random::Random;
use crate::simulator::scanner::Scan;
use crate::simulator::sheet::Sheet;
use crate::simulator::{Printed, Shot};

/// What came of a picture.
#[derive(Debug, Clone)]
pub(crate) enum Outcome {
    /// The tool would not say where the sheet lies.
    Refused(String),
    /// It said so.
    Found {
        /// Largest distance of a cut from where its print is.
        worst_mm: f64,
        /// What the tool says of that, 19 times in 20; `None` where only the map was asked for.
        stated_mm: Option<f64>,
        /// Whether the tool told the user to look.
        is_warned: bool,
    },
}

/// A sheet printed by some printer, and the page's size.
pub(crate) fn printed(page: &MadePage, random: &mut Random) -> Printed {
    let path = PrintPath::new(PrintError::home(random), page.size, random);
    let ink = Ink::home(random);
    let sheet = Sheet::of_shop(page.size, random);
    Printed::new(&page.ink, &ink, path, sheet)
}

/// A scan as people make it, the sheet laid any of four ways.
pub(crate) fn some_scan(dpi: f64, random: &mut Random) -> Scan {
    let mut set = Scan::home(dpi, random);
    set.turn_rad += FRAC_PI_2 * random.below(4) as f64;
    set
}

/// Places of the sheet that are cut: all over it up to 10 mm from its edges.
fn cut_points(page: Size) -> impl Iterator<Item = Point> {
    let inner = Size::new(page.width - 20.0, page.height - 20.0);
    (0..=12).flat_map(move |j| {
        (0..=12).map(move |i| {
            Point::new(
                10.0 + inner.width * f64::from(i) / 12.0,
                10.0 + inner.height * f64::from(j) / 12.0,
            )
        })
    })
}

/// Registers by a scan of a scanner whose own scale is known to be right: the affine map nearest to where the marks are on the sheet.
pub(crate) fn by_scan(page: &MadePage, shot: &Shot) -> Outcome {
    let scale = ScanScale::Scanner(1.0, 1.0);
    let looked = match look(&picture(shot), &page.marks, page.size, scale) {
        Ok(looked) => looked,
        Err(refusal) => return Outcome::Refused(refusal.message),
    };
    let marks = &looked.value;
    let place = |id: &str| page.marks.iter().find(|m| m.id == id).map(|m| m.centre);
    let pairs = marks
        .on_sheet
        .iter()
        .filter_map(|(id, at)| Some(Pair::new(place(id)?, *at)));
    let fit = match affine(&pairs.collect::<Vec<_>>()) {
        Ok(fit) => fit,
        Err(error) => return Outcome::Refused(error.to_string()),
    };
    let scatter = fit.unit_spread.times(marks.sigma_mm * marks.sigma_mm);
    let stated = cut_points(page.size)
        .map(|p| libm::hypot(scatter.r95_mm(p), marks.spread.r95_mm(p)))
        .fold(0.0, f64::max);
    Outcome::Found {
        worst_mm: worst_mm(page.size, fit.map, |p| shot.path.sheet_from_page(p)),
        stated_mm: Some(stated),
        is_warned: !looked.warnings.is_empty(),
    }
}

fn worst_mm(page: Size, map: Affine, truth: impl Fn(Point) -> Point) -> f64 {
    cut_points(page)
        .map(|p| (map * p - truth(p)).hypot2().sqrt())
        .fold(0.0, f64::max)
}

/// Registers by a photo; both sides of the sheet were measured with a ruler.
pub(crate) fn by_photo(
    page: &MadePage,
    shot: &Shot,
    sheet: &Sheet,
    random: &mut Random,
) -> Outcome {
    let picture = picture(shot);
    let long_px = f64::from(picture.width_px().max(picture.height_px()));
    // The sheet fills most of a photo.
    let hint = ScaleHint::PxPerMm(0.7 * long_px / page.size.width.max(page.size.height));
    let targets = find_targets(&picture, hint);
    let seen = match identify(&targets, &page.marks, Kind::Photo) {
        Ok(seen) => seen,
        Err(refusal) => return Outcome::Refused(format!("{refusal:?}")),
    };
    let [_, top_right, corner, bottom_left] = sheet.corners;
    let ruled = Size::new(
        f64::midpoint(top_right.x, corner.x - bottom_left.x) + BY_RULER_MM * random.normal(),
        f64::midpoint(bottom_left.y, corner.y) + BY_RULER_MM * random.normal(),
    );
    let known = KnownSheet {
        size: ruled,
        sigma_mm: BY_RULER_MM,
    };
    match measure(&photo_seen(&picture, &seen, page.size), known) {
        Err(refusal) => Outcome::Refused(refusal.message),
        Ok(found) => {
            let truth = |p: Point| shot.path.sheet_from_page(p);
            let stated = cut_points(page.size).map(|p| found.value.spread.r95_mm(p));
            Outcome::Found {
                worst_mm: worst_mm(page.size, found.value.sheet_from_plan, truth),
                stated_mm: Some(stated.fold(0.0, f64::max)),
                is_warned: !found.warnings.is_empty(),
            }
        }
    }
}

fn photo_seen(picture: &Picture, seen: &Identified, page: Size) -> PhotoSeen {
    let edges = sheet_edges(picture, &seen.picture_from_page, page, Kind::Photo);
    let marks = seen.found.iter().map(|f| PhotoMark {
        plan: f.mark.centre,
        diameter_mm: f.mark.diameter_mm,
        centre_px: f.target.centre,
        sigma_px: f.sigma_mm * seen.px_per_mm(),
    });
    PhotoSeen {
        picture_px: Size::new(
            f64::from(picture.width_px()),
            f64::from(picture.height_px()),
        ),
        marks: marks.collect(),
        edges: edges.sides.iter().map(|edge| edge.points.clone()).collect(),
    }
}

/// A photo of a sheet and its registration.
pub(crate) fn of_photo(
    page: &MadePage,
    set: impl Fn(Size, &mut Random) -> Photo,
    seed: u64,
) -> Outcome {
    let mut random = Random::new(seed);
    let mut printed = printed(page, &mut random);
    let set = set(page.size, &mut random);
    let shot = crate::simulator::photo(&mut printed, &set, &mut random);
    by_photo(page, &shot, &printed.sheet, &mut random)
}

/// A scan of a sheet and its registration.
pub(crate) fn of_scan(page: &MadePage, dpi: f64, seed: u64) -> Outcome {
    let mut random = Random::new(seed);
    let mut printed = printed(page, &mut random);
    let set = some_scan(dpi, &mut random);
    let shot = crate::simulator::scan(&mut printed, &set, &mut random);
    by_scan(page, &shot)
}

//! A printed sheet found by its marks, and how far the cut would be off.

use std::f64::consts::FRAC_PI_2;

use kurbo::{Affine, Point, Size, Vec2};
use sheetwright::fit::{Pair, affine};
use sheetwright::register::photo::{BY_RULER_MM, KnownSheet, PhotoMark, PhotoSeen, measure};
use sheetwright::scan::{
    Identified, Kind, Picture, ScaleHint, SheetEdges, find_targets, identify, sheet_edges,
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

/// Registers by a scan: distances of the marks from the sheet's left and top edge, and the affine map nearest to them.
pub(crate) fn by_scan(page: &MadePage, shot: &Shot, sheet: &Sheet) -> Outcome {
    let picture = picture(shot);
    let targets = find_targets(&picture, ScaleHint::Tagged);
    let seen = match identify(&targets, &page.marks, Kind::Scan) {
        Ok(seen) => seen,
        Err(refusal) => return Outcome::Refused(format!("{refusal:?}")),
    };
    let edges = sheet_edges(&picture, &seen.picture_from_page, page.size, Kind::Scan);
    let Some(corners) = edges.corners() else {
        return Outcome::Refused(edge_words(&edges));
    };
    let dpi = shot.dpi_tag.unwrap_or_else(|| seen.px_per_mm() * 25.4);
    let pairs: Vec<Pair> = seen
        .found
        .iter()
        .map(|f| Pair::new(f.mark.centre, from_edges(&corners, f.target.centre, dpi)))
        .collect();
    if pairs.len() < 4 {
        return Outcome::Refused(format!("{} marks", pairs.len()));
    }
    let map = match affine(&pairs) {
        Ok(fit) => fit.map,
        Err(error) => return Outcome::Refused(format!("{error:?}")),
    };
    let truth = |p: Point| sheet.distances(shot.path.sheet_from_page(p));
    Outcome::Found {
        worst_mm: worst_mm(page.size, map, truth),
        stated_mm: None,
        is_warned: !seen.missing.is_empty() || !edges.warnings().is_empty(),
    }
}

/// Distances from the left and the top edge in a scan, in millimetres.
pub(crate) fn from_edges(corners: &[Point; 4], at: Point, dpi: f64) -> Point {
    let [top_left, top_right, _, bottom_left] = corners.map(|c| c.to_vec2() * (25.4 / dpi));
    let at = at.to_vec2() * (25.4 / dpi);
    let distance =
        |from: Vec2, to: Vec2| (to - from).cross(at - from) / (to - from).hypot2().sqrt();
    Point::new(
        distance(bottom_left, top_left),
        distance(top_left, top_right),
    )
}

fn worst_mm(page: Size, map: Affine, truth: impl Fn(Point) -> Point) -> f64 {
    cut_points(page)
        .map(|p| (map * p - truth(p)).hypot2().sqrt())
        .fold(0.0, f64::max)
}

fn edge_words(edges: &SheetEdges) -> String {
    let faults = edges
        .sides
        .iter()
        .filter_map(|edge| Some((edge.side, edge.fault?)));
    format!("edges {:?}", faults.collect::<Vec<_>>())
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
    by_scan(page, &shot, &printed.sheet)
}

/// How far the edge lines of a scan are from where they are: the worst corner, in millimetres.
pub(crate) fn corner_error_mm(page: &MadePage, shot: &Shot) -> Option<f64> {
    let picture = picture(shot);
    let targets = find_targets(&picture, ScaleHint::Tagged);
    let seen = identify(&targets, &page.marks, Kind::Scan).ok()?;
    let edges = sheet_edges(&picture, &seen.picture_from_page, page.size, Kind::Scan);
    let px_per_mm = seen.px_per_mm();
    let miss = |(a, b): (Point, Point)| (b - a).hypot2().sqrt() / px_per_mm;
    let corners = edges.corners()?;
    Some(
        corners
            .into_iter()
            .zip(shot.corners)
            .map(miss)
            .fold(0.0, f64::max),
    )
}

//! Compares the artwork on a page with the plan: where it is, what it is clipped to, which way up it is, and what it shows.

use kurbo::{Affine, BezPath, Point, Rect};

use super::clip::{are_same, is_around, shaping};
use super::compare::{PlannedPath, check_path, difference, missing, point, size};
use super::deviation::deviation;
use super::page::{PageCheck, check_layer};
use super::pdf::found::{Paint, Painted, Tagged};
use super::plan::{PlannedArtwork, PlannedRun};
use super::trace::{between, bounds};
use super::verdict::{Finding, Tally};
use crate::math::VERIFY_MM;
use crate::plan::file::ArtworkEntry;

/// Half of one of 256 levels, and the rounding of three decimals.
const COLOUR_STEP: f64 = 0.5 / 255.0 + 0.0005;

/// One layer of artwork as planned, in the page frame.
#[derive(Debug)]
pub(super) struct PlannedLayer<'p> {
    entry: &'p ArtworkEntry,
    clip: PlannedPath,
    places: Vec<Affine>,
}

/// The ids of all pieces of a run, each with its artwork on one face.
pub(super) fn on_page<'p>(
    run: &PlannedRun<'p>,
    face: &str,
    page_from_sheet: Affine,
) -> Vec<(&'p str, Vec<PlannedLayer<'p>>)> {
    let layers = |artwork: &[PlannedArtwork<'p>]| {
        let on_face = artwork.iter().filter(|layer| layer.entry.face == face);
        on_face
            .map(|layer| PlannedLayer::new(layer, page_from_sheet))
            .collect()
    };
    let ids = run.entry.contents.iter().map(|content| content.id.as_str());
    ids.zip(run.contents.iter().map(|artwork| layers(artwork)))
        .collect()
}

impl<'p> PlannedLayer<'p> {
    fn new(artwork: &PlannedArtwork<'p>, page_from_sheet: Affine) -> Self {
        // What lies under is painted first.
        let places = artwork.entry.under.iter().chain(&artwork.entry.places);
        Self {
            entry: artwork.entry,
            clip: PlannedPath {
                path: page_from_sheet * &artwork.clip.path,
                ..artwork.clip.clone()
            },
            places: places
                .map(|place| page_from_sheet * Affine::new(*place))
                .collect(),
        }
    }
}

/// Compares the artwork of all pieces on a page.
pub(super) fn check(
    tally: &mut Tally,
    page: &mut PageCheck<'_>,
    pieces: &[(&str, Vec<PlannedLayer<'_>>)],
) {
    let clips: Vec<PlannedPath> = pieces
        .iter()
        .flat_map(|(_, layers)| layers.iter().map(|layer| layer.clip.clone()))
        .collect();
    for (id, layers) in pieces {
        let found = if layers.is_empty() {
            Vec::new()
        } else {
            page.take("artwork", id)
        };
        for layer in layers.iter().skip(found.len()) {
            tally.add(missing(&layer.clip));
        }
        for _ in found.iter().skip(layers.len()) {
            let count = |count: usize| format!("{count} layers");
            let what = format!("{id} has too much artwork");
            let finding = Finding::numbers(
                "verify.extra",
                &what,
                count(layers.len()),
                count(found.len()),
            );
            tally.add(finding.about(id));
        }
        for (layer, tagged) in layers.iter().zip(found) {
            check_layer(tally, tagged, "Artwork");
            check_artwork(tally, layer, tagged, &clips);
        }
    }
}

fn check_artwork(
    tally: &mut Tally,
    layer: &PlannedLayer<'_>,
    found: &Tagged,
    clips: &[PlannedPath],
) {
    let planned_count = layer.places.len().max(1);
    tally.count();
    if found.items.len() != planned_count {
        let count = |count: usize| format!("{count} drawings");
        let what = format!("{} is made up differently", layer.clip.name);
        let (planned, found) = (count(planned_count), count(found.items.len()));
        return tally
            .add(Finding::numbers("verify.content", &what, planned, found).about(&layer.clip.id));
    }
    check_clips(tally, layer, found, clips);
    if let Some(colour) = &layer.entry.colour {
        check_flat(tally, layer, &found.items[0], colour);
    } else {
        check_pictures(tally, layer, found);
    }
}

fn check_clips(tally: &mut Tally, layer: &PlannedLayer<'_>, found: &Tagged, clips: &[PlannedPath]) {
    let planned_box = bounds(&layer.clip.path).unwrap_or_default();
    let mut last: Option<&Painted> = None;
    for item in &found.items {
        if last.is_some_and(|last| are_same(&last.clips, &item.clips)) {
            continue;
        }
        last = Some(item);
        match (shaping(&item.clips, planned_box), &item.what) {
            (Ok(Some(clip)), _) => check_path(tally, &layer.clip, clip, clips),
            // A flat colour may be its own clip: its path is what is compared.
            (Ok(None), Paint::Fill { path, .. }) => check_path(tally, &layer.clip, path, clips),
            (
                Ok(None),
                Paint::Stroke { .. } | Paint::Picture { .. } | Paint::Text(_) | Paint::Shading,
            ) => {
                let message = format!("{} is not clipped", layer.clip.name);
                tally.add(Finding::new("verify.content", message).about(&layer.clip.id));
            }
            (Err(count), _) => {
                let message = format!(
                    "{} is seen through {count} clips that cut into it",
                    layer.clip.name
                );
                tally.add(Finding::new("verify.content", message).about(&layer.clip.id));
            }
        }
    }
}

fn check_flat(tally: &mut Tally, layer: &PlannedLayer<'_>, item: &Painted, colour: &str) {
    let Paint::Fill { path, rgb, .. } = &item.what else {
        let message = format!("{} is not one flat colour", layer.clip.name);
        return tally.add(Finding::new("verify.artwork", message).about(&layer.clip.id));
    };
    tally.count();
    let found = rgb.map_or_else(|| "another kind of colour".to_owned(), spell_colour);
    let is_same = rgb
        .zip(read_colour(colour))
        .is_some_and(|(found, planned)| {
            found
                .iter()
                .zip(planned)
                .all(|(found, planned)| (found - planned).abs() <= COLOUR_STEP)
        });
    if !is_same {
        let what = format!("colour of {}", layer.clip.name);
        tally.add(Finding::numbers("verify.artwork", &what, colour, found).about(&layer.clip.id));
    }
    check_covers(tally, layer, path);
}

fn check_covers(tally: &mut Tally, layer: &PlannedLayer<'_>, fill: &BezPath) {
    let planned_box = bounds(&layer.clip.path).unwrap_or_default();
    let is_clip = || {
        deviation(&layer.clip.path, fill)
            .distance_mm
            .is_some_and(|mm| mm <= VERIFY_MM)
    };
    tally.count();
    if !is_around(fill, planned_box) && !is_clip() {
        let found = bounds(fill).unwrap_or_default();
        let what = format!("{} does not cover its piece", layer.clip.name);
        let spell = |b: Rect| size(b.width(), b.height());
        let finding = Finding::numbers("verify.artwork", &what, spell(planned_box), spell(found));
        tally.add(finding.about(&layer.clip.id));
    }
}

fn read_colour(text: &str) -> Option<[f64; 3]> {
    let digits = text
        .strip_prefix('#')
        .filter(|digits| digits.len() == 6 && digits.is_ascii())?;
    let level = |at: usize| u8::from_str_radix(&digits[at..at + 2], 16).ok();
    Some([level(0)?, level(2)?, level(4)?].map(|level| f64::from(level) / 255.0))
}

fn spell_colour(rgb: [f64; 3]) -> String {
    let levels = rgb.map(|level| {
        (0..=u8::MAX)
            .min_by(|a, b| {
                let off = |candidate: u8| (f64::from(candidate) / 255.0 - level).abs();
                off(*a).total_cmp(&off(*b))
            })
            .unwrap_or_default()
    });
    format!("#{:02x}{:02x}{:02x}", levels[0], levels[1], levels[2])
}

fn check_pictures(tally: &mut Tally, layer: &PlannedLayer<'_>, found: &Tagged) {
    for (planned, item) in layer.places.iter().zip(&found.items) {
        let Paint::Picture {
            page_from_picture,
            sha256,
            bytes_sha256,
            words,
        } = &item.what
        else {
            let message = format!("{} is no picture", layer.clip.name);
            return tally.add(Finding::new("verify.artwork", message).about(&layer.clip.id));
        };
        check_place(tally, layer, *planned, *page_from_picture);
        check_words(tally, layer, words);
        let is_shown = check_source(tally, layer, sha256.as_deref())
            && bytes_sha256
                .as_deref()
                .is_none_or(|bytes| check_source(tally, layer, Some(bytes)));
        if !is_shown {
            return;
        }
    }
}

/// Compares what is written in a picture with the plan: whose name stands on which copy.
fn check_words(tally: &mut Tally, layer: &PlannedLayer<'_>, found: &[String]) {
    let Some(planned) = &layer.entry.words else {
        return;
    };
    tally.count();
    if planned.as_slice() != found {
        let what = format!("words on {}", layer.clip.name);
        let spell = |words: &[String]| format!("\"{}\"", words.join(" / "));
        let (planned, found) = (spell(planned), spell(found));
        let finding = Finding::numbers("verify.words", &what, planned, found);
        tally.add(finding.about(&layer.clip.id));
    }
}

/// Compares the digest of a picture's file with the plan's and returns whether they agree.
fn check_source(tally: &mut Tally, layer: &PlannedLayer<'_>, found: Option<&str>) -> bool {
    tally.count();
    let planned = layer.entry.sha256.as_deref().unwrap_or("nothing");
    let found = found.unwrap_or("nothing");
    if planned != found {
        let file = layer.entry.file.as_deref().unwrap_or("a picture");
        let what = format!(
            "{} does not show {file}, SHA-256 of the picture",
            layer.clip.name
        );
        tally.add(Finding::numbers("verify.artwork", &what, planned, found).about(&layer.clip.id));
    }
    planned == found
}

/// The corners of the unit square, clockwise as seen from the top left.
const CORNERS: [Point; 4] = [
    Point::new(0.0, 0.0),
    Point::new(1.0, 0.0),
    Point::new(1.0, 1.0),
    Point::new(0.0, 1.0),
];

fn check_place(tally: &mut Tally, layer: &PlannedLayer<'_>, planned: Affine, found: Affine) {
    let corners = |place: Affine| CORNERS.map(|corner| place * corner);
    let (planned, found) = (corners(planned), corners(found));
    let off_mm = farthest(planned, found);
    if tally.measure(off_mm) {
        return;
    }
    let name = &layer.clip.name;
    let finding = turned_in_place(name, planned, found).unwrap_or_else(|| {
        let pairs: Vec<(Point, Point)> = planned.into_iter().zip(found).collect();
        difference(name, &pairs, box_of(planned), box_of(found))
    });
    tally.add(finding.about(&layer.clip.id).off_by(off_mm));
}

fn farthest(planned: [Point; 4], found: [Point; 4]) -> f64 {
    planned
        .into_iter()
        .zip(found)
        .map(|(planned, found)| between(planned, found))
        .fold(0.0, f64::max)
}

fn box_of(corners: [Point; 4]) -> Rect {
    corners[1..]
        .iter()
        .fold(Rect::from_points(corners[0], corners[0]), |b, corner| {
            b.union_pt(*corner)
        })
}

/// Says so if the found corners are the planned ones in another order.
fn turned_in_place(name: &str, planned: [Point; 4], found: [Point; 4]) -> Option<Finding> {
    let mut mirrored = [planned[1], planned[0], planned[3], planned[2]];
    let mut turned = planned;
    for turn_deg in [0, 90, 180, 270] {
        if farthest(turned, found) <= VERIFY_MM {
            let what = format!(
                "{name} is turned clockwise in its place, its top left corner at {}",
                point(found[0])
            );
            return Some(Finding::numbers(
                "verify.turned",
                &what,
                "0 deg",
                format!("{turn_deg} deg"),
            ));
        }
        if farthest(mirrored, found) <= VERIFY_MM {
            return Some(Finding::numbers(
                "verify.mirrored",
                name,
                "as seen",
                "mirrored",
            ));
        }
        // Turned clockwise, the top left corner comes to lie where the top right one was.
        turned.rotate_left(1);
        mirrored.rotate_left(1);
    }
    None
}

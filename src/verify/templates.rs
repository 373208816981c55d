//! Compares `templates.pdf` with the plan: each piece at its true size, put together over the tiles it is drawn on.
//!
//! Where a piece lies on its page is free, and whether it is turned by a quarter; the place is found from its outline, and everything
//! else of the piece must lie as it does in the plan. Not read are words, and what is drawn inside an outline that stands for no
//! operation.

use std::collections::BTreeMap;

use kurbo::{Affine, BezPath, Point, Rect};

use super::clip::is_around;
use super::compare::{PlannedPath, check_path, missing, mm, point};
use super::deviation::deviation;
use super::page::{INSIDE_MM, PageCheck, format_of, open, reaching_out, seen};
use super::pdf::found::{PageFound, PdfFound, Tagged};
use super::pieces::{PlannedPiece, check_dashes, planned};
use super::plan::PlannedSheet;
use super::trace::{between, bounds};
use super::verdict::{FileVerdict, Finding, Tally};
use crate::geometry::areas;
use crate::math::VERIFY_MM;

/// The file's name.
pub(super) const NAME: &str = "templates.pdf";

/// Holes for filing (ISO 838): from the edge, and each from the middle of the edge; beyond them begins what may be drawn of pieces.
const HOLE_MM: (f64, f64) = (12.0, 40.0);
const BOUND_MM: f64 = 20.0;
const BARS_MM: [(&str, f64); 2] = [("50 mm", 50.0), ("2 in", 50.8)];
/// Least strip that two tiles share.
const LEAST_OVERLAP_MM: f64 = 10.0;

/// Layers with words and samples of lines, which stand for nothing in the plan.
const FREE_LAYERS: [&str; 3] = ["Words", "Page", "Scale bars"];

/// What one page shows of a piece.
#[derive(Debug)]
struct Tile {
    page: u32,
    /// In the piece frame.
    window: Rect,
    /// Crosses in the piece frame, by the letter of the join.
    joins: Vec<(String, Vec<Point>)>,
}

/// Compares every page.
pub(super) fn check(bytes: &[u8], sheets: &[PlannedSheet<'_>]) -> FileVerdict {
    let mut tally = Tally::new(NAME);
    let pieces = planned(sheets);
    let pages = page_count(bytes);
    if let Some(found) = open(&mut tally, bytes, pages) {
        let mut tiles: BTreeMap<&str, Vec<Tile>> = BTreeMap::new();
        for number in 1..=pages {
            check_page(&mut tally, &found, number, &pieces, &mut tiles);
        }
        for piece in &pieces {
            let tiles = tiles.get(piece.id.as_str()).map_or(&[][..], Vec::as_slice);
            check_tiles(&mut tally, piece, tiles);
        }
    }
    tally.finish()
}

/// The plan does not say how many pages there are: as many as the pieces take.
fn page_count(bytes: &[u8]) -> u32 {
    let read = super::pdf::read_pdf(bytes);
    let pages = read.map_or(0, |found| found.pages.len());
    u32::try_from(pages).unwrap_or(u32::MAX)
}

fn check_page<'p>(
    tally: &mut Tally,
    found: &PdfFound,
    number: u32,
    pieces: &'p [PlannedPiece],
    tiles: &mut BTreeMap<&'p str, Vec<Tile>>,
) {
    let position = usize::try_from(number).unwrap_or(0).wrapping_sub(1);
    let Some(on_page) = found.pages.get(position) else {
        return;
    };
    let (width_mm, height_mm) = format_of(on_page);
    let paper = Rect::new(0.0, 0.0, width_mm, height_mm);
    let Some(mut page) = PageCheck::start(tally, found, number, paper) else {
        return;
    };
    let inside = Rect::from_center_size(paper.center(), INSIDE_MM);
    check_bars(tally, &mut page);
    check_holes(tally, &mut page, paper);
    check_inside(tally, on_page, inside);
    for piece in pieces {
        if let Some(outline) = page.take_one(tally, "cut", &piece.outline.id) {
            let tile = check_piece(tally, &mut page, on_page, piece, outline, paper);
            tiles.entry(&piece.id).or_default().push(Tile {
                page: number,
                ..tile
            });
        }
    }
    let mut has_test = false;
    for tagged in &on_page.tagged {
        match tagged.kind.as_str() {
            "name" => {
                page.take("name", &tagged.id);
            }
            "fit-test" => {
                has_test = true;
                page.take("fit-test", &tagged.id);
            }
            _ => {}
        }
    }
    tally.count();
    if !has_test && tiles.values().flatten().all(|tile| tile.page != number) {
        let message = format!("page {number} shows no piece and nothing to try");
        tally.add(Finding::new("verify.extra", message));
    }
    // The maker's logo stands for nothing in the plan; that it lies on what both formats print was looked at with the rest.
    page.take_one(tally, "logo", "logo");
    page.finish(tally, &FREE_LAYERS);
}

fn check_bars(tally: &mut Tally, page: &mut PageCheck<'_>) {
    for (id, length_mm) in BARS_MM {
        let found = page.take_one(tally, "scale-bar", id);
        let found_mm = found
            .and_then(|bar| bounds(&bar.strokes()))
            .map(|b| b.width());
        let Some(found_mm) = found_mm else {
            let message = format!("the scale bar of {id} is missing");
            tally.add(Finding::new("verify.missing", message).about(id));
            continue;
        };
        let off_mm = (found_mm - length_mm).abs();
        if !tally.measure(off_mm) {
            let what = format!("the scale bar of {id}");
            let finding = Finding::numbers("verify.scaled", &what, mm(length_mm), mm(found_mm));
            tally.add(finding.about(id).off_by(off_mm));
        }
    }
}

fn check_holes(tally: &mut Tally, page: &mut PageCheck<'_>, paper: Rect) {
    for (id, side) in [("upper", -1.0), ("lower", 1.0)] {
        let planned = Point::new(HOLE_MM.0, paper.center().y + side * HOLE_MM.1);
        let found = page.take_one(tally, "punch", id);
        let Some(found) = found.and_then(|mark| bounds(&mark.strokes())) else {
            let message = format!("the {id} hole mark is missing");
            tally.add(Finding::new("verify.missing", message).about(id));
            continue;
        };
        let off_mm = between(planned, found.center());
        if !tally.measure(off_mm) {
            let what = format!("the {id} hole mark, middle");
            let (planned, found) = (point(planned), point(found.center()));
            let finding = Finding::numbers("verify.moved", &what, planned, found);
            tally.add(finding.about(id).off_by(off_mm));
        }
    }
}

/// Whether all that is seen lies where both formats are printed.
fn check_inside(tally: &mut Tally, page: &PageFound, inside: Rect) {
    let tagged = page.tagged.iter().flat_map(|tagged| {
        let beyond_mm = if tagged.kind == "punch" {
            inside.x0
        } else {
            BOUND_MM
        };
        let room = Rect {
            x0: beyond_mm,
            ..inside
        };
        tagged
            .items
            .iter()
            .map(move |item| (seen(&item.what, &item.clips), room, tagged.id.as_str()))
    });
    let loose = page
        .loose
        .iter()
        .map(|loose| (loose.what.ink_box(), inside, "words"));
    for (ink, room, id) in tagged.chain(loose) {
        let Some(ink) = ink else {
            continue;
        };
        if let Some(finding) = reaching_out(tally, id, ink, room) {
            tally.add(finding.about(id));
        }
    }
}

/// Compares what one page shows of a piece.
fn check_piece(
    tally: &mut Tally,
    page: &mut PageCheck<'_>,
    on_page: &PageFound,
    piece: &PlannedPiece,
    outline: &Tagged,
    paper: Rect,
) -> Tile {
    let page_from_piece = lies(piece, &outline.strokes(), on_page);
    let on = |planned: &PlannedPath| PlannedPath {
        path: page_from_piece * &planned.path,
        ..planned.clone()
    };
    let all: Vec<PlannedPath> = piece.lines.iter().map(on).collect();
    check_path(tally, &on(&piece.outline), &outline.strokes(), &all);
    let window = window(tally, outline, paper);
    for (planned, dashes) in all.iter().zip(&piece.dashes) {
        match page.take_one(tally, &planned.kind, &planned.id) {
            None => tally.add(missing(planned)),
            Some(found) => {
                check_path(tally, planned, &found.strokes(), &all);
                same_window(tally, found, window, paper);
                check_dashes(tally, found, *dashes);
            }
        }
    }
    let piece_from_page = page_from_piece.inverse();
    let mut joins = Vec::new();
    for tagged in &on_page.tagged {
        let own = tagged
            .id
            .strip_prefix(&piece.id)
            .and_then(|own| own.strip_prefix('.'));
        let Some(own) = own else {
            continue;
        };
        match tagged.kind.as_str() {
            "join" => {
                page.take("join", &tagged.id);
                joins.push((own.to_owned(), crossings(tagged, piece_from_page)));
            }
            "area" | "finished" => {
                page.take(&tagged.kind, &tagged.id);
            }
            _ => {}
        }
    }
    Tile {
        page: 0,
        window: piece_from_page.transform_rect_bbox(window),
        joins,
    }
}

/// How a piece lies on its page: as it is or turned by a quarter, its box where the outline is found. All its lines tell, since a round
/// or square outline does not.
fn lies(piece: &PlannedPiece, outline: &BezPath, on_page: &PageFound) -> Affine {
    let planned = &piece.outline.path;
    let at = bounds(outline).unwrap_or_default().origin();
    let quarters = [
        Affine::IDENTITY,
        Affine::new([0.0, 1.0, -1.0, 0.0, 0.0, 0.0]),
    ];
    let maps = quarters.map(|quarter| {
        let corner = bounds(&(quarter * planned)).unwrap_or_default().origin();
        Affine::translate(at - corner) * quarter
    });
    let found = |line: &PlannedPath| {
        let mut tagged = on_page.tagged.iter();
        let is_it = |t: &&Tagged| t.kind == line.kind && t.id == line.id;
        tagged.find(is_it).map(Tagged::strokes)
    };
    let lines: Vec<(&BezPath, BezPath)> = piece
        .lines
        .iter()
        .filter_map(|line| found(line).map(|strokes| (&line.path, strokes)))
        .chain([(planned, outline.clone())])
        .collect();
    // The sum, so that one line that is wrong does not outweigh all that are right.
    let off = |map: &Affine| -> f64 {
        let apart = lines.iter().map(|(planned, found)| {
            match deviation(&(*map * *planned), found).distance_mm {
                // Of a square both ways fit: what nobody would call off must not tell them apart, or tiles would lie differently.
                Some(mm) if mm <= VERIFY_MM => 0.0,
                Some(mm) => mm,
                None => f64::from(u16::MAX),
            }
        });
        apart.sum()
    };
    let [as_is, turned] = maps;
    if off(&turned) < off(&as_is) {
        turned
    } else {
        as_is
    }
}

/// What of the page a drawing may be seen in.
fn window(tally: &mut Tally, tagged: &Tagged, paper: Rect) -> Rect {
    let mut window = paper;
    for clip in tagged.items.iter().flat_map(|item| &item.clips) {
        let area = bounds(clip).unwrap_or_default();
        tally.count();
        if !is_around(clip, area) {
            let message = format!(
                "{} is seen through a clip that is no upright box",
                tagged.id
            );
            tally.add(Finding::new("verify.content", message).about(&tagged.id));
        }
        window = window.intersect(area);
    }
    window
}

fn same_window(tally: &mut Tally, tagged: &Tagged, planned: Rect, paper: Rect) {
    let found = window(tally, tagged, paper);
    let ink = tagged.ink_box().unwrap_or_default();
    // A clip that cuts nothing off does not matter.
    let (shown, planned_shown) = (ink.intersect(found), ink.intersect(planned));
    let off_mm = super::trace::box_distance(shown, planned_shown);
    if !tally.measure(off_mm) {
        let what = format!("what is seen of {}, top left corner", tagged.id);
        let (planned, found) = (point(planned_shown.origin()), point(shown.origin()));
        let finding = Finding::numbers("verify.content", &what, planned, found);
        tally.add(finding.about(&tagged.id).off_by(off_mm));
    }
}

/// Middles of the crosses of a join, in the piece frame.
fn crossings(tagged: &Tagged, piece_from_page: Affine) -> Vec<Point> {
    let runs = super::trace::runs(&tagged.strokes());
    let middle = |run: &super::trace::Run| {
        let corners = super::trace::corners(run);
        corners
            .first()
            .map(|first| first.midpoint(corners[corners.len() - 1]))
    };
    // Two lines for each cross.
    let middles: Vec<Point> = runs.iter().filter_map(middle).collect();
    middles.into_iter().map(|p| piece_from_page * p).collect()
}

/// Checks that the tiles show the whole piece, overlap, and join where their crosses say.
fn check_tiles(tally: &mut Tally, piece: &PlannedPiece, tiles: &[Tile]) {
    if tiles.is_empty() {
        tally.add(missing(&piece.outline));
        return;
    }
    let whole = bounds(&piece.outline.path).unwrap_or_default();
    let mut left = vec![vec![ring(whole)]];
    for tile in tiles {
        left = left
            .iter()
            .flat_map(|part| areas::without(part, &[ring(tile.window)]))
            .collect();
    }
    let left_mm2: f64 = left.iter().flatten().map(|r| areas::ring_area_mm2(r)).sum();
    tally.count();
    if left_mm2 > VERIFY_MM {
        let what = format!("area of {} that no tile shows", piece.id);
        let found = format!("{left_mm2:.2} mm2");
        let finding = Finding::numbers("verify.missing", &what, "0 mm2", found);
        tally.add(finding.about(&piece.outline.id));
    }
    check_joins(tally, piece, tiles);
}

fn ring(b: Rect) -> Vec<Point> {
    [(b.x0, b.y0), (b.x1, b.y0), (b.x1, b.y1), (b.x0, b.y1)]
        .map(Point::from)
        .to_vec()
}

fn check_joins(tally: &mut Tally, piece: &PlannedPiece, tiles: &[Tile]) {
    let mut joins: BTreeMap<&str, Vec<(usize, &[Point])>> = BTreeMap::new();
    for (i, tile) in tiles.iter().enumerate() {
        for (letter, crosses) in &tile.joins {
            joins.entry(letter).or_default().push((i, crosses));
        }
    }
    // Tiles that hang together; the first of each group stands for it.
    let mut group: Vec<usize> = (0..tiles.len()).collect();
    for (letter, ends) in &joins {
        let id = format!("{}.{letter}", piece.id);
        let [(a, at_a), (b, at_b)] = ends.as_slice() else {
            let (planned, found) = ("2 tiles".to_owned(), format!("{} tiles", ends.len()));
            let what = format!("join {id}");
            tally.add(Finding::numbers("verify.missing", &what, planned, found).about(&id));
            continue;
        };
        check_join(tally, &id, (&tiles[*a], at_a), (&tiles[*b], at_b));
        let (from, to) = (group[*a], group[*b]);
        for of in group.iter_mut().filter(|of| **of == to) {
            *of = from;
        }
    }
    tally.count();
    if group.iter().any(|of| *of != group[0]) {
        let message = format!("the tiles of {} do not hang together", piece.id);
        tally.add(Finding::new("verify.missing", message).about(&piece.outline.id));
    }
}

fn check_join(
    tally: &mut Tally,
    id: &str,
    (a, at_a): (&Tile, &[Point]),
    (b, at_b): (&Tile, &[Point]),
) {
    tally.on_page(b.page);
    let is_paired = at_a.len() == at_b.len() && at_a.len() >= 4;
    let off = at_a.iter().zip(at_b).map(|(p, q)| between(*p, *q));
    let off_mm = off.fold(if is_paired { 0.0 } else { f64::MAX }, f64::max);
    let first = |at: &[Point]| {
        at.first()
            .map_or_else(|| "nothing".to_owned(), |p| point(*p))
    };
    if !tally.measure(off_mm) {
        let what = format!("crosses of {id} on pages {} and {}", a.page, b.page);
        let finding = Finding::numbers("verify.moved", &what, first(at_a), first(at_b));
        tally.add(finding.about(id).off_by(off_mm));
    }
    let shared = a.window.intersect(b.window);
    let strip_mm = shared.width().min(shared.height());
    let is_seen = at_a.iter().all(|p| shared.contains(*p));
    tally.count();
    if strip_mm < LEAST_OVERLAP_MM - VERIFY_MM || !is_seen {
        let what = format!("strip that both tiles of {id} show, with its crosses");
        let (planned, found) = (mm(LEAST_OVERLAP_MM), mm(strip_mm));
        tally.add(Finding::numbers("verify.content", &what, planned, found).about(id));
    }
}

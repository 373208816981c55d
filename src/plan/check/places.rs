//! Where pieces lie: on the right paper, turned as allowed, inside, and apart.

use kurbo::{Affine, Rect, Vec2};

use super::super::face_map::face_from_sheet;
use super::super::marks::{Scales, clear_zones};
use super::super::reach::{self, printable};
use super::super::{Placement, Sheet};
use super::ALLOWED_MM;
use crate::drawing::Colour;
use crate::geometry::clip_line::clip_segment;
use crate::geometry::distance::distance_mm;
use crate::geometry::offset::offset;
use crate::geometry::overlap::overlaps;
use crate::geometry::{Outline, near_pairs, shape};
use crate::project::{
    Artwork, ArtworkFill, Axis, CutBy, Edge, Face, Fold, Maker, OperationKind, Project, Reads,
    StockFace, Turns,
};

/// A placed piece as checks see it, in the sheet frame.
pub(super) struct Piece<'a> {
    pub(super) id: &'a str,
    pub(super) outline: Outline,
    /// What is printed of it: its outline grown by its widest bleed.
    pub(super) with_bleed: Vec<Outline>,
    /// Face and colour, if all that is ever printed here is one flat colour on each face.
    flat: Option<Vec<(Face, Colour)>>,
    pub(super) front: bool,
    pub(super) back: bool,
    by_machine: bool,
}

impl Piece<'_> {
    pub(super) fn bounds(&self) -> Rect {
        self.with_bleed
            .iter()
            .map(Outline::bounds)
            .fold(self.outline.bounds(), |a, b| a.union(b))
    }
}

/// Returns the pieces of a sheet; in all runs the same shapes lie in the same places.
pub(super) fn pieces<'a>(project: &Project, sheet: &'a Sheet) -> Vec<Piece<'a>> {
    let placed = sheet
        .placements
        .iter()
        .enumerate()
        .map(|(index, placement)| {
            let piece = &project.pieces[placement.piece];
            let map = placement.pose.to_affine();
            let contents = || {
                sheet
                    .prints
                    .iter()
                    .filter_map(move |run| run.contents.get(index))
            };
            let artwork =
                || contents().flat_map(|c| project.artwork_of(c.edition, placement.piece));
            let bleed_mm = artwork().map(|a| a.bleed.to_mm()).fold(0.0, f64::max);
            Piece {
                id: &placement.id,
                outline: piece.outline.transformed(map),
                with_bleed: offset(&piece.outline, bleed_mm)
                    .iter()
                    .map(|o| o.transformed(map))
                    .collect(),
                flat: flat(contents().map(|c| project.artwork_of(c.edition, placement.piece))),
                front: artwork().any(|a| a.face == Face::Front),
                back: artwork().any(|a| a.face == Face::Back),
                by_machine: placement.operations.iter().any(|o| o.by == Maker::Machine),
            }
        });
    placed.collect()
}

/// What is printed in all runs alike, if that is a single flat colour on each face.
fn flat<'a>(mut runs: impl Iterator<Item = Vec<&'a Artwork>>) -> Option<Vec<(Face, Colour)>> {
    let colours = |artwork: Vec<&Artwork>| {
        let colour = |a: &&Artwork| {
            if let ArtworkFill::Flat(colour) = a.fill {
                Some((a.face, colour))
            } else {
                None
            }
        };
        let mut found: Vec<_> = artwork.iter().map(colour).collect::<Option<_>>()?;
        found.sort_by_key(|(face, _)| *face);
        let is_single = found.windows(2).all(|pair| pair[0].0 != pair[1].0);
        is_single.then_some(found)
    };
    let first = colours(runs.next()?)?;
    let is_alike = runs.all(|run| colours(run).as_ref() == Some(&first));
    (is_alike && !first.is_empty()).then_some(first)
}

/// Pieces lie on their stock or an offcut of it, right face up, turned only as they may be.
pub(super) fn stock_and_turns(project: &Project, sheet: &Sheet) -> Vec<String> {
    let mut found = Vec::new();
    for (index, placement) in sheet.placements.iter().enumerate() {
        let piece = &project.pieces[placement.piece];
        let contents = sheet
            .prints
            .iter()
            .filter_map(|run| run.contents.get(index));
        let mut stocks = contents.map(|c| project.stock_of(c.edition, placement.piece));
        if !stocks.all(|declared| is_cut_from(project, declared, sheet.stock))
            || piece.shows != sheet.front_is
        {
            found.push(format!("{} lies on the wrong paper", placement.id));
        }
        if placement.face_down && !may_lie_front_down(project, sheet, index) {
            found.push(format!("{} lies front down", placement.id));
        }
        if placement.face_down != placement.pose.mirrored || !are_folds_as_seen(project, placement)
        {
            found.push(format!("{} is not as it is seen", placement.id));
        }
        if !is_turn_allowed(project, sheet, placement) {
            found.push(format!("{} is turned as it may not be", placement.id));
        }
    }
    found
}

/// A piece may lie front down if it says so, nothing is printed on it and both faces of its paper are the same.
fn may_lie_front_down(project: &Project, sheet: &Sheet, index: usize) -> bool {
    let stock = &project.stocks[sheet.stock];
    let is_patterned = matches!(stock.face_a, StockFace::Patterned { .. });
    let mut contents = sheet
        .prints
        .iter()
        .filter_map(|run| run.contents.get(index));
    project.pieces[sheet.placements[index].piece].may_mirror
        && contents.all(|content| content.artwork.is_empty())
        && stock.face_a == stock.face_b
        && !is_patterned
}

/// Creases fold as declared, or the other way if the piece is seen from behind.
fn are_folds_as_seen(project: &Project, placement: &Placement) -> bool {
    let mountains = |kinds: &mut dyn Iterator<Item = OperationKind>| {
        let mountain = OperationKind::Crease {
            fold: Fold::Mountain,
        };
        let creases = kinds.filter(|kind| matches!(kind, OperationKind::Crease { .. }));
        creases.map(|kind| kind == mountain).collect::<Vec<_>>()
    };
    let declared = &project.pieces[placement.piece].operations;
    let declared = mountains(&mut declared.iter().map(|o| o.kind));
    let planned = mountains(&mut placement.operations.iter().map(|o| o.kind));
    let seen = declared.iter().map(|is| *is != placement.face_down);
    planned.into_iter().eq(seen)
}

fn is_cut_from(project: &Project, declared: usize, used: usize) -> bool {
    let parents = std::iter::successors(Some(used), |s| project.stocks[*s].offcut_of);
    parents
        .take(project.stocks.len() + 1)
        .any(|s| s == declared)
}

fn is_turn_allowed(project: &Project, sheet: &Sheet, placement: &Placement) -> bool {
    let piece = &project.pieces[placement.piece];
    let stock = &project.stocks[sheet.stock];
    let turn = placement.pose.to_affine();
    // Directions as the piece has them, as they lie on the sheet.
    let (along_x, up) = (
        linear(turn, Vec2::new(1.0, 0.0)),
        linear(turn, Vec2::new(0.0, -1.0)),
    );
    let wished = match piece.turns {
        Turns::None => up.y < -STRAIGHT,
        Turns::Half => along_x.x.abs() > STRAIGHT,
        Turns::Quarters => is_by_quarters(along_x),
        Turns::Any => project.job.cut_by == CutBy::Machine || is_by_quarters(along_x),
    };
    let grain = match (piece.grain, stock.grain) {
        (Some(piece), Some(stock)) => linear(turn, axis(piece)).dot(axis(stock)).abs() > STRAIGHT,
        (None, _) | (_, None) => true,
    };
    let pattern = match (stock.face(sheet.front_is), piece.pattern_up) {
        (StockFace::Patterned { reads, up, .. }, Some(wished)) => {
            let agreement = linear(turn, towards(wished)).dot(towards(*up));
            match reads {
                Reads::OneWay => agreement > STRAIGHT,
                Reads::Stripe => agreement.abs() > STRAIGHT,
                Reads::Free => is_by_quarters(along_x),
            }
        }
        (StockFace::Patterned { .. } | StockFace::Plain | StockFace::Printable, _) => true,
    };
    wished && grain && pattern
}

/// Cosine of a ten-thousandth of a degree, rounded down: less is no turn that anybody planned.
const STRAIGHT: f64 = 1.0 - 2e-12;

fn is_by_quarters(along_x: Vec2) -> bool {
    along_x.x.abs().max(along_x.y.abs()) > STRAIGHT
}

fn linear(map: Affine, way: Vec2) -> Vec2 {
    (map * way.to_point()) - (map * kurbo::Point::ORIGIN)
}

fn axis(axis: Axis) -> Vec2 {
    match axis {
        Axis::X => Vec2::new(1.0, 0.0),
        Axis::Y => Vec2::new(0.0, 1.0),
    }
}

fn towards(edge: Edge) -> Vec2 {
    match edge {
        Edge::Top => Vec2::new(0.0, -1.0),
        Edge::Right => Vec2::new(1.0, 0.0),
        Edge::Bottom => Vec2::new(0.0, 1.0),
        Edge::Left => Vec2::new(-1.0, 0.0),
    }
}

/// Outlines lie on the sheet and within the cutter's reach, bleed within the printer's margins and the stated usable box.
pub(super) fn inside(project: &Project, sheet: &Sheet, pieces: &[Piece<'_>]) -> Vec<String> {
    let full = Rect::new(0.0, 0.0, sheet.width_mm, sheet.height_mm);
    let size = kurbo::Size::new(sheet.width_mm, sheet.height_mm);
    let reach = sheet
        .cut
        .as_ref()
        .map(|cut| reach::inside(size, reach::out_of_reach(project, size, cut.face_up)));
    let mut found = Vec::new();
    for piece in pieces {
        let mut expect = |what: &str, room: Rect, thing: Rect| {
            if !holds(room, thing) {
                found.push(format!("{} is not inside {what}", piece.id));
            }
        };
        expect("the sheet", full, piece.outline.bounds());
        expect("the usable area", sheet.usable, piece.bounds());
        if let Some(reach) = reach.filter(|_| piece.by_machine) {
            expect("the cutter's reach", reach, piece.outline.bounds());
        }
        for (_, face) in [(piece.front, Face::Front), (piece.back, Face::Back)]
            .into_iter()
            .filter(|(is, _)| *is)
        {
            expect(
                "the printer's margins",
                printable(project, sheet, face),
                piece.bounds(),
            );
        }
    }
    found
}

fn holds(room: Rect, thing: Rect) -> bool {
    let room = room.inflate(ALLOWED_MM, ALLOWED_MM);
    room.x0 <= thing.x0 && room.y0 <= thing.y0 && thing.x1 <= room.x1 && thing.y1 <= room.y1
}

/// Outlines keep the gap, and bleed does not run into other bleed, unless both pieces are of the same flat colour.
pub(super) fn apart(project: &Project, pieces: &[Piece<'_>]) -> Vec<String> {
    let gap_mm = project.job.gap.to_mm();
    let boxes: Vec<Rect> = pieces.iter().map(Piece::bounds).collect();
    let mut found = Vec::new();
    for (i, j) in near_pairs(&boxes, gap_mm) {
        let (a, b) = (&pieces[i], &pieces[j]);
        let is_over = overlaps(&a.outline, &b.outline, ALLOWED_MM);
        let far_mm = distance_mm(&a.outline, &b.outline, ALLOWED_MM / 4.0);
        if is_over || far_mm < gap_mm - ALLOWED_MM {
            found.push(format!(
                "{} and {} are {far_mm:.4} mm apart, not {gap_mm:.4} mm",
                a.id, b.id
            ));
        }
        let mut pairs = a
            .with_bleed
            .iter()
            .flat_map(|x| b.with_bleed.iter().map(move |y| (x, y)));
        let is_one_colour = a.flat.is_some() && a.flat == b.flat;
        if !is_one_colour && pairs.any(|(x, y)| overlaps(x, y, ALLOWED_MM)) {
            found.push(format!("the bleeds of {} and {} overlap", a.id, b.id));
        }
    }
    found
}

/// Marks and captions stand free, and ticks keep out of every piece and its bleed.
pub(super) fn furniture(project: &Project, sheet: &Sheet, pieces: &[Piece<'_>]) -> Vec<String> {
    let size = kurbo::Size::new(sheet.width_mm, sheet.height_mm);
    let faces = [(sheet.front, Face::Front), (sheet.back, Face::Back)];
    let captions = faces
        .into_iter()
        .filter(|(printed, _)| printed.is_some())
        .filter_map(|(_, face)| {
            let map = face_from_sheet(face, size, project.job.turn_over);
            sheet
                .caption
                .map(|band| ("the caption".to_owned(), map.transform_rect_bbox(band)))
        });
    let scales = Scales::on(project, size);
    let marks = sheet.marks.iter().flat_map(|mark| {
        let zones = clear_zones(mark, size, scales);
        zones
            .into_iter()
            .map(|zone| (format!("mark {}", mark.id), zone))
    });
    let mut found = Vec::new();
    for (what, zone) in marks.chain(captions) {
        let zone = outline_of(zone);
        let meets = |piece: &&Piece<'_>| {
            piece
                .with_bleed
                .iter()
                .any(|o| overlaps(o, &zone, ALLOWED_MM))
        };
        found.extend(
            pieces
                .iter()
                .filter(meets)
                .map(|piece| format!("{} runs into {what}", piece.id)),
        );
    }
    for tick in &sheet.ticks {
        let line = kurbo::Line::new(tick.from, tick.to);
        let near = kurbo::Shape::bounding_box(&line).inflate(ALLOWED_MM, ALLOWED_MM);
        let meets = |piece: &&Piece<'_>| {
            let covers = |o: &Outline| {
                clip_segment(o, line)
                    .iter()
                    .any(|l| (l.p1 - l.p0).hypot2() > ALLOWED_MM)
            };
            piece.bounds().overlaps(near) && piece.with_bleed.iter().any(covers)
        };
        found.extend(
            pieces
                .iter()
                .filter(meets)
                .map(|piece| format!("tick {} runs into {}", tick.id, piece.id)),
        );
    }
    found
}

fn outline_of(rect: Rect) -> Outline {
    shape::rectangle_over(rect).expect("marks and captions have a size")
}

/// What is cut with a trimmer comes apart by straight cuts from edge to edge.
pub(super) fn comes_apart(project: &Project, sheet: &Sheet, pieces: &[Piece<'_>]) -> Vec<String> {
    let boxes: Vec<Rect> = pieces.iter().map(|p| p.outline.bounds()).collect();
    match project.job.cut_by {
        CutBy::Trimmer if !can_be_parted(&boxes) => {
            vec![format!(
                "the {} pieces do not come apart by cuts from edge to edge",
                sheet.placements.len()
            )]
        }
        CutBy::Trimmer | CutBy::Machine => Vec::new(),
    }
}

fn can_be_parted(boxes: &[Rect]) -> bool {
    if boxes.len() < 2 {
        return true;
    }
    let parted = |end: fn(&Rect) -> f64, start: fn(&Rect) -> f64| {
        boxes.iter().map(end).find_map(|at| {
            let (first, rest): (Vec<Rect>, Vec<Rect>) =
                boxes.iter().partition(|b| end(b) <= at + ALLOWED_MM);
            let is_clean = rest.iter().all(|b| start(b) >= at - ALLOWED_MM);
            (is_clean && !rest.is_empty()).then_some((first, rest))
        })
    };
    let parts = parted(|b| b.x1, |b| b.x0).or_else(|| parted(|b| b.y1, |b| b.y0));
    parts.is_some_and(|(first, rest)| can_be_parted(&first) && can_be_parted(&rest))
}

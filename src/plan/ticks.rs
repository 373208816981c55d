//! Crop and crease ticks: short lines outside the pieces that show where to trim and fold.
//!
//! A tick starts half a millimetre outside the bleed, as crop marks do (common practice, no source), and runs on in line with an edge
//! of the piece's box, which turns with the piece, or with a straight crease. It ends before any other piece's bleed, a mark's clear
//! zone, the caption or the printer's margin; if that leaves less than a millimetre there is none.

use kurbo::{Affine, Line, PathEl, Point, Rect, Vec2};

use super::{PlannedOperation, Tick, TickKind};
use crate::geometry::Outline;
use crate::length::Length;
use crate::math::hypot;
use crate::project::{Face, OperationKind};

const OFFSET_MM: f64 = 0.5;
const LENGTH_MM: f64 = 4.0;
const LEAST_MM: f64 = 1.0;

/// Room in which a tick of 2 mm stands, its distance from the bleed included.
pub(super) const ROOM: Length = Length::from_um(2_500);

/// A crease reaches the edge if going on this far leaves the piece: twice what a reader of the project file lets it fall short.
const BEYOND_EDGE_MM: f64 = 0.02;

/// Ticks nearer together than this at both ends are one.
const SAME_MM: f64 = 0.01;

/// Ticks that run along the edge of something keep clear of it though both are rounded.
const TOUCHES_MM: f64 = 1e-6;

/// A piece as ticks see it.
#[derive(Debug, Clone)]
pub(super) struct Ticked<'a> {
    /// The box whose edges are trimmed, in the piece frame.
    pub(super) trimmed: Rect,
    /// The outline, in the piece frame.
    pub(super) outline: &'a Outline,
    /// Box of the outline with its bleed, in the piece frame.
    pub(super) with_bleed: Rect,
    pub(super) piece_to_sheet: Affine,
    /// Its operations, in the sheet frame.
    pub(super) operations: &'a [PlannedOperation],
}

/// What a tick keeps clear of: a box in a frame of its own.
#[derive(Debug, Clone, Copy)]
struct Zone {
    bounds: Rect,
    from_sheet: Affine,
}

/// Returns the ticks on one face of a sheet; `printable` and `blocked` are in the sheet frame, pieces are blocked by themselves.
pub(super) fn ticks(
    face: Face,
    pieces: &[Ticked<'_>],
    printable: Rect,
    blocked: &[Rect],
) -> Vec<(Face, TickKind, Line)> {
    let own = pieces.iter().map(|p| Zone {
        bounds: p.with_bleed,
        from_sheet: p.piece_to_sheet.inverse(),
    });
    let upright = blocked.iter().map(|bounds| Zone {
        bounds: *bounds,
        from_sheet: Affine::IDENTITY,
    });
    let zones: Vec<Zone> = own.chain(upright).collect();
    let mut found: Vec<(Face, TickKind, Line)> = Vec::new();
    for piece in pieces {
        let crops = crop_rays(piece)
            .into_iter()
            .map(|ray| (TickKind::Crop, ray));
        let creases = crease_rays(piece)
            .into_iter()
            .map(|ray| (TickKind::Crease, ray));
        for (kind, ray) in crops.chain(creases) {
            if let Some(line) = shortened(mapped(piece.piece_to_sheet, ray), printable, &zones)
                && !found
                    .iter()
                    .any(|(_, other_kind, other)| *other_kind == kind && is_same(*other, line))
            {
                found.push((face, kind, line));
            }
        }
    }
    found
}

/// Numbers ticks through.
pub(super) fn numbered(lines: impl IntoIterator<Item = (Face, TickKind, Line)>) -> Vec<Tick> {
    let ticks = lines
        .into_iter()
        .enumerate()
        .map(|(i, (face, kind, line))| Tick {
            id: format!("t{}", i + 1),
            kind,
            face,
            from: line.p0,
            to: line.p1,
        });
    ticks.collect()
}

/// A start and a direction of length 1.
type Ray = (Point, Vec2);

/// A ray in another frame of the same scale.
fn mapped(map: Affine, (from, way): Ray) -> Ray {
    (map * from, map * way.to_point() - map * Point::ORIGIN)
}

/// In the piece frame, like the rays of creases.
fn crop_rays(piece: &Ticked<'_>) -> Vec<Ray> {
    let (b, z) = (piece.trimmed, piece.with_bleed);
    let mut rays = Vec::new();
    for y in [b.y0, b.y1] {
        rays.push((Point::new(z.x0 - OFFSET_MM, y), Vec2::new(-1.0, 0.0)));
        rays.push((Point::new(z.x1 + OFFSET_MM, y), Vec2::new(1.0, 0.0)));
    }
    for x in [b.x0, b.x1] {
        rays.push((Point::new(x, z.y0 - OFFSET_MM), Vec2::new(0.0, -1.0)));
        rays.push((Point::new(x, z.y1 + OFFSET_MM), Vec2::new(0.0, 1.0)));
    }
    rays
}

/// For each straight crease the rays that go on beyond those of its ends that reach the edge of the piece.
fn crease_rays(piece: &Ticked<'_>) -> Vec<Ray> {
    let sheet_to_piece = piece.piece_to_sheet.inverse();
    let creases = piece
        .operations
        .iter()
        .filter(|o| matches!(o.kind, OperationKind::Crease { .. }));
    let lines = creases
        .flat_map(|o| straight_lines(o.path.elements()))
        .map(|line| sheet_to_piece * line);
    let ends = lines.flat_map(|line| [(line.p0, line.p0 - line.p1), (line.p1, line.p1 - line.p0)]);
    let rays = ends.filter_map(|(end, way)| {
        let way = way / hypot(way.x, way.y);
        let beyond = end + way * BEYOND_EDGE_MM;
        let leaves = leaving_mm(end, way, piece.with_bleed)?;
        (!piece.outline.contains(beyond)).then(|| (end + way * (leaves + OFFSET_MM), way))
    });
    rays.collect()
}

/// The subpaths that are one straight line.
fn straight_lines(elements: &[PathEl]) -> Vec<Line> {
    let mut lines = Vec::new();
    for (i, pair) in elements.windows(2).enumerate() {
        let ends_there = matches!(elements.get(i + 2), None | Some(PathEl::MoveTo(_)));
        if let [PathEl::MoveTo(from), PathEl::LineTo(to)] = pair
            && ends_there
            && (*to - *from).hypot2() > SAME_MM * SAME_MM
        {
            lines.push(Line::new(*from, *to));
        }
    }
    lines
}

/// How far along `way` a ray from a point in `zone` leaves it.
fn leaving_mm(from: Point, way: Vec2, zone: Rect) -> Option<f64> {
    let along = |at: f64, step: f64, low: f64, high: f64| {
        if step > TOUCHES_MM {
            Some((high - at) / step)
        } else if step < -TOUCHES_MM {
            Some((low - at) / step)
        } else {
            None
        }
    };
    let x = along(from.x, way.x, zone.x0, zone.x1);
    let y = along(from.y, way.y, zone.y0, zone.y1);
    match (x, y) {
        (Some(x), Some(y)) => Some(x.min(y)),
        (one, other) => one.or(other),
    }
}

/// The tick along a ray up to the first thing in its way.
fn shortened((from, way): Ray, printable: Rect, zones: &[Zone]) -> Option<Line> {
    let met = zones
        .iter()
        .filter_map(|zone| meeting_mm(mapped(zone.from_sheet, (from, way)), zone.bounds))
        .fold(LENGTH_MM, f64::min);
    let margin = if printable.contains(from) {
        leaving_mm(from, way, printable)?
    } else {
        0.0
    };
    let length = met.min(margin);
    (length >= LEAST_MM).then(|| Line::new(from, from + way * length))
}

/// Where a ray first meets a box, both in its frame.
fn meeting_mm((from, way): Ray, zone: Rect) -> Option<f64> {
    let mut span = (0.0_f64, LENGTH_MM);
    for (at, step, low, high) in [
        (from.x, way.x, zone.x0, zone.x1),
        (from.y, way.y, zone.y0, zone.y1),
    ] {
        if step.abs() > TOUCHES_MM {
            let (a, b) = ((low - at) / step, (high - at) / step);
            span = (span.0.max(a.min(b)), span.1.min(a.max(b)));
        } else if at < low - TOUCHES_MM || at > high + TOUCHES_MM {
            return None;
        }
    }
    (span.0 <= span.1).then_some(span.0)
}

fn is_same(a: Line, b: Line) -> bool {
    let near = |p: Point, q: Point| hypot(p.x - q.x, p.y - q.y) <= SAME_MM;
    (near(a.p0, b.p0) && near(a.p1, b.p1)) || (near(a.p0, b.p1) && near(a.p1, b.p0))
}

#[cfg(test)]
mod tests {
    use kurbo::BezPath;

    use super::*;
    use crate::geometry::shape::rectangle;
    use crate::project::{Fold, Maker};

    const LETTER: Rect = Rect::new(6.35, 6.35, 209.55, 273.05);

    fn crease(path: &str) -> PlannedOperation {
        PlannedOperation {
            id: "packet#1.crease-1".to_owned(),
            kind: OperationKind::Crease { fold: Fold::Valley },
            by: Maker::Machine,
            path: BezPath::from_svg(path).unwrap(),
            nicks: None,
        }
    }

    /// A card of 60 x 40 at (50, 60) with 3 mm of bleed.
    fn found(
        operations: &[PlannedOperation],
        printable: Rect,
        blocked: &[Rect],
    ) -> Vec<(TickKind, Line)> {
        let card = rectangle(60.0, 40.0).unwrap();
        let piece = Ticked {
            trimmed: card.bounds(),
            outline: &card,
            with_bleed: card.bounds().inflate(3.0, 3.0),
            piece_to_sheet: Affine::translate((50.0, 60.0)),
            operations,
        };
        let found = ticks(Face::Front, &[piece], printable, blocked);
        found
            .into_iter()
            .map(|(_, kind, line)| (kind, line))
            .collect()
    }

    fn creases(operations: &[PlannedOperation]) -> Vec<Line> {
        let found = found(operations, LETTER, &[]).into_iter();
        found
            .filter(|(kind, _)| *kind == TickKind::Crease)
            .map(|(_, line)| line)
            .collect()
    }

    fn near(a: Line, b: Line) -> bool {
        (a.p0 - b.p0).hypot2() < 1e-18 && (a.p1 - b.p1).hypot2() < 1e-18
    }

    #[test]
    fn a_lone_piece_has_eight_crop_ticks_outside_its_bleed() {
        let found = found(&[], LETTER, &[]);
        assert_eq!(found.len(), 8);
        // At the top left corner (50, 60): from 3 + 0.5 outside, 4 long.
        assert!(near(found[0].1, Line::new((46.5, 60.0), (42.5, 60.0))));
        assert!(near(found[4].1, Line::new((50.0, 56.5), (50.0, 52.5))));
    }

    #[test]
    fn ticks_end_before_a_neighbour_and_vanish_below_a_millimetre() {
        let with = |x: f64| found(&[], LETTER, &[Rect::new(x, 0.0, 200.0, 279.4)]);
        // To the right they start at 113.5: 2 mm are left before 115.5, and 0.9 mm before 114.4.
        assert!(near(
            with(115.5)[1].1,
            Line::new((113.5, 60.0), (115.5, 60.0))
        ));
        assert_eq!((with(115.5).len(), with(114.4).len()), (8, 6));
    }

    #[test]
    fn ticks_stay_inside_the_printers_margins() {
        let found = found(&[], Rect::new(44.0, 6.35, 209.55, 273.05), &[]);
        assert!(near(found[0].1, Line::new((46.5, 60.0), (44.0, 60.0))));
    }

    #[test]
    fn a_crease_from_edge_to_edge_has_a_tick_at_each_end() {
        let found = creases(&[crease("M50 75 H110"), crease("M60 90 H100")]);
        assert_eq!(found.len(), 2);
        assert!(near(found[0], Line::new((46.5, 75.0), (42.5, 75.0))));
        assert!(near(found[1], Line::new((113.5, 75.0), (117.5, 75.0))));
    }

    #[test]
    fn one_tick_stands_for_two_creases_in_line() {
        assert_eq!(
            creases(&[crease("M50 75 H80"), crease("M50 75 H110")]).len(),
            2
        );
    }

    /// By hand: a turn by 30 degrees clockwise takes right to (cos 30, sin 30) and down to (-sin 30, cos 30). The first tick starts
    /// at (-3.5, 0) of the card, which is (-3.5 cos 30, -3.5 sin 30) from its origin, and ends 4 mm farther out.
    #[test]
    fn ticks_turn_with_their_piece_and_keep_clear_of_its_turned_neighbour() {
        let card = rectangle(60.0, 40.0).unwrap();
        let (sin, cos) = crate::math::Angle::from_deg(30.0).sin_cos();
        let turn = Affine::new([cos, sin, -sin, cos, 100.0, 60.0]);
        let at = |x: f64| Ticked {
            trimmed: card.bounds(),
            outline: &card,
            with_bleed: card.bounds().inflate(3.0, 3.0),
            piece_to_sheet: turn * Affine::translate((x, 0.0)),
            operations: &[],
        };
        let found = ticks(Face::Front, &[at(0.0)], LETTER, &[]);
        assert_eq!(found.len(), 8);
        let out = |mm: f64| Point::new(100.0 - mm * cos, 60.0 - mm * sin);
        assert!(
            near(found[0].2, Line::new(out(3.5), out(7.5))),
            "{:?}",
            found[0]
        );
        // 60 wide and 8 apart in their own frame: bleeds of 3 leave 2 mm, half of one of which a tick keeps off its own piece; in
        // their upright boxes they overlap.
        let found = ticks(Face::Front, &[at(0.0), at(68.0)], LETTER, &[]);
        let between = found.iter().filter(|(_, _, line)| {
            let middle = turn.inverse() * line.midpoint();
            middle.x > 63.0 && middle.x < 65.0
        });
        let lengths: Vec<f64> = between
            .map(|(_, _, line)| hypot(line.p1.x - line.p0.x, line.p1.y - line.p0.y))
            .collect();
        assert_eq!(lengths.len(), 4);
        assert!(
            lengths.iter().all(|mm| (mm - 1.5).abs() < 1e-9),
            "{lengths:?}"
        );
    }
}

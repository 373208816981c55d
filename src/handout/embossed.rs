//! Where paper is embossed: creases there are pressed flat and made again.

use kurbo::{BezPath, Line, Rect, Shape};

use crate::geometry::Outline;
use crate::geometry::clip_line::clip_segment;
use crate::math::{FLATTEN_MM, VERIFY_MM, hypot};
use crate::project::{Piece, TreatedPlace, TreatmentKind};

/// How much of a crease may be embossed before it is made again, in mm.
const TOUCHED_MM: f64 = 0.1;

/// Returns whether any of these creases of a piece runs across something embossed, or along its edge.
pub(super) fn is_crossed(piece: &Piece, operations: &[usize]) -> bool {
    let embossed = piece
        .treatments
        .iter()
        .filter(|t| matches!(t.kind, TreatmentKind::Embossed(_)));
    let lines: Vec<Line> = operations
        .iter()
        .flat_map(|i| straightened(&piece.operations[*i].path))
        .collect();
    embossed
        .map(|treatment| &treatment.place)
        .any(|place| lines.iter().any(|line| is_on(piece, place, *line)))
}

fn straightened(path: &BezPath) -> Vec<Line> {
    let lines = crate::geometry::flattened(path, FLATTEN_MM);
    let pairs = |points: &Vec<kurbo::Point>| {
        let pairs = points.windows(2).map(|pair| Line::new(pair[0], pair[1]));
        pairs.collect::<Vec<_>>()
    };
    lines.iter().flat_map(pairs).collect()
}

fn is_on(piece: &Piece, place: &TreatedPlace, line: Line) -> bool {
    match place {
        TreatedPlace::Whole => true,
        TreatedPlace::Panels(names) => piece
            .panels
            .iter()
            .filter(|panel| names.contains(&panel.name))
            .any(|panel| length_in(panel.bounds_mm, line) > TOUCHED_MM),
        TreatedPlace::Area(area) => length_in_area(area, line) > TOUCHED_MM,
    }
}

/// How much of a line lies in a box or along its edge, in mm.
fn length_in(bounds: Rect, line: Line) -> f64 {
    let grown = bounds.inflate(VERIFY_MM, VERIFY_MM);
    Outline::new(&grown.to_path(FLATTEN_MM), FLATTEN_MM).map_or(0.0, |o| length_on(&o, line))
}

/// How much of a line lies in an area, in mm; an area that is no outline counts by its box.
fn length_in_area(area: &BezPath, line: Line) -> f64 {
    match Outline::new(area, VERIFY_MM) {
        Ok(outline) => length_on(&outline, line),
        Err(_) => length_in(area.bounding_box(), line),
    }
}

fn length_on(outline: &Outline, line: Line) -> f64 {
    let on = clip_segment(outline, line);
    let length_mm = |part: &Line| hypot(part.p1.x - part.p0.x, part.p1.y - part.p0.y);
    on.iter().map(length_mm).sum()
}

//! The shape of a piece, and where its places go.

use kurbo::{BezPath, PathEl, Point};

use super::axis_map::AxisMap;
use super::units::{Units, nearest_size};
use super::work::{Frame, Work};
use crate::geometry::path_data::{parse_path_data, to_path_data};
use crate::length::{Length, MM_PER_INCH, Parted, typed_lengths};
use crate::load::retyped::Named;
use crate::project::{Axis, Piece};

/// How far a line may lean and still count as upright or level, in millimetres.
const UPRIGHT_MM: f64 = 1e-6;

/// Decimals in path data: a tenth of a micrometre, and a quarter of one.
const MM_DECIMALS: usize = 4;
const INCH_DECIMALS: usize = 5;

/// Characters after which path data goes on in the next line.
const LINE: usize = 90;

/// Restates the shape of a piece and returns where its places go.
pub(super) fn shape(work: &mut Work<'_>, table: &Named<'_>, piece: &Piece) -> Frame {
    match table.node.text("kind") {
        Some("strip") => strip(work, table, piece),
        Some("path") => path(work, table, piece),
        Some("svg") => drawn(work, table, piece),
        Some("polygon" | "circle") => round(work, table, piece),
        Some(_) | None => upright(work, table, piece),
    }
}

/// Where the places of a piece go that has a box and creases, and no more is known of.
pub(super) fn frame_of(work: &mut Work<'_>, piece: &Piece) -> Frame {
    let (x, y) = knots(piece);
    work.frame(piece, &x, &y)
}

/// The ends of its box and its level and upright lines, along x and y.
fn knots(piece: &Piece) -> (Vec<Length>, Vec<Length>) {
    let bounds = piece.outline.bounds();
    let mut x = vec![Length::ZERO, Length::nearest_mm(bounds.width())];
    let mut y = vec![Length::ZERO, Length::nearest_mm(bounds.height())];
    for operation in &piece.operations {
        if let [PathEl::MoveTo(from), PathEl::LineTo(to)] = *operation.path.elements() {
            if (from.x - to.x).abs() < UPRIGHT_MM {
                x.push(Length::nearest_mm(from.x));
            } else if (from.y - to.y).abs() < UPRIGHT_MM {
                y.push(Length::nearest_mm(from.y));
            }
        }
    }
    (x, y)
}

/// Rectangles and ellipses.
fn upright(work: &mut Work<'_>, table: &Named<'_>, piece: &Piece) -> Frame {
    let frame = frame_of(work, piece);
    work.place(table, "width", &[Axis::X], &frame);
    work.place(table, "height", &[Axis::Y], &frame);
    let ends = [frame.maps[0].end(), frame.maps[1].end()];
    work.each(table, "size", Parted::ByTimes, |i, length| {
        ends.get(i).copied().unwrap_or(length)
    });
    work.easy(table, "radius");
    frame
}

/// Circles and polygons, which have one size.
fn round(work: &mut Work<'_>, table: &Named<'_>, piece: &Piece) -> Frame {
    let bounds = piece.outline.bounds();
    let step = work.target.grid;
    let mut ratio = 1.0;
    for key in ["diameter", "side", "across_corners", "across_flats"] {
        let old = table.node.text(key).and_then(one);
        work.size(table, key);
        if let Some(old) = old.filter(|_| is_foreign(work, table, key)) {
            ratio = nearest_size(old, step).to_mm() / old.to_mm();
        }
    }
    let grown = |mm: f64| Length::nearest_mm(mm * ratio);
    let map = |mm: f64| AxisMap::even(Length::nearest_mm(mm), grown(mm), step);
    Frame {
        maps: [map(bounds.width()), map(bounds.height())],
    }
}

/// A shape from a file, which keeps its proportions.
fn drawn(work: &mut Work<'_>, table: &Named<'_>, piece: &Piece) -> Frame {
    let bounds = piece.outline.bounds();
    let old = Length::nearest_mm(bounds.width());
    let is_kept = table.node.text("width").is_some() && !is_foreign(work, table, "width");
    let new = if is_kept {
        old
    } else {
        nearest_size(old, work.target.grid)
    };
    if new != old {
        let units = work.target.units;
        let was = table
            .node
            .text("width")
            .map_or_else(|| units.spelled(old), str::to_owned);
        work.retyped.set(table, "width", &was, &units.spelled(new));
    }
    let ratio = new.to_mm() / old.to_mm();
    let step = work.target.grid;
    let grown = |mm: f64| Length::nearest_mm(mm * ratio);
    let map = |mm: f64| AxisMap::even(Length::nearest_mm(mm), grown(mm), step);
    Frame {
        maps: [map(bounds.width()), map(bounds.height())],
    }
}

/// Whether a key is in other units than wanted.
fn is_foreign(work: &Work<'_>, table: &Named<'_>, key: &str) -> bool {
    let text = table.node.text(key).unwrap_or_default();
    let units = work.target.units;
    units
        .respelled(text, Parted::ByTimes, |_, typed| typed.length)
        .is_some()
}

fn one(text: &str) -> Option<Length> {
    Some(typed_lengths(text, Parted::ByTimes)?.first()?.length)
}

/// A strip: its creases are places, and its panels what lies between them.
fn strip(work: &mut Work<'_>, table: &Named<'_>, piece: &Piece) -> Frame {
    let frame = frame_of(work, piece);
    let (along, across) = match table.node.text("along") {
        Some("y") => (Axis::Y, Axis::X),
        Some(_) | None => (Axis::X, Axis::Y),
    };
    let map = frame.map(along).clone();
    work.place(table, "across", &[across], &frame);
    work.each(table, "creases_at", Parted::ByTimes, |_, at| map.place(at));
    work.each(table, "length", Parted::ByTimes, |_, _| map.end());
    let (mut old, mut new) = (Length::ZERO, Length::ZERO);
    work.each(table, "panels", Parted::ByTimes, |_, panel| {
        let before = new;
        old = old + panel;
        new = map.place(old);
        new - before
    });
    work.easy(table, "snip");
    frame
}

/// A net drawn by hand.
fn path(work: &mut Work<'_>, table: &Named<'_>, piece: &Piece) -> Frame {
    let frame = frame_of(work, piece);
    let Some((old, unit_mm)) = table.node.text("data").zip(unit_mm(table)) else {
        return frame;
    };
    if work.target.units == unit_of(unit_mm) {
        return frame;
    }
    let Ok(parsed) = parse_path_data(old, unit_mm) else {
        return frame;
    };
    // The piece frame has its origin at the corner of the outline's box.
    let corner = kurbo::Shape::bounding_box(&parsed).origin();
    let moved = kurbo::Affine::translate(-corner.to_vec2()) * parsed;
    write_path(work, table, "data", &moved, &frame);
    let bounds = piece.outline.bounds();
    let show = |width: Length, height: Length| {
        let units = work.target.units;
        format!("{} x {}", units.spelled(width), units.spelled(height))
    };
    let before = show(
        Length::nearest_mm(bounds.width()),
        Length::nearest_mm(bounds.height()),
    );
    let after = show(frame.maps[0].end(), frame.maps[1].end());
    work.retyped.tell(table, "data", &before, &after);
    frame
}

/// Restates the path of an operation.
pub(super) fn operation_path(work: &mut Work<'_>, table: &Named<'_>, frame: &Frame) {
    let Some((old, unit_mm)) = table.node.text("path").zip(unit_mm(table)) else {
        return;
    };
    if work.target.units == unit_of(unit_mm) {
        return;
    }
    if let Ok(path) = parse_path_data(old, unit_mm) {
        write_path(work, table, "path", &path, frame);
    }
}

fn unit_mm(table: &Named<'_>) -> Option<f64> {
    match table.node.text("unit") {
        Some("in") => Some(MM_PER_INCH),
        Some("mm") => Some(1.0),
        Some(_) | None => None,
    }
}

fn unit_of(unit_mm: f64) -> Units {
    if unit_mm > 1.0 {
        Units::Inch
    } else {
        Units::Metric
    }
}

/// Writes a path of the piece frame, its corners on the ruler and its curves drawn along.
fn write_path(work: &mut Work<'_>, table: &Named<'_>, key: &str, path: &BezPath, frame: &Frame) {
    let corner = |p: Point| moved(p, frame, AxisMap::place);
    let handle = |p: Point| moved(p, frame, AxisMap::along);
    let elements = path.elements().iter().map(|element| match *element {
        PathEl::MoveTo(p) => PathEl::MoveTo(corner(p)),
        PathEl::LineTo(p) => PathEl::LineTo(corner(p)),
        PathEl::QuadTo(a, p) => PathEl::QuadTo(handle(a), corner(p)),
        PathEl::CurveTo(a, b, p) => PathEl::CurveTo(handle(a), handle(b), corner(p)),
        PathEl::ClosePath => PathEl::ClosePath,
    });
    let new: BezPath = elements.collect();
    let (unit, per_unit, decimals) = match work.target.units {
        Units::Inch => ("in", MM_PER_INCH, INCH_DECIMALS),
        Units::Metric => ("mm", 1.0, MM_DECIMALS),
    };
    let data = to_path_data(&(kurbo::Affine::scale(1.0 / per_unit) * new), decimals);
    work.retyped
        .write(table.node.steps_to(key), &in_lines(&data));
    work.retyped.write(table.node.steps_to("unit"), unit);
}

fn moved(point: Point, frame: &Frame, how: impl Fn(&AxisMap, Length) -> Length) -> Point {
    let [x, y] = &frame.maps;
    Point::new(
        how(x, Length::nearest_mm(point.x)).to_mm(),
        how(y, Length::nearest_mm(point.y)).to_mm(),
    )
}

/// Breaks path data before commands.
fn in_lines(data: &str) -> String {
    let mut lines = String::new();
    let mut length = 0;
    for word in data.split(' ') {
        let is_command = word.starts_with(|c: char| c.is_ascii_alphabetic());
        if is_command && length > LINE {
            lines.push('\n');
            length = 0;
        } else if !lines.is_empty() {
            lines.push(' ');
        }
        lines += word;
        length += word.len() + 1;
    }
    lines
}

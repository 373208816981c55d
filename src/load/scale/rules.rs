//! Which sizes grow with the object and which do not.

use std::collections::BTreeMap;

use super::frame::Frame;
use super::path_text::{is_on_ruler_path, scaled_path};
use super::ruler::{in_unit, is_on_ruler, rounded};
use super::strip::strip;
use super::work::Work;
use super::{Factor, Rounding};
use crate::construct::{self, ParameterKind};
use crate::geometry::path_data::parse_path_data;
use crate::length::{Length, LengthUnit, MM_PER_INCH, Parted, respelled, typed_lengths};
use crate::load::retyped::{Named, Node, named};
use crate::project::{Axis, Project};

pub(super) const TAB: &str = "a glue tab stays as wide as glue needs it";
const HOLE: &str = "a hole fits what goes through it";
const REVEAL: &str = "a margin all round is wished as it is";
const STACK: &str = "it is as thick as it is";
const BLEED: &str = "it makes up for the cut, which is no better on a larger piece";
const SHEET: &str = "it belongs to the sheet";
const PAPER: &str = "the paper stays the same";
const DASH: &str = "the paper's strength asks for it";
const TOOL: &str = "the tool makes it as large as it makes it";
const FLUSH: &str = "it is what the hand needs to trim";
const BOUGHT: &str = "see how long it has to be now";
const FIT: &str = "it is a flap, a clearance or the like, which fits at any size";

/// The sizes of shapes that are typed as one length, or two.
const SHAPE_SIZES: [&str; 8] = [
    "size",
    "width",
    "height",
    "radius",
    "diameter",
    "side",
    "across_corners",
    "across_flats",
];

/// Scales all of a project.
pub(super) fn project(work: &mut Work, root: &Node<'_>, project: &Project) {
    for node in root.nodes("part") {
        part(work, &named(node));
    }
    let mut frames = BTreeMap::new();
    for node in root.nodes("piece") {
        let table = named(node);
        let frame = piece(work, &table, project);
        frames.insert(table.of.clone(), frame);
    }
    for node in root.nodes("assembly") {
        assembly(work, &named(node));
    }
    for node in root.nodes("edition") {
        for artwork_table in named(node).list("artwork") {
            let frame = artwork_table
                .node
                .text("piece")
                .and_then(|id| frames.get(id));
            let even = Frame::even(work.by, false);
            artwork(work, &artwork_table, frame.unwrap_or(&even));
        }
    }
    keep_of_sheets(work, root);
}

/// What belongs to paper and sheets.
fn keep_of_sheets(work: &mut Work, root: &Node<'_>) {
    if let Some(node) = root.node("job") {
        let job = Named::new(node, "job");
        work.keep(&job, "bleed", BLEED);
        work.keep(&job, "gap", SHEET);
        if let Some(nicks) = job.inner("nicks") {
            work.keep(&nicks, "length", DASH);
        }
    }
    for node in root.nodes("stock") {
        work.keep(&named(node), "caliper", PAPER);
    }
    for node in root.nodes("supply") {
        work.keep(&named(node), "length", BOUGHT);
    }
    for (number, node) in (1..).zip(root.nodes("pin")) {
        let pin = Named::new(node, &format!("pin {number}"));
        work.keep(&pin, "x", SHEET);
        work.keep(&pin, "y", SHEET);
    }
}

/// Scales what a construction is asked for.
fn part(work: &mut Work, table: &Named<'_>) {
    for key in ["inside", "outside", "contents"] {
        work.grow(table, key);
    }
    work.keep(table, "ease", FIT);
    let kind = table.node.text("construction").and_then(construct::named);
    for parameter in kind.into_iter().flat_map(|kind| kind.parameters) {
        let is_length = match parameter.kind {
            ParameterKind::Length | ParameterKind::Pair | ParameterKind::Lengths => true,
            ParameterKind::Count | ParameterKind::Choice(_) | ParameterKind::Flag => false,
        };
        if !is_length {
            continue;
        }
        let is_given =
            table.node.text(parameter.key).is_some() || table.node.texts(parameter.key).is_some();
        match (parameter.scales, is_given) {
            (true, _) => work.grow(table, parameter.key),
            (false, true) => work.keep(table, parameter.key, FIT),
            (false, false) => work.keep_value(table, parameter.key, None, FIT),
        }
    }
    for piece in table.list("piece") {
        let frame = Frame::even(work.by, false);
        operations(work, &piece, &frame);
        treatments(work, &piece, &frame);
        for table in piece.list("artwork") {
            artwork(work, &table, &frame);
        }
    }
}

/// Scales a piece and returns where its places go.
fn piece(work: &mut Work, table: &Named<'_>, project: &Project) -> Frame {
    let on_ruler = work.rounding == Rounding::ToRuler && is_all_on_ruler(table);
    let mut frame = Frame::even(work.by, on_ruler);
    if table.inner("finish").is_some() {
        return keep_of_tool(work, table);
    }
    if let Some(shape_table) = table.inner("shape") {
        frame = shape(work, &shape_table, frame, project);
    }
    operations(work, table, &frame);
    treatments(work, table, &frame);
    for panel in table.list("panel") {
        let own = on_own_ruler(work, &panel, &frame);
        place(work, &panel, "at", &[Axis::X, Axis::Y], &own);
    }
    if is_drawn_net(table) {
        work.whole.push(table.of.clone());
    }
    for table in table.list("artwork") {
        artwork(work, &table, &frame);
    }
    if let Some(mount) = table.inner("mount") {
        work.grow_point(&mount, "offset");
        work.keep(&mount, "reveal", REVEAL);
        work.keep(&mount, "standoff", STACK);
        work.keep(&mount, "oversize", FLUSH);
    }
    if let Some(nicks) = table.inner("nicks") {
        work.keep(&nicks, "length", DASH);
    }
    frame
}

/// What a punch or a die makes is as large as ever, and so is the rough piece it is made from.
fn keep_of_tool(work: &mut Work, table: &Named<'_>) -> Frame {
    if let Some(shape) = table.inner("shape") {
        for key in SHAPE_SIZES {
            work.keep(&shape, key, TOOL);
        }
    }
    Frame::even(Factor::ONE, false)
}

/// Moves areas with something done to them; what embossed paper measures stays.
fn treatments(work: &mut Work, table: &Named<'_>, frame: &Frame) {
    for own in table.list("treat") {
        place(work, &own, "at", &[Axis::X, Axis::Y], frame);
        grow_as(work, &own, "size", frame.is_on_ruler);
        work.keep(&own, "caliper", PAPER);
    }
}

/// Moves what is put together, and scales what its drawn nets leave between them; glue and tolerance stay.
fn assembly(work: &mut Work, table: &Named<'_>) {
    let even = Frame::even(work.by, false);
    work.keep(table, "tolerance", FIT);
    for member in table.list("member") {
        place(work, &member, "at", &[Axis::X, Axis::Y], &even);
        grow_as(work, &member, "height", false);
    }
    for joint in table.list("joint") {
        for key in ["gap", "inset", "depth", "travel"] {
            grow_as(work, &joint, key, false);
        }
        if let Some(clearance) = joint.inner("clearance") {
            for axis in ["x", "y", "z"] {
                grow_as(work, &clearance, axis, false);
            }
        }
        work.keep(&joint, "glue", STACK);
        path(work, &joint, "area", &even);
    }
    for free in table.list("free") {
        path(work, &free, "area", &even);
    }
}

/// Whether a piece is folded and drawn as one outline, in which nothing tells flaps and clearances from the rest.
fn is_drawn_net(table: &Named<'_>) -> bool {
    let kind = table
        .inner("shape")
        .and_then(|shape| shape.node.text("kind"));
    let is_folded = |operation: &Named<'_>| operation.node.text("kind") == Some("crease");
    matches!(kind, Some("path" | "svg")) && table.list("operation").iter().any(is_folded)
}

/// Whether every length of a piece that grows lies on a ruler, so that all of them may be rounded and still fit one another.
fn is_all_on_ruler(table: &Named<'_>) -> bool {
    let are_on_ruler = |node: &Node<'_>, keys: &[&str], parted| {
        let texts = keys.iter().flat_map(|key| {
            let one = node.text(key).into_iter();
            one.chain(node.texts(key).unwrap_or_default())
        });
        let mut lengths = texts.filter_map(|text| typed_lengths(text, parted));
        lengths.all(|lengths| lengths.iter().all(|typed| is_on_ruler(*typed)))
    };
    let is_path_on_ruler = |node: &Node<'_>, key: &str| {
        let path = node.text(key).zip(unit(node));
        path.is_none_or(|(text, unit)| is_on_ruler_path(text, unit))
    };
    let is_shape_on_ruler = table.inner("shape").is_none_or(|shape| {
        let strip = ["across", "panels", "creases_at", "length"];
        are_on_ruler(&shape.node, &SHAPE_SIZES, Parted::ByTimes)
            && are_on_ruler(&shape.node, &strip, Parted::ByTimes)
            && is_path_on_ruler(&shape.node, "data")
    });
    is_shape_on_ruler
        && table.list("operation").iter().all(|operation| {
            are_on_ruler(&operation.node, &["at_x", "at_y"], Parted::ByTimes)
                && are_on_ruler(&operation.node, &["from", "to", "at"], Parted::ByComma)
                && is_path_on_ruler(&operation.node, "path")
        })
}

fn unit(node: &Node<'_>) -> Option<LengthUnit> {
    match node.text("unit") {
        Some("in") => Some(LengthUnit::Inch),
        Some("mm") => Some(LengthUnit::Millimetre),
        Some(_) | None => None,
    }
}

fn shape(work: &mut Work, table: &Named<'_>, frame: Frame, project: &Project) -> Frame {
    match table.node.text("kind") {
        Some("strip") => strip(work, table, frame),
        Some("path") => {
            path(work, table, "data", &frame);
            frame
        }
        Some("svg") if table.node.text("width").is_none() => {
            give_width(work, table, project);
            frame
        }
        Some(_) | None => {
            for key in SHAPE_SIZES {
                grow_as(work, table, key, frame.is_on_ruler);
            }
            frame
        }
    }
}

/// Scales a size of a piece: its lengths are rounded together or not at all.
pub(super) fn grow_as(work: &mut Work, table: &Named<'_>, key: &str, is_on_ruler: bool) {
    let by = work.by;
    let new = |text: &str| {
        respelled(text, Parted::ByTimes, |typed| {
            rounded(by.times(typed.length), typed, is_on_ruler)
        })
    };
    if let Some(old) = table.node.text(key) {
        if let Some(new) = new(old) {
            work.retyped.set(table, key, old, &new);
        }
    } else if let Some(old) = table.node.texts(key) {
        let new: Option<Vec<_>> = old.iter().map(|text| new(text)).collect();
        if let Some(new) = new {
            work.retyped.set_list(table, key, &old, &new);
        }
    }
}

/// Writes the width of a shape that had the true size of its file.
fn give_width(work: &mut Work, table: &Named<'_>, project: &Project) {
    let piece = project.pieces.iter().find(|piece| piece.id == table.of);
    let Some(piece) = piece else {
        return;
    };
    let old = Length::nearest_mm(piece.outline.bounds().width());
    let show = |length: Length| length.decimal(LengthUnit::Millimetre, 3) + " mm";
    let new = show(work.by.times(old));
    work.retyped.set(table, "width", &show(old), &new);
}

/// Scales path data; what is told of it is the size of its box.
fn path(work: &mut Work, table: &Named<'_>, key: &str, frame: &Frame) {
    let Some((old, unit)) = table.node.text(key).zip(unit(&table.node)) else {
        return;
    };
    let even = Frame::even(work.by, frame.is_on_ruler);
    let new = scaled_path(old, unit, frame, &even);
    work.retyped.write(table.node.steps_to(key), &new);
    work.retyped
        .tell(table, key, &box_of(old, unit), &box_of(&new, unit));
}

fn box_of(path: &str, unit: LengthUnit) -> String {
    let unit_mm = if unit == LengthUnit::Inch {
        MM_PER_INCH
    } else {
        1.0
    };
    let Ok(path) = parse_path_data(path, unit_mm) else {
        return String::new();
    };
    let bounds = kurbo::Shape::bounding_box(&path);
    let show = |mm| in_unit(unit, Length::nearest_mm(mm));
    format!("{} x {}", show(bounds.width()), show(bounds.height()))
}

/// Moves what is done to a piece.
fn operations(work: &mut Work, table: &Named<'_>, frame: &Frame) {
    for operation in table.list("operation") {
        place(work, &operation, "at_x", &[Axis::X], frame);
        place(work, &operation, "at_y", &[Axis::Y], frame);
        for key in ["from", "to", "at"] {
            place(work, &operation, key, &[Axis::X, Axis::Y], frame);
        }
        path(work, &operation, "path", frame);
        work.keep(&operation, "diameter", HOLE);
        work.keep(&operation, "cut_length", DASH);
        work.keep(&operation, "gap", DASH);
    }
}

/// Moves a place.
fn place(work: &mut Work, table: &Named<'_>, key: &str, axes: &[Axis], frame: &Frame) {
    let Some(old) = table.node.text(key) else {
        return;
    };
    let parted = if axes.len() == 1 {
        Parted::ByTimes
    } else {
        Parted::ByComma
    };
    let mut axes = axes.iter();
    let new = respelled(old, parted, |typed| match axes.next() {
        Some(axis) => frame.place(*axis, typed),
        None => typed.length,
    });
    if let Some(new) = new {
        work.retyped.set(table, key, old, &new);
    }
}

/// Scales a picture and moves it; each of its lengths is on a ruler of its own.
fn artwork(work: &mut Work, table: &Named<'_>, frame: &Frame) {
    // A repeat that is a length is a pattern's.
    for key in ["width", "box", "size", "repeat"] {
        work.grow(table, key);
    }
    if frame.is_uneven() {
        let own = on_own_ruler(work, table, frame);
        place(work, table, "at", &[Axis::X, Axis::Y], &own);
    } else {
        work.grow_point(table, "at");
    }
    work.keep(table, "bleed", BLEED);
}

/// The frame for a place that is rounded or not whatever the rest of its piece is.
fn on_own_ruler(work: &Work, table: &Named<'_>, frame: &Frame) -> Frame {
    let mut own = frame.clone();
    own.is_on_ruler = work.rounding == Rounding::ToRuler && is_place_on_ruler(table);
    own
}

fn is_place_on_ruler(table: &Named<'_>) -> bool {
    let at = table.node.text("at");
    let lengths = at.and_then(|text| typed_lengths(text, Parted::ByComma));
    lengths.is_some_and(|lengths| lengths.iter().all(|typed| is_on_ruler(*typed)))
}

//! Which key of a project file is what: a size or a place on the ruler, a margin that takes an easy number, or something that stays.

use std::collections::BTreeMap;

use super::shape;
use super::work::{Frame, Work};
use crate::construct::{self, ParameterKind};
use crate::length::{Length, LengthUnit, Parted, TypedLength, typed_lengths};
use crate::load::retyped::{Named, Node, named};
use crate::project::{Axis, Piece, Project};

/// Restates all of a project.
pub(super) fn project(work: &mut Work<'_>, root: &Node<'_>, project: &Project) {
    show_lengths(work, root);
    for node in root.nodes("part") {
        part(work, &named(node));
    }
    let mut frames = BTreeMap::new();
    for node in root.nodes("piece") {
        let table = named(node);
        let of = project.pieces.iter().find(|piece| piece.id == table.of);
        if let Some(of) = of {
            frames.insert(table.of.clone(), piece(work, &table, of));
        }
    }
    for node in root.nodes("edition") {
        for table in named(node).list("artwork") {
            let frame = table.node.text("piece").and_then(|id| frames.get(id));
            artwork(work, &table, frame);
        }
    }
    for node in root.nodes("assembly") {
        for member in named(node).list("member") {
            work.point(&member, "at");
        }
    }
    for node in root.nodes("supply") {
        let table = named(node);
        work.easy(&table, "overlap");
        enough(work, &table, "length");
    }
}

fn show_lengths(work: &mut Work<'_>, root: &Node<'_>) {
    let Some(node) = root.node("job") else {
        return;
    };
    let table = named(node);
    let new = work.target.units.show_lengths();
    if table.node.text("show_lengths") != Some(new) {
        work.retyped.write(table.node.steps_to("show_lengths"), new);
    }
}

/// What is cut off a roll: no shorter than it was, in half inches or half centimetres.
fn enough(work: &mut Work<'_>, table: &Named<'_>, key: &str) {
    let step = match work.target.units {
        super::Units::Inch => Length::from_inch_fraction(1, 2),
        super::Units::Metric => Length::from_mm(5),
    };
    work.each(table, key, Parted::ByTimes, |_, length| {
        step * -(-length.nm()).div_euclid(step.nm())
    });
}

/// What a construction is asked for: it is solved anew on the grid.
fn part(work: &mut Work<'_>, table: &Named<'_>) {
    for key in ["inside", "outside", "contents"] {
        work.size(table, key);
    }
    work.easy(table, "ease");
    let grid = work.target.units.spelled(work.target.grid);
    if table.node.text("grid") != Some(&grid) && is_restated(work, table) {
        let old = table.node.text("grid").unwrap_or("none").to_owned();
        work.retyped.set(table, "grid", &old, &grid);
    }
    let kind = table.node.text("construction").and_then(construct::named);
    for parameter in kind.into_iter().flat_map(|kind| kind.parameters) {
        match parameter.kind {
            ParameterKind::Length | ParameterKind::Pair | ParameterKind::Lengths => {}
            ParameterKind::Count | ParameterKind::Choice(_) | ParameterKind::Flag => continue,
        }
        if parameter.scales {
            work.size(table, parameter.key);
        } else if !parameter.key.contains("clearance") {
            work.easy(table, parameter.key);
        }
    }
    for piece in table.list("piece") {
        dress(work, &piece, None);
    }
}

/// Whether a part was in other units, so that its grid has to follow.
fn is_restated(work: &Work<'_>, table: &Named<'_>) -> bool {
    ["inside", "outside", "contents"].iter().any(|key| {
        let text = table.node.text(key).unwrap_or_default();
        let units = work.target.units;
        units
            .respelled(text, Parted::ByTimes, |_, typed| typed.length)
            .is_some()
    })
}

/// Restates a piece and returns where its places go.
fn piece(work: &mut Work<'_>, table: &Named<'_>, piece: &Piece) -> Frame {
    let frame = match table.inner("shape") {
        Some(own) => shape::shape(work, &own, piece),
        None => shape::frame_of(work, piece),
    };
    dress(work, table, Some(&frame));
    for panel in table.list("panel") {
        work.place(&panel, "at", &[Axis::X, Axis::Y], &frame);
    }
    if let Some(mount) = table.inner("mount") {
        work.point(&mount, "offset");
        work.easy(&mount, "oversize");
        match mount.inner("reveal") {
            Some(sides) => {
                for side in ["top", "right", "bottom", "left"] {
                    work.easy(&sides, side);
                }
            }
            None => work.easy(&mount, "reveal"),
        }
    }
    frame
}

/// What is done to a piece and printed on it.
fn dress(work: &mut Work<'_>, table: &Named<'_>, frame: Option<&Frame>) {
    for operation in table.list("operation") {
        operation_of(work, &operation, frame);
    }
    for own in table.list("artwork") {
        artwork(work, &own, frame);
    }
    for own in table.list("treat") {
        work.size(&own, "size");
        spot(work, &own, "at", frame);
    }
    if let Some(finish) = table.inner("finish") {
        spot(work, &finish, "at", frame);
    }
}

fn operation_of(work: &mut Work<'_>, table: &Named<'_>, frame: Option<&Frame>) {
    work.easy(table, "diameter");
    for key in ["from", "to", "at"] {
        spot(work, table, key, frame);
    }
    match frame {
        Some(frame) => {
            work.place(table, "at_x", &[Axis::X], frame);
            work.place(table, "at_y", &[Axis::Y], frame);
            shape::operation_path(work, table, frame);
        }
        None => {
            work.size(table, "at_x");
            work.size(table, "at_y");
        }
    }
}

/// A place on a piece, or one on the ruler where the piece's places are not known.
fn spot(work: &mut Work<'_>, table: &Named<'_>, key: &str, frame: Option<&Frame>) {
    match frame {
        Some(frame) => work.place(table, key, &[Axis::X, Axis::Y], frame),
        None => work.point(table, key),
    }
}

/// A picture or words: on a panel their place is measured from there. Letters are measured in points in both worlds.
fn artwork(work: &mut Work<'_>, table: &Named<'_>, frame: Option<&Frame>) {
    work.size(table, "width");
    work.size(table, "box");
    let typed = typed_lengths(table.node.text("size").unwrap_or_default(), Parted::ByTimes);
    let is_in_points = |typed: &TypedLength| typed.unit == LengthUnit::Point;
    if !typed.unwrap_or_default().iter().any(is_in_points) {
        work.easy(table, "size");
    }
    let on_piece = frame.filter(|_| table.node.text("panel").is_none());
    spot(work, table, "at", on_piece);
}

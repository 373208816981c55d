//! The `[piece.mount]` tables: pieces mounted on others.

use kurbo::{Point, Rect};

use super::code;
use super::ids::Ids;
use super::mistakes::Mistakes;
use super::panel::{self, ExactBox, PanelForm, ShapePanel};
use super::shape::Shape;
use super::table::Table;
use super::value::Value;
use super::{reveal, sides};
use crate::diagnostic::Origin;
use crate::geometry::Pose;
use crate::length::Length;
use crate::math::Angle;
use crate::project::{Edges, Mount, MountPlace};

/// More plies than any press closes over.
const MOST_PLIES: u32 = 99;

/// A mount as declared.
#[derive(Debug)]
pub(super) struct Declared {
    pub(super) on: usize,
    panel: Option<String>,
    place: Place,
    pub(super) plies: u32,
    standoff: Length,
    oversize: Length,
    oversize_origin: Origin,
    on_origin: Origin,
    place_origin: Origin,
}

#[derive(Debug, Clone, Copy)]
enum Place {
    Reveal(Edges<Length>),
    Anchor {
        anchor: (f64, f64),
        offset: (Length, Length),
        turn: Angle,
    },
}

/// Anchor points as fractions of a box.
const ANCHORS: &[(&str, (f64, f64))] = &[
    ("centre", (0.5, 0.5)),
    ("top", (0.5, 0.0)),
    ("top-right", (1.0, 0.0)),
    ("right", (1.0, 0.5)),
    ("bottom-right", (1.0, 1.0)),
    ("bottom", (0.5, 1.0)),
    ("bottom-left", (0.0, 1.0)),
    ("left", (0.0, 0.5)),
    ("top-left", (0.0, 0.0)),
];

/// Reads where a piece is mounted.
pub(super) fn read(table: &Table<'_>, pieces: &Ids) -> Option<Declared> {
    let on = table.required("on", "on = \"packet\"", |value| read_on(value, pieces));
    let place = read_place(table);
    let plies = table
        .optional("plies", |v| v.whole(1..=MOST_PLIES))
        .unwrap_or(1);
    let standoff = table
        .optional("standoff", Value::length)
        .unwrap_or(Length::ZERO);
    let oversize = table
        .optional("oversize", Value::length)
        .unwrap_or(Length::ZERO);
    if let Some(place) = &place {
        refuse_untrimmable(table, place, oversize)?;
    }
    table.close();
    let (on, panel) = on?;
    let key = if table.has("reveal") {
        "reveal"
    } else {
        "anchor"
    };
    Some(Declared {
        on,
        panel,
        place: place?,
        plies,
        standoff,
        oversize,
        oversize_origin: table.origin_of("oversize"),
        on_origin: table.origin_of("on"),
        place_origin: table.origin_of(key),
    })
}

/// What is trimmed flush has no reveal in the end.
fn refuse_untrimmable(table: &Table<'_>, place: &Place, oversize: Length) -> Option<()> {
    let shows = match place {
        Place::Reveal(sides) if oversize > Length::ZERO => {
            let all = [sides.top, sides.right, sides.bottom, sides.left];
            all.into_iter().find(|side| *side != Length::ZERO)
        }
        Place::Reveal(_) | Place::Anchor { .. } => None,
    };
    let Some(shows) = shows else {
        return Some(());
    };
    let message = format!(
        "a layer that is trimmed flush shows nothing of the piece below, and reveal says {}",
        table.mistakes().show(shows)
    );
    let hint = format!(
        "write reveal = \"{}\" with oversize, or leave oversize out",
        table.mistakes().show(Length::ZERO)
    );
    table.mistakes().fail(
        code::MOUNT_OVERSIZE,
        &table.origin_of("oversize"),
        message,
        hint,
    )
}

/// Reads a piece, or a piece and one of its panels, as in `strip:3`.
fn read_on(value: &Value<'_>, pieces: &Ids) -> Option<(usize, Option<String>)> {
    let text = value.raw_text()?;
    let (piece, panel) = match text.split_once(':') {
        Some((piece, panel)) => (piece, Some(panel.to_owned())),
        None => (text, None),
    };
    Some((
        pieces.find_text(value.mistakes(), &value.origin(), piece)?,
        panel,
    ))
}

fn read_place(table: &Table<'_>) -> Option<Place> {
    let reveal = table.optional("reveal", |v| sides::read(v, Value::signed_length));
    let anchor = table.optional("anchor", |v| v.choice(ANCHORS));
    let offset = table.optional("offset", Value::point);
    let turn = table.optional("turn", Value::degrees);
    if table.has("reveal") {
        for key in ["anchor", "offset", "turn"] {
            if table.has(key) {
                table.conflict(
                    key,
                    "stands beside reveal, which places the layer",
                    &format!("leave {key} or reveal out"),
                );
            }
        }
        return reveal.map(Place::Reveal);
    }
    if !table.has("anchor") {
        return table.missing(
            "reveal and no anchor",
            "reveal = \"1/8 in\" or anchor = \"centre\"",
        );
    }
    Some(Place::Anchor {
        anchor: anchor?,
        offset: offset.unwrap_or((Length::ZERO, Length::ZERO)),
        turn: turn.map_or(Angle::ZERO, Angle::from_deg),
    })
}

/// Returns the positions of pieces so that each comes after the one it is mounted on, and reports rings, whose pieces and
/// those on them are left out.
pub(super) fn bottom_up(
    mounts: &[Option<Declared>],
    mistakes: &Mistakes<'_>,
    ids: &Ids,
) -> Vec<usize> {
    let below = |i: usize| mounts[i].as_ref().map(|mount| mount.on);
    let mut depths = Vec::new();
    for start in 0..mounts.len() {
        let chain: Vec<_> = std::iter::successors(Some(start), |i| below(*i))
            .take(mounts.len() + 1)
            .collect();
        if chain.len() <= mounts.len() {
            depths.push((chain.len(), start));
        } else if let Some(way) = chain[1..].iter().position(|i| *i == start) {
            let ring = &chain[..=way];
            if ring.iter().min() == Some(&start) {
                report_ring(ring, mounts, mistakes, ids);
            }
        }
    }
    depths.sort_unstable();
    depths.into_iter().map(|(_, piece)| piece).collect()
}

fn report_ring(ring: &[usize], mounts: &[Option<Declared>], mistakes: &Mistakes<'_>, ids: &Ids) {
    let names: Vec<_> = ring
        .iter()
        .chain(&ring[..1])
        .map(|i| format!("\"{}\"", ids.get(*i)))
        .collect();
    if let Some(mount) = &mounts[ring[0]] {
        let message = format!("the pieces are mounted in a ring: {}", names.join(" on "));
        let hint = "leave out the mount of the piece that lies at the bottom";
        mistakes.fail::<()>(code::MOUNT_CYCLE, &mount.on_origin, message, hint);
    }
}

/// A piece with a shape of its own that is mounted.
#[derive(Debug)]
pub(super) struct Layer {
    /// As it is cut.
    pub(super) shape: Shape,
    /// The box it is placed by, in its frame: that of the shape it has in the end.
    pub(super) bounds: Rect,
}

/// Where a layer lies on its base.
#[derive(Debug, Clone, Copy)]
struct Ground<'s> {
    shape: &'s Shape,
    panel: Option<ExactBox>,
}

/// A layer in its place.
#[derive(Debug)]
pub(super) struct Settled {
    /// As it is cut.
    pub(super) shape: Shape,
    pub(super) mount: Mount,
    /// Its shape once it is trimmed flush, where that is another one.
    pub(super) trimmed: Option<Trimmed>,
}

/// The shape of a layer that was cut larger, and where its box lies in the layer's frame.
#[derive(Debug)]
pub(super) struct Trimmed {
    pub(super) shape: Shape,
    pub(super) corner: Point,
}

/// What a layer lies on: a shape, and where the corner of its box lies in the frame of its piece.
#[derive(Debug, Clone, Copy)]
pub(super) struct Base<'s> {
    pub(super) shape: &'s Shape,
    pub(super) corner: Point,
    pub(super) id: &'s str,
}

/// Places a layer on its base; by reveal its shape follows, else `own` is its shape.
pub(super) fn settle(
    mount: &Declared,
    base: Base<'_>,
    own: Option<Layer>,
    mistakes: &Mistakes<'_>,
) -> Option<Settled> {
    let (shape, mut placed) = place_on(mount, base.shape, base.id, own, mistakes)?;
    placed.pose.x_mm += base.corner.x;
    placed.pose.y_mm += base.corner.y;
    if mount.oversize == Length::ZERO {
        return Some(Settled {
            shape,
            mount: placed,
            trimmed: None,
        });
    }
    if !shape.operations.is_empty() {
        let message = "a layer with creases is not glued oversize: its panels would grow, too";
        let hint = "leave oversize out, or give the layer a shape without creases";
        return mistakes.fail(code::MOUNT_OVERSIZE, &mount.oversize_origin, message, hint);
    }
    let grown = reveal::inset(&shape, None, Edges::all(-mount.oversize), mistakes);
    let (grown, at) = match grown {
        Ok(grown) => grown,
        Err(refusal) => {
            let (message, hint) = (refusal.message, refusal.hint);
            return mistakes.fail(code::MOUNT_OVERSIZE, &mount.oversize_origin, message, hint);
        }
    };
    let origin = placed.pose.to_affine() * Point::new(at.x_mm, at.y_mm);
    placed.pose.x_mm = origin.x;
    placed.pose.y_mm = origin.y;
    Some(Settled {
        shape: grown,
        mount: placed,
        trimmed: Some(Trimmed {
            shape,
            corner: Point::new(-at.x_mm, -at.y_mm),
        }),
    })
}

fn place_on(
    mount: &Declared,
    base: &Shape,
    base_id: &str,
    own: Option<Layer>,
    mistakes: &Mistakes<'_>,
) -> Option<(Shape, Mount)> {
    let panel = match &mount.panel {
        None => None,
        Some(name) => Some(find_panel(mount, name, base, base_id, mistakes)?),
    };
    let ground = Ground {
        shape: base,
        panel: panel.map(|panel| panel.bounds),
    };
    let (shape, pose, place) = match mount.place {
        Place::Reveal(sides) => {
            if let Some(panel) = panel.filter(|panel| panel.form == PanelForm::Other) {
                let message = format!(
                    "panel \"{}\" of \"{base_id}\" is no rectangle, so a reveal does not tell the layer's shape",
                    panel.name
                );
                let hint = "give the layer a [piece.shape] of its own, and place it with anchor and offset";
                return mistakes.fail(code::MOUNT_REVEAL, &mount.place_origin, message, hint);
            }
            let inset = reveal::inset(ground.shape, ground.panel, sides, mistakes);
            let (shape, pose) = match inset {
                Ok(found) => found,
                Err(refusal) => {
                    let (message, hint) = (refusal.message, refusal.hint);
                    return mistakes.fail(code::MOUNT_REVEAL, &mount.place_origin, message, hint);
                }
            };
            (shape, pose, MountPlace::Reveal { sides })
        }
        Place::Anchor {
            anchor,
            offset,
            turn,
        } => {
            let layer = own?;
            let pose = anchored(layer.bounds, ground, anchor, offset, turn);
            (layer.shape, pose, MountPlace::Anchor)
        }
    };
    let mount = Mount {
        on: mount.on,
        panel: mount.panel.clone(),
        place,
        pose,
        standoff: mount.standoff,
        oversize: mount.oversize,
    };
    Some((shape, mount))
}

fn find_panel<'s>(
    mount: &Declared,
    name: &str,
    base: &'s Shape,
    base_id: &str,
    mistakes: &Mistakes<'_>,
) -> Option<&'s ShapePanel> {
    let Some(panel) = base.panels.iter().find(|panel| panel.name == *name) else {
        let hint = panel::hint(&base.panels, name, |near| format!("{base_id}:{near}"))
            .unwrap_or_else(|| format!("mount on the whole piece: on = \"{base_id}\""));
        let message = format!("piece \"{base_id}\" has no panel \"{name}\"");
        return mistakes.fail(code::MOUNT_PANEL, &mount.on_origin, message, hint);
    };
    if panel.form == PanelForm::Snipped {
        let message = format!(
            "panel \"{name}\" of \"{base_id}\" has its corners snipped off, as a tab to be glued"
        );
        return mistakes.fail(
            code::MOUNT_PANEL,
            &mount.on_origin,
            message,
            "mount on another panel",
        );
    }
    Some(panel)
}

/// Returns the pose that puts a point of the layer's box on the same point of the ground's box.
fn anchored(
    layer: Rect,
    ground: Ground<'_>,
    anchor: (f64, f64),
    offset: (Length, Length),
    turn: Angle,
) -> Pose {
    let base = ground
        .panel
        .map_or_else(|| ground.shape.outline.bounds(), ExactBox::to_mm);
    let own = point_of(layer, anchor);
    let target = point_of(base, anchor);
    let turned = Pose {
        turn,
        ..Pose::identity()
    }
    .to_affine()
        * own;
    Pose {
        turn,
        ..Pose::at(
            target.x + offset.0.to_mm() - turned.x,
            target.y + offset.1.to_mm() - turned.y,
        )
    }
}

fn point_of(bounds: Rect, (x, y): (f64, f64)) -> Point {
    Point::new(
        bounds.x0 + x * bounds.width(),
        bounds.y0 + y * bounds.height(),
    )
}

//! The `[[assembly.joint]]` and `[[assembly.free]]` tables.

use kurbo::BezPath;

use super::assembly::{Members, panel_of};
use super::code;
use super::shape::{read_path, read_unit};
use super::sides;
use super::table::Table;
use super::value::Value;
use crate::geometry::Outline;
use crate::geometry::space::Vec3;
use crate::length::Length;
use crate::math::VERIFY_MM;
use crate::project::{Clearance, Face, Joint, JointKind, Patch, Surface};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Stuck,
    Flush,
    Meet,
    Tuck,
    Hinge,
    Slide,
}

const KINDS: &[(&str, Kind)] = &[
    ("stuck", Kind::Stuck),
    ("flush", Kind::Flush),
    ("meet", Kind::Meet),
    ("tuck", Kind::Tuck),
    ("hinge", Kind::Hinge),
    ("slide", Kind::Slide),
];

const FACES: &[(&str, Face)] = &[("front", Face::Front), ("back", Face::Back)];

/// Directions in the object's frame.
const ALONG: &[(&str, [f64; 3])] = &[
    ("right", [1.0, 0.0, 0.0]),
    ("left", [-1.0, 0.0, 0.0]),
    ("back", [0.0, 1.0, 0.0]),
    ("front", [0.0, -1.0, 0.0]),
    ("up", [0.0, 0.0, 1.0]),
    ("down", [0.0, 0.0, -1.0]),
];

/// Reads a joint between members.
pub(super) fn read(table: &Table<'_>, members: &Members<'_>) -> Option<Joint> {
    let kind = table.required("kind", "kind = \"stuck\"", |v| v.choice(KINDS));
    let (front, back) = (Face::Front, Face::Back);
    // Flaps go to the inside; edges that meet have no inside.
    let (from_face, to_face) = match kind {
        Some(Kind::Stuck | Kind::Tuck | Kind::Slide) | None => (front, back),
        // A mountain fold brings backs together.
        Some(Kind::Flush) => (back, back),
        Some(Kind::Meet | Kind::Hinge) => (front, front),
    };
    let from_face = table
        .optional("from_face", |v| v.choice(FACES))
        .unwrap_or(from_face);
    let to_face = table
        .optional("to_face", |v| v.choice(FACES))
        .unwrap_or(to_face);
    let from = read_surface(table, "from", from_face, members);
    let to = read_surface(table, "to", to_face, members);
    let read_as = kind.and_then(|kind| read_kind(table, kind));
    let panel = |s: &Option<Surface>| s.as_ref().map(|s| (s.member, s.panel.clone()));
    if from.is_some() && panel(&from) == panel(&to) {
        table.conflict(
            "to",
            "names the panel that from names",
            "name what it goes to",
        );
    }
    if kind.is_some() {
        // Without its kind nobody knows the keys of a joint.
        table.close();
    }
    Some(Joint {
        kind: read_as?,
        from: from?,
        to: to?,
        origin: table.origin(),
    })
}

fn read_kind(table: &Table<'_>, kind: Kind) -> Option<JointKind> {
    match kind {
        Kind::Stuck => {
            let glue = table.optional("glue", Value::length);
            let area = read_area(table);
            let rims = table.optional("rims", |v| sides::read(v, Value::signed_length));
            Some(JointKind::Stuck {
                covers_flap: !table.has("area"),
                area: area?,
                rims,
                glue: glue.unwrap_or(Length::ZERO),
            })
        }
        Kind::Flush => Some(JointKind::Flush {
            area: read_area(table)?,
        }),
        Kind::Meet => {
            let gap = table.optional("gap", Value::length);
            let inset = table.optional("inset", Value::length);
            Some(JointKind::Meet {
                gap: gap.unwrap_or(Length::ZERO),
                inset: inset.unwrap_or(Length::ZERO),
            })
        }
        Kind::Tuck => {
            let depth = table.required("depth", "depth = \"12 mm\"", Value::length);
            Some(JointKind::Tuck { depth: depth? })
        }
        Kind::Hinge => Some(JointKind::Hinge),
        Kind::Slide => {
            let along = table.required("along", "along = \"right\"", |v| v.choice(ALONG));
            let travel =
                table.required("travel", "travel = \"60 mm\"", |v| Some(v.size()?.length()));
            let is_held = table.optional("held", Value::boolean).unwrap_or(false);
            let clearance = read_clearance(table);
            let [x, y, z] = along?;
            Some(JointKind::Slide {
                along: Vec3::new(x, y, z),
                travel: travel?,
                is_held,
                clearance: clearance?,
            })
        }
    }
}

/// Reads what is free along each axis; `None` if something is wrong.
fn read_clearance(table: &Table<'_>) -> Option<[Option<Clearance>; 3]> {
    if !table.has("clearance") {
        table.know(&["clearance"]);
        return Some([None; 3]);
    }
    let own = table.table("clearance")?;
    let axis = |key: &'static str| {
        let read = own.optional(key, read_room);
        (!own.has(key) || read.is_some()).then_some(read)
    };
    let read = [axis("x"), axis("y"), axis("z")];
    own.close();
    let [x, y, z] = read;
    Some([x?, y?, z?])
}

/// Reads how much room there is: one length, or a list of the least and the most.
fn read_room(value: &Value<'_>) -> Option<Clearance> {
    if value.is_text() {
        let both = value.length()?;
        return Some(Clearance {
            least: both,
            most: both,
        });
    }
    let example = "[\"0.4 mm\", \"1 mm\"]";
    let items = value.list(example)?;
    let lengths: Vec<_> = items.iter().map(Value::length).collect();
    if let [least, most] = lengths[..] {
        let (least, most) = (least?, most?);
        if least <= most {
            return Some(Clearance { least, most });
        }
    }
    let message = format!(
        "{} is not the least room and the most",
        value.typed(value.source())
    );
    value.fail(
        code::NUMBER_RANGE,
        message,
        format!("write {}", value.typed(example)),
    )
}

/// Reads `member:panel`.
fn read_surface(
    table: &Table<'_>,
    key: &'static str,
    face: Face,
    members: &Members<'_>,
) -> Option<Surface> {
    let example = format!("{key} = \"packet:front\"");
    table.required(key, &example, |value| {
        let text = value.raw_text()?;
        let Some((member, panel)) = text.split_once(':') else {
            let message = format!("{} names no panel", value.typed(value.source()));
            let hint = format!("write {}", value.typed(&format!("\"{text}:front\"")));
            return value.fail(code::ID_SPELLING, message, hint);
        };
        let (mistakes, origin) = (value.mistakes(), value.origin());
        let (member, piece) = members.find(member, mistakes, &origin)?;
        let (panel, _) = panel_of(piece?, panel, mistakes, &origin)?;
        Some(Surface {
            member,
            panel,
            face,
        })
    })
}

/// Reads an area as a closed path in the piece frame; `None` if it is wrong, and none within if there is none.
fn read_area(table: &Table<'_>) -> Option<Option<BezPath>> {
    if !table.has("area") {
        table.know(&["area", "unit"]);
        return Some(None);
    }
    let unit_mm = read_unit(table);
    table
        .optional("area", |value| {
            let path = read_path(value, unit_mm)?;
            match Outline::new(&path, VERIFY_MM) {
                Ok(outline) => Some(outline.path()),
                Err(error) => {
                    let show = |length_mm| value.mistakes().show_mm(length_mm);
                    value.fail(code::SHAPE_OUTLINE, error.message(show), error.hint())
                }
            }
        })
        .map(Some)
}

/// Reads an area that no glue may reach.
pub(super) fn read_free(table: &Table<'_>, members: &Members<'_>) -> Option<Patch> {
    let face = table
        .optional("face", |v| v.choice(FACES))
        .unwrap_or(Face::Front);
    let surface = read_surface(table, "panel", face, members);
    let area = read_area(table);
    table.close();
    Some(Patch {
        surface: surface?,
        area: area?,
        origin: table.origin(),
    })
}

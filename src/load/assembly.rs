//! The `[[assembly]]` tables: how pieces that the user drew go together.

use kurbo::Point;

use super::code;
use super::ids::Ids;
use super::joint;
use super::mistakes::Mistakes;
use super::piece::{ReadPiece, Surroundings};
use super::table::{Table, nearest};
use super::value::Value;
use crate::diagnostic::Origin;
use crate::geometry::space::{Rigid, Vec3};
use crate::length::{Length, Size};
use crate::math::Angle;
use crate::project::{Assembly, Member, Piece};

/// How far glue may miss and edges may part in a net that somebody drew: two tenths of a millimetre, the width of a line drawn with a sharp
/// pencil, is as near as sizes are measured by hand (common practice, no source).
const USUAL_TOLERANCE: Length = Length::from_um(200);

/// The most that may be asked for: what a gap of more than a millimetre lets pass is seen by anyone (common practice, no source).
const MOST_TOLERANCE: Length = Length::from_mm(1);

/// Where the front of a root panel looks, as turns about x and then about z, in degrees by the right hand.
const FACES: &[(&str, (f64, f64))] = &[
    ("down", (0.0, 0.0)),
    ("up", (180.0, 0.0)),
    ("front", (270.0, 0.0)),
    ("back", (270.0, 180.0)),
    ("left", (270.0, 270.0)),
    ("right", (270.0, 90.0)),
];

/// Reads the ids of all assemblies, which none of the parts may have.
pub(super) fn read_ids(tables: &[Table<'_>], parts: &Ids) -> Ids {
    let ids = Ids::gather("assembly", tables);
    if let Some(first) = tables.first() {
        ids.refuse_those_of(parts, first.mistakes());
    }
    ids
}

/// Reads all assemblies; `None` where one has a mistake.
pub(super) fn read_all(
    tables: &[Table<'_>],
    ids: &Ids,
    pieces: &[Option<ReadPiece>],
    around: Surroundings<'_>,
) -> Vec<Option<Assembly>> {
    let read = |(i, table)| read(table, ids.get(i), pieces, around);
    tables.iter().enumerate().map(read).collect()
}

fn read(
    table: &Table<'_>,
    id: String,
    pieces: &[Option<ReadPiece>],
    around: Surroundings<'_>,
) -> Option<Assembly> {
    let name = table
        .optional("name", Value::words)
        .unwrap_or_else(|| id.clone());
    let tolerance = table
        .optional("tolerance", read_tolerance)
        .unwrap_or_else(|| {
            Size::new(USUAL_TOLERANCE).expect("two tenths of a millimetre are more than nothing")
        });
    let members = Members::read(table, &id, pieces, around);
    let joints: Vec<_> = table
        .tables("joint")
        .iter()
        .map(|own| joint::read(own, &members))
        .collect();
    let free: Vec<_> = table
        .tables("free")
        .iter()
        .map(|own| joint::read_free(own, &members))
        .collect();
    table.close();
    let members: Option<Vec<_>> = members.all.into_iter().map(|(_, _, m)| m).collect();
    Some(Assembly {
        id,
        name,
        members: members.filter(|members| !members.is_empty())?,
        joints: joints.into_iter().collect::<Option<_>>()?,
        free_of_glue: free.into_iter().collect::<Option<_>>()?,
        band: None,
        tolerance,
        origin: table.origin(),
    })
}

/// Reads how far glue may miss and edges may part.
fn read_tolerance(value: &Value<'_>) -> Option<Size> {
    let size = value.size()?;
    if size.length() <= MOST_TOLERANCE {
        return Some(size);
    }
    let show = |length: Length| value.mistakes().show_mm(length.to_mm());
    let (most, usual) = (show(MOST_TOLERANCE), show(USUAL_TOLERANCE));
    let message = format!(
        "a tolerance of {} lets nets pass that do not close, and {most} is the most",
        show(size.length())
    );
    let hint = format!(
        "leave it out, for {usual}, or write {}",
        value.typed(&format!("\"{usual}\""))
    );
    value.fail(code::NUMBER_RANGE, message, hint)
}

/// The members of an assembly: name, piece and place, as far as they could be read.
#[derive(Debug)]
pub(super) struct Members<'p> {
    assembly: String,
    all: Vec<(Option<String>, Option<&'p Piece>, Option<Member>)>,
}

impl<'p> Members<'p> {
    fn read(
        table: &Table<'_>,
        assembly: &str,
        pieces: &'p [Option<ReadPiece>],
        around: Surroundings<'_>,
    ) -> Self {
        let tables = table.tables("member");
        if tables.is_empty() && !table.has("member") {
            table.missing::<()>("member", "[[assembly.member]] with piece");
        }
        let mut members = Self {
            assembly: assembly.to_owned(),
            all: Vec::new(),
        };
        let mut used = Vec::new();
        for own in &tables {
            let position =
                own.required("piece", "piece = \"packet\"", |v| around.piece_ids.find(v));
            let piece = position.and_then(|i| Some(&pieces[i].as_ref()?.piece));
            used.extend(position);
            let count = used
                .iter()
                .filter(|other| Some(**other) == position)
                .count();
            let name = position.map(|i| match count {
                1 => around.piece_ids.get(i),
                more => format!("{}#{more}", around.piece_ids.get(i)),
            });
            let member = read_member(own, name.clone().unwrap_or_default(), position, piece);
            members.all.push((name, piece, member));
        }
        members
    }

    /// Returns the position of a member and its piece, by its name; `None` for the piece if it could not be read.
    pub(super) fn find(
        &self,
        name: &str,
        mistakes: &Mistakes<'_>,
        origin: &Origin,
    ) -> Option<(usize, Option<&'p Piece>)> {
        let position = self
            .all
            .iter()
            .position(|(n, ..)| n.as_deref() == Some(name));
        if let Some(i) = position {
            return Some((i, self.all[i].1));
        }
        let known: Vec<_> = self.all.iter().filter_map(|(n, ..)| n.as_deref()).collect();
        if known.is_empty() || known.len() < self.all.len() {
            // It may be one of those that could not be read, which are reported already.
            return None;
        }
        let message = format!("assembly \"{}\" has no member \"{name}\"", self.assembly);
        let hint = match nearest(name, known.iter().copied()) {
            Some(near) => format!("write \"{near}\""),
            None => format!(
                "add it under [[assembly.member]]; its members are {}",
                known.join(", ")
            ),
        };
        mistakes.fail(code::ID_UNKNOWN, origin, message, hint)
    }
}

fn read_member(
    table: &Table<'_>,
    name: String,
    position: Option<usize>,
    piece: Option<&Piece>,
) -> Option<Member> {
    let root = if table.has("root") {
        table.optional("root", |value| {
            panel_of(piece?, value.raw_text()?, table.mistakes(), &value.origin())
        })
    } else {
        table.know(&["root"]);
        piece.and_then(|piece| largest_panel(table, piece))
    };
    let zero = Length::ZERO;
    let (x, y) = table.optional("at", Value::point).unwrap_or((zero, zero));
    let height = table
        .optional("height", Value::signed_length)
        .unwrap_or(zero);
    let turn_deg = table.optional("turn", Value::degrees).unwrap_or(0.0);
    let (about_x, about_z) = table
        .optional("face", |v| v.choice(FACES))
        .unwrap_or((0.0, 0.0));
    table.close();
    let (root, middle) = root?;
    // A turn is clockwise as seen from above.
    let about_z = Angle::from_deg((about_z - turn_deg).rem_euclid(360.0));
    let turn = Rigid::about(Vec3::zeros(), Vec3::z(), about_z).after(&Rigid::about(
        Vec3::zeros(),
        Vec3::x(),
        Angle::from_deg(about_x),
    ));
    let middle = turn.apply(Vec3::new(middle.x, middle.y, 0.0));
    let target = Vec3::new(x.to_mm(), y.to_mm(), height.to_mm());
    Some(Member {
        piece: position?,
        name,
        root,
        pose: Rigid {
            shift: target - middle,
            ..turn
        },
        bends: Vec::new(),
    })
}

/// Returns a panel's name and the middle of its box; reports one that the piece does not have.
pub(super) fn panel_of(
    piece: &Piece,
    name: &str,
    mistakes: &Mistakes<'_>,
    origin: &Origin,
) -> Option<(String, Point)> {
    if let Some(panel) = piece.panels.iter().find(|panel| panel.name == name) {
        return Some((panel.name.clone(), panel.bounds_mm.center()));
    }
    let names: Vec<_> = piece.panels.iter().map(|p| p.name.as_str()).collect();
    let message = format!("piece \"{}\" has no panel \"{name}\"", piece.id);
    let hint = match nearest(name, names.iter().copied()) {
        Some(near) => format!("write \"{near}\""),
        None if names.is_empty() => {
            format!("name it under [[piece.panel]] in piece \"{}\"", piece.id)
        }
        None => format!(
            "its panels are {}; name more under [[piece.panel]]",
            names.join(", ")
        ),
    };
    mistakes.fail(code::ID_UNKNOWN, origin, message, hint)
}

fn largest_panel(table: &Table<'_>, piece: &Piece) -> Option<(String, Point)> {
    let area = |panel: &crate::project::Panel| panel.bounds_mm.area();
    // The first of several as large.
    let largest = piece
        .panels
        .iter()
        .rev()
        .max_by(|a, b| area(a).total_cmp(&area(b)));
    match largest {
        Some(panel) => Some((panel.name.clone(), panel.bounds_mm.center())),
        None => {
            let message = format!("piece \"{}\" has no panels to fold", piece.id);
            let hint =
                "name them under [[piece.panel]], like name = \"front\" and at = \"2 in, 1 in\"";
            let origin = table.origin_of("piece");
            table
                .mistakes()
                .fail(code::ASSEMBLY_PANELS, &origin, message, hint)
        }
    }
}

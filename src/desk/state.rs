//! The project on the desk as the page is told it.

use serde_json::{Value, json};

use super::checked;
use super::document;
use super::open::Open;
use crate::draw;
use crate::length::{Length, LengthStyle, is_in_inches};
use crate::project::{ArtworkFill, Face, OperationKind, Project};

/// Everything that the page shows of the project.
pub(super) fn to_json(open: &Open) -> Value {
    let text = open.text().unwrap_or_default();
    let doc = open.text().and_then(document::to_json);
    let project = open.project().map(AsRef::as_ref);
    let checked = open.checked();
    let history = open.history();
    json!({
        "revision": open.revision(),
        "name": open.text().map(|_| name(doc.as_ref(), project)),
        "file": open.file(),
        "folder": open.folder(),
        "is_saved": open.is_saved(),
        "on_disk": open.on_disk().name(),
        "can_undo": history.and_then(|h| h.can_undo()),
        "can_redo": history.and_then(|h| h.can_redo()),
        "text": text,
        "units": units(text, doc.as_ref(), open),
        "parts": positions(doc.as_ref(), "part"),
        "diagnostics": checked.map_or(json!([]), |c| checked::to_json(&c.diagnostics, &c.sources)),
        "is_sound": project.is_some(),
        "pieces": project.map_or(json!([]), |p| pieces(p, doc.as_ref(), open.revision())),
        "objects": project.map_or(json!([]), |p| objects(p, open.revision())),
        "editions": project.map_or(json!([]), editions),
        "stocks": project.map_or(json!([]), stocks),
        "pictures": pictures(open),
        "doc": doc,
    })
}

/// Pictures laid on the desk, and those that the project names.
fn pictures(open: &Open) -> Vec<String> {
    let is_picture = |path: &&String| {
        let kinds = [".png", ".jpg", ".jpeg", ".svg", ".webp"];
        let path = path.to_lowercase();
        kinds.iter().any(|kind| path.ends_with(kind))
    };
    let asked = open.checked().into_iter().flat_map(|c| &c.asked);
    let mut found: Vec<_> = asked.chain(open.held().keys()).filter(is_picture).collect();
    found.sort();
    found.dedup();
    found.into_iter().cloned().collect()
}

fn name(doc: Option<&Value>, project: Option<&Project>) -> String {
    let typed = doc.and_then(|doc| doc["job"]["name"].as_str());
    let name = project.map(|p| p.job.name.as_str()).or(typed);
    name.unwrap_or("A project").to_owned()
}

fn positions(doc: Option<&Value>, list: &str) -> Vec<usize> {
    let count = doc.and_then(|doc| doc[list].as_array()).map_or(0, Vec::len);
    (0..count).collect()
}

/// The units in which lengths are shown: as the last sound project has them, unless the text says otherwise.
fn units(text: &str, doc: Option<&Value>, open: &Open) -> &'static str {
    let wished = doc.and_then(|doc| doc["job"]["show_lengths"].as_str());
    let is_inch = match (wished, open.sound()) {
        (Some(wished), _) => wished.starts_with("inch"),
        (None, Some((_, sound))) => is_inch(sound.job.lengths),
        (None, None) => is_in_inches(text),
    };
    if is_inch { "in" } else { "mm" }
}

/// Whether lengths are shown in inches.
pub(super) const fn is_inch(style: LengthStyle) -> bool {
    match style {
        LengthStyle::InchFractions | LengthStyle::InchDecimals => true,
        LengthStyle::Millimetres => false,
    }
}

/// `3 x 2 1/8 in`.
pub(super) fn size(width_mm: f64, height_mm: f64, style: LengthStyle) -> String {
    sizes(&[width_mm, height_mm].map(Length::nearest_mm), style)
}

/// `about 3 9/16 x 2 5/16 x 1 in`: the unit once, and once that no ruler shows all of them exactly.
pub(super) fn sizes(lengths: &[Length], style: LengthStyle) -> String {
    const ABOUT: &str = "about ";
    let unit = if is_inch(style) { " in" } else { " mm" };
    let told: Vec<String> = lengths.iter().map(|l| l.told(style)).collect();
    let is_about = told.iter().any(|one| one.starts_with(ABOUT));
    let bare = told.iter().map(|one| {
        let one = one.strip_prefix(ABOUT).unwrap_or(one);
        one.strip_suffix(unit).unwrap_or(one)
    });
    let bare: Vec<&str> = bare.collect();
    let about = if is_about { ABOUT } else { "" };
    format!("{about}{}{unit}", bare.join(" x "))
}

fn pieces(project: &Project, doc: Option<&Value>, revision: u64) -> Value {
    let copies: u32 = project.editions.iter().map(|e| e.copies).sum();
    let one = |(i, piece): (usize, &crate::project::Piece)| {
        let (list, position) = declared(&piece.origin.key_path);
        let bounds = piece.outline.bounds();
        let picture = |face: Face| {
            let face = face.name();
            format!("/picture/piece/{i}-{face}.svg?revision={revision}")
        };
        let is_printed_behind = piece.artwork.iter().any(|a| a.face == Face::Back);
        let is_crease = |kind: OperationKind| matches!(kind, OperationKind::Crease { .. });
        let creases = piece.operations.iter().filter(|o| is_crease(o.kind));
        let part = project.parts.iter().find(|part| part.pieces.contains(&i));
        json!({
            "id": piece.id,
            "name": piece.name,
            "count": piece.per_copy * copies,
            "per_copy": piece.per_copy,
            "stock": project.stocks[piece.stock].id,
            "size": size(bounds.width(), bounds.height(), project.job.lengths),
            "width_mm": bounds.width(),
            "height_mm": bounds.height(),
            "part": part.map(|part| &part.id),
            "list": list,
            "position": position,
            "picture": picture(Face::Front),
            "back": is_printed_behind.then(|| picture(Face::Back)),
            "creases": creases.count(),
            "index": position,
            "inner": inner(&piece.origin.key_path),
            "frame_mm": framed(bounds),
            "art": art(project, i, doc),
            "panels": piece.panels.iter().map(|p| &p.name).collect::<Vec<_>>(),
        })
    };
    project.pieces.iter().enumerate().map(one).collect()
}

/// The outermost list that something is declared in, and its position from 0: `part[2].piece[1]` is part 1.
fn declared(key_path: &str) -> (&str, usize) {
    let (list, rest) = key_path.split_once('[').unwrap_or((key_path, ""));
    let number = rest.split(']').next().and_then(|n| n.parse::<usize>().ok());
    (list, number.unwrap_or(1).saturating_sub(1))
}

/// The position in a part of what a piece of it is told, from 0: `part[2].piece[1]` is 0.
fn inner(key_path: &str) -> Option<usize> {
    let (_, rest) = key_path.split_once("].piece[")?;
    rest.split(']')
        .next()?
        .parse::<usize>()
        .ok()?
        .checked_sub(1)
}

/// What the picture of a piece shows, in the piece's frame.
fn framed(bounds: kurbo::Rect) -> [f64; 4] {
    let shown = bounds.inflate(draw::PIECE_ROOM_MM, draw::PIECE_ROOM_MM);
    [shown.x0, shown.y0, shown.width(), shown.height()]
}

/// Where each picture of a file lies that is there once, as it lies, in the frame of its face.
fn art(project: &Project, piece: usize, doc: Option<&Value>) -> Value {
    let placed = project.pieces[piece].artwork.iter().filter_map(|artwork| {
        let ArtworkFill::Picture(lies) = &artwork.fill else {
            return None;
        };
        let key = document::key_from_zero(&artwork.origin.key_path);
        document::at(doc?, &key)?.get("file")?;
        let (_, position) = key.rsplit_once("artwork[")?;
        let box_mm = lies
            .unit_to_face()
            .transform_rect_bbox(kurbo::Rect::new(0.0, 0.0, 1.0, 1.0));
        Some(json!({
            "index": position.trim_end_matches(']').parse::<usize>().ok()?,
            "face": artwork.face.name(),
            "box_mm": [box_mm.x0, box_mm.y0, box_mm.width(), box_mm.height()],
            "turn_deg": lies.pose.turn.deg(),
        }))
    });
    placed.collect()
}

fn objects(project: &Project, revision: u64) -> Value {
    let one = |(i, assembly): (usize, &crate::project::Assembly)| {
        let part = project.parts.iter().find(|part| part.id == assembly.id);
        json!({
            "id": assembly.id,
            "name": part.map_or(&assembly.id, |part| &part.name),
            "picture": format!("/picture/object/{i}.svg?revision={revision}"),
            "facts": part.map_or_else(Vec::new, |part| facts(project, part)),
        })
    };
    project.assemblies.iter().enumerate().map(one).collect()
}

/// `inside: 3 in x 2 in x 1 in`.
fn facts(project: &Project, part: &crate::project::Part) -> Vec<String> {
    let fact = |fact: &crate::project::Fact| {
        format!("{}: {}", fact.what, sizes(&fact.got, project.job.lengths))
    };
    part.facts.iter().map(fact).collect()
}

fn editions(project: &Project) -> Value {
    let named = project.editions.iter().filter(|e| !e.id.is_empty());
    named.map(|e| Value::from(e.id.as_str())).collect()
}

fn stocks(project: &Project) -> Value {
    let style = project.job.lengths;
    let one = |stock: &crate::project::Stock| {
        json!({
            "id": stock.id,
            "name": stock.name,
            "size": size(stock.width.to_mm(), stock.height.to_mm(), style),
            "on_hand": stock.on_hand,
            "price": stock.price.as_ref().map(ToString::to_string),
            "offcut_of": stock.offcut_of.map(|of| &project.stocks[of].id),
        })
    };
    project.stocks.iter().map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_name_their_unit_once() {
        assert_eq!(
            size(76.2, 53.975, LengthStyle::InchFractions),
            "3 x 2 1/8 in"
        );
        assert_eq!(size(40.0, 60.5, LengthStyle::Millimetres), "40 x 60.5 mm");
        let odd = size(50.9, 25.4, LengthStyle::InchFractions);
        assert!(
            odd.starts_with("about 2 ") && odd.ends_with(" x 1 in"),
            "{odd}"
        );
    }

    #[test]
    fn pieces_are_found_by_the_list_they_are_declared_in() {
        assert_eq!(declared("piece[3]"), ("piece", 2));
        assert_eq!(declared("part[1].piece[2]"), ("part", 0));
    }
}

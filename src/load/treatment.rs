//! The `[[piece.treat]]` tables: areas that are embossed, glued, stamped or left plain.

use kurbo::{BezPath, Point, Rect, Shape as _};
use toml::de::DeValue;

use super::code;
use super::embossing::{self, Paper};
use super::ids::Ids;
use super::panel;
use super::shape::Shape;
use super::stock::EDGES;
use super::table::Table;
use super::tool::Tools;
use super::value::Value;
use crate::diagnostic::Diagnostic;
use crate::geometry::areas::{Ring, shared, thickness_of, without};
use crate::length::{Length, Size};
use crate::math::{FLATTEN_MM, VERIFY_MM};
use crate::project::{Edge, Embossing, Face, TreatedPlace, Treatment, TreatmentKind};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Emboss,
    Glue,
    Stamp,
    Plain,
}

const KINDS: &[(&str, Kind)] = &[
    ("emboss", Kind::Emboss),
    ("glue", Kind::Glue),
    ("stamp", Kind::Stamp),
    ("leave plain", Kind::Plain),
];

pub(super) const FACES: &[(&str, Face)] = &[("front", Face::Front), ("back", Face::Back)];

/// What treatments of one piece are read with.
#[derive(Debug, Clone, Copy)]
pub(super) struct Treatable<'s> {
    pub(super) id: &'s str,
    pub(super) shape: Option<&'s Shape>,
    /// Thickness of its paper, if known.
    pub(super) caliper: Option<Size>,
    pub(super) tools: &'s Tools,
    pub(super) supplies: &'s Ids,
}

/// Reads what is done to areas of a piece; `None` if something is wrong with it.
pub(super) fn read_all(tables: &[Table<'_>], on: Treatable<'_>) -> Option<Vec<Treatment>> {
    let read: Vec<_> = tables.iter().map(|table| read(table, on)).collect();
    let treatments: Vec<_> = read.into_iter().collect::<Option<_>>()?;
    if let Some(shape) = on.shape {
        warn_of_glue_on_embossing(tables, &treatments, shape);
    }
    Some(treatments)
}

fn read(table: &Table<'_>, on: Treatable<'_>) -> Option<Treatment> {
    let kind = table.required("do", "do = \"emboss\"", |v| v.choice(KINDS));
    let place = read_place(table, on);
    let face = table.optional("face", |v| v.choice(FACES));
    let note = table.optional("note", Value::sentences);
    let kind = match kind {
        Some(Kind::Emboss) => {
            read_embossing(table, on, place.as_ref()).map(TreatmentKind::Embossed)
        }
        Some(Kind::Glue) => read_glue(table, on.supplies),
        Some(Kind::Stamp) => Some(TreatmentKind::Stamped),
        Some(Kind::Plain) => Some(TreatmentKind::Plain),
        None => {
            table.know(&["tool", "up", "goes_in", "caliper", "with"]);
            None
        }
    };
    table.close();
    Some(Treatment {
        kind: kind?,
        face: face.unwrap_or(Face::Front),
        place: place?,
        note,
        origin: table.origin(),
    })
}

fn read_glue(table: &Table<'_>, supplies: &Ids) -> Option<TreatmentKind> {
    if !table.has("with") {
        table.know(&["with"]);
        return Some(TreatmentKind::Glued { with: None });
    }
    let with = table.optional("with", |v| supplies.find(v))?;
    Some(TreatmentKind::Glued { with: Some(with) })
}

/// Reads where: panels, an area by its corner and size, or the whole piece.
fn read_place(table: &Table<'_>, on: Treatable<'_>) -> Option<TreatedPlace> {
    table.know(&["panels", "at", "size"]);
    if table.has("panels") {
        for key in ["at", "size"] {
            if table.has(key) {
                table.conflict(
                    key,
                    "stands beside panels",
                    "name panels or an area, not both",
                );
            }
        }
        return table.optional("panels", |value| read_panels(value, on));
    }
    if !table.has("at") && !table.has("size") {
        return Some(TreatedPlace::Whole);
    }
    let at = table.required("at", "at = \"1 in, 1 in\"", Value::point);
    let size = table.required("size", "size = \"2 x 1 in\"", Value::pair);
    let ((x, y), (width, height)) = (at?, size?);
    let right = x + width.length();
    let bottom = y + height.length();
    let area = Rect::new(x.to_mm(), y.to_mm(), right.to_mm(), bottom.to_mm());
    if let Some(shape) = on.shape {
        refuse_off(table, area, shape)?;
    }
    Some(TreatedPlace::Area(area.to_path(FLATTEN_MM)))
}

fn refuse_off(table: &Table<'_>, area: Rect, shape: &Shape) -> Option<()> {
    let off = without(&[corners(area)], &shape.outline.flattened(FLATTEN_MM));
    let off = off.iter().filter(|part| thickness_of(part) > VERIFY_MM);
    let Some(off) = off.map(|part| bounds_of(part)).reduce(|a, b| a.union(b)) else {
        return Some(());
    };
    let show = |mm: f64| table.mistakes().show_mm(mm);
    let message = format!(
        "{} x {} of the area lie off the piece, from {}, {}",
        show(off.width()),
        show(off.height()),
        show(off.x0),
        show(off.y0)
    );
    let piece = shape.outline.bounds();
    let hint = format!(
        "at is the area's top left corner, measured from that of the piece, which is {} wide and {} high",
        show(piece.width()),
        show(piece.height())
    );
    table
        .mistakes()
        .fail(code::TREAT_OUTSIDE, &table.origin_of("at"), message, hint)
}

fn read_panels(value: &Value<'_>, on: Treatable<'_>) -> Option<TreatedPlace> {
    let items = value.list("[\"front\"]")?;
    if items.is_empty() {
        let message = "no panel is named";
        let hint = "leave panels out for the whole piece";
        return value.fail(code::TREAT_PANEL, message, hint);
    }
    let mut names: Vec<String> = Vec::new();
    let mut is_whole = true;
    for item in &items {
        match read_panel(item, on) {
            Some(name) if names.contains(&name) => {}
            Some(name) => names.push(name),
            None => is_whole = false,
        }
    }
    is_whole.then_some(TreatedPlace::Panels(names))
}

fn read_panel(item: &Value<'_>, on: Treatable<'_>) -> Option<String> {
    let name = item.raw_text()?;
    let panels = &on.shape?.panels;
    if panels.iter().any(|panel| panel.name == name) {
        return Some(name.to_owned());
    }
    let message = format!("piece \"{}\" has no panel \"{name}\"", on.id);
    let hint = panel::hint(panels, name, str::to_owned).unwrap_or_else(|| {
        "name it under [[piece.panel]], or write at and size instead of panels".to_owned()
    });
    item.fail(code::TREAT_PANEL, message, hint)
}

fn read_embossing(
    table: &Table<'_>,
    on: Treatable<'_>,
    place: Option<&TreatedPlace>,
) -> Option<Embossing> {
    let tool = table.required("tool", "tool = \"leaf-plate\"", |v| {
        on.tools.find(v, &["embosser"])
    });
    let up = table.optional("up", |v| v.choice(EDGES));
    let goes_in = table.optional("goes_in", read_edges);
    let caliper = table.optional("caliper", |value| read_caliper(value, on.caliper));
    let is_read = !table.has("caliper") || caliper.is_some();
    let tool = tool?;
    let (place, shape) = (place?, on.shape?);
    let plate = on.tools.all[tool].as_ref()?;
    let paper = Paper {
        rings: rings_of(place, shape),
        bounds: shape.outline.bounds(),
    };
    let goes_in = match (table.has("goes_in"), goes_in) {
        (true, None) => return None,
        (_, declared) => embossing::passes(table, &paper, plate, declared.as_deref())?,
    };
    is_read.then_some(Embossing {
        tool,
        up,
        goes_in,
        caliper,
    })
}

/// Reads the edge that goes in first, or several, one for each pass.
fn read_edges(value: &Value<'_>) -> Option<Vec<Edge>> {
    if value.is_text() {
        return value.choice(EDGES).map(|edge| vec![edge]);
    }
    let items = value.list("[\"left\", \"right\"]")?;
    let edges: Vec<_> = items.iter().map(|item| item.choice(EDGES)).collect();
    let edges: Vec<Edge> = edges.into_iter().collect::<Option<_>>()?;
    if edges.is_empty() {
        let hint = format!("write {}", value.typed("\"left\""));
        return value.fail(code::KEY_TYPE, "no edge goes in first", hint);
    }
    Some(edges)
}

/// Reads what the paper measures over the embossing, which can be no less than the paper.
fn read_caliper(value: &Value<'_>, paper: Option<Size>) -> Option<Size> {
    let caliper = value.size()?;
    let Some(paper) = paper.filter(|paper| caliper < *paper) else {
        return Some(caliper);
    };
    let show = |size: Size| value.mistakes().show(size.length());
    let message = format!(
        "the embossed paper measures {}, and plain it is {} thick",
        show(caliper),
        show(paper)
    );
    let hint = "measure over the highest parts of the embossing, with the gauge barely touching";
    value.fail(code::TREAT_CALIPER, message, hint)
}

/// Returns the largest embossed caliper that the treatments of a table give, without reporting anything: they are read in full later.
pub(super) fn embossed_caliper(table: &Table<'_>) -> Option<Size> {
    let item = |item: &Value<'_>| {
        let table = item.table()?;
        let length = table.optional("caliper", |value| match value.get() {
            DeValue::String(text) => Length::parse(text, None).ok(),
            DeValue::Integer(_)
            | DeValue::Float(_)
            | DeValue::Boolean(_)
            | DeValue::Datetime(_)
            | DeValue::Array(_)
            | DeValue::Table(_) => None,
        })?;
        Size::new(length)
    };
    let treats = table.peek("treat")?;
    match treats.get() {
        DeValue::Array(_) => treats.list("")?.iter().filter_map(item).max(),
        DeValue::String(_)
        | DeValue::Integer(_)
        | DeValue::Float(_)
        | DeValue::Boolean(_)
        | DeValue::Datetime(_)
        | DeValue::Table(_) => None,
    }
}

/// Glue holds badly on what is embossed.
fn warn_of_glue_on_embossing(tables: &[Table<'_>], all: &[Treatment], shape: &Shape) {
    let is_embossed = |t: &&Treatment| match t.kind {
        TreatmentKind::Embossed(_) => true,
        TreatmentKind::Glued { .. } | TreatmentKind::Stamped | TreatmentKind::Plain => false,
    };
    for (glued, table) in all.iter().zip(tables) {
        let TreatmentKind::Glued { .. } = glued.kind else {
            continue;
        };
        let area = rings_of(&glued.place, shape);
        for embossed in all.iter().filter(is_embossed) {
            let both = shared(&area, &rings_of(&embossed.place, shape));
            let both = both.iter().filter(|part| thickness_of(part) > VERIFY_MM);
            let Some(both) = both.map(|part| bounds_of(part)).reduce(|a, b| a.union(b)) else {
                continue;
            };
            let show = |mm: f64| table.mistakes().show_mm(mm);
            let message = format!(
                "{} x {} of the glue lie on embossed paper, which it holds badly on",
                show(both.width()),
                show(both.height())
            );
            let warning = Diagnostic::warning(code::TREAT_GLUE, message)
                .at(&table.origin())
                .related(&embossed.origin, "embossed here")
                .hint("leave out the glued panels where you emboss, or glue elsewhere");
            table.mistakes().push(warning);
        }
    }
}

/// Returns a treated area as rings in the piece frame.
fn rings_of(place: &TreatedPlace, shape: &Shape) -> Vec<Ring> {
    match place {
        TreatedPlace::Whole => shape.outline.flattened(FLATTEN_MM),
        TreatedPlace::Panels(names) => {
            let named = shape.panels.iter().filter(|p| names.contains(&p.name));
            named.flat_map(|panel| panel.rings_mm()).collect()
        }
        TreatedPlace::Area(path) => vec![ring_of(path)],
    }
}

fn ring_of(path: &BezPath) -> Ring {
    corners(path.bounding_box())
}

fn corners(area: Rect) -> Ring {
    let Rect { x0, y0, x1, y1 } = area;
    [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
        .map(Point::from)
        .to_vec()
}

/// The box round an area.
pub(super) fn bounds_of(rings: &[Ring]) -> Rect {
    let point = |p: &Point| Rect::from_points(*p, *p);
    let points = rings.iter().flatten().map(point);
    points.reduce(|a, b| a.union(b)).unwrap_or_default()
}

//! The panels of a piece, and what is known of their form.

use kurbo::{Point, Rect, Shape as _};

use super::code;
use super::ids::{spelled, taken};
use super::shape::Shape;
use super::stock::EDGES;
use super::table::{Table, nearest};
use crate::diagnostic::{Diagnostic, Origin};
use crate::geometry::{Outline, cut_apart};
use crate::length::Length;
use crate::math::{Angle, FLATTEN_MM, VERIFY_MM};
use crate::project::{Edge, Operation, OperationKind, Panel};

/// An exact box in the piece frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct ExactBox {
    pub(super) left: Length,
    pub(super) top: Length,
    pub(super) width: Length,
    pub(super) height: Length,
}

impl ExactBox {
    pub(super) fn to_mm(self) -> Rect {
        let (right, bottom) = (self.left + self.width, self.top + self.height);
        let [x0, y0, x1, y1] = [self.left, self.top, right, bottom].map(Length::to_mm);
        Rect::new(x0, y0, x1, y1)
    }

    /// Returns the box with its edges on whole nanometres.
    fn nearest(bounds: Rect) -> Self {
        let (left, top) = (Length::nearest_mm(bounds.x0), Length::nearest_mm(bounds.y0));
        Self {
            left,
            top,
            width: Length::nearest_mm(bounds.x1) - left,
            height: Length::nearest_mm(bounds.y1) - top,
        }
    }
}

/// What form a panel has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum PanelForm {
    /// An upright rectangle in the piece frame, whole.
    Rectangle,
    /// A rectangle whose corners are snipped off, as a tab to be glued.
    Snipped,
    /// Any other.
    Other,
}

/// A panel with its exact box.
#[derive(Debug, Clone)]
pub(super) struct ShapePanel {
    pub(super) name: String,
    pub(super) bounds: ExactBox,
    pub(super) form: PanelForm,
    pub(super) up: Option<Angle>,
    /// Its edge, and a point well inside it, unless it is a whole rectangle of a strip.
    pub(super) region: Option<(Outline, Point)>,
}

impl ShapePanel {
    pub(super) fn to_panel(&self) -> Panel {
        let bounds_mm = self.bounds.to_mm();
        Panel {
            name: self.name.clone(),
            bounds_mm,
            inside_mm: self.region.as_ref().map_or(bounds_mm.center(), |r| r.1),
            up: self.up,
        }
    }

    /// Returns the panel of this name that holds a point, and the region it is.
    pub(super) fn of_region(
        name: String,
        up: Option<Angle>,
        inside_mm: Point,
        region: &Outline,
    ) -> Self {
        let form = if is_whole_box(region) {
            PanelForm::Rectangle
        } else {
            PanelForm::Other
        };
        Self {
            name,
            bounds: ExactBox::nearest(region.bounds()),
            form,
            up,
            region: Some((region.clone(), inside_mm)),
        }
    }

    /// Returns its edge as rings, with its curves flattened.
    pub(super) fn rings_mm(&self) -> Vec<Vec<Point>> {
        match &self.region {
            Some((region, _)) => region.flattened(FLATTEN_MM),
            None => vec![self.corners_mm()],
        }
    }

    /// Returns its corners, with its curves flattened.
    pub(super) fn corners_mm(&self) -> Vec<Point> {
        match &self.region {
            Some((region, _)) => region.flattened(FLATTEN_MM).into_iter().flatten().collect(),
            None => {
                let b = self.bounds.to_mm();
                vec![
                    b.origin(),
                    Point::new(b.x1, b.y0),
                    Point::new(b.x1, b.y1),
                    Point::new(b.x0, b.y1),
                ]
            }
        }
    }
}

/// Reads the `[[piece.panel]]` tables of a piece: names for what its creases part, each told by a point.
///
/// `work` is what is done to the piece; without a shape only the tables' own mistakes are found. `None` if there is one.
pub(super) fn read_all(
    tables: &[Table<'_>],
    shape: Option<&Shape>,
    work: &[Operation],
) -> Option<Vec<ShapePanel>> {
    if let (Some(first), Some(shape)) = (tables.first(), shape)
        && !shape.panels.is_empty()
    {
        let message = "the panels of a strip have names: they are numbered from 1";
        let hint = "leave [[piece.panel]] out, and name a panel by its number, like \"packet:2\"";
        return first
            .mistakes()
            .fail(code::KEY_CONFLICT, &first.origin(), message, hint);
    }
    let regions = match shape {
        Some(shape) if !tables.is_empty() => regions(&shape.outline, work),
        Some(_) | None => Vec::new(),
    };
    let mut named: Vec<(usize, ShapePanel, Origin)> = Vec::new();
    let mut is_whole = true;
    for table in tables {
        let read = read(table, &regions, &named, shape.is_some());
        is_whole &= read.is_some();
        named.extend(read);
    }
    is_whole.then(|| named.into_iter().map(|(_, panel, _)| panel).collect())
}

fn read(
    table: &Table<'_>,
    regions: &[Outline],
    named: &[(usize, ShapePanel, Origin)],
    has_shape: bool,
) -> Option<(usize, ShapePanel, Origin)> {
    let name = table.required("name", "name = \"front\"", |value| {
        let name = spelled(value, "panel")?;
        let earlier = named.iter().find(|(_, panel, _)| panel.name == name);
        if let Some((_, _, origin)) = earlier {
            let mistake = taken(&name, "another panel", &value.origin(), origin);
            value.mistakes().push(mistake);
        }
        Some(name)
    });
    let at = table.required("at", "at = \"2 in, 1 in\"", |value| {
        let (x, y) = value.point()?;
        let point = Point::new(x.to_mm(), y.to_mm());
        if !has_shape {
            return None;
        }
        let Some(region) = regions.iter().position(|region| region.contains(point)) else {
            let message = "no paper is at this point of the piece";
            let hint = "measure at from the top left corner of the piece's box to a point well inside the panel";
            return value.fail(code::PANEL_POINT, message, hint);
        };
        if let Some((_, panel, origin)) = named.iter().find(|(earlier, ..)| *earlier == region) {
            let message = format!("the panel at this point is \"{}\" already", panel.name);
            let mistake = Diagnostic::error(code::PANEL_POINT, message)
                .at(&value.origin())
                .related(origin, "named here")
                .hint("add the crease that parts them, from edge to edge, or leave one of the names out");
            value.mistakes().push(mistake);
        }
        Some((region, point))
    });
    let up = table.optional("up", |v| v.choice(EDGES)).map(turn_of);
    table.close();
    let (name, (region, point)) = (name?, at?);
    let panel = ShapePanel::of_region(name, up, point, &regions[region]);
    Some((region, panel, table.origin()))
}

/// Returns how the upright is turned where an edge of the piece is up.
fn turn_of(edge: Edge) -> Angle {
    match edge {
        Edge::Top => Angle::ZERO,
        Edge::Right => Angle::from_deg(90.0),
        Edge::Bottom => Angle::from_deg(180.0),
        Edge::Left => Angle::from_deg(270.0),
    }
}

/// Says which panels there are, or which one was likely meant, spelled out by `written`; `None` if there is none.
pub(super) fn hint(
    panels: &[ShapePanel],
    wrong: &str,
    written: impl Fn(&str) -> String,
) -> Option<String> {
    let names: Vec<_> = panels.iter().map(|panel| panel.name.as_str()).collect();
    let is_numbered = |(i, name): (usize, &&str)| **name == (i + 1).to_string();
    if names.is_empty() {
        None
    } else if names.iter().enumerate().all(is_numbered) {
        Some(format!("its panels are 1 to {}", names.len()))
    } else if let Some(near) = nearest(wrong, names.iter().copied()) {
        Some(format!("write \"{}\"", written(near)))
    } else {
        Some(format!("its panels are {}", names.join(", ")))
    }
}

/// Whether a region covers its box but for what no printer can show.
fn is_whole_box(region: &Outline) -> bool {
    let bounds = region.bounds();
    let edge_mm = bounds.perimeter(FLATTEN_MM);
    bounds.area() - region.area_mm2() <= edge_mm * VERIFY_MM / 10.0
}

/// Returns the regions that creases, slits and perforations leave of a piece.
pub(super) fn regions(outline: &Outline, operations: &[Operation]) -> Vec<Outline> {
    let parts_it = |operation: &&Operation| match operation.kind {
        OperationKind::Crease { .. }
        | OperationKind::Cut
        | OperationKind::Perforation { .. }
        | OperationKind::Hole => true,
        OperationKind::PartialCut | OperationKind::Line => false,
    };
    let lines: Vec<_> = operations
        .iter()
        .filter(parts_it)
        .map(|operation| operation.path.clone())
        .collect();
    cut_apart(outline, &lines)
}

/// Returns the panels that a construction names, with the regions they are.
pub(super) fn of_made(
    panels: &[Panel],
    outline: &Outline,
    operations: &[Operation],
) -> Vec<ShapePanel> {
    let regions = regions(outline, operations);
    let shape = |panel: &Panel| {
        let (name, inside_mm) = (panel.name.clone(), panel.inside_mm);
        match regions.iter().find(|region| region.contains(inside_mm)) {
            Some(region) => ShapePanel::of_region(name, panel.up, inside_mm, region),
            None => ShapePanel {
                name,
                bounds: ExactBox::nearest(panel.bounds_mm),
                form: PanelForm::Other,
                up: panel.up,
                region: None,
            },
        }
    };
    panels.iter().map(shape).collect()
}

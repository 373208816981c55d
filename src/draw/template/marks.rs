//! What stands on a piece: hatched areas, and the names of its panels.

use kurbo::{Affine, BezPath, Point, Rect, Shape, Vec2};

use super::caption::ARROWS;
use super::leaf::{segment, tagged};
use super::subject::Subject;
use super::words::{CAPITAL_MM, TEXT_MM, Words};
use crate::draw::text::TextLine;
use crate::drawing::{Colour, Drawing, FillRule, Item, Paint, Stroke, Weight};
use crate::geometry::{Outline, cut_apart};
use crate::project::{
    Face, JointKind, OperationKind, Panel, Piece, Project, TreatedPlace, TreatmentKind,
};

/// What is done to an area.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum What {
    Glued,
    Embossed,
    Stamped,
    Plain,
}

impl What {
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Glued => "glue",
            Self::Embossed => "emboss",
            Self::Stamped => "stamp",
            Self::Plain => "leave plain",
        }
    }

    /// Directions of its lines, and their distance in millimetres.
    fn lines(self) -> (&'static [Vec2], f64) {
        const RISING: Vec2 = Vec2::new(1.0, -1.0);
        const FALLING: Vec2 = Vec2::new(1.0, 1.0);
        const UPRIGHT: Vec2 = Vec2::new(0.0, 1.0);
        const LEVEL: Vec2 = Vec2::new(1.0, 0.0);
        match self {
            Self::Glued => (&[RISING], 3.0),
            Self::Embossed => (&[RISING, FALLING], 5.0),
            Self::Stamped => (&[UPRIGHT], 3.0),
            Self::Plain => (&[LEVEL], 3.0),
        }
    }
}

/// What is done to an area, and on which face.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Area {
    pub(super) what: What,
    pub(super) face: Face,
}

/// Every area of a piece with something done to it, where it is in the piece frame, and the maker's word to it.
pub(super) fn areas(project: &Project, piece: usize) -> Vec<(Area, BezPath, Option<&str>)> {
    let of = &project.pieces[piece];
    let mut found = Vec::new();
    for treatment in &of.treatments {
        let what = match &treatment.kind {
            TreatmentKind::Embossed(_) => What::Embossed,
            TreatmentKind::Glued { .. } => What::Glued,
            TreatmentKind::Stamped => What::Stamped,
            TreatmentKind::Plain => What::Plain,
        };
        let face = treatment.face;
        let paths = match &treatment.place {
            TreatedPlace::Whole => vec![of.outline.path()],
            TreatedPlace::Panels(names) => names.iter().flat_map(|n| region(of, n)).collect(),
            TreatedPlace::Area(path) => vec![path.clone()],
        };
        let note = treatment.note.as_deref();
        let area = Area { what, face };
        found.extend(paths.into_iter().map(|path| (area, path, note)));
    }
    for (face, path) in stuck(project, piece) {
        let area = Area {
            what: What::Glued,
            face,
        };
        if !found.iter().any(|(a, p, _)| *a == area && *p == path) {
            found.push((area, path, None));
        }
    }
    found
}

/// Where a piece gets glue, by the objects it belongs to.
fn stuck(project: &Project, piece: usize) -> Vec<(Face, BezPath)> {
    let of = &project.pieces[piece];
    let mut found = Vec::new();
    for assembly in &project.assemblies {
        for joint in &assembly.joints {
            let JointKind::Stuck { area, .. } = &joint.kind else {
                continue;
            };
            if assembly.members[joint.from.member].piece == piece {
                let path = area.clone().or_else(|| region(of, &joint.from.panel));
                found.extend(path.map(|path| (joint.from.face, path)));
            }
        }
    }
    found
}

/// The panels of a piece as its creases part it.
fn parts(piece: &Piece) -> Vec<Outline> {
    let creases = piece.operations.iter().filter(|o| match o.kind {
        OperationKind::Crease { .. } | OperationKind::Cut | OperationKind::Perforation { .. } => {
            true
        }
        OperationKind::PartialCut | OperationKind::Hole | OperationKind::Line => false,
    });
    let lines: Vec<BezPath> = creases.map(|o| o.path.clone()).collect();
    cut_apart(&piece.outline, &lines)
}

fn region(piece: &Piece, panel: &str) -> Option<BezPath> {
    let panel = piece.panels.iter().find(|p| p.name == panel)?;
    let parts = parts(piece);
    let part = parts.iter().find(|part| part.contains(panel.inside_mm));
    part.map(Outline::path)
}

/// The areas of a piece, hatched.
pub(super) fn hatches(subject: &Subject<'_>, page_from_piece: Affine) -> Vec<Item> {
    let areas = areas(subject.project, subject.piece);
    let items = areas.into_iter().enumerate().map(|(i, (area, path, _))| {
        let id = format!("{}.area-{}", subject.id(), i + 1);
        tagged("area", &id, hatch(&(page_from_piece * path), area))
    });
    items.collect()
}

/// Lines across an area: dashed where the other face is meant.
pub(super) fn hatch(path: &BezPath, area: Area) -> Vec<Item> {
    let bounds = path.bounding_box();
    let (ways, pitch_mm) = area.what.lines();
    let dash_mm = match (area.what, area.face) {
        // Dots, far apart: nothing is done here.
        (What::Plain, Face::Front | Face::Back) => vec![0.3, 3.7],
        (What::Glued | What::Embossed | What::Stamped, Face::Front) => Vec::new(),
        (What::Glued | What::Embossed | What::Stamped, Face::Back) => vec![1.2, 1.2],
    };
    let look = Stroke {
        dash_mm,
        ..Stroke::solid(match area.what {
            What::Plain => 0.3,
            What::Glued | What::Embossed | What::Stamped => 0.12,
        })
    };
    let mut lines = BezPath::new();
    for way in ways {
        lines.extend(across(bounds, *way, pitch_mm));
    }
    let inner = Drawing {
        items: vec![Item::Stroke {
            path: lines,
            stroke: look,
            paint: Paint::flat(Colour::rgb(0x4a, 0x4a, 0x4a)),
        }],
    };
    vec![Item::Clip {
        path: path.clone(),
        rule: FillRule::EvenOdd,
        inner,
    }]
}

/// Parallel lines that cover a box and do not leave it, at whole multiples of their distance from the page's corner.
fn across(bounds: Rect, way: Vec2, pitch_mm: f64) -> BezPath {
    let mut path = BezPath::new();
    if way.x.abs() < 0.5 {
        let mut x_mm = (bounds.x0 / pitch_mm).ceil() * pitch_mm;
        while x_mm < bounds.x1 {
            path.extend(segment((x_mm, bounds.y0), (x_mm, bounds.y1)));
            x_mm += pitch_mm;
        }
        return path;
    }
    // y = slope x + c: the lines with every c that meets the box.
    let slope = way.y / way.x;
    let meets = |x: f64, y: f64| y - slope * x;
    let corners = [
        meets(bounds.x0, bounds.y0),
        meets(bounds.x1, bounds.y0),
        meets(bounds.x0, bounds.y1),
        meets(bounds.x1, bounds.y1),
    ];
    let least = corners.into_iter().fold(f64::INFINITY, f64::min);
    let most = corners.into_iter().fold(f64::NEG_INFINITY, f64::max);
    let mut c = (least / pitch_mm).ceil() * pitch_mm;
    while c < most {
        let (mut x0, mut x1) = (bounds.x0, bounds.x1);
        if slope.abs() > 0.5 {
            let (at_top, at_bottom) = ((bounds.y0 - c) / slope, (bounds.y1 - c) / slope);
            x0 = x0.max(at_top.min(at_bottom));
            x1 = x1.min(at_top.max(at_bottom));
        }
        if x0 < x1 {
            path.extend(segment((x0, slope * x0 + c), (x1, slope * x1 + c)));
        }
        c += pitch_mm;
    }
    path
}

/// The names of panels, each where it fits, with an arrow where a panel has its top in the finished object. A name goes on a page of
/// several only if it is whole there, unless it is whole on none.
pub(super) fn names(subject: &Subject<'_>, page_from_piece: Affine, seen: Rect) -> Vec<Item> {
    let piece = &subject.project.pieces[subject.piece];
    if piece.panels.len() < 2 {
        return Vec::new();
    }
    let parts: Vec<Outline> = parts(piece);
    let parts: Vec<Outline> = parts
        .iter()
        .map(|part| part.transformed(page_from_piece))
        .collect();
    let named = piece.panels.iter().filter_map(|panel| {
        let inside = page_from_piece * panel.inside_mm;
        let part = parts.iter().find(|part| part.contains(inside))?;
        let name = spelled(panel, page_from_piece);
        placed(&name, part, inside, seen)
    });
    named.collect()
}

fn spelled(panel: &Panel, page_from_piece: Affine) -> Words {
    let [a, ..] = page_from_piece.as_coeffs();
    let turned_deg = if a.abs() < 0.5 { 90.0 } else { 0.0 };
    let arrow = panel.up.map(|up| {
        let deg = (up.deg() + turned_deg) % 360.0;
        let quarter = [0.0, 90.0, 180.0, 270.0]
            .into_iter()
            .position(|q: f64| (q - deg).abs() < 45.0);
        ARROWS[quarter.unwrap_or(0)]
    });
    Words::plain(arrow.map_or_else(
        || panel.name.clone(),
        |arrow| format!("{} {arrow}", panel.name),
    ))
}

/// Sets a name level or upright in its part of the page, in the middle if it fits there; nothing where it fits nowhere.
fn placed(name: &Words, part: &Outline, inside: Point, seen: Rect) -> Option<Item> {
    let half = Vec2::new(name.width_mm() / 2.0 + 0.5, CAPITAL_MM / 2.0 + 1.2);
    let middles = [part.bounds().center(), inside];
    for half in [half, Vec2::new(half.y, half.x)] {
        for middle in middles {
            let area = Rect::from_points(middle - half, middle + half);
            let is_seen = area.intersect(seen).area() >= area.area() - 1e-9;
            if is_on(part, area) && is_seen {
                return Some(set(name, middle, half.x < half.y));
            }
        }
    }
    None
}

fn is_on(part: &Outline, area: Rect) -> bool {
    let middle = area.center();
    let xs = [area.x0, middle.x, area.x1];
    let ys = [area.y0, middle.y, area.y1];
    xs.into_iter()
        .all(|x| ys.into_iter().all(|y| part.contains(Point::new(x, y))))
}

fn set(name: &Words, middle: Point, is_upright: bool) -> Item {
    let (along_mm, down_mm) = (name.width_mm() / 2.0, CAPITAL_MM / 2.0);
    let line = TextLine::weighted(&name.text, TEXT_MM, Weight::Regular);
    // On white, so that a hatching does not run through it.
    let matrix = if is_upright {
        Affine::new([0.0, -1.0, 1.0, 0.0, middle.x + down_mm, middle.y + along_mm])
    } else {
        Affine::translate((middle.x - along_mm, middle.y + down_mm))
    };
    let plate = Rect::new(-0.4, -CAPITAL_MM - 0.4, 2.0 * along_mm + 0.4, 1.1);
    tagged(
        "name",
        &name.text,
        vec![
            Item::Fill {
                path: matrix * plate.to_path(0.1),
                rule: FillRule::NonZero,
                paint: Paint::flat(Colour::WHITE),
            },
            line.placed(matrix, Colour::BLACK),
        ],
    )
}

//! Areas of a piece with something done to them, and how they are hatched: by kind, the same on every page.

use kurbo::{Affine, BezPath, Point, Rect, Shape};

use super::typeset::GREY;
use crate::drawing::{Drawing, FillRule, Item, Paint, Stroke};
use crate::geometry::{Outline, cut_apart, mirror_about_x};
use crate::project::{
    Face, JointKind, OperationKind, Piece, Project, Surface, TreatedPlace, TreatmentKind,
};

const LINE_MM: f64 = 0.15;
/// Dots, far apart: nothing is done here.
const DOT_LINE_MM: f64 = 0.4;
/// Dashes of what is done behind.
const BEHIND_MM: [f64; 2] = [1.2, 0.9];

/// What is done to an area, in the order of a key.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum What {
    Embossed,
    Stamped,
    Plain,
    Glued,
}

impl What {
    const fn of(treatment: &TreatmentKind) -> Self {
        match treatment {
            TreatmentKind::Embossed(_) => Self::Embossed,
            TreatmentKind::Glued { .. } => Self::Glued,
            TreatmentKind::Stamped => Self::Stamped,
            TreatmentKind::Plain => Self::Plain,
        }
    }

    /// Distance of its lines, in millimetres.
    const fn pitch_mm(self) -> f64 {
        match self {
            Self::Embossed => 2.4,
            Self::Glued => 1.5,
            Self::Stamped | Self::Plain => 1.8,
        }
    }
}

/// An area, in the piece frame.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct TreatedArea<'a> {
    pub(super) what: What,
    pub(super) face: Face,
    pub(super) path: BezPath,
    /// The maker's word to it.
    pub(super) note: Option<&'a str>,
}

/// All areas of a piece with something done to them: as the treatments say, then glue from the joints that no treatment tells of.
pub(super) fn treated_areas(project: &Project, piece: usize) -> Vec<TreatedArea<'_>> {
    let of = &project.pieces[piece];
    let parts = Parts::of(of);
    let mut areas = Vec::new();
    for treatment in &of.treatments {
        let area = |path: BezPath| TreatedArea {
            what: What::of(&treatment.kind),
            face: treatment.face,
            path,
            note: treatment.note.as_deref(),
        };
        match &treatment.place {
            TreatedPlace::Whole => areas.push(area(of.outline.path())),
            TreatedPlace::Panels(names) => {
                let named = names.iter().filter_map(|name| parts.panel(of, name));
                areas.extend(named.map(area));
            }
            TreatedPlace::Area(path) => areas.push(area(path.clone())),
        }
    }
    for (surface, path) in stuck(project, piece) {
        let Some(path) = path.or_else(|| parts.panel(of, &surface.panel)) else {
            continue;
        };
        let middle = path.bounding_box().center();
        let is_told = areas.iter().any(|other| {
            let is_same = (other.what, other.face) == (What::Glued, surface.face);
            is_same && other.path.contains(middle)
        });
        if !is_told {
            areas.push(TreatedArea {
                what: What::Glued,
                face: surface.face,
                path,
                note: None,
            });
        }
    }
    areas
}

/// What of a piece gets glue in some assembly, with its area where it is not the whole panel.
fn stuck(project: &Project, piece: usize) -> Vec<(&Surface, Option<BezPath>)> {
    let mut found = Vec::new();
    for assembly in &project.assemblies {
        for joint in &assembly.joints {
            let JointKind::Stuck { area, .. } = &joint.kind else {
                continue;
            };
            let member = assembly.members.get(joint.from.member);
            if member.is_some_and(|m| m.piece == piece) {
                found.push((&joint.from, area.clone()));
            }
        }
    }
    found
}

/// A piece cut apart along its creases, tears and cuts.
#[derive(Debug)]
pub(super) struct Parts {
    parts: Vec<Outline>,
}

impl Parts {
    pub(super) fn of(piece: &Piece) -> Self {
        let lines = piece.operations.iter().filter(|o| match o.kind {
            OperationKind::Crease { .. }
            | OperationKind::Perforation { .. }
            | OperationKind::Cut => true,
            OperationKind::PartialCut | OperationKind::Hole | OperationKind::Line => false,
        });
        let lines: Vec<BezPath> = lines.map(|o| o.path.clone()).collect();
        Self {
            parts: cut_apart(&piece.outline, &lines),
        }
    }

    /// The part of the piece around a point.
    pub(super) fn at(&self, inside: Point) -> Option<&Outline> {
        self.parts.iter().find(|part| part.contains(inside))
    }

    /// The area of a panel.
    fn panel(&self, piece: &Piece, name: &str) -> Option<BezPath> {
        let panel = piece.panels.iter().find(|p| p.name == name)?;
        Some(self.at(panel.inside_mm)?.path())
    }
}

/// The hatching of an area, in the frame it is given in: broken lines where it is meant for the face that does not show. Lines are
/// `apart` times as far from each other as on small drawings.
pub(super) fn hatched(area: &BezPath, what: What, is_behind: bool, apart: f64) -> Vec<Item> {
    let filled = area.bounding_box();
    let pitch_mm = what.pitch_mm() * apart;
    let mut lines = BezPath::new();
    match what {
        What::Embossed => {
            diagonals(&mut lines, filled, pitch_mm, Affine::IDENTITY);
            let mirror = mirror_about_x(filled.center().x);
            diagonals(&mut lines, filled, pitch_mm, mirror);
        }
        // Behind they lean the other way, as one sees them through the paper: so they never lie on those in front.
        What::Glued if is_behind => {
            diagonals(
                &mut lines,
                filled,
                pitch_mm,
                mirror_about_x(filled.center().x),
            );
        }
        What::Glued => diagonals(&mut lines, filled, pitch_mm, Affine::IDENTITY),
        What::Stamped | What::Plain => levels(&mut lines, filled, pitch_mm),
    }
    let (width_mm, dash_mm) = match (what, is_behind) {
        (What::Plain, false) => (DOT_LINE_MM, vec![DOT_LINE_MM, 2.0 * pitch_mm]),
        (What::Plain, true) => (DOT_LINE_MM, vec![DOT_LINE_MM, 4.0 * pitch_mm]),
        (What::Embossed | What::Stamped | What::Glued, false) => (LINE_MM, Vec::new()),
        (What::Embossed | What::Stamped | What::Glued, true) => (LINE_MM, BEHIND_MM.to_vec()),
    };
    let stroke = Item::Stroke {
        path: lines,
        stroke: Stroke {
            dash_mm,
            ..Stroke::solid(width_mm)
        },
        paint: Paint::flat(GREY),
    };
    vec![Item::Clip {
        path: area.clone(),
        rule: FillRule::EvenOdd,
        inner: Drawing {
            items: vec![stroke],
        },
    }]
}

/// Lines through a box, rising by as much as they run, `pitch_mm` apart across; each ends where it leaves the box.
fn diagonals(lines: &mut BezPath, filled: Rect, pitch_mm: f64, map: Affine) {
    let rise_mm = filled.height();
    let mut x_mm = filled.x0 - rise_mm + pitch_mm / 2.0;
    while x_mm < filled.x1 {
        let before_mm = (filled.x0 - x_mm).max(0.0);
        let beyond_mm = (x_mm + rise_mm - filled.x1).max(0.0);
        let from = Point::new(x_mm + before_mm, filled.y1 - before_mm);
        let to = Point::new(x_mm + rise_mm - beyond_mm, filled.y0 + beyond_mm);
        lines.move_to(map * from);
        lines.line_to(map * to);
        x_mm += pitch_mm;
    }
}

fn levels(lines: &mut BezPath, filled: Rect, pitch_mm: f64) {
    let mut y_mm = filled.y0 + pitch_mm / 2.0;
    while y_mm < filled.y1 {
        lines.move_to((filled.x0, y_mm));
        lines.line_to((filled.x1, y_mm));
        y_mm += pitch_mm;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_of_hatching_differ_without_colour() {
        let area = Rect::new(0.0, 0.0, 20.0, 10.0).to_path(0.1);
        let mut seen = Vec::new();
        for what in [What::Embossed, What::Stamped, What::Plain, What::Glued] {
            for is_behind in [false, true] {
                let items = hatched(&area, what, is_behind, 1.0);
                assert!(!seen.contains(&items), "{what:?} {is_behind}");
                seen.push(items);
            }
        }
    }

    #[test]
    fn hatching_does_not_leave_the_box_of_its_area() {
        let filled = Rect::new(3.0, 5.0, 41.0, 12.0);
        for what in [What::Embossed, What::Stamped, What::Plain, What::Glued] {
            let items = hatched(&filled.to_path(0.1), what, false, 2.0);
            let [Item::Clip { inner, .. }] = &items[..] else {
                panic!()
            };
            let [Item::Stroke { path, .. }] = &inner.items[..] else {
                panic!()
            };
            let drawn = path.bounding_box();
            let all = filled.inflate(1e-9, 1e-9);
            assert_eq!(all.union(drawn), all, "{what:?}");
        }
    }
}

//! Areas with something done to them, hatched by kind.

use kurbo::{Affine, BezPath, Point, Rect, Shape};

use super::super::super::typeset::GREY;
use super::super::Told;
use crate::drawing::{Drawing, FillRule, Item, Paint, Stroke};
use crate::geometry::cut_apart;
use crate::handout::PieceWork;
use crate::project::{JointKind, OperationKind, Piece, Surface, TreatedPlace, TreatmentKind};

const LINE_MM: f64 = 0.15;
/// How far the diagonals run across for one down.
const SLOPE: f64 = 1.0;

/// What is done to an area, and on which side of what is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(in super::super) struct Hatch {
    pub(in super::super) kind: HatchKind,
    /// Whether it is on the face that does not show.
    pub(in super::super) is_behind: bool,
}

/// What is done to an area, in the order of a key.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(in super::super) enum HatchKind {
    Embossed,
    Stamped,
    Plain,
    Glued,
}

impl Hatch {
    pub(in super::super) fn label(self) -> String {
        let what = match self.kind {
            HatchKind::Embossed => "embossed",
            HatchKind::Stamped => "stamped or written on",
            HatchKind::Plain => "left plain",
            HatchKind::Glued => "glue goes here",
        };
        if self.is_behind {
            format!("{what}, on the face that is not shown (broken lines)")
        } else {
            what.to_owned()
        }
    }
}

/// An area in the piece frame.
#[derive(Debug, Clone, PartialEq)]
pub(in super::super) struct TreatedArea {
    pub(in super::super) hatch: Hatch,
    pub(in super::super) area: BezPath,
}

/// All areas of a piece with something done to them: as the treatments say, then glue from the joints that no treatment tells of.
pub(in super::super) fn treated(told: Told<'_>, work: &PieceWork) -> Vec<TreatedArea> {
    let piece = told.piece(work);
    let parts = Parts::of(piece);
    let mut areas = Vec::new();
    for treatment in &piece.treatments {
        let hatch = Hatch {
            kind: kind(&treatment.kind),
            is_behind: treatment.face != work.scored_face,
        };
        match &treatment.place {
            TreatedPlace::Whole => areas.push((hatch, piece.outline.path(), treatment.face)),
            TreatedPlace::Panels(names) => {
                let named = names.iter().filter_map(|name| parts.panel(piece, name));
                areas.extend(named.map(|area| (hatch, area, treatment.face)));
            }
            TreatedPlace::Area(area) => areas.push((hatch, area.clone(), treatment.face)),
        }
    }
    for (surface, area) in stuck(told, work.piece) {
        let Some(area) = area.or_else(|| parts.panel(piece, &surface.panel)) else {
            continue;
        };
        let hatch = Hatch {
            kind: HatchKind::Glued,
            is_behind: surface.face != work.scored_face,
        };
        let middle = area.bounding_box().center();
        let is_told = areas.iter().any(|(other, path, face)| {
            other.kind == HatchKind::Glued && *face == surface.face && path.contains(middle)
        });
        if !is_told {
            areas.push((hatch, area, surface.face));
        }
    }
    areas
        .into_iter()
        .map(|(hatch, area, _)| TreatedArea { hatch, area })
        .collect()
}

/// What of a piece gets glue in some assembly, with its area where it is not the whole panel.
fn stuck<'a>(told: Told<'a>, piece: usize) -> Vec<(&'a Surface, Option<BezPath>)> {
    let mut found = Vec::new();
    for assembly in &told.project.assemblies {
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

const fn kind(treatment: &TreatmentKind) -> HatchKind {
    match treatment {
        TreatmentKind::Embossed(_) => HatchKind::Embossed,
        TreatmentKind::Glued { .. } => HatchKind::Glued,
        TreatmentKind::Stamped => HatchKind::Stamped,
        TreatmentKind::Plain => HatchKind::Plain,
    }
}

/// A piece cut apart along its creases.
pub(super) struct Parts {
    parts: Vec<crate::geometry::Outline>,
}

impl Parts {
    pub(super) fn of(piece: &Piece) -> Self {
        let creases = piece.operations.iter().filter(|o| match o.kind {
            OperationKind::Crease { .. } | OperationKind::Perforation { .. } => true,
            OperationKind::Cut
            | OperationKind::PartialCut
            | OperationKind::Hole
            | OperationKind::Line => false,
        });
        let lines: Vec<BezPath> = creases.map(|o| o.path.clone()).collect();
        Self {
            parts: cut_apart(&piece.outline, &lines),
        }
    }

    /// The part of the piece around a point.
    pub(super) fn at(&self, inside: Point) -> Option<&crate::geometry::Outline> {
        self.parts.iter().find(|part| part.contains(inside))
    }

    /// The area of a panel.
    pub(super) fn panel(&self, piece: &Piece, name: &str) -> Option<BezPath> {
        let panel = piece.panels.iter().find(|p| p.name == name)?;
        Some(self.at(panel.inside_mm)?.path())
    }
}

/// The hatching of an area, in the frame it is given in.
pub(in super::super) fn hatched(area: &BezPath, hatch: Hatch) -> Vec<Item> {
    let filled = super::boxed(area);
    let mut lines = BezPath::new();
    match hatch.kind {
        HatchKind::Embossed => {
            diagonals(&mut lines, filled, 2.4, Affine::IDENTITY);
            let mirror = crate::geometry::mirror_about_x(filled.center().x);
            diagonals(&mut lines, filled, 2.4, mirror);
        }
        HatchKind::Glued => diagonals(&mut lines, filled, 1.5, Affine::IDENTITY),
        HatchKind::Stamped => levels(&mut lines, filled, 1.8),
        HatchKind::Plain => levels(&mut lines, filled, 4.5),
    }
    let dash_mm = if hatch.is_behind {
        vec![1.2, 0.9]
    } else {
        Vec::new()
    };
    let stroke = Item::Stroke {
        path: lines,
        stroke: Stroke {
            dash_mm,
            ..Stroke::solid(LINE_MM)
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

/// Rising lines through a box, `pitch_mm` apart across.
fn diagonals(lines: &mut BezPath, filled: Rect, pitch_mm: f64, map: Affine) {
    let across_mm = filled.height() * SLOPE;
    let mut x_mm = filled.x0 - across_mm + pitch_mm / 2.0;
    while x_mm < filled.x1 {
        lines.move_to(map * Point::new(x_mm, filled.y1));
        lines.line_to(map * Point::new(x_mm + across_mm, filled.y0));
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
        let kinds = [
            HatchKind::Embossed,
            HatchKind::Stamped,
            HatchKind::Plain,
            HatchKind::Glued,
        ];
        let mut seen = Vec::new();
        for kind in kinds {
            for is_behind in [false, true] {
                let items = hatched(&area, Hatch { kind, is_behind });
                assert!(!seen.contains(&items), "{kind:?} {is_behind}");
                seen.push(items);
            }
        }
    }
}

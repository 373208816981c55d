//! The prick test: a first file that only marks where the machine believes the marks to be.

use kurbo::{BezPath, Line, Point, Vec2};

use super::{MarkReading, PrintedSheet};
use crate::draw;
use crate::draw::page::{CutLayer, CutPath, CutSheet};
use crate::fit::vernier_fraction;
use crate::plan::{MarkScale, PRICKED, PRICKED_PITCH_MM};

/// What the title of such a file ends in.
pub const PRICK_TITLE: &str = "prick test";

/// Half the length of a cross's lines, in millimetres: inside the ring, so that it is seen against white.
const CROSS_MM: f64 = 1.5;

/// Name of the layer: lines that are drawn or scored lightly, never cut through.
const LAYER: &str = "line";

/// Returns a file that draws, or pricks, a small cross at each mark, and the fine lines that stand against the printed ones where the
/// sheet has them. It has the size and the corner lines of the cut file, so that it lands where that will.
#[must_use]
pub fn prick_sheet(sheet: &PrintedSheet) -> CutSheet {
    let mut layers = Vec::new();
    let corners = sheet.cut.paths.iter().filter(|path| {
        let id = path.id.as_deref();
        id == Some("ref-top-left") || id == Some("ref-bottom-right")
    });
    let corners = corners.map(|path| CutPath {
        id: path.id.clone().unwrap_or_default(),
        title: path.title.clone(),
        path: path.path.clone(),
    });
    layers.extend(layer("reference", corners.collect()));
    layers.extend(layer(LAYER, pricks(sheet)));
    CutSheet {
        title: format!("{}, {PRICK_TITLE}", sheet.cut.title),
        note: format!(
            "{} Draw or score this lightly before anything is cut; then read how far each cross is from its printed mark.",
            sheet.cut.note
        ),
        width_mm: sheet.cut.width_mm,
        height_mm: sheet.cut.height_mm,
        layers,
    }
}

fn layer(name: &str, paths: Vec<CutPath>) -> Option<CutLayer> {
    let (name, colour) = draw::cut_layer(name)?;
    Some(CutLayer {
        name,
        colour,
        paths,
    })
}

fn pricks(sheet: &PrintedSheet) -> Vec<CutPath> {
    let mut paths = Vec::new();
    for mark in &sheet.marks {
        let mut add = |id: String, title: &str, lines: &[Line]| {
            let mut path = BezPath::new();
            for line in lines {
                path.move_to(sheet.file_from_lying * line.p0);
                path.line_to(sheet.file_from_lying * line.p1);
            }
            let title = title.to_owned();
            paths.push(CutPath { id, title, path });
        };
        let arm = |arm: Vec2| Line::new(mark.centre - arm, mark.centre + arm);
        let cross = [arm(Vec2::new(CROSS_MM, 0.0)), arm(Vec2::new(0.0, CROSS_MM))];
        add(format!("{}.prick", mark.id), "centre of the mark", &cross);
        if sheet.has_mark_scales {
            for (scale, axis) in MarkScale::beside(mark.centre, sheet.paper)
                .iter()
                .zip(["x", "y"])
            {
                let lines: Vec<Line> = PRICKED.map(|n| scale.pricked_line(n)).collect();
                add(format!("{}.{axis}", mark.id), "vernier", &lines);
            }
        }
    }
    paths
}

/// Returns how far print lies from prick where the first pricked line stands at or behind the printed line of `whole_mm`, and
/// pricked line number `tenth` meets a printed one.
///
/// The pricked line stands at `-d` on the printed scale when the print lies `d` further along than the prick.
#[must_use]
pub fn prick_offset_mm(whole_mm: i32, tenth: i32) -> f64 {
    -(f64::from(whole_mm) + vernier_fraction(tenth, PRICKED_PITCH_MM, 0.0))
}

/// Returns where the marks are by how far each lies from its prick: to the right and below are above zero.
#[must_use]
pub fn from_offsets(sheet: &PrintedSheet, offsets: &[MarkReading]) -> Vec<MarkReading> {
    let readings = offsets.iter().map(|offset| {
        let mark = sheet.mark(&offset.id);
        let pricked = mark.map_or(Point::ZERO, |mark| mark.centre);
        MarkReading {
            at: pricked + offset.at.to_vec2(),
            ..offset.clone()
        }
    });
    readings.collect()
}

//! The cut file moved to fit the sheet.

use kurbo::{Affine, Rect, Shape};

use super::{Located, PrintedSheet};
use crate::diagnostic::Diagnostic;
use crate::draw;
use crate::draw::page::{CutLayer, CutPath, CutSheet};
use crate::math::VERIFY_MM;
use crate::verify::CutPathFound;

/// Ids of the lines that fix the extent of a cut file: they stay, so that all files of the job still land in one place.
const EXTENT: [&str; 2] = ["ref-top-left", "ref-bottom-right"];

/// Id of the edge of an offcut: it shows where the paper lies and follows the sheet itself.
const PAPER_EDGE: &str = "paper-edge";

/// Returns the cut file with its paths and marks moved; ids, layers, titles and order stay, and so does the file's size unless the
/// sheet lies turned by a quarter.
pub(super) fn cut_sheet(sheet: &PrintedSheet, located: &Located) -> CutSheet {
    let mut layers: Vec<CutLayer> = Vec::new();
    for path in &sheet.cut.paths {
        let Some((name, colour)) = path.layer.and_then(draw::cut_layer) else {
            continue;
        };
        if layers.last().is_none_or(|layer| layer.name != name) {
            layers.push(CutLayer {
                name,
                colour,
                paths: Vec::new(),
            });
        }
        let last = layers.last_mut().expect("one was pushed if there was none");
        last.paths.push(moved(path, located));
    }
    CutSheet {
        title: format!("{}, registered", sheet.cut.title),
        note: format!("{} Moved to fit one printed sheet.", sheet.cut.note),
        width_mm: sheet.cut.width_mm,
        height_mm: sheet.cut.height_mm,
        layers,
    }
}

fn moved(path: &CutPathFound, located: &Located) -> CutPath {
    let id = path.id.clone().unwrap_or_default();
    let map = if EXTENT.contains(&id.as_str()) {
        Affine::IDENTITY
    } else if id == PAPER_EDGE {
        located.moved
    } else {
        located.file_moved
    };
    CutPath {
        title: path.title.clone(),
        path: map * &path.path,
        id,
    }
}

/// Returns a warning if something that is cut leaves the drawing.
pub(super) fn leaving(sheet: &CutSheet) -> Option<Diagnostic> {
    let all = sheet
        .layers
        .iter()
        .filter(|layer| layer.name != "reference");
    let boxes = all
        .flat_map(|layer| &layer.paths)
        .map(|path| path.path.bounding_box());
    let drawn = boxes.reduce(|a: Rect, b| a.union(b))?;
    let beyond_mm = (-drawn.x0)
        .max(-drawn.y0)
        .max(drawn.x1 - sheet.width_mm)
        .max(drawn.y1 - sheet.height_mm);
    (beyond_mm > VERIFY_MM).then(|| {
        let message = format!("the moved cuts leave the drawing by {beyond_mm:.1} mm");
        let hint = "lay the sheet nearer to where it was planned and read the marks again: some programs place a drawing by its bounds";
        Diagnostic::warning("register.leaves", message).hint(hint)
    })
}

//! What was measured of printer and cutter, in the words of `plan.json`.

use kurbo::Point;

use super::super::file::{CalibrationEntry, CutterEntry, MapEntry, PrinterEntry};
use super::matrix;
use crate::project::{Calibration, PrintMap, Project};

pub(super) fn printer(project: &Project) -> Option<PrinterEntry> {
    let calibration = project.printer.calibration.as_ref()?;
    let map = |map: &PrintMap| map_entry(calibration, map);
    Some(PrinterEntry {
        name: project.printer.name.clone(),
        calibration: CalibrationEntry {
            date: calibration.date_text(),
            format: calibration.format.clone(),
            page_mm: [calibration.page.width, calibration.page.height],
            paper: calibration.paper.clone(),
            tray: calibration.tray.clone(),
            front: map(&calibration.front),
            back: calibration.back.as_ref().map(map),
        },
    })
}

fn map_entry(calibration: &Calibration, map: &PrintMap) -> MapEntry {
    let page = calibration.page.to_rect();
    let corners = [
        page.origin(),
        Point::new(page.x1, page.y0),
        Point::new(page.x1, page.y1),
        Point::new(page.x0, page.y1),
    ];
    let in_corners = corners.map(|corner| map.spread.r95_mm(corner));
    MapEntry {
        sheet_from_page: matrix(map.sheet_from_page),
        within_mm: [
            map.spread.r95_mm(page.center()),
            in_corners.into_iter().fold(0.0, f64::max),
        ],
    }
}

pub(super) fn cutter(project: &Project) -> Option<CutterEntry> {
    let calibration = project.cutter.calibration.as_ref()?;
    Some(CutterEntry {
        name: project.cutter.name.clone(),
        date: calibration.date_text(),
        cut_from_file: matrix(calibration.cut_from_file),
        repeat_mm: calibration.repeat_mm,
    })
}

//! Simulated scans of a simulated printer's chart, as files.

use std::fs;
use std::path::Path;

use kurbo::{Affine, Point, Size, Vec2};

use crate::simulator::file;
use crate::simulator::printer::{Ink, PrintError, PrintPath};
use crate::simulator::random::Random;
use crate::simulator::raster::Raster;
use crate::simulator::scanner::Scan;
use crate::simulator::sheet::Sheet;
use crate::simulator::target::{Page, Side};
use crate::simulator::{Printed, Shot};

pub(crate) const A4: Size = Size::new(210.0, 297.0);
pub(crate) const LETTER: Size = Size::new(215.9, 279.4);

/// A printed sheet with the truth about it.
pub(crate) struct Print {
    pub(crate) printed: Printed,
    pub(crate) path: PrintPath,
    pub(crate) sheet: Sheet,
    pub(crate) random: Random,
}

impl Print {
    /// Prints ink on a home printer; printer, paper and ink come from the seed.
    pub(crate) fn home(ink: &Raster, page: Size, seed: u64) -> Self {
        let mut random = Random::new(seed);
        let path = PrintPath::new(PrintError::home(&mut random), page, &mut random);
        Self::by(ink, path, page, random)
    }

    /// Prints ink by a printer that is known.
    pub(crate) fn by(ink: &Raster, path: PrintPath, page: Size, mut random: Random) -> Self {
        let kind = Ink::home(&mut random);
        let sheet = Sheet::of_shop(page, &mut random);
        Self {
            printed: Printed::new(ink, &kind, path.clone(), sheet),
            path,
            sheet,
            random,
        }
    }

    /// Scans it on a scanner without an error of its own.
    pub(crate) fn scan(&mut self, dpi: f64) -> Shot {
        let scan = Scan::home(dpi, &mut self.random);
        self.scan_as(&scan)
    }

    pub(crate) fn scan_as(&mut self, scan: &Scan) -> Shot {
        crate::simulator::scan(&mut self.printed, scan, &mut self.random)
    }

    /// Returns where a point of the page is printed, as distances from the sheet's left and top edge.
    pub(crate) fn truth(&self, page: Point) -> Point {
        self.frame() * self.path.sheet_from_page(page)
    }

    /// The printer's map in the same frame, bow and ripple averaged.
    pub(crate) fn map(&self, page: Size) -> Affine {
        self.frame() * self.path.best_affine(page)
    }

    /// The simulator's frame has its x along the top edge; a sheet out of square leans away from it.
    fn frame(&self) -> Affine {
        let [corner, right, _, bottom] = self.sheet.corners;
        let (left, top) = ((bottom - corner).normalize(), (right - corner).normalize());
        let (from_left, from_top) = (Vec2::new(left.y, -left.x), Vec2::new(-top.y, top.x));
        Affine::new([from_left.x, from_top.x, from_left.y, from_top.y, 0.0, 0.0])
    }
}

/// The chart's targets as ink, from their geometry alone.
pub(crate) fn chart_ink(page: Size, side: Side) -> Raster {
    Page::chart(page, side).raster(600.0)
}

/// Writes a picture as a PNG that states the resolution it is said to have.
pub(crate) fn write_png(path: &Path, shot: &Shot) {
    fs::write(path, file::png(&shot.picture, shot.dpi_tag)).unwrap();
}

//! A printer measured by scans of its printed chart, and how far that is from what the printer does.

use kurbo::{Affine, Point, Size, Vec2};
use sheetwright::calibrate::chart::Chart;
use sheetwright::calibrate::scan::{Belief, FaceScan, Given, Survey, possible_charts, read_scan};
use sheetwright::fit::Terms;
use sheetwright::project::{Face, PrintMap};

use super::made_page::{MadePage, chart_marks, ink_of_pdf};
use super::registration::{printed, some_scan};
use super::targets::picture;
use crate::simulator::printer::{Ink, PrintError, PrintPath};
use crate::simulator::random::Random;
use crate::simulator::scanner::Scan;
use crate::simulator::sheet::Sheet;
use crate::simulator::{Printed, Shot, scan};

/// The scanner has no error of its own, and one knows.
pub(crate) const TRUE_SCANNER: Belief = Belief::measured(1.0, 1.0);

/// The chart that comes ready with the project, as a file.
pub(crate) const READY_CHART: &str =
    concat!(env!("CARGO_MANIFEST_DIR"), "/calibration/chart-a4-mm.pdf");

/// Returns a page of the ready chart for A4, all its lines, text and ladders, as poppler draws it.
pub(crate) fn ready_page(chart: &Chart, face: Face) -> MadePage {
    let number = match face {
        Face::Front => 1,
        Face::Back => 2,
    };
    MadePage {
        size: chart.page,
        ink: ink_of_pdf(&std::fs::read(READY_CHART).unwrap(), number, 600),
        marks: chart_marks(chart, face),
    }
}

/// A chart's print, and the random numbers that its scans go on with.
#[derive(Debug, Clone)]
pub(crate) struct Print {
    printed: Printed,
    random: Random,
    page: Size,
    face: Face,
}

/// What the tool is off in: percent, milliradians and millimetres at the page's middle.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Off {
    pub(crate) scale_percent: f64,
    pub(crate) turn_mrad: f64,
    pub(crate) shear_mrad: f64,
    pub(crate) shift_mm: f64,
}

impl Print {
    /// Prints the front on some printer.
    pub(crate) fn front(page: &MadePage, seed: u64) -> Self {
        let mut random = Random::new(seed);
        Self {
            printed: printed(page, &mut random),
            random,
            page: page.size,
            face: Face::Front,
        }
    }

    /// Prints the back of this sheet: another error, the same paper turned over like a page of a book.
    pub(crate) fn back(&mut self, page: &MadePage) -> Self {
        let random = &mut self.random;
        let path = PrintPath::new(PrintError::home(random), page.size, random);
        let ink = Ink::home(random);
        let [left, right, right_foot, left_foot] = self.printed.sheet.corners;
        let over = |at: Point| Point::new(right.x - at.x, at.y);
        let sheet = Sheet {
            corners: [over(right), over(left), over(left_foot), over(right_foot)],
            ..self.printed.sheet
        };
        Self {
            printed: Printed::new(&page.ink, &ink, path, sheet),
            random: Random::new(self.random.bits()),
            page: page.size,
            face: Face::Back,
        }
    }

    /// Scans it at 300 dpi by a scanner that is right.
    pub(crate) fn scan(&mut self) -> Shot {
        self.scan_at(300.0)
    }

    /// Does so at another resolution.
    pub(crate) fn scan_at(&mut self, dpi: f64) -> Shot {
        let set = some_scan(dpi, &mut self.random);
        scan(&mut self.printed, &set, &mut self.random)
    }

    /// Scans it by a scanner with an error of its own and, if wanted, once more turned by a quarter.
    pub(crate) fn scans_of_a_wrong_scanner(&mut self, is_turned: bool) -> (Shot, Option<Shot>) {
        let upright = some_scan(300.0, &mut self.random).with_own_error(&mut self.random);
        let turned = Scan {
            turn_rad: upright.turn_rad + std::f64::consts::FRAC_PI_2,
            ..upright
        };
        let mut shot = |set| scan(&mut self.printed, &set, &mut self.random);
        (shot(upright), is_turned.then(|| shot(turned)))
    }

    /// Returns where a point of the page, seen from the front, is printed: distances from the sheet's left and top edge, the left one
    /// as seen from the front.
    pub(crate) fn truth(&self, page: Point) -> Point {
        let path = &self.printed.path;
        let sheet = &self.printed.sheet;
        match self.face {
            Face::Front => sheet.distances(path.sheet_from_page(page)),
            Face::Back => {
                let at = path.sheet_from_page(Point::new(self.page.width - page.x, page.y));
                let [_, top, foot, _] = sheet.corners;
                let along = (foot - top).normalize();
                Point::new(along.cross(at - top), sheet.distances(at).y)
            }
        }
    }

    /// The nearest affine map to the truth over the field of targets.
    pub(crate) fn map(&self) -> Affine {
        let inner = self.page - Size::new(40.0, 40.0);
        let places = (0..=60).flat_map(|j| {
            (0..=40).map(move |i| {
                let (across, down) = (f64::from(i) / 40.0, f64::from(j) / 60.0);
                Point::new(20.0 + inner.width * across, 20.0 + inner.height * down)
            })
        });
        let pairs: Vec<(Point, Point)> = places.map(|p| (p, self.truth(p))).collect();
        crate::simulator::affine::nearest(&pairs)
    }

    fn terms(&self, map: Affine) -> Terms {
        Terms::of(map, (self.page.to_vec2() / 2.0).to_point())
    }

    /// Returns what a map of this printer is off.
    pub(crate) fn off(&self, found: &PrintMap) -> Off {
        let (got, want) = (self.terms(found.sheet_from_page), self.terms(self.map()));
        let scale = [got.scale_x - want.scale_x, got.scale_y - want.scale_y];
        let shift = got.shift - want.shift;
        Off {
            scale_percent: 100.0 * scale[0].abs().max(scale[1].abs()),
            turn_mrad: 1000.0 * (got.turn_rad - want.turn_rad).abs(),
            shear_mrad: 1000.0 * (got.shear_rad - want.shear_rad).abs(),
            shift_mm: shift.x.abs().max(shift.y.abs()),
        }
    }

    /// Returns by which share the scale across over the scale down is off.
    pub(crate) fn ratio_off(&self, found: &PrintMap) -> f64 {
        let ratio = |terms: Terms| (1.0 + terms.scale_x) / (1.0 + terms.scale_y);
        let (got, want) = (self.terms(found.sheet_from_page), self.terms(self.map()));
        (ratio(got) / ratio(want) - 1.0).abs()
    }

    /// Returns the largest distance of a target from where it belongs when the page goes through a map's inverse.
    pub(crate) fn worst_mark_mm(&self, chart: &Chart, through: Affine) -> f64 {
        let back = through.inverse();
        let places = chart
            .targets(self.face)
            .iter()
            .map(|target| match self.face {
                Face::Front => target.centre,
                Face::Back => Point::new(self.page.width - target.centre.x, target.centre.y),
            });
        places
            .map(|p| (self.truth(back * p) - p).hypot2().sqrt())
            .fold(0.0, f64::max)
    }

    /// Returns how far the print of a place of the page is from where a map says, as a share of how far the map says that may be.
    pub(crate) fn share_of_stated(&self, found: &PrintMap, at: Point) -> f64 {
        let away = (found.sheet_from_page * at - self.truth(at))
            .hypot2()
            .sqrt();
        away / found.spread.r95_mm(at)
    }
}

/// Returns how far the back is found from where it lies to the front: its shift at the page's middle in millimetres and its turn in
/// milliradians.
pub(crate) fn back_to_front_off(prints: [&Print; 2], found: [&PrintMap; 2]) -> (f64, f64) {
    let of = |front: Affine, back: Affine| {
        let [front, back] = [front, back].map(|map| prints[0].terms(map));
        (back.shift - front.shift, back.turn_rad - front.turn_rad)
    };
    let want: (Vec2, f64) = of(prints[0].map(), prints[1].map());
    let got = of(found[0].sheet_from_page, found[1].sheet_from_page);
    (
        (got.0 - want.0).hypot2().sqrt(),
        1000.0 * (got.1 - want.1).abs(),
    )
}

/// Reads a scan as the tool does when nobody says on which paper the chart was printed.
pub(crate) fn read(shot: &Shot) -> Result<FaceScan, String> {
    match read_scan("scan.png", &picture(shot), &possible_charts(None)) {
        Ok(read) => Ok(read.scan),
        Err(mistakes) => Err(mistakes[0].message.clone()),
    }
}

/// Puts scans together to the printer.
pub(crate) fn survey(chart: &Chart, scans: &[FaceScan], belief: Belief) -> Result<Survey, String> {
    let given = Given {
        belief,
        ..Given::NOTHING
    };
    Survey::new(chart.clone(), scans, &given).map_err(|mistakes| mistakes[0].message.clone())
}

//! Printers whose errors are known, for the tests of what is made up for.

use kurbo::{Affine, Point, Size};
use serde_json::Value;
use sheetwright::fit::Spread;
use sheetwright::math::sin_cos;
use sheetwright::project::{Calibration, CutterCalibration, PrintMap};

const VECTORS: &str = include_str!("../data/registration-vectors.json");

/// A case of the check values, worked out with numpy.
pub(crate) fn case(id: &str) -> Value {
    let all: Value = serde_json::from_str(VECTORS).unwrap();
    let cases = all["cases"].as_array().unwrap();
    cases.iter().find(|c| c["id"] == id).unwrap().clone()
}

/// How far a printer is off.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Off {
    /// Scale errors across and down, as shares.
    pub(crate) scale: (f64, f64),
    /// Shear and turn in radians.
    pub(crate) shear_rad: f64,
    pub(crate) turn_rad: f64,
    /// Shift of the middle of the page.
    pub(crate) shift_mm: (f64, f64),
}

impl Off {
    /// The map as the check values define it: M = R(turn) [[1 + ex, shear], [0, 1 + ey]], and M c + b - c is the shift of the middle.
    pub(crate) fn map(self, page: Size) -> Affine {
        let (sin, cos) = sin_cos(self.turn_rad);
        let (a, b, c) = (1.0 + self.scale.0, self.shear_rad, 1.0 + self.scale.1);
        let m = [[cos * a, cos * b - sin * c], [sin * a, sin * b + cos * c]];
        let (x, y) = (page.width / 2.0, page.height / 2.0);
        Affine::new([
            m[0][0],
            m[1][0],
            m[0][1],
            m[1][1],
            x + self.shift_mm.0 - m[0][0] * x - m[0][1] * y,
            y + self.shift_mm.1 - m[1][0] * x - m[1][1] * y,
        ])
    }
}

/// The errors of a case.
pub(crate) fn off_of(case: &Value) -> Off {
    let number = |key: &str| case[key].as_f64().unwrap();
    Off {
        scale: (number("ex_pct") / 100.0, number("ey_pct") / 100.0),
        shear_rad: number("shear_mrad") / 1000.0,
        turn_rad: number("rot_mrad") / 1000.0,
        shift_mm: (number("dx"), number("dy")),
    }
}

/// A home printer: half a per cent too wide, a little askew and shifted.
pub(crate) const FRONT: Off = Off {
    scale: (0.004, -0.006),
    shear_rad: 0.0008,
    turn_rad: -0.0024,
    shift_mm: (1.1, -0.7),
};

/// Its back.
pub(crate) const BACK: Off = Off {
    scale: (0.003, -0.005),
    shear_rad: 0.0011,
    turn_rad: 0.0031,
    shift_mm: (-0.9, 1.3),
};

/// A map that is known to 0.05 mm in either direction, everywhere.
pub(crate) fn print_map(sheet_from_page: Affine) -> PrintMap {
    let row = [0.0, 0.0, 0.0, 0.0, 0.0, 0.05 * 0.05];
    PrintMap {
        sheet_from_page,
        spread: Spread {
            about: Point::ZERO,
            x: row,
            y: row,
        },
    }
}

pub(crate) fn calibration(page: Size, front: Off, back: Option<Off>) -> Calibration {
    Calibration {
        date: (2026, 3, 28),
        format: "the chart's format".to_owned(),
        page,
        paper: None,
        tray: None,
        front: print_map(front.map(page)),
        back: back.map(|off| print_map(off.map(page))),
    }
}

/// A machine that cuts 0.2 % too long, 0.3 % too wide, a little askew, and starts 0.8 mm right of and 0.5 mm above its corner.
pub(crate) fn cutter() -> CutterCalibration {
    let row = [0.0, 0.0, 0.0, 0.0, 0.0, 0.05 * 0.05];
    CutterCalibration {
        date: (2026, 3, 29),
        cut_from_file: Affine::new([1.003, 0.001, -0.0015, 1.002, 0.8, -0.5]),
        spread: Spread {
            about: Point::ZERO,
            x: row,
            y: row,
        },
        repeat_mm: 0.08,
    }
}

//! Scenes that are roughly right, from the marks alone.

use kurbo::{Point, Size};
use nalgebra::{Matrix3, Vector3};

use super::scene::Scene;
use super::solve::MarkAt;
use super::unknown::{COUNT, at};
use crate::fit::{Pair, projective};

/// Focal length of most phones in parts of the picture's long side: 26 mm against 36 mm, and a bit more for those who zoom in (common
/// practice, no source).
const USUAL_FOCAL: f64 = 0.8;

/// Focal lengths that are tried, in parts of the long side, from a wide angle to a zoom. The fit finds the right one by itself,
/// but from a start far off it may end with the sheet slanted the other way.
const FOCALS: [f64; 4] = [0.55, 0.8, 1.2, 2.0];

/// Returns scenes to start from, one for each focal length tried; none if the marks lie on a line or see no plane.
pub(super) fn scenes(picture_px: Size, sheet: Size, marks: &[MarkAt]) -> Vec<Scene> {
    let long_px = picture_px.max_side();
    let to_middle = (sheet / 2.0).to_vec2();
    let centre_px = (picture_px / 2.0).to_vec2().to_point();
    let pairs: Vec<Pair> = marks
        .iter()
        .map(|mark| Pair {
            nominal: mark.plan - to_middle,
            measured: ((mark.at_px - centre_px) / long_px).to_point(),
            sigma_mm: 1.0,
        })
        .collect();
    let Ok(fit) = projective(&pairs) else {
        return Vec::new();
    };
    let rows = fit.map.rows();
    let map = Matrix3::from_fn(|i, j| rows[i][j]);
    let scene = |focal: f64| {
        let (turn, shift) = pose(&map, focal)?;
        let mut unknowns = [0.0; COUNT];
        unknowns[at::SHIFT..at::SHIFT + 3].copy_from_slice(shift.as_slice());
        unknowns[at::FOCAL] = libm::log(focal / USUAL_FOCAL);
        Some(Scene {
            picture_px,
            focal_guess_px: USUAL_FOCAL * long_px,
            sheet_guess: sheet,
            turn,
            unknowns,
        })
    };
    FOCALS.into_iter().filter_map(scene).collect()
}

/// How the sheet lies before a camera of this focal length: its axes and its middle.
fn pose(map: &Matrix3<f64>, focal: f64) -> Option<(Matrix3<f64>, Vector3<f64>)> {
    let seen = Matrix3::from_diagonal(&Vector3::new(1.0 / focal, 1.0 / focal, 1.0)) * map;
    let (a, b): (Vector3<f64>, Vector3<f64>) = (seen.column(0).into(), seen.column(1).into());
    let shift: Vector3<f64> = seen.column(2) * (2.0 / (a.norm() + b.norm()));
    // The two directions are made square to each other by turning both alike.
    let (a, b) = (a.try_normalize(0.0)?, b.try_normalize(0.0)?);
    let sum = (a + b).try_normalize(1e-6)?;
    let difference = (a - b).try_normalize(1e-6)?;
    let x = (sum + difference) / std::f64::consts::SQRT_2;
    let y = (sum - difference) / std::f64::consts::SQRT_2;
    let turn = Matrix3::from_columns(&[x, y, x.cross(&y)]);
    (shift.z > 0.0).then_some((turn, shift))
}

/// Returns the pixels to a millimetre at the sheet's middle, the mean of both directions.
pub(super) fn px_per_mm(scene: &Scene) -> f64 {
    let [x, y] = scene.px_by_mm(scene.middle().to_point());
    f64::midpoint(x.hypot2().sqrt(), y.hypot2().sqrt())
}

/// Returns where on the sheet a mark is printed, going by the scene and by where the mark is seen.
pub(super) fn on_sheet(scene: &Scene, mark: &MarkAt) -> Point {
    let printed = scene.printed(mark.plan);
    let [x, y] = scene.px_by_mm(printed);
    let off = mark.at_px - scene.ring_seen(printed, mark.radius_mm);
    let by = kurbo::Vec2::new(off.cross(y), x.cross(off)) / x.cross(y);
    printed + by
}

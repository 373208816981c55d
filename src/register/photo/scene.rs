//! A photo of a printed sheet as a model: a pinhole camera with a slightly bent lens, looking at a slightly bent sheet.
//!
//! Camera frame: millimetres, x right, y down, z away from the camera. Sheet frame as everywhere: from the top left corner, along the
//! paper's surface, x along the top edge.

use kurbo::{Affine, Point, Size, Vec2};
use nalgebra::{Matrix3, Vector3};

use super::unknown::{COUNT, at};

/// A side of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    Top,
    Right,
    Bottom,
    Left,
}

impl Side {
    /// What the user calls it.
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Top => "top",
            Self::Right => "right",
            Self::Bottom => "bottom",
            Self::Left => "left",
        }
    }

    /// 1 where the outside lies to the left of who walks along the edge from its start, else -1.
    pub(super) fn outwards(self) -> f64 {
        match self {
            Self::Top | Self::Right => 1.0,
            Self::Bottom | Self::Left => -1.0,
        }
    }
}

/// All four, in the order in which lists of edges have them.
pub(super) const SIDES: [Side; 4] = [Side::Top, Side::Right, Side::Bottom, Side::Left];

/// The camera and the sheet before it.
#[derive(Debug, Clone)]
pub(super) struct Scene {
    /// Size of the picture in pixels.
    pub(super) picture_px: Size,
    /// Guess of the focal length in pixels.
    pub(super) focal_guess_px: f64,
    /// What is known of the sheet's size, in millimetres.
    pub(super) sheet_guess: Size,
    /// The camera's axes seen from the sheet's.
    pub(super) turn: Matrix3<f64>,
    /// The unknowns, as [`at`] lists them.
    pub(super) unknowns: [f64; COUNT],
}

impl Scene {
    /// Returns the scene with each unknown changed; the change of turn goes into the camera's axes.
    pub(super) fn moved(&self, by: &[f64; COUNT]) -> Self {
        let mut moved = self.clone();
        for (unknown, by) in moved.unknowns.iter_mut().zip(by) {
            *unknown += by;
        }
        // Cayley's form of a turn is exact for any vector and needs no trigonometry.
        let half = moved.three(at::TURN) / 2.0;
        let (unit, cross) = (Matrix3::identity(), half.cross_matrix());
        let turned = (unit - cross)
            .try_inverse()
            .map_or(unit, |inverse| (unit + cross) * inverse);
        moved.turn = turned * self.turn;
        moved.unknowns[at::TURN..at::TURN + 3].fill(0.0);
        moved
    }

    fn three(&self, from: usize) -> Vector3<f64> {
        Vector3::from_column_slice(&self.unknowns[from..from + 3])
    }

    /// Width and height of the sheet in millimetres.
    pub(super) fn sheet(&self) -> Size {
        self.sheet_guess + Size::new(self.unknowns[at::SIZE], self.unknowns[at::SIZE + 1])
    }

    /// Focal length in pixels.
    pub(super) fn focal_px(&self) -> f64 {
        self.focal_guess_px * libm::exp(self.unknowns[at::FOCAL])
    }

    /// The sheet's middle, going by what is known of its size.
    pub(super) fn middle(&self) -> Vec2 {
        (self.sheet_guess / 2.0).to_vec2()
    }

    /// Takes a point of the plan to where it is printed on the sheet.
    pub(super) fn sheet_from_plan(&self) -> Affine {
        let m = &self.unknowns[at::PRINT..at::PRINT + 6];
        let about_middle = Affine::new([1.0 + m[0], m[2], m[1], 1.0 + m[3], m[4], m[5]]);
        Affine::translate(self.middle()) * about_middle * Affine::translate(-self.middle())
    }

    /// Where on the sheet a point of the plan is printed.
    pub(super) fn printed(&self, plan: Point) -> Point {
        self.sheet_from_plan() * plan
    }

    /// A point of an edge, `along` running from -1 to 1 from left to right or from top to bottom.
    pub(super) fn on_edge(&self, side: Side, along: f64) -> Point {
        let sheet = self.sheet();
        let [skew, right, bottom] = self.three(at::SKEW).into();
        let (x, y) = (
            sheet.width * (along + 1.0) / 2.0,
            sheet.height * (along + 1.0) / 2.0,
        );
        let index = side as usize;
        let out = self.unknowns[at::EDGE + index]
            + self.unknowns[at::BOW + index] * (1.0 / 3.0 - along * along);
        match side {
            Side::Top => Point::new(x, -out),
            Side::Right => Point::new(
                sheet.width + skew * y + right * (y - sheet.height / 2.0) + out,
                y,
            ),
            Side::Bottom => Point::new(x, sheet.height + bottom * (x - sheet.width / 2.0) + out),
            Side::Left => Point::new(skew * y - out, y),
        }
    }

    /// A point of the sheet as it lies in space before the camera, and the two directions of its surface there.
    fn in_space(&self, on_sheet: Point) -> (Vector3<f64>, [Vector3<f64>; 2]) {
        let p = on_sheet.to_vec2() - self.middle();
        let [xx, xy, yy] = self.three(at::BEND).into();
        let slope = Vec2::new(xx * p.x + xy * p.y, xy * p.x + yy * p.y);
        let rise = slope.dot(p) / 2.0;
        let unit = 1.0 / self.middle().hypot2().sqrt();
        let (u, v) = (p.x * unit, p.y * unit);
        let wave = &self.unknowns[at::WAVE..at::WAVE + 4];
        let height = rise
            + wave[0] * u * u * u
            + wave[1] * u * u * v
            + wave[2] * u * v * v
            + wave[3] * v * v * v;
        // A bent sheet keeps its length: along the bend a point comes closer by (curvature)² distance³ / 6.
        let drawn_in = slope * (rise / 3.0);
        let at_rest = Vector3::new(p.x - drawn_in.x, p.y - drawn_in.y, height);
        let along = [
            Vector3::new(1.0, 0.0, slope.x),
            Vector3::new(0.0, 1.0, slope.y),
        ];
        (
            self.turn * at_rest + self.three(at::SHIFT),
            along.map(|d| self.turn * d),
        )
    }

    /// Where the lens puts a point that an ideal one would see in this direction (x and y over z).
    fn through_lens(&self, seen: Vec2) -> Point {
        let long = self.picture_px.max_side();
        let axis = Vec2::new(self.unknowns[at::AXIS], self.unknowns[at::AXIS + 1]) * long;
        let ideal = seen * self.focal_px() + axis;
        let half_diagonal2 = (self.picture_px / 2.0).to_vec2().hypot2();
        let r2 = ideal.hypot2() / half_diagonal2;
        let stretched = 1.0 + self.unknowns[at::LENS] * r2 + self.unknowns[at::LENS + 1] * r2 * r2;
        (self.picture_px / 2.0).to_vec2().to_point() + ideal * stretched
    }

    /// Is `true` where a point of the plan is printed on paper before the camera, and not behind it.
    pub(super) fn is_before_camera(&self, plan: Point) -> bool {
        self.in_space(self.printed(plan)).0.z > 1.0
    }

    /// Pixel at which a point of the sheet is seen.
    pub(super) fn seen(&self, on_sheet: Point) -> Point {
        let (p, _) = self.in_space(on_sheet);
        self.through_lens(Vec2::new(p.x / p.z, p.y / p.z))
    }

    /// How far the middle of the sheet lies off the line between its edges, where that is most.
    pub(super) fn rise_mm(&self) -> f64 {
        let half = self.middle();
        let [xx, xy, yy] = self.three(at::BEND).into();
        let along = [
            Vec2::new(half.x, 0.0),
            Vec2::new(0.0, half.y),
            half,
            Vec2::new(half.x, -half.y),
        ];
        let rises = along.map(|d| ((xx * d.x + 2.0 * xy * d.y) * d.x + yy * d.y * d.y).abs() / 2.0);
        rises.into_iter().fold(0.0, f64::max)
    }

    /// Is `true` where all corners are seen within the picture.
    pub(super) fn is_whole_sheet_in_picture(&self) -> bool {
        let corners = [
            (Side::Top, -1.0),
            (Side::Top, 1.0),
            (Side::Bottom, -1.0),
            (Side::Bottom, 1.0),
        ];
        corners.into_iter().all(|(side, along)| {
            let at = self.seen(self.on_edge(side, along));
            (0.0..self.picture_px.width).contains(&at.x)
                && (0.0..self.picture_px.height).contains(&at.y)
        })
    }

    /// How far what is seen moves when a point of the sheet moves by a millimetre in x and in y, in pixels.
    pub(super) fn px_by_mm(&self, on_sheet: Point) -> [Vec2; 2] {
        const STEP_MM: f64 = 0.1;
        let here = self.seen(on_sheet);
        [Vec2::new(STEP_MM, 0.0), Vec2::new(0.0, STEP_MM)]
            .map(|step| (self.seen(on_sheet + step) - here) / STEP_MM)
    }

    /// Pixel that is the middle of the ellipse as which a circle on the sheet is seen.
    ///
    /// It is not where the circle's middle is seen: the near half looks larger than the far half. From the circle's dual conic.
    pub(super) fn ring_seen(&self, middle: Point, radius_mm: f64) -> Point {
        let (p, [a, b]) = self.in_space(middle);
        let toward = Vec2::new(a.z, b.z);
        let r2 = radius_mm * radius_mm;
        let weight = p.z * p.z - r2 * toward.hypot2();
        let x = p.x * p.z - r2 * Vec2::new(a.x, b.x).dot(toward);
        let y = p.y * p.z - r2 * Vec2::new(a.y, b.y).dot(toward);
        self.through_lens(Vec2::new(x / weight, y / weight))
    }
}

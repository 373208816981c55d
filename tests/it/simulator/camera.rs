//! A phone's camera above a sheet: a pinhole with a round lens error, and paper that is not flat.
//!
//! The sheet is bent along one direction, evenly or more towards one side, without being stretched. Camera: x right, y down, z away
//! from it.

use kurbo::{Point, Size, Vec2};

use super::picture::Sensor;
use super::random::{Random, noise_at};
use super::render::Canvas;

type Space = [f64; 3];

/// Paper bent along a direction of the sheet, its edges up or down.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Curl {
    /// Height of the bend over the sheet's length in that direction; above zero the middle is nearer to the camera.
    pub(crate) rise_mm: f64,
    /// How much more one side is bent than the middle: 0 bends it into an arc of a circle, 1 leaves the other side flat.
    pub(crate) lean: f64,
    /// Direction along which it bends; 0 bends along x.
    pub(crate) direction_rad: f64,
}

/// A photo to be taken.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Photo {
    pub(crate) width_px: usize,
    pub(crate) height_px: usize,
    /// Focal length in pixels.
    pub(crate) focal_px: f64,
    /// Distance of the camera from the sheet's middle.
    pub(crate) distance_mm: f64,
    /// Tilt of the camera out of the plumb line, and the direction of the tilt.
    pub(crate) tilt_rad: f64,
    pub(crate) tilt_direction_rad: f64,
    /// Turn of the sheet in the picture.
    pub(crate) roll_rad: f64,
    /// Where the sheet's middle is seen, from the picture's middle.
    pub(crate) aim_px: Vec2,
    /// Round lens error, by the square and fourth power of the distance from the middle in half diagonals.
    pub(crate) k1: f64,
    pub(crate) k2: f64,
    pub(crate) curl: Curl,
    /// Standard deviation of the lens's spot.
    pub(crate) spot_px: f64,
    pub(crate) sensor: Sensor,
    /// Seed of the table.
    pub(crate) table: u64,
}

impl Photo {
    /// Straight from above, without any error; a sheet of this size fills most of it.
    pub(crate) fn perfect(sheet: Size) -> Self {
        let (width_px, height_px) = if sheet.width > sheet.height {
            (4000, 3000)
        } else {
            (3000, 4000)
        };
        let focal_px = 3000.0;
        let (across, down) = (
            sheet.width / width_px as f64,
            sheet.height / height_px as f64,
        );
        Self {
            width_px,
            height_px,
            focal_px,
            distance_mm: focal_px * across.max(down) / 0.85,
            tilt_rad: 0.0,
            tilt_direction_rad: 0.0,
            roll_rad: 0.0,
            aim_px: Vec2::ZERO,
            k1: 0.0,
            k2: 0.0,
            curl: Curl {
                rise_mm: 0.0,
                lean: 0.0,
                direction_rad: 0.0,
            },
            spot_px: 0.5,
            sensor: Sensor::PERFECT,
            table: 1,
        }
    }

    /// A photo as people take it: tilted by 4 to 18 degrees, k1 to 0.02, the sheet bent by up to `curl_mm`.
    pub(crate) fn typical(sheet: Size, curl_mm: f64, random: &mut Random) -> Self {
        let plain = Self::perfect(sheet);
        let tilt_deg = random.between(4.0, 18.0);
        Self {
            distance_mm: plain.distance_mm * random.between(1.08, 1.25),
            tilt_rad: tilt_deg.to_radians(),
            tilt_direction_rad: random.between(0.0, std::f64::consts::TAU),
            roll_rad: random.about_zero(0.09),
            aim_px: Vec2::new(random.about_zero(40.0), random.about_zero(40.0)),
            k1: random.about_zero(0.02),
            k2: random.about_zero(0.004),
            curl: Curl {
                rise_mm: random.about_zero(curl_mm),
                lean: random.about_zero(0.8),
                direction_rad: random.between(0.0, std::f64::consts::PI),
            },
            spot_px: random.between(0.6, 1.0),
            sensor: Sensor {
                blur_px: 0.0,
                light: [
                    random.about_zero(0.2),
                    random.about_zero(0.2),
                    random.between(-0.12, 0.0),
                ],
                noise_levels: random.between(2.0, 5.0),
                gamma: random.between(1.6, 2.2),
                jpeg: Some(88),
            },
            table: random.bits(),
            ..plain
        }
    }

    /// A bad photo: tilted by 15 to 32 degrees, blurred, k1 to 0.08, the sheet bent by up to 4 mm.
    pub(crate) fn poor(sheet: Size, random: &mut Random) -> Self {
        let mut photo = Self::typical(sheet, 4.0, random);
        photo.tilt_rad = random.between(15.0, 32.0).to_radians();
        photo.distance_mm *= 1.12;
        photo.k1 = random.about_zero(0.08);
        photo.sensor.blur_px = random.between(1.0, 2.5);
        photo.sensor.noise_levels = random.between(4.0, 9.0);
        photo.sensor.jpeg = Some(70);
        photo
    }

    pub(super) fn view(&self, sheet: Size) -> View {
        View::new(self, sheet)
    }
}

/// The photo's geometry worked out.
#[derive(Debug, Clone)]
pub(crate) struct View {
    focal_px: f64,
    middle_px: Point,
    half_diagonal_px: f64,
    k1: f64,
    k2: f64,
    /// Rows of the turn from the sheet's space to the camera's.
    turn: [Space; 3],
    shift: Space,
    sheet_middle: Vec2,
    bend: (f64, f64),
    /// Curvature in the middle, and how it grows in that direction.
    curvature: (f64, f64),
}

impl View {
    fn new(photo: &Photo, sheet: Size) -> Self {
        let (cos, sin) = (libm::cos, libm::sin);
        let (ct, st) = (cos(photo.tilt_rad), sin(photo.tilt_rad));
        let (cd, sd) = (cos(photo.tilt_direction_rad), sin(photo.tilt_direction_rad));
        let (cr, sr) = (cos(photo.roll_rad), sin(photo.roll_rad));
        let roll = [[cr, -sr, 0.0], [sr, cr, 0.0], [0.0, 0.0, 1.0]];
        // Rodrigues' turn by the tilt about the axis (cd, sd, 0).
        let tilt = [
            [ct + cd * cd * (1.0 - ct), cd * sd * (1.0 - ct), sd * st],
            [cd * sd * (1.0 - ct), ct + sd * sd * (1.0 - ct), -cd * st],
            [-sd * st, cd * st, ct],
        ];
        let turn = product(&tilt, &roll);
        let aim = photo.aim_px * (photo.distance_mm / photo.focal_px);
        let direction = photo.curl.direction_rad;
        // A strip of length l bent by a rise r has the curvature 8 r / l^2, nearly.
        let length_mm = sheet.width * cos(direction).abs() + sheet.height * sin(direction).abs();
        let curvature = 8.0 * photo.curl.rise_mm / (length_mm * length_mm);
        Self {
            focal_px: photo.focal_px,
            middle_px: Point::new(photo.width_px as f64 / 2.0, photo.height_px as f64 / 2.0),
            half_diagonal_px: libm::hypot(photo.width_px as f64, photo.height_px as f64) / 2.0,
            k1: photo.k1,
            k2: photo.k2,
            turn,
            shift: [aim.x, aim.y, photo.distance_mm],
            sheet_middle: Vec2::new(sheet.width / 2.0, sheet.height / 2.0),
            bend: (cos(direction), sin(direction)),
            curvature: (curvature, curvature * photo.curl.lean / (length_mm / 2.0)),
        }
    }

    /// Returns where a place of the sheet is in space, about the sheet's middle; z is away from the camera.
    fn space(&self, sheet: Point) -> Space {
        let d = sheet.to_vec2() - self.sheet_middle;
        let along = d.x * self.bend.0 + d.y * self.bend.1;
        let aside = d.y * self.bend.0 - d.x * self.bend.1;
        // The slope at a length s along the strip is k s + g s^2 / 2; its sine and cosine, each to the next power, are summed up.
        let (k, g, s) = (self.curvature.0, self.curvature.1, along);
        let shorter = s * s * s * (k * k / 6.0 + k * g * s / 8.0 + g * g * s * s / 40.0);
        let (x, z) = (s - shorter, s * s * (k / 2.0 + g * s / 6.0));
        [
            x * self.bend.0 - aside * self.bend.1,
            x * self.bend.1 + aside * self.bend.0,
            z,
        ]
    }

    /// Returns where a place of the sheet is seen, in pixels.
    pub(crate) fn picture_from_sheet(&self, sheet: Point) -> Point {
        let place = self.space(sheet);
        let [x, y, z] = [0, 1, 2].map(|row| dot(&self.turn[row], &place) + self.shift[row]);
        let seen = Vec2::new(x, y) * (self.focal_px / z);
        let r2 = seen.hypot2() / (self.half_diagonal_px * self.half_diagonal_px);
        self.middle_px + seen * (1.0 + self.k1 * r2 + self.k2 * r2 * r2)
    }

    /// Returns which place of the sheet, or of its continued surface, is seen at a pixel. Found by Newton's method.
    pub(crate) fn sheet_from_picture(&self, picture: Point) -> Point {
        let mut at = (self.flat_guess(picture)).to_point();
        for _ in 0..6 {
            let step = 0.01;
            let here = self.picture_from_sheet(at);
            let miss = picture - here;
            let right = (self.picture_from_sheet(at + Vec2::new(step, 0.0)) - here) / step;
            let down = (self.picture_from_sheet(at + Vec2::new(0.0, step)) - here) / step;
            let det = right.cross(down);
            let delta = Vec2::new(miss.cross(down) / det, right.cross(miss) / det);
            at += delta;
            if delta.hypot2() < 1e-14 {
                break;
            }
        }
        at
    }

    fn flat_guess(&self, picture: Point) -> Vec2 {
        let seen = picture - self.middle_px;
        let ray = [seen.x / self.focal_px, seen.y / self.focal_px, 1.0];
        // The turn's columns are the sheet's axes in the camera's space; its third is the sheet's normal.
        let column = |i: usize| [self.turn[0][i], self.turn[1][i], self.turn[2][i]];
        let far = dot(&column(2), &self.shift) / dot(&column(2), &ray);
        let hit = [0, 1, 2].map(|i| ray[i] * far - self.shift[i]);
        self.sheet_middle + Vec2::new(dot(&column(0), &hit), dot(&column(1), &hit))
    }
}

fn dot(a: &Space, b: &Space) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn product(a: &[Space; 3], b: &[Space; 3]) -> [Space; 3] {
    [0, 1, 2].map(|i| [0, 1, 2].map(|j| a[i][0] * b[0][j] + a[i][1] * b[1][j] + a[i][2] * b[2][j]))
}

/// Lays a table under all: grain and stains about a middle tone, seen at a size as the sheet is.
pub(super) fn lay_table(canvas: &mut Canvas, seed: u64) {
    let tone = 0.12 + 0.3 * (seed % 97) as f32 / 97.0;
    canvas.light.fill(tone);
    for (level, weight) in [(7_u32, 0.25), (5, 0.2), (3, 0.15)] {
        add_grain(canvas, seed ^ u64::from(level), 1 << level, tone * weight);
    }
    for light in &mut canvas.light {
        *light = light.clamp(0.02, 0.75);
    }
}

/// Adds noise that is linear between the corners of boxes, half as high as they are wide.
fn add_grain(canvas: &mut Canvas, seed: u64, wide: usize, weight: f32) {
    let tall = wide / 2;
    let columns = canvas.width.div_ceil(wide) + 1;
    let line = |row: usize| -> Vec<f32> {
        (0..columns)
            .map(|column| weight * noise_at(column as u64, row as u64, seed))
            .collect()
    };
    for (row, lines) in canvas.light.chunks_mut(canvas.width * tall).enumerate() {
        let (upper, lower) = (line(row), line(row + 1));
        for (y, pixels) in lines.chunks_mut(canvas.width).enumerate() {
            let v = y as f32 / tall as f32;
            for (column, run) in pixels.chunks_mut(wide).enumerate() {
                let left = upper[column] + (lower[column] - upper[column]) * v;
                let right = upper[column + 1] + (lower[column + 1] - upper[column + 1]) * v;
                let step = (right - left) / wide as f32;
                for (x, light) in run.iter_mut().enumerate() {
                    *light += left + step * x as f32;
                }
            }
        }
    }
}

//! Photos without pixels: where a pinhole camera with a round lens error sees marks and edges of a sheet bent into an arc.
//!
//! Written from the geometry alone; it shares nothing with the scene that is fitted.

use kurbo::{Affine, Point, Size, Vec2};

use super::super::{KnownSheet, PhotoMark, PhotoSeen};
use crate::math::{atan2, hypot, sin_cos};

/// Chance: `SplitMix64` (Steele, Lea and Flood 2014).
pub(super) struct Chance(u64);

impl Chance {
    pub(super) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15))
    }

    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut bits = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        let share =
            f64::from(u32::try_from((bits ^ (bits >> 31)) >> 32).unwrap()) / 2.0_f64.powi(32);
        low + (high - low) * share
    }

    /// Normal, by Box and Muller's method.
    pub(super) fn normal(&mut self, sigma: f64) -> f64 {
        let radius = (-2.0 * libm::log(self.between(1e-12, 1.0))).sqrt();
        sigma * radius * sin_cos(self.between(0.0, std::f64::consts::TAU)).1
    }
}

/// How a photo is taken, of what.
#[derive(Debug, Clone, Copy)]
pub(super) struct Shot {
    pub(super) nominal: Size,
    /// The sheet as cut: width along its top, height along its left edge.
    pub(super) cut: Size,
    /// By how much the left and right edges lean, and the bottom edge falls.
    pub(super) lean_rad: f64,
    pub(super) fall_rad: f64,
    /// Plan to sheet.
    pub(super) print: Affine,
    pub(super) tilt_deg: f64,
    pub(super) tilt_to_rad: f64,
    pub(super) roll_rad: f64,
    pub(super) focal_px: f64,
    /// Where the lens's axis meets the picture, from its middle.
    pub(super) axis_px: Vec2,
    /// Round lens error by squares and fourth powers of half diagonals.
    pub(super) lens: (f64, f64),
    /// Height of the arc over the sheet, and the direction in which it bends.
    pub(super) rise_mm: f64,
    pub(super) bend_rad: f64,
    /// A ripple of the paper that no smooth bend explains, on top.
    pub(super) ripple_mm: f64,
    /// Noise of marks and of edge points, in millimetres on the sheet.
    pub(super) noise_mm: (f64, f64),
}

const PICTURE: Size = Size::new(3000.0, 4000.0);

impl Shot {
    /// From above, of a sheet without any fault.
    pub(super) fn perfect(nominal: Size) -> Self {
        Self {
            nominal,
            cut: nominal,
            lean_rad: 0.0,
            fall_rad: 0.0,
            print: Affine::IDENTITY,
            tilt_deg: 10.0,
            tilt_to_rad: 1.0,
            roll_rad: 0.05,
            focal_px: 3100.0,
            axis_px: Vec2::ZERO,
            lens: (0.0, 0.0),
            rise_mm: 0.0,
            bend_rad: 0.0,
            ripple_mm: 0.0,
            noise_mm: (0.0, 0.0),
        }
    }

    /// As people take them: sheets as sold, a home printer, a phone held by hand. Tilt between the two; bent and lens error up to these.
    pub(super) fn by_hand(
        chance: &mut Chance,
        tilt_deg: (f64, f64),
        rise_mm: f64,
        lens: f64,
    ) -> Self {
        let nominal = if chance.between(0.0, 1.0) < 0.5 {
            Size::new(215.9, 279.4)
        } else {
            Size::new(210.0, 297.0)
        };
        let cut = nominal + Size::new(chance.normal(0.3), chance.normal(0.3));
        let middle = (nominal / 2.0).to_vec2();
        let stretch = Affine::new([
            1.0 + chance.normal(0.005),
            chance.normal(0.003),
            chance.normal(0.003),
            1.0 + chance.normal(0.005),
            chance.normal(0.5),
            chance.normal(0.8),
        ]);
        Self {
            cut,
            lean_rad: chance.normal(3e-4),
            fall_rad: chance.normal(2e-4),
            print: Affine::translate(middle) * stretch * Affine::translate(-middle),
            tilt_deg: chance.between(tilt_deg.0, tilt_deg.1),
            tilt_to_rad: chance.between(0.0, std::f64::consts::TAU),
            roll_rad: chance.between(0.0, std::f64::consts::TAU),
            focal_px: chance.between(2700.0, 4400.0),
            axis_px: Vec2::new(chance.normal(12.0), chance.normal(12.0)),
            lens: (
                chance.between(-lens, lens),
                chance.between(-lens, lens) / 4.0,
            ),
            rise_mm: chance.between(-rise_mm, rise_mm),
            bend_rad: chance.between(0.0, std::f64::consts::PI),
            noise_mm: (0.01, 0.03),
            ..Self::perfect(nominal)
        }
    }

    /// A point of the sheet in space about the sheet's middle, z away from the camera.
    fn in_space(&self, at: Point) -> [f64; 3] {
        let (sin, cos) = sin_cos(self.bend_rad);
        let d = at - (self.cut / 2.0).to_vec2();
        let (along, aside) = (d.x * cos + d.y * sin, d.y * cos - d.x * sin);
        let length = self.cut.width * cos.abs() + self.cut.height * sin.abs();
        let radius = length * length / (8.0 * self.rise_mm.abs().max(1e-6)) * self.rise_mm.signum();
        let (s, c) = sin_cos(along / radius);
        let height = radius * (1.0 - c) + self.ripple_mm * sin_cos(along / 18.0).0;
        let along = radius * s;
        [along * cos - aside * sin, along * sin + aside * cos, height]
    }

    /// The camera's turn: a roll, then a tilt about an axis in the picture's plane.
    fn turned(&self, p: [f64; 3]) -> [f64; 3] {
        let (sr, cr) = sin_cos(self.roll_rad);
        let p = [cr * p[0] - sr * p[1], sr * p[0] + cr * p[1], p[2]];
        let (sd, cd) = sin_cos(self.tilt_to_rad);
        let (st, ct) = sin_cos(self.tilt_deg.to_radians());
        let dot = cd * p[0] + sd * p[1];
        let cross = [sd * p[2], -cd * p[2], cd * p[1] - sd * p[0]];
        let axis = [cd, sd, 0.0];
        std::array::from_fn(|i| p[i] * ct + cross[i] * st + axis[i] * dot * (1.0 - ct))
    }

    fn seen_from(&self, distance_mm: f64, at: Point) -> Point {
        let [x, y, z] = self.turned(self.in_space(at));
        let ideal = Vec2::new(x, y) * (self.focal_px / (z + distance_mm)) + self.axis_px;
        let r2 = ideal.hypot2() / (PICTURE / 2.0).to_vec2().hypot2();
        ((PICTURE / 2.0).to_vec2() + ideal * (1.0 + self.lens.0 * r2 + self.lens.1 * r2 * r2))
            .to_point()
    }

    fn corners(&self) -> [Point; 4] {
        let Size { width, height } = self.cut;
        let (lean, fall) = (self.lean_rad * height, self.fall_rad * width);
        [
            Point::ORIGIN,
            Point::new(width, 0.0),
            Point::new(width + lean, height + fall),
            Point::new(lean, height),
        ]
    }

    /// From so far away that the sheet just fills most of the picture.
    fn distance_mm(&self) -> f64 {
        let fits = |distance: &f64| {
            self.corners().into_iter().all(|corner| {
                let off = self.seen_from(*distance, corner) - (PICTURE / 2.0).to_vec2();
                off.x.abs() < 0.45 * PICTURE.width && off.y.abs() < 0.45 * PICTURE.height
            })
        };
        (0..500)
            .map(|step| 250.0 + 2.0 * f64::from(step))
            .find(fits)
            .unwrap()
    }

    /// The six marks' places in the plan, 16 mm from the sheet's edges, right 0.40 and left 0.62 of the height down.
    pub(super) fn plan(&self) -> [Point; 6] {
        let Size { width, height } = self.nominal;
        let (left, right, top, bottom) = (16.0, width - 16.0, 16.0, height - 16.0);
        [
            (left, top),
            (right, top),
            (right, bottom),
            (left, bottom),
            (right, 0.4 * height),
            (left, 0.62 * height),
        ]
        .map(Point::from)
    }

    /// What is seen, in a picture taken with some noise.
    pub(super) fn taken(&self, chance: &mut Chance) -> PhotoSeen {
        let distance_mm = self.distance_mm();
        let px_per_mm = self.focal_px / distance_mm;
        let mut noisy = |at: Point, mm: f64| {
            at + Vec2::new(chance.normal(mm * px_per_mm), chance.normal(mm * px_per_mm))
        };
        let marks = self.plan().map(|plan| PhotoMark {
            plan,
            diameter_mm: 6.0,
            centre_px: noisy(
                self.ring_seen(distance_mm, self.print * plan),
                self.noise_mm.0,
            ),
            sigma_px: 0.015 * px_per_mm,
        });
        let corners = self.corners();
        let edges = (0..4).map(|i| {
            let (from, to) = (corners[i], corners[(i + 1) % 4]);
            let places = (3..=97).map(|step| from.lerp(to, f64::from(step) / 100.0));
            places
                .map(|at| noisy(self.seen_from(distance_mm, at), self.noise_mm.1))
                .collect()
        });
        PhotoSeen {
            picture_px: PICTURE,
            marks: marks.to_vec(),
            edges: edges.collect(),
        }
    }

    /// Middle of the ellipse as which the edges of a ring of 6 mm are seen, the mean of its outer and inner edge's: the middle between the
    /// farthest reaches along x and along y, found on 720 points of each.
    fn ring_seen(&self, distance_mm: f64, middle: Point) -> Point {
        let centre = |radius_mm: f64| {
            let points: Vec<Point> = (0..720)
                .map(|step| {
                    let (sin, cos) = sin_cos(f64::from(step).to_radians() / 2.0);
                    self.seen_from(distance_mm, middle + Vec2::new(cos, sin) * radius_mm)
                })
                .collect();
            let between = |value: fn(&Point) -> f64| {
                let values = points.iter().map(value);
                let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
                    (l.min(v), h.max(v))
                });
                f64::midpoint(low, high)
            };
            Point::new(between(|p| p.x), between(|p| p.y))
        };
        centre(3.0).midpoint(centre(2.16))
    }

    /// The largest error of a map anywhere within the marks' frame, in millimetres.
    pub(super) fn worst_mm(&self, found: Affine) -> f64 {
        let [low, _, high, ..] = self.plan();
        let places = [
            low,
            Point::new(high.x, low.y),
            high,
            Point::new(low.x, high.y),
        ];
        // Both maps are affine, so that the difference is largest in a corner.
        let off = places.map(|at| (found * at) - (self.print * at));
        off.into_iter().map(|d| hypot(d.x, d.y)).fold(0.0, f64::max)
    }

    /// What a person measures with a ruler, to a tenth of a millimetre with a standard deviation of 0.15.
    pub(super) fn ruled(&self, chance: &mut Chance) -> KnownSheet {
        let mut read = |side: f64| ((side + chance.normal(0.15)) * 10.0).round() / 10.0;
        KnownSheet {
            size: Size::new(read(self.cut.width), read(self.cut.height)),
            sigma_mm: super::super::BY_RULER_MM,
        }
    }
}

#[test]
fn an_eighth_turn_is_seen_as_such() {
    // The sheet's x axis, rolled by 45 degrees, points right and down alike.
    let shot = Shot {
        tilt_deg: 0.0,
        roll_rad: std::f64::consts::FRAC_PI_4,
        ..Shot::perfect(Size::new(210.0, 297.0))
    };
    let [from, to] = [0.0, 50.0].map(|x| shot.seen_from(500.0, Point::new(105.0 + x, 148.5)));
    assert!((atan2(to.y - from.y, to.x - from.x) - std::f64::consts::FRAC_PI_4).abs() < 1e-9);
    // 50 mm from 500 mm away by a focal length of 3100 pixels are 310 pixels.
    assert!((hypot(to.x - from.x, to.y - from.y) - 310.0).abs() < 1e-6);
}

//! The unknowns of a photo, by damped least squares over marks and edges together.
//!
//! Levenberg's method with felt derivatives (central differences). Every unknown counts against its guess, so that the normal equations
//! can always be solved and what the photo cannot tell stays as uncertain as it was. Edge points count by their distance from the edge's
//! line, less the farther they lie off it (Cauchy's weights), so that a finger or a shadow does not bend the sheet.

use kurbo::{Point, Vec2};
use nalgebra::{DMatrix, DVector};

use super::scene::{Scene, Side};
use super::unknown::{COUNT, STEPS};

/// The sum of squares is at rest once a round betters it by less than this part of itself.
const AT_REST: f64 = 1e-7;

/// Deviations from which an edge point counts less than half.
const OUTLYING: f64 = 3.0;

/// A mark in the picture.
#[derive(Debug, Clone, Copy)]
pub(super) struct MarkAt {
    /// Its place in the plan, in millimetres on the sheet.
    pub(super) plan: Point,
    /// Radius of the circle whose middle was found, in millimetres.
    pub(super) radius_mm: f64,
    /// Where it is seen.
    pub(super) at_px: Point,
    /// Standard deviation of that in x and in y, in pixels.
    pub(super) sigma_px: f64,
}

/// A point of one of the sheet's edges in the picture.
#[derive(Debug, Clone, Copy)]
pub(super) struct EdgeAt {
    /// Which edge.
    pub(super) side: Side,
    /// Where it is seen.
    pub(super) at_px: Point,
    /// Standard deviation across the edge, in pixels.
    pub(super) sigma_px: f64,
}

/// All that was seen.
#[derive(Debug, Clone)]
pub(super) struct Seen {
    pub(super) marks: Vec<MarkAt>,
    pub(super) edges: Vec<EdgeAt>,
    /// How far each unknown may lie from its guess.
    pub(super) sigmas: [f64; COUNT],
}

/// The best scene, and how sure it is.
#[derive(Debug, Clone)]
pub(super) struct Solved {
    pub(super) scene: Scene,
    /// Covariance of the unknowns.
    pub(super) covariance: DMatrix<f64>,
    /// How far each mark lies off in x and in y, in sigmas.
    pub(super) mark_misfits: Vec<f64>,
    /// Where along its edge each edge point lies, from -1 to 1.
    pub(super) feet: Vec<f64>,
    /// Distance of each edge point outwards from the edge's line, in sigmas.
    pub(super) edge_misfits: Vec<f64>,
    /// Each unknown's distance from its guess, in sigmas.
    pub(super) strains: [f64; COUNT],
    /// What the fit made least: the squares of all of these, outlying edge points softened.
    pub(super) cost: f64,
}

/// Returns the scene that explains best what was seen, starting from one that is roughly right; `None` where no scene before the camera
/// does.
pub(super) fn solve(seen: &Seen, start: Scene, rounds: usize) -> Option<Solved> {
    let mut now = Standing::of(seen, start, vec![0.0; seen.edges.len()]);
    let mut normal = now.normal(seen);
    let (mut damping, mut brake) = (1e-3, 2.0);
    for _ in 0..rounds {
        if damping > 1e9 {
            break;
        }
        let (step, promised) = normal.step(damping)?;
        let then = Standing::of(seen, now.scene.moved(&step), now.feet.clone());
        let gain = now.cost - then.cost;
        if gain > 0.0 {
            now = then;
            normal = now.normal(seen);
            // Nielsen's rule: the better a step keeps its promise, the bolder the next.
            let kept = 2.0 * gain / promised - 1.0;
            damping = (damping * (1.0 - kept * kept * kept).max(1.0 / 5.0)).max(1e-9);
            brake = 2.0;
        } else {
            damping *= brake;
            brake *= 2.0;
        }
        if gain.abs().max(promised) < AT_REST * (1.0 + now.cost) {
            break;
        }
    }
    now.solved(seen, &normal)
}

/// A scene, and how far what was seen lies off it.
struct Standing {
    scene: Scene,
    /// Where along its edge each edge point lies, from -1 to 1.
    feet: Vec<f64>,
    marks: Vec<f64>,
    edges: Vec<f64>,
    strains: [f64; COUNT],
    cost: f64,
}

impl Standing {
    fn of(seen: &Seen, scene: Scene, mut feet: Vec<f64>) -> Self {
        for (point, foot) in seen.edges.iter().zip(&mut feet) {
            for _ in 0..3 {
                let (off, along) = edge_line(&scene, point.side, *foot, point.at_px);
                *foot = (*foot + off.dot(along) / along.hypot2()).clamp(-1.2, 1.2);
            }
        }
        let marks = mark_misfits(seen, &scene);
        let edges = edge_misfits(seen, &scene, &feet);
        let strains = std::array::from_fn(|i| scene.unknowns[i] / seen.sigmas[i]);
        let squares = marks
            .iter()
            .chain(&strains)
            .map(|d: &f64| d * d)
            .sum::<f64>();
        let softened = edges
            .iter()
            .map(|d| OUTLYING * OUTLYING * libm::log1p(d * d / (OUTLYING * OUTLYING)));
        let cost = squares + softened.sum::<f64>();
        let cost = if cost.is_finite() { cost } else { f64::MAX };
        Self {
            scene,
            feet,
            marks,
            edges,
            strains,
            cost,
        }
    }

    /// The normal equations here, in [`STEPS`] of each unknown.
    fn normal(&self, seen: &Seen) -> Normal {
        let rows = self.marks.len() + self.edges.len();
        let mut slopes = DMatrix::zeros(rows, COUNT);
        for unknown in 0..COUNT {
            let [more, less] = [1.0, -1.0].map(|sign| {
                let mut by = [0.0; COUNT];
                by[unknown] = sign * STEPS[unknown];
                let scene = self.scene.moved(&by);
                let mut misfits = mark_misfits(seen, &scene);
                misfits.extend(edge_misfits(seen, &scene, &self.feet));
                DVector::from_vec(misfits)
            });
            slopes.set_column(unknown, &((more - less) / 2.0));
        }
        let misfits = DVector::from_iterator(rows, self.marks.iter().chain(&self.edges).copied());
        let mut weighted = slopes.clone();
        for (row, misfit) in self.edges.iter().enumerate() {
            let weight = 1.0 / (1.0 + misfit * misfit / (OUTLYING * OUTLYING));
            weighted.row_mut(self.marks.len() + row).scale_mut(weight);
        }
        let mut matrix = slopes.transpose() * &weighted;
        let mut towards = -(weighted.transpose() * misfits);
        for i in 0..COUNT {
            let steps = STEPS[i] / seen.sigmas[i];
            matrix[(i, i)] += steps * steps;
            towards[i] -= steps * self.strains[i];
        }
        Normal { matrix, towards }
    }

    fn solved(self, seen: &Seen, normal: &Normal) -> Option<Solved> {
        let inverse = normal.matrix.clone().cholesky()?.inverse();
        let covariance =
            DMatrix::from_fn(COUNT, COUNT, |i, j| inverse[(i, j)] * STEPS[i] * STEPS[j]);
        let in_view = seen
            .marks
            .iter()
            .all(|mark| self.scene.is_before_camera(mark.plan));
        (self.cost < f64::MAX && in_view).then_some(Solved {
            scene: self.scene,
            covariance,
            feet: self.feet,
            mark_misfits: self.marks,
            edge_misfits: self.edges,
            strains: self.strains,
            cost: self.cost,
        })
    }
}

/// Normal equations.
struct Normal {
    matrix: DMatrix<f64>,
    towards: DVector<f64>,
}

impl Normal {
    /// The step to the minimum, shortened the more the stronger the damping, and by how much it should lower the sum of squares.
    fn step(&self, damping: f64) -> Option<([f64; COUNT], f64)> {
        let mut matrix = self.matrix.clone();
        for i in 0..COUNT {
            matrix[(i, i)] *= 1.0 + damping;
        }
        let step = matrix.cholesky()?.solve(&self.towards);
        let promised = 2.0 * step.dot(&self.towards) - step.dot(&(&self.matrix * &step));
        Some((std::array::from_fn(|i| step[i] * STEPS[i]), promised))
    }
}

fn mark_misfits(seen: &Seen, scene: &Scene) -> Vec<f64> {
    let off = seen.marks.iter().flat_map(|mark| {
        let off = mark.at_px - scene.ring_seen(scene.printed(mark.plan), mark.radius_mm);
        [off.x / mark.sigma_px, off.y / mark.sigma_px]
    });
    off.collect()
}

fn edge_misfits(seen: &Seen, scene: &Scene, feet: &[f64]) -> Vec<f64> {
    let off = seen.edges.iter().zip(feet).map(|(point, foot)| {
        let (off, along) = edge_line(scene, point.side, *foot, point.at_px);
        let across = off.cross(along) / along.hypot2().sqrt();
        point.side.outwards() * across / point.sigma_px
    });
    off.collect()
}

/// What `at_px` lies off the point `foot` of an edge, and how that point moves as `foot` grows.
fn edge_line(scene: &Scene, side: Side, foot: f64, at_px: Point) -> (Vec2, Vec2) {
    const STEP: f64 = 1e-3;
    let [here, next] = [foot, foot + STEP].map(|along| scene.seen(scene.on_edge(side, along)));
    (at_px - here, (next - here) / STEP)
}

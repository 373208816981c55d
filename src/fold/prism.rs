//! Panels as thick as their paper, and where along a straight way one meets another.
//!
//! A panel is cut into trapezoids at the heights of its corners; each is a convex prism as thick as the paper. Two convex bodies share
//! something exactly if their shadows overlap on every axis along a face normal of one or across an edge of each (the theorem of
//! separating axes). If one of them moves along a line, each axis allows one stretch of the way; what all axes allow is where they meet.
//! So a way is tried in all its poses at once. Cost: pairs of prisms times some twenty axes; boxes sort out most pairs.

use kurbo::Point;

use super::FoldedPanel;
use crate::geometry::space::Vec3;
use crate::math::COINCIDENT_MM;

/// A convex part of a panel, as thick as its paper, in the object's frame.
#[derive(Debug, Clone)]
pub(super) struct Prism {
    corners: Vec<Vec3>,
    normals: Vec<Vec3>,
    edges: Vec<Vec3>,
}

/// A stretch of a way, in millimetres from where the moving body lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Meeting {
    /// Where it begins.
    pub(super) from_mm: f64,
    /// Where it ends.
    pub(super) to_mm: f64,
}

/// Returns a panel as prisms.
pub(super) fn prisms(panel: &FoldedPanel, caliper_mm: f64) -> Vec<Prism> {
    let parts = trapezoids(&panel.rings_mm);
    let prism = |part: &[Point; 4]| Prism::new(part, panel, caliper_mm);
    parts.iter().map(prism).collect()
}

impl Prism {
    fn new(part: &[Point; 4], panel: &FoldedPanel, caliper_mm: f64) -> Self {
        let at = |p: &Point, z_mm: f64| panel.place.apply(Vec3::new(p.x, p.y, z_mm));
        let half_mm = caliper_mm / 2.0;
        let corners = part
            .iter()
            .flat_map(|p| [at(p, -half_mm), at(p, half_mm)])
            .collect();
        let up = panel.place.direct(Vec3::z());
        let sides = (0..4).map(|i| (part[(i + 1) % 4] - part[i], i));
        let long = sides.filter(|(side, _)| side.hypot2() > COINCIDENT_MM * COINCIDENT_MM);
        let mut edges: Vec<Vec3> = long
            .map(|(side, _)| {
                panel
                    .place
                    .direct(Vec3::new(side.x, side.y, 0.0))
                    .normalize()
            })
            .collect();
        let mut normals: Vec<Vec3> = edges.iter().map(|edge| edge.cross(&up)).collect();
        normals.push(up);
        edges.push(up);
        Self {
            corners,
            normals,
            edges,
        }
    }

    /// Returns from where to where it reaches along a direction.
    pub(super) fn reach_mm(&self, direction: &Vec3) -> (f64, f64) {
        let along = self.corners.iter().map(|corner| corner.dot(direction));
        along.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), d| {
            (least.min(d), most.max(d))
        })
    }

    /// Returns on which stretch of its way along `way` (of length 1) this prism is in `other`, deeper than `depth_mm` across the way.
    pub(super) fn meets(&self, other: &Self, way: &Vec3, depth_mm: f64) -> Option<Meeting> {
        let own = self.normals.iter().chain(&other.normals).copied();
        let crossed = self
            .edges
            .iter()
            .flat_map(|a| other.edges.iter().map(move |b| a.cross(b)));
        let axes = own.chain(
            crossed
                .filter(|axis| axis.norm() > COINCIDENT_MM)
                .map(|axis| axis.normalize()),
        );
        let mut found = Meeting {
            from_mm: f64::NEG_INFINITY,
            to_mm: f64::INFINITY,
        };
        for axis in axes {
            self.narrow(other, way, &axis, depth_mm, &mut found)?;
        }
        (found.from_mm < found.to_mm).then_some(found)
    }

    /// Keeps what one axis allows of a stretch; `None` if nothing is left.
    fn narrow(
        &self,
        other: &Self,
        way: &Vec3,
        axis: &Vec3,
        depth_mm: f64,
        found: &mut Meeting,
    ) -> Option<()> {
        let speed = axis.dot(way);
        // Along the way the place of contact is exact; the depth counts across it.
        let depth_mm = depth_mm * (1.0 - speed * speed).max(0.0).sqrt();
        let (own, its) = (self.reach_mm(axis), other.reach_mm(axis));
        let (least, most) = (its.0 - own.1 + depth_mm, its.1 - own.0 - depth_mm);
        if speed.abs() <= COINCIDENT_MM {
            return (least < 0.0 && most > 0.0).then_some(());
        }
        let (a, b) = (least / speed, most / speed);
        found.from_mm = found.from_mm.max(a.min(b));
        found.to_mm = found.to_mm.min(a.max(b));
        (found.from_mm < found.to_mm).then_some(())
    }
}

/// A trapezoid between two sides of the rings, still growing downwards.
#[derive(Debug, Clone, Copy)]
struct Open {
    sides: (usize, usize),
    part: [Point; 4],
}

/// Returns the trapezoids that make up what rings enclose, holes left out.
pub(super) fn trapezoids(rings: &[Vec<Point>]) -> Vec<[Point; 4]> {
    let sides: Vec<(Point, Point)> = rings
        .iter()
        .flat_map(|ring| (0..ring.len()).map(|i| (ring[i], ring[(i + 1) % ring.len()])))
        .collect();
    let mut heights: Vec<f64> = rings.iter().flatten().map(|p| p.y).collect();
    heights.sort_by(f64::total_cmp);
    heights.dedup_by(|a, b| (*a - *b).abs() <= COINCIDENT_MM);
    let mut done = Vec::new();
    let mut open: Vec<Open> = Vec::new();
    for pair in heights.windows(2) {
        let band = slice(&sides, pair[0], pair[1]);
        let (kept, ended): (Vec<Open>, Vec<Open>) = open
            .into_iter()
            .partition(|o| band.iter().any(|b| b.sides == o.sides));
        done.extend(ended.iter().map(|o| o.part));
        open = band.into_iter().map(|b| grown(&kept, b)).collect();
    }
    done.extend(open.iter().map(|o| o.part));
    done
}

/// A new trapezoid, or the one above it between the same sides, grown down to it.
fn grown(above: &[Open], below: Open) -> Open {
    let Some(top) = above.iter().find(|o| o.sides == below.sides) else {
        return below;
    };
    let [a, b, ..] = top.part;
    let [.., c, d] = below.part;
    Open {
        part: [a, b, c, d],
        ..below
    }
}

/// What lies between two heights that no corner lies between.
fn slice(sides: &[(Point, Point)], top_mm: f64, bottom_mm: f64) -> Vec<Open> {
    let middle_mm = f64::midpoint(top_mm, bottom_mm);
    let crosses = |(_, (p, q)): &(usize, &(Point, Point))| (p.y < middle_mm) != (q.y < middle_mm);
    let x_at = |side: usize, y_mm: f64| {
        let (p, q) = sides[side];
        p.x + (q.x - p.x) * (y_mm - p.y) / (q.y - p.y)
    };
    let mut crossing: Vec<usize> = sides
        .iter()
        .enumerate()
        .filter(crosses)
        .map(|(i, _)| i)
        .collect();
    crossing.sort_by(|a, b| x_at(*a, middle_mm).total_cmp(&x_at(*b, middle_mm)));
    let between = |pair: &[usize]| {
        let corner = |side: usize, y_mm: f64| Point::new(x_at(side, y_mm), y_mm);
        let (left, right) = (pair[0], pair[1]);
        let top = [corner(left, top_mm), corner(right, top_mm)];
        let bottom = [corner(right, bottom_mm), corner(left, bottom_mm)];
        Open {
            sides: (left, right),
            part: [top[0], top[1], bottom[0], bottom[1]],
        }
    };
    crossing.chunks_exact(2).map(between).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::space::Rigid;
    use crate::math::Angle;

    fn ring(points: &[(f64, f64)]) -> Vec<Point> {
        points.iter().copied().map(Point::from).collect()
    }

    fn panel(rings_mm: Vec<Vec<Point>>, place: Rigid) -> FoldedPanel {
        FoldedPanel {
            name: "front".into(),
            rings_mm,
            place,
        }
    }

    fn square() -> Vec<Vec<Point>> {
        vec![ring(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])]
    }

    fn area_mm2(parts: &[[Point; 4]]) -> f64 {
        let area = |[a, b, c, d]: &[Point; 4]| ((b.x - a.x) + (c.x - d.x)) / 2.0 * (d.y - a.y);
        parts.iter().map(area).sum()
    }

    #[test]
    fn a_frame_with_a_hole_becomes_four_trapezoids_of_its_area() {
        let mut rings = square();
        rings.push(ring(&[(2.0, 3.0), (2.0, 7.0), (8.0, 7.0), (8.0, 3.0)]));
        let parts = trapezoids(&rings);
        assert_eq!(parts.len(), 4);
        // 10 x 10 less 6 x 4.
        assert!((area_mm2(&parts) - 76.0).abs() < 1e-9);
    }

    #[test]
    fn a_u_lying_on_its_side_becomes_three() {
        let u = ring(&[
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 2.0),
            (3.0, 2.0),
            (3.0, 8.0),
            (10.0, 8.0),
            (10.0, 10.0),
            (0.0, 10.0),
        ]);
        let parts = trapezoids(&[u]);
        assert_eq!(parts.len(), 3);
        assert!((area_mm2(&parts) - 58.0).abs() < 1e-9);
    }

    #[test]
    fn a_card_meets_one_ahead_where_their_edges_touch_and_leaves_it_behind() {
        let moving = prisms(&panel(square(), Rigid::identity()), 0.3);
        let ahead = prisms(&panel(square(), Rigid::shift(14.0, 5.0, 0.1)), 0.3);
        let met = moving[0].meets(&ahead[0], &Vec3::x(), 0.05).unwrap();
        // Edges touch after 4 mm, and the last of it is past after 24; sheets 0.1 apart of 0.3 are 0.2 deep in each other.
        assert!((met.from_mm - 4.0).abs() < 1e-9 && (met.to_mm - 24.0).abs() < 1e-9);
        assert!(moving[0].meets(&ahead[0], &Vec3::x(), 0.25).is_none());
    }

    #[test]
    fn a_card_that_lies_on_another_slides_over_it() {
        let moving = prisms(&panel(square(), Rigid::identity()), 0.3);
        let below = prisms(&panel(square(), Rigid::shift(3.0, 3.0, -0.3)), 0.3);
        assert!(moving[0].meets(&below[0], &Vec3::x(), 0.01).is_none());
    }

    #[test]
    fn a_card_meets_a_wall_that_stands_across_its_way_at_the_walls_face() {
        let upright = Rigid::about(Vec3::zeros(), Vec3::y(), Angle::from_deg(90.0));
        let wall = prisms(
            &panel(square(), Rigid::shift(20.0, 0.0, 5.0).after(&upright)),
            0.4,
        );
        let moving = prisms(&panel(square(), Rigid::identity()), 0.3);
        let met = moving[0].meets(&wall[0], &Vec3::x(), 0.05).unwrap();
        // The wall's face is half its thickness before 20 mm.
        assert!((met.from_mm - 9.8).abs() < 1e-9);
    }
}

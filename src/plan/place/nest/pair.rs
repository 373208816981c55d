//! How much two parts overlap, by tables made once for each pair of forms.
//!
//! Two convex cells are apart if a line along one of their sides parts them; else the least shift that parts them is at right
//! angles to a side (the separating axis theorem). For fixed turns how far the cells reach along each such normal is a constant,
//! so a test is one product for each side, stopped at the first normal that parts them. The overlap of two parts is the sum over
//! their cells of that shift times the radius of the smaller cell: nothing while they are apart, growing like an area while they
//! are pushed together, and never flat, so that a search can follow it outwards.

use super::form::{Bounds, Cell, Form};
use super::ring::Point;

/// Overlaps of less are contacts: rounding of coordinates of metres in `f64` stays a thousand times below.
pub(super) const CONTACT_NM: f64 = 0.5;

/// A pair of cells that can meet.
#[derive(Debug, Clone, Copy)]
struct Meeting {
    /// Shifts of the second part against the first at which the rectangles around the cells meet.
    shifts: Bounds,
    /// The shift at which the middles of the two rectangles coincide, and the square of how far from it the cells can meet.
    middle: Point,
    reach_nm2: f64,
    first_axis: u32,
    end_axis: u32,
    radius_nm: f64,
}

/// All that is needed to tell how much two forms overlap at any shift.
#[derive(Debug, Clone)]
pub(super) struct Pair {
    meetings: Vec<Meeting>,
    axes: Vec<[f64; 3]>,
    weight: f64,
}

impl Pair {
    /// Returns the table for two forms.
    pub(super) fn new(a: &Form, b: &Form) -> Self {
        let mut pair = Self {
            meetings: Vec::with_capacity(a.cells.len() * b.cells.len()),
            axes: Vec::new(),
            weight: a.weight * b.weight,
        };
        for first in &a.cells {
            for second in &b.cells {
                pair.add(first, second);
            }
        }
        pair.axes.shrink_to_fit();
        pair
    }

    fn add(&mut self, a: &Cell, b: &Cell) {
        let start = count(self.axes.len());
        for normal in &a.normals {
            let far = a.reach(*normal) + b.reach([-normal[0], -normal[1]]);
            self.axes.push([normal[0], normal[1], far]);
        }
        for normal in &b.normals {
            let back = [-normal[0], -normal[1]];
            let far = a.reach(back) + b.reach(*normal);
            self.axes.push([back[0], back[1], far]);
        }
        spread(&mut self.axes[start as usize..]);
        let (from, to) = (a.bounds.centre(), b.bounds.centre());
        let reach_nm = a.around_nm + b.around_nm;
        self.meetings.push(Meeting {
            middle: [from[0] - to[0], from[1] - to[1]],
            reach_nm2: reach_nm * reach_nm,
            shifts: shifts(&a.bounds, &b.bounds),
            first_axis: start,
            end_axis: count(self.axes.len()),
            radius_nm: a.radius_nm.min(b.radius_nm),
        });
    }

    /// How much the forms overlap if the second is shifted against the first; a length times a length, 0 if they are apart.
    pub(super) fn overlap(&self, [x, y]: Point) -> f64 {
        let mut sum = 0.0;
        for meeting in &self.meetings {
            let s = &meeting.shifts;
            if x <= s.low[0] || x >= s.high[0] || y <= s.low[1] || y >= s.high[1] {
                continue;
            }
            let (over, down) = (x - meeting.middle[0], y - meeting.middle[1]);
            if over * over + down * down >= meeting.reach_nm2 {
                continue;
            }
            let mut depth = f64::MAX;
            for [nx, ny, far] in &self.axes[meeting.first_axis as usize..meeting.end_axis as usize]
            {
                let here = far - (nx * x + ny * y);
                if here < depth {
                    depth = here;
                    if here <= CONTACT_NM {
                        break;
                    }
                }
            }
            if depth > CONTACT_NM {
                sum += depth * meeting.radius_nm;
            }
        }
        if sum > 0.0 {
            sum.sqrt() * self.weight
        } else {
            0.0
        }
    }

    /// Memory it takes, in bytes.
    pub(super) fn size(&self) -> usize {
        size_of_val(self.axes.as_slice()) + size_of_val(self.meetings.as_slice())
    }
}

/// Puts axes into an order in which the first few point every way, so that one of them parts most pairs that are apart.
fn spread(axes: &mut [[f64; 3]]) {
    let by_angle = |a: &[f64; 3]| crate::math::atan2(a[1], a[0]);
    axes.sort_by(|a, b| by_angle(a).total_cmp(&by_angle(b)));
    let n = axes.len();
    let bits = n.next_power_of_two().trailing_zeros().max(1);
    let order = (0..1_usize << bits).map(|i| i.reverse_bits() >> (usize::BITS - bits));
    let spread: Vec<[f64; 3]> = order.filter(|i| *i < n).map(|i| axes[i]).collect();
    axes.copy_from_slice(&spread);
}

/// What [`Pair::overlap`] tells, to the last bit, without a table.
pub(super) fn overlap_without_table(a: &Form, b: &Form, shift: Point) -> f64 {
    let mut sum = 0.0;
    let near = b.bounds.moved(shift);
    for first in a.cells.iter().filter(|cell| cell.bounds.meets(&near)) {
        for second in &b.cells {
            sum += depth(first, second, shift) * first.radius_nm.min(second.radius_nm);
        }
    }
    if sum > 0.0 {
        sum.sqrt() * (a.weight * b.weight)
    } else {
        0.0
    }
}

fn depth(a: &Cell, b: &Cell, [x, y]: Point) -> f64 {
    let s = shifts(&a.bounds, &b.bounds);
    if x <= s.low[0] || x >= s.high[0] || y <= s.low[1] || y >= s.high[1] {
        return 0.0;
    }
    let own = a.normals.iter().map(|n| (*n, [-n[0], -n[1]]));
    let other = b.normals.iter().map(|n| ([-n[0], -n[1]], *n));
    let mut depth = f64::MAX;
    for (ahead, back) in own.chain(other) {
        depth = depth.min(a.reach(ahead) + b.reach(back) - (ahead[0] * x + ahead[1] * y));
        if depth <= CONTACT_NM {
            return 0.0;
        }
    }
    depth
}

/// The shifts of `b` at which it meets `a`.
fn shifts(a: &Bounds, b: &Bounds) -> Bounds {
    Bounds {
        low: [a.low[0] - b.high[0], a.low[1] - b.high[1]],
        high: [a.high[0] - b.low[0], a.high[1] - b.low[1]],
    }
}

fn count(n: usize) -> u32 {
    u32::try_from(n).expect("two forms have no billions of sides")
}

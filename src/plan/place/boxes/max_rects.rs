//! Fills an area around obstacles, keeping all largest free rectangles.
//!
//! The free rectangles overlap: each is as large as what already lies there allows, so no room is lost to a cut that nobody makes
//! (J. Jylänki, "A thousand ways to pack the bin", 2010, section 2.3). Cost: boxes times free rectangles, and their square where a
//! box splits many. The layout need not come apart by cuts from edge to edge.

use super::super::Area;
use super::Place;
use super::pile::{Form, Pile};

/// Which place is best: the one with least of this.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fit {
    /// What is left of the rectangle's size.
    Size,
    /// The shorter of the two leftovers at the sides.
    ShortSide,
    /// The longer of them.
    LongSide,
    /// Distance of the box's lower edge from the top.
    Top,
    /// Distance of the box's right edge from the left.
    Left,
}

impl Fit {
    pub(super) const ALL: [Self; 5] = [
        Self::Size,
        Self::ShortSide,
        Self::LongSide,
        Self::Top,
        Self::Left,
    ];
}

/// The largest free rectangles of an area.
#[derive(Debug, Clone)]
pub(super) struct Free {
    areas: Vec<Area>,
}

impl Free {
    /// Returns what is free of `area` between `obstacles`.
    pub(super) fn new(area: Area, obstacles: impl IntoIterator<Item = Area>) -> Self {
        let mut free = Self {
            areas: if area.is_empty() {
                Vec::new()
            } else {
                vec![area]
            },
        };
        for obstacle in obstacles {
            free.block(obstacle);
        }
        free
    }

    /// The largest rectangle; an earlier one (from the top left) among equals.
    pub(super) fn largest(&self) -> Option<Area> {
        let by_size = |a: &&Area| (a.size_nm2(), std::cmp::Reverse((a.y_nm, a.x_nm)));
        self.areas.iter().max_by_key(by_size).copied()
    }

    /// All of them.
    pub(super) fn into_areas(self) -> Vec<Area> {
        self.areas
    }

    fn block(&mut self, taken: Area) {
        if taken.is_empty() {
            return;
        }
        let (hit, mut kept): (Vec<Area>, Vec<Area>) =
            self.areas.iter().partition(|a| a.overlaps(taken));
        let mut parts: Vec<Area> = hit.iter().flat_map(|a| a.around(taken)).collect();
        parts.sort_unstable();
        parts.dedup();
        // Only new parts can lie inside another rectangle: the kept ones were largest before and still are.
        for (i, part) in parts.iter().enumerate() {
            let is_inside = |other: &Area| other.contains(*part);
            let in_part = parts
                .iter()
                .enumerate()
                .any(|(j, other)| j != i && is_inside(other));
            if !in_part
                && !self
                    .areas
                    .iter()
                    .any(|a| !a.overlaps(taken) && is_inside(a))
            {
                kept.push(*part);
            }
        }
        self.areas = kept;
    }
}

/// Fills what is free from the pile, stack by stack.
pub(super) fn fill(free: &mut Free, pile: &mut Pile, fit: Fit) -> Vec<Place> {
    let mut places = Vec::new();
    for stack in 0..pile.stacks.len() {
        while pile.stacks[stack].left > 0 && pile.may_work(free.areas.len() * WORK_FOR_EACH_AREA) {
            let Some((area, form)) = best_fit(&free.areas, &pile.stacks[stack].forms, fit) else {
                break;
            };
            let place = pile.lay(stack, form, area.x_nm, area.y_nm);
            free.block(place.area);
            places.push(place);
        }
    }
    places
}

/// Splitting and comparing rectangles costs about this many times what looking at one costs.
const WORK_FOR_EACH_AREA: usize = 4;

fn best_fit(areas: &[Area], forms: &[Form], fit: Fit) -> Option<(Area, Form)> {
    let choices = areas.iter().flat_map(|area| {
        let forms = forms.iter().filter(|form| form.fits(*area));
        forms.map(move |form| {
            let over_x = i128::from(area.width_nm - form.width_nm);
            let over_y = i128::from(area.height_nm - form.height_nm);
            let (right, bottom) = (area.x_nm + form.width_nm, area.y_nm + form.height_nm);
            let score = match fit {
                Fit::Size => {
                    let used = i128::from(form.width_nm) * i128::from(form.height_nm);
                    (area.size_nm2() - used, over_x.min(over_y))
                }
                Fit::ShortSide => (over_x.min(over_y), over_x.max(over_y)),
                Fit::LongSide => (over_x.max(over_y), over_x.min(over_y)),
                Fit::Top => (i128::from(bottom), i128::from(area.x_nm)),
                Fit::Left => (i128::from(right), i128::from(area.y_nm)),
            };
            (score, *area, *form)
        })
    });
    choices
        .min_by_key(|(score, area, _)| (*score, area.y_nm, area.x_nm, *area))
        .map(|(_, area, form)| (area, form))
}

//! What is left to place, sorted for one way of filling.

use super::super::{Area, Request};
use super::Place;

/// Boxes left to place on sheets of one kind, in the order in which they are tried.
#[derive(Debug, Clone)]
pub(super) struct Pile {
    pub(super) stacks: Vec<Stack>,
    work: u64,
    work_limit: u64,
}

/// Equal boxes.
#[derive(Debug, Clone)]
pub(super) struct Stack {
    kind: usize,
    /// How many may still be placed.
    pub(super) left: u32,
    /// The box lying upright and sideways, as far as allowed.
    pub(super) forms: Vec<Form>,
}

/// A box as it may lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Form {
    pub(super) width_nm: i64,
    pub(super) height_nm: i64,
    quarters: u8,
}

/// By what boxes are sorted, greatest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Order {
    Size,
    LongSide,
    ShortSide,
    Perimeter,
    Width,
    Height,
}

impl Order {
    pub(super) const ALL: [Self; 6] = [
        Self::Size,
        Self::LongSide,
        Self::ShortSide,
        Self::Perimeter,
        Self::Width,
        Self::Height,
    ];

    fn rank(self, width_nm: i64, height_nm: i64) -> (i128, i128) {
        let (w, h) = (i128::from(width_nm), i128::from(height_nm));
        match self {
            Self::Size => (w * h, w.max(h)),
            Self::LongSide => (w.max(h), w.min(h)),
            Self::ShortSide => (w.min(h), w.max(h)),
            Self::Perimeter => (w + h, w * h),
            Self::Width => (w, h),
            Self::Height => (h, w),
        }
    }
}

impl Pile {
    /// Returns the boxes that may lie on sheets of kind `sheet`; `left` holds how many of each kind of box.
    pub(super) fn new(request: &Request, sheet: usize, left: &[u32], order: Order) -> Self {
        let mut kinds: Vec<usize> = (0..request.parts.len()).filter(|k| left[*k] > 0).collect();
        kinds.sort_by_key(|k| {
            let b = &request.parts[*k];
            std::cmp::Reverse(order.rank(b.width_nm, b.height_nm))
        });
        let stacks = kinds.into_iter().map(|kind| Stack {
            kind,
            left: left[kind],
            forms: forms(request, sheet, kind),
        });
        Self {
            stacks: stacks.filter(|s| !s.forms.is_empty()).collect(),
            work: 0,
            work_limit: u64::MAX,
        }
    }

    /// Returns the same pile with x and y exchanged.
    pub(super) fn transposed(mut self) -> Self {
        for form in self.stacks.iter_mut().flat_map(|s| &mut s.forms) {
            std::mem::swap(&mut form.width_nm, &mut form.height_nm);
        }
        self
    }

    /// Returns the same pile with a bound on the work that may be done with it.
    pub(super) fn with_work_limit(mut self, steps: u64) -> Self {
        self.work_limit = steps;
        self
    }

    /// Books `steps` of work; `false` once the bound is passed, and then the filling ends where it is.
    pub(super) fn may_work(&mut self, steps: usize) -> bool {
        self.work = self.work.saturating_add(steps as u64);
        self.work <= self.work_limit
    }

    /// The work booked so far.
    pub(super) fn work(&self) -> u64 {
        self.work
    }

    /// Takes one box off a stack and lays it down.
    pub(super) fn lay(&mut self, stack: usize, form: Form, x_nm: i64, y_nm: i64) -> Place {
        self.stacks[stack].left -= 1;
        Place {
            kind: self.stacks[stack].kind,
            area: form.at(x_nm, y_nm),
            quarters: form.quarters,
        }
    }

    /// Takes off what `places` hold, as far as it is there, and returns the places that remain.
    pub(super) fn take(&mut self, places: Vec<Place>) -> Vec<Place> {
        let mut kept = places;
        kept.retain(|place| {
            let stack = self
                .stacks
                .iter_mut()
                .find(|s| s.kind == place.kind && s.left > 0);
            stack.is_some_and(|s| {
                s.left -= 1;
                true
            })
        });
        kept
    }
}

impl Stack {
    /// A place for this stack's box that counts nothing off.
    pub(super) fn place(&self, form: Form, x_nm: i64, y_nm: i64) -> Place {
        Place {
            kind: self.kind,
            area: form.at(x_nm, y_nm),
            quarters: form.quarters,
        }
    }
}

impl Form {
    fn at(self, x_nm: i64, y_nm: i64) -> Area {
        Area {
            x_nm,
            y_nm,
            width_nm: self.width_nm,
            height_nm: self.height_nm,
        }
    }

    /// Whether it fits into an area.
    pub(super) fn fits(self, area: Area) -> bool {
        self.width_nm <= area.width_nm && self.height_nm <= area.height_nm
    }
}

fn forms(request: &Request, sheet: usize, kind: usize) -> Vec<Form> {
    let b = &request.parts[kind];
    let turns = b.turns[sheet];
    let upright = turns.upright().map(|quarters| Form {
        width_nm: b.width_nm,
        height_nm: b.height_nm,
        quarters,
    });
    let sideways = turns.sideways().map(|quarters| Form {
        width_nm: b.height_nm,
        height_nm: b.width_nm,
        quarters,
    });
    let is_square = b.width_nm == b.height_nm;
    let area = request.sheets[sheet].area;
    upright
        .into_iter()
        .chain(sideways.filter(|_| !is_square || upright.is_none()))
        .filter(|form| form.fits(area))
        .collect()
}

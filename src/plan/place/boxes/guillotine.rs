//! Fills an area so that it comes apart by cuts from edge to edge.
//!
//! Each box, or block of equal boxes, goes into the corner of the free rectangle it fits best; one straight cut beside it and one
//! below it leave two new free rectangles (J. Jylänki, "A thousand ways to pack the bin", 2010, section 2.2). Cost: boxes times
//! free rectangles.

use super::super::Area;
use super::Place;
use super::pile::{Form, Pile};

/// How a filling decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Rule {
    pub(super) fit: Fit,
    pub(super) split: Split,
    pub(super) block: Block,
}

/// Which free rectangle is best: the one that leaves least of this.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fit {
    Size,
    ShortSide,
    LongSide,
}

impl Fit {
    pub(super) const ALL: [Self; 3] = [Self::Size, Self::ShortSide, Self::LongSide];
}

/// Which of the two cuts beside a box runs through.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Split {
    /// The one across the side with less left over.
    ShorterRest,
    /// The one that leaves the larger rectangle.
    LargerPart,
    /// The one below the box.
    Below,
    /// The one beside the box.
    Beside,
}

impl Split {
    pub(super) const ALL: [Self; 4] = [
        Self::ShorterRest,
        Self::LargerPart,
        Self::Below,
        Self::Beside,
    ];
}

/// How many equal boxes go down at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Block {
    One,
    /// As many whole rows as fit.
    Rows,
    /// As many whole columns as fit.
    Columns,
}

impl Block {
    pub(super) const ALL: [Self; 3] = [Self::One, Self::Rows, Self::Columns];

    /// Columns and rows of a block of at most `left` boxes in an area that holds at least one.
    fn grid(self, form: Form, area: Area, left: u32) -> (i64, i64) {
        let columns = area.width_nm / form.width_nm;
        let rows = area.height_nm / form.height_nm;
        let left = i64::from(left);
        match self {
            Self::One => (1, 1),
            Self::Rows => {
                let columns = columns.min(left);
                (columns, rows.min(left / columns))
            }
            Self::Columns => {
                let rows = rows.min(left);
                (columns.min(left / rows), rows)
            }
        }
    }
}

/// Fills `area` from the pile, stack by stack.
pub(super) fn fill(area: Area, pile: &mut Pile, rule: Rule) -> Vec<Place> {
    let mut free = vec![area];
    let mut places = Vec::new();
    for stack in 0..pile.stacks.len() {
        while pile.stacks[stack].left > 0 && pile.may_work(free.len()) {
            let Some((at, form)) = best_fit(&free, pile, stack, rule) else {
                break;
            };
            let hole = free.swap_remove(at);
            let grid = rule.block.grid(form, hole, pile.stacks[stack].left);
            for row in 0..grid.1 {
                for column in 0..grid.0 {
                    let (x, y) = (column * form.width_nm, row * form.height_nm);
                    places.push(pile.lay(stack, form, hole.x_nm + x, hole.y_nm + y));
                }
            }
            let used = (grid.0 * form.width_nm, grid.1 * form.height_nm);
            free.extend(
                rest(hole, used, rule.split)
                    .into_iter()
                    .filter(|a| !a.is_empty()),
            );
        }
    }
    places
}

fn best_fit(free: &[Area], pile: &Pile, stack: usize, rule: Rule) -> Option<(usize, Form)> {
    let stack = &pile.stacks[stack];
    let choices = free.iter().enumerate().flat_map(|(at, area)| {
        let forms = stack.forms.iter().filter(|form| form.fits(*area));
        forms.map(move |form| {
            let (columns, rows) = rule.block.grid(*form, *area, stack.left);
            let over_x = i128::from(area.width_nm - columns * form.width_nm);
            let over_y = i128::from(area.height_nm - rows * form.height_nm);
            let used = i128::from(columns * form.width_nm) * i128::from(rows * form.height_nm);
            let score = match rule.fit {
                Fit::Size => (area.size_nm2() - used, over_x.min(over_y)),
                Fit::ShortSide => (over_x.min(over_y), over_x.max(over_y)),
                Fit::LongSide => (over_x.max(over_y), over_x.min(over_y)),
            };
            (score, (area.y_nm, area.x_nm), at, *form)
        })
    });
    choices
        .min_by_key(|(score, corner, at, _)| (*score, *corner, *at))
        .map(|(_, _, at, form)| (at, form))
}

fn rest(hole: Area, (width_nm, height_nm): (i64, i64), split: Split) -> [Area; 2] {
    let (x, y) = (hole.x_nm + width_nm, hole.y_nm + height_nm);
    let (right, bottom) = (hole.right_nm(), hole.bottom_nm());
    let cut_below = [
        Area::from_edges(hole.x_nm, y, right, bottom),
        Area::from_edges(x, hole.y_nm, right, y),
    ];
    let cut_beside = [
        Area::from_edges(x, hole.y_nm, right, bottom),
        Area::from_edges(hole.x_nm, y, x, bottom),
    ];
    let is_below = match split {
        Split::Below => true,
        Split::Beside => false,
        Split::ShorterRest => hole.width_nm - width_nm < hole.height_nm - height_nm,
        Split::LargerPart => cut_below[0].size_nm2() > cut_beside[0].size_nm2(),
    };
    if is_below { cut_below } else { cut_beside }
}

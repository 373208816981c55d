//! Fills an area with shelves: rows of boxes, each as high as its first box.
//!
//! First fit on shelves (E. G. Coffman et al., "Performance bounds for level-oriented two-dimensional packing algorithms", 1980).
//! A person with a trimmer likes the result: one cut below each shelf, then cuts across. Cost: boxes times shelves.

use super::super::Area;
use super::Place;
use super::pile::{Form, Pile};

/// How boxes stand on the shelves if they may be turned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stand {
    /// On their short side.
    Tall,
    /// On their long side.
    Flat,
}

/// Which way shelves run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Run {
    /// Left to right.
    Across,
    /// Top to bottom.
    Down,
}

struct Shelf {
    y_nm: i64,
    height_nm: i64,
    used_nm: i64,
}

/// Fills `area` from the pile, stack by stack, each box on the first shelf that has room for it.
pub(super) fn fill(area: Area, pile: &mut Pile, stand: Stand, run: Run) -> Vec<Place> {
    match run {
        Run::Across => fill_rows(area, pile, stand),
        Run::Down => {
            let mut turned = pile.clone().transposed();
            let mut places = fill_rows(area.transposed(), &mut turned, stand);
            *pile = turned.transposed();
            for place in &mut places {
                place.area = place.area.transposed();
            }
            places
        }
    }
}

fn fill_rows(area: Area, pile: &mut Pile, stand: Stand) -> Vec<Place> {
    let mut shelves: Vec<Shelf> = Vec::new();
    let mut places = Vec::new();
    for stack in 0..pile.stacks.len() {
        let mut forms = pile.stacks[stack].forms.clone();
        forms.sort_by_key(|form| match stand {
            Stand::Tall => form.width_nm,
            Stand::Flat => form.height_nm,
        });
        for form in forms {
            while pile.stacks[stack].left > 0 && pile.may_work(shelves.len() + 1) {
                let Some(at) = shelf_for(area, &mut shelves, form) else {
                    break;
                };
                let shelf = &mut shelves[at];
                let x_nm = area.x_nm + shelf.used_nm;
                shelf.used_nm += form.width_nm;
                let y_nm = shelf.y_nm;
                places.push(pile.lay(stack, form, x_nm, y_nm));
            }
        }
    }
    places
}

fn shelf_for(area: Area, shelves: &mut Vec<Shelf>, form: Form) -> Option<usize> {
    let has_room =
        |s: &Shelf| form.height_nm <= s.height_nm && form.width_nm <= area.width_nm - s.used_nm;
    if let Some(at) = shelves.iter().position(has_room) {
        return Some(at);
    }
    let y_nm = shelves.last().map_or(area.y_nm, |s| s.y_nm + s.height_nm);
    let below = Area::from_edges(area.x_nm, y_nm, area.right_nm(), area.bottom_nm());
    form.fits(below).then(|| {
        shelves.push(Shelf {
            y_nm,
            height_nm: form.height_nm,
            used_nm: 0,
        });
        shelves.len() - 1
    })
}

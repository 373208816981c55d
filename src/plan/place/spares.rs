//! Lays spares into what a finished layout leaves free.
//!
//! Spares never open a sheet, so they cannot change which layout is best, and any engine's layout can be topped up afterwards: an
//! engine may lay them itself, and whatever it has left is tried here. Boxes go into the free rectangles between the boxes that are
//! there, large ones first, the emptiest sheet first, and only where the sheet can still be cut. A sheet that is made more often than
//! a spare is wished for is parted in two, one with the spare and one without, unless few different sheets are what is best. Offcuts
//! that are no rectangles are left alone. Cost: spares times sheets times the free rectangles of one.

use std::cmp::Reverse;

use kurbo::Rect;

use super::apart::comes_apart;
use super::{
    Area, Best, FilledSheet, Layout, PartKind, Place, Request, free_areas, nm_above, nm_below,
};
use crate::geometry::Pose;
use crate::length::Length;
use crate::math::Angle;

/// Lays as many of the spares asked for as there is room for, and counts them.
pub(super) fn fill(request: &Request, layout: &mut Layout) {
    layout.spares.resize(request.parts.len(), 0);
    settle(layout);
    top_up(request, layout, Runs::Whole);
    match request.best {
        Best::FewestSheets | Best::KitPerSheet => top_up(request, layout, Runs::Parted),
        Best::FewestLayouts => {}
    }
}

/// Whether sheets that are made several times may be made differently.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Runs {
    Whole,
    Parted,
}

/// Counts a spare as one of those wanted as long as any of these is left over.
fn settle(layout: &mut Layout) {
    for (left, spares) in layout.leftovers.iter_mut().zip(&mut layout.spares) {
        let both = (*left).min(*spares);
        *left -= both;
        *spares -= both;
    }
}

fn top_up(request: &Request, layout: &mut Layout, runs: Runs) {
    let mut wishes = wishes(request, layout);
    let mut open: Vec<(usize, FilledSheet)> = layout.sheets.drain(..).enumerate().collect();
    // Taken from the end, so the emptiest comes first, and the last among equals.
    open.sort_by_key(|(_, sheet)| free_nm2(request, sheet));
    let mut done = Vec::new();
    while let Some((index, mut sheet)) = open.pop() {
        while let Some(place) = next_spare(request, &sheet, &wishes, runs) {
            let times = wishes[place.kind].min(sheet.runs);
            if times < sheet.runs {
                let runs = sheet.runs - times;
                open.push((
                    index,
                    FilledSheet {
                        runs,
                        ..sheet.clone()
                    },
                ));
                sheet.runs = times;
            }
            wishes[place.kind] -= times;
            layout.spares[place.kind] += times;
            sheet.places.push(place);
        }
        done.push((index, sheet));
    }
    done.sort_by_key(|(index, sheet)| (*index, sheet.places.len()));
    layout.sheets = done.into_iter().map(|(_, sheet)| sheet).collect();
    for sheet in &mut layout.sheets {
        let corner = |place: &Place| {
            let area = covered(place, &request.parts[place.kind]);
            (area.y_nm, area.x_nm)
        };
        sheet.places.sort_by_key(corner);
    }
}

/// How many more of each kind of part are welcome; none of a kind that did not find room for all that are wanted.
fn wishes(request: &Request, layout: &Layout) -> Vec<u32> {
    let placed = layout.leftovers.iter().zip(&layout.spares);
    let wish = |(part, (left, spares)): (&PartKind, (&u32, &u32))| {
        if *left > 0 {
            0
        } else {
            part.spares.saturating_sub(*spares)
        }
    };
    request.parts.iter().zip(placed).map(wish).collect()
}

fn free_nm2(request: &Request, sheet: &FilledSheet) -> i128 {
    let parts = sheet
        .places
        .iter()
        .map(|p| size_nm2(&request.parts[p.kind]));
    request.sheets[sheet.kind].area.size_nm2() - parts.sum::<i128>()
}

fn size_nm2(part: &PartKind) -> i128 {
    i128::from(part.width_nm) * i128::from(part.height_nm)
}

/// The next spare for a sheet, the largest that fits.
fn next_spare(request: &Request, sheet: &FilledSheet, wishes: &[u32], runs: Runs) -> Option<Place> {
    let least = match runs {
        Runs::Whole => sheet.runs,
        Runs::Parted => 1,
    };
    let mut kinds: Vec<usize> = (0..wishes.len()).filter(|k| wishes[*k] >= least).collect();
    kinds.sort_by_key(|k| Reverse(size_nm2(&request.parts[*k])));
    let on = &request.sheets[sheet.kind];
    if kinds.is_empty() || on.outline.is_some() {
        return None;
    }
    let taken: Vec<Area> = sheet
        .places
        .iter()
        .map(|place| covered(place, &request.parts[place.kind]))
        .collect();
    let mut blocked = on.clone();
    blocked.obstacles.extend(&taken);
    let free = free_areas(&blocked);
    let fits = |kind: &usize| fit(request, sheet.kind, *kind, &free, &taken);
    kinds.iter().find_map(fits)
}

/// Where one part of a kind fits best: with the least room left at its side, and so that the sheet can still be cut.
fn fit(
    request: &Request,
    sheet: usize,
    kind: usize,
    free: &[Area],
    taken: &[Area],
) -> Option<Place> {
    let part = &request.parts[kind];
    let turns = [part.turns[sheet].upright(), part.turns[sheet].sideways()];
    let mut choices = Vec::new();
    for quarters in turns.into_iter().flatten() {
        let (width, height) = match quarters % 2 {
            0 => (part.width_nm, part.height_nm),
            _ => (part.height_nm, part.width_nm),
        };
        let roomy = free
            .iter()
            .filter(|a| width <= a.width_nm && height <= a.height_nm);
        choices.extend(roomy.map(|a| {
            let area = Area::from_edges(a.x_nm, a.y_nm, a.x_nm + width, a.y_nm + height);
            let over = (a.width_nm - width).min(a.height_nm - height);
            ((over, a.y_nm, a.x_nm), quarters, area)
        }));
    }
    choices.sort_unstable();
    let is_cut = |area: &Area| {
        let boxes: Vec<Area> = taken.iter().copied().chain([*area]).collect();
        comes_apart(request.cutting, request.sheets[sheet].area, &boxes)
    };
    let best = choices.iter().find(|(_, _, area)| is_cut(area));
    best.map(|(_, quarters, area)| Place::covering(kind, *area, *quarters))
}

/// The area that the box of a part covers, or the box around it if it is turned by no quarter.
fn covered(place: &Place, part: &PartKind) -> Area {
    place.area(part).unwrap_or_else(|| {
        let pose = Pose {
            turn: Angle::from_deg(f64::from(place.turn_mdeg) / 1000.0),
            ..Pose::identity()
        };
        let mm = |nm: i64| Length::from_nm(nm).to_mm();
        let part = Rect::new(0.0, 0.0, mm(part.width_nm), mm(part.height_nm));
        let turned = pose.to_affine().transform_rect_bbox(part);
        Area::from_edges(
            place.x_nm + nm_below(turned.x0),
            place.y_nm + nm_below(turned.y0),
            place.x_nm + nm_above(turned.x1),
            place.y_nm + nm_above(turned.y1),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::super::{Cutting, Effort, SheetKind, TurnSet};
    use super::*;

    /// A sheet of 10 x 10.
    fn request(parts: Vec<PartKind>, cutting: Cutting, best: Best) -> Request {
        let sheet = SheetKind::of(Area::from_edges(0, 0, 10, 10));
        Request {
            sheets: vec![sheet],
            parts,
            cutting,
            best,
            effort: Effort::Usual,
        }
    }

    fn part(width_nm: i64, height_nm: i64, demand: u32, spares: u32) -> PartKind {
        PartKind {
            spares,
            ..PartKind::boxed(width_nm, height_nm, demand, TurnSet::QUARTERS)
        }
    }

    fn layout(sheets: &[(u32, &[Area])], kinds: usize) -> Layout {
        let place = |area: &Area| Place::covering(0, *area, 0);
        Layout {
            sheets: sheets
                .iter()
                .map(|(runs, areas)| FilledSheet {
                    kind: 0,
                    runs: *runs,
                    places: areas.iter().map(place).collect(),
                })
                .collect(),
            leftovers: vec![0; kinds],
            spares: Vec::new(),
        }
    }

    fn counts(layout: &Layout) -> Vec<(u32, usize)> {
        let counts = layout.sheets.iter().map(|s| (s.runs, s.places.len()));
        counts.collect()
    }

    const EDGE_TO_EDGE: Cutting = Cutting::EdgeToEdge { reach_nm: None };
    const UPPER_HALF: Area = Area {
        x_nm: 0,
        y_nm: 0,
        width_nm: 10,
        height_nm: 5,
    };
    const LOWER_HALF: Area = Area {
        y_nm: 5,
        ..UPPER_HALF
    };

    #[test]
    fn spares_go_on_the_emptiest_sheet_and_open_none() {
        // Five halves are wanted: two full sheets and one with half of it free, so one of the three spares finds room.
        let request = request(vec![part(10, 5, 5, 3)], EDGE_TO_EDGE, Best::FewestSheets);
        let mut layout = layout(&[(2, &[UPPER_HALF, LOWER_HALF]), (1, &[UPPER_HALF])], 1);
        fill(&request, &mut layout);
        assert_eq!(counts(&layout), [(2, 2), (1, 2)]);
        assert_eq!(layout.spares, [1]);
    }

    #[test]
    fn a_sheet_made_four_times_is_parted_for_a_single_spare_unless_few_layouts_are_best() {
        for (best, want) in [
            (Best::FewestSheets, vec![(3, 1), (1, 2)]),
            (Best::FewestLayouts, vec![(4, 1)]),
        ] {
            let request = request(vec![part(10, 5, 4, 1)], EDGE_TO_EDGE, best);
            let mut layout = layout(&[(4, &[UPPER_HALF])], 1);
            fill(&request, &mut layout);
            assert_eq!(counts(&layout), want, "{best:?}");
        }
    }

    #[test]
    fn a_spare_that_no_cut_from_edge_to_edge_would_free_is_not_laid() {
        // Three arms of a pinwheel leave 4 x 6 at the left, where the fourth would close it.
        let arms = [[0, 0, 6, 4], [6, 0, 10, 6], [4, 6, 10, 10]];
        let arms = arms.map(|[l, t, r, b]| Area::from_edges(l, t, r, b));
        for (cutting, spares) in [(EDGE_TO_EDGE, 0), (Cutting::Outlines, 1)] {
            let request = request(vec![part(6, 4, 3, 1)], cutting, Best::FewestSheets);
            let mut layout = layout(&[(1, &arms[..1])], 1);
            layout.sheets[0].places = vec![
                Place::covering(0, arms[0], 0),
                Place::covering(0, arms[1], 1),
                Place::covering(0, arms[2], 0),
            ];
            fill(&request, &mut layout);
            assert_eq!(layout.spares, [spares], "{cutting:?}");
        }
    }

    #[test]
    fn a_spare_of_a_kind_that_was_left_over_counts_as_one_of_those_wanted() {
        let request = request(vec![part(10, 5, 3, 2)], EDGE_TO_EDGE, Best::FewestSheets);
        let mut layout = layout(&[(1, &[UPPER_HALF, LOWER_HALF])], 1);
        (layout.leftovers, layout.spares) = (vec![2], vec![1]);
        fill(&request, &mut layout);
        assert_eq!((layout.leftovers, layout.spares), (vec![1], vec![0]));
    }

    #[test]
    fn the_box_around_a_part_that_lies_askew_is_kept_free() {
        // A square of side 10 mm, turned by 30 degrees about its corner, reaches 5 mm to the left and 10 (cos 30 + sin 30) mm down.
        let square = part(10_000_000, 10_000_000, 1, 0);
        let place = Place {
            turn_mdeg: 30_000,
            ..Place::covering(0, Area::from_edges(0, 0, 1, 1), 0)
        };
        let area = covered(&place, &square);
        assert_eq!((area.x_nm, area.y_nm), (-5_000_000, 0));
        assert_eq!((area.right_nm(), area.bottom_nm()), (8_660_255, 13_660_255));
    }
}

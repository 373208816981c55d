//! Lays out everything in one way: fill a sheet well, repeat it as often as demand allows, go on with the rest.
//!
//! So equal sheets arise by themselves, which saves the maker's time at the trimmer and pages in the print file.

use super::super::Request;
use super::pile::Pile;
use super::strategy::{Filler, PLAIN, Ration, Step, Strategy};
use super::{FilledSheet, Layout, Place};

/// Bound on the work of one strategy, in looks at a free rectangle: some hundredths of a second.
const MOST_WORK: u64 = 2_000_000;

/// The same for a strategy that fills each sheet in every way.
const MOST_WORK_FULLEST: u64 = 20_000_000;

/// Lays out `request` in one way; `None` if the bound on work was reached.
pub(super) fn lay_out(request: &Request, strategy: Strategy, fillers: &[Filler]) -> Option<Layout> {
    let mut work_left = match strategy.step {
        Step::Fixed(filler) if filler == PLAIN => u64::MAX,
        Step::Fixed(_) => MOST_WORK,
        Step::Fullest => MOST_WORK_FULLEST,
    };
    let mut left: Vec<u32> = request.parts.iter().map(|b| b.demand).collect();
    let mut sheets = Vec::new();
    for kind in 0..request.sheets.len() {
        let mut limit = request.sheets[kind].limit.unwrap_or(u32::MAX);
        while limit > 0 && left.iter().any(|n| *n > 0) {
            let ration = ration(request, strategy.ration, kind, &left);
            let places = match strategy.step {
                Step::Fixed(filler) => fill(request, kind, filler, &ration, &mut work_left),
                Step::Fullest => fill_fullest(request, kind, fillers, &ration, &mut work_left),
            }?;
            let Some(runs) = repeats(&places, &left, limit) else {
                break;
            };
            for place in &places {
                left[place.kind] -= runs;
            }
            limit -= runs;
            add(&mut sheets, FilledSheet { kind, runs, places });
        }
    }
    Some(Layout {
        sheets,
        leftovers: left,
    })
}

fn fill(
    request: &Request,
    sheet: usize,
    filler: Filler,
    left: &[u32],
    work_left: &mut u64,
) -> Option<Vec<Place>> {
    let mut pile = Pile::new(request, sheet, left, filler.order()).with_work_limit(*work_left);
    let mut places = filler.fill(request, sheet, &mut pile);
    *work_left = work_left.checked_sub(pile.work())?;
    places.sort_by_key(|p| (p.area.y_nm, p.area.x_nm));
    Some(places)
}

fn fill_fullest(
    request: &Request,
    sheet: usize,
    fillers: &[Filler],
    left: &[u32],
    work_left: &mut u64,
) -> Option<Vec<Place>> {
    let mut best = (0, Vec::new());
    for filler in fillers {
        let places = fill(request, sheet, *filler, left, work_left)?;
        let size = places.iter().map(|p| p.area.size_nm2()).sum();
        if size > best.0 {
            best = (size, places);
        }
    }
    Some(best.1)
}

/// How often a sheet can be made; `None` if nothing lies on it.
fn repeats(places: &[Place], left: &[u32], limit: u32) -> Option<u32> {
    let mut each = vec![0_u32; left.len()];
    for place in places {
        each[place.kind] += 1;
    }
    let by_kind = each.iter().zip(left).filter(|(n, _)| **n > 0);
    by_kind
        .map(|(n, left)| left / n)
        .min()
        .map(|runs| runs.min(limit))
}

fn add(sheets: &mut Vec<FilledSheet>, sheet: FilledSheet) {
    let twin = sheets
        .iter_mut()
        .find(|s| s.kind == sheet.kind && s.places == sheet.places);
    match twin {
        Some(twin) => twin.runs += sheet.runs,
        None => sheets.push(sheet),
    }
}

/// How many of each kind the next sheet may take.
fn ration(request: &Request, ration: Ration, sheet: usize, left: &[u32]) -> Vec<u32> {
    match ration {
        Ration::All => left.to_vec(),
        Ration::Even => {
            let sheets = sheets_by_size(request, sheet, left);
            left.iter().map(|n| n.div_ceil(sheets)).collect()
        }
    }
}

/// Sheets of one kind that what is left asks for by size alone; at least 1.
fn sheets_by_size(request: &Request, sheet: usize, left: &[u32]) -> u32 {
    let boxes = request.parts.iter().zip(left);
    let wanted: i128 = boxes
        .map(|(b, n)| i128::from(b.width_nm) * i128::from(b.height_nm) * i128::from(*n))
        .sum();
    let size = request.sheets[sheet].area.size_nm2().max(1);
    u32::try_from((wanted + size - 1) / size)
        .unwrap_or(u32::MAX)
        .max(1)
}

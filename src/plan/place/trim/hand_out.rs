//! Boxes of a size become parts.

use super::super::{FilledSheet, Layout, Place, Request};
use super::filled::Filled;
use super::problem::Problem;

/// Gives each box on the sheets to a part of its size that still wants one, wanted parts before spares.
///
/// All runs of a sheet hold the same parts; where no part wants as many as there are runs, a sheet becomes several.
pub(super) fn hand_out(request: &Request, problem: &Problem, sheets: &[Filled]) -> Layout {
    let mut open = Open::new(request);
    let mut handed: Vec<FilledSheet> = Vec::new();
    for sheet in sheets {
        let mut left = sheet.runs;
        while left > 0 {
            let runs = open.most_runs(problem, sheet, left);
            let mut places = open.places(request, problem, sheet, runs);
            places.sort_unstable_by_key(|place| {
                let corner = place
                    .area(&request.parts[place.kind])
                    .map(|a| (a.y_nm, a.x_nm));
                (corner, *place)
            });
            let same = handed
                .iter_mut()
                .find(|h| h.kind == sheet.kind && h.places == places);
            match same {
                Some(same) => same.runs += runs,
                None => handed.push(FilledSheet {
                    kind: sheet.kind,
                    runs,
                    places,
                }),
            }
            left -= runs;
        }
    }
    handed.sort_by_key(|sheet| sheet.kind);
    Layout {
        sheets: handed,
        leftovers: open.wanted,
        spares: open.spared,
    }
}

/// What parts still want.
#[derive(Debug, Clone)]
struct Open {
    wanted: Vec<u32>,
    spares: Vec<u32>,
    spared: Vec<u32>,
}

impl Open {
    fn new(request: &Request) -> Self {
        Self {
            wanted: request.parts.iter().map(|part| part.demand).collect(),
            spares: request.parts.iter().map(|part| part.spares).collect(),
            spared: vec![0; request.parts.len()],
        }
    }

    /// The first part of a size that wants at least `runs` more; spares only once all wanted are served.
    fn take(&mut self, parts: &[usize], runs: u32) -> Option<usize> {
        if let Some(part) = parts.iter().find(|part| self.wanted[**part] >= runs) {
            self.wanted[*part] -= runs;
            return Some(*part);
        }
        if parts.iter().any(|part| self.wanted[*part] > 0) {
            return None;
        }
        let part = parts.iter().find(|part| self.spares[**part] >= runs)?;
        self.spares[*part] -= runs;
        self.spared[*part] += runs;
        Some(*part)
    }

    /// The most runs, up to `most`, that can hold the same parts.
    fn most_runs(&self, problem: &Problem, sheet: &Filled, most: u32) -> u32 {
        let blocks = &problem.kinds[sheet.kind].blocks;
        let parts = |size: usize| &problem.sizes[size].parts;
        let works = |runs: &u32| {
            let mut open = self.clone();
            sheet
                .spots
                .iter()
                .all(|spot| open.take(parts(blocks[spot.block].size), *runs).is_some())
        };
        (2..=most).rev().find(works).unwrap_or(1)
    }

    fn places(
        &mut self,
        request: &Request,
        problem: &Problem,
        sheet: &Filled,
        runs: u32,
    ) -> Vec<Place> {
        let blocks = &problem.kinds[sheet.kind].blocks;
        let place = |spot: &super::block::Spot| {
            let block = blocks[spot.block];
            let part = self.take(&problem.sizes[block.size].parts, runs)?;
            let turns = request.parts[part].turns[sheet.kind];
            let quarters = if block.is_sideways {
                turns.sideways()
            } else {
                turns.upright().or(turns.sideways())
            };
            Some(Place::covering(part, spot.area(blocks), quarters?))
        };
        sheet.spots.iter().filter_map(place).collect()
    }
}

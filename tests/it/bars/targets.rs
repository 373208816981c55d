//! How near the centres of targets are found.

use std::ops::Range;

use kurbo::{Point, Size};
use sheetwright::plan::MarkClass;
use sheetwright::scan::{Picture, ScaleHint, find_targets};

use super::made_page::{self, MadePage};
use crate::simulator::printer::{Ink, PrintError, PrintPath};
use crate::simulator::random::Random;
use crate::simulator::raster::Raster;
use crate::simulator::scanner::Scan;
use crate::simulator::sheet::Sheet;
use crate::simulator::target::{ADJACENT, FULL, NONE, ONE, OPPOSITE, Quadrants, THREE, Target};
use crate::simulator::{Printed, Shot, scan};

/// What a picture's targets were found as.
#[derive(Debug, Clone, Default)]
pub(crate) struct Found {
    /// Distance of each target that was found from where it is.
    pub(crate) errors_mm: Vec<f64>,
    /// Targets that were not found.
    pub(crate) missed: usize,
    /// Targets found with other quadrants than they have.
    pub(crate) misnamed: usize,
    /// Targets found where none is.
    pub(crate) invented: usize,
}

impl Found {
    /// Puts another picture's to these.
    pub(crate) fn add(&mut self, other: Self) {
        self.errors_mm.extend(other.errors_mm);
        self.missed += other.missed;
        self.misnamed += other.misnamed;
        self.invented += other.invented;
    }
}

/// Scans a page once for each seed and finds its targets.
pub(crate) fn over_seeds(page: &MadePage, dpi: f64, seeds: Range<u64>) -> Found {
    let targets = made_page::targets(&page.marks);
    let mut all = Found::default();
    for seed in seeds {
        let shot = scan_page(&page.ink, page.size, dpi, seed);
        all.add(find(&shot, &targets, ScaleHint::Tagged, dpi / 25.4));
    }
    all
}

/// Prints a page by some printer and scans it by a scanner whose own scale is right.
pub(crate) fn scan_page(page: &Raster, size: Size, dpi: f64, seed: u64) -> Shot {
    let mut random = Random::new(seed);
    let path = PrintPath::new(PrintError::home(&mut random), size, &mut random);
    let ink = Ink::home(&mut random);
    let sheet = Sheet::of_shop(size, &mut random);
    let mut set = Scan::home(dpi, &mut random);
    set.turn_rad += std::f64::consts::FRAC_PI_2 * random.below(4) as f64;
    scan(
        &mut Printed::new(page, &ink, path, sheet),
        &set,
        &mut random,
    )
}

/// Returns the picture as the tool takes it.
pub(crate) fn picture(shot: &Shot) -> Picture {
    let grey = shot.picture.as_raw().clone();
    Picture::from_grey(shot.picture.width(), shot.picture.height(), grey)
        .unwrap()
        .with_dpi(shot.dpi_tag)
}

/// Finds the targets of a page in a picture of it. `px_per_mm` turns errors into millimetres.
pub(crate) fn find(shot: &Shot, targets: &[Target], hint: ScaleHint, px_per_mm: f64) -> Found {
    let seen = find_targets(&picture(shot), hint);
    let truths: Vec<(Point, MarkClass)> = targets
        .iter()
        .map(|t| (shot.picture_from_page(t.centre), class(t.filled)))
        .collect();
    let mut found = Found::default();
    for (place, class) in &truths {
        // Half of a target's radius.
        let near = |at: Point| (at - *place).hypot2().sqrt() < 1.5 * px_per_mm;
        match seen.all.iter().find(|t| near(t.centre)) {
            Some(target) => {
                let miss = (target.centre - *place).hypot2().sqrt() / px_per_mm;
                found.errors_mm.push(miss);
                found.misnamed += usize::from(target.class != *class);
            }
            None => found.missed += 1,
        }
    }
    found.invented = seen.all.len() - found.errors_mm.len();
    found
}

/// Which quadrants the tool's name says.
pub(crate) fn filled(class: MarkClass) -> Quadrants {
    match class {
        MarkClass::Empty => NONE,
        MarkClass::One => ONE,
        MarkClass::TwoAdjacent => ADJACENT,
        MarkClass::TwoOpposite => OPPOSITE,
        MarkClass::Three => THREE,
        MarkClass::Full => FULL,
    }
}

/// The name the tool has for filled quadrants.
pub(crate) fn class(filled: Quadrants) -> MarkClass {
    match filled {
        NONE => MarkClass::Empty,
        ONE => MarkClass::One,
        ADJACENT => MarkClass::TwoAdjacent,
        OPPOSITE => MarkClass::TwoOpposite,
        THREE => MarkClass::Three,
        FULL => MarkClass::Full,
        other => panic!("no mark has the quadrants {other:?}"),
    }
}

//! The engine for boxes goes first: it knows rows and piles, which a search by chance finds late. Where true outlines save no sheet,
//! its tidy layout stays.

use super::super::{Layout, Place, Progress, Watch, boxes};
use super::job::Job;
use super::sheaf::{Lying, Pattern, Sheaf};

/// More pieces than these are laid by their outlines at once: there is something to save, and the boxes would take too long.
const MOST_PIECES: u32 = 200;

/// Returns the layout of the engine for boxes; `None` if a sheet is no rectangle or there are too many pieces.
pub(super) fn lay_out(job: &Job) -> Option<Sheaf> {
    let mut sheets = job.request.sheets.iter();
    let is_plain = sheets.all(|sheet| sheet.outline.is_none())
        && job
            .request
            .parts
            .iter()
            .map(|part| part.demand)
            .sum::<u32>()
            <= MOST_PIECES;
    is_plain.then(|| {
        let layout = boxes::place(job.request, job.threads, &Aside(job)).layout;
        to_sheaf(job, &layout)
    })
}

fn to_sheaf(job: &Job, layout: &Layout) -> Sheaf {
    let mut sheaf = Sheaf::default();
    for sheet in &layout.sheets {
        let lying = sheet
            .places
            .iter()
            .map(|place| lying(job, sheet.kind, place));
        sheaf.add(Pattern {
            board: sheet.kind,
            runs: sheet.runs,
            lying: lying.collect(),
        });
    }
    sheaf
}

fn lying(job: &Job, board: usize, place: &Place) -> Lying {
    let forms = &job.bench.parts[place.kind].forms[board];
    let is_it = |form: &&usize| {
        let form = &job.bench.forms[**form];
        form.turn_mdeg == place.turn_mdeg && !form.is_mirrored
    };
    let area = place.area(&job.request.parts[place.kind]);
    let area = area.expect("boxes are turned by quarters");
    let exact = forms.iter().find(is_it).map(|form| {
        let at = [place.x_nm, place.y_nm].map(|nm| nm as f64);
        (*form, at)
    });
    let alike = || {
        let mut forms = forms.iter();
        forms.find_map(|form| Some((*form, job.bench.shift_onto(*form, area)?)))
    };
    let (form, at) = exact
        .or_else(alike)
        .expect("the turn is allowed, or one that looks the same");
    Lying {
        part: place.kind,
        form,
        at,
    }
}

/// Lets the other engine be stopped; how far it is, is not told as the search's own progress.
struct Aside<'a>(&'a Job<'a>);

impl Watch for Aside<'_> {
    fn is_stopped(&self) -> bool {
        self.0.lookout.is_stopped()
    }

    fn progress(&self, _: Progress) {
        self.0.lookout.tell();
    }
}

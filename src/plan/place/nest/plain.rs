//! Plain boxes on plain sheets are laid by the engine for boxes first: it knows rows and piles, which a search by chance finds late.

use super::super::{Layout, Progress, Watch, boxes};
use super::job::Job;
use super::sheaf::{Lying, Pattern, Sheaf};

/// Returns the layout of the engine for boxes; `None` if a part has an outline of its own, or a sheet has.
pub(super) fn lay_out(job: &Job) -> Option<Sheaf> {
    let is_plain = job.request.parts.iter().all(|part| part.shape.is_none())
        && job
            .request
            .sheets
            .iter()
            .all(|sheet| sheet.outline.is_none());
    is_plain.then(|| {
        to_sheaf(
            job,
            &boxes::place(job.request, job.threads, &Aside(job)).layout,
        )
    })
}

fn to_sheaf(job: &Job, layout: &Layout) -> Sheaf {
    let mut sheaf = Sheaf::default();
    for sheet in &layout.sheets {
        let lying = sheet.places.iter().map(|place| {
            let area = place.area(&job.request.parts[place.kind]);
            let area = area.expect("boxes are turned by quarters");
            job.bench.parts[place.kind].forms[sheet.kind]
                .iter()
                .find_map(|form| {
                    let at = job.bench.shift_onto(*form, area)?;
                    Some(Lying {
                        part: place.kind,
                        form: *form,
                        at,
                    })
                })
                .expect("the turn is allowed, or one that looks the same")
        });
        sheaf.add(Pattern {
            board: sheet.kind,
            runs: sheet.runs,
            lying: lying.collect(),
        });
    }
    sheaf
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

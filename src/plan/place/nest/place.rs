//! The whole search: a first layout, then more and more work on it.

use std::num::NonZeroUsize;

use super::super::{Placed, Request, Watch};
use super::effort::Effort;
use super::first::{add_sheets, add_spares};
use super::job::Job;
use super::kits::Blocks;
use super::random::Random;
use super::sheaf::Sheaf;
use super::{empty, plain};

/// Lays the parts of a request out.
pub(in super::super) fn place(
    request: &Request,
    threads: NonZeroUsize,
    watch: &dyn Watch,
) -> Placed {
    let job = Job::new(request, threads, watch);
    let efforts = Effort::stages(request.effort, job.demand().iter().sum());
    job.lookout.expect(efforts[0].steps());
    let mut random = Random::new(0);
    let mut sheaf = plain::lay_out(&job).unwrap_or_else(|| {
        let mut sheaf = Sheaf::default();
        add_sheets(&job, &mut sheaf, job.demand(), &mut random);
        sheaf
    });
    job.lookout.found(job.whole_sheets(&sheaf));
    sheaf = search(&job, sheaf, efforts);
    add_spares(&job, &mut sheaf, &mut random);
    Placed {
        layout: sheaf.to_layout(&job),
        is_stopped: watch.is_stopped(),
    }
}

fn search(job: &Job, first: Sheaf, efforts: Vec<Effort>) -> Sheaf {
    let mut best = first;
    if job.is_at_bound(&best) {
        return best;
    }
    let mut blocks = board_of_kits(job).map(|board| Blocks::new(job, board));
    for mut effort in efforts {
        if let Some(blocks) = &mut blocks {
            blocks.save_sheets(&mut effort);
            let mut sheaf = blocks.sheaf();
            let left = job.left(&sheaf);
            add_sheets(job, &mut sheaf, left, &mut Random::new(1));
            best = job.cheaper(best, sheaf);
            job.lookout.found(job.whole_sheets(&best));
        }
        empty::save_sheets(job, &mut best, &mut effort);
    }
    best
}

/// The kind of sheet that blocks of kits are laid on: the only one there is.
fn board_of_kits(job: &Job) -> Option<usize> {
    let sheets = &job.request.sheets;
    (sheets.len() == 1 && sheets[0].limit.is_none()).then_some(0)
}

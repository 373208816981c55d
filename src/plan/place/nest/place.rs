//! The whole search: a first layout, then more and more work on it.

use std::num::NonZeroUsize;

use super::super::{Best, Placed, Request, Watch};
use super::effort::Effort;
use super::first::{add_sheets, add_spares};
use super::job::Job;
use super::kits::Blocks;
use super::random::Random;
use super::sheaf::Sheaf;
use super::{empty, kit_per_sheet, plain};

/// Lays the parts of a request out.
pub(in super::super) fn place(
    request: &Request,
    threads: NonZeroUsize,
    watch: &dyn Watch,
) -> Placed {
    let job = Job::new(request, threads, watch);
    let efforts = Effort::stages(
        request.effort,
        job.demand().into_iter().map(u64::from).sum(),
    );
    job.lookout.expect(efforts[0].steps());
    let mut random = Random::new(0);
    let mut sheaf = Sheaf::default();
    add_sheets(&job, &mut sheaf, job.demand(), &mut random);
    if let Some(tidy) = plain::lay_out(&job) {
        sheaf = job.cheaper(tidy, sheaf);
    }
    job.lookout.found(job.whole_sheets(&sheaf));
    sheaf = search(&job, sheaf, efforts);
    add_spares(&job, &mut sheaf, &mut random);
    Placed {
        layout: sheaf.to_layout(&job),
        is_stopped: watch.is_stopped(),
    }
}

fn search(job: &Job, first: Sheaf, mut efforts: Vec<Effort>) -> Sheaf {
    match job.request.best {
        Best::KitPerSheet => {
            for effort in &mut efforts {
                if let Some(mut sheaf) = kit_per_sheet::lay_out(job, effort) {
                    let left = job.left(&sheaf);
                    add_sheets(job, &mut sheaf, left, &mut Random::new(1));
                    return sheaf;
                }
            }
            fewest_sheets(job, first, efforts)
        }
        Best::FewestSheets | Best::FewestLayouts => fewest_sheets(job, first, efforts),
    }
}

fn fewest_sheets(job: &Job, first: Sheaf, efforts: Vec<Effort>) -> Sheaf {
    let mut best = first;
    let mut fewest_layouts = best.clone();
    let mut blocks = board_of_kits(job).map(|board| Blocks::new(job, board));
    for mut effort in efforts {
        if job.is_at_bound(&best) {
            break;
        }
        if let Some(blocks) = &mut blocks {
            blocks.save_sheets(&mut effort);
            let mut sheaf = blocks.sheaf();
            let left = job.left(&sheaf);
            add_sheets(job, &mut sheaf, left, &mut Random::new(1));
            best = job.cheaper(best, sheaf);
            job.lookout.found(job.whole_sheets(&best));
        }
        fewest_layouts = job.cheaper(fewest_layouts, best.clone());
        empty::save_sheets(job, &mut best, &mut effort);
    }
    match job.request.best {
        Best::FewestSheets | Best::KitPerSheet => best,
        Best::FewestLayouts => {
            let most = job.whole_sheets(&best) + job.whole_sheets(&best) / DEARER;
            let few = blocks.and_then(|blocks| blocks.few_layouts(most));
            let ways = [Some(fewest_layouts), few].into_iter().flatten();
            let dear = |sheaf: &Sheaf| {
                job.whole_sheets(sheaf) > most || job.cost(sheaf).0 > job.cost(&best).0
            };
            let good = ways.filter(|sheaf| !dear(sheaf));
            good.fold(best.clone(), |a, b| {
                if b.patterns.len() < a.patterns.len() {
                    b
                } else {
                    a
                }
            })
        }
    }
}

/// Few different layouts may take one sheet more for so many.
const DEARER: u32 = 12;

/// The kind of sheet that blocks of kits are laid on: the only one there is.
fn board_of_kits(job: &Job) -> Option<usize> {
    let sheets = &job.request.sheets;
    (sheets.len() == 1 && sheets[0].limit.is_none()).then_some(0)
}

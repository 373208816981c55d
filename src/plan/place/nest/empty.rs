//! Empties a sheet into others.
//!
//! Some sheets are taken out of the layout, the emptiest of them is given up, and its pieces are moved onto the others with
//! overlap, which is then driven out. Where patterns are made often, what worked once is done as often as it can be.

use super::crowd::{Crowd, Spot};
use super::effort::Effort;
use super::job::Job;
use super::random::Random;
use super::settle::{anywhere, settle};
use super::sheaf::{Pattern, Sheaf, patterns_of};
use super::tasks::{self, Outcome};

/// Up to so many pieces all sheets are taken, else some of them with [`SOME_PIECES`] at most.
const ALL_PIECES: usize = 300;
const SOME_PIECES: usize = 100;

/// Fuller sheets than this are not asked for.
const FULLEST: f64 = 0.93;

/// Tasks at a time; of these the first success counts.
const TASKS: usize = 4;

/// For each pattern how many of it are taken out.
type Choice = Vec<u32>;

/// Tries to save sheets as long as that keeps succeeding now and then.
pub(super) fn save_sheets(job: &Job, sheaf: &mut Sheaf, effort: &mut Effort) {
    let mut failed = 0;
    while effort.is_left() && failed < effort.patience {
        if job.lookout.is_stopped() || job.is_at_bound(sheaf) {
            return;
        }
        let before = &*sheaf;
        let randoms: [Random; TASKS] = effort.randoms();
        let outcome = tasks::first(job.threads, TASKS, |task, is_lost| {
            let is_stopped = || is_lost() || job.lookout.is_stopped();
            save_one(job, before, effort, randoms[task].clone(), &is_stopped)
        });
        effort.spend(outcome.work);
        job.lookout.left(effort.steps());
        match outcome.result {
            Some((choice, sheets)) => {
                exchange(sheaf, &choice, &sheets);
                job.lookout.found(job.whole_sheets(sheaf));
                failed = 0;
            }
            None => failed += 1,
        }
    }
}

fn save_one(
    job: &Job,
    sheaf: &Sheaf,
    effort: &Effort,
    mut random: Random,
    is_stopped: &dyn Fn() -> bool,
) -> Outcome<(Choice, Vec<Pattern>)> {
    let choice = choose(job, sheaf, &mut random);
    let emptied =
        choice.and_then(|choice| Some((emptied(job, sheaf, &choice, &mut random)?, choice)));
    let Some((mut crowd, choice)) = emptied else {
        return Outcome {
            result: None,
            work: 1,
        };
    };
    let work = effort.of_task(crowd.pieces.len());
    let is_settled = settle(&mut crowd, work, &mut random, is_stopped);
    Outcome {
        result: is_settled.then(|| (choice, patterns_of(&crowd))),
        work: crowd.work(),
    }
}

/// Chooses sheets that could hold what lies on them with one fewer; `None` if they could not.
fn choose(job: &Job, sheaf: &Sheaf, random: &mut Random) -> Option<Choice> {
    let victim = victim(job, sheaf, random)?;
    let mut choice = vec![0; sheaf.patterns.len()];
    choice[victim] = 1;
    let mut rest: Vec<usize> = Vec::new();
    for (i, pattern) in sheaf.patterns.iter().enumerate() {
        let runs = usize::try_from(pattern.runs - choice[i]).expect("u32 fits");
        rest.extend(std::iter::repeat_n(i, runs.min(ALL_PIECES)));
    }
    random.shuffle(&mut rest);
    let pieces_on = |i: usize| sheaf.patterns[i].lying.len();
    let all: usize = pieces_on(victim) + rest.iter().map(|i| pieces_on(*i)).sum::<usize>();
    let most = if all <= ALL_PIECES { all } else { SOME_PIECES };
    let mut pieces = pieces_on(victim);
    let mut free = -sheaf.patterns[victim].filled_nm2(&job.bench);
    for i in rest {
        pieces += pieces_on(i);
        if pieces > most {
            break;
        }
        let board = &job.bench.boards[sheaf.patterns[i].board];
        free += board.area_nm2 * FULLEST - sheaf.patterns[i].filled_nm2(&job.bench);
        choice[i] += 1;
    }
    (free >= 0.0).then_some(choice)
}

/// One of the emptiest whole sheets.
fn victim(job: &Job, sheaf: &Sheaf, random: &mut Random) -> Option<usize> {
    let patterns = &sheaf.patterns;
    let mut order: Vec<usize> = (0..patterns.len()).collect();
    order.retain(|i| !job.is_offcut(patterns[*i].board));
    let fullness = |i: usize| job.fullness(&patterns[i]);
    order.sort_by(|a, b| fullness(*a).total_cmp(&fullness(*b)));
    (!order.is_empty()).then(|| order[random.low(order.len())])
}

/// The chosen sheets with one fewer, pieces of that one scattered over the others.
fn emptied<'a>(
    job: &'a Job,
    sheaf: &Sheaf,
    choice: &[u32],
    random: &mut Random,
) -> Option<Crowd<'a>> {
    let mut sheets: Vec<&Pattern> = Vec::new();
    for (pattern, times) in sheaf.patterns.iter().zip(choice) {
        sheets.extend((0..*times).map(|_| pattern));
    }
    let whole = (0..sheets.len()).filter(|i| !job.is_offcut(sheets[*i].board));
    let fullness = |i: &usize| job.fullness(sheets[*i]);
    let victim = whole.min_by(|a, b| fullness(a).total_cmp(&fullness(b)))?;
    let given_up = sheets.remove(victim);
    let boards: Vec<usize> = sheets.iter().map(|p| p.board).collect();
    let mut spots = Vec::new();
    for (sheet, pattern) in sheets.iter().enumerate() {
        spots.extend(pattern.lying.iter().map(|l| {
            let (form, at) = (l.form, l.at);
            (l.part, Spot { sheet, form, at })
        }));
    }
    for lying in &given_up.lying {
        spots.push((
            lying.part,
            anywhere(&job.bench, &boards, lying.part, random)?,
        ));
    }
    Some(Crowd::new(&job.bench, boards, &spots))
}

/// Puts new sheets in the place of the chosen ones, as often as the chosen ones are there.
fn exchange(sheaf: &mut Sheaf, choice: &[u32], sheets: &[Pattern]) {
    let chosen = sheaf.patterns.iter().zip(choice);
    let times = chosen.filter_map(|(p, n)| p.runs.checked_div(*n)).min();
    let times = times.expect("at least the emptied sheet was chosen");
    for (pattern, n) in sheaf.patterns.iter_mut().zip(choice) {
        pattern.runs -= n * times;
    }
    sheaf.patterns.retain(|p| p.runs > 0);
    for sheet in sheets {
        let lying = sheet.lying.clone();
        sheaf.add(Pattern {
            runs: times,
            lying,
            ..*sheet
        });
    }
}

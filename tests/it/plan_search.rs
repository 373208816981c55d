//! The search told step by step, stopped, and compared with what other choices would come to.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use sheetwright::plan::place::{Area, Engine, FilledSheet, Layout, Place, Placed, Placer, Request};
use sheetwright::plan::{
    Choice, Effort, JobPlan, NoWatch, PlanOptions, Progress, SearchEnd, Watch, check, plan,
    plan_with,
};
use sheetwright::project::{Best, CutBy, Maker, Piece, Price, Project};

use crate::plan_project::{piece, project, stock};

/// Tags and cards from two stocks, in sizes that leave much to try.
fn kit() -> Project {
    let stocks = vec![stock("oat", (216.0, 279.0)), stock("moss", (305.0, 305.0))];
    let sizes = [
        (50.0, 89.0),
        (63.0, 41.0),
        (102.0, 76.0),
        (31.0, 120.0),
        (57.0, 57.0),
    ];
    let mut pieces: Vec<_> = sizes
        .iter()
        .enumerate()
        .map(|(i, (w, h))| piece(&format!("tag-{i}"), *w, *h))
        .collect();
    for piece in &mut pieces[..2] {
        piece.stock = 1;
    }
    project(CutBy::Machine, stocks, pieces, 24)
}

fn planned(project: &Project, effort: Effort, watch: &dyn Watch) -> JobPlan {
    let options = PlanOptions {
        effort,
        watch,
        ..PlanOptions::default()
    };
    let plan = plan(project, &options).value;
    assert_eq!(check(project, &plan), []);
    plan
}

/// Stops a search when it has been asked so many times, or when so many steps of progress have been told.
struct Stop {
    asked: AtomicUsize,
    most_asked: usize,
    told: Mutex<Vec<Progress>>,
    most_told: usize,
}

impl Stop {
    fn after(most_asked: usize, most_told: usize) -> Self {
        Self {
            asked: AtomicUsize::new(0),
            most_asked,
            told: Mutex::default(),
            most_told,
        }
    }
}

impl Watch for Stop {
    fn is_stopped(&self) -> bool {
        let asked = self.asked.fetch_add(1, Ordering::SeqCst);
        asked >= self.most_asked || self.told.lock().unwrap().len() >= self.most_told
    }

    fn progress(&self, progress: Progress) {
        self.told.lock().unwrap().push(progress);
    }
}

#[test]
fn a_stopped_search_still_gives_a_whole_plan_and_says_that_it_was_stopped() {
    for most_asked in [0, 1, 40] {
        let plan = planned(&kit(), Effort::Usual, &Stop::after(most_asked, usize::MAX));
        assert_eq!(plan.unplaced, []);
        assert_eq!(plan.usage.search, SearchEnd::Stopped, "{most_asked}");
        // What is worked out after the search is left out after an interrupt.
        assert_eq!(plan.usage.other_choices, []);
    }
}

#[test]
fn a_search_stopped_after_its_first_whole_layout_takes_no_more_sheets_than_that() {
    let watch = Stop::after(usize::MAX, 1);
    let plan = planned(&kit(), Effort::Usual, &watch);
    let first = watch.told.lock().unwrap()[0].sheets;
    assert_eq!(plan.usage.search, SearchEnd::Stopped);
    assert!(Some(plan.usage.sheets) <= first, "{first:?}");
}

/// Writes down all that is told.
#[derive(Default)]
struct Diary(Mutex<Vec<Progress>>);

impl Watch for Diary {
    fn progress(&self, progress: Progress) {
        self.0.lock().unwrap().push(progress);
    }
}

#[test]
fn progress_tells_a_whole_layout_first_and_then_only_better_ones() {
    let job = kit();
    let glance = planned(&job, Effort::Quick, &NoWatch);
    let diary = Diary::default();
    let plan = planned(&job, Effort::Usual, &diary);
    let told = diary.0.into_inner().unwrap();
    assert_eq!(told[0].sheets, Some(glance.usage.sheets));
    let sheets: Vec<u32> = told.iter().filter_map(|p| p.sheets).collect();
    assert!(sheets.len() > 1);
    assert!(
        sheets[1..].iter().all(|n| *n >= plan.usage.sheets),
        "{sheets:?}"
    );
    for progress in &told {
        assert!(progress.done <= progress.all, "{progress:?}");
        assert!(progress.bound <= plan.usage.sheets, "{progress:?}");
        assert_eq!(progress.bound, plan.usage.better_bound_sheets);
    }
}

#[test]
fn more_effort_takes_no_more_sheets() {
    let job = kit();
    let sheets =
        [Effort::Quick, Effort::Usual].map(|effort| planned(&job, effort, &NoWatch).usage.sheets);
    assert!(sheets[1] <= sheets[0], "{sheets:?}");
}

fn by_hand(mut piece: Piece) -> Vec<Piece> {
    piece.cut_by = Maker::Hand;
    vec![piece]
}

/// An engine that searches badly: where more than a glance is asked for, it lays one part on each sheet.
struct Spendthrift;

impl Placer for Spendthrift {
    fn place(&self, request: &Request, watch: &dyn Watch) -> Placed {
        if request.effort == Effort::Quick {
            let threads = PlanOptions::default().threads;
            return Engine { threads }.place(request, watch);
        }
        Placed {
            layout: in_a_row(request, 1),
            is_stopped: true,
        }
    }
}

/// Parts of one kind side by side, so many to a sheet; the last sheet holds the rest.
fn in_a_row(request: &Request, on_a_sheet: u32) -> Layout {
    let part = &request.parts[0];
    let place = |i: u32| {
        let left = i64::from(i) * part.width_nm;
        let area = Area::from_edges(left, 0, left + part.width_nm, part.height_nm);
        Place::covering(0, area, 0)
    };
    let sheet = |runs, count| FilledSheet {
        kind: 0,
        runs,
        places: (0..count).map(place).collect(),
    };
    let (full, rest) = (part.demand / on_a_sheet, part.demand % on_a_sheet);
    let sheets = [(full, on_a_sheet), (1, rest)];
    Layout {
        sheets: sheets
            .into_iter()
            .filter(|(runs, count)| *runs > 0 && *count > 0)
            .map(|(runs, count)| sheet(runs, count))
            .collect(),
        leftovers: vec![0],
        spares: vec![0],
    }
}

/// Tags of 30 x 30 mm from strips of 100 x 30 mm at 0.50 EUR each.
fn tags(copies: u32) -> Project {
    let mut strip = stock("oat", (100.0, 30.0));
    strip.price = Some(Price {
        hundredths: 50,
        currency: "EUR".to_owned(),
    });
    project(
        CutBy::Trimmer,
        vec![strip],
        by_hand(piece("tag", 30.0, 30.0)),
        copies,
    )
}

#[test]
fn a_plan_is_never_worse_than_a_glance_whatever_the_engine_does() {
    // Three tags to a strip: eight take three strips, or eight if every tag has one.
    let job = tags(8);
    let plan = plan_with(&Spendthrift, &job, &PlanOptions::default()).value;
    assert_eq!(
        (plan.usage.sheets, plan.usage.search),
        (3, SearchEnd::Stopped)
    );
}

/// An engine that does as it is told: three tags to a strip, two, or one kit.
struct Obedient;

impl Placer for Obedient {
    fn place(&self, request: &Request, _: &dyn Watch) -> Placed {
        let on_a_sheet = match request.best {
            Best::FewestSheets => 3,
            Best::FewestLayouts => 2,
            Best::KitPerSheet => 1,
        };
        Placed {
            layout: in_a_row(request, on_a_sheet),
            is_stopped: false,
        }
    }
}

#[test]
fn other_choices_are_told_with_their_sheets_layouts_and_price_where_they_gain() {
    let choice = |best, sheets, layouts| Choice {
        best,
        sheets,
        layouts,
        costs: vec![Price {
            hundredths: 50 * u64::from(sheets),
            currency: "EUR".to_owned(),
        }],
    };
    // Four tags: 3 + 1 on two different strips, 2 + 2 on two equal ones, or four equal ones of one tag.
    let mut job = tags(4);
    let mut usage = |best| {
        job.job.best = best;
        plan_with(&Obedient, &job, &PlanOptions::default())
            .value
            .usage
    };
    let fewest = usage(Best::FewestSheets);
    assert_eq!((fewest.sheets, fewest.layouts), (2, 2));
    assert_eq!(fewest.costs, choice(Best::FewestSheets, 2, 2).costs);
    assert_eq!(
        fewest.other_choices,
        [
            choice(Best::FewestLayouts, 2, 1),
            choice(Best::KitPerSheet, 4, 1)
        ]
    );
    // Few layouts cost no more strips here, so fewest sheets would gain nothing.
    assert_eq!(
        usage(Best::FewestLayouts).other_choices,
        [choice(Best::KitPerSheet, 4, 1)]
    );
    assert_eq!(
        usage(Best::KitPerSheet).other_choices,
        [choice(Best::FewestSheets, 2, 2)]
    );
}

#[test]
fn a_plan_says_whether_fewer_sheets_are_proven_impossible() {
    // A card of 51 x 51 mm leaves no room for another on 100 x 100: three take three sheets, which areas alone do not show, since
    // 3 x 2601 is less than 10 000.
    let mut job = project(
        CutBy::Trimmer,
        vec![stock("oat", (100.0, 100.0))],
        by_hand(piece("card", 51.0, 51.0)),
        3,
    );
    let usage = planned(&job, Effort::Usual, &NoWatch).usage;
    let bounds = (usage.lower_bound_sheets, usage.better_bound_sheets);
    assert_eq!(
        (usage.sheets, bounds, usage.is_proven_fewest),
        (3, (1, 3), true)
    );
    // With two sheets on hand one card is left over: fewest sheets of what?
    job.stocks[0].on_hand = Some(2);
    let plan = planned(&job, Effort::Usual, &NoWatch);
    assert_eq!(
        (plan.unplaced.len(), plan.usage.is_proven_fewest),
        (1, false)
    );
}

#[test]
fn spares_do_not_raise_the_bound() {
    // Four quarters of a sheet are wanted, one sheet; spares could fill another and must not.
    let mut job = project(
        CutBy::Trimmer,
        vec![stock("oat", (100.0, 100.0))],
        by_hand(piece("tag", 50.0, 50.0)),
        3,
    );
    job.editions[0].spares = 4;
    let usage = planned(&job, Effort::Usual, &NoWatch).usage;
    assert_eq!(
        (
            usage.sheets,
            usage.lower_bound_sheets,
            usage.better_bound_sheets
        ),
        (1, 1, 1)
    );
}

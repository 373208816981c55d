//! Everything physical, decided: which piece lies where on which sheet, what is printed on which page, what is cut in which order.
//!
//! Read [`JobPlan`], [`Sheet`] and [`Placement`]. Every coordinate is in millimetres in the *sheet frame*: origin at the sheet's top
//! left corner, y down, the sheet's front towards you. The back is described in this front view, too; only
//! [`PrintedFace::page_from_sheet`] mirrors it. [`mod@file`] is the same plan as it stands in `plan.json`.
//!
//! [`plan()`] goes through the files in this order: `demand` (with `bleed`) sorts pieces by paper; `ground` (with `marks`,
//! `face_map`, `reach` and `offcut`) says what of a sheet can be used, `turns` how a piece may lie and `pin` what the maker has put where; `draft` has
//! [`place`] fill the sheets; `impose` (with `operations`, `perforation`, `nick`, `way`, `artwork` and `ticks`) says which copy lies
//! where and what is printed; `cutting`, `nesting` and `order` say how it is cut; `unplaced`, with what would help, `spare`, `usage`
//! and `fineness` say what it comes to, `profile` what is not known of
//! the printer, and `budget` how well print and cut meet. [`feed()`] is asked before, [`check()`] judges afterwards, and `describe` and `json` write it
//! down.

mod artwork;
mod bleed;
mod budget;
mod check;
mod choice;
mod cutting;
mod demand;
mod describe;
mod draft;
mod face_map;
mod feed;
pub mod file;
mod fineness;
mod grain;
mod ground;
mod impose;
mod job_plan;
mod json;
mod leftovers;
mod leftovers_file;
mod light;
mod mark_scale;
mod marks;
mod nesting;
mod nick;
mod offcut;
mod operations;
mod options;
mod order;
mod perforation;
mod pin;
pub mod place;
mod profile;
mod reach;
mod search;
mod sheet;
mod shopping_file;
mod spare;
mod ticks;
pub mod trimmer;
mod turns;
mod unplaced;
mod usage;
mod way;

pub use artwork::artwork_under;
pub use budget::{Budget, CutWay, Misfit, Share, Source};
pub use check::check;
pub use demand::edition_of;
pub use describe::picture_name;
pub use feed::feed;
pub use job_plan::{
    Choice, HandWork, JobPlan, Leftover, MarksCost, SearchEnd, Spares, StockUsage, Taker, Trimming,
    Unplaced, UnplacedReason, Usage,
};
pub use leftovers_file::leftovers_file;
pub use mark_scale::{MarkScale, PRICKED, PRICKED_PITCH_MM, PRINTED};
pub use operations::names as operation_names;
pub use options::PlanOptions;
pub use pin::misplaced_pins;
pub use place::{Effort, NoWatch, Progress, Watch};
pub use sheet::{
    Content, CutSetup, CutStep, Mark, MarkClass, Placement, PlannedArtwork, PlannedOperation,
    PrintRun, PrintedFace, Sheet, Tick, TickKind,
};
pub use unplaced::{Remedy, too_large, unplaced_errors};

use crate::diagnostic::{Warned, sort_by_place};
use crate::project::Project;
use draft::Drafts;
use ground::MarksWish;
use place::{Engine, Placer};
use search::{Search, Silent};
use usage::Outcome;

/// Returns the plan of a whole job, with warnings about what is fine to plan but may disappoint.
///
/// What found no place stands in [`JobPlan::unplaced`]; [`unplaced_errors`] puts it in words. The project's pins must be sound, as
/// [`misplaced_pins`] tells.
///
/// # Examples
///
/// ```
/// use std::collections::BTreeMap;
///
/// use sheetwright::load::{Options, project};
/// use sheetwright::plan::{PlanOptions, plan};
///
/// let text = r#"
/// sheetwright = 1
/// [job]
/// name = "Bean labels"
/// copies = 24
/// cut_by = "trimmer"
/// [[stock]]
/// id = "oat"
/// format = "letter"
/// [[piece]]
/// id = "label"
/// stock = "oat"
/// shape = { kind = "rectangle", width = "2 in", height = "3 1/2 in" }
/// "#;
/// let no_files = BTreeMap::new();
/// let beans = project("project.toml", text, &no_files, &Options::default()).unwrap().value;
/// let plan = plan(&beans, &PlanOptions::default()).value;
/// // Four across and three down make 12 to a sheet.
/// assert_eq!((plan.sheets.len(), plan.usage.sheets, plan.sheets[0].placements.len()), (1, 2, 12));
/// assert_eq!(plan.sheets[0].placements[0].id, "label#1");
/// ```
#[must_use]
pub fn plan(project: &Project, options: &PlanOptions<'_>) -> Warned<JobPlan> {
    let engine = Engine {
        threads: options.threads,
    };
    plan_with(&engine, project, options)
}

/// Returns the plan of a whole job as another layout engine lays it out.
#[must_use]
pub fn plan_with(
    placer: &dyn Placer,
    project: &Project,
    options: &PlanOptions<'_>,
) -> Warned<JobPlan> {
    let groups = demand::groups(project);
    let search = Search {
        project,
        groups: &groups,
        placer,
        marks: MarksWish::AsAsked,
        best: project.job.best,
        effort: options.effort,
        watch: options.watch,
    };
    let drafts = search.drafts();
    let mut sheets = impose::impose(project, &groups, &drafts);
    cutting::set_up(project, &mut sheets);
    trimmer::set_up(project, &mut sheets);
    let has_marks = sheets.iter().any(|s| !s.marks.is_empty());
    let without_marks: Option<Drafts> = has_marks.then(|| {
        let silent = Silent(options.watch);
        let marks = MarksWish::LeftOut;
        Search {
            marks,
            watch: &silent,
            ..search
        }
        .drafts()
    });
    let outcome = Outcome {
        drafts: &drafts,
        without_marks: without_marks.as_ref(),
        other_choices: choice::others(search, &drafts),
        effort: options.effort,
    };
    let plan = JobPlan {
        unplaced: unplaced::unplaced(project, &groups, &drafts.leftovers, placer),
        spares: spare::spares(project, &groups, &drafts),
        hand_work: cutting::hand_work(project, &sheets),
        leftovers: leftovers::leftovers(project, &sheets),
        usage: usage::usage(project, &groups, &sheets, outcome),
        budget: budget::budget(project, &sheets),
        cut_extent_mm: cutting::extent_mm(&sheets),
        sheets,
    };
    debug_assert_eq!(
        check(project, &plan),
        Vec::new(),
        "a plan keeps every promise it makes"
    );
    let mut warnings = fineness::warnings(project);
    warnings.extend(marks::missing(project, &plan.sheets));
    warnings.extend(profile::warnings(project, &plan.sheets));
    warnings.extend(budget::warnings(project, plan.budget.as_ref()));
    warnings.extend(trimmer::warnings(project, &plan.sheets));
    warnings.extend(grain::warnings(project, &plan.sheets));
    sort_by_place(&mut warnings);
    Warned {
        value: plan,
        warnings,
    }
}

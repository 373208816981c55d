//! `plan`: the layout in words.

use kurbo::Shape;
use serde_json::json;

use super::budget;
use super::check::{self, Opened};
use super::options::{Format, PlanVerb, WorkOptions};
use super::progress::Progress;
use super::report;
use super::{DONE, WRONG};
use crate::diagnostic::{Diagnostic, Warned, counted};
use crate::draw;
use crate::files;
use crate::geometry::path_data::parse_path_data;
use crate::handout::{self, Handout};
use crate::job;
use crate::length::Length;
use crate::math::COINCIDENT_MM;
use crate::plan::file::{
    ChoiceEntry, HandWorkEntry, PlanFile, SheetEntry, SparesEntry, UsageEntry,
};
use crate::plan::{JobPlan, PlanOptions};
use crate::project::Project;

/// Runs the verb and returns the exit code.
pub(super) fn run(options: &PlanVerb, format: Format) -> u8 {
    match plan(options, format) {
        Ok(code) | Err(code) => code,
    }
}

fn plan(options: &PlanVerb, format: Format) -> Result<u8, u8> {
    let opened = check::open(&options.project, format)?;
    let progress = Progress::start();
    let planned = lay_out(&opened, options.work, &progress, format)?;
    progress.finish();
    let file = job::plan_file(&opened.project.value, &planned.value);
    if let Some(path) = &options.out {
        files::write_file(path, file.to_json().as_bytes()).map_err(|d| report::fail(d, format))?;
    }
    let notes = notes(&opened, &planned);
    let project = &opened.project.value;
    let handout = handout::handout(project, &planned.value);
    match format {
        Format::Json => report::result(&report::pretty(&json!({
            "plan": file,
            "shopping": handout::shopping_entries(project, &handout),
            "cost": handout.cost.as_ref().map(handout::cost_entry),
            "no_cost": handout.no_cost,
            "bags": handout.labels.iter().map(|l| handout::bags_entry(project, l)).collect::<Vec<_>>(),
            "diagnostics": report::to_json(&notes, &opened.sources),
        }))),
        Format::Text => {
            report::show(&notes, &opened.sources, format);
            report::result(&text(project, &file));
            report::result(&shopping_text(project, &handout));
            if let Some(list) = draw::cut_list(project, &planned.value) {
                report::result(&format!("cut list:\n{list}"));
            }
        }
    }
    Ok(if file.unplaced.is_empty() {
        DONE
    } else {
        WRONG
    })
}

/// Lays out; shows what the machines cannot take and returns the exit code.
pub(super) fn lay_out(
    opened: &Opened,
    work: WorkOptions,
    progress: &Progress,
    format: Format,
) -> Result<Warned<JobPlan>, u8> {
    progress.step("laying out");
    job::plan(
        &opened.project.value,
        &PlanOptions {
            threads: work.threads(),
            effort: work.effort(),
            watch: progress,
        },
    )
    .map_err(|mistakes| {
        progress.finish();
        report::show(&mistakes, &opened.sources, format);
        WRONG
    })
}

/// Warnings of the project and the plan, in the order of their places.
pub(super) fn notes(opened: &Opened, planned: &Warned<JobPlan>) -> Vec<Diagnostic> {
    let mut notes = opened.project.warnings.clone();
    notes.extend(planned.warnings.iter().cloned());
    crate::diagnostic::sort_by_place(&mut notes);
    notes
}

/// The plan in words: sheets, usage, hand work.
pub(super) fn text(project: &Project, plan: &PlanFile) -> String {
    let mut text = String::new();
    for (number, sheet) in (1..).zip(&plan.sheets) {
        text += &sheet_text(project, number, sheet);
    }
    text += &usage_text(&plan.usage);
    text += &budget::text(project, plan);
    text += &spares_text(&plan.spares);
    text += &nicks_text(project, plan);
    if !plan.hand_work.is_empty() {
        text += "by hand or die:\n";
        text.extend(plan.hand_work.iter().map(|w| hand_work_text(project, w)));
    }
    for missing in &plan.unplaced {
        text += &format!("not placed: {} x {}\n", missing.count, missing.piece);
    }
    text
}

/// What to buy, a line for each edition, and what it costs.
pub(super) fn shopping_text(project: &Project, handout: &Handout) -> String {
    let mut lines = handout::shopping_lines(project, &handout.shopping);
    if project.lesson.pricing.is_some() || handout.no_cost.is_some() {
        lines.extend(handout::kit_text(project, handout).cost);
    }
    lines.join("\n") + "\n"
}

/// `held by nicks, to be cut or broken: token (2 of 1/32 in)`.
fn nicks_text(project: &Project, plan: &PlanFile) -> String {
    let placements = plan.sheets.iter().flat_map(|s| &s.placements);
    let mut held: Vec<String> = Vec::new();
    for placement in placements {
        for nicks in placement.operations.iter().filter_map(|o| o.nicks) {
            let length = Length::nearest_mm(nicks.length_mm).display(project.job.lengths);
            let text = format!("{} ({} of {length})", placement.piece, nicks.count);
            if !held.contains(&text) {
                held.push(text);
            }
        }
    }
    if held.is_empty() {
        return String::new();
    }
    format!("held by nicks, to be cut or broken: {}\n", held.join(", "))
}

fn sheet_text(project: &Project, number: usize, sheet: &SheetEntry) -> String {
    let stock = project
        .stocks
        .iter()
        .find(|s| s.id == sheet.stock)
        .map_or(sheet.stock.as_str(), |s| &s.name);
    let mut pieces: Vec<(&str, usize)> = Vec::new();
    for placement in &sheet.placements {
        match pieces.iter_mut().find(|(id, _)| *id == placement.piece) {
            Some((_, count)) => *count += 1,
            None => pieces.push((&placement.piece, 1)),
        }
    }
    let pieces: Vec<String> = pieces
        .iter()
        .map(|(id, count)| format!("{count} x {id}"))
        .collect();
    let runs = counted(sheet.runs, "sheet");
    let print = match pages(sheet) {
        pages if pages.is_empty() => "not printed".to_owned(),
        pages => format!("print {pages}"),
    };
    let cut = sheet
        .cut_file
        .as_ref()
        .map_or_else(String::new, |file| format!("; cut with {file}"));
    format!(
        "sheet {number}: {stock}, {runs} with {}; {print}{cut}\n",
        pieces.join(", ")
    )
}

/// `pages 1+2 7 times, page 3 once`.
fn pages(sheet: &SheetEntry) -> String {
    let pages = sheet.prints.iter().filter_map(|print| {
        let times = match print.times {
            1 => "once".to_owned(),
            n => format!("{n} times"),
        };
        match (print.front, print.back) {
            (Some(front), Some(back)) => Some(format!("pages {front}+{back} {times}")),
            (Some(page), None) | (None, Some(page)) => Some(format!("page {page} {times}")),
            (None, None) => None,
        }
    });
    pages.collect::<Vec<_>>().join(", ")
}

fn usage_text(usage: &UsageEntry) -> String {
    let mut text = format!(
        "{}, {} different{}; {}; {:.1} % of the paper ends as pieces\n",
        counted(usage.sheets, "sheet"),
        usage.layouts,
        costs_text(&usage.costs),
        bound_text(usage),
        usage.area_used_percent
    );
    for stock in &usage.by_stock {
        let cost = stock
            .cost
            .as_ref()
            .map_or_else(String::new, |cost| format!(", {cost}"));
        text += &format!(
            "    {}: {}, at least {}, {:.1} % used{cost}\n",
            stock.stock,
            counted(stock.sheets, "sheet"),
            stock.better_bound_sheets,
            stock.area_used_percent
        );
    }
    if let Some(cost) = &usage.marks_cost {
        text += &format!(
            "    register marks keep {:.0} mm2 of each sheet free; without them the job takes {}\n",
            cost.area_mm2,
            counted(cost.sheets_without, "sheet")
        );
    }
    if !usage.other_choices.is_empty() {
        text += "    at a glance, other choices take\n";
        text.extend(usage.other_choices.iter().map(choice_text));
    }
    if usage.search == "stopped" {
        text += "    the search was stopped: this is the best layout until then\n";
    }
    text
}

/// How near the number of sheets is to what no layout can go below.
fn bound_text(usage: &UsageEntry) -> String {
    if usage.is_proven_fewest {
        let is_all_whole = usage.sheets == usage.better_bound_sheets;
        let whole = if is_all_whole { "" } else { " whole sheets" };
        return format!("proven that no layout takes fewer{whole}");
    }
    format!(
        "no layout takes fewer than {}, by area alone {}",
        usage.better_bound_sheets, usage.lower_bound_sheets
    )
}

/// `, 4.20 EUR`; nothing where no stock has a price.
fn costs_text(costs: &[String]) -> String {
    if costs.is_empty() {
        return String::new();
    }
    format!(", {}", costs.join(" and "))
}

fn choice_text(choice: &ChoiceEntry) -> String {
    format!(
        "        best = \"{}\": {}, {} different{}\n",
        choice.best,
        counted(choice.sheets, "sheet"),
        choice.layouts,
        costs_text(&choice.costs)
    )
}

/// `spares: 2 of 3 packet, 3 of 3 label`.
fn spares_text(spares: &[SparesEntry]) -> String {
    let counts = spares
        .iter()
        .map(|s| format!("{} of {} {}", s.placed, s.wished, s.piece));
    match counts.collect::<Vec<_>>() {
        counts if counts.is_empty() => String::new(),
        counts => format!("spares: {}\n", counts.join(", ")),
    }
}

/// What to do, where from the piece's top left corner, and how often.
fn hand_work_text(project: &Project, work: &HandWorkEntry) -> String {
    let fold = work
        .fold
        .as_ref()
        .map_or_else(String::new, |fold| format!(" ({fold})"));
    let place = place(project, work).map_or_else(String::new, |place| format!(", {place}"));
    format!(
        "    {}: {}{fold} by {}{place}, {} times\n",
        work.piece, work.operation, work.by, work.times
    )
}

/// The size of an outline, or where an upright or level line lies; nothing for other lines.
fn place(project: &Project, work: &HandWorkEntry) -> Option<String> {
    let bounds = parse_path_data(&work.path, 1.0).ok()?.bounding_box();
    let show = |mm: f64| Length::nearest_mm(mm).display(project.job.lengths);
    let is_line = |extent_mm: f64| extent_mm < COINCIDENT_MM;
    if work.operation == "outline" {
        Some(format!(
            "{} x {}",
            show(bounds.width()),
            show(bounds.height())
        ))
    } else if is_line(bounds.width()) {
        Some(format!("{} from the left edge", show(bounds.x0)))
    } else if is_line(bounds.height()) {
        Some(format!("{} from the top edge", show(bounds.y0)))
    } else {
        None
    }
}

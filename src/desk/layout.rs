//! The layout: laid out on a thread of its own, told sheet by sheet, kept with the revision that it is of.

use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, OnceLock};

use serde::Deserialize;
use serde_json::{Value, json};

use super::Desk;
use super::answer::{Answer, Asked, Outcome, Refused};
use super::checked::{self, Checked};
use super::open::Open;
use super::project::refuse_stale;
use super::work::{UntilEnd, Watcher};
use crate::diagnostic::{Diagnostic, Warned, counted, sort_by_place};
use crate::draw::page::Page;
use crate::geometry::path_data::to_path_data;
use crate::plan::{Effort, JobPlan, Placement, PlanOptions, SearchEnd, Sheet};
use crate::project::{Axis, Project, Stock};
use crate::{draw, emit, handout, job, paper};

/// Decimals of a path that is shown: a micrometre.
const DECIMALS: usize = 3;

/// A finished layout.
#[derive(Debug)]
pub(super) struct Laid {
    /// No two layouts have the same, so that a picture of one is never taken for that of another.
    serial: usize,
    pub(super) revision: u64,
    pub(super) effort: Effort,
    pub(super) project: Arc<Project>,
    /// The project as it was read, with the texts that diagnostics point into.
    checked: Arc<Checked>,
    /// The plan with its warnings; what is wrong where there is none.
    pub(super) planned: Result<Warned<JobPlan>, Vec<Diagnostic>>,
    pages: OnceLock<Vec<(String, Page)>>,
    /// A copy without pictures to try a pin on.
    trial: OnceLock<Mutex<Project>>,
}

impl Laid {
    /// The plan, if there is one.
    pub(super) fn plan(&self) -> Option<&JobPlan> {
        self.planned.as_ref().ok().map(|planned| &planned.value)
    }

    /// Warnings of the project and of its plan, as the page has them.
    pub(super) fn notes(&self) -> Value {
        let mut notes = self.checked.diagnostics.clone();
        match &self.planned {
            Ok(planned) => notes.extend(planned.warnings.iter().cloned()),
            Err(broken) => notes.extend(broken.iter().cloned()),
        }
        sort_by_place(&mut notes);
        checked::to_json(&notes, &self.checked.sources)
    }

    /// The picture of a sheet's face, by the name of its file without an ending.
    pub(super) fn picture(&self, name: &str) -> Option<String> {
        let plan = self.plan()?;
        let pages = self
            .pages
            .get_or_init(|| draw::pictures(&self.project, plan));
        let file = format!("{name}.png");
        let (_, page) = pages.iter().find(|(own, _)| *own == file)?;
        Some(emit::svg_picture::write(page, &self.project.assets))
    }

    /// A copy of the project without its pictures, to try pins on.
    pub(super) fn trial(&self) -> &Mutex<Project> {
        self.trial.get_or_init(|| {
            let mut copy = Project::clone(&self.project);
            copy.assets.clear();
            Mutex::new(copy)
        })
    }
}

/// How much work is wished for, in the page's words.
#[derive(Debug, Clone, Copy, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum AskedEffort {
    Quick,
    #[default]
    Usual,
    Thorough,
}

impl From<AskedEffort> for Effort {
    fn from(asked: AskedEffort) -> Self {
        match asked {
            AskedEffort::Quick => Self::Quick,
            AskedEffort::Usual => Self::Usual,
            AskedEffort::Thorough => Self::Long,
        }
    }
}

/// What work goes by.
#[derive(Debug, Deserialize)]
pub(super) struct WorkAsked {
    pub(super) base: u64,
    #[serde(default)]
    pub(super) effort: AskedEffort,
}

/// A project that is about to be worked on.
#[derive(Debug, Clone)]
pub(super) struct Subject {
    pub(super) revision: u64,
    pub(super) project: Arc<Project>,
    pub(super) checked: Arc<Checked>,
    pub(super) effort: Effort,
}

impl Subject {
    /// The project on the desk, which must have no mistakes.
    pub(super) fn of(open: &Open, effort: Effort) -> Result<Self, Refused> {
        let checked = open.checked().ok_or_else(super::project::nothing_open)?;
        let project = checked.project.as_ref();
        let project = project.ok_or_else(|| Refused::wrong("the project has mistakes"))?;
        Ok(Self {
            revision: open.revision(),
            project: Arc::clone(project),
            checked: Arc::clone(checked),
            effort,
        })
    }

    /// Lays it out; `watch` is told how far it is.
    pub(super) fn lay_out(&self, watch: &Watcher) -> Laid {
        let options = PlanOptions {
            threads: threads(),
            effort: self.effort,
            watch,
        };
        static SERIAL: AtomicUsize = AtomicUsize::new(1);
        Laid {
            serial: SERIAL.fetch_add(1, Ordering::Relaxed),
            revision: self.revision,
            effort: self.effort,
            planned: job::plan(&self.project, &options),
            project: Arc::clone(&self.project),
            checked: Arc::clone(&self.checked),
            pages: OnceLock::new(),
            trial: OnceLock::new(),
        }
    }
}

/// One for each processor.
pub(super) fn threads() -> NonZeroUsize {
    std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN)
}

pub(super) fn lay_out(desk: &Desk, asked: &Asked) -> Outcome {
    let wish: WorkAsked = asked.json()?;
    let open = desk.open();
    refuse_stale(&open, wish.base)?;
    begin(desk, &open, wish.effort.into())?;
    Ok(Answer::Json(json!({ "state": "running" })))
}

/// Begins a layout; older work stops.
pub(super) fn begin(desk: &Desk, open: &Open, effort: Effort) -> Result<(), Refused> {
    let subject = Subject::of(open, effort)?;
    let work = Arc::clone(&desk.work);
    let watch = work.begin("layout", "laying out");
    std::thread::spawn(move || {
        let end = UntilEnd { work, watch };
        let laid = subject.lay_out(&end.watch);
        if !end.watch.is_left() {
            end.work.keep_layout(laid);
        }
    });
    Ok(())
}

pub(super) fn layout(desk: &Desk, _: &Asked) -> Outcome {
    let (said, share) = desk.work.said("layout").unwrap_or_default();
    let is_running = desk.work.is_running("layout");
    let Some(laid) = desk.work.layout() else {
        let state = if is_running { "running" } else { "none" };
        return Ok(Answer::Json(json!({
            "of_revision": null, "state": state, "said": said, "share": share,
            "sheets": [], "words": [], "shopping": [], "cost": null, "unplaced": [], "diagnostics": [],
        })));
    };
    let mut told = to_json(&laid);
    if is_running {
        told["state"] = "running".into();
    }
    told["said"] = said.into();
    told["share"] = share.into();
    Ok(Answer::Json(told))
}

fn to_json(laid: &Laid) -> Value {
    let project = &*laid.project;
    let Some(plan) = laid.plan() else {
        return json!({
            "of_revision": laid.revision, "state": "failed",
            "sheets": [], "words": [], "shopping": [], "cost": null, "unplaced": [],
            "diagnostics": laid.notes(),
        });
    };
    let handout = handout::handout(project, plan);
    let cost = handout::kit_text(project, &handout).cost;
    let unplaced = plan.unplaced.iter();
    let unplaced =
        unplaced.map(|u| json!({ "piece": project.pieces[u.piece].id, "count": u.count }));
    let sheets = plan.sheets.iter().enumerate();
    json!({
        "of_revision": laid.revision,
        "state": "done",
        "sheets": sheets.map(|(i, s)| sheet(laid, i, s)).collect::<Vec<_>>(),
        "words": words(project, plan),
        "shopping": handout::shopping_lines(project, &handout.shopping),
        "cost": (!cost.is_empty()).then(|| cost.join("; ")),
        "unplaced": unplaced.collect::<Vec<_>>(),
        "diagnostics": laid.notes(),
    })
}

fn sheet(laid: &Laid, position: usize, sheet: &Sheet) -> Value {
    let number = position + 1;
    let stock = &laid.project.stocks[sheet.stock];
    let picture = |face: &str| {
        let serial = laid.serial;
        format!("/picture/sheet/{number:02}{face}.svg?layout={serial}")
    };
    let usable = sheet.usable;
    json!({
        "number": number,
        "stock": stock.id,
        "paper": paper_name(stock),
        "runs": sheet.runs,
        "width_mm": sheet.width_mm,
        "height_mm": sheet.height_mm,
        "front": picture(""),
        "back": sheet.back.map(|_| picture("-back")),
        "printed": sheet.front.is_some() || sheet.back.is_some(),
        "marks": sheet.marks.len(),
        "grain": stock.grain.map(|axis| match axis {
            Axis::X => "x",
            Axis::Y => "y",
        }),
        "placements": sheet.placements.iter().map(|p| placement(&laid.project, p)).collect::<Vec<_>>(),
        "margins_mm": [
            usable.x0, usable.y0, sheet.width_mm - usable.x1, sheet.height_mm - usable.y1,
        ],
    })
}

/// `Letter`, or the format's own name.
pub(super) fn paper_name(stock: &Stock) -> String {
    let format = paper::find(&stock.format);
    let common = format.and_then(|format| format.common_names().first());
    let name = common.map_or(stock.format.as_str(), String::as_str);
    let mut letters = name.chars();
    let first = letters.next().map(|c| c.to_uppercase().collect::<String>());
    first.unwrap_or_default() + letters.as_str()
}

fn placement(project: &Project, placement: &Placement) -> Value {
    let piece = &project.pieces[placement.piece];
    let lies = piece.outline.transformed(placement.pose.to_affine());
    let bounds = lies.bounds();
    json!({
        "id": placement.id,
        "piece": piece.id,
        "copy": placement.copy,
        "part": part_of(&placement.id),
        "path": to_path_data(&lies.path(), DECIMALS),
        "box": [bounds.x0, bounds.y0, bounds.width(), bounds.height()],
        "turn_deg": placement.pose.turn.deg(),
        "face_down": placement.face_down,
        "pinned": placement.is_pinned,
        "label": piece.name,
    })
}

/// Which of several in one copy it is, from 1: `tin/lid#3.2` is the second.
pub(super) fn part_of(id: &str) -> u32 {
    let behind = id.rsplit_once('#').map_or("", |(_, behind)| behind);
    let part = behind
        .split_once('.')
        .and_then(|(_, part)| part.parse().ok());
    part.unwrap_or(1)
}

/// What it takes, in sentences.
fn words(project: &Project, plan: &JobPlan) -> Vec<String> {
    let usage = &plan.usage;
    let costs: Vec<String> = usage.costs.iter().map(ToString::to_string).collect();
    let cost = if costs.is_empty() {
        String::new()
    } else {
        format!(", {}", costs.join(" and "))
    };
    let sheets = counted(usage.sheets, "sheet");
    let alike = match (usage.sheets, usage.layouts) {
        (0 | 1, _) => String::new(),
        (_, 1) => ", all alike".to_owned(),
        (_, layouts) => format!(", {layouts} different"),
    };
    let mut words = vec![format!("{sheets}{alike}{cost}")];
    words.push(if usage.is_proven_fewest {
        "no layout takes fewer".to_owned()
    } else {
        let least = usage.better_bound_sheets;
        format!("no layout takes fewer than {}", counted(least, "sheet"))
    });
    words.push(format!(
        "{:.0} % of the paper ends as pieces",
        usage.area_used_percent
    ));
    if usage.by_stock.len() > 1 {
        words.extend(usage.by_stock.iter().map(|of| {
            let name = &project.stocks[of.stock].name;
            format!("{} of {name}", counted(of.sheets, "sheet"))
        }));
    }
    words.extend(plan.unplaced.iter().map(|u| {
        let name = &project.pieces[u.piece].name;
        format!("{} x {name} found no place", u.count)
    }));
    if usage.search == SearchEnd::Stopped {
        words.push("the search was stopped: this is the best layout until then".to_owned());
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_of_a_copy_are_read_off_its_name() {
        assert_eq!((part_of("tin/lid#3"), part_of("tin/lid#3.2")), (1, 2));
    }
}

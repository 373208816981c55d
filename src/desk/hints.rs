//! What to do at the printer and at the cutter for one job, in order.

use crate::diagnostic::{counted, listed};
use crate::plan::{JobPlan, PrintRun, Sheet};
use crate::project::{Face, Project};

/// A sentence for each thing to do.
pub(super) fn hints(project: &Project, plan: &JobPlan) -> Vec<String> {
    let mut hints = Vec::new();
    let printed: Vec<&Sheet> = plan.sheets.iter().filter(|s| is_printed(s)).collect();
    for sheet in &printed {
        hints.extend(
            sheet
                .prints
                .iter()
                .filter_map(|run| printing(project, sheet, run)),
        );
    }
    if !printed.is_empty() {
        hints.push(
            "print at 100 %, with no fitting to the page, and lay the check rule of each page against a ruler before you cut"
                .to_owned(),
        );
    }
    if printed
        .iter()
        .any(|s| s.front.is_some() && s.back.is_some())
    {
        hints.push("where both sides are printed, hold a sheet against the light: front and back must meet".to_owned());
    }
    for (position, sheet) in plan.sheets.iter().enumerate() {
        hints.extend(cutting(project, position + 1, sheet));
    }
    if plan.usage.trimming.is_some() {
        hints.push("cut as cut-list.txt says, line by line".to_owned());
    }
    hints
}

fn is_printed(sheet: &Sheet) -> bool {
    sheet.front.is_some() || sheet.back.is_some()
}

fn printing(project: &Project, sheet: &Sheet, run: &PrintRun) -> Option<String> {
    let pages: Vec<String> = [run.front, run.back]
        .into_iter()
        .flatten()
        .map(|page| page.to_string())
        .collect();
    if pages.is_empty() {
        return None;
    }
    let name = &project.stocks[sheet.stock].name;
    let load = counted(run.times, "sheet");
    let times = match run.times {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        n => format!("{n} times"),
    };
    let plural = if pages.len() > 1 { "pages" } else { "page" };
    Some(format!(
        "load {load} of {name} and print {plural} {} of print.pdf {times}",
        listed(&pages)
    ))
}

fn cutting(project: &Project, number: usize, sheet: &Sheet) -> Option<String> {
    let cut = sheet.cut.as_ref()?;
    let name = &project.stocks[sheet.stock].name;
    let face = match cut.face_up {
        Face::Front => "its front up",
        Face::Back => "its back up",
    };
    let marks = if sheet.marks.is_empty() {
        ""
    } else {
        "; measure where its marks are first (Measure, A printed sheet)"
    };
    Some(format!(
        "sheet {number}, {} of {name}: lay it on the cutter with {face} and cut {}{marks}",
        counted(sheet.runs, "sheet"),
        cut.file
    ))
}

//! What captions and notes say.

use super::caption::Words;
use crate::diagnostic::counted;
use crate::math::round_to;
use crate::plan::{PrintRun, Sheet, TickKind};
use crate::project::{Face, Project, TurnOver};

/// Decimals worth showing to people: 0.1 µm, as in the files.
const STEPS_PER_MM: u32 = 10_000;

/// Returns a length as people read it, without its unit.
pub(super) fn millimetres(length_mm: f64) -> String {
    round_to(length_mm, STEPS_PER_MM).to_string()
}

/// Position of a sheet among the distinct sheets of a plan, both counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct SheetNumber {
    pub(super) number: usize,
    pub(super) of: usize,
}

impl SheetNumber {
    fn text(self) -> String {
        format!("sheet {} of {}", self.number, self.of)
    }
}

/// Returns what a printed page says about itself.
pub(super) fn on_print_page(
    project: &Project,
    sheet: &Sheet,
    number: SheetNumber,
    run: &PrintRun,
    face: Face,
) -> Words {
    let mut notes = vec![
        "print at 100 %".to_owned(),
        number.text(),
        face.name().to_owned(),
    ];
    notes.push(match run.times {
        1 => "print this page once".to_owned(),
        times => format!("print this page {times} times"),
    });
    let turned = turned(project.job.turn_over);
    match (face, run.front, run.back) {
        (Face::Front, _, Some(back)) => {
            notes.push(format!("then turn over {turned} for page {back}"));
        }
        (Face::Back, Some(front), _) => {
            notes.push(format!("back of page {front}, turned over {turned}"));
        }
        (Face::Front, _, None) | (Face::Back, None, _) => {}
    }
    notes.extend(by_light(sheet, face).map(str::to_owned));
    if let Some(cut) = &sheet.cut {
        notes.push(format!("cut with {}", cut.file));
    }
    let mut heading = heading(project, sheet);
    for edition in editions(project, run) {
        heading += &format!(" · {edition}");
    }
    Words { heading, notes }
}

/// How two printed faces are compared.
fn by_light(sheet: &Sheet, face: Face) -> Option<&'static str> {
    if face == Face::Front || sheet.front.is_none() || sheet.ticks.is_empty() {
        return None;
    }
    let mut ticks = sheet.ticks.iter();
    Some(match ticks.any(|tick| tick.kind == TickKind::Light) {
        true => "against light: crosses on marks",
        false => "against light: ticks on ticks",
    })
}

/// Names of the editions whose copies come out of these sheets; none in a job without editions.
fn editions<'a>(project: &'a Project, run: &PrintRun) -> Vec<&'a str> {
    let mut last = 0;
    let ranges = project.editions.iter().map(|edition| {
        let first = last + 1;
        last += edition.copies + edition.spares;
        (edition, first..=last)
    });
    ranges
        .filter(|(edition, range)| {
            !edition.name.is_empty() && run.copies.iter().any(|copy| range.contains(copy))
        })
        .map(|(edition, _)| edition.name.as_str())
        .collect()
}

/// Returns what a proof page says about itself.
pub(super) fn on_proof_page(project: &Project, sheet: &Sheet, number: SheetNumber) -> Words {
    let runs = counted(sheet.runs, "sheet");
    let mut notes = vec!["proof, front view".to_owned(), number.text(), runs];
    if let Some(cut) = &sheet.cut {
        notes.push(format!("cut with {}", cut.file));
    }
    Words {
        heading: heading(project, sheet),
        notes,
    }
}

/// Returns the label of a page for lists of pages.
pub(super) fn page_label(
    project: &Project,
    sheet: &Sheet,
    number: SheetNumber,
    face: Face,
) -> String {
    format!(
        "{}, sheet {}, {}",
        project.stocks[sheet.stock].name,
        number.number,
        face.name()
    )
}

fn heading(project: &Project, sheet: &Sheet) -> String {
    format!(
        "{} · {}",
        project.job.name, project.stocks[sheet.stock].name
    )
}

fn turned(turn_over: TurnOver) -> &'static str {
    match turn_over {
        TurnOver::LeftRight => "left to right",
        TurnOver::TopBottom => "head over heels",
    }
}

//! Reads `cut-list.txt` back: every cut of the plan with its fence, in order, and no other.
//!
//! The words are for people, so only what can go wrong with scissors in hand is read: the numbers of sheets, cuts and fences. A sheet that is
//! cut like an earlier one must have the same fences.

use super::plan::PlannedSheet;
use super::verdict::{FileVerdict, Finding, Tally};
use crate::length::Length;
use crate::plan::file::TrimmerCutEntry;

/// The file's name.
pub(super) const NAME: &str = "cut-list.txt";

/// Lengths are shown to four decimals of an inch or three of a millimetre: half a step of the coarser.
const SHOWN_MM: f64 = 0.00127 + 1e-6;

/// Whether the plan has anything to cut by hand.
pub(super) fn is_planned(sheets: &[PlannedSheet<'_>]) -> bool {
    sheets
        .iter()
        .any(|sheet| !sheet.entry.trimmer_cuts.is_empty())
}

/// A sheet as the file has it.
#[derive(Debug, Default)]
struct Listed {
    number: usize,
    like: Option<usize>,
    /// Number of each cut and its fence in millimetres; `None` for a cut by eye.
    cuts: Vec<(u32, Option<f64>)>,
}

/// Compares the list with the plan.
pub(super) fn check(bytes: &[u8], sheets: &[PlannedSheet<'_>]) -> FileVerdict {
    let mut tally = Tally::new(NAME);
    let read = String::from_utf8_lossy(bytes);
    match listed(&read) {
        Err(line) => {
            let message = format!("{NAME} has a line that cannot be read: {line}");
            tally.add(Finding::new("verify.unreadable", message));
        }
        Ok(found) => {
            for sheet in sheets {
                check_sheet(&mut tally, sheet, &found);
            }
            if found.len() > sheets.len() {
                let message = format!("{NAME} lists {} sheets, not {}", found.len(), sheets.len());
                tally.add(Finding::new("verify.extra", message));
            }
        }
    }
    tally.finish()
}

fn check_sheet(tally: &mut Tally, sheet: &PlannedSheet<'_>, found: &[Listed]) {
    tally.count();
    let of = |number| found.iter().find(|listed| listed.number == number);
    let own = of(sheet.number);
    let listed = own.and_then(|listed| listed.like.map_or(own, of));
    let Some(listed) = listed else {
        // A sheet that is printed all over has no cuts to list.
        if sheet.entry.trimmer_cuts.is_empty() {
            return;
        }
        let message = format!("sheet {} is missing in {NAME}", sheet.number);
        return tally.add(Finding::new("verify.missing", message));
    };
    let planned = numbered(&sheet.entry.trimmer_cuts);
    if planned.len() != listed.cuts.len() {
        let what = format!("cuts of sheet {}", sheet.number);
        let (planned, found) = (planned.len().to_string(), listed.cuts.len().to_string());
        tally.add(Finding::numbers("verify.missing", &what, planned, found));
        return;
    }
    for (cut, (number, fence_mm)) in planned.into_iter().zip(&listed.cuts) {
        tally.count();
        let is_same = match (cut.fence_mm, fence_mm) {
            (Some(planned), Some(found)) => (planned - found).abs() <= SHOWN_MM,
            (None, None) => true,
            (Some(_), None) | (None, Some(_)) => false,
        };
        if !is_same || cut.step != *number {
            let spell =
                |fence: Option<f64>| fence.map_or("by eye".into(), |mm| format!("{mm:.4} mm"));
            let what = format!("fence of cut {} of sheet {}", cut.step, sheet.number);
            tally.add(Finding::numbers(
                "verify.moved",
                &what,
                spell(cut.fence_mm),
                spell(*fence_mm),
            ));
        }
    }
}

/// One entry for each number.
fn numbered(cuts: &[TrimmerCutEntry]) -> Vec<&TrimmerCutEntry> {
    let mut numbered: Vec<&TrimmerCutEntry> = Vec::new();
    for cut in cuts {
        if numbered.last().is_none_or(|last| last.step != cut.step) {
            numbered.push(cut);
        }
    }
    numbered
}

/// Returns the sheets of the file, or a line that makes no sense.
fn listed(text: &str) -> Result<Vec<Listed>, &str> {
    let mut sheets: Vec<Listed> = Vec::new();
    let mut fence_mm = None;
    for line in text.lines() {
        if let Some(rest) = line.strip_prefix("sheet ") {
            let number = rest.split(':').next().and_then(|n| n.parse().ok());
            let like = line.split_once(": cut like sheet ").map(|(_, n)| n.parse());
            sheets.push(Listed {
                number: number.ok_or(line)?,
                like: like.transpose().map_err(|_| line)?,
                cuts: Vec::new(),
            });
            fence_mm = None;
        } else if let Some(rest) = line.trim_start().strip_prefix("cut ") {
            let (number, rest) = rest.split_once(':').ok_or(line)?;
            let rest = rest.trim_start();
            let by = if let Some(rest) = rest.strip_prefix("fence ") {
                let (length, _) = rest.split_once(" from ").ok_or(line)?;
                fence_mm = Some(Length::parse(length, None).map_err(|_| line)?.to_mm());
                fence_mm
            } else if rest.starts_with("same fence") {
                fence_mm
            } else {
                None
            };
            let number = number.parse().map_err(|_| line)?;
            sheets.last_mut().ok_or(line)?.cuts.push((number, by));
        }
    }
    Ok(sheets)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fences_are_read_from_the_words_of_the_list() {
        let text = "\
sheet 1: Oat, 3 sheets; the fence is set 2 times
    cut 1:   on the printed tick at the bottom; the sheet, sheet by sheet, 3 times
    cut 2:   fence 2 1/4 in from the left fresh edge; the part of 8 x 11 in
    cut 3:   same fence, from the top fresh edge; 4 parts of 2 1/4 x 11 in
sheet 2: Moss, 1 sheet: cut like sheet 1
in all the fence is set once for 1 layout, 5 strokes
";
        let sheets = listed(text).unwrap();
        // 2 1/4 x 25.4 = 57.15.
        let cuts = [(1, None), (2, Some(57.15)), (3, Some(57.15))];
        assert_eq!(sheets[0].cuts, cuts);
        assert_eq!((sheets[1].number, sheets[1].like), (2, Some(1)));
        assert!(listed("sheet 1: Oat\n    cut 2: fence wide from the left").is_err());
    }
}

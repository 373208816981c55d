//! Takes the paper of a made job off the maker's list, once.
//!
//! Whole sheets are counted down, offcuts that are used up leave the list, and the offcuts that the job left join it. The digest of the
//! plan is written into the list, so that the same folder is never booked twice. A plan holds the digest of the list it was planned
//! with, so that making the same job again after booking gives another plan, which can be booked in its turn.

use serde::Serialize;

use crate::diagnostic::{Diagnostic, Origin};
use crate::length::{Length, LengthStyle};
use crate::load::{Edit, Given, NamedText, edit, paper_list};
use crate::math::COINCIDENT_MM;
use crate::plan::file::{LeftoverEntry, PlanFile, SheetEntry};
use crate::project::PaperList;

/// What became of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Booking {
    /// The plan was booked before; the list stays as it is.
    Before,
    /// The list is to be written anew.
    New {
        /// The list's new text.
        text: String,
        /// What changed, used paper first.
        changes: Vec<Change>,
    },
}

/// One change of a list, or paper that is not in it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "change")]
pub enum Change {
    /// Sheets or offcuts were used.
    Used {
        /// Id of the stock or offcut.
        id: String,
        /// How many.
        sheets: u32,
        /// How many are left; `None` if nobody counts them.
        left: Option<u32>,
    },
    /// Offcuts were left over.
    Gained {
        /// The new offcut's id.
        id: String,
        /// How many.
        sheets: u32,
        /// Their size, as it is listed.
        size: String,
    },
    /// Sheets were used, or offcuts left over, of paper that the list does not have.
    NotListed {
        /// Id of the stock in the project.
        id: String,
    },
}

/// Books a plan in a list.
///
/// # Errors
///
/// Every mistake of the list. If the list is right: that it has none of the plan's paper, other sheets of the same id, or fewer than
/// the plan used.
pub fn book(
    plan: &PlanFile,
    plan_sha256: &str,
    list: &NamedText,
) -> Result<Booking, Vec<Diagnostic>> {
    let read = paper_list(&list.name, &list.text)?;
    if read.booked.iter().any(|b| b.plan_sha256 == plan_sha256) {
        return Ok(Booking::Before);
    }
    let mut book = Book {
        list: &read,
        edits: Vec::new(),
        changes: Vec::new(),
        mistakes: Vec::new(),
    };
    for (id, sheets, sheet) in used(plan) {
        book.take(id, sheets, sheet);
    }
    if !book
        .changes
        .iter()
        .any(|c| matches!(c, Change::Used { .. }))
        && book.mistakes.is_empty()
    {
        return Err(vec![nothing_listed(list, plan)]);
    }
    for (leftover, sheets) in gained(plan) {
        book.gain(plan, leftover, sheets);
    }
    if !book.mistakes.is_empty() {
        return Err(book.mistakes);
    }
    book.edits.push(Edit::Append {
        list: "booked",
        entries: vec![
            ("plan", Given::Text(plan_sha256.to_owned())),
            ("job", Given::Text(plan.job.clone())),
        ],
    });
    Ok(Booking::New {
        text: edit(&list.text, &book.edits),
        changes: book.changes,
    })
}

/// The stocks of a plan with the sheets used of each, and one of its sheets.
fn used(plan: &PlanFile) -> Vec<(&str, u32, &SheetEntry)> {
    let mut used: Vec<(&str, u32, &SheetEntry)> = Vec::new();
    for sheet in &plan.sheets {
        match used.iter_mut().find(|(id, ..)| *id == sheet.stock) {
            Some((_, sheets, _)) => *sheets = sheets.saturating_add(sheet.runs),
            None => used.push((&sheet.stock, sheet.runs, sheet)),
        }
    }
    used
}

/// The offcuts of a plan; those of one size are counted together.
fn gained(plan: &PlanFile) -> Vec<(&LeftoverEntry, u32)> {
    let mut gained: Vec<(&LeftoverEntry, u32)> = Vec::new();
    for leftover in &plan.leftovers {
        let alike = gained
            .iter_mut()
            .find(|(other, _)| (&other.of, &other.size) == (&leftover.of, &leftover.size));
        match alike {
            Some((_, count)) => *count = count.saturating_add(leftover.count),
            None => gained.push((leftover, leftover.count)),
        }
    }
    gained
}

fn is_same(a: (f64, f64), b: (f64, f64)) -> bool {
    (a.0 - b.0).abs() <= COINCIDENT_MM && (a.1 - b.1).abs() <= COINCIDENT_MM
}

fn nothing_listed(list: &NamedText, plan: &PlanFile) -> Diagnostic {
    let ids: Vec<_> = used(plan)
        .iter()
        .map(|(id, ..)| format!("\"{id}\""))
        .collect();
    let message = format!("{} has none of the paper of \"{}\"", list.name, plan.job);
    let hint = format!("give the papers their ids in it: {}", ids.join(", "));
    Diagnostic::error("booking.unlisted", message).hint(hint)
}

/// A list while a plan is being booked in it.
struct Book<'a> {
    list: &'a PaperList,
    edits: Vec<Edit>,
    changes: Vec<Change>,
    mistakes: Vec<Diagnostic>,
}

impl Book<'_> {
    /// Takes used sheets off.
    fn take(&mut self, id: &str, sheets: u32, used: &SheetEntry) {
        let list = self.list;
        let paper_mm = (used.paper.width_mm, used.paper.height_mm);
        if let Some((position, stock)) = (0..).zip(&list.stocks).find(|(_, s)| s.id == id) {
            let listed_mm = (stock.width.to_mm(), stock.height.to_mm());
            if !is_same(listed_mm, paper_mm) {
                self.refuse_other(id, &stock.origin, listed_mm, paper_mm);
            } else if let Some(left) = self.left(id, &stock.origin, stock.sheets, sheets) {
                self.edits
                    .extend(left.map(|left| set("stock", position, left)));
                self.note_used(id, sheets, left);
            }
        } else if let Some((position, offcut)) = (0..).zip(&list.offcuts).find(|(_, o)| o.id == id)
        {
            let listed_mm = (offcut.width.to_mm(), offcut.height.to_mm());
            if !is_same(listed_mm, paper_mm) {
                self.refuse_other(id, &offcut.origin, listed_mm, paper_mm);
            } else if let Some(Some(left)) =
                self.left(id, &offcut.origin, Some(offcut.sheets), sheets)
            {
                self.edits.push(if left == 0 {
                    Edit::Remove {
                        list: "offcut",
                        position,
                    }
                } else {
                    set("offcut", position, left)
                });
                self.note_used(id, sheets, Some(left));
            }
        } else {
            self.note_unlisted(id);
        }
    }

    fn note_used(&mut self, id: &str, sheets: u32, left: Option<u32>) {
        self.changes.push(Change::Used {
            id: id.to_owned(),
            sheets,
            left,
        });
    }

    fn note_unlisted(&mut self, id: &str) {
        let change = Change::NotListed { id: id.to_owned() };
        if !self.changes.contains(&change) {
            self.changes.push(change);
        }
    }

    /// What is left of `on_hand` sheets, which nobody may count; `None` if there were not enough, which is noted.
    fn left(
        &mut self,
        id: &str,
        origin: &Origin,
        on_hand: Option<u32>,
        used: u32,
    ) -> Option<Option<u32>> {
        let Some(on_hand) = on_hand else {
            return Some(None);
        };
        let left = on_hand.checked_sub(used);
        if left.is_none() {
            let message =
                format!("the plan uses {used} of \"{id}\", more than the {on_hand} on hand");
            let hint = "count them again and correct the list, or plan the job again";
            self.mistakes.push(
                Diagnostic::error("booking.too-few", message)
                    .at(origin)
                    .hint(hint),
            );
        }
        left.map(Some)
    }

    fn refuse_other(
        &mut self,
        id: &str,
        origin: &Origin,
        listed_mm: (f64, f64),
        used_mm: (f64, f64),
    ) {
        let style = self.list.lengths;
        let size = |(w, h): (f64, f64)| format!("{} x {}", show(w, style), show(h, style));
        let message = format!(
            "the list has \"{id}\" as {}, the plan as {}",
            size(listed_mm),
            size(used_mm)
        );
        self.mistakes.push(
            Diagnostic::error("booking.other-paper", message)
                .at(origin)
                .hint("give one of them another id"),
        );
    }

    /// Adds an offcut that the job left.
    fn gain(&mut self, plan: &PlanFile, leftover: &LeftoverEntry, sheets: u32) {
        if !self.list.stocks.iter().any(|s| s.id == leftover.of) {
            return self.note_unlisted(&leftover.of);
        }
        let id = self.free_id(&leftover.of);
        let size = leftover.size.clone();
        let mut entries = vec![
            ("id", Given::Text(id.clone())),
            ("of", Given::Text(leftover.of.clone())),
            ("size", Given::Text(size.clone())),
            ("sheets", Given::Whole(i64::from(sheets))),
        ];
        entries.extend(plan.date.clone().map(|date| ("date", Given::Text(date))));
        entries.push(("note", Given::Text(format!("from {}", plan.job))));
        self.edits.push(Edit::Append {
            list: "offcut",
            entries,
        });
        self.changes.push(Change::Gained { id, sheets, size });
    }

    /// The first of `oat-1`, `oat-2`, ... that is not taken, not even by an offcut that leaves the list now.
    fn free_id(&self, of: &str) -> String {
        let is_taken = |id: &String| {
            self.list.stocks.iter().any(|s| s.id == *id)
                || self.list.offcuts.iter().any(|o| o.id == *id)
                || self
                    .changes
                    .iter()
                    .any(|c| matches!(c, Change::Gained { id: other, .. } if other == id))
        };
        (1..)
            .map(|number: u32| format!("{of}-{number}"))
            .find(|id| !is_taken(id))
            .expect("a list has fewer offcuts than there are numbers")
    }
}

fn show(mm: f64, style: LengthStyle) -> String {
    Length::nearest_mm(mm).display(style)
}

fn set(list: &'static str, position: usize, left: u32) -> Edit {
    Edit::Set {
        list,
        position,
        key: "sheets",
        value: Given::Whole(i64::from(left)),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    const LIST: &str = r#"
sheetwright_paper = 1
[[stock]]
id = "oat"
format = "letter"
[[offcut]]
id = "oat-1"
of = "oat"
size = "8 x 4 in"
sheets = 2
"#;

    /// A plan that uses a whole sheet, one of two offcuts and a paper that is not listed, and leaves three offcuts.
    fn plan() -> PlanFile {
        let sheet = |stock: &str, width_mm: f64, height_mm: f64| {
            json!({
                "stock": stock, "front_is": "a", "runs": 1, "proof_page": 1, "picture": "sheet-01.png",
                "paper": { "name": "custom", "width_mm": width_mm, "height_mm": height_mm },
                "cut_order": [], "prints": [], "marks": [], "ticks": [], "usable_box_mm": [0, 0, 1, 1], "placements": [],
            })
        };
        let left = |of: &str, size: &str| json!({ "of": of, "sheet": 1, "count": 1, "size": size, "box_mm": [0, 0, 1, 1] });
        serde_json::from_value(json!({
            "format": "sheetwright-plan/1", "job": "Beans", "unplaced": [], "hand_work": [],
            "sheets": [sheet("oat", 215.9, 279.4), sheet("oat-1", 203.2, 101.6), sheet("moss", 100.0, 100.0)],
            "leftovers": [left("oat", "4 in x 4 in"), left("moss", "90 mm x 90 mm"), left("oat", "4 in x 4 in")],
            "usage": { "area_used_percent": 1.0, "sheets": 3, "lower_bound_sheets": 1, "search": "finished", "by_stock": [] },
        }))
        .unwrap()
    }

    fn list(text: &str) -> NamedText {
        NamedText {
            name: "paper-on-hand.toml".to_owned(),
            text: text.to_owned(),
        }
    }

    #[test]
    fn what_is_listed_is_booked_and_the_rest_is_told() {
        let Ok(Booking::New { text, changes }) = book(&plan(), "abc", &list(LIST)) else {
            panic!("the plan is booked");
        };
        let used = |id: &str, left| Change::Used {
            id: id.to_owned(),
            sheets: 1,
            left,
        };
        let gained = Change::Gained {
            id: "oat-2".to_owned(),
            sheets: 2,
            size: "4 in x 4 in".to_owned(),
        };
        let not_listed = Change::NotListed {
            id: "moss".to_owned(),
        };
        assert_eq!(
            changes,
            [
                used("oat", None),
                used("oat-1", Some(1)),
                not_listed,
                gained
            ]
        );
        let booked = paper_list("paper-on-hand.toml", &text).unwrap();
        assert_eq!(booked.offcuts.len(), 2);
        assert_eq!((booked.offcuts[0].sheets, booked.offcuts[1].sheets), (1, 2));
        assert_eq!(booked.booked[0].plan_sha256, "abc");
        assert_eq!(book(&plan(), "abc", &list(&text)), Ok(Booking::Before));
    }

    #[test]
    fn an_offcut_of_another_size_is_not_taken_for_the_one_used() {
        let other = LIST.replace("8 x 4 in", "8 x 5 in");
        let mistakes = book(&plan(), "abc", &list(&other)).unwrap_err();
        assert_eq!(mistakes.len(), 1);
        assert_eq!(
            mistakes[0].message,
            "the list has \"oat-1\" as 8 in x 5 in, the plan as 8 in x 4 in"
        );
    }
}

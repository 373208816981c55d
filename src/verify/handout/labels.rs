//! Labels of the bags, which stand in columns beside each other.

use super::super::verdict::{Finding, Tally};
use super::facts::{as_many, place, tokens};
use super::section;
use super::text::{Line, Section};
use crate::plan::file::{BagsEntry, HandoutEntry};

/// Words of a column begin within so much of each other.
const COLUMN_MM: f64 = 0.3;
/// Lines that a label has room for at least; the kit list has what does not fit.
const ROOM: usize = 16;

/// What stands in one label.
#[derive(Debug, Clone)]
struct Label {
    page: u32,
    lines: usize,
    text: String,
    words: Vec<String>,
}

pub(super) fn check(tally: &mut Tally, handout: &HandoutEntry, sections: &[Section<'_>]) {
    let lines = section(tally, sections, "Bag labels", !handout.bags.is_empty());
    let titles: Vec<Vec<String>> = handout.bags.iter().map(|b| tokens(&b.title)).collect();
    let mut labels = labels(lines, &titles);
    let planned = handout
        .bags
        .iter()
        .map(|bags| u64::from(bags.bags))
        .sum::<u64>();
    let planned = usize::try_from(planned).unwrap_or(usize::MAX);
    as_many(tally, "labels of bags", None, planned, labels.len());
    for bags in &handout.bags {
        for number in 1..=bags.bags {
            check_label(tally, bags, number, &mut labels);
        }
    }
}

/// Finds the label of a bag and takes it out.
fn check_label(tally: &mut Tally, bags: &BagsEntry, number: u32, labels: &mut Vec<Label>) {
    let count = format!("bag {number} of {}", bags.bags);
    let wanted = tokens(&bags.holds.join(super::facts::CELL));
    tally.count();
    let rest = |label: &Label| {
        let end = place(&label.words, &tokens(&count))?;
        Some(label.words[end..].to_vec())
    };
    let holds = |label: &Label| {
        rest(label).is_some_and(|rest| {
            let is_cut = label.lines >= ROOM && wanted.starts_with(&rest);
            rest.starts_with(&wanted) || rest.concat().starts_with(&wanted.concat()) || is_cut
        })
    };
    if let Some(at) = labels.iter().position(holds) {
        labels.remove(at);
        return;
    }
    let what = match bags.edition.as_str() {
        "" => format!("what the label of {count} says"),
        edition => format!("what the label of {count} for {edition} says"),
    };
    let planned = bags.holds.join(", ");
    let of_number = labels.iter().find(|label| rest(label).is_some());
    match of_number {
        Some(label) => {
            tally.on_page(label.page);
            tally.add(Finding::numbers(
                "verify.words",
                &what,
                planned,
                label.text.as_str(),
            ));
        }
        None => tally.add(Finding::new(
            "verify.missing",
            format!("the label of {count} is missing"),
        )),
    }
}

/// Parts each column of each page where a title begins.
fn labels(lines: &[&Line], titles: &[Vec<String>]) -> Vec<Label> {
    let mut columns: Vec<(u32, f64, Vec<&str>)> = Vec::new();
    for line in lines {
        for cell in &line.cells {
            let own = columns.iter_mut().find(|(page, x_mm, _)| {
                *page == line.page && (*x_mm - cell.x_mm).abs() < COLUMN_MM
            });
            match own {
                Some((_, _, texts)) => texts.push(&cell.text),
                None => columns.push((line.page, cell.x_mm, vec![&cell.text])),
            }
        }
    }
    let parted = columns
        .into_iter()
        .flat_map(|(page, _, texts)| parted(page, &texts, titles));
    parted.collect()
}

fn parted(page: u32, texts: &[&str], titles: &[Vec<String>]) -> Vec<Label> {
    let begins = |at: usize| {
        let words = tokens(&texts[at..].join(super::facts::CELL));
        titles.iter().any(|title| words.starts_with(title))
    };
    let starts: Vec<usize> = (0..texts.len()).filter(|at| begins(*at)).collect();
    let ends = starts.iter().copied().skip(1).chain([texts.len()]);
    let pairs = starts.iter().copied().zip(ends);
    pairs
        .map(|(start, end)| {
            let own = &texts[start..end];
            Label {
                page,
                lines: own.len(),
                text: own.join(", "),
                words: tokens(&own.join(super::facts::CELL)),
            }
        })
        .collect()
}

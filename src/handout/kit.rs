//! What goes into each bag of a class, and what stands on the bags.
//!
//! A bag holds all pieces of one copy and its supplies. What is needed once for all stays on the table.

use super::{BagLabels, KitLine};
use crate::project::{Need, Project, Supply};

/// Returns what goes into each bag: pieces, then supplies, in project order.
pub(super) fn kit(project: &Project) -> Vec<KitLine> {
    let pieces = (0..project.pieces.len()).flat_map(|piece| piece_lines(project, piece));
    let supplies = project.supplies.iter().filter_map(|supply| {
        Some(KitLine {
            name: supply.name.clone(),
            of: None,
            each: each(project, supply)?,
            edition: None,
        })
    });
    pieces.chain(supplies).collect()
}

/// One line for all editions, or one for each where they take the piece from different stocks.
fn piece_lines(project: &Project, piece: usize) -> Vec<KitLine> {
    let declared = &project.pieces[piece];
    let line = |stock: usize, edition| KitLine {
        name: declared.name.clone(),
        of: Some(project.stocks[stock].name.clone()),
        each: declared.per_copy.to_string(),
        edition,
    };
    let editions = 0..project.editions.len();
    let stocks: Vec<usize> = editions.map(|e| project.stock_of(e, piece)).collect();
    match stocks.first() {
        Some(first) if stocks.iter().all(|s| s == first) => vec![line(*first, None)],
        Some(_) | None => {
            let lines = stocks.iter().enumerate().map(|(e, s)| line(*s, Some(e)));
            lines.collect()
        }
    }
}

/// How much of a supply goes into a bag; `None` for what stays on the table.
fn each(project: &Project, supply: &Supply) -> Option<String> {
    match supply.need {
        Need::Lengths { each, per_copy, .. } => {
            let length = each.length().display(project.job.lengths);
            Some(match per_copy {
                1 => length,
                n => format!("{n} x {length}"),
            })
        }
        Need::Count { per_copy } => Some(per_copy.to_string()),
        Need::Once { .. } => None,
    }
}

/// Returns the labels of the bags, one entry for each edition.
pub(super) fn labels(project: &Project, kit: &[KitLine]) -> Vec<BagLabels> {
    let editions = project.editions.iter().enumerate();
    let labels = editions.map(|(index, edition)| BagLabels {
        edition: index,
        title: title(project).to_owned(),
        edition_name: Some(edition.name.clone()).filter(|name| !name.is_empty()),
        bags: edition.copies,
        holds: of_edition(kit, index).map(KitLine::words).collect(),
    });
    labels.collect()
}

/// The lesson's title, or the job's name.
pub(super) fn title(project: &Project) -> &str {
    match project.lesson.title.as_str() {
        "" => &project.job.name,
        title => title,
    }
}

/// The lines for one edition.
pub(super) fn of_edition(kit: &[KitLine], edition: usize) -> impl Iterator<Item = &KitLine> {
    kit.iter()
        .filter(move |line| line.edition.is_none_or(|e| e == edition))
}

impl KitLine {
    /// Returns the line in words: `2 x Lid, Moss card`, `16 in of ribbon`.
    #[must_use]
    pub fn words(&self) -> String {
        let Self { name, each, .. } = self;
        match (&self.of, each.parse::<u32>()) {
            (Some(stock), _) => format!("{each} x {name}, {stock}"),
            (None, Ok(_)) => format!("{each} x {name}"),
            (None, Err(_)) => format!("{each} of {name}"),
        }
    }
}

impl BagLabels {
    /// Returns what stands on bag `number`, line by line: the title, the edition and the number, then what is in it.
    ///
    /// # Examples
    ///
    /// ```
    /// use sheetwright::handout::BagLabels;
    ///
    /// let labels = BagLabels {
    ///     edition: 0,
    ///     title: "Seed box".to_owned(),
    ///     edition_name: Some("Sage".to_owned()),
    ///     bags: 12,
    ///     holds: vec!["1 x Lid, Sage card".to_owned()],
    /// };
    /// assert_eq!(labels.lines(3), ["Seed box", "Sage, bag 3 of 12", "1 x Lid, Sage card"]);
    /// ```
    #[must_use]
    pub fn lines(&self, number: u32) -> Vec<String> {
        let count = format!("bag {number} of {}", self.bags);
        let count = match &self.edition_name {
            Some(name) => format!("{name}, {count}"),
            None => count,
        };
        let mut lines = vec![self.title.clone(), count];
        lines.extend(self.holds.iter().cloned());
        lines
    }
}

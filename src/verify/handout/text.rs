//! Words put together to lines, sections, rows and items by where they stand.

use super::facts::{CELL, squeezed};

/// Sizes of letters in main headings and in those below them.
pub(super) const HEADING_MM: f64 = 6.2;
pub(super) const SUBHEADING_MM: f64 = 4.7;
const SAME_SIZE_MM: f64 = 0.05;
/// Cells of a column begin within so much of each other.
const COLUMN_MM: f64 = 0.3;
/// Lines of one row follow each other by less than so many ems, rows by more.
const ROW_EM: f64 = 1.6;

/// Words that are shown in one go.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cell {
    pub(super) x_mm: f64,
    pub(super) em_mm: f64,
    pub(super) text: String,
}

/// Cells on one baseline, from left to right.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Line {
    pub(super) page: u32,
    pub(super) baseline_mm: f64,
    pub(super) cells: Vec<Cell>,
}

impl Line {
    pub(super) fn first(&self) -> &str {
        self.cells.first().map_or("", |cell| &cell.text)
    }

    pub(super) fn x_mm(&self) -> f64 {
        self.cells.first().map_or(f64::MAX, |cell| cell.x_mm)
    }

    pub(super) fn text(&self) -> String {
        let texts: Vec<&str> = self.cells.iter().map(|cell| cell.text.as_str()).collect();
        texts.join(CELL)
    }

    /// Whether it is the next line of the same paragraph.
    fn follows(&self, before: &Self) -> bool {
        let em_mm = self.cells.first().map_or(0.0, |cell| cell.em_mm);
        let down_mm = self.baseline_mm - before.baseline_mm;
        self.page == before.page && (0.0..ROW_EM * em_mm).contains(&down_mm)
    }

    fn is_of_size(&self, size_mm: f64) -> bool {
        let first = self.cells.first();
        first.is_some_and(|cell| (cell.em_mm - size_mm).abs() < SAME_SIZE_MM)
    }
}

/// A heading with the lines up to the next one.
#[derive(Debug)]
pub(super) struct Section<'l> {
    pub(super) title: String,
    pub(super) page: u32,
    pub(super) lines: Vec<&'l Line>,
}

impl Section<'_> {
    /// Whether this is its heading, wherever that breaks.
    pub(super) fn is_titled(&self, title: &str) -> bool {
        squeezed(&self.title) == squeezed(title)
    }

    pub(super) fn text(&self) -> String {
        joined(&self.lines)
    }
}

/// All words of lines.
pub(super) fn joined(lines: &[&Line]) -> String {
    let lines: Vec<String> = lines.iter().map(|line| line.text()).collect();
    lines.join(CELL)
}

/// Parts the lines at headings of a size, which may run over several lines; what stands before the first is left out.
pub(super) fn split<'l>(
    lines: impl IntoIterator<Item = &'l Line>,
    size_mm: f64,
) -> Vec<Section<'l>> {
    let mut sections: Vec<Section<'l>> = Vec::new();
    for line in lines {
        let is_heading = line.is_of_size(size_mm);
        match sections.last_mut() {
            Some(last) if is_heading && last.lines.is_empty() => {
                last.title = format!("{} {}", last.title, line.text());
            }
            _ if is_heading => sections.push(Section {
                title: line.text(),
                page: line.page,
                lines: Vec::new(),
            }),
            Some(last) => last.lines.push(line),
            None => {}
        }
    }
    sections
}

/// A row of a table: each column's words from top to bottom, notes below it among those of the column they stand under.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    pub(super) page: u32,
    pub(super) columns: Vec<String>,
}

impl Row {
    pub(super) fn text(&self) -> String {
        self.columns.join(CELL)
    }

    /// The first words, by which it is known.
    pub(super) fn first(&self) -> &str {
        self.columns.first().map_or("", String::as_str)
    }
}

/// Rows of a table without its head, which comes again on each page. A row begins at the left with at least so many cells.
pub(super) fn rows(lines: &[&Line], least_cells: usize) -> Vec<Row> {
    let left_mm = lines
        .iter()
        .map(|line| line.x_mm())
        .fold(f64::MAX, f64::min);
    let starts = |at: usize| {
        let line = lines[at];
        let before = at.checked_sub(1).map(|before| lines[before]);
        let goes_on = before.is_some_and(|before| line.follows(before));
        line.x_mm() < left_mm + COLUMN_MM && line.cells.len() >= least_cells && !goes_on
    };
    let mut head: Option<String> = None;
    let mut rows: Vec<(Vec<f64>, Row)> = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        if head.is_none() && line.cells.len() >= least_cells {
            head = Some(line.text());
        }
        if head.as_deref() == Some(&line.text()) {
            continue;
        }
        if starts(at) {
            let columns = line.cells.iter().map(|cell| cell.text.clone()).collect();
            let row = Row {
                page: line.page,
                columns,
            };
            rows.push((line.cells.iter().map(|cell| cell.x_mm).collect(), row));
        } else if let Some((left_mm, row)) = rows.last_mut() {
            for cell in &line.cells {
                let column = left_mm.iter().rposition(|x| *x <= cell.x_mm + COLUMN_MM);
                let column = &mut row.columns[column.unwrap_or(0)];
                *column = format!("{column} {}", cell.text);
            }
        }
    }
    rows.into_iter().map(|(_, row)| row).collect()
}

/// Items of a list: a line at the left with those that stand in below it.
pub(super) fn items(lines: &[&Line]) -> Vec<Row> {
    let left_mm = lines
        .iter()
        .map(|line| line.x_mm())
        .fold(f64::MAX, f64::min);
    let mut items: Vec<Row> = Vec::new();
    for line in lines {
        match items.last_mut() {
            Some(last) if line.x_mm() > left_mm + COLUMN_MM => {
                last.columns[0] = format!("{} {}", last.columns[0], line.first());
            }
            Some(_) | None => items.push(Row {
                page: line.page,
                columns: vec![line.first().to_owned()],
            }),
        }
    }
    items
}

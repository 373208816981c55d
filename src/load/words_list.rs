//! Lists of which every copy takes a row: CSV files, and the columns that a text names in braces.

use super::asset::Library;
use super::code;
use super::table::nearest;
use super::value::Value;
use super::words_template::{Template, Text, Wrong, wrong};

/// Most rows of a list: as many as a job has copies.
const MOST_ROWS: usize = 9_999;

/// A list as read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct List {
    /// Path of the file as the project spells it.
    pub(super) path: String,
    columns: Vec<String>,
    rows: Vec<Row>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
struct Row {
    /// Where it begins, from 1.
    line: u32,
    cells: Vec<String>,
}

/// Reads the list that a value names.
pub(super) fn read(value: &Value<'_>, library: &Library<'_>) -> Option<List> {
    let bytes = library.bytes(value)?;
    let path = value.raw_text()?;
    match List::parse(path, &bytes) {
        Ok(list) => Some(list),
        Err(wrong) => value.fail(wrong.code, wrong.message, wrong.hint),
    }
}

impl List {
    pub(super) fn parse(path: &str, bytes: &[u8]) -> Result<Self, Wrong> {
        let text = decoded(path, bytes)?;
        if let Some(line) = open_quote(text, separator(text)) {
            let message =
                format!("a quotation mark that opens in line {line} of \"{path}\" is never closed");
            let hint =
                "close it, or double it where it belongs to the words: \"the \"\"big\"\" table\"";
            return wrong(code::WORDS_LIST, message, hint);
        }
        let mut reader = csv::ReaderBuilder::new();
        reader.delimiter(separator(text)).trim(csv::Trim::All);
        let mut reader = reader.from_reader(text.as_bytes());
        let mut lines = Lines::of(text);
        let headings = reader
            .headers()
            .map_err(|error| broken(path, &error, &mut lines))?;
        let in_one_line = |heading: &str| heading.split_whitespace().collect::<Vec<_>>().join(" ");
        let columns: Vec<String> = headings.iter().map(in_one_line).collect();
        let mut rows = Vec::new();
        for record in reader.records() {
            let record = record.map_err(|error| broken(path, &error, &mut lines))?;
            rows.push(Row {
                line: lines.at(record.position()),
                cells: record.iter().map(str::to_owned).collect(),
            });
        }
        let list = Self {
            path: path.to_owned(),
            columns,
            rows,
        };
        list.refuse_count()?;
        Ok(list)
    }

    fn refuse_count(&self) -> Result<(), Wrong> {
        let path = &self.path;
        if self.rows.is_empty() {
            let message = format!("\"{path}\" has no rows under its headings");
            let hint =
                "write headings in the first line, like Name,Table, and a line for each copy below";
            return wrong(code::WORDS_LIST, message, hint);
        }
        if self.rows.len() > MOST_ROWS {
            let message = format!(
                "\"{path}\" has {} rows, more than {MOST_ROWS}",
                self.rows.len()
            );
            return wrong(
                code::WORDS_LIST,
                message,
                "part it into a list for each job",
            );
        }
        Ok(())
    }

    /// Returns what a text says in each row.
    pub(super) fn texts(&self, template: &Template) -> Result<Vec<Text>, Wrong> {
        let named: Vec<&str> = template.columns().collect();
        if named.is_empty() {
            let message = format!("text names no column of \"{}\"", self.path);
            let hint = format!(
                "write text = \"{{{}}}\", or leave from out",
                self.columns[0]
            );
            return wrong(code::WORDS_COLUMN, message, hint);
        }
        for column in named {
            self.refuse_column(column)?;
        }
        let text = |row: &Row| Text {
            line: Some(row.line),
            text: template.filled(|column| self.cell(row, column)),
        };
        Ok(self.rows.iter().map(text).collect())
    }

    fn refuse_column(&self, column: &str) -> Result<(), Wrong> {
        let path = &self.path;
        let count = self.columns.iter().filter(|own| *own == column).count();
        if count == 1 {
            return Ok(());
        }
        if count > 1 {
            let message = format!("\"{path}\" has {count} columns \"{column}\"");
            let hint = "give each column a heading of its own";
            return wrong(code::WORDS_COLUMN, message, hint);
        }
        let columns: Vec<String> = self.columns.iter().map(|c| format!("{{{c}}}")).collect();
        let hint = match nearest(column, self.columns.iter().map(String::as_str)) {
            Some(near) => format!("write {{{near}}}"),
            None => format!("the columns are {}", columns.join(", ")),
        };
        let message = format!("\"{path}\" has no column \"{column}\"");
        wrong(code::WORDS_COLUMN, message, hint)
    }

    fn cell<'s>(&'s self, row: &'s Row, column: &str) -> &'s str {
        let at = self.columns.iter().position(|own| own == column);
        at.and_then(|at| row.cells.get(at)).map_or("", |c| c)
    }

    /// The lines in which a column that the text names is empty, column by column.
    pub(super) fn gaps<'t>(&'t self, template: &'t Template) -> Vec<(&'t str, Vec<u32>)> {
        let mut gaps: Vec<(&str, Vec<u32>)> = Vec::new();
        for column in template.columns() {
            let is_gap = |row: &&Row| self.cell(row, column).is_empty();
            let lines: Vec<u32> = self.rows.iter().filter(is_gap).map(|r| r.line).collect();
            if !lines.is_empty() && gaps.iter().all(|(known, _)| *known != column) {
                gaps.push((column, lines));
            }
        }
        gaps
    }
}

/// Returns the text of a list, which spreadsheets save in several ways.
fn decoded<'b>(path: &str, bytes: &'b [u8]) -> Result<&'b str, Wrong> {
    let hint = "save it from the spreadsheet as \"CSV UTF-8\"";
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        let message = format!("\"{path}\" is UTF-16 text, not UTF-8");
        return wrong(code::WORDS_LIST, message, hint);
    }
    if bytes.starts_with(b"PK\x03\x04") {
        let message = format!("\"{path}\" is a workbook, not a CSV file");
        return wrong(code::WORDS_LIST, message, hint);
    }
    let bytes = bytes.strip_prefix(&[0xef, 0xbb, 0xbf]).unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text),
        Err(error) => {
            let before = &bytes[..error.valid_up_to()];
            let line = 1 + before.iter().filter(|byte| **byte == b'\n').count();
            let message = format!("line {line} of \"{path}\" is not UTF-8 text");
            wrong(code::WORDS_LIST, message, hint)
        }
    }
}

/// Returns what parts the cells: a comma, or what spreadsheets write in its place where the comma parts decimals.
fn separator(text: &str) -> u8 {
    let headings = text.lines().next().unwrap_or_default();
    let count = |sign: char| headings.matches(sign).count();
    let signs = [(',', b','), (';', b';'), ('\t', b'\t')];
    let most = signs.into_iter().rev().max_by_key(|(sign, _)| count(*sign));
    most.map_or(b',', |(_, byte)| byte)
}

/// The line in which a cell's quotation mark opens that is not closed: all to the end of the file would be one cell.
fn open_quote(text: &str, separator: u8) -> Option<usize> {
    let (mut line, mut opened) = (1, None);
    let mut is_start = true;
    let mut bytes = text.bytes().peekable();
    while let Some(byte) = bytes.next() {
        match (byte, opened) {
            (b'"', None) if is_start => opened = Some(line),
            (b'"', Some(_)) if bytes.peek() == Some(&b'"') => {
                bytes.next();
            }
            (b'"', Some(_)) => opened = None,
            _ => {}
        }
        is_start = opened.is_none() && (byte == separator || byte == b'\n' || byte == b'\r');
        line += usize::from(byte == b'\n');
    }
    opened
}

/// Counts lines from record to record: the reader puts a record before the end of the line above it.
struct Lines<'t> {
    text: &'t str,
    at: usize,
    line: u32,
}

impl<'t> Lines<'t> {
    fn of(text: &'t str) -> Self {
        Self {
            text,
            at: 0,
            line: 1,
        }
    }

    /// The line in which the record at a place begins; places come in their order.
    fn at(&mut self, position: Option<&csv::Position>) -> u32 {
        let from = position.and_then(|position| usize::try_from(position.byte()).ok());
        let bytes = self.text.as_bytes();
        let end = bytes.len();
        let from = from.unwrap_or(0).clamp(self.at, end);
        let blank = bytes[from..]
            .iter()
            .take_while(|b| matches!(b, b'\r' | b'\n'));
        let start = from + blank.count();
        let passed = bytes[self.at..start]
            .iter()
            .filter(|b| **b == b'\n')
            .count();
        self.line += u32::try_from(passed).unwrap_or(0);
        self.at = start;
        self.line
    }
}

fn broken(path: &str, error: &csv::Error, lines: &mut Lines<'_>) -> Wrong {
    let line = lines.at(error.position());
    let (message, hint) = if let csv::ErrorKind::UnequalLengths {
        expected_len, len, ..
    } = error.kind()
    {
        (
            format!(
                "line {line} of \"{path}\" has {len} cells, and there are {expected_len} headings"
            ),
            "put quotation marks around a cell with a comma in it, like \"Sage, Ann\"",
        )
    } else {
        (
            format!("line {line} of \"{path}\" cannot be read as CSV"),
            "save it from the spreadsheet as \"CSV UTF-8\"",
        )
    };
    Wrong {
        code: code::WORDS_LIST,
        message,
        hint: hint.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(csv: &str, text: &str) -> Vec<(u32, String)> {
        let list = List::parse("guests.csv", csv.as_bytes()).unwrap();
        let texts = list.texts(&Template::parse(text).unwrap()).unwrap();
        let pairs = texts
            .into_iter()
            .map(|text| (text.line.unwrap(), text.text));
        pairs.collect()
    }

    fn wrongs(csv: &[u8]) -> String {
        List::parse("guests.csv", csv).unwrap_err().message
    }

    #[test]
    fn lists_are_read_as_spreadsheets_save_them() {
        // RFC 4180: quoted cells may hold commas, doubled quotation marks and line ends; lines end with CR LF.
        let csv = "\u{feff}Name,Table\r\n\"Sage, Ann\",1\r\n\r\n\"the \"\"big\"\"\ntable\",2\r\n Zoë ,3\r\n";
        assert_eq!(
            said(csv, "{Name} at {Table}"),
            [
                (2, "Sage, Ann at 1".to_owned()),
                (4, "the \"big\"\ntable at 2".to_owned()),
                (6, "Zoë at 3".to_owned()),
            ]
        );
        // Where a comma parts decimals, a semicolon parts cells; some programs write tabs.
        for csv in ["Name;Table\nZoë;1,5\n", "Name\tTable\nZoë\t1,5\n"] {
            assert_eq!(said(csv, "{Table}"), [(2, "1,5".to_owned())]);
        }
    }

    #[test]
    fn broken_lists_are_told_with_the_line() {
        assert!(wrongs(b"Name,Table\r\nZo\xeb,1\r\n").contains("line 2 of"));
        assert!(
            wrongs(b"Name,Table\r\nAnn,1\r\nBen\r\n")
                .contains("line 3 of \"guests.csv\" has 1 cells")
        );
        assert!(wrongs(b"Name\nAnn\n\"Ben\nCarl\n").contains("opens in line 3"));
        assert!(wrongs(b"").contains("no rows"));
        assert!(wrongs(b"PK\x03\x04xl/workbook").contains("workbook"));
        assert!(wrongs(&[0xff, 0xfe, 0x4e, 0x00]).contains("UTF-16"));
        // An inch mark within a cell opens nothing.
        assert_eq!(said("Name\n12\" ruler\n", "{Name}")[0].1, "12\" ruler");
    }

    #[test]
    fn no_slip_in_a_list_brings_the_reader_down() {
        let csv = b"Name,Table\r\n\"Sage, Ann\",1\r\nZo\xc3\xab,2\n";
        let template = Template::parse("{Name}").unwrap();
        for at in 0..csv.len() {
            for new in [b'"', b',', b'\n', b'\r', 0, 0xff] {
                let mut slipped = csv.to_vec();
                slipped[at] = new;
                if let Ok(list) = List::parse("guests.csv", &slipped) {
                    let _ = list.texts(&template);
                }
                let _ = List::parse("guests.csv", &slipped[..at]);
            }
        }
    }
}

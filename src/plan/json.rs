//! How `plan.json` is spelled: keys in the order of their declaration, numbers with at most six decimals, the same bytes always.
//!
//! Objects have a line for each key; lists of numbers stay on one line, so that a person can read the file and a difference between
//! two plans shows line by line.

use std::io;

use serde::Serialize;
use serde_json::ser::{Formatter, Serializer};

use super::file::PlanFile;

/// A nanometre: finer than anything is printed or cut.
const DECIMALS: usize = 6;

impl PlanFile {
    /// Returns the file's text, with a line break at the end.
    ///
    /// # Panics
    ///
    /// Panics if a number is not finite, which no plan holds.
    #[must_use]
    pub fn to_json(&self) -> String {
        let mut text = Vec::new();
        let mut serializer = Serializer::with_formatter(&mut text, Lines::default());
        self.serialize(&mut serializer)
            .expect("a plan holds texts and finite numbers, and memory takes them");
        text.push(b'\n');
        String::from_utf8(text).expect("the serializer writes UTF-8")
    }
}

/// Line breaks inside objects, none inside lists.
#[derive(Debug, Default)]
struct Lines {
    depth: usize,
    has_value: bool,
}

impl Lines {
    fn break_line<W: ?Sized + io::Write>(&self, writer: &mut W) -> io::Result<()> {
        writer.write_all(b"\n")?;
        (0..self.depth).try_for_each(|_| writer.write_all(b"  "))
    }
}

impl Formatter for Lines {
    fn write_f64<W: ?Sized + io::Write>(&mut self, writer: &mut W, value: f64) -> io::Result<()> {
        writer.write_all(number(value).as_bytes())
    }

    fn begin_array_value<W: ?Sized + io::Write>(
        &mut self,
        writer: &mut W,
        first: bool,
    ) -> io::Result<()> {
        if first {
            Ok(())
        } else {
            writer.write_all(b", ")
        }
    }

    fn begin_object<W: ?Sized + io::Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.depth += 1;
        self.has_value = false;
        writer.write_all(b"{")
    }

    fn end_object<W: ?Sized + io::Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.depth -= 1;
        if self.has_value {
            self.break_line(writer)?;
        }
        writer.write_all(b"}")
    }

    fn begin_object_key<W: ?Sized + io::Write>(
        &mut self,
        writer: &mut W,
        first: bool,
    ) -> io::Result<()> {
        if !first {
            writer.write_all(b",")?;
        }
        self.break_line(writer)
    }

    fn begin_object_value<W: ?Sized + io::Write>(&mut self, writer: &mut W) -> io::Result<()> {
        writer.write_all(b": ")
    }

    fn end_object_value<W: ?Sized + io::Write>(&mut self, _writer: &mut W) -> io::Result<()> {
        self.has_value = true;
        Ok(())
    }
}

/// A number with at most six decimals and no closing zeros; whole numbers keep one, so that a reader sees a fraction.
fn number(value: f64) -> String {
    let text = format!("{value:.DECIMALS$}");
    let short = text.trim_end_matches('0');
    match (short, short.strip_suffix('.')) {
        ("-0.", _) => "0.0".to_owned(),
        (_, Some(whole)) => format!("{whole}.0"),
        (_, None) => short.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_have_at_most_six_decimals() {
        let cases = [
            (215.9, "215.9"),
            (6.0, "6.0"),
            (-0.0, "0.0"),
            (-1e-9, "0.0"),
            (100.0, "100.0"),
            (1.0 / 3.0, "0.333333"),
        ];
        for (value, text) in cases {
            assert_eq!(number(value), text);
        }
    }

    #[test]
    fn objects_break_lines_and_lists_do_not() {
        let mut text = Vec::new();
        let value = serde_json::json!({"a": [1.5, 2.0, [3.0]], "b": [{"c": "d"}], "e": {}});
        value
            .serialize(&mut Serializer::with_formatter(&mut text, Lines::default()))
            .unwrap();
        let text = String::from_utf8(text).unwrap();
        assert_eq!(
            text,
            "{\n  \"a\": [1.5, 2.0, [3.0]],\n  \"b\": [{\n    \"c\": \"d\"\n  }],\n  \"e\": {}\n}"
        );
    }
}

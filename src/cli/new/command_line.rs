//! The command line as a text that mistakes can point into.

use std::ops::Range;

use super::super::options::NewVerb;
use super::super::report::Sources;
use crate::diagnostic::Diagnostic;

/// What stands for a file's name where the command line is shown.
const NAME: &str = "command line";

/// Keys of a new project with the flags that ask for them.
const FLAGS: [(&str, &str); 10] = [
    ("inside", "--inside"),
    ("outside", "--outside"),
    ("contents", "--contents"),
    ("ease", "--ease"),
    ("grid", "--grid"),
    ("id", "--id"),
    ("name", "--name"),
    ("paper", "--paper"),
    ("caliper", "--caliper"),
    ("grammage", "--grammage"),
];

/// The command line, and where in it each key was asked for.
#[derive(Debug)]
pub(super) struct CommandLine {
    text: String,
    places: Vec<(String, Range<usize>)>,
}

impl CommandLine {
    /// The command line as it would be typed.
    pub(super) fn of(options: &NewVerb, construction: &str) -> Self {
        let mut line = Self {
            text: "sheetwright new".to_owned(),
            places: Vec::new(),
        };
        line.add("construction", &quoted(construction));
        let values = [
            &options.inside,
            &options.outside,
            &options.contents,
            &options.ease,
            &options.grid,
            &options.id,
            &options.name,
            &options.paper,
            &options.caliper,
            &options.grammage,
        ];
        for ((key, flag), value) in FLAGS.iter().zip(values) {
            if let Some(value) = value {
                line.add(key, &format!("{flag} {}", quoted(value)));
            }
        }
        for (key, value) in &options.set {
            let value = quoted(&format!("{key}={value}"));
            line.add(&format!("set.{key}"), &format!("--set {value}"));
        }
        if let Some(copies) = options.fit {
            line.add("copies", &format!("--fit {copies}"));
        } else if options.copies != 1 {
            line.add("copies", &format!("--copies {}", options.copies));
        }
        line
    }

    fn add(&mut self, key: &str, words: &str) {
        self.text.push(' ');
        let start = self.text.len();
        self.text += words;
        self.places.push((key.to_owned(), start..self.text.len()));
    }

    /// The text that places point into.
    pub(super) fn sources(&self) -> Sources {
        Sources::from([(NAME.to_owned(), self.text.clone())])
    }

    /// Returns what was found, said of the command line.
    pub(super) fn placed(&self, found: Vec<Diagnostic>) -> Vec<Diagnostic> {
        found.into_iter().map(|d| self.place(d)).collect()
    }

    fn place(&self, mut found: Diagnostic) -> Diagnostic {
        if let Some(origin) = &mut found.origin {
            let key = &origin.key_path;
            let own = self.places.iter().find(|(own, _)| own == key);
            let place = own.or(self.places.first());
            origin.place.span = place.map_or(0..0, |(_, place)| place.clone());
            origin.place.file = NAME.to_owned();
            let key = key.clone();
            found.message = spoken(&found.message, &key);
            found.hints = found.hints.iter().map(|hint| spoken(hint, &key)).collect();
        }
        found
    }
}

/// Says `key = "..."`, as files have it, as it is typed on the command line.
fn spoken(text: &str, key: &str) -> String {
    let mut text = text.to_owned();
    for (file_key, flag) in FLAGS {
        text = with_flag(&text, file_key, &format!("{flag} "));
    }
    match key.strip_prefix("set.") {
        Some(own) => with_flag(&text, own, &format!("--set {own}=")),
        None => text,
    }
}

/// Replaces `key = ` by a flag where it begins a word.
fn with_flag(text: &str, key: &str, flag: &str) -> String {
    let wanted = format!("{key} = ");
    let mut spoken = String::new();
    let mut rest = text;
    while let Some(at) = rest.find(&wanted) {
        let is_word = !rest[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == '-');
        spoken += &rest[..at];
        spoken += if is_word { flag } else { &wanted };
        rest = &rest[at + wanted.len()..];
    }
    spoken + rest
}

/// A word of the command line, in quotes if it needs them.
fn quoted(word: &str) -> String {
    let is_plain = |c: char| c.is_ascii_alphanumeric() || "-_./=".contains(c);
    if !word.is_empty() && word.chars().all(is_plain) {
        return word.to_owned();
    }
    let inner: String = word
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    format!("\"{}\"", inner.replace('"', "\\\""))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hints_speak_as_the_command_line_does() {
        let cases = [
            ("inside", "add inside = \"90 mm\"", "add --inside \"90 mm\""),
            (
                "set.flap",
                "write flap = \"1 in\"",
                "write --set flap=\"1 in\"",
            ),
            ("set.flap", "overflap = 3", "overflap = 3"),
            (
                "set.hold",
                "write hold = 2 or less",
                "write --set hold=2 or less",
            ),
        ];
        for (key, text, want) in cases {
            assert_eq!(spoken(text, key), want);
        }
    }

    #[test]
    fn words_are_quoted_as_a_shell_needs_it() {
        assert_eq!(quoted("tray"), "tray");
        assert_eq!(quoted("2\" x 3\""), "\"2\\\" x 3\\\"\"");
        assert_eq!(quoted("60 x 40 mm"), "\"60 x 40 mm\"");
    }
}

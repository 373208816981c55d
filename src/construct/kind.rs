//! What a construction is called, what can be asked of it, and how it is built.

use super::{Construction, Given, Refusal};

/// A construction.
#[derive(Debug, Clone, Copy)]
pub struct Kind {
    /// Name in project files and on the command line.
    pub name: &'static str,
    /// Name for people.
    pub title: &'static str,
    /// What it is, in a sentence.
    pub about: &'static str,
    /// The style codes of the trade associations that come nearest, with their editions; empty where there is none.
    pub codes: &'static str,
    /// How many sizes it is asked by: 3 is length x width x depth, 2 is width x height, 1 is a length.
    pub dimensions: usize,
    /// What the sizes may be: some of "inside", "outside", "contents".
    pub sized_by: &'static [&'static str],
    /// The room round contents in all, along each axis, without another wish: in millimetres and in inches, spelled as in a file.
    pub usual_ease: (&'static str, &'static str),
    /// What else can be asked, in the order it is explained.
    pub parameters: &'static [Parameter],
    /// The pieces it makes, by their names in ids; those of some choices may be missing.
    pub pieces: &'static [&'static str],
    /// Builds it.
    ///
    /// # Errors
    ///
    /// Returns every reason why these sizes make no such thing.
    pub build: fn(&Given<'_>) -> Result<Construction, Vec<Refusal>>,
}

/// Something that can be asked of a construction besides its sizes.
#[derive(Debug, Clone, Copy)]
pub struct Parameter {
    /// Key in project files.
    pub key: &'static str,
    /// What kind of value it takes.
    pub kind: ParameterKind,
    /// What is taken without it.
    pub usual: Usual,
    /// Whether it grows when the whole is scaled; flaps, clearances and holes do not.
    pub scales: bool,
    /// What it is, in a few words, with its unit and what it is measured from.
    pub about: &'static str,
}

/// What kind of value a parameter takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ParameterKind {
    /// A length of zero or more.
    Length,
    /// Two lengths, "a x b".
    Pair,
    /// A list of lengths.
    Lengths,
    /// A whole number.
    Count,
    /// One of some words.
    Choice(&'static [&'static str]),
    /// Yes or no.
    Flag,
}

/// What is taken for a parameter that is not given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Usual {
    /// A length: the first where the project is in millimetres, the second where it is in inches.
    Length {
        /// In a metric project, spelled as in a file.
        metric: &'static str,
        /// In an inch project.
        inch: &'static str,
    },
    /// A word, a number or "yes" or "no".
    Word(&'static str),
    /// Follows from the rest; these words say how. The builder works it out.
    Follows(&'static str),
}

//! What is asked of a construction, and of what paper.

use std::collections::BTreeMap;

use super::{Grid, Kind, ParameterKind, Usual};
use crate::length::{Length, LengthStyle, Size};

/// The sizes that were asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Asked {
    /// Free room within.
    Inside(Vec<Length>),
    /// Over all.
    Outside(Vec<Length>),
    /// What goes in, and how much room it has in all along each axis.
    Contents {
        /// Its sizes.
        sizes: Vec<Length>,
        /// The room besides, both sides together.
        ease: Length,
    },
}

/// A value that was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Value {
    /// A length.
    Length(Length),
    /// Two lengths.
    Pair(Length, Length),
    /// Several lengths.
    Lengths(Vec<Length>),
    /// A whole number.
    Count(u32),
    /// A word.
    Word(String),
    /// Yes or no.
    Flag(bool),
}

/// All that a construction is built from. Keys are those of the kind; whoever makes a `Given` has checked their types.
#[derive(Debug, Clone)]
pub struct Given<'k> {
    /// Which construction.
    pub kind: &'k Kind,
    /// The sizes; as many as the kind has dimensions.
    pub asked: Asked,
    /// Value by key; what is missing is taken as usual.
    pub values: BTreeMap<&'static str, Value>,
    /// The hand grid.
    pub grid: Grid,
    /// Whether lengths are shown in inches, which decides between usual values.
    pub is_inch: bool,
    /// How lengths are shown to people.
    pub style: LengthStyle,
    /// Thickness of the paper of each piece, by the piece's name.
    pub calipers: BTreeMap<&'static str, Size>,
}

impl Given<'_> {
    /// Returns the thickness of the paper of a piece.
    ///
    /// # Panics
    ///
    /// Panics if the caliper was not given: whoever makes a `Given` asks for that of every piece of the kind.
    #[must_use]
    pub fn caliper(&self, piece: &str) -> Length {
        let caliper = self.calipers.get(piece);
        caliper.expect("every piece has a caliper").length()
    }

    /// Returns the inside sizes that were asked for, ease included; `None` if the outside was.
    #[must_use]
    pub fn inside(&self) -> Option<Vec<Length>> {
        match &self.asked {
            Asked::Inside(sizes) => Some(sizes.clone()),
            Asked::Contents { sizes, ease } => Some(sizes.iter().map(|s| *s + *ease).collect()),
            Asked::Outside(_) => None,
        }
    }

    /// Returns the outside sizes if those were asked for.
    #[must_use]
    pub fn outside(&self) -> Option<&[Length]> {
        match &self.asked {
            Asked::Outside(sizes) => Some(sizes),
            Asked::Inside(_) | Asked::Contents { .. } => None,
        }
    }

    /// Returns a length as given, or as usual; `None` where the usual one follows from the rest.
    #[must_use]
    pub fn length(&self, key: &str) -> Option<Length> {
        if let Some(Value::Length(length)) = self.values.get(key) {
            return Some(*length);
        }
        match self.usual(key, ParameterKind::Length)? {
            Usual::Length { metric, inch } => {
                let text = if self.is_inch { inch } else { metric };
                Some(Length::parse(text, None).expect("usual lengths are spelled right"))
            }
            Usual::Word(_) | Usual::Follows(_) => None,
        }
    }

    /// Returns a length only if it was given.
    #[must_use]
    pub fn length_given(&self, key: &str) -> Option<Length> {
        match self.values.get(key) {
            Some(Value::Length(length)) => Some(*length),
            Some(_) | None => None,
        }
    }

    /// Returns a pair as given; pairs have no usual value of their own.
    #[must_use]
    pub fn pair(&self, key: &str) -> Option<(Length, Length)> {
        match self.values.get(key) {
            Some(Value::Pair(a, b)) => Some((*a, *b)),
            Some(_) | None => None,
        }
    }

    /// Returns a list of lengths as given, or none.
    #[must_use]
    pub fn lengths(&self, key: &str) -> Option<&[Length]> {
        match self.values.get(key) {
            Some(Value::Lengths(lengths)) => Some(lengths),
            Some(_) | None => None,
        }
    }

    /// Returns a whole number as given or usual.
    #[must_use]
    pub fn count(&self, key: &str) -> Option<u32> {
        if let Some(Value::Count(count)) = self.values.get(key) {
            return Some(*count);
        }
        self.usual_word(key, ParameterKind::Count)?.parse().ok()
    }

    /// Returns a word as given or usual.
    #[must_use]
    pub fn word(&self, key: &str) -> Option<&str> {
        if let Some(Value::Word(word)) = self.values.get(key) {
            return Some(word);
        }
        let parameter = self.kind.parameters.iter().find(|p| p.key == key)?;
        self.usual_word(key, parameter.kind)
    }

    /// Returns whether something is wished.
    #[must_use]
    pub fn flag(&self, key: &str) -> bool {
        match self.values.get(key) {
            Some(Value::Flag(flag)) => *flag,
            Some(_) | None => self.usual_word(key, ParameterKind::Flag) == Some("yes"),
        }
    }

    /// Returns a length as it is told to people.
    #[must_use]
    pub fn show(&self, length: Length) -> String {
        length.told(self.style)
    }

    /// Returns the most there is room for as it can be typed.
    #[must_use]
    pub fn show_most(&self, most: Length) -> String {
        most.down_to_ruler(self.style).told(self.style)
    }

    /// Returns the least that is enough as it can be typed.
    #[must_use]
    pub fn show_least(&self, least: Length) -> String {
        least.up_to_ruler(self.style).told(self.style)
    }

    fn usual(&self, key: &str, kind: ParameterKind) -> Option<Usual> {
        let mut parameters = self.kind.parameters.iter();
        let parameter = parameters.find(|p| p.key == key && p.kind == kind)?;
        Some(parameter.usual)
    }

    fn usual_word(&self, key: &str, kind: ParameterKind) -> Option<&'static str> {
        match self.usual(key, kind)? {
            Usual::Word(word) => Some(word),
            Usual::Length { .. } | Usual::Follows(_) => None,
        }
    }
}

/// Why a construction cannot be built.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// The key that is to blame: a parameter's, or "inside", "outside", "contents".
    pub key: &'static str,
    /// What is wrong, with the number that is wrong and the one that would be right.
    pub message: String,
    /// What to type.
    pub hint: String,
}

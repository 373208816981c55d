//! What a pattern is called, what it takes, and how it is drawn.

use super::Field;
use crate::drawing::Colour;

/// One kind of pattern.
#[derive(Debug, Clone, Copy)]
pub struct Kind {
    /// The word in project files, like `basket-weave`.
    pub name: &'static str,
    /// What people call it.
    pub title: &'static str,
    /// What it looks like, in one sentence for a list.
    pub says: &'static str,
    /// What [`Settings::repeat_mm`] is the length of, like `from stripe to stripe`.
    pub repeat_is: &'static str,
    /// The usual repeat, as typed in millimetres and in inches.
    pub usual_repeat: (&'static str, &'static str),
    /// What [`Settings::weight`] is the share of, like `of the repeat that is stripe`.
    pub weight_is: &'static str,
    /// The usual weight.
    pub usual_weight: f64,
    /// Least and greatest weight.
    pub weights: (f64, f64),
    /// Fewest and most colours, the ground counted.
    pub colours: (usize, usize),
    /// What else it takes.
    pub takes: Takes,
    /// Draws it.
    pub draw: fn(&Settings) -> Result<Field, Refusal>,
}

impl Kind {
    /// Returns how many colours of a palette it takes where nothing is said: ground, main and second where it takes three.
    #[must_use]
    pub fn usual_count(&self) -> usize {
        3.clamp(self.colours.0, self.colours.1)
    }
}

/// What one kind takes that others do not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Takes {
    /// Nothing.
    Nothing,
    /// A seed: another number scatters it anew.
    Seed,
    /// A list of threads.
    Threads,
    /// The maker's own words.
    Words,
}

/// What a pattern is drawn from. Whoever makes them has seen to the limits that the [`Kind`] gives.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// After which length it comes again, in millimetres; [`Kind::repeat_is`] says from where to where.
    pub repeat_mm: f64,
    /// How heavy it is, from 0 to 1; [`Kind::weight_is`] says of what it is the share.
    pub weight: f64,
    /// The ground first, then what lies on it; as many as the kind takes.
    pub colours: Vec<Colour>,
    /// For scattered patterns; 0 elsewhere.
    pub seed: u64,
    /// Threads of one half of the list, from one turning point to the other: position in `colours`, and how many threads. Empty where the
    /// kind takes none, or for its usual list.
    pub threads: Vec<(usize, u32)>,
    /// Lines of words; empty where the kind takes none, or for its usual words.
    pub words: Vec<String>,
}

/// Why a pattern cannot be drawn like that.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// The key in project files that is to blame: `repeat`, `weight`, `colours`, `threads`, `words`.
    pub key: &'static str,
    /// What is wrong, with the number that is wrong and the right one; lower case, no full stop.
    pub message: String,
    /// What to type instead.
    pub hint: String,
}

#[cfg(test)]
mod tests {
    use super::super::{KINDS, PALETTES};
    use super::*;
    use crate::length::Length;

    #[test]
    fn every_kind_is_drawn_with_its_usual_settings_in_all_numbers_of_colours() {
        for kind in KINDS {
            for typed in [kind.usual_repeat.0, kind.usual_repeat.1] {
                for many in kind.colours.0..=kind.colours.1 {
                    let settings = Settings {
                        repeat_mm: Length::parse(typed, None).unwrap().to_mm(),
                        weight: kind.usual_weight,
                        colours: PALETTES[0].first(many),
                        seed: 0,
                        threads: Vec::new(),
                        words: Vec::new(),
                    };
                    let field = (kind.draw)(&settings);
                    let field =
                        field.unwrap_or_else(|refusal| panic!("{}: {refusal:?}", kind.name));
                    assert_eq!(field.ground, settings.colours[0], "{}", kind.name);
                }
            }
        }
    }
}

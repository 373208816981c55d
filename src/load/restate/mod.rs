//! A project in other units: sizes that are round numbers of their own, not converted ones.
//!
//! [`restate`] gives every size of a project file that is in other units a round one. What belongs to the paper, to machines and to fits stays
//! as it is. Only places are rounded, never widths between two, so that sums close; of several ways to do that a [`Choice`] takes one, and
//! whoever calls tries another if the net then does not fold up. Of a piece that filled its paper a sheet takes as many as before: rather than
//! larger it gets smaller. The text keeps its comments.
//!
//! Reading order: `units` says what is easy in them, `axis_map` where places go, `work` gathers the changes, `shape` and `rules` say which key is
//! what.

mod axis_map;
mod rules;
mod shape;
mod units;
mod work;

use std::collections::BTreeMap;

use toml::de::DeTable;

pub use units::Units;

use super::edit;
use super::retyped::{Node, SizeChange};
use crate::length::Length;
use crate::project::Project;
use work::Work;

/// What a project is restated in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Target {
    /// The units.
    pub units: Units,
    /// The step of the ruler.
    pub grid: Length,
}

impl Target {
    /// These units on their usual ruler.
    #[must_use]
    pub const fn of(units: Units) -> Self {
        Self {
            units,
            grid: units.usual_grid(),
        }
    }
}

/// Which of several ways is taken to put a piece's places on the ruler, along x and along y: 0 is the best one.
pub type Choice = BTreeMap<String, [usize; 2]>;

/// A project that was restated.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restated {
    /// The new project file.
    pub text: String,
    /// What changed, in the order of the file's tables.
    pub changes: Vec<SizeChange>,
    /// How many ways there are for each piece drawn by hand, along x and along y.
    pub ways: Choice,
}

/// Returns a project file with its sizes in other units. What is in them already stays as it is.
///
/// # Panics
///
/// Panics if the text is not that of the project: [`project`](super::project()) has read it before.
#[must_use]
pub fn restate(text: &str, project: &Project, target: Target, choice: &Choice) -> Restated {
    let document = DeTable::parse(text).expect("the file was read before");
    let root = Node::root(document.get_ref());
    let mut work = Work::new(target, choice, project);
    rules::project(&mut work, &root, project);
    Restated {
        text: edit(text, &work.retyped.edits),
        changes: work.retyped.changes,
        ways: work.ways,
    }
}

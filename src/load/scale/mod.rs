//! A project made larger or smaller.
//!
//! [`scale`] multiplies every size that grows with the object and leaves alone what does not: glue tabs, clearances, reveals, holes, bleed
//! and whatever belongs to the paper or the sheet. Both are listed. The text keeps its comments, since [`edit`](super::edit) writes it.
//!
//! Reading order: `factor` is by how much, `ruler` what lengths come out, `frame` where places on a piece go, `path_text` the same for path
//! data; `work` gathers what changes, and `rules` (with `strip`) says which keys grow.

mod factor;
mod frame;
mod path_text;
mod ruler;
mod rules;
mod strip;
mod work;

pub use factor::{Factor, FactorError};

use toml::de::DeTable;

use super::edit;
use super::retyped::{Node, SizeChange};
use crate::project::Project;
use work::Work;

/// What happens to a scaled length that was a whole number of steps of a ruler.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rounding {
    /// It is rounded to the nearest step: 1/16 in, or 0.5 mm.
    ToRuler,
    /// It stays exactly what comes out.
    Exact,
}

/// A project that was scaled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scaled {
    /// The new project file.
    pub text: String,
    /// What grew or shrank, in the order of the file's tables.
    pub changes: Vec<SizeChange>,
    /// What did not.
    pub stays: Vec<Stays>,
    /// Ids of folded pieces drawn as one outline, of which flaps and clearances grew with the rest.
    pub whole: Vec<String>,
}

/// A size that does not grow with the rest.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stays {
    /// Id of the piece, part or stock, or `job`.
    pub of: String,
    /// Which size.
    pub key: String,
    /// What it is, as typed; `None` for a usual value that stands nowhere in the file.
    pub value: Option<String>,
    /// Why it does not grow.
    pub why: &'static str,
}

/// Returns a project file with all its pieces and parts scaled.
///
/// # Panics
///
/// Panics if the text is not that of the project: [`project`](super::project()) has read it before.
#[must_use]
pub fn scale(text: &str, project: &Project, by: Factor, rounding: Rounding) -> Scaled {
    let document = DeTable::parse(text).expect("the file was read before");
    let root = Node::root(document.get_ref());
    let mut work = Work::new(by, rounding);
    rules::project(&mut work, &root, project);
    Scaled {
        text: edit(text, &work.retyped.edits),
        changes: work.retyped.changes,
        stays: work.stays,
        whole: work.whole,
    }
}

#[cfg(test)]
mod tests;

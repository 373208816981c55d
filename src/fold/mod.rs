//! The fold proof: does a net close, do its flaps land, does it move, and which way up does each panel read.
//!
//! [`fold`] puts an [`Assembly`](crate::project::Assembly) together in space; [`prove`] looks at the result and returns every finding.

mod folded;
mod prove;

pub use folded::{Folded, FoldedMember, FoldedPanel};
pub use prove::{fold, prove};

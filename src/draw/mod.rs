//! What the plan looks like: pages of drawings, and the paths of the cut files.
//!
//! Nothing physical is decided here. Read [`page`] first: its types are what [`emit`](crate::emit) spells out.

pub mod page;

//! One printed sheet found again: where its marks lie, and the cut file moved to fit.

pub mod photo;
pub mod scanned;

//! The fold proof: does a net close, do its flaps land, does it move, and which way up does each panel read.
//!
//! [`fold`] puts an [`Assembly`](crate::project::Assembly) together in space; [`prove`] looks at the result and returns every finding.
//! Reading order: `drawn` takes the lines of a piece, `arrangement` parts it along them (`region` is the arithmetic of faces), `net` knows
//! panels and hinges, `pose` folds them (`ring` closes what hangs together in a ring, `doubled` finds creases drawn twice), `layers` with
//! `flat_folds` lays papers on one another. `stand` is what results; `joint` looks at joints one by one (`stuck` with `glue` and `rims`,
//! `flush`, `meet`, `tuck`), `crossing` and `pressed` at panels two by two. `solids` holds it as solid panels (`prism`, `body`), for `slide`,
//! `band` and `glue_free`, which try what moves. [`reading`] tells which way up panels read and [`scene`] what of them is seen; `leaf` has
//! what both look at; `mend` tries what would close it; `advice` warns of what will look wrong, with `seam`, `unseen` and `grain`.
//! [`CODES`] lists what can be found.

mod advice;
mod arrangement;
mod band;
mod body;
mod code;
mod crossing;
mod doubled;
mod drawn;
mod edge;
mod flat_folds;
mod flush;
mod folded;
mod glue;
mod glue_free;
pub mod grain;
mod joint;
mod layers;
mod leaf;
mod loop_track;
mod meet;
#[cfg(test)]
mod meet_tests;
mod mend;
#[cfg(test)]
mod moving_tests;
mod net;
mod pose;
mod pressed;
mod prism;
mod prove;
pub mod reading;
mod region;
mod rims;
mod ring;
pub mod scene;
mod seam;
mod slide;
mod solids;
mod stand;
mod stuck;
#[cfg(test)]
mod stuck_tests;
#[cfg(test)]
mod trial;
mod tuck;
mod unseen;
mod words;

pub use advice::findings;
pub use code::CODES;
pub use folded::{Folded, FoldedMember, FoldedPanel};
pub use prove::{fold, prove};

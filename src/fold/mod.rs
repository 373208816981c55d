//! The fold proof: does a net close, do its flaps land, does it move, and which way up does each panel read.
//!
//! [`fold`] puts an [`Assembly`](crate::project::Assembly) together in space; [`prove`] looks at the result and returns every finding.
//! Reading order: `drawn` takes the lines of a piece, `arrangement` parts it along them (`region` is the arithmetic of faces), `net` knows
//! panels and hinges, `pose` folds them, `layers` lays papers on one another. `stand` is what results; `joint` looks at joints one by one
//! (`stuck` with `glue` and `rims`, `flush`, `meet`, `tuck`) and `crossing` at panels two by two. `solids` holds it as solid panels (`prism`, `body`), for `slide`, `band`
//! and `glue_free`, which try what moves. [`reading`] tells which way up panels read and [`scene`] what of them is seen; `leaf` has what
//! both look at; `mend` tries what would close it; `advice` warns of what will look wrong, with `seam` and `grain`. [`CODES`] lists what can be found.

mod advice;
mod arrangement;
mod band;
mod body;
mod code;
mod crossing;
mod drawn;
mod edge;
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
mod mend;
#[cfg(test)]
mod moving_tests;
mod net;
mod pose;
mod prism;
mod prove;
pub mod reading;
mod region;
mod rims;
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
mod words;

pub use advice::findings;
pub use code::CODES;
pub use folded::{Folded, FoldedMember, FoldedPanel};
pub use prove::{fold, prove};

//! Maps fitted to measured points, and how far such a map may be wrong.
//!
//! Points are millimetres unless a name says otherwise, y down. A map takes nominal points to measured ones. [`Spread`] is what a
//! fit knows of its own error; everything that states "19 in 20 within ..." goes through it.

mod spread;

pub use spread::{RADIUS_95, Spread};

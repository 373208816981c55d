//! Free-form nesting: true outlines, with holes, at any allowed turn, on sheets of any shape.
//!
//! Read `bench`, which makes a request ready: outlines become a few convex cells (`ring`, `simplify`, `split`, `form`), and
//! `pair` tells how much two of them overlap. `greedy` fills one sheet and `first` all of them. `crowd` holds pieces that may
//! overlap, `seek` finds the best place for one of them, `separate` drives the overlap out and `settle` does so with perseverance.
//! On these stand `kits`, for many copies, `empty`, which saves sheet after sheet, and `kit_per_sheet`. `place` is the whole
//! search; `job` is what all of them know, `effort` how much work they do, `sheaf` what they pass on.
//!
//! The result does not depend on the number of threads: `tasks` merges what they found in a fixed order.

mod bench;
mod crowd;
mod effort;
mod empty;
mod first;
mod form;
mod greedy;
mod job;
mod kit_per_sheet;
mod kits;
mod lookout;
mod pair;
mod place;
mod plain;
mod random;
mod ring;
mod seek;
mod separate;
mod settle;
mod sheaf;
mod simplify;
mod split;
mod tasks;

pub(super) use place::place;

#[cfg(test)]
mod tests;

//! Layouts that come apart by straight cuts from edge to edge: for a hand trimmer or a guillotine.
//!
//! A `problem` is a request as sizes of boxes and sheets cut into free `region`s. `fill` fills one sheet by a beam search over
//! cutting orders, with `promise` as its guide; `grid` fills one exactly, from all `sums` of widths and heights, where there are
//! few sizes and many copies. `pass` fills sheet after sheet, `generate` fills sheets at the prices of a linear program, and
//! [`cover`](super::cover) says which of all sheets in the `pool` to take. `search` puts them in order and counts their work by a
//! `meter`. `filled` sheets hold what is wanted and no more, `rests` are what is left of them, and `hand_out`
//! gives every box to a part. `wish` is the way in; a `kit` to each sheet and `few` different sheets are searches of their own.

mod block;
mod few;
mod fill;
mod filled;
mod generate;
mod grid;
mod hand_out;
mod kit;
mod meter;
mod pass;
mod pool;
mod problem;
mod promise;
mod region;
mod rests;
mod search;
mod sums;
mod wish;

pub(in crate::plan::place) use wish::place;

#[cfg(test)]
mod tests;

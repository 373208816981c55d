//! What has to be reached, measured on simulated sheets: few seeds in the tests, all of them in the benchmark.

#![allow(
    dead_code,
    reason = "the tests and the benchmark each use a part of it"
)]

pub(crate) mod spread;
pub(crate) mod targets;

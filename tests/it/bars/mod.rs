//! What has to be reached, measured on simulated sheets: few seeds in the tests, all of them in the benchmark.

#![allow(
    dead_code,
    reason = "the tests and the benchmark each use a part of it"
)]
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "ranks and pixels are whole and fit"
)]

pub(crate) mod calibration;
pub(crate) mod made_page;
pub(crate) mod registration;
pub(crate) mod scenes;
pub(crate) mod spread;
pub(crate) mod targets;

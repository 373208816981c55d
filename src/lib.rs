//! Lays out measured paper pieces, prints them at true size and cuts them in register.

pub mod diagnostic;
pub mod draw;
pub mod drawing;
pub mod plan;

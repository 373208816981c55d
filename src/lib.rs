//! Lays out measured paper pieces, prints them at true size and cuts them in register.

// Words.
pub mod diagnostic;
pub mod digest;
pub mod length;
pub mod math;
pub mod paper;

// Shapes.
pub mod drawing;
pub mod font;
pub mod geometry;

// Model.
pub mod project;

// In.
pub mod load;

// Plan.
pub mod plan;

// Draw.
pub mod draw;

// Out.
pub mod emit;

// Proof.
pub mod verify;

// Job.
pub mod job;

// Edge.
pub mod cli;
pub mod files;

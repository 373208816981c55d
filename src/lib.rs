//! Lays out measured paper pieces, prints them at true size and cuts them in register.
//!
//! ```text
//! project.toml ─load─▶ Project ─plan─▶ JobPlan ─draw─▶ Document ─emit─▶ bytes ─files─▶ folder
//!                                         └──────── verify ◀── the bytes, read back
//! ```
//!
//! Data moves one way, and a finished value stands between any two stages:
//!
//! 1. [`load::project`] reads a project file and the pictures it names, gathers every mistake as a [`Diagnostic`], and returns a
//!    [`Project`]: all that was declared, valid.
//! 2. [`plan::plan`] decides everything physical (which piece lies where, marks, pages, cut order) and returns a [`JobPlan`], which
//!    [`plan::check()`] judges by the true outlines; [`PlanFile`] is the same plan as `plan.json`.
//! 3. [`draw`] says what the plan looks like: [`Document`]s of pages and [`CutSheet`]s, made of the display list in [`drawing`].
//! 4. [`emit`] spells them as PDF, SVG and PNG, and decides nothing.
//! 5. [`verify::folder`] reads the bytes back without knowing how they were written, and returns a [`Verdict`] with the largest
//!    deviation from the plan.
//!
//! [`job`] is all of this on one screen; [`cli`], [`desk`] and [`files`] are the edge that touches terminal, network and disk. The rooms below are in
//! reading order, and each imports only from those above it. Sizes that were typed are exact [`Length`]s, drawn geometry is `f64`
//! millimetres with y down, and a float carries its unit in its name.
//!
//! # Examples
//!
//! ```
//! use std::collections::BTreeMap;
//!
//! use sheetwright::plan::PlanOptions;
//! use sheetwright::{job, load};
//!
//! let text = r#"
//! sheetwright = 1
//! [job]
//! name = "Herb labels"
//! copies = 30
//! cut_by = "trimmer"
//! [[stock]]
//! id = "oat"
//! format = "letter"
//! [[piece]]
//! id = "label"
//! stock = "oat"
//! shape = { kind = "rectangle", width = "4 in", height = "5 in" }
//! "#;
//! let no_pictures = BTreeMap::new();
//! let read = job::check("project.toml", text, &no_pictures, &load::Options::default()).unwrap();
//! let planned = job::plan(&read.value, &PlanOptions::default()).unwrap();
//! // Two across and two down make 4 to a sheet; five would cover 100 of its 93.5 square inches. 30 labels need 8 sheets.
//! assert_eq!(planned.value.usage.sheets, 8);
//! ```
//!
//! [`CutSheet`]: draw::page::CutSheet
//! [`Diagnostic`]: diagnostic::Diagnostic
//! [`Document`]: draw::page::Document
//! [`JobPlan`]: plan::JobPlan
//! [`Length`]: length::Length
//! [`PlanFile`]: plan::file::PlanFile
//! [`Project`]: project::Project
//! [`Verdict`]: verify::Verdict

// Words.
pub mod date;
pub mod diagnostic;
pub mod digest;
pub mod length;
pub mod math;
pub mod paper;

// Shapes.
pub mod drawing;
pub mod fit;
pub mod font;
pub mod geometry;

// Model.
pub mod project;

// In.
pub mod construct;
pub mod fold;
pub mod load;
pub mod pattern;

// Plan, and what lies on the table for it.
pub mod handout;
pub mod plan;

// Draw.
pub mod draw;

// Out.
pub mod emit;

// Proof.
pub mod verify;

// Beside the pipeline: paper on hand, printer and cutter measured, a printed sheet found again.
pub mod booking;
pub mod calibrate;
pub mod register;
pub mod scan;

// Job.
pub mod job;

// Edge.
pub mod cli;
pub mod desk;
pub mod files;

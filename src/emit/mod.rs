//! Spells finished [pages](crate::draw::page) in file formats.
//!
//! Nothing is decided here any more: what to see and where is in the page, and each format has one function that turns a page, a
//! document or a cut sheet into bytes. [`number`] is the one place where a number becomes text; [`pdf`] writes true-size documents,
//! [`svg`] cut files, [`png`] and [`svg_picture`] pictures.

pub mod number;
pub mod pdf;
pub mod png;
pub mod svg;
pub mod svg_picture;

//! True-size documents as PDF 1.7 (ISO 32000-1).
//!
//! [`write()`] spells every stream first (`book`, then `painter`, which walks the drawings, and `content`, which is the text of one
//! stream), lets `printpdf` build a document of empty pages and shared objects (`skeleton`), and completes that with `lopdf`
//! (`finish`). What stands where, and why not all of it in one library:
//!
//! - pages with their boxes, images, forms, opacities and gradients: `printpdf`, through `skeleton`, `picture` (with `pixels`),
//!   `gradient` and `resource`;
//! - content streams: `content`, because both libraries keep numbers as `f32` with decimals of their own choosing, and neither
//!   spells the stream of a form;
//! - font, layers, viewer preferences, document information and identifier: `lopdf`, through `typeface`, `layer` and `finish`.
//!
//! Gradients are patterns of type 2 in their final place, one way for areas, lines and text. Nothing is a tiling pattern: renderers
//! let their cells drift by more than a cut line forgives, so a repeated picture is one form, placed many times.

mod book;
mod content;
mod finish;
mod gradient;
mod layer;
mod painter;
mod picture;
mod pixels;
mod resource;
mod skeleton;
mod typeface;

use crate::{draw::page::Document, drawing::Asset};

/// How streams are stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Streams {
    /// Compressed.
    Packed,
    /// As text, to be read by people and tests.
    Plain,
}

/// Returns the document as the bytes of a PDF file: the same document, the same bytes.
///
/// Every page is exactly as large as its paper; millimetres become points in one matrix at the start of a page.
///
/// # Panics
///
/// Panics if the drawings name an asset that is not in `assets`, or hold a number that is not finite.
#[must_use]
pub fn write(document: &Document, assets: &[Asset], streams: Streams) -> Vec<u8> {
    let book = book::Book::new(document, assets);
    let skeleton = skeleton::build(&book);
    finish::finish(skeleton, &book, streams)
}

//! Reads a PDF the way a printer would, as far as what is proved depends on it.
//!
//! [`found`] is the result; `document` opens the file and finds its pages; `interpreter` runs a page's content with the
//! graphics state of `state`, with the operators of `painting`, `words` (with `font`, which says what is written) and `object`; `picture` tells which way up a picture is. Operators outside an allow-list, hidden layers,
//! annotations and whatever else could change the paper unseen are told as problems.
//!
//! Source of the operators and dictionaries: ISO 32000-1:2008.

mod document;
mod font;
pub(super) mod found;
mod interpreter;
mod object;
mod painting;
mod picture;
mod state;
mod words;

pub(super) use document::read_pdf;

//! Setting text on pages for people to read: measured words, paragraphs, tables, steps, and the pages they flow on.
//!
//! Everything is a [`Block`], finished and measured, that never splits: a line of a paragraph, a row of a table, a drawing with its words.
//! Read `letter` (sizes and weights), then `wrap`, which breaks lines, and `block`. `paragraph`, [`table`] and [`beside`] make blocks,
//! `sheet` says what of a page holds them, and [`pages`] flows them onto pages with a foot each. Millimetres, y down; a block's origin is
//! its top left corner.

mod block;
mod flow;
mod letter;
mod sheet;
mod table;
mod wrap;

pub(in crate::draw) use block::{
    Block, Look, beside, boxed, divider, gap, heading, line_of_text, paragraph, stack,
};
pub(in crate::draw) use flow::flowed_pages;
pub(in crate::draw) use letter::{GREY, INK, Letter};
pub(in crate::draw) use sheet::{Foot, Sheet, WIDTH_MM, pages};
pub(in crate::draw) use table::{Cell, Row, Table, table};
pub(in crate::draw) use wrap::wrapped;

//! What the plan looks like: pages of drawings, and the paths of the cut files.
//!
//! Nothing physical is decided here. Read [`page`] first: its types are what [`emit`](crate::emit) spells out. Then the four
//! kinds of output, one file each: `print`, `proof`, `picture` and `cut_sheet`; `folded` draws objects put together, `one_piece` a piece by itself, `template`
//! pieces at their true size, `handout` sets the pages that lie on the maker's table, with `typeset`. They are put together from `artwork`, `furniture`
//! (marks and ticks), `trims` (a trimmer's cuts), `caption`, `legend`, `leftover` and `name`; `cut_list` says the cuts in words; `mark`
//! and `line_kind` say what a register mark and each kind of line look like,
//! `treated` what is hatched, `text` measures words and `words` chooses them.

mod artwork;
mod caption;
mod cut_list;
mod cut_sheet;
mod folded;
mod furniture;
mod handout;
mod leftover;
mod legend;
mod line_kind;
mod mark;
mod name;
mod one_piece;
pub mod page;
mod picture;
mod print;
mod proof;
mod swatch_book;
mod template;
mod text;
mod treated;
mod trims;
mod typeset;
mod words;

use crate::drawing::{Asset, Colour, Drawing};
use crate::fold::{self, Folded};
use crate::handout::Handout;
use crate::plan::{JobPlan, Mark};
use crate::project::{Assembly, Face, Project};
pub use one_piece::ROOM_MM as PIECE_ROOM_MM;
use page::{CutSheet, Document, Page};
pub use swatch_book::BookPaper;

/// Returns what `print.pdf` holds: a page for each printed face, in the order of the plan's page numbers.
#[must_use]
pub fn print_document(project: &Project, plan: &JobPlan) -> Document {
    print::print_document(project, plan)
}

/// Returns what `proof.pdf` holds: a page for each distinct sheet, front view, with every layer.
#[must_use]
pub fn proof_document(project: &Project, plan: &JobPlan) -> Document {
    proof::proof_document(project, plan)
}

/// Returns what `templates.pdf` holds: every piece that is cut at its true size, then what to cut first to try a fit.
#[must_use]
pub fn templates(project: &Project, plan: &JobPlan, handout: &Handout) -> Document {
    template::document(project, plan, handout)
}

/// Returns the cut files with their names, in the order of the sheets that use them first.
#[must_use]
pub fn cut_sheets(project: &Project, plan: &JobPlan) -> Vec<(String, CutSheet)> {
    cut_sheet::cut_sheets(project, plan)
}

/// Returns the name that a layer of a cut file has, with its colour; `None` for a name that is none.
#[must_use]
pub fn cut_layer(name: &str) -> Option<(&'static str, Colour)> {
    cut_sheet::layer_of(name)
}

/// Returns the pictures with their file names: the front of each distinct sheet, and each printed back.
#[must_use]
pub fn pictures(project: &Project, plan: &JobPlan) -> Vec<(String, Page)> {
    picture::pictures(project, plan)
}

/// Returns the picture of one face of a flat piece, by its position in the project's list, as it is in the first edition.
///
/// # Panics
/// If the position is not one of this project's.
#[must_use]
pub fn one_piece(project: &Project, piece: usize, face: Face) -> Page {
    one_piece::page(project, piece, face)
}

/// Returns the picture of a folded object: closed, and half open beside it where something slides.
#[must_use]
pub fn folded(project: &Project, assembly: &Assembly, folded: &Folded) -> Page {
    folded::page(
        project,
        assembly,
        &fold::scene::scene(project, assembly, folded),
    )
}

/// Returns the pages of `templates.pdf` on which each piece of the project stands, counted from 1; none for a piece that is not cut.
#[must_use]
pub fn template_pages(project: &Project, plan: &JobPlan, handout: &Handout) -> Vec<Vec<usize>> {
    template::pages(project, plan, handout)
}

/// Returns what `instructions.pdf` holds: everything that one maker needs to know, from the paper to the price.
#[must_use]
pub fn instructions(project: &Project, plan: &JobPlan, handout: &Handout) -> Document {
    handout::instructions(project, plan, handout)
}

/// Returns what `kit.pdf` holds: what to buy, what goes into each bag, and labels for the bags; `None` for a single copy that needs
/// nothing but paper.
#[must_use]
pub fn kit(project: &Project, plan: &JobPlan, handout: &Handout) -> Option<Document> {
    handout::kit(project, plan, handout)
}

/// Returns a book of all patterns in all palettes, with the pictures that its pages show.
#[must_use]
pub fn swatch_book(paper: BookPaper) -> (Document, Vec<Asset>) {
    swatch_book::swatch_book(paper)
}

/// Returns a register mark in black, in the frame its centre is given in, as areas without lines: for pictures, which are stretched
/// onto their boxes.
#[must_use]
pub fn register_mark(mark: &Mark) -> Drawing {
    mark::ring_and_quadrant_in_areas(mark)
}

/// Returns how all sheets are cut by hand, line by line; `None` in a job that is cut by machine.
#[must_use]
pub fn cut_list(project: &Project, plan: &JobPlan) -> Option<String> {
    cut_list::text(project, plan)
}

/// Returns what `cut-list.txt` holds: [`cut_list`] with what to mind before it; `None` in a job that is cut by machine.
#[must_use]
pub fn cut_list_file(project: &Project, plan: &JobPlan) -> Option<String> {
    cut_list::file(project, plan)
}

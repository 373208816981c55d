//! The pages that lie on the maker's table: `instructions.pdf` for one pupil, `kit.pdf` for the whole class.
//!
//! What they say was worked out in [`Handout`]; here it is set. Read [`Told`] first, then `instructions` below, which names the sections in
//! order, one file each. `figure` draws a piece to scale with its sizes, `picture` the finished object. Pieces are named by letters, in the
//! order of the project.

mod cautions;
mod cost;
mod cut_table;
mod figure;
mod front;
mod key;
mod kit;
mod labels;
mod needs;
mod picture;
mod rule;
mod scores;
mod steps;
mod together;
mod words;

#[cfg(test)]
mod tests;

use super::page::{Document, Duplex};
use super::typeset::{self, Block, Foot, Letter, Sheet, WIDTH_MM, heading};
use crate::handout::{Handout, PieceWork};
use crate::length::LengthStyle;
use crate::plan::JobPlan;
use crate::project::{Piece, Project};
use picture::Objects;

/// Widest paragraph: 74 letters of 3.9 mm seldom take more.
const MEASURE_MM: f64 = 142.0;

/// All that is told about a job.
#[derive(Debug, Clone, Copy)]
struct Told<'a> {
    project: &'a Project,
    plan: &'a JobPlan,
    handout: &'a Handout,
    objects: &'a Objects,
    /// Pages of the templates on which each piece of the project stands.
    template_pages: &'a [Vec<usize>],
}

impl<'a> Told<'a> {
    fn piece(self, work: &PieceWork) -> &'a Piece {
        &self.project.pieces[work.piece]
    }

    /// The letter of a piece, by its position in the project.
    fn letter(self, piece: usize) -> String {
        let at = self.handout.pieces.iter().position(|w| w.piece == piece);
        words::letter(at.unwrap_or(piece))
    }

    /// `A Tray`.
    fn lettered(self, piece: usize) -> String {
        format!("{} {}", self.letter(piece), self.project.pieces[piece].name)
    }

    /// How many copies are wanted, spares not counted.
    fn copies(self) -> u32 {
        self.project.editions.iter().map(|e| e.copies).sum()
    }
}

/// Returns the pages for one pupil.
pub(super) fn instructions(project: &Project, plan: &JobPlan, handout: &Handout) -> Document {
    let objects = Objects::of(project);
    let template_pages = super::template::pages(project, plan, handout);
    let told = Told {
        project,
        plan,
        handout,
        objects: &objects,
        template_pages: &template_pages,
    };
    let sections = [
        front::blocks(told),
        needs::blocks(told),
        cut_table::blocks(told),
        figure::blocks(told),
        scores::blocks(told),
        together::layers(told),
        together::gluing(told),
        steps::blocks(told),
        cautions::blocks(told),
        cost::blocks(told),
        rule::blocks(),
    ];
    document(told, title(project), &sections.concat())
}

/// Returns the pages for the whole class; `None` for a single copy that needs nothing but paper.
pub(super) fn kit(project: &Project, plan: &JobPlan, handout: &Handout) -> Option<Document> {
    let objects = Objects::default();
    let told = Told {
        project,
        plan,
        handout,
        objects: &objects,
        template_pages: &[],
    };
    if told.copies() <= 1 && project.supplies.is_empty() {
        return None;
    }
    let title = format!("{}: shopping and kit", title(project));
    let blocks = [kit::blocks(told, &title), labels::blocks(told)].concat();
    Some(document(told, title, &blocks))
}

fn document(told: Told<'_>, title: String, blocks: &[Block]) -> Document {
    let foot = foot(told.project);
    Document {
        author: told.project.lesson.by.clone(),
        pages: typeset::pages(blocks, sheet(told.project), &foot, &title),
        title,
        duplex: Duplex::Simplex,
    }
}

/// The lesson's title; the job's name where it has none.
fn title(project: &Project) -> String {
    let title = project.lesson.title.trim();
    if title.is_empty() {
        project.job.name.clone()
    } else {
        title.to_owned()
    }
}

/// Page of the first paper if that is letter or A4, else what goes with the units.
fn sheet(project: &Project) -> Sheet {
    let format = project.stocks.first().map_or("", |s| s.format.as_str());
    let is_inch = match project.job.lengths {
        LengthStyle::InchFractions | LengthStyle::InchDecimals => true,
        LengthStyle::Millimetres => false,
    };
    match format {
        "na_letter_8.5x11in" => Sheet::LETTER,
        "iso_a4_210x297mm" => Sheet::A4,
        _ if is_inch => Sheet::LETTER,
        _ => Sheet::A4,
    }
}

/// Who gives the pages out and on which terms, and which version they are.
fn foot(project: &Project) -> Foot {
    let lesson = &project.lesson;
    let mut first = vec![title(project)];
    first.extend(front::version(project));
    let mut second: Vec<String> = lesson.by.iter().cloned().collect();
    second.extend(lesson.terms.iter().cloned());
    let lines = [first, second];
    let filled = lines.iter().filter(|line| !line.is_empty());
    Foot {
        lines: filled.map(|line| line.join(" · ")).collect(),
        logo: lesson
            .logo
            .map(|logo| (logo, project.assets[logo.0].aspect)),
    }
}

/// A main heading over the whole width.
fn section(text: &str) -> Block {
    heading(text, Letter::HEADING, WIDTH_MM)
}

/// A heading below a main one.
fn subsection(text: &str) -> Block {
    heading(text, Letter::SUBHEADING, WIDTH_MM)
}

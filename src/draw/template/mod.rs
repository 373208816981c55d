//! Templates: every piece that is cut, at its true size, to be laid on paper or filed; and what to cut first to try a fit.
//!
//! Read `leaf` first, which is the page with its punched margin, title line and scale bars. `subject` is a piece as it is drawn, `marks`
//! what stands on it, `caption` the words below it. `shelf` puts several on a page, `tiles` one over several pages. `fit_test` closes the
//! document. Nothing here is scaled; a piece may be turned by a quarter.

mod caption;
mod fit_test;
mod leaf;
mod marks;
mod sheet;
mod shelf;
mod subject;
mod tiles;
mod words;

use super::page::{Document, Duplex};
use crate::handout::Handout;
use crate::plan::JobPlan;
use crate::project::Project;
use leaf::Leaf;
use subject::Subject;

/// Returns the pages; none of a job that cuts nothing.
pub(super) fn document(project: &Project, plan: &JobPlan, handout: &Handout) -> Document {
    let subjects = Subject::all(project, plan, handout);
    let kinds = subjects.iter().flat_map(Subject::kinds);
    let leaf = Leaf::new(project, kinds.collect());
    let mut sheets = Vec::new();
    let (small, large): (Vec<_>, Vec<_>) = subjects
        .iter()
        .partition(|subject| subject.fits(leaf.field()).is_some());
    sheets.extend(shelf::sheets(&small, leaf.field()));
    let field = leaf.field();
    for subject in large {
        sheets.extend(tiles::sheets(subject, field));
    }
    let tests = fit_test::sheets(project, handout, &sheets, field);
    sheets.extend(tests);
    let of = sheets.len();
    let pages = sheets.into_iter().enumerate();
    let pages = pages.map(|(i, sheet)| leaf.page(project, sheet, (i + 1, of)));
    Document {
        title: format!("{}: templates", leaf::title(project)),
        author: project.lesson.by.clone(),
        pages: pages.collect(),
        duplex: Duplex::Simplex,
    }
}

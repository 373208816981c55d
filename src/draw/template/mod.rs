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

use kurbo::Rect;

use super::page::{Document, Duplex};
use crate::handout::Handout;
use crate::plan::JobPlan;
use crate::project::Project;
use leaf::Leaf;
use sheet::Sheet;
use subject::Subject;

/// Returns the pages; none of a job that cuts nothing.
pub(super) fn document(project: &Project, plan: &JobPlan, handout: &Handout) -> Document {
    let leaf = leaf(project, plan, handout);
    let mut sheets = sheets(project, plan, handout, leaf.field());
    let tests = fit_test::sheets(project, handout, &sheets, leaf.field());
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

/// Returns the pages on which each piece of the project stands, counted from 1; none for one that is not cut.
pub(super) fn pages(project: &Project, plan: &JobPlan, handout: &Handout) -> Vec<Vec<usize>> {
    let leaf = leaf(project, plan, handout);
    let sheets = sheets(project, plan, handout, leaf.field());
    let pages_of = |piece: usize| {
        let pages = (1..).zip(&sheets);
        let pages = pages.filter(|(_, sheet)| sheet.pieces.contains(&piece));
        pages.map(|(page, _)| page).collect()
    };
    (0..project.pieces.len()).map(pages_of).collect()
}

fn leaf(project: &Project, plan: &JobPlan, handout: &Handout) -> Leaf {
    let subjects = Subject::all(project, plan, handout);
    let kinds = subjects.iter().flat_map(Subject::kinds);
    Leaf::new(project, kinds.collect())
}

/// The pages of pieces: small ones together, then each large one over several.
fn sheets(project: &Project, plan: &JobPlan, handout: &Handout, field: Rect) -> Vec<Sheet> {
    let subjects = Subject::all(project, plan, handout);
    let (small, large): (Vec<_>, Vec<_>) = subjects
        .iter()
        .partition(|subject| subject.fits(field).is_some());
    let mut sheets = shelf::sheets(&small, field);
    for subject in large {
        sheets.extend(tiles::sheets(subject, field));
    }
    sheets
}

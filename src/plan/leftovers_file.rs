//! The offcuts of a plan as they stand in `leftovers.toml`, in the job's lengths.

use std::fmt::Write;

use kurbo::Rect;

use super::{JobPlan, describe};
use crate::length::Length;
use crate::project::Project;

/// Returns the text of `leftovers.toml`; `None` if nothing is worth keeping.
#[must_use]
pub fn leftovers_file(project: &Project, plan: &JobPlan) -> Option<String> {
    let show = |mm: f64| Length::nearest_mm(mm).display(project.job.lengths);
    let mut text = String::from(
        "# Offcuts worth keeping, the largest first, as the sheets lie. `sheetwright stock use` takes them into your list.\n\n\
         sheetwright_leftovers = 1\n",
    );
    for planned in &plan.leftovers {
        let leftover = describe::leftover(project, plan, planned);
        let Rect { x0, y0, .. } = planned.area;
        let (width_mm, height_mm) = (planned.area.width(), planned.area.height());
        write!(
            text,
            "\n[[offcut]]\nof = \"{}\"\nsize = \"{} x {}\"\nsheets = {}\non_sheet = {}\nat = \"{}, {}\"\n",
            leftover.of,
            show(width_mm),
            show(height_mm),
            leftover.count,
            leftover.sheet,
            show(x0),
            show(y0),
        )
        .expect("memory takes any text");
    }
    (!plan.leftovers.is_empty()).then_some(text)
}

//! The offcuts of a plan as they stand in `leftovers.toml`.

use std::fmt::Write;

use super::{JobPlan, describe};
use crate::project::Project;

/// Returns the text of `leftovers.toml`; `None` if nothing is worth keeping.
#[must_use]
pub fn leftovers_file(project: &Project, plan: &JobPlan) -> Option<String> {
    let mut text = String::from(
        "# Offcuts worth keeping, the largest first, as the sheets lie. `sheetwright stock use` takes them into your list.\n\n\
         sheetwright_leftovers = 1\n",
    );
    for leftover in &plan.leftovers {
        let entry = describe::leftover(project, plan, leftover);
        write!(
            text,
            "\n[[offcut]]\nof = \"{}\"\nsize = \"{}\"\nsheets = {}\non_sheet = {}\n",
            entry.of, entry.size, entry.count, entry.sheet,
        )
        .expect("memory takes any text");
    }
    (!plan.leftovers.is_empty()).then_some(text)
}

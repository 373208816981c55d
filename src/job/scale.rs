//! A project made larger or smaller, and checked before and after.

use super::check;
use crate::diagnostic::{Diagnostic, Warned};
use crate::load::{self, Assets, Factor, NamedText, Rounding, Scaled};
use crate::project::Project;

/// A project that was scaled, and what is to be said of it.
#[derive(Debug, Clone)]
pub struct ScaledProject {
    /// The new text, with what grew and what did not.
    pub scaled: Scaled,
    /// The new project with its warnings, or its mistakes.
    pub checked: Result<Warned<Project>, Vec<Diagnostic>>,
}

/// Scales a project; see [`load::scale`]. The new one is checked under its own name.
///
/// # Errors
///
/// All mistakes of the project as it is.
pub fn scale(
    project: &NamedText,
    new_name: &str,
    assets: &dyn Assets,
    by: Factor,
    rounding: Rounding,
) -> Result<ScaledProject, Vec<Diagnostic>> {
    let options = load::Options::default();
    let declared = check(&project.name, &project.text, assets, &options)?;
    let scaled = load::scale(&project.text, &declared.value, by, rounding);
    let checked = check(new_name, &scaled.text, assets, &options);
    Ok(ScaledProject { scaled, checked })
}

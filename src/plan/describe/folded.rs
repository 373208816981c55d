//! Pictures of folded objects in the words of `plan.json`.

use kurbo::BezPath;

use super::path;
use crate::fold::{self, scene};
use crate::geometry::areas::Ring;
use crate::plan::file::{FoldedEntry, SeenPanelEntry};
use crate::project::{Assembly, Project};

/// Returns an entry for each assembly that can be folded.
pub(super) fn entries(project: &Project) -> Vec<FoldedEntry> {
    let assemblies = project.assemblies.iter();
    assemblies.filter_map(|a| entry(project, a)).collect()
}

fn entry(project: &Project, assembly: &Assembly) -> Option<FoldedEntry> {
    let folded = fold::fold(project, assembly).ok()?;
    let scene = scene::scene(project, assembly, &folded);
    let name = picture_name(&assembly.id);
    let panels = scene.views.iter().flat_map(|view| {
        view.panels.iter().map(|panel| SeenPanelEntry {
            view: view.name.to_owned(),
            id: panel.id.clone(),
            outline: path(&outline(&panel.rings)),
        })
    });
    Some(FoldedEntry {
        assembly: assembly.id.clone(),
        svg: format!("{name}.svg"),
        png: format!("{name}.png"),
        page_mm: [scene.width_mm, scene.height_mm],
        panels: panels.collect(),
    })
}

/// Returns the name of an assembly's pictures, without their endings.
#[must_use]
pub fn picture_name(assembly: &str) -> String {
    format!("folded-{}", assembly.replace('/', "."))
}

fn outline(rings: &[Ring]) -> BezPath {
    let mut path = BezPath::new();
    for ring in rings {
        for (i, corner) in ring.iter().enumerate() {
            if i == 0 {
                path.move_to(*corner);
            } else {
                path.line_to(*corner);
            }
        }
        path.close_path();
    }
    path
}

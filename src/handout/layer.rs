//! Where a layer lies and what shows around it.

use kurbo::Rect;

use super::model::LayerOn;
use crate::length::Length;
use crate::project::{Mount, MountPlace, Piece, Project};

/// Returns where a piece is mounted; `None` where it is not.
pub(super) fn layer_on(project: &Project, piece: &Piece) -> Option<LayerOn> {
    let mount = piece.mount.as_ref()?;
    Some(LayerOn {
        on: mount.on,
        panel: mount.panel.clone(),
        shows: shows(project, piece, mount),
        standoff: mount.standoff,
        trim_flush: mount.oversize > Length::ZERO,
    })
}

/// What shows at the top, right, bottom and left: as it was declared, or else between the boxes.
fn shows(project: &Project, piece: &Piece, mount: &Mount) -> [Length; 4] {
    match &mount.place {
        MountPlace::Reveal { sides } => [sides.top, sides.right, sides.bottom, sides.left],
        MountPlace::Anchor => {
            let below = base_box(&project.pieces[mount.on], mount.panel.as_deref());
            let oversize = mount.oversize.to_mm();
            let above = piece.outline.transformed(mount.pose.to_affine()).bounds();
            let above = above.inflate(-oversize, -oversize);
            [
                above.y0 - below.y0,
                below.x1 - above.x1,
                below.y1 - above.y1,
                above.x0 - below.x0,
            ]
            .map(Length::nearest_mm)
        }
    }
}

fn base_box(below: &Piece, panel: Option<&str>) -> Rect {
    let named = panel.and_then(|name| below.panels.iter().find(|p| p.name == name));
    named.map_or_else(|| below.outline.bounds(), |panel| panel.bounds_mm)
}

//! Where a layer lies and what shows around it.

use kurbo::Rect;

use super::bodies::is_stuck;
use super::model::LayerOn;
use crate::fold;
use crate::geometry::space::Vec3;
use crate::length::Length;
use crate::project::{Assembly, Face, JointKind, Mount, MountPlace, Piece, Project, Surface};

/// From which thickness on what is between is foam, and not glue or tape. Common practice, no source.
pub(super) const FOAM: Length = Length::from_um(500);

/// Returns where a piece is mounted, or where an assembly sticks it flat on a larger panel; `None` where it is no layer.
pub(super) fn layer_on(project: &Project, index: usize) -> Option<LayerOn> {
    let piece = &project.pieces[index];
    let Some(mount) = &piece.mount else {
        let mut assemblies = project.assemblies.iter();
        return assemblies.find_map(|assembly| stuck_on(project, assembly, index));
    };
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
            let above = piece.finished().transformed(mount.pose.to_affine());
            let above = above.bounds();
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

/// Where an assembly sticks a flat piece inside the edges of a panel.
fn stuck_on(project: &Project, assembly: &Assembly, index: usize) -> Option<LayerOn> {
    let piece = &project.pieces[index];
    if piece.panels.len() > 1 {
        return None;
    }
    let joint = assembly.joints.iter().find(|joint| {
        is_stuck(&joint.kind)
            && joint.from.member != joint.to.member
            && assembly.members[joint.from.member].piece == index
    })?;
    let JointKind::Stuck {
        ref area,
        covers_flap,
        glue,
        ..
    } = joint.kind
    else {
        return None;
    };
    if area.is_some() && !covers_flap {
        return None;
    }
    let on = assembly.members[joint.to.member].piece;
    let folded = fold::fold(project, assembly).ok()?;
    let place = |surface: &Surface| {
        let mut panels = folded.members[surface.member].panels.iter();
        panels.find(|panel| panel.name == surface.panel)
    };
    let (above, below) = (place(&joint.from)?, place(&joint.to)?);
    let onto = below.place.inverse().after(&above.place);
    let corners = above.rings_mm.first()?.iter();
    let corners = corners.map(|p| onto.apply(Vec3::new(p.x, p.y, 0.0)));
    let above = corners
        .map(|c| Rect::from_points((c.x, c.y), (c.x, c.y)))
        .reduce(|a, b| a.union(b))?;
    let name = (project.pieces[on].panels.len() > 1).then_some(joint.to.panel.as_str());
    let shows = around(base_box(&project.pieces[on], name), above, joint.to.face);
    let is_inside = shows.iter().all(|side| *side >= Length::ZERO);
    let is_smaller = shows.iter().any(|side| *side > Length::ZERO);
    (is_inside && is_smaller).then(|| LayerOn {
        on,
        panel: name.map(str::to_owned),
        shows,
        standoff: if glue < FOAM { Length::ZERO } else { glue },
        trim_flush: false,
    })
}

/// What shows at the top, right, bottom and left, seen from this face.
fn around(below: Rect, above: Rect, face: Face) -> [Length; 4] {
    let (left, right) = (above.x0 - below.x0, below.x1 - above.x1);
    let (left, right) = match face {
        Face::Front => (left, right),
        Face::Back => (right, left),
    };
    [above.y0 - below.y0, right, below.y1 - above.y1, left].map(Length::nearest_mm)
}

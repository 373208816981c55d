//! Members and joints of a construction, in the words of a maker. The module's front page says what each figure means.

use crate::diagnostic::Origin;
use crate::geometry::space::{Rigid, Vec3};
use crate::length::{Length, Size};
use crate::project::{Assembly, Clearance, Face, Joint, JointKind, Member, Surface};

use super::Kind;
use super::blank::Drawn;

/// How far a flap may miss and edges may part, in micrometres: a tenth of a millimetre is what a good trimmer holds (common practice, no
/// source).
pub(super) const TOLERANCE_UM: i64 = 100;

/// Where a construction stands until the part that asked for it is known.
pub(super) fn nowhere() -> Origin {
    Origin::of_key("")
}

/// Returns the assembly of these members; the part that asked gives it its id, its name and its origin.
pub(super) fn assembly(kind: &Kind, members: Vec<Member>, joints: Vec<Joint>) -> Assembly {
    Assembly {
        id: kind.name.into(),
        name: kind.title.into(),
        members,
        joints,
        free_of_glue: Vec::new(),
        band: None,
        tolerance: Size::new(Length::from_um(TOLERANCE_UM)).expect("a tenth is more than nothing"),
        origin: nowhere(),
    }
}

/// Returns the member made of the piece at that position, with its root panel placed.
pub(super) fn member(piece: usize, drawn: &Drawn, root: &str, pose: Rigid) -> Member {
    Member {
        piece,
        name: drawn.made.name.into(),
        root: root.into(),
        pose,
        bends: Vec::new(),
    }
}

/// Returns the front face of a panel: the outside of the finished object.
pub(super) fn outside(member: usize, panel: &str) -> Surface {
    surface(member, panel, Face::Front)
}

/// Returns the back face of a panel: the inside of the finished object.
pub(super) fn inside(member: usize, panel: &str) -> Surface {
    surface(member, panel, Face::Back)
}

fn surface(member: usize, panel: &str, face: Face) -> Surface {
    Surface {
        member,
        panel: panel.into(),
        face,
    }
}

/// Returns a joint of any kind.
pub(super) fn joint(kind: JointKind, from: Surface, to: Surface) -> Joint {
    Joint {
        kind,
        from,
        to,
        origin: nowhere(),
    }
}

/// Sticks a flap with all of its outside to the inside of another panel of the same piece.
pub(super) fn stuck_inside(member: usize, drawn: &Drawn, flap: &str, panel: &str) -> Joint {
    let kind = JointKind::Stuck {
        area: Some(drawn.area(flap)),
        covers_flap: true,
        rims: None,
        glue: Length::ZERO,
    };
    joint(kind, outside(member, flap), inside(member, panel))
}

/// Lets a free edge of one panel come to lie that far from another panel of the same piece.
pub(super) fn meets(member: usize, free: &str, panel: &str, gap: Length) -> Joint {
    meets_within(member, free, panel, gap, Length::ZERO)
}

/// Lets a free edge that is shorter than the other by `inset` at both ends come to lie that far from it.
pub(super) fn meets_within(
    member: usize,
    free: &str,
    panel: &str,
    gap: Length,
    inset: Length,
) -> Joint {
    joint(
        JointKind::Meet { gap, inset },
        outside(member, free),
        outside(member, panel),
    )
}

/// Lets a flap go in behind another panel of the same piece, that deep.
pub(super) fn tucks(member: usize, flap: &str, behind: &str, depth: Length) -> Joint {
    joint(
        JointKind::Tuck { depth },
        outside(member, flap),
        inside(member, behind),
    )
}

/// Lets what holds the panel `from` slide along what holds `to`, and come off at the end; clearances are in all, along x, y and z.
pub(super) fn slides(
    from: Surface,
    to: Surface,
    along: Vec3,
    travel: Length,
    free: [Option<Length>; 3],
) -> Joint {
    let as_designed = |c: Length| Clearance { least: c, most: c };
    let kind = JointKind::Slide {
        along,
        travel,
        is_held: false,
        clearance: free.map(|c| c.map(as_designed)),
    };
    joint(kind, from, to)
}

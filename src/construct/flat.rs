//! What cards, envelopes, tags and bands share: how they stand, and values made to fit.

use kurbo::{BezPath, Point};

use super::{Asked, Given};
use crate::geometry::space::{Rigid, Vec3};
use crate::length::Length;
use crate::math::Angle;
use crate::project::{Edges, Joint, JointKind, Surface};

use super::joint::{inside, joint};

/// How far the fold of a card is folded in the finished object, in degrees: it stands ajar, so that it is seen to be two leaves. Closed it
/// would be folded by 180.
pub(super) const AJAR_DEG: f64 = 150.0;

/// How far a flap is folded that lies on its own piece, in degrees.
pub(super) const FLAT_DEG: f64 = 180.0;

/// Room left between a hole or a cut and an edge, in micrometres: less than a millimetre of paper tears (common practice, no source).
pub(super) const WEB_UM: i64 = 1000;

/// Returns the sizes as they were asked, ease included, whichever way they were asked.
pub(super) fn sizes(given: &Given<'_>) -> Vec<Length> {
    match &given.asked {
        Asked::Inside(sizes) | Asked::Outside(sizes) => sizes.clone(),
        Asked::Contents { sizes, ease } => sizes.iter().map(|size| *size + *ease).collect(),
    }
}

/// Returns a length as given, or as usual where that is not more than the most there is room for.
///
/// # Panics
///
/// Panics if the usual value follows from the rest.
pub(super) fn fitted(given: &Given<'_>, key: &str, most: Length) -> Length {
    let length = given.length(key).expect("it has a usual length");
    if given.values.contains_key(key) {
        length
    } else {
        length.min(most)
    }
}

/// Returns a part of a length, rounded down to whole nanometres.
pub(super) fn part(length: Length, divisor: i64) -> Length {
    Length::from_nm(length.nm().div_euclid(divisor))
}

/// Stands a piece up with its front to the maker: right stays right, down becomes down.
pub(super) fn standing() -> Rigid {
    Rigid::about(Vec3::zeros(), Vec3::x(), Angle::from_deg(-90.0))
}

/// Lays a piece on the table with its front up and its top away from the maker.
pub(super) fn lying_front_up() -> Rigid {
    Rigid::about(Vec3::zeros(), Vec3::x(), Angle::from_deg(180.0))
}

/// Lays a piece on the table with its front down and its top away from the maker.
pub(super) fn lying_front_down() -> Rigid {
    Rigid::about(Vec3::zeros(), Vec3::z(), Angle::from_deg(180.0))
}

/// Returns the pose of a piece that lies on another one with both fronts the same way, its origin at a place of the other one's frame.
pub(super) fn laid_on(other: &Rigid, at: Point) -> Rigid {
    other.after(&Rigid::shift(at.x, at.y, 0.0))
}

/// Sticks a panel with all of its outline, `area`, to a surface, so that these rims of what it lies on show.
pub(super) fn stuck(
    from: Surface,
    to: Surface,
    area: BezPath,
    rims: Option<Edges<Length>>,
    glue: Length,
) -> Joint {
    let kind = JointKind::Stuck {
        area: Some(area),
        covers_flap: true,
        rims,
        glue,
    };
    joint(kind, from, to)
}

/// Lets a panel cover the whole of the one it hangs on when it is folded over, backs together.
pub(super) fn covers(member: usize, over: &str, below: &str) -> Joint {
    covers_area(member, over, below, None)
}

/// Lets a panel cover an area of the one it hangs on when it is folded over, backs together.
pub(super) fn covers_area(member: usize, over: &str, below: &str, area: Option<BezPath>) -> Joint {
    joint(
        JointKind::Flush { area },
        inside(member, over),
        inside(member, below),
    )
}

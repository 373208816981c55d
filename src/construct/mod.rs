//! Constructions: boxes, sleeves, envelopes, cards and tags worked out from a few sizes.
//!
//! [`KINDS`] lists them. A [`Kind`] names its [`Parameter`]s and builds a [`Construction`] from what is [`Given`]: outlines with
//! creases and cuts, panels that know which way is up, and the [`Assembly`](crate::project::Assembly) that says what is stuck where, so
//! that the fold proof can try it. One file each. Their nets are drawn with `blank` (panels hung on panels) and `contour` (their edges);
//! `joint` has the joints in the words of a maker, `limits` what sizes are taken.
//!
//! # The model of thickness
//!
//! A crease lies in the middle of the paper. Between two creases of a right angle, a distance S apart, there are S - t inside and S + t
//! outside, t being the caliper; from a crease to a cut edge, of length e, the inside is e - t/2 deep. FEFCO measures inside sizes "on
//! the flat blank from the centre of the crease, bearing the thickness in mind", as its makers quote it; the sums are worked out by hand.

#[allow(dead_code, reason = "drawn with by each construction in part")]
mod blank;
#[allow(dead_code, reason = "drawn with by each construction in part")]
mod contour;
mod given;
mod grid;
#[allow(dead_code, reason = "drawn with by each construction in part")]
mod joint;
mod kind;
#[allow(dead_code, reason = "drawn with by each construction in part")]
mod limits;
mod made;
#[cfg(test)]
#[allow(dead_code, reason = "used by each construction in part")]
mod trial;

pub use given::{Asked, Given, Refusal, Value};
pub use grid::Grid;
pub use kind::{Kind, Parameter, ParameterKind, Usual};
pub use made::{Construction, Crease, Made};

/// All constructions, in the order they are listed to people.
pub const KINDS: &[&Kind] = &[];

/// Returns the construction of this name.
#[must_use]
pub fn named(name: &str) -> Option<&'static Kind> {
    KINDS.iter().copied().find(|kind| kind.name == name)
}

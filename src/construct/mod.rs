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
//!
//! # What the joints promise
//!
//! Every figure in a joint is what the construction comes to after it was solved on the hand grid, so the fold proof can measure it on the
//! folded middles of the paper:
//!
//! - *Stuck*: the flap's outside lies on the inside of its partner, over the flap's whole outline, nothing between. It is lifted off its
//!   partner by a paper; all sums of insides and clearances count that paper. Rims are what shows of the partner beyond a layer, a pocket's
//!   flaps, a ring or the overlap of a band.
//! - *Flush*: folded flat at its crease, a leaf covers the other one, and each flap of an envelope what it is drawn to cover of the front:
//!   so much do flaps overlap, and so far are side flaps apart.
//! - *Meet*: `from` has the free edge (or the crease of a lid), `gap` is the distance from it to the edge of `to` beside it. 0 at the
//!   corners of trays, where walls end on the line of the corner; what the last wall of a tube is cut narrower, at its seam (0 on coarse grids); how far a lid
//!   ends before the wall it closes at.
//! - *Tuck*: `depth` is how far the flap reaches beyond the edge of `to` that is nearest to the flap's own crease. A tuck flap goes in
//!   behind the upper edge of its wall; a dust flap goes in under the side edge of the lid.
//! - *Slide*: a lid comes off upwards, its travel is its depth inside. A drawer comes out to the right, its travel is the length of the
//!   sleeve. Neither is held. Clearance is what is free in all between the faces that come nearest, layers of tabs counted; members are
//!   posed closed, in the middle of it.
//!
//! Objects stand with the lower left corner of their front's creases at the origin. Walls of open trays read towards the rim, all others as
//! the finished object stands; tops and lids are read from the front, so their up is the back. Bottoms, tabs and tuck flaps have no up.

mod belly_band;
mod blank;
mod contour;
mod diamond_envelope;
mod double_slider;
mod drawer;
mod flat;
mod given;
mod grid;
mod joint;
mod kind;
mod layered_card;
mod lidded_box;
mod limits;
mod made;
mod pillow_pack;
mod tag;
mod tray;
#[cfg(test)]
mod trial;
mod tuck_carton;
mod words;

pub use given::{Asked, Given, Refusal, Value};
pub use grid::Grid;
pub use kind::{Kind, Parameter, ParameterKind, Usual};
pub use made::{Construction, Crease, Made};
pub use words::meant_by;

/// All constructions, in the order they are listed to people.
pub const KINDS: &[&Kind] = &[
    &tray::TRAY,
    &lidded_box::LIDDED_BOX,
    &drawer::DRAWER,
    &tuck_carton::TUCK_CARTON,
    &pillow_pack::KIND,
    &diamond_envelope::KIND,
    &layered_card::KIND,
    &tag::KIND,
    &belly_band::KIND,
    &double_slider::DOUBLE_SLIDER,
];

/// Room round contents in all: a thing goes in by itself and does not rattle (common practice, no source).
const USUAL_EASE: (&str, &str) = ("1 mm", "1/32 in");

/// Returns the construction of this name.
#[must_use]
pub fn named(name: &str) -> Option<&'static Kind> {
    KINDS.iter().copied().find(|kind| kind.name == name)
}

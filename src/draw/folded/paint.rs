//! What paper looks like in space: its tint, darker the more it looks away from the light, and darker inside.
//!
//! The light falls from above: what looks up is as bright as the paper, what looks to the front a little darker, what looks to the right
//! darker again, so that the three sides of a box stand out from one another (common practice, no source).

use crate::draw::picture::TINTS;
use crate::drawing::{Colour, Paint};
use crate::fold::scene::SeenPanel;
use crate::project::Face;

/// Film, and how much of it covers what is behind.
const FILM: Colour = Colour::rgb(0xd2, 0xe6, 0xf0);
const FILM_OPACITY: f64 = 0.35;

/// How much darker what looks straight to the right is.
const RIGHT: f64 = 0.20;
/// How much darker what looks straight to the front is.
const FRONT: f64 = 0.08;
/// How much darker the back of the paper is: the inside of a box.
const INSIDE: f64 = 0.13;
/// How much of all this film takes.
const ON_FILM: f64 = 0.4;

/// What a panel's paper is painted with.
pub(super) fn paper(panel: &SeenPanel, is_printed: bool) -> Paint {
    if panel.is_clear {
        return Paint::Solid {
            colour: FILM,
            opacity: FILM_OPACITY,
        };
    }
    Paint::flat(if is_printed {
        Colour::WHITE
    } else {
        TINTS[panel.piece % TINTS.len()]
    })
}

/// The shade that lies over it.
pub(super) fn shade(panel: &SeenPanel) -> Paint {
    let looks = panel.looks;
    let inside = match panel.face {
        Face::Front => 0.0,
        Face::Back => INSIDE,
    };
    let dark = RIGHT * looks.x * looks.x + FRONT * looks.y * looks.y + inside;
    Paint::Solid {
        colour: Colour::BLACK,
        opacity: if panel.is_clear { dark * ON_FILM } else { dark },
    }
}

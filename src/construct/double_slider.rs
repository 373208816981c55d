//! The double slider: drawing one panel out to the right drives another one out to the left.
//!
//! A core lies between two frames and two covers. An endless band of clear film runs round it from left to right and back, and a stiffened
//! panel is taped to each of its runs by one strip across. Core, frames and covers have one outer edge, so they are stuck flush; frames
//! keep the covers apart. A frame is a U on its side: its bar closes the end that the panel does not leave by; at the other end two
//! steps narrow it, and the shoulders at the panel's tail meet them when it is open. All is flat: nothing is folded but the film.
//!
//! # Sums
//!
//! With core width W and thickness t, strip w, seam overlap o, stops s, film f, tape a, the ends q of covers beyond the core, and the room
//! g that the film has in there where it turns:
//!
//! - tightest loop 2 (W + t); the film is cut to that and ease and o.
//! - A panel's tail reaches g beyond the core when closed, its strip begins u = s + g from its end, its shoulders are K = u + o + s long
//!   (o is not less than w) and meet the steps at the core's far edge, so travel = W + g - K = W - o - 2 s.
//! - What stays inside when open is q + K. It is a quarter of the travel at least: less would tip (common practice, no source); the
//!   shoulders grow for it.
//! - The slot holds the core, both panels with all plies, two films and a third at the seam, and tape under both panels and in the seam,
//!   for strips and seam pass each other half way. The film turns in a rectangle, which needs 5 f + a of ease.
//!
//! It is asked by what shows of each panel when open (`inside`: travel x height), by what is to be seen on it and the room round it
//! (`contents`), or over all (`outside`: covers, width x height).

mod assembled;
mod drawn;
mod sums;

use super::{Construction, Given, Kind, Parameter, ParameterKind, Refusal, Usual};
use crate::length::Length;
use crate::project::Fact;
use sums::Sums;

/// The double slider.
pub(super) const DOUBLE_SLIDER: Kind = Kind {
    name: "double-slider",
    title: "Double slider",
    about: "a flat housing with two panels on an endless clear band: drawing one out drives the other out on the opposite side",
    codes: "",
    dimensions: 2,
    sized_by: &["inside", "outside", "contents"],
    usual_ease: super::USUAL_EASE,
    parameters: PARAMETERS,
    pieces: &[
        "core",
        "frame",
        "front-cover",
        "back-cover",
        "band",
        "front-panel",
        "back-panel",
        "stiffener",
    ],
    build,
};

const fn length(
    key: &'static str,
    metric: &'static str,
    inch: &'static str,
    about: &'static str,
) -> Parameter {
    Parameter {
        key,
        kind: ParameterKind::Length,
        usual: Usual::Length { metric, inch },
        scales: false,
        about,
    }
}

/// Usual values without a source are common practice.
const PARAMETERS: &[Parameter] = &[
    length(
        "strip",
        "10 mm",
        "3/8 in",
        "width of the tape strip by which a panel hangs on the band",
    ),
    length("tape", "0.1 mm", "0.004 in", "thickness of the tape"),
    Parameter {
        key: "overlap",
        kind: ParameterKind::Length,
        usual: Usual::Follows("as wide as the strip"),
        scales: false,
        about: "overlap of the band's seam, at least as wide as the strip",
    },
    length(
        "band_ease",
        "1.5 mm",
        "1/16 in",
        "how much longer the band is than the tightest loop round the core",
    ),
    length(
        "stop",
        "3 mm",
        "1/8 in",
        "how far strips and seam stay from the core's turning edges",
    ),
    Parameter {
        key: "hold",
        kind: ParameterKind::Length,
        usual: Usual::Follows("a quarter of the travel, and what strip and stops need"),
        scales: true,
        about: "how much of a panel stays inside when it is open",
    },
    Parameter {
        key: "plies",
        kind: ParameterKind::Count,
        usual: Usual::Word("2"),
        scales: false,
        about: "plies of each panel; all but the outer one are stiffeners",
    },
    length(
        "clearance",
        "0.8 mm",
        "1/32 in",
        "room of a panel in its frame, above and below together",
    ),
    length(
        "slot_clearance",
        "0.4 mm",
        "1/64 in",
        "height left free in the slot, before and behind the core together",
    ),
    length("rail", "10 mm", "3/8 in", "width of the frames all round"),
    length(
        "catch",
        "3 mm",
        "1/8 in",
        "how far each shoulder reaches behind its stop, and 1 mm more than the clearance at least",
    ),
    length(
        "glue",
        "0.05 mm",
        "0.002 in",
        "thickness of the glue between plies",
    ),
    Parameter {
        key: "thumb",
        kind: ParameterKind::Length,
        usual: Usual::Follows("16 mm or 5/8 in, less on a low panel"),
        scales: false,
        about: "width of the half-round thumb cut in each cover; 0 for none",
    },
    length(
        "tab",
        "0 mm",
        "0 in",
        "how far a pull tab reaches out of the closed housing; 0 for none",
    ),
];

fn build(given: &Given<'_>) -> Result<Construction, Vec<Refusal>> {
    let sums = Sums::new(given)?;
    let pieces = drawn::pieces(&sums)?;
    let assembly = assembled::assembly(&DOUBLE_SLIDER, &sums, &pieces);
    Ok(Construction {
        pieces,
        assembly,
        facts: facts(given, &sums),
    })
}

fn facts(given: &Given<'_>, sums: &Sums) -> Vec<Fact> {
    let fact = |what, got: &[Length]| Fact {
        what,
        got: got.to_vec(),
        asked: None,
    };
    let shown = Fact {
        what: "shows when open",
        got: vec![sums.travel, sums.lead],
        asked: given.inside(),
    };
    let outside = Fact {
        what: "outside",
        got: vec![sums.outer_width(), sums.outer_height(), sums.thickness()],
        asked: given.outside().map(<[Length]>::to_vec),
    };
    vec![
        shown,
        outside,
        fact("travel", &[sums.travel]),
        fact("core width", &[sums.core_width]),
        fact("loop of the band", &[sums.loop_length()]),
        fact("film cut to", &[sums.cut, sums.lead]),
        fact("overlap of the seam", &[sums.overlap]),
        fact("ease of the band", &[sums.ease]),
        fact("strip from the panel's inner end", &[sums.strip_at]),
        fact(
            "nearest to a turning edge",
            &[sums.first_stop(), sums.last_stop()],
        ),
        fact("held inside when open", &[sums.held()]),
        fact("clearance of the panels", &[sums.clearance()]),
        fact("slot", &[sums.slot()]),
        fact("slot needed", &[sums.needed()]),
    ]
}

#[cfg(test)]
mod tests;

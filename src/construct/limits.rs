//! What sizes a construction is built from: what hands can fold, and what the sums hold for.

use super::{Asked, Given, Refusal};
use crate::length::Length;

/// Least inside size, in millimetres.
const LEAST_MM: i64 = 5;
/// Greatest inside size, in millimetres: no sheet of the trade's formats that makers buy holds more (common practice, no source).
const MOST_MM: i64 = 400;
/// Greatest ratio of two inside sizes.
const MOST_RATIO: i64 = 10;
/// Thinnest and thickest paper, in micrometres.
const CALIPER_UM: (i64, i64) = (50, 3000);

/// Tangent of 15 degrees, the usual taper of a glue flap: 2 - √3.
pub(super) const TAPER_TAN: f64 = 0.267_949_192_431_122_7;

/// Returns the key that the sizes were asked by.
pub(super) fn asked_key(given: &Given<'_>) -> &'static str {
    match given.asked {
        Asked::Inside(_) => "inside",
        Asked::Outside(_) => "outside",
        Asked::Contents { .. } => "contents",
    }
}

/// Returns why these inside sizes cannot be built: too small, too large, or too unlike.
pub(super) fn refused_sizes(given: &Given<'_>, inside: &[(&'static str, Length)]) -> Vec<Refusal> {
    let key = asked_key(given);
    let (least, most) = (Length::from_mm(LEAST_MM), Length::from_mm(MOST_MM));
    let limits = format!("{} to {}", given.show_least(least), given.show_most(most));
    let within = within(given);
    let beyond = inside
        .iter()
        .filter(|(_, size)| *size < least || *size > most);
    let mut refusals: Vec<Refusal> = beyond
        .map(|(name, size)| Refusal {
            key,
            message: format!(
                "the {name} comes to {}{within}, which must be {limits}",
                given.show(*size)
            ),
            hint: format!("ask for {limits}{within}"),
        })
        .collect();
    let small = inside.iter().min_by_key(|(_, size)| *size);
    let large = inside.iter().max_by_key(|(_, size)| *size);
    if let (Some((small_name, small)), Some((large_name, large)), true) =
        (small, large, refusals.is_empty())
        && *large > *small * MOST_RATIO
    {
        refusals.push(Refusal {
            key,
            message: format!(
                "the {large_name} comes to {}{within}, more than {MOST_RATIO} times the {small_name} of {}",
                given.show(*large),
                given.show(*small)
            ),
            hint: format!(
                "make the {large_name} {} or less",
                given.show_most(*small * MOST_RATIO)
            ),
        });
    }
    refusals
}

/// Says that a size is one inside, where there is an inside.
fn within(given: &Given<'_>) -> &'static str {
    let has_inside = |by: &&str| matches!(*by, "inside" | "contents");
    if given.kind.sized_by.iter().any(has_inside) {
        " inside"
    } else {
        ""
    }
}

/// Returns which of the pieces are of paper too thin or too thick to fold.
pub(super) fn refused_calipers(given: &Given<'_>) -> Vec<Refusal> {
    let show = |length: Length| given.show(length);
    let (least, most) = (Length::from_um(CALIPER_UM.0), Length::from_um(CALIPER_UM.1));
    let thick = given
        .calipers
        .iter()
        .map(|(piece, size)| (piece, size.length()));
    thick
        .filter(|(_, caliper)| *caliper < least || *caliper > most)
        .map(|(piece, caliper)| Refusal {
            key: asked_key(given),
            message: format!(
                "the paper of the {piece} is {} thick, which must be {} to {}",
                show(caliper),
                show(least),
                show(most)
            ),
            hint: "choose another stock, or correct its caliper".into(),
        })
        .collect()
}

/// Returns a refusal if a length that was given is more than the most there is room for.
pub(super) fn refused_above(
    given: &Given<'_>,
    key: &'static str,
    length: Length,
    most: Length,
    why: &str,
) -> Option<Refusal> {
    (length > most).then(|| {
        let (is, leaves) = length.told_apart(most, given.style);
        Refusal {
            key,
            message: format!("{key} is {is}, but {why} leaves {leaves}"),
            hint: format!("make it {} or less, or leave it out", given.show_most(most)),
        }
    })
}

/// Returns a refusal if a flap is too short to be folded and glued: less than a millimetre.
pub(super) fn refused_flap(
    given: &Given<'_>,
    key: &'static str,
    length: Length,
) -> Option<Refusal> {
    let least = Length::from_mm(1);
    (length < least).then(|| {
        let (is, least_told) = length.told_apart(least, given.style);
        Refusal {
            key,
            message: format!("{key} is {is}, and must be {least_told} at least"),
            hint: format!(
                "make it {} or more, or leave it out",
                given.show_least(least)
            ),
        }
    })
}

/// Returns how much shorter the far edge of a glue flap is at each end: 15 degrees from square (trade practice), less on low flaps so that
/// half of the flap's length is left.
pub(super) fn taper(given: &Given<'_>, depth: Length, length: Length) -> Length {
    let by_angle = Length::nearest_mm(depth.to_mm() * TAPER_TAN);
    let quarter = Length::from_nm(length.nm() / 4);
    let taper = by_angle.min(quarter);
    let on_grid = given.grid.nearest(taper);
    if on_grid > Length::ZERO && on_grid <= quarter {
        on_grid
    } else {
        taper
    }
}

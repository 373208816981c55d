//! What to ask for instead of what a construction refuses, found by asking it again.
//!
//! A rule of thumb beside one refusal does not know the others, nor how a length can be typed. So each length is tried in steps that the
//! project's lengths are typed in, by doubling and halving; whatever a hint names has been built.

use crate::construct::{Asked, Given, Refusal, Value};
use crate::length::{Length, LengthStyle};

/// How often a length is doubled before it is taken that more never helps.
const MOST_DOUBLINGS: u32 = 8;

/// Returns the hint of a refusal, with a value that was tried.
pub(super) fn hint(given: &Given<'_>, refusals: &[Refusal], refusal: &Refusal) -> String {
    let hint = refusal.hint.clone();
    if is_size(refusal.key) {
        let are_all_sizes = refusals.iter().all(|refusal| is_size(refusal.key));
        let sizes = are_all_sizes.then(|| sizes(given)).flatten();
        return sizes.map_or(hint.clone(), |sizes| {
            let key = asked_key(&given.asked);
            format!("{hint}; {key} = \"{sizes}\" works")
        });
    }
    if given.length_given(refusal.key).is_some() {
        let works = instead(given, refusals, refusal.key);
        return works.map_or(hint, |works| format!("make it {works}, or leave it out"));
    }
    // A usual value is refused: something that was given is to blame.
    let keys = given.kind.parameters.iter().map(|parameter| parameter.key);
    let works = keys.filter_map(|key| Some((key, instead(given, refusals, key)?)));
    works.fold(hint, |hint, (key, works)| {
        format!("{hint}, or {key} {works}")
    })
}

/// Returns the length that works instead of the one given by a key, and whether more or less do, too. What else is refused is taken as
/// usual, since it has a hint of its own.
fn instead(given: &Given<'_>, refusals: &[Refusal], key: &'static str) -> Option<String> {
    let is = given.length_given(key)?;
    let mut rest = given.clone();
    for other in refusals.iter().filter(|other| other.key != key) {
        rest.values.remove(other.key);
    }
    let builds = |length: Length| {
        let mut asked = rest.clone();
        asked.values.insert(key, Value::Length(length));
        is_built(&asked)
    };
    let works = nearest(is, given.style, builds)?;
    let more = if works < is { "less" } else { "more" };
    Some(format!("{} or {more}", works.display(given.style)))
}

/// Whether it is built, and no cut takes the place at which a panel is known: a cut as wide as its wall can.
fn is_built(given: &Given<'_>) -> bool {
    (given.kind.build)(given).is_ok_and(|built| {
        let mut pieces = built.pieces.iter();
        pieces.all(|piece| {
            let mut panels = piece.panels.iter();
            panels.all(|panel| piece.outline.contains(panel.inside_mm))
        })
    })
}

fn is_size(key: &str) -> bool {
    matches!(key, "inside" | "outside" | "contents")
}

fn asked_key(asked: &Asked) -> &'static str {
    match asked {
        Asked::Inside(_) => "inside",
        Asked::Outside(_) => "outside",
        Asked::Contents { .. } => "contents",
    }
}

/// Returns sizes that differ from those asked for along one axis, as little as can be, as a file has them.
fn sizes(given: &Given<'_>) -> Option<String> {
    let sizes = match &given.asked {
        Asked::Inside(sizes) | Asked::Outside(sizes) | Asked::Contents { sizes, .. } => sizes,
    };
    let with = |axis: usize, length: Length| {
        let mut sizes = sizes.clone();
        sizes[axis] = length;
        sizes
    };
    let builds = |axis: usize, length: Length| {
        let sizes = with(axis, length);
        let asked = match &given.asked {
            Asked::Inside(_) => Asked::Inside(sizes),
            Asked::Outside(_) => Asked::Outside(sizes),
            Asked::Contents { ease, .. } => Asked::Contents { sizes, ease: *ease },
        };
        let asked = Given {
            asked,
            ..given.clone()
        };
        is_built(&asked)
    };
    let along = |axis: usize| {
        let works = nearest(sizes[axis], given.style, |length| builds(axis, length))?;
        Some((distance(works, sizes[axis]), axis, works))
    };
    let (_, axis, works) = (0..sizes.len()).filter_map(along).min()?;
    let told = with(axis, works);
    let told: Vec<_> = told.iter().map(|l| l.display(given.style)).collect();
    Some(told.join(" x "))
}

fn distance(a: Length, b: Length) -> Length {
    if a < b { b - a } else { a - b }
}

/// Returns a length of whole steps that builds, above zero and as near to the one that does not as halving finds.
fn nearest(is: Length, style: LengthStyle, builds: impl Fn(Length) -> bool) -> Option<Length> {
    let step = step(style);
    let at = is.nm() / step.nm();
    let builds = |steps: i64| builds(step * steps);
    let lower = halvings(at).find(|steps| builds(*steps));
    let start = at.max(1);
    let upper = (1..=MOST_DOUBLINGS).map(|power| start << power);
    let upper = upper.into_iter().find(|steps| builds(*steps));
    let found = [lower, upper].into_iter().flatten();
    let found = found.map(|works| step * brought_near(works, at, builds));
    found.min_by_key(|works| distance(*works, is))
}

/// The whole number, its half, and so on, down to 1.
fn halvings(from: i64) -> impl Iterator<Item = i64> {
    std::iter::successors(Some(from), |steps| Some(steps / 2)).take_while(|steps| *steps > 0)
}

/// Returns the number of steps nearest to the one that does not build, between it and one that does.
fn brought_near(mut works: i64, mut fails: i64, builds: impl Fn(i64) -> bool) -> i64 {
    while (works - fails).abs() > 1 {
        let middle = works.midpoint(fails);
        if builds(middle) {
            works = middle;
        } else {
            fails = middle;
        }
    }
    works
}

/// The step in which lengths are tried, which any ruler of the unit shows.
fn step(style: LengthStyle) -> Length {
    match style {
        LengthStyle::InchFractions | LengthStyle::InchDecimals => Length::from_inch_fraction(1, 64),
        LengthStyle::Millimetres => Length::from_um(100),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_that_works_is_found_on_either_side() {
        // By hand: of whole tenths of a millimetre from 3.05 to 7.25 mm the nearest to 20 mm is 7.2, to 1 mm 3.1; to 0 it is 3.1, too.
        let within =
            |length: Length| length >= Length::from_um(3050) && length <= Length::from_um(7250);
        for (is_um, want_um) in [(20_000, 7200), (1000, 3100), (0, 3100)] {
            let found = nearest(Length::from_um(is_um), LengthStyle::Millimetres, within);
            assert_eq!(found, Some(Length::from_um(want_um)), "{is_um}");
        }
        // In sixty-fourths: 3.05 mm is 7.7, 7.25 mm is 18.3.
        let found = nearest(Length::from_mm(20), LengthStyle::InchFractions, within);
        assert_eq!(found, Some(Length::from_inch_fraction(18, 64)));
        let none = nearest(Length::from_mm(20), LengthStyle::Millimetres, |_| false);
        assert_eq!(none, None);
    }
}

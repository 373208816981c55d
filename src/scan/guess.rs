//! First maps from page to picture, guessed from a few marks.
//!
//! In a scan two marks give a turn, a scale and a shift; their sizes and their turns must fit already. In a photo four are needed.
//! Marks of a class that the page has once come first: there is little to confuse.

use kurbo::{Affine, Vec2};

use super::agreement::{Agreement, Kind, alike, fits};
use super::target::Target;
use crate::fit::{Homography, Pair, projective, similarity};
use crate::plan::Mark;

/// Work is bounded by the number of guesses, whatever the picture holds.
const MOST_GUESSES: usize = 20_000;
/// With this share of the marks explained no further guess is made.
const SURE: f64 = 0.8;
/// A scan is never slanted: its two scales differ by no more than this, and its axes are as square.
const UNEVEN: f64 = 0.04;

/// Returns the best agreement of marks and targets, or `None` if no guess has as many marks as it was made of.
pub(super) fn best(marks: &[Mark], targets: &[Target], kind: Kind) -> Option<Agreement> {
    let mut best: Option<Agreement> = None;
    let mut guesses = 0;
    for chosen in choices(marks, kind) {
        let partners: Vec<Vec<&Target>> = chosen
            .iter()
            .map(|mark| targets.iter().filter(|t| t.class == mark.class).collect())
            .collect();
        for found in combinations(&partners) {
            guesses += 1;
            if guesses > MOST_GUESSES {
                return best;
            }
            let Some(agreement) = tried(&chosen, &found, kind)
                .and_then(|map| Agreement::of(map, marks, targets, kind))
                .filter(|a| is_possible(a, marks, kind))
            else {
                continue;
            };
            if best.as_ref().is_none_or(|b| agreement.beats(b)) {
                best = Some(agreement);
            }
        }
        let is_sure = best.as_ref().is_some_and(|b| {
            super::agreement::count(b.found()) >= SURE * super::agreement::count(marks.len())
        });
        if is_sure {
            break;
        }
    }
    best
}

/// Returns the sets of marks to begin with, the surest first.
fn choices(marks: &[Mark], kind: Kind) -> Vec<Vec<&Mark>> {
    match kind {
        Kind::Scan => {
            let mut pairs: Vec<(usize, f64, Vec<&Mark>)> = Vec::new();
            for (i, a) in marks.iter().enumerate() {
                for b in &marks[i + 1..] {
                    let away = (a.centre - b.centre).hypot2();
                    pairs.push((alike(a, marks) * alike(b, marks), -away, vec![a, b]));
                }
            }
            pairs.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
            pairs.into_iter().map(|(_, _, pair)| pair).collect()
        }
        Kind::Photo => {
            let once: Vec<&Mark> = marks.iter().filter(|m| alike(m, marks) == 1).collect();
            fours(&once)
        }
    }
}

fn fours<'a>(marks: &[&'a Mark]) -> Vec<Vec<&'a Mark>> {
    let mut out = Vec::new();
    for a in 0..marks.len() {
        for b in a + 1..marks.len() {
            for c in b + 1..marks.len() {
                for d in c + 1..marks.len() {
                    out.push(vec![marks[a], marks[b], marks[c], marks[d]]);
                }
            }
        }
    }
    out
}

/// Returns every way to take one target for each mark, as far as the bound on guesses reaches.
fn combinations<'a>(partners: &[Vec<&'a Target>]) -> Vec<Vec<&'a Target>> {
    let mut out: Vec<Vec<&Target>> = vec![Vec::new()];
    for choice in partners {
        out = out
            .iter()
            .flat_map(|begun| {
                choice.iter().map(|target| {
                    let mut longer = begun.clone();
                    longer.push(target);
                    longer
                })
            })
            .take(MOST_GUESSES)
            .collect();
    }
    out
}

/// Returns the map of a guess if its own marks are as large and as turned as it makes them.
fn tried(marks: &[&Mark], targets: &[&Target], kind: Kind) -> Option<Homography> {
    let is_repeated =
        (1..targets.len()).any(|i| targets[..i].iter().any(|t| t.centre == targets[i].centre));
    if is_repeated {
        return None;
    }
    let pairs: Vec<Pair> = marks
        .iter()
        .zip(targets)
        .map(|(m, t)| Pair::new(m.centre, t.centre))
        .collect();
    let map = match kind {
        Kind::Scan => Homography::from_affine(similarity(&pairs).ok()?.map),
        Kind::Photo => projective(&pairs).ok()?.map,
    };
    marks
        .iter()
        .zip(targets)
        .all(|(mark, target)| fits(&map.near(mark.centre), mark, target))
        .then_some(map)
}

fn is_possible(agreement: &Agreement, marks: &[Mark], kind: Kind) -> bool {
    match kind {
        Kind::Photo => true,
        Kind::Scan => marks
            .first()
            .is_some_and(|m| is_even(&agreement.picture_from_page.near(m.centre))),
    }
}

/// Is `true` for a map with nearly one scale and square axes.
fn is_even(map: &Affine) -> bool {
    let [a, b, c, d, ..] = map.as_coeffs();
    let (x, y) = (Vec2::new(a, b), Vec2::new(c, d));
    let scale = x.cross(y).abs();
    (x.hypot2() - y.hypot2()).abs() <= 2.0 * UNEVEN * scale && x.dot(y).abs() <= UNEVEN * scale
}

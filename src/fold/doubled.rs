//! Creases on one line that are to be folded differently: no paper does that.

use kurbo::Line;

use super::arrangement::{LineKind, SNAP_MM, length_mm};
use super::code;
use super::drawn;
use super::net::{HingeBy, Net};
use super::pose::crease_deg;
use super::words::Words;
use crate::diagnostic::Diagnostic;
use crate::project::Piece;

/// Folds that differ by less are one, in degrees.
const ALIKE_DEG: f64 = 0.1;

/// Returns a finding for every two creases that lie on one line, over each other or between the same two panels, and fold differently.
pub(super) fn findings(net: &Net, piece: &Piece, words: &Words<'_>) -> Vec<Diagnostic> {
    let mut pairs: Vec<(usize, usize, Line)> = over_each_other(piece);
    pairs.extend(between_panels(net));
    pairs.retain(|(a, b, _)| (crease_deg(piece, *a) - crease_deg(piece, *b)).abs() > ALIKE_DEG);
    pairs.sort_by_key(|(a, b, _)| (*a, *b));
    pairs.dedup_by_key(|(a, b, _)| (*a, *b));
    pairs
        .into_iter()
        .map(|(a, b, line)| finding(piece, words, a, b, line))
        .collect()
}

fn over_each_other(piece: &Piece) -> Vec<(usize, usize, Line)> {
    let drawn = drawn::creases(piece);
    let lines: Vec<(usize, Line)> = drawn
        .iter()
        .filter_map(|d| match d.kind {
            LineKind::Crease(i) => Some((i, d)),
            LineKind::Edge | LineKind::Cut | LineKind::Bend(_) => None,
        })
        .flat_map(|(i, d)| d.points.windows(2).map(move |w| (i, Line::new(w[0], w[1]))))
        .collect();
    let mut pairs = Vec::new();
    for (at, (b, second)) in lines.iter().enumerate() {
        for (a, first) in &lines[..at] {
            if a != b && are_on_one_line(*first, *second) && overlap_mm(*first, *second) > SNAP_MM {
                pairs.push(((*a).min(*b), (*a).max(*b), *second));
            }
        }
    }
    pairs
}

fn between_panels(net: &Net) -> Vec<(usize, usize, Line)> {
    let creases: Vec<([usize; 2], usize, Line)> = net
        .hinges
        .iter()
        .filter_map(|h| match h.by {
            HingeBy::Crease(i) => {
                let [a, b] = h.facets.map(|f| net.facets[f].panel);
                Some(([a.min(b), a.max(b)], i, h.line))
            }
            HingeBy::Bend(_) => None,
        })
        .collect();
    let mut pairs = Vec::new();
    for (at, (panels, b, second)) in creases.iter().enumerate() {
        for (others, a, first) in &creases[..at] {
            if a != b && panels == others && are_on_one_line(*first, *second) {
                pairs.push(((*a).min(*b), (*a).max(*b), *second));
            }
        }
    }
    pairs
}

/// Whether a line goes on where another one lies.
fn are_on_one_line(a: Line, b: Line) -> bool {
    let way = a.p1 - a.p0;
    let length = length_mm(a);
    length > SNAP_MM
        && [b.p0, b.p1]
            .iter()
            .all(|p| (way.cross(*p - a.p0) / length).abs() <= SNAP_MM)
}

fn overlap_mm(a: Line, b: Line) -> f64 {
    let way = (a.p1 - a.p0) / length_mm(a);
    let at = [b.p0, b.p1].map(|p| way.dot(p - a.p0));
    at[0].max(at[1]).min(length_mm(a)) - at[0].min(at[1]).max(0.0)
}

fn finding(piece: &Piece, words: &Words<'_>, a: usize, b: usize, line: Line) -> Diagnostic {
    let fold = |i: usize| {
        let deg = crease_deg(piece, i);
        let way = if deg < 0.0 { "valley" } else { "mountain" };
        format!("{} degrees as a {way}", deg.abs())
    };
    let message = format!(
        "two creases of {} lie on one line at {} and are folded differently: {} and {}",
        words.member(),
        words.place(line.p0.midpoint(line.p1)),
        fold(a),
        fold(b)
    );
    Diagnostic::error(code::CREASE_TWICE, message)
        .at(&piece.operations[b].origin)
        .related(&piece.operations[a].origin, "the other crease")
        .hint("take one of them away, or give both the same fold and folds_to")
}

#[cfg(test)]
mod tests {
    use super::super::trial::{net, only, proved};
    use super::*;

    #[test]
    fn creases_on_one_line_are_folded_alike_or_told() {
        let sheet = |creases: &[(&str, f64)]| {
            let sheet = net("n", "M0 0 H60 V40 H0 Z", creases, &[("a", (5.0, 5.0))]);
            proved(sheet, "a", Vec::new())
        };
        assert_eq!(sheet(&[("M20 0 V40", 90.0), ("M20 0 V40", 90.0)]), []);
        assert_eq!(sheet(&[("M20 0 V20", 90.0), ("M20 20 V40", 90.0)]), []);
        let found = only(sheet(&[("M20 0 V40", 90.0), ("M20 0 V40", -90.0)]));
        assert_eq!(
            (found.code, found.message.as_str()),
            (
                code::CREASE_TWICE,
                "two creases of \"n\" lie on one line at 20 mm, 20 mm and are folded differently: 90 degrees as a mountain and 90 degrees \
                 as a valley"
            )
        );
        let found = only(sheet(&[("M20 0 V20", 90.0), ("M20 20 V40", 60.0)]));
        assert_eq!(found.code, code::CREASE_TWICE);
    }
}

//! The scoring list of a piece: positions from one edge, as they are set at a fence.

use super::crease_lines::{CreaseLine, Scored, crease_lines};
use super::embossed::is_crossed;
use super::fence::{Fence, fence};
use super::model::{GrooveFit, Score};
use crate::geometry::Outline;
use crate::length::{Length, LengthStyle, Size};
use crate::project::{Axis, Edge, Face, Fold, OperationKind, Piece, Project, ToolKind};

/// Returns a step of the maker's rule: 1/16 in, or 0.5 mm.
#[must_use]
pub(super) const fn rule_step(style: LengthStyle) -> Length {
    match style {
        LengthStyle::InchFractions | LengthStyle::InchDecimals => Length::from_inch_fraction(1, 16),
        LengthStyle::Millimetres => Length::from_um(500),
    }
}

/// Returns the nearest whole step, the farther one of two as near.
pub(super) fn stepped(length: Length, step: Length) -> Length {
    let steps = (length.nm() + step.nm() / 2).div_euclid(step.nm());
    step * steps
}

/// Returns the face that lies up while a piece is scored: the one from which most of its creases are mountains, so that the ridges below
/// come to lie inside the angle. The front where it does not matter.
///
/// Source: a crease is folded towards its bead (a board mill's paper academy), and on a grooved board the bead forms underneath.
pub(super) fn scored_face(piece: &Piece) -> Face {
    let folds_alike = |wanted: Fold| {
        let is_it = |kind: OperationKind| kind == OperationKind::Crease { fold: wanted };
        piece.operations.iter().filter(|o| is_it(o.kind)).count()
    };
    if folds_alike(Fold::Valley) > folds_alike(Fold::Mountain) {
        Face::Back
    } else {
        Face::Front
    }
}

/// Returns the scores of a piece that has this edge by then, numbered in the order they are made, and whether a fence guides them all.
pub(super) fn scores(
    project: &Project,
    piece: &Piece,
    outline: &Outline,
    face: Face,
) -> (Vec<Score>, bool) {
    let scored = Scored {
        piece,
        outline,
        face,
    };
    let (lines, are_all) = crease_lines(scored);
    let seen = scored.seen_outline();
    let ruled = Ruled {
        step: rule_step(project.job.lengths),
        size_mm: (seen.bounds().width(), seen.bounds().height()),
        board: board(project),
    };
    let mut found: Vec<Score> = Vec::new();
    let mut are_held = true;
    for axis in [Axis::X, Axis::Y] {
        let on_axis = lines.iter().filter(|line| line.axis == axis);
        let Some(fence) = fence(&seen, axis) else {
            are_held &= on_axis.count() == 0;
            continue;
        };
        let mut scores: Vec<Score> = on_axis.map(|line| ruled.score(fence, line)).collect();
        scores.sort_by_key(|score| score.at + score.off);
        found.extend(scores);
    }
    for (number, score) in (1..).zip(&mut found) {
        score.number = number;
        score.again = is_crossed(piece, &score.operations);
    }
    (found, are_all && are_held)
}

/// Reach and pitch of the first scoring board.
fn board(project: &Project) -> Option<(Size, Size)> {
    project.tools.iter().find_map(|tool| match tool.kind {
        ToolKind::ScoringBoard { reach, pitch } => Some((reach, pitch)),
        ToolKind::Embosser { .. } | ToolKind::Punch { .. } | ToolKind::Die { .. } => None,
    })
}

/// What positions are set by.
struct Ruled {
    step: Length,
    size_mm: (f64, f64),
    board: Option<(Size, Size)>,
}

impl Ruled {
    fn score(&self, fence: Fence, line: &CreaseLine) -> Score {
        let (across_mm, along_mm) = match line.axis {
            Axis::X => self.size_mm,
            Axis::Y => (self.size_mm.1, self.size_mm.0),
        };
        let near = Length::nearest_mm(line.at_mm);
        let opposite = Length::nearest_mm(across_mm) - near;
        let (truly, far) = match fence.edge {
            Edge::Left | Edge::Top => (near, opposite),
            Edge::Right | Edge::Bottom => (opposite, near),
        };
        let at = stepped(truly, self.step);
        let far = fence.has_far_end.then(|| stepped(far, self.step));
        let span = |(from, to)| (self.end(from, along_mm), self.end(to, along_mm));
        Score {
            number: 0,
            operations: line.operations.clone(),
            fence: fence.edge,
            at,
            off: truly - at,
            span: line.span_mm.map(span),
            fold: line.fold,
            folds_to_deg: line.folds_to_deg,
            again: false,
            groove: self.board.map(|board| groove_fit(board, at, far)),
        }
    }

    /// Where a score ends: at the edge of the piece, whatever its size, or at a whole step.
    fn end(&self, at_mm: f64, size_mm: f64) -> Length {
        let (at, size) = (Length::nearest_mm(at_mm), Length::nearest_mm(size_mm));
        if at_mm >= size_mm - crate::math::VERIFY_MM {
            size
        } else {
            stepped(at, self.step)
        }
    }
}

/// Returns how a score fits the grooves of a board of this reach and pitch, `far` being its distance from the opposite edge, if the piece can
/// be held by that.
pub(super) fn groove_fit(
    (reach, pitch): (Size, Size),
    at: Length,
    far: Option<Length>,
) -> GrooveFit {
    let (reach, pitch) = (reach.length(), pitch.length());
    if at > reach {
        let far = far.filter(|far| *far <= reach);
        return far.map_or(GrooveFit::BeyondReach, |at| GrooveFit::FromFarEnd { at });
    }
    let last = reach.nm() / pitch.nm();
    let nearest = (at.nm() + pitch.nm() / 2).div_euclid(pitch.nm());
    let nearest = pitch * nearest.clamp(1, last.max(1));
    if nearest == at {
        GrooveFit::InGroove
    } else {
        GrooveFit::Between {
            nearest,
            off: at - nearest,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inches(sixteenths: i64) -> Length {
        Length::from_inch_fraction(sixteenths, 16)
    }

    fn size(sixteenths: i64) -> Size {
        Size::new(inches(sixteenths)).unwrap()
    }

    #[test]
    fn a_position_lies_in_a_groove_or_beside_one_or_is_set_from_the_far_end() {
        // A 12 in board with a groove every 1/8 in, common practice, no source.
        let board = (size(192), size(2));
        let fit = |at: i64, far: Option<i64>| groove_fit(board, inches(at), far.map(inches));
        assert_eq!(fit(6, Some(2)), GrooveFit::InGroove);
        // 1 1/16 in is 1/16 in off either groove; the farther one is named.
        let between = GrooveFit::Between {
            nearest: inches(18),
            off: inches(-1),
        };
        assert_eq!(fit(17, Some(2)), between);
        // Less than half a pitch from the fence the first groove is the nearest there is.
        let first = groove_fit(board, Length::from_inch_fraction(1, 32), None);
        let off = Length::from_inch_fraction(-3, 32);
        assert_eq!(
            first,
            GrooveFit::Between {
                nearest: inches(2),
                off
            }
        );
        assert_eq!(fit(192, None), GrooveFit::InGroove);
        // 13 in of a 14 in strip.
        let from_far = GrooveFit::FromFarEnd { at: inches(16) };
        assert_eq!(fit(208, Some(16)), from_far);
        assert_eq!(fit(208, Some(208)), GrooveFit::BeyondReach);
        assert_eq!(fit(208, None), GrooveFit::BeyondReach);
    }

    #[test]
    fn a_position_is_rounded_to_the_rule_and_a_whole_step_stays() {
        let step = rule_step(LengthStyle::Millimetres);
        let rounded = |um: i64| stepped(Length::from_um(um), step);
        assert_eq!(rounded(20_150), Length::from_um(20_000));
        assert_eq!(rounded(80_450), Length::from_um(80_500));
        assert_eq!(rounded(12_500), Length::from_um(12_500));
        // 25.4 mm / 16 = 1.5875 mm.
        let step = rule_step(LengthStyle::InchFractions);
        assert_eq!(stepped(Length::from_um(3_000), step), inches(2));
        assert_eq!(stepped(inches(37), step), inches(37));
    }
}

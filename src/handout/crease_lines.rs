//! Straight creases of a piece that run along an edge of its box: those that a fence can guide.

use kurbo::{Line, PathSeg, Point};

use crate::geometry::clip_line::{clip_horizontal, clip_vertical};
use crate::geometry::{Outline, mirror_about_x};
use crate::math::{COINCIDENT_MM, VERIFY_MM};
use crate::project::{Axis, Face, Fold, Operation, OperationKind, Piece};

/// How long a stretch of paper without a crease may be before a score leaves it out, in mm: less than a bone folder can leave out.
const LEFT_OUT_MM: f64 = 0.1;

/// The creases on one line that fold alike, as one score.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct CreaseLine {
    /// Along which its position is measured: [`Axis::X`] for an upright line.
    pub(super) axis: Axis,
    /// Its position from the left or the top edge of the scored box, in mm.
    pub(super) at_mm: f64,
    /// Where it begins and ends, from the top or the left edge, in mm; `None` where it covers all paper on the line.
    pub(super) span_mm: Option<(f64, f64)>,
    /// Seen from the scored face.
    pub(super) fold: Fold,
    /// In whole degrees.
    pub(super) folds_to_deg: u32,
    /// Positions of its creases in the piece's list of operations.
    pub(super) operations: Vec<usize>,
}

/// How the piece lies while it is scored.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scored<'a> {
    pub(super) piece: &'a Piece,
    /// The edge it has by then.
    pub(super) outline: &'a Outline,
    /// The face that lies up.
    pub(super) face: Face,
}

impl Scored<'_> {
    /// A point of the piece frame as it is seen from the scored face, from the top left corner of the box.
    fn seen(self, point: Point) -> Point {
        let bounds = self.outline.bounds();
        match self.face {
            Face::Front => Point::new(point.x - bounds.x0, point.y - bounds.y0),
            Face::Back => Point::new(bounds.x1 - point.x, point.y - bounds.y0),
        }
    }

    /// Its edge as the scored face shows it, with its box at the origin.
    pub(super) fn seen_outline(self) -> Outline {
        let bounds = self.outline.bounds();
        let shifted = kurbo::Affine::translate((-bounds.x0, -bounds.y0));
        match self.face {
            Face::Front => self.outline.transformed(shifted),
            Face::Back => self
                .outline
                .transformed(shifted)
                .transformed(mirror_about_x(bounds.width() / 2.0)),
        }
    }
}

/// One straight stretch of a crease.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Stretch {
    axis: Axis,
    at_mm: f64,
    from_mm: f64,
    to_mm: f64,
    operation: usize,
    fold: Fold,
    folds_to_deg: u32,
}

/// Returns the scores of a piece, those from the left first, then those from the top, each from the fence on; and whether these are all
/// its creases.
pub(super) fn crease_lines(scored: Scored<'_>) -> (Vec<CreaseLine>, bool) {
    let mut stretches = Vec::new();
    let mut are_all = true;
    for (i, operation) in scored.piece.operations.iter().enumerate() {
        if let OperationKind::Crease { fold } = operation.kind {
            match stretches_of(scored, i, operation, fold) {
                Some(found) => stretches.extend(found),
                None => are_all = false,
            }
        }
    }
    let stretches = in_order(stretches);
    let outline = scored.seen_outline();
    let cuts = cuts_along(scored);
    let lines = alike(&stretches)
        .into_iter()
        .flat_map(|group| joined(group, &outline, &cuts));
    (lines.collect(), are_all)
}

/// Brings stretches that are drawn on one line to one position, and sorts them.
fn in_order(mut stretches: Vec<Stretch>) -> Vec<Stretch> {
    let is_second = |s: &Stretch| s.axis == Axis::Y;
    stretches.sort_by(|a, b| {
        let by_axis = is_second(a).cmp(&is_second(b));
        by_axis.then(a.at_mm.total_cmp(&b.at_mm))
    });
    for i in 1..stretches.len() {
        let before = stretches[i - 1];
        if before.axis == stretches[i].axis && stretches[i].at_mm - before.at_mm <= VERIFY_MM {
            stretches[i].at_mm = before.at_mm;
        }
    }
    let rank = |s: &Stretch| (s.fold == Fold::Valley, s.folds_to_deg);
    stretches.sort_by(|a, b| {
        let by_axis = is_second(a).cmp(&is_second(b));
        let by_place = by_axis.then(a.at_mm.total_cmp(&b.at_mm));
        let by_fold = by_place.then(rank(a).cmp(&rank(b)));
        by_fold.then(a.from_mm.total_cmp(&b.from_mm))
    });
    stretches
}

/// Returns the parts of a crease that run along an axis; `None` if any of it is slanted or curved.
fn stretches_of(
    scored: Scored<'_>,
    index: usize,
    operation: &Operation,
    fold: Fold,
) -> Option<Vec<Stretch>> {
    let fold = match scored.face {
        Face::Front => fold,
        Face::Back => fold.from_behind(),
    };
    let deg = operation.folds_to.map_or(90.0, crate::math::Angle::deg);
    let of = |segment: PathSeg| {
        let PathSeg::Line(line) = segment else {
            return None;
        };
        let (axis, at_mm, from_mm, to_mm) = along_axis(scored, line)?;
        Some(Stretch {
            axis,
            at_mm,
            from_mm,
            to_mm,
            operation: index,
            fold,
            folds_to_deg: whole(deg),
        })
    };
    operation.path.segments().map(of).collect()
}

/// Returns the axis of a line's position, the position, and where it begins and ends, if it runs along an axis.
fn along_axis(scored: Scored<'_>, line: Line) -> Option<(Axis, f64, f64, f64)> {
    let (a, b) = (scored.seen(line.p0), scored.seen(line.p1));
    let (wide, high) = ((a.x - b.x).abs(), (a.y - b.y).abs());
    if wide <= VERIFY_MM && high > wide {
        Some((Axis::X, (a.x + b.x) / 2.0, a.y.min(b.y), a.y.max(b.y)))
    } else if high <= VERIFY_MM && wide > high {
        Some((Axis::Y, (a.y + b.y) / 2.0, a.x.min(b.x), a.x.max(b.x)))
    } else {
        None
    }
}

fn whole(deg: f64) -> u32 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to what fits"
    )]
    {
        deg.abs().round().clamp(0.0, 360.0) as u32
    }
}

/// Cuts into the piece that run along an axis: no crease is there.
fn cuts_along(scored: Scored<'_>) -> Vec<(Axis, f64, f64, f64)> {
    let is_cut = |kind: OperationKind| match kind {
        OperationKind::Cut | OperationKind::Hole => true,
        OperationKind::Crease { .. }
        | OperationKind::Perforation { .. }
        | OperationKind::PartialCut
        | OperationKind::Line => false,
    };
    let cuts = scored.piece.operations.iter().filter(|o| is_cut(o.kind));
    let lines = cuts
        .flat_map(|o| o.path.segments())
        .filter_map(|s| match s {
            PathSeg::Line(line) => along_axis(scored, line),
            PathSeg::Quad(_) | PathSeg::Cubic(_) => None,
        });
    lines.collect()
}

/// Splits sorted stretches into those on one line that fold alike.
fn alike(stretches: &[Stretch]) -> Vec<&[Stretch]> {
    let is_alike = |a: &Stretch, b: &Stretch| {
        a.axis == b.axis
            && (a.at_mm - b.at_mm).abs() <= COINCIDENT_MM
            && (a.fold, a.folds_to_deg) == (b.fold, b.folds_to_deg)
    };
    stretches.chunk_by(is_alike).collect()
}

/// Joins stretches on one line that no paper parts.
fn joined(group: &[Stretch], outline: &Outline, cuts: &[(Axis, f64, f64, f64)]) -> Vec<CreaseLine> {
    let first = group[0];
    let paper = paper_on(first, outline, cuts);
    let mut runs: Vec<(f64, f64, Vec<usize>)> = Vec::new();
    for stretch in group {
        match runs.last_mut() {
            Some((_, to, operations))
                if paper_within(&paper, *to, stretch.from_mm) <= LEFT_OUT_MM =>
            {
                *to = to.max(stretch.to_mm);
                if !operations.contains(&stretch.operation) {
                    operations.push(stretch.operation);
                }
            }
            _ => runs.push((stretch.from_mm, stretch.to_mm, vec![stretch.operation])),
        }
    }
    let covers_all = |from: f64, to: f64| {
        paper_within(&paper, f64::NEG_INFINITY, from) + paper_within(&paper, to, f64::INFINITY)
            <= LEFT_OUT_MM
    };
    runs.into_iter()
        .map(|(from, to, operations)| CreaseLine {
            axis: first.axis,
            at_mm: first.at_mm,
            span_mm: (!covers_all(from, to)).then_some((from, to)),
            fold: first.fold,
            folds_to_deg: first.folds_to_deg,
            operations,
        })
        .collect()
}

/// The stretches of a line that lie on paper, without those that are cut.
fn paper_on(on: Stretch, outline: &Outline, cuts: &[(Axis, f64, f64, f64)]) -> Vec<(f64, f64)> {
    let mut paper: Vec<(f64, f64)> = match on.axis {
        Axis::X => clip_vertical(outline, on.at_mm)
            .iter()
            .map(|l| (l.p0.y, l.p1.y))
            .collect(),
        Axis::Y => clip_horizontal(outline, on.at_mm)
            .iter()
            .map(|l| (l.p0.x, l.p1.x))
            .collect(),
    };
    for (axis, at_mm, from, to) in cuts {
        if *axis == on.axis && (at_mm - on.at_mm).abs() <= VERIFY_MM {
            paper = paper
                .into_iter()
                .flat_map(|(a, b)| [(a, b.min(*from)), (a.max(*to), b)])
                .filter(|(a, b)| b > a)
                .collect();
        }
    }
    paper
}

fn paper_within(paper: &[(f64, f64)], from: f64, to: f64) -> f64 {
    let within = |(a, b): &(f64, f64)| (b.min(to) - a.max(from)).max(0.0);
    paper.iter().map(within).sum()
}

//! What each operation looks like on pictures and proofs.
//!
//! Continuous for cuts, dashes for valleys, dash-dot for mountains, as in the ISO 128 family of drawings and in paper folding
//! (common practice, no source). Any two kinds differ in dash or clearly in width, so that a grey print and a colour-blind
//! reader tell them apart; colour only helps.

use kurbo::{BezPath, Point, Vec2};

use crate::drawing::{Colour, LineCap, LineJoin, Stroke};
use crate::plan::PlannedOperation;
use crate::project::{Fold, OperationKind};

/// How an operation is drawn. In the order of a legend.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum LineKind {
    Cut,
    Hole,
    PartialCut,
    Perforation,
    Valley,
    Mountain,
    Line,
    /// What a punch, a die or trimming flush takes away later.
    Rough,
}

impl LineKind {
    /// Kind of line for a planned operation, as seen from the sheet's front.
    pub(super) fn of(operation: &PlannedOperation) -> Self {
        Self::of_kind(operation.kind)
    }

    /// Kind of line for what is done to a piece, as seen from its front.
    pub(super) fn of_kind(kind: OperationKind) -> Self {
        match kind {
            OperationKind::Cut => Self::Cut,
            OperationKind::Crease { fold: Fold::Valley } => Self::Valley,
            OperationKind::Crease {
                fold: Fold::Mountain,
            } => Self::Mountain,
            OperationKind::Perforation { .. } => Self::Perforation,
            OperationKind::PartialCut => Self::PartialCut,
            OperationKind::Hole => Self::Hole,
            OperationKind::Line => Self::Line,
        }
    }

    /// The kind seen from the other face of the sheet.
    pub(super) fn seen_from_behind(self) -> Self {
        match self {
            Self::Valley => Self::Mountain,
            Self::Mountain => Self::Valley,
            Self::Cut
            | Self::Hole
            | Self::PartialCut
            | Self::Perforation
            | Self::Line
            | Self::Rough => self,
        }
    }

    /// Name for a legend.
    pub(super) const fn label(self) -> &'static str {
        match self {
            Self::Cut => "cut",
            Self::Hole => "hole",
            Self::PartialCut => "partial cut",
            Self::Perforation => "perforation",
            Self::Valley => "valley crease",
            Self::Mountain => "mountain crease",
            Self::Line => "drawn line",
            Self::Rough => "cut first, larger",
        }
    }

    /// A level sample of it for a legend. A perforation's gaps come from its path, so its sample has gaps, too.
    pub(super) fn sample(self, from: Point, length_mm: f64) -> BezPath {
        const CUT_MM: f64 = 1.5;
        const PITCH_MM: f64 = 2.25;
        let cut_mm = match self {
            Self::Perforation => CUT_MM,
            Self::Cut
            | Self::Hole
            | Self::PartialCut
            | Self::Valley
            | Self::Mountain
            | Self::Line
            | Self::Rough => length_mm,
        };
        let mut path = BezPath::new();
        let mut start_mm = 0.0;
        while start_mm + cut_mm <= length_mm {
            path.move_to(from + Vec2::new(start_mm, 0.0));
            path.line_to(from + Vec2::new(start_mm + cut_mm, 0.0));
            start_mm += PITCH_MM;
        }
        path
    }

    /// Width and dashes.
    pub(super) fn stroke(self) -> Stroke {
        let (width_mm, dash_mm): (f64, &[f64]) = match self {
            Self::Cut => (0.25, &[]),
            Self::Hole => (0.5, &[]),
            Self::PartialCut => (0.25, &[7.0, 1.2]),
            // The plan's path is one stroke for each cut: the gaps are true.
            Self::Perforation => (0.38, &[]),
            Self::Valley => (0.25, &[2.0, 1.2]),
            Self::Mountain => (0.25, &[4.0, 0.9, 0.5, 0.9]),
            Self::Line => (0.12, &[]),
            Self::Rough => (0.15, &[1.0, 1.0]),
        };
        Stroke {
            dash_mm: dash_mm.to_vec(),
            cap: LineCap::Butt,
            join: LineJoin::Round,
            ..Stroke::solid(width_mm)
        }
    }

    /// A muted colour of its own.
    pub(super) const fn colour(self) -> Colour {
        match self {
            Self::Cut => Colour::rgb(0x3c, 0x3a, 0x40),
            Self::Hole => Colour::rgb(0x8a, 0x4b, 0x3a),
            Self::PartialCut => Colour::rgb(0x8c, 0x66, 0x24),
            Self::Perforation => Colour::rgb(0x6d, 0x4d, 0x7c),
            Self::Valley => Colour::rgb(0x2f, 0x68, 0x80),
            Self::Mountain => Colour::rgb(0x3d, 0x6b, 0x4a),
            Self::Line => Colour::rgb(0x5f, 0x5f, 0x66),
            Self::Rough => Colour::rgb(0x55, 0x60, 0x40),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [LineKind; 8] = [
        LineKind::Cut,
        LineKind::Hole,
        LineKind::PartialCut,
        LineKind::Perforation,
        LineKind::Valley,
        LineKind::Mountain,
        LineKind::Line,
        LineKind::Rough,
    ];

    /// Widths are told apart on paper if one is at least this many times the other (common practice, no source: the line groups of
    /// technical drawing step by √2).
    const CLEARLY_WIDER: f64 = 1.3;

    #[test]
    fn any_two_kinds_differ_in_dash_or_width() {
        for (i, a) in ALL.into_iter().enumerate() {
            for b in &ALL[i + 1..] {
                let (s, t) = (a.stroke(), b.stroke());
                let (thin, wide) = (s.width_mm.min(t.width_mm), s.width_mm.max(t.width_mm));
                assert!(
                    wide / thin >= CLEARLY_WIDER || dashes_differ(&s.dash_mm, &t.dash_mm),
                    "{a:?} {b:?}"
                );
            }
        }
    }

    /// Whether the patterns have a different number of strokes, or a first stroke at least twice as long.
    fn dashes_differ(a: &[f64], b: &[f64]) -> bool {
        match (a.first(), b.first()) {
            (Some(a_on), Some(b_on)) => {
                a.len() != b.len() || a_on.max(*b_on) >= 2.0 * a_on.min(*b_on)
            }
            (None, None) => false,
            (Some(_), None) | (None, Some(_)) => true,
        }
    }

    #[test]
    fn a_valley_is_a_mountain_from_behind() {
        assert_eq!(LineKind::Valley.seen_from_behind(), LineKind::Mountain);
        for kind in ALL {
            assert_eq!(kind.seen_from_behind().seen_from_behind(), kind);
        }
    }

    #[test]
    fn colours_are_distinct_and_none_is_a_command() {
        let mut seen = Vec::new();
        for kind in ALL {
            let c = kind.colour();
            assert!(!seen.contains(&c), "{kind:?}");
            seen.push(c);
            assert!(
                [c.red, c.green, c.blue]
                    .iter()
                    .all(|v| (0x20..0xe0).contains(v)),
                "{kind:?} is a pure colour"
            );
        }
    }
}

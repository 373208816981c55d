//! A piece as a template shows it.

use kurbo::{Affine, BezPath, Point, Rect, Size};

use super::caption::Caption;
use super::marks;
use crate::draw::line_kind::LineKind;
use crate::drawing::Item;
use crate::geometry::Outline;
use crate::handout::Handout;
use crate::plan::{JobPlan, Placement};
use crate::project::Project;

use super::leaf::{stroke, tagged};

/// From a piece to the words below it.
const BELOW_MM: f64 = 2.5;
/// From a piece to the words right of it.
const BESIDE_MM: f64 = 4.0;
/// Room around a piece for half the width of its lines.
pub(super) const EDGE_MM: f64 = 0.5;

/// A line of a piece.
#[derive(Debug, Clone, PartialEq)]
struct PieceLine {
    /// `cut`, `crease`, ...
    name: &'static str,
    /// `tray.crease-2`.
    id: String,
    kind: LineKind,
    /// In the piece frame.
    path: BezPath,
}

/// A piece with all that is drawn of it. Frames: the piece's, and *laid*, the same turned by a quarter or not, its box at the origin.
#[derive(Debug, Clone)]
pub(super) struct Subject<'a> {
    pub(super) project: &'a Project,
    /// Position of the piece.
    pub(super) piece: usize,
    pub(super) caption: Caption,
    lines: Vec<PieceLine>,
}

/// Whether a piece is turned by a quarter, clockwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Quarter {
    AsIs,
    Turned,
}

/// Where the words of a piece stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum WordsAt {
    Below,
    Right,
}

/// How a piece lies in its cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Lie {
    pub(super) quarter: Quarter,
    pub(super) words: WordsAt,
}

impl Lie {
    pub(super) const USUAL: Self = Self::new(Quarter::AsIs, WordsAt::Below);

    const fn new(quarter: Quarter, words: WordsAt) -> Self {
        Self { quarter, words }
    }
}

/// All of them, the best one first.
const LIES: [Lie; 4] = [
    Lie::USUAL,
    Lie::new(Quarter::Turned, WordsAt::Below),
    Lie::new(Quarter::AsIs, WordsAt::Right),
    Lie::new(Quarter::Turned, WordsAt::Right),
];

impl<'a> Subject<'a> {
    /// Every kind of piece that the plan places, in project order.
    pub(super) fn all(project: &'a Project, plan: &JobPlan, handout: &Handout) -> Vec<Self> {
        let placed = |piece: usize| {
            let placements = plan.sheets.iter().flat_map(|sheet| &sheet.placements);
            let mut of_piece = placements.filter(|p| p.piece == piece);
            let first = of_piece.clone().next();
            of_piece.find(|p| !p.pose.mirrored).or(first)
        };
        let pieces = 0..project.pieces.len();
        let known = pieces.filter_map(|piece| placed(piece).map(|p| (piece, p)));
        known
            .map(|(piece, placement)| Self {
                project,
                piece,
                caption: Caption::new(project, handout, piece),
                lines: lines(project, placement),
            })
            .collect()
    }

    pub(super) fn id(&self) -> &'a str {
        &self.project.pieces[self.piece].id
    }

    fn outline(&self) -> &'a Outline {
        &self.project.pieces[self.piece].outline
    }

    /// Width and height of the laid piece.
    pub(super) fn size(&self, quarter: Quarter) -> Size {
        let size = self.outline().bounds().size();
        match quarter {
            Quarter::AsIs => size,
            Quarter::Turned => Size::new(size.height, size.width),
        }
    }

    /// Piece frame to the laid frame.
    pub(super) fn laid_from_piece(&self, quarter: Quarter) -> Affine {
        let bounds = self.outline().bounds();
        let to_origin = Affine::translate(-bounds.origin().to_vec2());
        match quarter {
            Quarter::AsIs => to_origin,
            Quarter::Turned => Affine::new([0.0, 1.0, -1.0, 0.0, bounds.height(), 0.0]) * to_origin,
        }
    }

    /// What a piece takes on a page with its words, as it lies.
    pub(super) fn cell(&self, lie: Lie, widest_mm: f64) -> Size {
        let size = self.size(lie.quarter) + Size::new(2.0 * EDGE_MM, 2.0 * EDGE_MM);
        match lie.words {
            WordsAt::Below => {
                let width_mm = size.width.max(Caption::LEAST_MM.min(widest_mm));
                let words_mm = self.caption.height_mm(width_mm);
                Size::new(width_mm, size.height + BELOW_MM + words_mm)
            }
            WordsAt::Right => Size::new(
                size.width + BESIDE_MM + Caption::LEAST_MM,
                size.height.max(self.caption.height_mm(Caption::LEAST_MM)),
            ),
        }
    }

    /// Where in its cell the words of a piece begin, and how wide they may be.
    pub(super) fn words_at(&self, lie: Lie, cell: Rect) -> (Point, f64) {
        match lie.words {
            WordsAt::Below => {
                let words_mm = self.caption.height_mm(cell.width());
                (Point::new(cell.x0, cell.y1 - words_mm), cell.width())
            }
            WordsAt::Right => {
                let left_mm = cell.x1 - Caption::LEAST_MM;
                (Point::new(left_mm, cell.y0), Caption::LEAST_MM)
            }
        }
    }

    /// How it lies, if it goes into `field` with its words: as it is and with the words below, if that is possible.
    pub(super) fn fits(&self, field: Rect) -> Option<Lie> {
        LIES.into_iter().find(|lie| {
            let cell = self.cell(*lie, field.width());
            cell.width <= field.width() && cell.height <= field.height()
        })
    }

    pub(super) fn kinds(&self) -> impl Iterator<Item = LineKind> {
        let finish = self.project.pieces[self.piece].finish.as_ref();
        let finished = finish.map(|_| LineKind::Cut);
        self.lines.iter().map(|line| line.kind).chain(finished)
    }

    /// Everything drawn of the piece; `seen` is what of the page it may be seen in.
    pub(super) fn drawn(&self, page_from_piece: Affine, seen: Rect) -> Vec<Item> {
        let mut items = marks::hatches(self, page_from_piece);
        items.extend(marks::names(self, page_from_piece, seen));
        let finish = self.project.pieces[self.piece].finish.as_ref();
        for line in &self.lines {
            let path = page_from_piece * &line.path;
            let line_of = stroke(path, line.kind.stroke());
            items.push(tagged(line.name, &line.id, vec![line_of]));
        }
        if let Some(finish) = finish {
            let path = page_from_piece * finish.finished.path();
            let look = LineKind::Cut.stroke();
            let id = format!("{}.finished", self.id());
            items.push(tagged("finished", &id, vec![stroke(path, look)]));
        }
        items
    }
}

/// The operations of a placed piece, back in the piece frame; its outline without nicks.
fn lines(project: &Project, placement: &Placement) -> Vec<PieceLine> {
    let piece = &project.pieces[placement.piece];
    let piece_from_sheet = placement.pose.to_affine().inverse();
    let line = |operation: &crate::plan::PlannedOperation| {
        let seen = LineKind::of(operation);
        let own = operation.id.strip_prefix(placement.id.as_str());
        let own = own.unwrap_or(&operation.id);
        let kind = if own == ".outline" && piece.finish.is_some() {
            LineKind::Rough
        } else if placement.pose.mirrored {
            seen.seen_from_behind()
        } else {
            seen
        };
        let path = if own == ".outline" {
            piece.outline.outer().clone()
        } else {
            piece_from_sheet * &operation.path
        };
        PieceLine {
            name: operation.kind.name(),
            id: format!("{}{own}", piece.id),
            kind,
            path,
        }
    };
    placement.operations.iter().map(line).collect()
}

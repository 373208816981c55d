//! What has to be placed: every piece of every copy of every edition, sorted by the paper it is cut from.

use kurbo::Rect;

use crate::geometry::offset::offset;
use crate::length::Length;
use crate::project::{Face, Maker, Piece, Project, StockSide};

/// All pieces that are cut from one stock (or offcuts of it) with the same face up.
#[derive(Debug, Clone)]
pub(super) struct Group {
    /// Position of the stock.
    pub(super) stock: usize,
    /// The face of the stock that is up.
    pub(super) side: StockSide,
    /// Kinds of pieces, in the order of pieces and editions.
    pub(super) kinds: Vec<Kind>,
}

/// Pieces that are alike in everything that matters for where they may lie.
#[derive(Debug, Clone)]
pub(super) struct Kind {
    /// Position of the piece.
    pub(super) piece: usize,
    /// What is printed on it.
    pub(super) print: Print,
    /// Box of the piece with its bleed, in the piece frame.
    pub(super) bounds: Rect,
    /// By how much boxes like that must be grown before they may touch, to keep the gap between outlines.
    pub(super) slack: Length,
    /// The single pieces, copy by copy.
    pub(super) items: Vec<Item>,
}

/// What is printed on a piece, as far as it matters for its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Print {
    pub(super) front: bool,
    pub(super) back: bool,
    /// Widest bleed of any of its artwork.
    pub(super) bleed: Length,
}

/// One piece of one copy.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Item {
    /// Position of the edition.
    pub(super) edition: usize,
    /// Number of the copy, from 1 over all editions.
    pub(super) copy: u32,
    /// Number of this piece within the copy, from 1.
    pub(super) part: u32,
}

impl Item {
    /// Returns the id of this one of `piece`: `tin/lid#3`, or `tin/lid#3.2` where a copy has several.
    pub(super) fn id(self, piece: &Piece) -> String {
        if piece.per_copy == 1 {
            format!("{}#{}", piece.id, self.copy)
        } else {
            format!("{}#{}.{}", piece.id, self.copy, self.part)
        }
    }
}

impl Print {
    pub(super) fn of(project: &Project, edition: usize, piece: usize) -> Self {
        let artwork = project.artwork_of(edition, piece);
        let has = |face| artwork.iter().any(|a| a.face == face);
        Self {
            front: has(Face::Front),
            back: has(Face::Back),
            bleed: artwork
                .iter()
                .map(|a| a.bleed)
                .max()
                .unwrap_or(Length::ZERO),
        }
    }

    /// Whether anything is printed.
    pub(super) fn is_any(self) -> bool {
        self.front || self.back
    }
}

/// Returns whether the cutting machine does anything on `piece`.
pub(super) fn is_machine_cut(piece: &Piece) -> bool {
    piece.cut_by == Maker::Machine || piece.operations.iter().any(|o| o.by == Maker::Machine)
}

/// Returns everything to place: groups in the order of stocks, face A before face B.
pub(super) fn groups(project: &Project) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for piece in 0..project.pieces.len() {
        let mut first_copy = 1;
        for (edition, declared) in project.editions.iter().enumerate() {
            let copies = first_copy..first_copy + declared.copies + declared.spares;
            first_copy = copies.end;
            let group = group_for(&mut groups, project, edition, piece);
            let kind = kind_for(group, project, piece, Print::of(project, edition, piece));
            for copy in copies {
                let parts = 1..=project.pieces[piece].per_copy;
                kind.items.extend(parts.map(|part| Item {
                    edition,
                    copy,
                    part,
                }));
            }
        }
    }
    groups.sort_by_key(|g| (g.stock, g.side));
    groups
}

fn group_for<'a>(
    groups: &'a mut Vec<Group>,
    project: &Project,
    edition: usize,
    piece: usize,
) -> &'a mut Group {
    let stock = project.stock_of(edition, piece);
    let side = project.pieces[piece].shows;
    let at = groups
        .iter()
        .position(|g| g.stock == stock && g.side == side);
    let at = at.unwrap_or_else(|| {
        groups.push(Group {
            stock,
            side,
            kinds: Vec::new(),
        });
        groups.len() - 1
    });
    &mut groups[at]
}

fn kind_for<'a>(
    group: &'a mut Group,
    project: &Project,
    piece: usize,
    print: Print,
) -> &'a mut Kind {
    let at = group
        .kinds
        .iter()
        .position(|k| k.piece == piece && k.print == print);
    let at = at.unwrap_or_else(|| {
        group.kinds.push(Kind {
            piece,
            print,
            bounds: bounds_with_bleed(&project.pieces[piece], print.bleed),
            slack: slack(project.job.gap, print.bleed),
            items: Vec::new(),
        });
        group.kinds.len() - 1
    });
    &mut group.kinds[at]
}

/// The box of all that is printed, which a pointed corner's mitre makes larger than the outline's box grown by the bleed.
fn bounds_with_bleed(piece: &Piece, bleed: Length) -> Rect {
    let bounds = piece.outline.bounds();
    let grown = offset(&piece.outline, bleed.to_mm());
    grown
        .iter()
        .map(|o| o.bounds())
        .fold(bounds, |a, b| a.union(b))
}

/// Half the gap, less the bleed that keeps neighbours apart anyway.
fn slack(gap: Length, bleed: Length) -> Length {
    let half = Length::from_nm((gap.nm() + 1) / 2);
    (half - bleed).max(Length::ZERO)
}

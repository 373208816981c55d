//! What has to be placed: every piece of every copy of every edition, sorted by the paper it is cut from.
//!
//! Copies are numbered from 1 over all editions, and in each edition the spare ones come after the wanted ones. A spare copy keeps
//! its number whether its pieces find room or not, so that an id means the same piece in every plan of a job: after 12 wanted and 2
//! spare copies, copy 15 is always the first of the next edition. Pieces that are there already go into the first copies, so those that are
//! laid out keep their numbers, too.

use kurbo::Rect;

use super::bleed;
use super::place::{Shape, nm_above};
use super::trimmer::on_division;
use crate::geometry::Outline;
use crate::geometry::offset::{offset, surroundings};
use crate::length::Length;
use crate::math::FLATTEN_MM;
use crate::project::{CutBy, Face, Maker, Piece, Project, StockSide, Turns};

/// All pieces that are cut from one stock (or offcuts of it) with the same face up.
#[derive(Debug, Clone)]
pub(super) struct Group {
    /// Position of the stock.
    pub(super) stock: usize,
    /// The face of the stock that is up.
    pub(super) side: StockSide,
    /// Whether each of its pieces fills a sheet of its own.
    pub(super) fills_sheet: bool,
    /// Kinds of pieces, in the order of pieces and editions.
    pub(super) kinds: Vec<Kind>,
    /// All of them are printed in one flat colour, so that bleed may run into bleed.
    pub(super) shares_bleed: bool,
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
    /// By how much boxes like that must be grown before they may touch, to keep the gap between outlines. Negative where bleed is
    /// shared and wider than half the gap: then boxes shrink.
    pub(super) slack: Length,
    /// By how much what has to stay free for it may reach over margins and marks: the slack, or less where shared bleed, which must
    /// not, reaches out of it.
    pub(super) room: Length,
    /// Width and height of its box with bleed and slack, before any turn; for a trimmer whole divisions of its fence.
    pub(super) padded: (Length, Length),
    /// What has to stay free for it, in the frame of its padded box: its outline grown by bleed and slack. `None` if that is the
    /// whole box, as for rectangles and all that a trimmer cuts.
    pub(super) shape: Option<Shape>,
    /// The single pieces that are wanted, copy by copy.
    pub(super) wanted: Vec<Item>,
    /// Those that are welcome besides: a copy of each edition in turn, so that no edition gets all of them.
    pub(super) spares: Vec<Item>,
    /// Those whose place is decided; they are among neither of the others.
    pub(super) pinned: Vec<Item>,
}

impl Kind {
    /// The wanted pieces, then the spare ones: however many spares find room, it is the first of these that are placed.
    pub(super) fn items(&self) -> impl Iterator<Item = &Item> {
        self.wanted.iter().chain(&self.spares)
    }
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
    /// Its position in the project's list of pins, if it is pinned.
    pub(super) pin: Option<usize>,
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

/// Returns how many items these are.
pub(super) fn count(items: &[Item]) -> u32 {
    u32::try_from(items.len()).expect("fewer pieces than 2^32 are read")
}

/// Returns whether the cutting machine does anything on `piece`.
pub(super) fn is_machine_cut(piece: &Piece) -> bool {
    piece.cut_by == Maker::Machine || piece.operations.iter().any(|o| o.by == Maker::Machine)
}

/// Returns everything to place: groups in the order of stocks, face A before face B.
pub(super) fn groups(project: &Project) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    let (wanted, spares) = (wanted_copies(project), spare_copies(project));
    for piece in 0..project.pieces.len() {
        let editions = 0..project.editions.len();
        let mut there: Vec<_> = editions.map(|e| project.there(e, piece)).collect();
        for (edition, copy) in &wanted {
            let (pinned, mut free) = items(project, piece, *edition, *copy);
            let served = there[*edition].min(count(&free));
            there[*edition] -= served;
            free.drain(..served as usize);
            if !(pinned.is_empty() && free.is_empty()) {
                let kind = kind_for(&mut groups, project, *edition, piece);
                kind.wanted.extend(free);
                kind.pinned.extend(pinned);
            }
        }
        for (edition, copy) in &spares {
            let kind = kind_for(&mut groups, project, *edition, piece);
            let (pinned, free) = items(project, piece, *edition, *copy);
            kind.spares.extend(free);
            kind.pinned.extend(pinned);
        }
    }
    groups.sort_by_key(|g| (g.stock, g.side, g.fills_sheet));
    groups
}

/// All of one piece in one copy: those that are pinned, and the others.
fn items(project: &Project, piece: usize, edition: usize, copy: u32) -> (Vec<Item>, Vec<Item>) {
    let parts = 1..=project.pieces[piece].per_copy;
    let items = parts.map(|part| Item {
        edition,
        copy,
        part,
        pin: pin_of(project, piece, copy, part),
    });
    items.partition(|item| item.pin.is_some())
}

fn pin_of(project: &Project, piece: usize, copy: u32, part: u32) -> Option<usize> {
    let wanted = (piece, copy, part);
    let mut pins = project.pins.iter();
    pins.position(|pin| (pin.piece, pin.copy, pin.part) == wanted)
}

/// Edition and number of every wanted copy, edition by edition.
fn wanted_copies(project: &Project) -> Vec<(usize, u32)> {
    let editions = project.editions.iter().zip(first_copies(project));
    editions
        .enumerate()
        .flat_map(|(i, (edition, first))| (first..first + edition.copies).map(move |c| (i, c)))
        .collect()
}

/// Edition and number of every spare copy, the first of each edition before the second of any.
fn spare_copies(project: &Project) -> Vec<(usize, u32)> {
    let editions = project.editions.iter().zip(first_copies(project));
    let mut copies: Vec<_> = editions
        .enumerate()
        .flat_map(|(i, (edition, first))| {
            (0..edition.spares).map(move |turn| (turn, i, first + edition.copies + turn))
        })
        .collect();
    copies.sort_unstable();
    copies.into_iter().map(|(_, i, copy)| (i, copy)).collect()
}

/// Returns the edition that a copy is of, and whether it is a spare one; `None` for a number that no copy has.
#[must_use]
pub fn edition_of(project: &Project, copy: u32) -> Option<(usize, bool)> {
    let editions = project.editions.iter().zip(first_copies(project));
    let mut found = editions.enumerate().filter_map(|(i, (edition, first))| {
        let number = copy.checked_sub(first)?;
        (number < edition.copies + edition.spares).then_some((i, number >= edition.copies))
    });
    found.next()
}

/// Number of the first copy of each edition.
fn first_copies(project: &Project) -> Vec<u32> {
    let firsts = project.editions.iter().scan(1, |next, edition| {
        let first = *next;
        *next += edition.copies + edition.spares;
        Some(first)
    });
    firsts.collect()
}

fn group_for<'a>(
    groups: &'a mut Vec<Group>,
    project: &Project,
    edition: usize,
    piece: usize,
) -> &'a mut Group {
    let stock = project.stock_of(edition, piece);
    let Piece {
        shows: side,
        fills_sheet,
        ..
    } = project.pieces[piece];
    let is_it = |g: &Group| (g.stock, g.side, g.fills_sheet) == (stock, side, fills_sheet);
    let at = groups.iter().position(is_it);
    let at = at.unwrap_or_else(|| {
        groups.push(Group {
            stock,
            side,
            fills_sheet,
            kinds: Vec::new(),
            shares_bleed: !fills_sheet && bleed::is_shared(project, stock, side),
        });
        groups.len() - 1
    });
    &mut groups[at]
}

fn kind_for<'a>(
    groups: &'a mut Vec<Group>,
    project: &Project,
    edition: usize,
    piece: usize,
) -> &'a mut Kind {
    let print = Print::of(project, edition, piece);
    let group = group_for(groups, project, edition, piece);
    let at = group
        .kinds
        .iter()
        .position(|k| k.piece == piece && k.print == print);
    let at = at.unwrap_or_else(|| {
        let kind = new_kind(project, piece, print, group.shares_bleed);
        group.kinds.push(kind);
        group.kinds.len() - 1
    });
    &mut group.kinds[at]
}

fn new_kind(project: &Project, index: usize, print: Print, shares_bleed: bool) -> Kind {
    let piece = &project.pieces[index];
    let printed = offset(&piece.outline, print.bleed.to_mm());
    // A pointed corner's mitre makes the printed area larger than the outline's box grown by the bleed.
    let bounds = printed
        .iter()
        .map(Outline::bounds)
        .fold(piece.outline.bounds(), |a, b| a.union(b));
    let around = if shares_bleed {
        half(project.job.gap)
    } else {
        slack(project.job.gap, print.bleed) + print.bleed
    };
    let divided = |length| match piece.fills_sheet {
        true => length,
        false => on_division(project, length),
    };
    // Outlines begin on divisions, too.
    let slack = divided(around) - print.bleed;
    let padded = |side_mm| divided(Length::from_nm(nm_above(side_mm)) + slack * 2);
    let is_by_trimmer = project.job.cut_by == CutBy::Trimmer;
    let is_box = is_by_trimmer || piece.outline.is_rectangle();
    let is_upright = is_box && (is_by_trimmer || piece.turns != Turns::Any);
    let room = if shares_bleed && !is_upright {
        half(project.job.gap) - bleed::farthest(&piece.outline, &printed)
    } else {
        slack
    };
    Kind {
        piece: index,
        print,
        bounds,
        slack,
        room,
        padded: (padded(bounds.width()), padded(bounds.height())),
        shape: (!is_box).then(|| {
            let padded = bounds.inflate(slack.to_mm(), slack.to_mm());
            if shares_bleed {
                let outline = std::slice::from_ref(&piece.outline);
                padded_shape(outline, half(project.job.gap), padded)
            } else {
                padded_shape(&printed, slack, padded)
            }
        }),
        wanted: Vec::new(),
        spares: Vec::new(),
        pinned: Vec::new(),
    }
}

/// An area with a strip around it, seen from the top left corner of the padded box.
///
/// Straight sides stand in for curves, so it is grown by what they may cut off, but not past the box.
fn padded_shape(area: &[Outline], strip: Length, padded: Rect) -> Shape {
    let grown = area
        .iter()
        .flat_map(|o| surroundings(o, strip.to_mm() + FLATTEN_MM));
    let grown = grown
        .max_by(|a, b| a.area_mm2().total_cmp(&b.area_mm2()))
        .expect("an outline grown is never empty");
    let nm = |mm: f64, most_mm: f64| Length::nearest_mm(mm.clamp(0.0, most_mm)).nm();
    let mut rings = grown.flattened(FLATTEN_MM).into_iter().map(|ring| {
        let corners = ring.into_iter().map(|p| {
            [
                nm(p.x - padded.x0, padded.width()),
                nm(p.y - padded.y0, padded.height()),
            ]
        });
        corners.collect()
    });
    Shape {
        outer: rings.next().expect("an outline has an outer ring"),
        holes: rings.collect(),
    }
}

/// Half the gap, less the bleed that keeps neighbours apart anyway.
fn slack(gap: Length, bleed: Length) -> Length {
    (half(gap) - bleed).max(Length::ZERO)
}

fn half(gap: Length) -> Length {
    Length::from_nm((gap.nm() + 1) / 2)
}

#[cfg(test)]
mod tests {
    use kurbo::BezPath;

    use super::*;

    fn outline(text: &str) -> Outline {
        Outline::new(&BezPath::from_svg(text).unwrap(), 0.001).unwrap()
    }

    #[test]
    fn a_padded_frame_fills_its_box_and_keeps_its_hole() {
        // 60 x 40 with a hole of 40 x 20, padded by 1.5: a box of 63 x 43 with round corners, a hole of 37 x 17 at (13, 13).
        let frame = outline("M0 0 H60 V40 H0 Z M10 10 V30 H50 V10 Z");
        let shape = padded_shape(
            std::slice::from_ref(&frame),
            Length::from_nm(1_500_000),
            frame.bounds().inflate(1.5, 1.5),
        );
        let bounds = |ring: &[[i64; 2]]| {
            [0, 1].map(|axis| {
                let along = ring.iter().map(|p| p[axis]);
                (along.clone().min().unwrap(), along.max().unwrap())
            })
        };
        assert_eq!(bounds(&shape.outer), [(0, 63_000_000), (0, 43_000_000)]);
        assert_eq!(shape.holes.len(), 1);
        // The hole is smaller by what flattening may take from a curve.
        let [(left, right), (top, bottom)] = bounds(&shape.holes[0]);
        assert_eq!(
            (left, right, top, bottom),
            (13_005_000, 49_995_000, 13_005_000, 29_995_000)
        );
    }

    #[test]
    fn a_piece_keeps_half_the_gap_or_its_bleed_free_whichever_is_more() {
        let mm = |mm: i64| Length::from_nm(mm * 1_000_000);
        assert_eq!(slack(mm(3), Length::ZERO), Length::from_nm(1_500_000));
        assert_eq!(slack(mm(3), mm(3)), Length::ZERO);
        assert_eq!(slack(mm(3), mm(1)), Length::from_nm(500_000));
    }
}

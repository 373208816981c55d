//! What of a sheet can be used: margins, reach, bleed, marks and caption turned into one area and obstacles.
//!
//! The placer lays *padded boxes*: the box of a piece with its bleed, grown on all sides until half the gap is around the outline.
//! Then boxes that touch keep the gap between outlines and never let bleeds overlap, unless everything is of one flat colour: there
//! boxes are shrunk to half the gap around the outline, and areas and obstacles hold what of the bleed reaches out of them. Where bleed must stay between the printer's
//! margins and outlines within the cutter's reach, padded boxes may reach out farther by what the padding adds.

use kurbo::{Rect, Size};

use super::Mark;
use super::demand::{Kind, is_machine_cut};
use super::face_map::{edges_in_sheet, face_from_sheet};
use super::marks::{Scales, caption_box, clear_zones, six_marks};
use super::offcut::{self, Room};
use super::place::{Area, Shape};
use super::reach;
use super::ticks;
use crate::length::Length;
use crate::project::{CutBy, Edges, Face, MarkUse, Project, StockSide};

/// One kind of sheet made ready for the pieces of one group.
#[derive(Debug, Clone)]
pub(super) struct Ground {
    /// Position of the stock.
    pub(super) stock: usize,
    /// Size of the sheet in millimetres.
    pub(super) size: Size,
    /// Which sheet of the stock this is, if it holds pinned pieces, which are among the obstacles then.
    pub(super) pinned_sheet: Option<u32>,
    /// Where padded boxes may lie.
    pub(super) area: Area,
    /// Where padded boxes may lie if that is not the whole of `area`: on an offcut that is no rectangle.
    pub(super) outline: Option<Shape>,
    /// Where they may not.
    pub(super) obstacles: Vec<Area>,
    /// Where pieces with their bleed may lie, in millimetres.
    pub(super) usable: Rect,
    /// The face that lies up on the cutter: the printed one, the front if both or none are.
    pub(super) face_up: Face,
    /// Marks, if the sheet is to have them.
    pub(super) marks: Vec<Mark>,
    /// The band for the caption, in the frame of each page.
    pub(super) caption: Option<Rect>,
}

/// Whether marks are planned as the job asks or left out to see what they cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum MarksWish {
    AsAsked,
    LeftOut,
}

impl Ground {
    /// Makes a sheet of a stock, with that face up, ready for pieces of these kinds.
    pub(super) fn new(
        project: &Project,
        (stock, side): (usize, StockSide),
        kinds: &[&Kind],
        wish: MarksWish,
    ) -> Self {
        let paper = &project.stocks[stock];
        let size = Size::new(paper.width.to_mm(), paper.height.to_mm());
        let sheet = Area {
            x_nm: 0,
            y_nm: 0,
            width_nm: paper.width.length().nm(),
            height_nm: paper.height.length().nm(),
        };
        let use_ = Use::of(project, kinds, wish);
        let (marks, caption) = furniture(project, &use_, size);
        let blocked = blocked(project, &use_, size, &marks, caption);
        let room = kinds.iter().map(|k| k.room).min().unwrap_or(Length::ZERO);
        let out_of_boxes = (-room).max(Length::ZERO);
        let beside_bleed = |area: &Area| grown(*area, out_of_boxes);
        let (core, obstacles) = match project.job.cut_by {
            CutBy::Machine => (sheet, blocked.iter().map(beside_bleed).collect()),
            CutBy::Trimmer => (between(sheet, &blocked), Vec::new()),
        };
        let limits = kinds
            .iter()
            .map(|kind| limit(project, kind, &use_, (size, sheet), core));
        let limit = limits.reduce(intersection).unwrap_or(sheet);
        let within = paper.edge_seen(side).map_or(
            Room {
                area: limit,
                outline: None,
            },
            |edge| offcut::room(project, &edge, kinds, limit),
        );
        let usable = intersection(grown(within.area, -room), sheet);
        Self {
            stock,
            size,
            pinned_sheet: None,
            area: within.area,
            outline: within.outline,
            obstacles,
            usable: usable.to_rect_mm(),
            face_up: use_.face_up(),
            marks,
            caption,
        }
    }
}

/// What is done to sheets.
struct Use {
    /// A piece is all that is printed of them.
    is_filled: bool,
    front: bool,
    back: bool,
    /// Some pieces are printed on the back alone, so that a sheet of just those lies back up on the cutter.
    back_alone: bool,
    marks: bool,
}

impl Use {
    fn of(project: &Project, kinds: &[&Kind], wish: MarksWish) -> Self {
        let front = kinds.iter().any(|k| k.print.front);
        let back = kinds.iter().any(|k| k.print.back);
        let is_cut = || {
            kinds
                .iter()
                .any(|k| is_machine_cut(&project.pieces[k.piece]))
        };
        let is_filled = kinds.iter().any(|k| project.pieces[k.piece].fills_sheet);
        let marks = match project.job.marks {
            MarkUse::Auto => is_cut(),
            MarkUse::Always => true,
            MarkUse::Never => false,
        };
        Self {
            is_filled,
            front,
            back,
            back_alone: kinds.iter().any(|k| k.print.back && !k.print.front),
            marks: marks && !is_filled && (front || back) && wish == MarksWish::AsAsked,
        }
    }

    fn face_up(&self) -> Face {
        if self.back && !self.front {
            Face::Back
        } else {
            Face::Front
        }
    }

    /// All faces that may lie up on the cutter.
    fn faces_up(&self) -> impl Iterator<Item = Face> {
        let other = (self.front && self.back_alone).then_some(Face::Back);
        std::iter::once(self.face_up()).chain(other)
    }

    fn printed_faces(&self) -> impl Iterator<Item = Face> {
        let front = self.front.then_some(Face::Front);
        front.into_iter().chain(self.back.then_some(Face::Back))
    }
}

/// The marks in the sheet frame, and the band for the caption in the frame of each page.
fn furniture(project: &Project, use_: &Use, size: Size) -> (Vec<Mark>, Option<Rect>) {
    let turn_over = project.job.turn_over;
    let face_up = use_.face_up();
    let for_marks = edges_in_sheet(reach::for_marks(project, size, face_up), face_up, turn_over);
    let marks = if use_.marks {
        six_marks(
            size,
            in_mm(for_marks),
            face_from_sheet(face_up, size, turn_over),
        )
    } else {
        Vec::new()
    };
    // One band serves all printed faces, and stands clear of the marks.
    let seen = use_.printed_faces().map(|face| {
        let in_sheet = reach::unprintable(project, size, face);
        edges_in_sheet(in_sheet, face, turn_over)
    });
    let seen = seen.filter(|_| project.job.caption && !use_.is_filled);
    let for_caption = seen.reduce(reach::wider).map(|seen| match marks[..] {
        [] => seen,
        [..] => reach::wider(seen, for_marks),
    });
    let beside = (!marks.is_empty()).then(|| Scales::on(project, size));
    let caption = for_caption.and_then(|edges| caption_box(size, in_mm(edges), beside));
    (marks, caption)
}

fn in_mm(edges: Edges<Length>) -> Edges<f64> {
    Edges {
        top: edges.top.to_mm(),
        right: edges.right.to_mm(),
        bottom: edges.bottom.to_mm(),
        left: edges.left.to_mm(),
    }
}

/// What marks and captions take, in the sheet frame.
fn blocked(
    project: &Project,
    use_: &Use,
    size: Size,
    marks: &[Mark],
    caption: Option<Rect>,
) -> Vec<Area> {
    let captions = use_.printed_faces().filter_map(|face| {
        let to_sheet = face_from_sheet(face, size, project.job.turn_over);
        caption.map(|band| to_sheet.transform_rect_bbox(band))
    });
    let mut blocked: Vec<Area> = marks
        .iter()
        .flat_map(|mark| clear_zones(mark, size, Scales::on(project, size)))
        .chain(captions)
        .map(covering)
        .collect();
    blocked.dedup();
    blocked
}

/// The part of the sheet inside all strips at its edges that hold something: what a trimmer can use.
fn between(sheet: Area, blocked: &[Area]) -> Area {
    let (mid_x, mid_y) = (sheet.width_nm / 2, sheet.height_nm / 2);
    let mut core = sheet;
    for strip in blocked {
        let is_wide = strip.width_nm > strip.height_nm;
        let (x, y) = (
            strip.x_nm + strip.width_nm / 2,
            strip.y_nm + strip.height_nm / 2,
        );
        let (mut left, mut right) = (core.x_nm, core.right_nm());
        let (mut top, mut bottom) = (core.y_nm, core.bottom_nm());
        match (is_wide, x < mid_x, y < mid_y) {
            (true, _, true) => top = top.max(strip.bottom_nm()),
            (true, _, false) => bottom = bottom.min(strip.y_nm),
            (false, true, _) => left = left.max(strip.right_nm()),
            (false, false, _) => right = right.min(strip.x_nm),
        }
        core = Area::from_edges(left, top, right, bottom);
    }
    core
}

/// Where the padded boxes of one kind of piece may lie.
fn limit(
    project: &Project,
    kind: &Kind,
    use_: &Use,
    (size, sheet): (Size, Area),
    core: Area,
) -> Area {
    let room = kind.room;
    let mut limit = grown(core, room);
    let printed = [
        (kind.print.front, Face::Front),
        (kind.print.back, Face::Back),
    ];
    for (_, face) in printed.into_iter().filter(|(is_printed, _)| *is_printed) {
        let unprintable = reach::unprintable(project, size, face);
        let printable = intersection(core, shrunk(sheet, unprintable));
        let beside_ticks = shrunk(printable, tick_room(project, use_));
        limit = intersection(limit, grown(beside_ticks, room));
    }
    if is_machine_cut(&project.pieces[kind.piece]) {
        for face in use_.faces_up() {
            let reach = shrunk(sheet, reach::out_of_reach(project, size, face));
            limit = intersection(limit, grown(reach, kind.print.bleed + kind.slack));
        }
    }
    limit
}

/// What stays free beside printed pieces, so that a trimmer's first cuts find their ticks.
fn tick_room(project: &Project, use_: &Use) -> Edges<Length> {
    let room = match project.job.cut_by {
        CutBy::Trimmer if !use_.is_filled => ticks::ROOM,
        CutBy::Trimmer | CutBy::Machine => Length::ZERO,
    };
    Edges {
        right: room,
        bottom: room,
        ..Edges::all(Length::ZERO)
    }
}

fn intersection(a: Area, b: Area) -> Area {
    Area::from_edges(
        a.x_nm.max(b.x_nm),
        a.y_nm.max(b.y_nm),
        a.right_nm().min(b.right_nm()),
        a.bottom_nm().min(b.bottom_nm()),
    )
}

fn grown(area: Area, by: Length) -> Area {
    let by = by.nm();
    Area::from_edges(
        area.x_nm - by,
        area.y_nm - by,
        area.right_nm() + by,
        area.bottom_nm() + by,
    )
}

fn shrunk(area: Area, by: Edges<Length>) -> Area {
    Area::from_edges(
        area.x_nm + by.left.nm(),
        area.y_nm + by.top.nm(),
        area.right_nm() - by.right.nm(),
        area.bottom_nm() - by.bottom.nm(),
    )
}

/// Returns the smallest area of whole nanometres that holds `rect`.
pub(super) fn covering(rect: Rect) -> Area {
    use super::place::{nm_above, nm_below};
    Area::from_edges(
        nm_below(rect.x0),
        nm_below(rect.y0),
        nm_above(rect.x1),
        nm_above(rect.y1),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHEET: Area = Area {
        x_nm: 0,
        y_nm: 0,
        width_nm: 100,
        height_nm: 200,
    };

    #[test]
    fn a_trimmer_keeps_to_the_part_between_marks_and_caption() {
        // Marks of 8 in the corners inside margins of 5, and a caption of 74 x 8 at the bottom.
        let mark = |x, y| Area::from_edges(x, y, x + 8, y + 8);
        let blocked = [
            mark(5, 5),
            mark(87, 5),
            mark(87, 187),
            mark(5, 187),
            Area::from_edges(13, 187, 87, 195),
        ];
        assert_eq!(between(SHEET, &blocked), Area::from_edges(13, 0, 87, 187));
        assert_eq!(between(SHEET, &[]), SHEET);
    }

    #[test]
    fn growing_and_shrinking_move_every_edge() {
        assert_eq!(
            grown(SHEET, Length::from_nm(3)),
            Area::from_edges(-3, -3, 103, 203)
        );
        let edges = Edges {
            top: 1,
            right: 2,
            bottom: 3,
            left: 4,
        };
        let edges = Edges {
            top: Length::from_nm(edges.top),
            right: Length::from_nm(edges.right),
            bottom: Length::from_nm(edges.bottom),
            left: Length::from_nm(edges.left),
        };
        assert_eq!(shrunk(SHEET, edges), Area::from_edges(4, 1, 98, 197));
    }

    #[test]
    fn an_area_covers_what_lies_between_nanometres() {
        let covered = covering(Rect::new(0.000_000_4, 1.0, 2.000_000_4, 3.0));
        assert_eq!(
            covered,
            Area::from_edges(0, 1_000_000, 2_000_001, 3_000_000)
        );
    }
}

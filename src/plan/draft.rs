//! Pieces on sheets, before it is said which copy each of them is.
//!
//! This file says what is asked of a [`Placer`]: it turns sheets and pieces of a group into areas and padded boxes, and places back into
//! poses.

use super::demand::{Group, Item, Kind, count};
use super::feed;
use super::ground::{Ground, MarksWish};
use super::place::{
    Cutting, Effort, NoWatch, PartKind, Place, Placer, Request, SheetKind, TurnSet,
};
use super::turns;
use kurbo::Vec2;

use crate::geometry::Pose;
use crate::length::Length;
use crate::math::{Angle, round_to};
use crate::project::{CutBy, Project, StockFace};

/// A filled sheet, made once or more often.
#[derive(Debug, Clone)]
pub(super) struct Draft {
    /// Position of the group.
    pub(super) group: usize,
    pub(super) ground: Ground,
    pub(super) runs: u32,
    pub(super) places: Vec<DraftPlace>,
}

/// A piece on a sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct DraftPlace {
    /// Position of the kind in its group.
    pub(super) kind: usize,
    pub(super) pose: Pose,
    /// The item that lies here, if it is pinned.
    pub(super) pinned: Option<Item>,
}

/// All sheets.
#[derive(Debug, Clone)]
pub(super) struct Drafts {
    /// In the order of stocks, those with pins first, then of groups.
    pub(super) sheets: Vec<Draft>,
    /// What found no place: for each group, for each kind.
    pub(super) leftovers: Vec<Vec<u32>>,
    /// What is placed besides what is wanted: for each group, for each kind.
    pub(super) spares: Vec<Vec<u32>>,
    /// Whole sheets that no layout of what is placed can go below: for each group.
    pub(super) bounds: Vec<u32>,
    /// Whether the search was stopped.
    pub(super) is_stopped: bool,
}

/// Returns the sheets that pieces of a group may be cut from: offcuts in project order, then the stock itself.
pub(super) fn grounds(project: &Project, group: &Group, wish: MarksWish) -> Vec<Ground> {
    let stocks = (0..project.stocks.len()).filter(|s| is_offcut_of(project, *s, group.stock));
    let sheets = stocks.chain([group.stock]).map(|stock| {
        let kinds = group
            .kinds
            .iter()
            .filter(|kind| may_use(project, group, stock, kind));
        Ground::new(
            project,
            (stock, group.side),
            &kinds.collect::<Vec<_>>(),
            wish,
        )
    });
    sheets.collect()
}

/// Returns how many more sheets of its own stock hold what is left over of a group, `left` of each kind.
pub(super) fn sheets_for_rest(
    project: &Project,
    group: &Group,
    left: &[u32],
    placer: &dyn Placer,
) -> u32 {
    let mut grounds = grounds(project, group, MarksWish::AsAsked);
    let whole = grounds.split_off(grounds.len() - 1);
    let any_number = vec![None; project.stocks.len()];
    let mut request = request(project, group, &whole, &any_number, Effort::Quick);
    for (part, left) in request.parts.iter_mut().zip(left) {
        (part.demand, part.spares) = (*left, 0);
    }
    placer.place(&request, &NoWatch).layout.sheet_count()
}

/// Returns the turns a kind of piece may take on a sheet; none where the sheet is no good for it.
pub(super) fn turns_on(project: &Project, group: &Group, stock: usize, kind: &Kind) -> TurnSet {
    if may_use(project, group, stock, kind) {
        turns::allowed(
            &project.job,
            &project.pieces[kind.piece],
            &project.stocks[stock],
            group.side,
        )
    } else {
        TurnSet::EMPTY
    }
}

/// Returns width and height of a piece's padded box before any turn.
pub(super) fn box_nm(kind: &Kind) -> (i64, i64) {
    (kind.padded.0.nm(), kind.padded.1.nm())
}

fn is_offcut_of(project: &Project, stock: usize, whole: usize) -> bool {
    let parent = |s: usize| project.stocks[s].offcut_of;
    // No chain of offcuts is longer than the list of stocks, even if it runs in a circle.
    std::iter::successors(parent(stock), |s| parent(*s))
        .take(project.stocks.len())
        .any(|s| s == whole)
}

/// Whether the printer can do on an offcut what the piece asks for. Of the declared stock `feed` speaks, with an error.
fn may_use(project: &Project, group: &Group, stock: usize, kind: &Kind) -> bool {
    let sheet = &project.stocks[stock];
    let is_printable = |face: &StockFace| matches!(face, StockFace::Printable);
    let front = sheet.face(group.side);
    let back = sheet.face(group.side.other());
    let has_faces =
        (!kind.print.front || is_printable(front)) && (!kind.print.back || is_printable(back));
    stock == group.stock
        || !kind.print.is_any()
        || (has_faces && feed::printer_takes(&project.printer, sheet))
}

/// Returns what is asked of the placer for a group, with so many sheets left of each stock.
pub(super) fn request(
    project: &Project,
    group: &Group,
    grounds: &[Ground],
    on_hand: &[Option<u32>],
    effort: Effort,
) -> Request {
    let sheets = grounds
        .iter()
        .map(|ground| sheet_kind(project, ground, on_hand[ground.stock]));
    let parts = group.kinds.iter().map(|kind| {
        let (width_nm, height_nm) = box_nm(kind);
        PartKind {
            width_nm,
            height_nm,
            shape: kind.shape.clone(),
            spares: count(&kind.spares),
            per_kit: project.pieces[kind.piece].per_copy,
            may_mirror: may_mirror(project, kind, grounds),
            demand: count(&kind.wanted),
            turns: grounds
                .iter()
                .map(|g| turns_on(project, group, g.stock, kind))
                .collect(),
        }
    });
    Request {
        sheets: sheets.collect(),
        parts: parts.collect(),
        cutting: match project.job.cut_by {
            CutBy::Machine if project.job.rows => Cutting::Rows,
            CutBy::Machine => Cutting::Outlines,
            CutBy::Trimmer => Cutting::EdgeToEdge {
                reach_nm: Some(project.trimmer.reach.length().nm()),
            },
        },
        best: project.job.best,
        effort,
    }
}

/// A sheet with pins is opened anyway: there is one, it is used up first and costs nothing more.
fn sheet_kind(project: &Project, ground: &Ground, on_hand: Option<u32>) -> SheetKind {
    let stock = &project.stocks[ground.stock];
    let is_opened = ground.pinned_sheet.is_some();
    let price = stock.price.as_ref().filter(|_| !is_opened);
    SheetKind {
        area: ground.area,
        outline: ground.outline.clone(),
        obstacles: ground.obstacles.clone(),
        limit: if is_opened { Some(1) } else { on_hand },
        is_offcut: is_opened || stock.offcut_of.is_some(),
        price_hundredths: price.map_or(0, |p| p.hundredths),
    }
}

/// Whether a kind of piece may lie front down on every kind of sheet it may be cut from.
fn may_mirror(project: &Project, kind: &Kind, grounds: &[Ground]) -> bool {
    let are_alike = |ground: &Ground| project.stocks[ground.stock].has_faces_alike();
    let may = project.pieces[kind.piece].may_mirror && !kind.print.is_any();
    may && grounds.iter().all(are_alike)
}

/// The pose of a piece whose padded box lies at `place`.
pub(super) fn draft_place(group: &Group, place: &Place) -> DraftPlace {
    let kind = &group.kinds[place.kind];
    let lies = Pose {
        turn: Angle::from_deg(f64::from(place.turn_mdeg) / 1000.0),
        mirrored: place.is_mirrored,
        ..Pose::identity()
    };
    let slack_mm = kind.slack.to_mm();
    // The corner of its padded box that is the top left one before the turn: the other one if it lies front down.
    let across_mm = if place.is_mirrored {
        Length::from_nm(box_nm(kind).0).to_mm()
    } else {
        0.0
    };
    let corner = kind.bounds.origin() + Vec2::new(across_mm - slack_mm, -slack_mm);
    let corner = lies.to_affine() * corner;
    // Whole nanometres, as written to `plan.json`; adding zero turns -0 into 0.
    let whole = |nm: i64, mm: f64| round_to(Length::from_nm(nm).to_mm() - mm, 1_000_000) + 0.0;
    DraftPlace {
        kind: place.kind,
        pinned: None,
        pose: Pose {
            x_mm: whole(place.x_nm, corner.x),
            y_mm: whole(place.y_nm, corner.y),
            ..lies
        },
    }
}

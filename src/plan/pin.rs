//! Pieces pinned by hand: where they lie, what they take from their sheet, and what is wrong with them.
//!
//! A sheet with pins is a kind of sheet of its own, of which there is one: the placer sees the pinned pieces as obstacles and lays
//! the rest around them. Such sheets come before all others of their stock.

use std::collections::BTreeSet;

use super::demand::{Group, Item, Kind};
use super::draft::{Draft, DraftPlace, grounds, turns_on};
use super::ground::{Ground, MarksWish, covering};
use super::place::{Area, TurnSet};
use super::reach;
use super::unplaced::typed_step;
use crate::diagnostic::{Diagnostic, sort_by_place};
use crate::geometry::distance::distance_mm;
use crate::geometry::offset::offset;
use crate::geometry::overlap::overlaps;
use crate::geometry::{Outline, Pose};
use crate::length::Length;
use crate::math::round_to;
use crate::project::{Face, Pin, Project};

/// What rounding may take from a distance, in millimetres.
const ALLOWED_MM: f64 = 0.001;

/// A pinned piece of one group.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pinned<'a> {
    /// Position in the project's list of pins.
    pub(super) index: usize,
    pub(super) pin: &'a Pin,
    /// Position of the kind in its group.
    pub(super) kind: usize,
    pub(super) item: Item,
}

/// Returns the pinned pieces of a group.
pub(super) fn pinned<'a>(project: &'a Project, group: &Group) -> Vec<Pinned<'a>> {
    let mut found = Vec::new();
    for (kind, of_kind) in group.kinds.iter().enumerate() {
        for item in &of_kind.pinned {
            let index = item.pin.expect("only pinned items are among those");
            found.push(Pinned {
                index,
                pin: &project.pins[index],
                kind,
                item: *item,
            });
        }
    }
    found
}

/// Returns the sheets of each stock that are left for what is not pinned; `None` is any number.
pub(super) fn left_on_hand(project: &Project) -> Vec<Option<u32>> {
    let opened = |stock: usize| {
        let own = project.pins.iter().filter(|pin| pin.stock == stock);
        own.map(|pin| pin.sheet).max().unwrap_or(0)
    };
    let stocks = project.stocks.iter().enumerate();
    stocks
        .map(|(index, stock)| Some(stock.on_hand?.saturating_sub(opened(index))))
        .collect()
}

/// Returns the sheets that pins of a group stand on, with what is pinned among their obstacles, in the order of stocks and numbers.
pub(super) fn sheets(
    project: &Project,
    group: &Group,
    grounds: &[Ground],
    pinned: &[Pinned<'_>],
) -> Vec<Ground> {
    let numbers: BTreeSet<(usize, u32)> =
        pinned.iter().map(|p| (p.pin.stock, p.pin.sheet)).collect();
    let sheet = |(stock, number): (usize, u32)| {
        let mut ground = grounds.iter().find(|g| g.stock == stock)?.clone();
        ground.pinned_sheet = Some(number);
        let own = pinned.iter().filter(|p| p.lies_on(&ground));
        let taken: Vec<Area> = own
            .map(|p| taken(project, &group.kinds[p.kind], p.pin))
            .collect();
        ground.obstacles.extend(taken);
        Some(ground)
    };
    numbers.into_iter().filter_map(sheet).collect()
}

/// Adds what is pinned to the sheets of a group, and the sheets that hold nothing else.
pub(super) fn add(
    project: &Project,
    group: usize,
    grounds: &[Ground],
    pinned: &[Pinned<'_>],
    drafts: &mut Vec<Draft>,
) {
    for ground in grounds.iter().filter(|g| g.pinned_sheet.is_some()) {
        let own = pinned.iter().filter(|p| p.lies_on(ground));
        let places = own.map(|p| DraftPlace {
            kind: p.kind,
            pose: pose(project, p.pin),
            pinned: Some(p.item),
        });
        let is_this = |d: &&mut Draft| {
            let (a, b) = (&d.ground, ground);
            d.group == group && (a.stock, a.pinned_sheet) == (b.stock, b.pinned_sheet)
        };
        match drafts.iter_mut().find(is_this) {
            Some(draft) => drop(draft.places.splice(0..0, places)),
            None => drafts.push(Draft {
                group,
                ground: ground.clone(),
                runs: 1,
                places: places.collect(),
            }),
        }
    }
}

impl Pinned<'_> {
    fn lies_on(&self, sheet: &Ground) -> bool {
        self.pin.stock == sheet.stock && Some(self.pin.sheet) == sheet.pinned_sheet
    }
}

/// Returns the place that a pin asks for, in whole nanometres.
pub(super) fn pose(project: &Project, pin: &Pin) -> Pose {
    let turned = Pose {
        turn: pin.turn,
        ..Pose::identity()
    };
    let bounds = project.pieces[pin.piece]
        .outline
        .transformed(turned.to_affine())
        .bounds();
    let whole = |to: Length, from_mm: f64| round_to(to.to_mm() - from_mm, 1_000_000) + 0.0;
    Pose {
        turn: pin.turn,
        ..Pose::at(whole(pin.x, bounds.x0), whole(pin.y, bounds.y0))
    }
}

/// Returns the area that a pinned piece takes from others: the box of its outline and bleed as they lie, padded.
fn taken(project: &Project, kind: &Kind, pin: &Pin) -> Area {
    lies(project, kind, pin, kind.slack)
}

/// The box of a pinned piece's outline and bleed as they lie, grown.
fn lies(project: &Project, kind: &Kind, pin: &Pin, by: Length) -> Area {
    let map = pose(project, pin).to_affine();
    let outline = &project.pieces[pin.piece].outline;
    let printed = offset(outline, kind.print.bleed.to_mm());
    let boxes = printed.iter().map(|o| o.transformed(map).bounds());
    let lies = boxes.fold(outline.transformed(map).bounds(), |a, b| a.union(b));
    covering(lies.inflate(by.to_mm(), by.to_mm()))
}

/// Returns what is wrong with the pins of a job, sorted by place: turned as a piece may not be, outside what can be used of a sheet, on
/// a mark or the caption, too near to each other, or with a piece on their sheet that cannot share it.
#[must_use]
pub fn misplaced_pins(project: &Project) -> Vec<Diagnostic> {
    if project.pins.is_empty() {
        return Vec::new();
    }
    let groups = super::demand::groups(project);
    let mut found = Vec::new();
    let mut owners: Vec<((usize, u32), usize, &Pin)> = Vec::new();
    for (index, group) in groups.iter().enumerate() {
        let grounds = grounds(project, group, MarksWish::AsAsked);
        let pinned = pinned(project, group);
        for one in &pinned {
            let kind = &group.kinds[one.kind];
            let ground = grounds.iter().find(|g| g.stock == one.pin.stock);
            let ground = ground.expect("a pin names its piece's stock or an offcut of that");
            let turns = turns_on(project, group, ground.stock, kind);
            found.extend(forbidden_turn(project, one.pin, turns));
            found.extend(outside(project, one.pin, kind, ground));
            found.extend(on_furniture(project, one.pin, kind, ground));
            found.extend(off_offcut(project, one.pin));
            let sheet = (one.pin.stock, one.pin.sheet);
            match owners.iter().find(|(s, ..)| *s == sheet) {
                Some((_, owner, first)) if *owner != index => {
                    found.push(parted(project, one.pin, first));
                }
                Some(_) => {}
                None => owners.push((sheet, index, one.pin)),
            }
        }
        found.extend(too_near(project, group, &pinned));
    }
    sort_by_place(&mut found);
    found
}

fn error(code: &'static str, pin: &Pin, text: String) -> Diagnostic {
    Diagnostic::error(code, text).at(&pin.origin)
}

fn name(project: &Project, pin: &Pin) -> String {
    let item = Item {
        edition: 0,
        copy: pin.copy,
        part: pin.part,
        pin: None,
    };
    item.id(&project.pieces[pin.piece])
}

fn forbidden_turn(project: &Project, pin: &Pin, turns: TurnSet) -> Option<Diagnostic> {
    let quarters = (0..4_u8).filter(|q| turns.has(*q));
    let quarters: Vec<f64> = quarters.map(|q| 90.0 * f64::from(q)).collect();
    let is_meant = |deg: &f64| (pin.turn.deg() - deg).abs() < 0.0005;
    if turns.is_any() || quarters.iter().any(is_meant) {
        return None;
    }
    let stock = &project.stocks[pin.stock].id;
    let text = |deg: f64| format!("{} deg", round_to(deg, 1000));
    let allowed: Vec<String> = quarters.iter().map(|deg| text(*deg)).collect();
    let message = format!(
        "{} is pinned turned by {}, on \"{stock}\" it may be turned by {}",
        name(project, pin),
        text(pin.turn.deg()),
        if allowed.is_empty() {
            "nothing".to_owned()
        } else {
            allowed.join(", ")
        }
    );
    let off = |deg: &&f64| {
        let off = (pin.turn.deg() - **deg).abs();
        off.min(360.0 - off)
    };
    let nearest = quarters.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
    let hint = match nearest {
        Some(deg) => format!("type `turn = \"{}\"`", text(*deg)),
        None => "free its `turns`, `grain` or `pattern_up`, or leave the pin out".to_owned(),
    };
    Some(error("plan.pin-turn", pin, message).hint(hint))
}

/// A padded box that leaves the area.
fn outside(project: &Project, pin: &Pin, kind: &Kind, ground: &Ground) -> Option<Diagnostic> {
    let box_ = lies(project, kind, pin, kind.room);
    if ground.area.contains(box_) {
        return None;
    }
    let area = ground.area;
    let room = kind.room.nm();
    let spell = |start: i64, end: i64| {
        let text = |nm: i64| Length::from_nm(nm).display(project.job.lengths);
        format!("{} to {}", text(start + room), text(end - room))
    };
    let mut wrong = Vec::new();
    let mut hints = Vec::new();
    let sides = [
        (
            "across",
            "x",
            pin.x,
            (box_.x_nm, box_.right_nm()),
            (area.x_nm, area.right_nm()),
        ),
        (
            "down",
            "y",
            pin.y,
            (box_.y_nm, box_.bottom_nm()),
            (area.y_nm, area.bottom_nm()),
        ),
    ];
    for (way, key, now, own, room) in sides {
        if own.0 >= room.0 && own.1 <= room.1 {
            continue;
        }
        wrong.push(format!(
            "{way} from {}, usable is {}",
            spell(own.0, own.1),
            spell(room.0, room.1)
        ));
        if own.1 - own.0 <= room.1 - room.0 {
            let least = now.nm() + room.0 - own.0;
            let most = now.nm() + room.1 - own.1;
            let step = typed_step(project.job.lengths).nm();
            let rounded = if own.0 < room.0 {
                ((least + step - 1).div_euclid(step) * step).min(most)
            } else {
                (most.div_euclid(step) * step).max(least)
            };
            let to = Length::from_nm(rounded).display(project.job.lengths);
            hints.push(format!("type `{key} = \"{to}\"`"));
        }
    }
    let message = format!(
        "{} is pinned outside what can be used of \"{}\": {}{}",
        name(project, pin),
        project.stocks[pin.stock].id,
        wrong.join("; "),
        lost_text(project, kind, ground, box_)
    );
    let error = error("plan.pin-outside", pin, message);
    Some(if hints.is_empty() {
        error.hint("pin it elsewhere, or on a larger sheet")
    } else {
        error.hint(hints.join(" and "))
    })
}

/// How far a box is outside, where a profile takes some of the room.
fn lost_text(project: &Project, kind: &Kind, ground: &Ground, box_: Area) -> String {
    let faces = [
        (kind.print.front, Face::Front),
        (kind.print.back, Face::Back),
    ];
    let printed = faces.into_iter().filter(|(is_printed, _)| *is_printed);
    let lost = printed.map(|(_, face)| reach::lost(project, ground.size, face));
    let lost = lost.max().unwrap_or(Length::ZERO);
    if lost == Length::ZERO {
        return String::new();
    }
    let area = ground.area;
    let out_nm = [
        area.x_nm - box_.x_nm,
        area.y_nm - box_.y_nm,
        box_.right_nm() - area.right_nm(),
        box_.bottom_nm() - area.bottom_nm(),
    ];
    let out = Length::from_nm(out_nm.into_iter().max().unwrap_or(0));
    let text = |length: Length| length.display(project.job.lengths);
    format!(
        "; it is {} too far out, and up to {} at an edge are lost to what the printer's profile makes up for",
        text(out),
        text(lost)
    )
}

fn on_furniture(project: &Project, pin: &Pin, kind: &Kind, ground: &Ground) -> Option<Diagnostic> {
    let box_ = lies(project, kind, pin, kind.room);
    let hit = ground.obstacles.iter().find(|area| area.overlaps(box_))?;
    let text = |nm: i64| Length::from_nm(nm).display(project.job.lengths);
    let message = format!(
        "{} is pinned on a register mark or the caption of \"{}\", which keeps {} to {} across and {} to {} down",
        name(project, pin),
        project.stocks[pin.stock].id,
        text(hit.x_nm),
        text(hit.right_nm()),
        text(hit.y_nm),
        text(hit.bottom_nm())
    );
    Some(
        error("plan.pin-outside", pin, message)
            .hint("pin it elsewhere, or type `marks = \"never\"` in [job]"),
    )
}

/// A piece that reaches over the edge of an offcut that is no rectangle, or lies nearer to it than the gap.
fn off_offcut(project: &Project, pin: &Pin) -> Option<Diagnostic> {
    let stock = &project.stocks[pin.stock];
    let piece = &project.pieces[pin.piece];
    let absent = super::check::beside(&stock.edge_seen(piece.shows)?);
    let lies = piece.outline.transformed(pose(project, pin).to_affine());
    let far = absent
        .iter()
        .map(|a| distance_mm(&lies, a, ALLOWED_MM / 4.0));
    let far_mm = far.fold(f64::INFINITY, f64::min);
    let gap = project.job.gap;
    let is_over = absent.iter().any(|a| overlaps(&lies, a, ALLOWED_MM));
    if far_mm >= gap.to_mm() - ALLOWED_MM && !is_over {
        return None;
    }
    let text = |l: Length| l.display(project.job.lengths);
    let message = format!(
        "{} is pinned {} from the edge of the offcut \"{}\", its gap needs {}",
        name(project, pin),
        text(Length::nearest_mm(round_to(far_mm, 1000))),
        stock.id,
        text(gap)
    );
    Some(error("plan.pin-outside", pin, message).hint("pin it farther from the edge"))
}

fn parted(project: &Project, pin: &Pin, first: &Pin) -> Diagnostic {
    let message = format!(
        "{} cannot lie on one sheet with {}, which shows another face or is cut from other stock",
        name(project, pin),
        name(project, first)
    );
    error("plan.pin-face", pin, message)
        .related(&first.origin, "pinned here")
        .hint(format!("type `sheet = {}`", pin.sheet + 1))
}

/// Pins on one sheet whose outlines are nearer than the gap or whose bleeds meet.
fn too_near(project: &Project, group: &Group, pinned: &[Pinned<'_>]) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (i, a) in pinned.iter().enumerate() {
        for b in &pinned[..i] {
            let (first, second) = if a.index < b.index { (a, b) } else { (b, a) };
            if (first.pin.stock, first.pin.sheet) == (second.pin.stock, second.pin.sheet) {
                found.extend(pair_too_near(project, group, first, second));
            }
        }
    }
    found
}

fn pair_too_near(
    project: &Project,
    group: &Group,
    first: &Pinned<'_>,
    second: &Pinned<'_>,
) -> Option<Diagnostic> {
    let outline = |p: &Pinned<'_>| {
        let piece = &project.pieces[p.pin.piece].outline;
        piece.transformed(pose(project, p.pin).to_affine())
    };
    let bleed = |p: &Pinned<'_>| group.kinds[p.kind].print.bleed;
    let (a, b) = (outline(first), outline(second));
    let far_mm = distance_mm(&a, &b, ALLOWED_MM / 4.0);
    let gap = project.job.gap;
    let printed = |o: &Outline, by: Length| offset(o, by.to_mm());
    let do_bleeds_meet = printed(&a, bleed(first)).iter().any(|x| {
        printed(&b, bleed(second))
            .iter()
            .any(|y| overlaps(x, y, ALLOWED_MM))
    });
    if far_mm >= gap.to_mm() - ALLOWED_MM && (group.shares_bleed || !do_bleeds_meet) {
        return None;
    }
    let bleeds = if group.shares_bleed {
        Length::ZERO
    } else {
        bleed(first) + bleed(second)
    };
    let least = gap.max(bleeds);
    let text = |l: Length| l.display(project.job.lengths);
    let message = format!(
        "{} and {} are pinned {} apart, their gap and bleed need {}",
        name(project, first.pin),
        name(project, second.pin),
        text(Length::nearest_mm(round_to(far_mm, 1000))),
        text(least)
    );
    let hint = "move one of them, or give it another `sheet`";
    Some(
        error("plan.pin-overlap", second.pin, message)
            .related(&first.pin.origin, "pinned here")
            .hint(hint),
    )
}

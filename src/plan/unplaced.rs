//! What found no place, why, and the nearest change that would give it one.
//!
//! `remedy` finds the change, `message` puts all of it in words.

mod message;
mod remedy;

pub use message::unplaced_errors;
pub use remedy::Remedy;

pub(super) use message::size_text;
pub(super) use remedy::typed_step;

use super::demand::{Group, Kind, is_machine_cut};
use super::draft::{box_nm, grounds, sheets_for_rest, turns_on};
use super::ground::{Ground, MarksWish};
use super::place::{Area, Placer, SheetKind, TurnSet, free_areas};
use super::{Taker, Unplaced, UnplacedReason};
use crate::length::Length;
use crate::project::{Edges, Project};
use remedy::Trial;

/// Returns what was left over, sorted by piece and edition. A spare that found no room is none of it.
pub(super) fn unplaced(
    project: &Project,
    groups: &[Group],
    leftovers: &[Vec<u32>],
    placer: &dyn Placer,
) -> Vec<Unplaced> {
    let mut found = Vec::new();
    for (group, left) in groups.iter().zip(leftovers) {
        for (kind, left) in group.kinds.iter().zip(left) {
            let rest = &kind.wanted[kind.wanted.len() - *left as usize..];
            for edition in 0..project.editions.len() {
                let count = rest.iter().filter(|item| item.edition == edition).count();
                if count > 0 {
                    let count = u32::try_from(count).expect("no more than the leftovers, a u32");
                    found.push(describe(project, group, kind, edition, count));
                }
            }
        }
    }
    found.sort_by_key(|u| (u.piece, u.edition));
    add_sheets(project, groups, leftovers, placer, &mut found);
    found
}

fn describe(project: &Project, group: &Group, kind: &Kind, edition: usize, count: u32) -> Unplaced {
    let sheets = grounds(project, group, MarksWish::AsAsked);
    let fits = |turns: &dyn Fn(&Ground) -> TurnSet| {
        sheets.iter().find_map(|ground| {
            let areas = free_of(ground);
            form_that_fits(kind, turns(ground), &areas)
        })
    };
    let allowed = |ground: &Ground| turns_on(project, group, ground.stock, kind);
    let whole = sheets.last().expect("a group has its stock's own sheet");
    let (nearest_form, has) = nearest_miss(kind, allowed(whole), &free_of(whole));
    let (reason, needs) = match fits(&allowed) {
        Some(needs) => (UnplacedReason::NoSheetsLeft, needs),
        None if fits(&|_| TurnSet::QUARTERS).is_some() => {
            (UnplacedReason::TurnForbidden, nearest_form)
        }
        None => (UnplacedReason::TooLarge, nearest_form),
    };
    let remedies = match reason {
        UnplacedReason::NoSheetsLeft => Vec::new(),
        UnplacedReason::TurnForbidden | UnplacedReason::TooLarge => {
            Trial::new(project, kind.piece, edition).remedies()
        }
    };
    Unplaced {
        piece: kind.piece,
        edition,
        stock: group.stock,
        count,
        bleed: kind.print.bleed,
        needs_mm: without(needs, kind.slack),
        has_mm: without(has, kind.slack),
        taken_by: takers(project, group, whole),
        reason,
        remedies,
    }
}

/// Says of what ran out of sheets how many would be enough.
fn add_sheets(
    project: &Project,
    groups: &[Group],
    leftovers: &[Vec<u32>],
    placer: &dyn Placer,
    found: &mut [Unplaced],
) {
    for (stock, declared) in project.stocks.iter().enumerate() {
        let is_short = |u: &Unplaced| u.stock == stock && u.reason == UnplacedReason::NoSheetsLeft;
        let Some(on_hand) = declared.on_hand.filter(|_| found.iter().any(is_short)) else {
            continue;
        };
        let own = groups
            .iter()
            .zip(leftovers)
            .filter(|(group, _)| group.stock == stock);
        let more: u32 = own
            .map(|(group, left)| sheets_for_rest(project, group, left, placer))
            .sum();
        for u in found.iter_mut().filter(|u| is_short(u)) {
            u.remedies.push(Remedy::OnHand(on_hand + more));
        }
    }
}

fn takers(project: &Project, group: &Group, ground: &Ground) -> Vec<Taker> {
    let has_width = |edges: Edges<Length>| remedy::widest(edges) > Length::ZERO;
    let is_printed = group.kinds.iter().any(|k| k.print.is_any());
    let is_cut = group
        .kinds
        .iter()
        .any(|k| is_machine_cut(&project.pieces[k.piece]));
    let takers = [
        (
            is_printed && has_width(project.printer.margins),
            Taker::Margins,
        ),
        (
            is_cut && has_width(project.cutter.unreachable),
            Taker::Reach,
        ),
        (!ground.marks.is_empty(), Taker::Marks),
        (ground.caption.is_some(), Taker::Caption),
    ];
    let present = takers.into_iter().filter(|(is_there, _)| *is_there);
    present.map(|(_, taker)| taker).collect()
}

fn free_of(ground: &Ground) -> Vec<Area> {
    free_areas(&SheetKind {
        area: ground.area,
        outline: ground.outline.clone(),
        obstacles: ground.obstacles.clone(),
        limit: None,
        is_offcut: false,
        price_hundredths: 0,
    })
}

/// The box turned as it fits into one of the areas.
fn form_that_fits(kind: &Kind, turns: TurnSet, areas: &[Area]) -> Option<(i64, i64)> {
    forms(kind, turns)
        .into_iter()
        .find(|(w, h)| areas.iter().any(|a| *w <= a.width_nm && *h <= a.height_nm))
}

/// The box as it may be turned, upright if no turn is allowed, and the size of the area it is least too large for.
fn nearest_miss(kind: &Kind, turns: TurnSet, areas: &[Area]) -> ((i64, i64), (i64, i64)) {
    let mut forms = forms(kind, turns);
    if forms.is_empty() {
        forms.push(box_nm(kind));
    }
    let pairs = forms.iter().flat_map(|form| {
        areas
            .iter()
            .map(move |area| (*form, (area.width_nm, area.height_nm)))
    });
    let missing =
        |(form, has): &((i64, i64), (i64, i64))| (form.0 - has.0).max(0) + (form.1 - has.1).max(0);
    pairs.min_by_key(missing).unwrap_or((forms[0], (0, 0)))
}

fn forms(kind: &Kind, turns: TurnSet) -> Vec<(i64, i64)> {
    let (width, height) = box_nm(kind);
    let upright = turns.upright().map(|_| (width, height));
    let sideways = turns.sideways().map(|_| (height, width));
    upright.into_iter().chain(sideways).collect()
}

fn without((width_nm, height_nm): (i64, i64), slack: Length) -> (f64, f64) {
    let mm = |nm: i64| Length::from_nm((nm - 2 * slack.nm()).max(0)).to_mm();
    (mm(width_nm), mm(height_nm))
}

//! What found no place, why, and the nearest change that would give it one.
//!
//! `form` says how a piece may lie, `remedy` finds the change, `message` puts all of it in words.

mod form;
mod message;
mod remedy;

pub use message::unplaced_errors;
pub use remedy::Remedy;

pub(super) use message::size_text;
pub(super) use remedy::typed_step;

use super::demand::{Group, Kind, Print, groups, is_machine_cut};
use super::draft::{grounds, sheets_for_rest, turns_on};
use super::ground::{Ground, MarksWish};
use super::place::Placer;
use super::reach;
use super::{Taker, Unplaced, UnplacedReason};
use crate::diagnostic::{Diagnostic, Severity};
use crate::length::Length;
use crate::project::{Edges, Face, Project};
use form::{fits, form_that_fits, free_of, nearest_miss};
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

/// Returns a warning for each piece that is too large for an empty sheet of the paper it is made of, whatever the layout.
///
/// Told before anything is laid out; [`unplaced_errors`] says the same of a plan.
#[must_use]
pub fn too_large(project: &Project) -> Vec<Diagnostic> {
    let groups = groups(project);
    let mut found: Vec<Unplaced> = Vec::new();
    for group in &groups {
        let sheets = grounds(project, group, MarksWish::AsAsked);
        for kind in &group.kinds {
            let fits_on = |ground: &Ground| {
                let allowed = turns_on(project, group, ground.stock, kind);
                fits(kind, allowed, &free_of(ground))
            };
            let is_told = found.iter().any(|u| u.piece == kind.piece);
            let edition = kind.wanted.first().map(|item| item.edition);
            if let (Some(edition), false) = (edition, is_told || sheets.iter().any(fits_on)) {
                found.push(describe(project, group, kind, edition, 1));
            }
        }
    }
    found.sort_by_key(|u| u.piece);
    let warning = |u: &Unplaced| Diagnostic {
        severity: Severity::Warning,
        ..message::error(project, u)
    };
    found.iter().map(warning).collect()
}

fn describe(project: &Project, group: &Group, kind: &Kind, edition: usize, count: u32) -> Unplaced {
    let sheets = grounds(project, group, MarksWish::AsAsked);
    let allowed = |ground: &Ground| turns_on(project, group, ground.stock, kind);
    let whole = sheets.last().expect("a group has its stock's own sheet");
    let (nearest_form, has) = nearest_miss(kind, allowed(whole), &free_of(whole));
    let as_it_fits = |ground: &Ground| form_that_fits(kind, allowed(ground), &free_of(ground));
    let needs = sheets.iter().find_map(as_it_fits).unwrap_or(nearest_form);
    let fits_on = |ground: &Ground| fits(kind, allowed(ground), &free_of(ground));
    let (reason, remedies) = if sheets.iter().any(fits_on) {
        (UnplacedReason::NoSheetsLeft, Vec::new())
    } else {
        let remedies = Trial::new(project, kind.piece, edition).remedies();
        let is_turn = |r: &Remedy| matches!(r, Remedy::Turn { .. } | Remedy::AnyTurn(_));
        let reason = if remedies.first().is_some_and(is_turn) {
            UnplacedReason::TurnForbidden
        } else {
            UnplacedReason::TooLarge
        };
        (reason, remedies)
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
    let prints = |print: fn(&Print) -> bool| group.kinds.iter().any(|k| print(&k.print));
    let faces = [
        (prints(|p| p.front), Face::Front),
        (prints(|p| p.back), Face::Back),
    ];
    let has_margins = faces.into_iter().any(|(is_printed, face)| {
        is_printed && has_width(reach::unprintable(project, ground.size, face))
    });
    let is_cut = group
        .kinds
        .iter()
        .any(|k| is_machine_cut(&project.pieces[k.piece]));
    let takers = [
        (has_margins, Taker::Margins),
        (
            is_cut && has_width(reach::out_of_reach(project, ground.size, ground.face_up)),
            Taker::Reach,
        ),
        (!ground.marks.is_empty(), Taker::Marks),
        (ground.caption.is_some(), Taker::Caption),
    ];
    let present = takers.into_iter().filter(|(is_there, _)| *is_there);
    present.map(|(_, taker)| taker).collect()
}

fn without((width_nm, height_nm): (i64, i64), slack: Length) -> (f64, f64) {
    let mm = |nm: i64| Length::from_nm((nm - 2 * slack.nm()).max(0)).to_mm();
    (mm(width_nm), mm(height_nm))
}

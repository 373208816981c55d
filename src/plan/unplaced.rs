//! What found no place, why, and what to do about it.

use super::demand::{Group, Kind};
use super::draft::{box_nm, grounds, turns_on};
use super::ground::{Ground, MarksWish};
use super::place::{Area, SheetKind, TurnSet, free_areas, nm_above};
use super::{JobPlan, Unplaced, UnplacedReason};
use crate::diagnostic::Diagnostic;
use crate::length::{Length, Size};
use crate::paper;
use crate::project::Project;

/// Returns what was left over, sorted by piece and edition.
pub(super) fn unplaced(
    project: &Project,
    groups: &[Group],
    leftovers: &[Vec<u32>],
) -> Vec<Unplaced> {
    let mut found = Vec::new();
    for (group, left) in groups.iter().zip(leftovers) {
        for (kind, left) in group.kinds.iter().zip(left) {
            let rest = &kind.items[kind.items.len() - *left as usize..];
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
    found
}

/// Returns one error for each entry of [`JobPlan::unplaced`]: what it needs, what there is, and what to type.
#[must_use]
pub fn unplaced_errors(project: &Project, plan: &JobPlan) -> Vec<Diagnostic> {
    plan.unplaced.iter().map(|u| error(project, u)).collect()
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
    let as_allowed = fits(&allowed);
    let whole = sheets.last().expect("a group has its stock's own sheet");
    let (reason, needs) = match as_allowed {
        Some(needs) => (UnplacedReason::NoSheetsLeft, needs),
        None if fits(&|_| TurnSet::QUARTERS).is_some() => {
            (UnplacedReason::TurnForbidden, form(kind, allowed(whole)))
        }
        None => (UnplacedReason::TooLarge, form(kind, allowed(whole))),
    };
    let slack = kind.slack;
    let has = free_of(whole).into_iter().max_by_key(|a| a.size_nm2());
    let has = has.map_or((0, 0), |a| (a.width_nm, a.height_nm));
    Unplaced {
        piece: kind.piece,
        edition,
        stock: group.stock,
        count,
        needs_mm: without(needs, slack),
        has_mm: without(has, slack),
        reason,
    }
}

fn free_of(ground: &Ground) -> Vec<Area> {
    free_areas(&SheetKind {
        area: ground.area,
        outline: None,
        obstacles: ground.obstacles.clone(),
        limit: None,
        is_offcut: false,
        price_hundredths: 0,
    })
}

/// The box turned as it fits into one of the areas.
fn form_that_fits(kind: &Kind, turns: TurnSet, areas: &[Area]) -> Option<(i64, i64)> {
    let (width, height) = box_nm(kind);
    let upright = turns.upright().map(|_| (width, height));
    let sideways = turns.sideways().map(|_| (height, width));
    upright
        .into_iter()
        .chain(sideways)
        .find(|(w, h)| areas.iter().any(|a| *w <= a.width_nm && *h <= a.height_nm))
}

/// The box in its first allowed turn; upright if none is allowed.
fn form(kind: &Kind, turns: TurnSet) -> (i64, i64) {
    let (width, height) = box_nm(kind);
    if turns.upright().is_none() && turns.sideways().is_some() {
        (height, width)
    } else {
        (width, height)
    }
}

fn without((width_nm, height_nm): (i64, i64), slack: Length) -> (f64, f64) {
    let mm = |nm: i64| Length::from_nm((nm - 2 * slack.nm()).max(0)).to_mm();
    (mm(width_nm), mm(height_nm))
}

fn error(project: &Project, u: &Unplaced) -> Diagnostic {
    let piece = &project.pieces[u.piece];
    let stock = &project.stocks[u.stock];
    let size = |(w, h)| size_text(project, w, h);
    let (needs, has) = (size(u.needs_mm), size(u.has_mm));
    let count = u.count;
    let (code, message) = match u.reason {
        UnplacedReason::TooLarge => (
            "plan.too-large",
            format!(
                "piece \"{}\" needs {needs}, a sheet of \"{}\" has {has}",
                piece.id, stock.id
            ),
        ),
        UnplacedReason::TurnForbidden => (
            "plan.turn-forbidden",
            format!(
                "piece \"{}\" needs {needs} in the turns it may take, a sheet of \"{}\" has {has}",
                piece.id, stock.id
            ),
        ),
        UnplacedReason::NoSheetsLeft => (
            "plan.no-sheets-left",
            format!(
                "no sheets of \"{}\" are left for {count} of piece \"{}\", {needs} each; {} are on hand",
                stock.id,
                piece.id,
                stock.on_hand.unwrap_or(0)
            ),
        ),
    };
    let error = Diagnostic::error(code, message)
        .at(&piece.origin)
        .related(&stock.origin, "this stock");
    hints(project, u).into_iter().fold(error, Diagnostic::hint)
}

fn hints(project: &Project, u: &Unplaced) -> Vec<String> {
    match u.reason {
        UnplacedReason::NoSheetsLeft => vec!["raise `on_hand`, or plan fewer copies".to_owned()],
        UnplacedReason::TurnForbidden => {
            let wishes = "it fits turned by a quarter: type `turns = \"quarters\"`, or free its `grain` or `pattern_up`";
            vec![wishes.to_owned()]
        }
        UnplacedReason::TooLarge => larger_sheets(project, u),
    }
}

/// Other declared stock and the nearest standard format that hold the piece.
fn larger_sheets(project: &Project, u: &Unplaced) -> Vec<String> {
    let stock = &project.stocks[u.stock];
    let lost = (
        stock.width.to_mm() - u.has_mm.0,
        stock.height.to_mm() - u.has_mm.1,
    );
    let wanted = [u.needs_mm.0 + lost.0, u.needs_mm.1 + lost.1].map(size_of);
    let [Some(width), Some(height)] = wanted else {
        return Vec::new();
    };
    let holds = |w: Size, h: Size| (w >= width && h >= height) || (h >= width && w >= height);
    let other = project.stocks.iter().find(|s| holds(s.width, s.height));
    let mut hints = Vec::new();
    if let Some(other) = other {
        hints.push(format!(
            "type `stock = \"{}\"`, which is large enough",
            other.id
        ));
    }
    if let Some(format) = paper::holding(width, height).first() {
        let name = format
            .common_names()
            .first()
            .map_or(format.name(), String::as_str);
        hints.push(format!("the nearest larger format is {name}"));
    }
    hints
}

fn size_of(mm: f64) -> Option<Size> {
    Size::new(Length::from_nm(nm_above(mm)))
}

/// A size as the job shows lengths.
pub(super) fn size_text(project: &Project, width_mm: f64, height_mm: f64) -> String {
    let text = |mm: f64| Length::from_nm(nm_above(mm)).display(project.job.lengths);
    format!("{} x {}", text(width_mm), text(height_mm))
}

//! Pieces moved by hand: whether one may lie where it is held, and pinning it there.
//!
//! A place is the left and the top of the box of the piece as it lies, in the sheet frame, as a pin has it. What is pinned stays; the rest
//! is laid out around it.

use kurbo::Rect;
use serde::Deserialize;
use serde_json::{Value, json};

use super::answer::{Answer, Asked, Outcome, Refused};
use super::layout::{self, Laid, part_of};
use super::pins::{freed, own_stock, pinned, removed};
use super::project::{nothing_open, refuse_stale, told};
use super::state::is_inch;
use super::{Desk, document, locked};
use crate::diagnostic::{Diagnostic, Origin};
use crate::geometry::distance::distance_mm;
use crate::geometry::overlap::overlaps;
use crate::geometry::{Outline, Pose};
use crate::length::Length;
use crate::load;
use crate::math::Angle;
use crate::plan::{self, Effort, Placement, Sheet};
use crate::project::{CutBy, Pin, Project};

/// What rounding may take from a distance, in millimetres: as the plan judges it.
const ALLOWED_MM: f64 = 0.001;
/// The key of the pin that is tried.
const HELD: &str = "held";

/// Where a piece is held.
#[derive(Debug, Clone, Deserialize)]
struct Held {
    id: String,
    sheet: usize,
    x_mm: f64,
    y_mm: f64,
    #[serde(default)]
    turn_deg: f64,
}

#[derive(Debug, Deserialize)]
struct HoldAsked {
    of_revision: u64,
    #[serde(flatten)]
    held: Held,
}

/// Judges a place; nothing changes.
pub(super) fn hold(desk: &Desk, asked: &Asked) -> Outcome {
    let wish: HoldAsked = asked.json()?;
    let laid = desk.work.layout().ok_or_else(Refused::missing)?;
    if laid.revision != wish.of_revision {
        return Err(Refused::wrong("the layout is another one by now"));
    }
    let clashes = clashes(&laid, &wish.held)?;
    Ok(Answer::Json(json!({ "clashes": clashes })))
}

fn clashes(laid: &Laid, held: &Held) -> Result<Vec<Value>, Refused> {
    let project = &*laid.project;
    if project.job.cut_by == CutBy::Trimmer {
        let words =
            "pieces of a job that is cut from edge to edge lie in rows: they cannot be pinned";
        return Ok(vec![clash("paper", None, words)]);
    }
    let (placement, sheet) = found(laid, held)?;
    if !lies_on(project, placement, sheet) {
        let name = &project.stocks[sheet.stock].name;
        let words = format!("it is not made of {name}");
        return Ok(vec![clash("paper", None, &words)]);
    }
    if plan::edition_of(project, placement.copy).is_some_and(|(_, is_spare)| is_spare) {
        let words = "it is a spare, which is laid only where there is room: it cannot be pinned";
        return Ok(vec![clash("paper", None, words)]);
    }
    let pin = pin(project, placement, sheet, held);
    let mut told: Vec<Value> = refusals(laid, &pin).iter().map(refusal).collect();
    told.extend(near(project, placement, sheet, held));
    Ok(told)
}

fn clash(kind: &str, with: Option<&str>, words: &str) -> Value {
    json!({ "kind": kind, "with": with, "words": words })
}

/// The piece that is held, and the sheet that it is held over.
fn found<'a>(laid: &'a Laid, held: &Held) -> Result<(&'a Placement, &'a Sheet), Refused> {
    let plan = laid.plan().ok_or_else(Refused::missing)?;
    let mut placements = plan.sheets.iter().flat_map(|s| &s.placements);
    let placement = placements.find(|p| p.id == held.id);
    let sheet = plan.sheets.get(held.sheet.wrapping_sub(1));
    placement
        .zip(sheet)
        .ok_or_else(|| Refused::wrong("there is no such piece or sheet"))
}

/// Whether a piece may be cut from the paper of a sheet: its own, or an offcut of that.
fn lies_on(project: &Project, placement: &Placement, sheet: &Sheet) -> bool {
    let own = own_stock(project, placement.piece, placement.copy);
    sheet.stock == own || project.stocks[sheet.stock].offcut_of == Some(own)
}

/// The pin that a place comes to.
fn pin(project: &Project, placement: &Placement, sheet: &Sheet, held: &Held) -> Pin {
    Pin {
        piece: placement.piece,
        copy: placement.copy,
        part: part_of(&placement.id),
        stock: sheet.stock,
        sheet: pinned_number(project, placement, sheet),
        x: Length::nearest_mm(held.x_mm),
        y: Length::nearest_mm(held.y_mm),
        turn: Angle::from_deg(held.turn_deg.rem_euclid(360.0)),
        origin: Origin::of_key(HELD),
    }
}

fn is_of(pin: &Pin, placement: &Placement) -> bool {
    (pin.piece, pin.copy, pin.part) == (placement.piece, placement.copy, part_of(&placement.id))
}

/// The number that pins call a sheet by: that of what is pinned on it already, else the next one of its paper.
fn pinned_number(project: &Project, placement: &Placement, sheet: &Sheet) -> u32 {
    let on_it = sheet.placements.iter().filter(|p| p.is_pinned);
    let mut pins = on_it.filter_map(|p| project.pins.iter().find(|pin| is_of(pin, p)));
    if let Some(pin) = pins.next() {
        return pin.sheet;
    }
    let others = project
        .pins
        .iter()
        .filter(|p| p.stock == sheet.stock && !is_of(p, placement));
    others.map(|pin| pin.sheet).max().unwrap_or(0) + 1
}

/// What the plan has against a pin.
fn refusals(laid: &Laid, pin: &Pin) -> Vec<Diagnostic> {
    let mut trial = locked(laid.trial());
    let is_same = |p: &Pin| (p.piece, p.copy, p.part) == (pin.piece, pin.copy, pin.part);
    let others = laid.project.pins.iter().filter(|p| !is_same(p));
    trial.pins = others.chain([pin]).cloned().collect();
    let mut found = plan::misplaced_pins(&trial);
    found.retain(|d| d.origin.as_ref().is_some_and(|o| o.key_path == HELD));
    found
}

/// A refusal in the words of somebody who holds the piece.
fn refusal(found: &Diagnostic) -> Value {
    let kind = match found.code {
        "plan.pin-outside" if found.message.contains("register mark") => "mark",
        "plan.pin-outside" => "margin",
        "plan.pin-overlap" => "gap",
        _ => "turn",
    };
    clash(kind, None, &found.message)
}

/// A held piece's outline as it lies.
fn outline(project: &Project, piece: usize, held: &Held) -> Outline {
    let turn = Angle::from_deg(held.turn_deg.rem_euclid(360.0));
    let turned = Pose {
        turn,
        ..Pose::identity()
    };
    let own = &project.pieces[piece].outline;
    let bounds: Rect = own.transformed(turned.to_affine()).bounds();
    let pose = Pose {
        turn,
        ..Pose::at(held.x_mm - bounds.x0, held.y_mm - bounds.y0)
    };
    own.transformed(pose.to_affine())
}

/// Pieces that lie under it, or nearer than the gap.
fn near(project: &Project, placement: &Placement, sheet: &Sheet, held: &Held) -> Vec<Value> {
    let own = outline(project, placement.piece, held);
    let gap = project.job.gap;
    let reach = own.bounds().inflate(gap.to_mm(), gap.to_mm());
    let others = sheet.placements.iter().filter(|p| p.id != placement.id);
    let told = others.filter_map(|other| {
        let lies = &project.pieces[other.piece].outline;
        let lies = lies.transformed(other.pose.to_affine());
        let apart = reach.intersect(lies.bounds());
        if apart.width() <= 0.0 || apart.height() <= 0.0 {
            return None;
        }
        if overlaps(&own, &lies, ALLOWED_MM) {
            let words = format!("it lies on {}", other.id);
            return Some(clash("overlap", Some(&other.id), &words));
        }
        let far_mm = distance_mm(&own, &lies, ALLOWED_MM / 4.0);
        (far_mm < gap.to_mm() - ALLOWED_MM).then(|| {
            let show = |length: Length| length.told(project.job.lengths);
            let words = format!(
                "it is {} from {}, {} are wanted",
                show(Length::nearest_mm(far_mm)),
                other.id,
                show(gap)
            );
            clash("gap", Some(&other.id), &words)
        })
    });
    told.collect()
}

#[derive(Debug, Deserialize)]
struct PutAsked {
    base: u64,
    #[serde(flatten)]
    held: Held,
}

/// Pins a piece where it is held, and has the rest laid out around it.
pub(super) fn put(desk: &Desk, asked: &Asked) -> Outcome {
    let wish: PutAsked = asked.json()?;
    let mut open = desk.open();
    refuse_stale(&open, wish.base)?;
    let laid = desk.work.layout().ok_or_else(Refused::missing)?;
    if laid.revision != wish.base {
        return Err(Refused::wrong(
            "the layout is of an older project: lay it out again",
        ));
    }
    let (placement, sheet) = found(&laid, &wish.held)?;
    if laid.project.job.cut_by == CutBy::Trimmer {
        let words = "pieces of a job that is cut from edge to edge cannot be pinned";
        return Err(Refused::wrong(words));
    }
    let pin = eased(&laid, &pin(&laid.project, placement, sheet, &wish.held));
    let text = open.text().unwrap_or_default();
    let text = load::change(text, &pinned(&laid.project, &pin));
    let text = text.map_err(|e| Refused::wrong(e.to_string()))?;
    open.step(&format!("pinning {}", wish.held.id), text);
    if open.project().is_some() {
        layout::begin(desk, &open, laid.effort)?;
    }
    told(&open)
}

/// Puts a pin on a step that can be typed: the coarsest at which nothing stands against it that did not before.
fn eased(laid: &Laid, pin: &Pin) -> Pin {
    /// 0.5 mm, 0.1 mm, 1 um; 1/32 in, 1/64 in, 1 um: in nanometres.
    const METRIC: [i64; 3] = [500_000, 100_000, 1_000];
    const INCH: [i64; 3] = [793_750, 396_875, 1_000];
    let steps = if is_inch(laid.project.job.lengths) {
        INCH
    } else {
        METRIC
    };
    let on = |length: Length, step: i64| {
        Length::from_nm((length.nm() + step / 2).div_euclid(step) * step)
    };
    let before = refusals(laid, pin).len();
    let mut tried = steps.map(|step| Pin {
        x: on(pin.x, step),
        y: on(pin.y, step),
        ..pin.clone()
    });
    tried.sort_by_key(|pin| refusals(laid, pin).len() > before);
    let [first, ..] = tried;
    first
}

#[derive(Debug, Deserialize)]
struct UnpinAsked {
    base: u64,
    id: Option<String>,
    /// Position of the pin in the file, from 0.
    position: Option<usize>,
    #[serde(default)]
    all: bool,
}

/// Lets a piece go, or all of them; whatever mistakes the project has.
pub(super) fn unpin(desk: &Desk, asked: &Asked) -> Outcome {
    let wish: UnpinAsked = asked.json()?;
    let mut open = desk.open();
    refuse_stale(&open, wish.base)?;
    let text = open.text().ok_or_else(nothing_open)?;
    let doc = document::to_json(text).ok_or_else(|| Refused::wrong("the text is no TOML"))?;
    let pins = doc["pin"].as_array().map_or(&[][..], Vec::as_slice);
    let gone: Vec<usize> = match (&wish.id, wish.position) {
        _ if wish.all => (0..pins.len()).collect(),
        (_, Some(position)) => vec![position],
        (Some(id), None) => (0..pins.len())
            .filter(|i| is_named(&pins[*i], id))
            .collect(),
        (None, None) => Vec::new(),
    };
    let read = open.project().map_or(&[][..], |p| p.pins.as_slice());
    let changes = if read.len() == pins.len() {
        freed(read, &gone)
    } else {
        removed(&gone)
    };
    let text = load::change(text, &changes);
    let text = text.map_err(|e| Refused::wrong(e.to_string()))?;
    let words = match wish.id {
        Some(id) if !wish.all => format!("letting {id} go"),
        None if !wish.all => "letting a piece go".to_owned(),
        Some(_) | None => "letting all pins go".to_owned(),
    };
    open.step(&words, text);
    if open.project().is_some() {
        let laid = desk.work.layout();
        layout::begin(desk, &open, laid.map_or(Effort::Quick, |laid| laid.effort))?;
    }
    told(&open)
}

/// Whether a pin of the file is that of the piece of this id: `tin/lid#3.2`.
fn is_named(pin: &Value, id: &str) -> bool {
    let piece = pin["piece"].as_str().unwrap_or_default();
    let (copy, part) = (&pin["copy"], pin["part"].as_u64().unwrap_or(1));
    let short = format!("{piece}#{copy}");
    id == format!("{short}.{part}") || (part == 1 && id == short)
}

//! Pictures that the desk draws for the page.

use std::sync::Arc;

use super::answer::{Answer, Asked, Outcome, Refused};
use super::at_hand::AtHand;
use super::{Desk, examples, locked, patterns, tried};
use crate::project::{Face, Project};
use crate::{draw, emit, fold, job, load};

/// `GET /picture/...`: `piece/0-front.svg`, `object/0.svg`, `sheet/01.svg`, `sheet/01-back.svg`, `example/ID.svg`, `construction/NAME.svg`.
pub(super) fn picture(desk: &Desk, asked: &Asked) -> Outcome {
    if asked.rest == "pattern.svg" {
        return patterns::swatch(asked);
    }
    if let Some(how) = asked.rest.strip_prefix("how/") {
        return how_to(how);
    }
    let (kind, name) = asked.rest.split_once('/').ok_or_else(Refused::missing)?;
    let name = name.strip_suffix(".svg").ok_or_else(Refused::missing)?;
    match kind {
        "piece" => of_project(desk, |project| piece(project, name)),
        "sheet" => {
            let laid = desk.work.layout();
            let drawn = laid.and_then(|laid| laid.picture(&format!("sheet-{name}")));
            drawn.map(Answer::svg).ok_or_else(Refused::missing)
        }
        "object" => of_project(desk, |project| object(project, name.parse().ok()?)),
        "example" => lasting(desk, &asked.rest, || example(name)),
        "construction" => lasting(desk, &asked.rest, || tried::sample(name)),
        _ => Err(Refused::missing()),
    }
}

/// Pictures of what to look at while a printer is measured, carried in the program.
fn how_to(name: &str) -> Outcome {
    macro_rules! carried {
        ($($name:literal),*) => {
            &[$(($name, include_bytes!(concat!("../../calibration/", $name)).as_slice())),*]
        };
    }
    const PICTURES: &[(&str, &[u8])] = carried![
        "chart-front.png",
        "vernier-inch.png",
        "vernier-mm.png",
        "ladder.png",
        "station.png",
        "errors-before.png",
        "errors-after.png"
    ];
    let found = PICTURES.iter().find(|(own, _)| *own == name);
    let (_, bytes) = found.ok_or_else(Refused::missing)?;
    Ok(Answer::File {
        kind: "image/png",
        bytes: bytes.to_vec(),
        name: None,
    })
}

/// A picture of the last sound project, drawn without holding up other calls.
fn of_project(desk: &Desk, draw: impl Fn(&Project) -> Option<String>) -> Outcome {
    let sound = desk.open().sound().map(|(_, project)| Arc::clone(project));
    let drawn = sound.and_then(|project| draw(&project));
    drawn.map(Answer::svg).ok_or_else(Refused::missing)
}

/// A picture of what never changes, drawn once.
fn lasting(desk: &Desk, name: &str, draw: impl Fn() -> Option<String>) -> Outcome {
    if let Some(known) = locked(&desk.shown).get(name) {
        return Ok(Answer::svg(known.to_string()));
    }
    let drawn = draw().ok_or_else(Refused::missing)?;
    locked(&desk.shown).insert(name.to_owned(), Arc::new(drawn.clone()));
    Ok(Answer::svg(drawn))
}

/// `0-front` or `0-back`.
fn piece(project: &Project, name: &str) -> Option<String> {
    let (position, face) = name.split_once('-')?;
    let face = match face {
        "front" => Face::Front,
        "back" => Face::Back,
        _ => return None,
    };
    let position: usize = position.parse().ok()?;
    (position < project.pieces.len()).then(|| piece_svg(project, position, face))
}

fn piece_svg(project: &Project, position: usize, face: Face) -> String {
    let page = draw::one_piece(project, position, face);
    emit::svg_picture::write(&page, &project.assets)
}

/// A folded object, by its position; `None` if it does not fold.
pub(super) fn object(project: &Project, position: usize) -> Option<String> {
    let assembly = project.assemblies.get(position)?;
    let folded = fold::fold(project, assembly).ok()?;
    let page = draw::folded(project, assembly, &folded);
    Some(emit::svg_picture::write(&page, &project.assets))
}

/// What best shows a project: its first object folded, else its first piece.
pub(super) fn of_all(project: &Project) -> Option<String> {
    let first = || (!project.pieces.is_empty()).then(|| piece_svg(project, 0, Face::Front));
    object(project, 0).or_else(first)
}

fn example(id: &str) -> Option<String> {
    let example = examples::named(id)?;
    let held = example.held();
    let hand = AtHand::new(&held, None);
    let options = load::Options::default();
    let read = job::check("project.toml", example.text, &hand, &options).ok()?;
    of_all(&read.value)
}

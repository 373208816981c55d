//! What lies on what, and what is stuck to what, in order.

use super::super::typeset::{Block, Look, WIDTH_MM, paragraph, stack};
use super::{Told, section, words};
use crate::handout::{Glueing, LayerOn, PieceWork};
use crate::length::{Length, LengthStyle};

/// Lines after the first one stand in by so much.
const INDENT_MM: f64 = 6.0;

/// Sizes of what is mounted, with what shows of the paper below.
pub(super) fn layers(told: Told<'_>) -> Vec<Block> {
    let layered = told.handout.pieces.iter();
    let lines: Vec<String> = layered
        .filter_map(|work| Some(layer(told, work, work.layer.as_ref()?)))
        .collect();
    listed("Layers", lines)
}

/// The order in which things are stuck.
pub(super) fn gluing(told: Told<'_>) -> Vec<Block> {
    listed(
        "Gluing order",
        told.handout
            .gluing
            .iter()
            .map(|glueing| glued(told, glueing))
            .collect(),
    )
}

fn listed(title: &str, lines: Vec<String>) -> Vec<Block> {
    if lines.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![section(title)];
    let count = lines.len();
    for (i, line) in lines.into_iter().enumerate() {
        let lines = paragraph(&line, Look::fact(WIDTH_MM - INDENT_MM));
        let mut lines = lines.into_iter();
        let first = lines.next().map(|first| first.before(1.2));
        let rest = lines.map(|line| line.indented(INDENT_MM));
        let entry = stack(first.into_iter().chain(rest).collect());
        // Neither the first nor the last one stands alone on its page.
        blocks.push(Block {
            keeps_next: i + 1 < count && (i == 0 || i + 2 == count),
            ..entry
        });
    }
    blocks
}

fn layer(told: Told<'_>, work: &PieceWork, layer: &LayerOn) -> String {
    let style = told.handout.style;
    let mut text = format!(
        "{} on {}",
        told.lettered(work.piece),
        told.lettered(layer.on)
    );
    if let Some(panel) = &layer.panel {
        text += &format!(", {}", words::panel(panel));
    }
    if layer.standoff > Length::ZERO {
        text += &format!(": on foam pads, {} above it", layer.standoff.told(style));
    } else {
        text += ": glued flat";
    }
    if layer.trim_flush {
        text += ", oversize, then trimmed flush";
    }
    text + &format!("\n{}", border(layer, style))
}

/// What shows around a layer.
fn border(layer: &LayerOn, style: LengthStyle) -> String {
    let [first, rest @ ..] = &layer.shows;
    if *first >= Length::ZERO && rest.iter().all(|side| side == first) {
        return format!("leaves a border of {} all round", first.display(style));
    }
    let sides = ["top", "right", "bottom", "left"];
    let shows = layer.shows.iter().zip(sides).map(|(shows, side)| {
        let length = shows.abs().display(style);
        if *shows < Length::ZERO {
            format!("{side} {length} over")
        } else {
            format!("{side} {length}")
        }
    });
    let shows: Vec<String> = shows.collect();
    format!("leaves a border: {}", shows.join(", "))
}

fn glued<'a>(told: Told<'_>, glueing: &'a Glueing) -> String {
    // Two panels of one piece: its name once, before both.
    let of = |surface: &str| surface.rsplit_once(", ").map(|(of, _)| of.to_owned());
    let one = of(&glueing.from).filter(|name| {
        glueing.from_piece == glueing.to_piece && of(&glueing.to).as_ref() == Some(name)
    });
    let own = |surface: &'a str| match &one {
        Some(name) => &surface[name.len() + 2..],
        None => surface,
    };
    format!(
        "{}. {}glue the {} of {} to the {} of {}{}",
        glueing.number,
        one.as_ref()
            .map_or_else(String::new, |name| format!("{name}: ")),
        told.handout.side(glueing.from_piece, glueing.from_face),
        own(&glueing.from),
        told.handout.side(glueing.to_piece, glueing.to_face),
        own(&glueing.to),
        glueing
            .with
            .as_ref()
            .map_or_else(String::new, |with| format!(", with {with}"))
    )
}

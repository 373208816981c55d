//! What lies on what, and what is stuck to what, in order.

use super::super::typeset::{Block, Look, WIDTH_MM, paragraph};
use super::{Told, section};
use crate::handout::{Glueing, LayerOn, PieceWork};
use crate::length::Length;
use crate::project::Face;

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
        told.handout.gluing.iter().map(glued).collect(),
    )
}

fn listed(title: &str, lines: Vec<String>) -> Vec<Block> {
    if lines.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![section(title)];
    for line in lines {
        let lines = paragraph(&line, Look::fact(WIDTH_MM - INDENT_MM));
        let mut lines = lines.into_iter();
        blocks.extend(lines.next().map(|first| first.before(1.2)));
        blocks.extend(lines.map(|line| line.indented(INDENT_MM)));
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
        text += &format!(", {panel}");
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
    if layer.standoff > Length::ZERO {
        text += &format!(": on foam pads, {} above it", layer.standoff.display(style));
    } else {
        text += ": glued flat";
    }
    if layer.trim_flush {
        text += ", oversize, then trimmed flush";
    }
    text + &format!("\nshows {}", shows.join(", "))
}

fn glued(glueing: &Glueing) -> String {
    let way = match glueing.to_face {
        Face::Front => "on",
        Face::Back => "behind",
    };
    format!(
        "{}. glue {} ({}) {way} {} ({})",
        glueing.number,
        glueing.from,
        glueing.from_face.name(),
        glueing.to,
        glueing.to_face.name()
    )
}

//! What to mind, in a box.

use super::super::typeset::{Block, Look, WIDTH_MM, boxed, paragraph, stack};
use super::{MEASURE_MM, Told, section};
use crate::project::Caution;

/// What comes before all of them.
const FIRST: &str =
    "Local rules and the advice of licensed trades come before anything written here.";

pub(super) fn blocks(told: Told<'_>) -> Vec<Block> {
    if told.handout.cautions.is_empty() {
        return Vec::new();
    }
    let inner_mm = Block::boxed_width_mm(WIDTH_MM).min(MEASURE_MM);
    let mut blocks = Vec::new();
    for (i, caution) in told.handout.cautions.iter().enumerate() {
        let (title, text) = words(*caution);
        let title = stack(paragraph(title, Look::strong(inner_mm))).with_next();
        blocks.push(title.before(if i == 0 { 0.0 } else { 2.0 }));
        blocks.extend(paragraph(text, Look::body(inner_mm)));
    }
    let last = paragraph(FIRST, Look::strong(inner_mm));
    blocks.push(stack(last).before(3.0));
    vec![section("Please mind"), boxed(blocks, WIDTH_MM)]
}

const fn words(caution: Caution) -> (&'static str, &'static str) {
    match caution {
        Caution::Blades => (
            "Blades",
            "Fit a sharp blade, cut away from your hand along a metal rule, and retract it when you put it down. \
             Used blades go in a closed tin.",
        ),
        Caution::Trimmers => (
            "Trimmers",
            "Close the guard before you reach for the paper. An adult sets and changes blades.",
        ),
        Caution::YoungMakers => (
            "Young makers",
            "Children: pre-scored, pre-cut pieces and round-nosed scissors. Keep small \
             parts from children under three.",
        ),
        Caution::Sweets => (
            "Sweets",
            "For wrapped sweets only. Craft paper, ink and glue are not made to touch food. Check your local \
             food-contact rules before selling filled boxes.",
        ),
        Caution::Light => (
            "Light",
            "Paper burns. Use battery lights only; never a candle or tealight inside or near a paper lantern.",
        ),
        Caution::HeatCutting => (
            "Heat cutting",
            "The cut files are meant for blades. If you cut with a laser: plain uncoated paper only, extraction on, \
             never leave it running alone, extinguisher at hand. Never vinyl, PVC, foil or unknown coatings \
             (chlorine fumes).",
        ),
        Caution::Glue => ("Glue", "Open a window while glue dries."),
    }
}

//! The numbered steps, each with its picture beside.

use super::super::typeset::{Block, GREY, INK, Letter, Look, WIDTH_MM, beside, divider, paragraph};
use super::{MEASURE_MM, Told, picture, section};
use crate::handout::WorkStep;

/// Width of the words beside a picture, and the box it stands in.
const WORDS_MM: f64 = 112.0;
const PICTURE_MM: (f64, f64) = (62.0, 44.0);
/// The same for a piece, which is only to be told from others.
const PIECE_MM: (f64, f64) = (46.0, 30.0);

pub(super) fn blocks(told: Told<'_>) -> Vec<Block> {
    if told.handout.steps.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![section("Steps")];
    for (i, own) in told.handout.steps.iter().enumerate() {
        if i > 0 {
            blocks.push(divider(WIDTH_MM).before(2.5));
        }
        blocks.extend(step(told, own));
    }
    blocks
}

fn step(told: Told<'_>, step: &WorkStep) -> Vec<Block> {
    let picture = pictured(told, step);
    let width_mm = match picture {
        Some(_) => WORDS_MM,
        None => MEASURE_MM,
    };
    let mut words = vec![head(step)];
    words.extend(paragraph(&step.text, Look::body(width_mm)));
    let mut blocks = match picture {
        Some(picture) => beside(words, &picture, WIDTH_MM - PICTURE_MM.0),
        None => words,
    };
    if let Some(first) = blocks.first_mut() {
        first.before_mm = 3.0;
    }
    blocks
}

/// `Step 1`, with who does it and how long it takes.
fn head(step: &WorkStep) -> Block {
    let letter = Letter::SUBHEADING;
    let title = format!("Step {}", step.number);
    let mut facts = vec![step.when.name().to_owned()];
    facts.extend(step.minutes.map(|minutes| format!("{minutes} min")));
    let baseline_mm = letter.drop_mm();
    let x_mm = letter.width_mm(&title) + 4.0;
    let items = vec![
        letter.at(&title, (0.0, baseline_mm), INK),
        Letter::BODY.at(&facts.join(" · "), (x_mm, baseline_mm), GREY),
    ];
    Block::new(items, letter.leading_mm() + 0.6).with_next()
}

/// The maker's own picture, else the object, else the piece.
fn pictured(told: Told<'_>, step: &WorkStep) -> Option<Block> {
    let own = step.own.and_then(|own| told.project.lesson.steps.get(own));
    if let Some(asset) = own.and_then(|own| own.picture) {
        return Some(picture::photograph(told, asset, PICTURE_MM));
    }
    let object = step
        .assembly
        .and_then(|assembly| picture::object(told, assembly, PICTURE_MM, false));
    object.or_else(|| Some(picture::piece(told, step.piece?, PIECE_MM)))
}

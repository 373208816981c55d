//! What lies on what, the order of gluing, steps, tools, cautions and cost.

use super::super::verdict::{Finding, Tally};
use super::facts::{as_many, ask, lengths, lengths_in, place, same, tokens};
use super::section;
use super::text::{SUBHEADING_MM, Section, items, joined, split};
use crate::plan::file::{
    GluingEntry, HandoutEntry, LayerEntry, PieceWorkEntry, ShownLength, StepEntry,
};
use crate::project::Caution;

/// Words of a step begin within so much of the left edge; those beside it belong to its picture.
const LEFT_MM: f64 = 0.3;

pub(super) fn check(tally: &mut Tally, handout: &HandoutEntry, sections: &[Section<'_>]) {
    check_tools(tally, handout, sections);
    check_layers(tally, handout, sections);
    check_steps(tally, handout, sections);
    check_cautions(tally, handout, sections);
    check_gluing(tally, handout, sections);
    check_cost(tally, handout, sections);
}

fn check_tools(tally: &mut Tally, handout: &HandoutEntry, sections: &[Section<'_>]) {
    let needs = section(tally, sections, "What you need", !handout.tools.is_empty());
    let tools: Vec<&str> = handout.tools.iter().map(String::as_str).collect();
    let parts = split(needs.iter().copied(), SUBHEADING_MM);
    let listed = parts.last().map(Section::text).unwrap_or_default();
    // They may stand in several columns: each is asked for on its own.
    for tool in tools {
        ask(tally, "tools", None, &[tool], &listed);
    }
}

fn check_layers(tally: &mut Tally, handout: &HandoutEntry, sections: &[Section<'_>]) {
    let layered = handout.pieces.iter();
    let layered: Vec<(&PieceWorkEntry, &LayerEntry)> = layered
        .filter_map(|entry| Some((entry, entry.layer.as_ref()?)))
        .collect();
    let lines = section(tally, sections, "Layers", !layered.is_empty());
    let items = items(lines);
    as_many(tally, "layers", None, layered.len(), items.len());
    for ((entry, layer), item) in layered.into_iter().zip(&items) {
        tally.on_page(item.page);
        let mut below = handout.pieces.iter();
        let below = below.find(|other| other.piece == layer.on);
        let mut facts = vec![entry.name.as_str()];
        facts.extend(below.map(|below| below.name.as_str()));
        facts.extend(layer.panel.as_deref());
        facts.extend(layer.trim_flush.then_some("trimmed"));
        let shown = shown(layer);
        for (side, shows) in &shown {
            facts.extend([*side, shows.text.trim_start_matches('-')]);
            facts.extend((shows.mm < 0.0).then_some("over"));
        }
        let what = format!("{} in its layer", entry.name);
        ask(tally, &what, Some(&entry.piece), &facts, item.first());
        let mut planned: Vec<f64> = shown.iter().map(|(_, side)| side.mm.abs()).collect();
        if layer.standoff.mm > 0.0 {
            // Foam is told as thick as a rule shows it.
            let told = lengths_in(&layer.standoff.text);
            planned.insert(0, told.first().copied().unwrap_or(layer.standoff.mm));
        }
        let (_, shown) = item.first().rsplit_once(": ").unwrap_or_default();
        lengths(
            tally,
            &format!("lengths at {what}"),
            &entry.piece,
            &planned,
            shown,
        );
    }
}

/// What is told of a layer's border, side by side; once where it is the same all round.
fn shown(layer: &LayerEntry) -> Vec<(&'static str, &ShownLength)> {
    let [first, rest @ ..] = &layer.shows;
    if first.mm >= 0.0 && rest.iter().all(|side| side == first) {
        return vec![("border of", first)];
    }
    let sides = ["top", "right", "bottom", "left"];
    sides.into_iter().zip(&layer.shows).collect()
}

fn check_gluing(tally: &mut Tally, handout: &HandoutEntry, sections: &[Section<'_>]) {
    let lines = section(tally, sections, "Gluing order", !handout.gluing.is_empty());
    let items = items(lines);
    as_many(
        tally,
        "things that are glued",
        None,
        handout.gluing.len(),
        items.len(),
    );
    for (glueing, item) in handout.gluing.iter().zip(&items) {
        tally.on_page(item.page);
        let number = glueing.number.to_string();
        let mut facts = vec![number.as_str()];
        facts.extend(surfaces(glueing, item.first()));
        facts.extend(glueing.with.as_deref());
        let what = format!("number {number} of the gluing order");
        ask(tally, &what, None, &facts, item.first());
    }
}

/// The glued surfaces, each after its side; two panels of one piece may have its name once before both.
fn surfaces<'g>(glueing: &'g GluingEntry, said: &str) -> Vec<&'g str> {
    let GluingEntry {
        from,
        from_side,
        to,
        to_side,
        ..
    } = glueing;
    let parted = from.rsplit_once(", ").zip(to.rsplit_once(", "));
    match parted {
        Some(((piece, from), (other, to)))
            if piece == other && said.contains(&format!("{piece}: ")) =>
        {
            vec![piece, from_side, from, to_side, to]
        }
        Some(_) | None => vec![from_side, from, to_side, to],
    }
}

fn check_steps(tally: &mut Tally, handout: &HandoutEntry, sections: &[Section<'_>]) {
    let lines = section(tally, sections, "Steps", !handout.steps.is_empty());
    let left_mm = lines
        .iter()
        .map(|line| line.x_mm())
        .fold(f64::MAX, f64::min);
    let parts = split(lines.iter().copied(), SUBHEADING_MM);
    as_many(tally, "steps", None, handout.steps.len(), parts.len());
    for (step, part) in handout.steps.iter().zip(&parts) {
        tally.on_page(part.page);
        check_step(tally, step, part, left_mm);
    }
}

fn check_step(tally: &mut Tally, step: &StepEntry, part: &Section<'_>, left_mm: f64) {
    let number = step.number.to_string();
    let minutes = step.minutes.map(|minutes| minutes.to_string());
    let mut facts = vec![number.as_str(), &step.when];
    facts.extend(minutes.as_deref());
    ask(
        tally,
        &format!("head of step {number}"),
        None,
        &facts,
        &part.title,
    );
    let own = part
        .lines
        .iter()
        .filter(|line| line.x_mm() < left_mm + LEFT_MM);
    let said: Vec<&str> = own.map(|line| line.first()).collect();
    same(
        tally,
        &format!("step {number}"),
        &step.text,
        &said.join(" "),
    );
}

/// A caution has its name on a line of its own, and a sentence below.
fn check_cautions(tally: &mut Tally, handout: &HandoutEntry, sections: &[Section<'_>]) {
    let lines = section(tally, sections, "Please mind", !handout.cautions.is_empty());
    let known = |text: &str| {
        let mut names = Caution::NAMES.iter();
        names
            .find(|(name, _)| *name == text.to_lowercase())
            .map(|(name, _)| *name)
    };
    let heads: Vec<Option<&str>> = lines.iter().map(|line| known(line.first())).collect();
    for caution in &handout.cautions {
        tally.count();
        let head = heads
            .iter()
            .position(|head| *head == Some(caution.as_str()));
        let has_words = head.is_some_and(|at| heads.get(at + 1) == Some(&None));
        if !has_words {
            let message = format!("the caution about {caution} is missing");
            tally.add(Finding::new("verify.missing", message));
        }
    }
    as_many(
        tally,
        "cautions",
        None,
        handout.cautions.len(),
        heads.iter().flatten().count(),
    );
}

fn check_cost(tally: &mut Tally, handout: &HandoutEntry, sections: &[Section<'_>]) {
    let is_planned = handout.cost.is_some() || handout.no_cost.is_some();
    let lines = section(tally, sections, "Cost", is_planned);
    let said = joined(lines);
    if let Some(why) = &handout.no_cost {
        ask(tally, "why there is no cost", None, &[why], &said);
    }
    let Some(cost) = &handout.cost else {
        return;
    };
    let minutes = [&cost.one, &cost.all].map(|outlay| outlay.minutes.map(|m| m.to_string()));
    let both = [&cost.one, &cost.all];
    let mut facts: Vec<&str> = both.map(|outlay| outlay.materials.as_str()).to_vec();
    facts.extend(minutes.iter().filter_map(Option::as_deref));
    facts.extend(both.iter().filter_map(|outlay| outlay.work.as_deref()));
    facts.extend(both.iter().filter_map(|outlay| outlay.overhead.as_deref()));
    facts.extend(both.iter().filter_map(|outlay| outlay.asks.as_deref()));
    facts.extend(cost.unpriced.iter().map(String::as_str));
    ask(tally, "cost", None, &facts, &said);
    let copies = tokens(&format!("{}, as", cost.copies));
    tally.count();
    if cost.copies > 1 && place(&tokens(&said), &copies).is_none() {
        let what = "copies that the cost is for";
        let finding = Finding::numbers("verify.words", what, cost.copies.to_string(), said);
        tally.add(finding);
    }
}

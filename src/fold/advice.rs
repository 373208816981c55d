//! What to mind about the looks of a folded object: prints that stand on their head, patterns that break at a seam, prints
//! nobody sees, folds across the grain. Warnings, never errors.

use super::reading::{Layer, Looks, PanelReading, Stands, readings};
use super::{Folded, code, grain, seam, unseen};
use crate::diagnostic::Diagnostic;
use crate::project::{Artwork, ArtworkFill, Assembly, Edge, Face, Part, Project, Reads};

/// Returns all warnings about an assembly's looks.
#[must_use]
pub fn findings(project: &Project, assembly: &Assembly, folded: &Folded) -> Vec<Diagnostic> {
    let readings = readings(project, assembly, folded);
    let mut found = Vec::new();
    let mut done: Vec<(usize, Face, Layer)> = Vec::new();
    for reading in &readings {
        let key = (reading.piece, reading.face, reading.what);
        if done.contains(&key) {
            continue;
        }
        done.push(key);
        let same: Vec<&PanelReading> = readings
            .iter()
            .filter(|r| (r.piece, r.face, r.what) == key)
            .collect();
        found.extend(stands_wrong(project, &same));
    }
    found.extend(seam::findings(project, assembly, folded));
    found.extend(unseen::findings(project, assembly, folded));
    found.extend(grain::findings(project, assembly));
    found
}

/// Whether a layer that minds stands wrong on a wall.
fn is_wrong(kind: Reads, stands: Stands) -> bool {
    match (kind, stands) {
        (Reads::OneWay, Stands::UpsideDown)
        | (Reads::Stripe, Stands::TopLeft | Stands::TopRight) => true,
        (Reads::OneWay | Reads::Stripe | Reads::Free, _) => false,
    }
}

/// The walls among the panels of one layer that would stand wrong after a turn by some quarters.
fn wrong_after<'r>(same: &[&'r PanelReading], quarters: u8) -> Vec<&'r PanelReading> {
    let walls = same.iter().filter(|r| match r.looks {
        Looks::Aside => true,
        Looks::Up | Looks::Down => false,
    });
    walls
        .filter(|r| is_wrong(r.kind, r.reads.turned(quarters)))
        .copied()
        .collect()
}

/// Warns of a layer of one piece that stands wrong on some of its panels.
fn stands_wrong(project: &Project, same: &[&PanelReading]) -> Option<Diagnostic> {
    let wrong = wrong_after(same, 0);
    let first = wrong.first()?;
    let piece = &project.pieces[first.piece];
    let what = match first.what {
        Layer::Artwork(i) => format!("artwork {} of \"{}\"", i + 1, piece.id),
        Layer::Pattern => format!("the pattern of \"{}\"", piece.id),
    };
    let (code, how, quarters) = match first.kind {
        Reads::OneWay => (code::READS_UPSIDE_DOWN, "is upside down", 2),
        Reads::Stripe | Reads::Free => (code::READS_ON_SIDE, "lies on its side", 1),
    };
    let message = format!("{what} {how} on {}", names(&wrong));
    let origin = match first.what {
        Layer::Artwork(i) => &project.artwork_of(0, first.piece)[i].origin,
        Layer::Pattern => &piece.origin,
    };
    let warning = Diagnostic::warning(code, message).at(origin);
    let warning = warning.hint(remedy(project, same, quarters));
    let ups = wrong.iter().filter_map(|r| up_cure(project, r, quarters));
    Some(ups.fold(warning, Diagnostic::hint))
}

/// What to write where not the artwork is wrong but what a panel that somebody drew says of its own up.
fn up_cure(project: &Project, reading: &PanelReading, quarters: u8) -> Option<String> {
    match reading.what {
        Layer::Artwork(_) => {}
        Layer::Pattern => return None,
    }
    let piece = &project.pieces[reading.piece];
    let of_part = |part: &Part| part.pieces.contains(&reading.piece);
    if project.parts.iter().any(of_part) {
        return None;
    }
    let panel = piece.panels.iter().find(|p| p.name == reading.panel)?;
    let up_deg = panel.up?.deg().rem_euclid(360.0);
    let is_up = |edge: &Edge| (up_deg - 90.0 * f64::from(edge.quarters())).abs() < 1.0;
    let edge = edge_after(EDGES.into_iter().find(is_up)?, quarters);
    Some(format!(
        "or, if the artwork is as you want it on the finished object, write up = \"{edge}\" for panel \"{}\", and place the artwork by the panel",
        panel.name
    ))
}

const EDGES: [Edge; 4] = [Edge::Top, Edge::Right, Edge::Bottom, Edge::Left];

/// The turn that mends it, or what it would cost.
fn remedy(project: &Project, same: &[&PanelReading], quarters: u8) -> String {
    let after = wrong_after(same, quarters);
    let reading = same[0];
    let change = match reading.what {
        Layer::Artwork(i) => {
            let artwork = project.artwork_of(0, reading.piece)[i];
            format!("turn = \"{} deg\"", turned_deg(artwork, quarters))
        }
        Layer::Pattern => {
            let up = project.pieces[reading.piece].pattern_up;
            format!(
                "pattern_up = \"{}\"",
                edge_after(up.unwrap_or(Edge::Top), quarters)
            )
        }
    };
    if after.is_empty() {
        return format!("write {change}");
    }
    let names = names(&after);
    match reading.what {
        Layer::Artwork(_) => format!(
            "with {change} it would stand wrong on {names} instead; give each panel artwork of its own"
        ),
        Layer::Pattern => format!(
            "with {change} it would stand wrong on {names} instead; cut the panels apart to have all of them upright"
        ),
    }
}

/// The turn of an artwork after some more quarters.
fn turned_deg(artwork: &Artwork, quarters: u8) -> f64 {
    let now_deg = match &artwork.fill {
        ArtworkFill::Flat(_) => 0.0,
        ArtworkFill::Picture(picture) | ArtworkFill::Repeat(picture) => picture.pose.turn.deg(),
        ArtworkFill::Each(listed) => listed.place.pose.turn.deg(),
    };
    (now_deg + 90.0 * f64::from(quarters)).round() % 360.0
}

const fn edge_after(edge: Edge, quarters: u8) -> &'static str {
    match (edge.quarters() + quarters) % 4 {
        0 => "top",
        1 => "right",
        2 => "bottom",
        _ => "left",
    }
}

/// The panels' ids, as a list in a sentence.
fn names(panels: &[&PanelReading]) -> String {
    let mut ids: Vec<&str> = panels.iter().map(|r| r.id.as_str()).collect();
    ids.dedup();
    match ids.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
        None => String::new(),
    }
}

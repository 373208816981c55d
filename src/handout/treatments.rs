//! What is done to areas of a piece, in words and in the order of work: emboss and leave plain, then stamp, then glue.

use super::model::TreatedWork;
use super::words;
use crate::diagnostic::listed;
use crate::project::{Embossing, Face, Piece, Project, TreatedPlace, Treatment, TreatmentKind};

/// Returns what is done to the areas of a piece, in the order of work.
pub(super) fn treated(project: &Project, piece: &Piece) -> Vec<TreatedWork> {
    let mut work: Vec<(u8, TreatedWork)> = piece
        .treatments
        .iter()
        .enumerate()
        .map(|(i, treatment)| {
            let words = in_words(project, treatment);
            let treatment_work = TreatedWork {
                treatment: i,
                words,
            };
            (turn(&treatment.kind), treatment_work)
        })
        .collect();
    work.sort_by_key(|(turn, _)| *turn);
    work.into_iter().map(|(_, work)| work).collect()
}

/// When it is done: what is left plain is named while the rest is embossed.
const fn turn(kind: &TreatmentKind) -> u8 {
    match kind {
        TreatmentKind::Embossed(_) => 0,
        TreatmentKind::Plain => 1,
        TreatmentKind::Stamped => 2,
        TreatmentKind::Glued { .. } => 3,
    }
}

fn in_words(project: &Project, treatment: &Treatment) -> String {
    let place = place(&treatment.place);
    let face = match treatment.face {
        Face::Front => "",
        Face::Back => " on the back",
    };
    let mut text = match &treatment.kind {
        TreatmentKind::Embossed(how) => format!("emboss {place}{face} {}", embossing(project, how)),
        TreatmentKind::Plain => format!("leave {place}{face} plain"),
        TreatmentKind::Stamped => format!("stamp or write on {place}{face}"),
        TreatmentKind::Glued { with } => {
            let with = with.map(|supply| format!(" with {}", project.supplies[supply].name));
            format!("glue {place}{face}{}", with.unwrap_or_default())
        }
    };
    if let Some(note) = &treatment.note {
        text.push_str(". ");
        text.push_str(&words::sentence(note));
    }
    text
}

fn place(place: &TreatedPlace) -> String {
    match place {
        TreatedPlace::Whole => "the whole piece".to_owned(),
        TreatedPlace::Panels(names) => {
            let names: Vec<String> = names.iter().map(|name| words::panel(name)).collect();
            listed(&names)
        }
        TreatedPlace::Area(_) => "the hatched area".to_owned(),
    }
}

/// `with the leaf plate: put the left edge in first, then the right edge, the top of the pattern towards the piece's top edge`.
fn embossing(project: &Project, how: &Embossing) -> String {
    let edges = how.goes_in.iter().enumerate();
    let mut parts: Vec<String> = edges
        .map(|(i, edge)| match i {
            0 => format!("put the {} edge in first", edge.name()),
            _ => format!("then the {} edge", edge.name()),
        })
        .collect();
    parts.extend(how.up.map(|up| {
        let edge = up.name();
        format!("the top of the pattern towards the piece's {edge} edge")
    }));
    let with = format!("with {}", project.tools[how.tool].name);
    if parts.is_empty() {
        with
    } else {
        format!("{with}: {}", parts.join(", "))
    }
}

//! The numbered steps: the maker's own, or those that follow from the work.

use super::cut_words::cutting;
use super::gluing::member;
use super::model::{Glueing, PieceWork, WorkStep};
use super::score_words::{again, folding, scoring};
use super::words::{self, sentence};
use crate::diagnostic::listed;
use crate::project::{Assembly, Face, JointKind, Project, TreatmentKind, When};

/// Returns the steps of a job whose pieces and gluing are known.
pub(super) fn steps(project: &Project, pieces: &[PieceWork], gluing: &[Glueing]) -> Vec<WorkStep> {
    let mut steps = if project.lesson.steps.is_empty() {
        followed(project, pieces, gluing)
    } else {
        own(project)
    };
    for (number, step) in (1..).zip(&mut steps) {
        step.number = number;
    }
    steps
}

fn own(project: &Project) -> Vec<WorkStep> {
    let steps = project.lesson.steps.iter().enumerate();
    let steps = steps.map(|(i, step)| WorkStep {
        number: 0,
        text: step.text.clone(),
        piece: step.piece,
        assembly: step.assembly,
        own: Some(i),
        when: step.when,
        minutes: step.minutes,
    });
    steps.collect()
}

fn followed(project: &Project, pieces: &[PieceWork], gluing: &[Glueing]) -> Vec<WorkStep> {
    let mut steps = Vec::new();
    let mut each = |words: fn(&Project, &PieceWork) -> Option<String>, when: When| {
        for work in pieces {
            let text = words(project, work);
            steps.extend(text.map(|text| of_piece(work.piece, text, when)));
        }
    };
    each(cutting, When::BeforeClass);
    each(scoring, When::BeforeClass);
    each(embossing, When::BeforeClass);
    each(again, When::BeforeClass);
    each(stamping, When::InClass);
    each(folding, When::InClass);
    steps.extend(sticking(pieces, gluing));
    steps.extend(
        project
            .assemblies
            .iter()
            .enumerate()
            .filter_map(|(i, assembly)| moving(project, i, assembly)),
    );
    steps
}

fn of_piece(piece: usize, text: String, when: When) -> WorkStep {
    WorkStep {
        number: 0,
        text,
        piece: Some(piece),
        assembly: None,
        own: None,
        when,
        minutes: None,
    }
}

/// Embosses, and leaves plain.
fn embossing(project: &Project, work: &PieceWork) -> Option<String> {
    treating(project, work, |kind| match kind {
        TreatmentKind::Embossed(_) | TreatmentKind::Plain => true,
        TreatmentKind::Stamped | TreatmentKind::Glued { .. } => false,
    })
}

fn stamping(project: &Project, work: &PieceWork) -> Option<String> {
    treating(project, work, |kind| match kind {
        TreatmentKind::Stamped => true,
        TreatmentKind::Embossed(_) | TreatmentKind::Plain | TreatmentKind::Glued { .. } => false,
    })
}

fn treating(
    project: &Project,
    work: &PieceWork,
    is_wanted: fn(&TreatmentKind) -> bool,
) -> Option<String> {
    let piece = &project.pieces[work.piece];
    let wanted = work.treated.iter();
    let wanted = wanted.filter(|treated| is_wanted(&piece.treatments[treated.treatment].kind));
    let texts: Vec<&str> = wanted.map(|treated| treated.words.as_str()).collect();
    let name = words::piece(project, piece);
    (!texts.is_empty()).then(|| format!("{name}: {}.", texts.join("; ")))
}

/// Gluing in order, what belongs together in one step.
fn sticking(pieces: &[PieceWork], gluing: &[Glueing]) -> Vec<WorkStep> {
    let belongs = |a: &Glueing, b: &Glueing| {
        let ends = |g: &Glueing| (g.assembly, g.from_piece, g.to_piece);
        a.assembly.is_some() && ends(a) == ends(b)
    };
    gluing
        .chunk_by(belongs)
        .map(|group| {
            let mut text = sentence(&stuck_words(group));
            if flush_layer(pieces, &group[0]) {
                text.push_str(" Let it dry, then trim it flush.");
            }
            WorkStep {
                number: 0,
                text,
                piece: None,
                assembly: group[0].assembly,
                own: None,
                when: When::InClass,
                minutes: None,
            }
        })
        .collect()
}

/// `Glue 1 to 4: the front of Tray, tab-1 to the back of Tray, left; ...`.
fn stuck_words(group: &[Glueing]) -> String {
    let (first, last) = (group[0].number, group[group.len() - 1].number);
    let numbers = match last - first {
        0 => first.to_string(),
        1 => format!("{first} and {last}"),
        _ => format!("{first} to {last}"),
    };
    let each: Vec<String> = group.iter().map(in_words).collect();
    format!("glue {numbers}: {}.", each.join("; "))
}

fn in_words(glueing: &Glueing) -> String {
    let side = Face::name;
    format!(
        "the {} of {} to the {} of {}",
        side(glueing.from_face),
        glueing.from,
        side(glueing.to_face),
        glueing.to
    )
}

/// Whether what is glued is a layer that is trimmed afterwards.
fn flush_layer(pieces: &[PieceWork], glueing: &Glueing) -> bool {
    let layer = pieces[glueing.from_piece].layer.as_ref();
    glueing.assembly.is_none() && layer.is_some_and(|layer| layer.trim_flush)
}

/// Puts together what slides and tucks in what closes it.
fn moving(project: &Project, index: usize, assembly: &Assembly) -> Option<WorkStep> {
    let texts: Vec<String> = [slides(project, assembly), tucks(project, assembly)]
        .into_iter()
        .flatten()
        .collect();
    (!texts.is_empty()).then(|| WorkStep {
        number: 0,
        text: texts.join(" "),
        piece: None,
        assembly: Some(index),
        own: None,
        when: When::InClass,
        minutes: None,
    })
}

fn slides(project: &Project, assembly: &Assembly) -> Option<String> {
    let fits = super::fit_tests::fits(project, assembly);
    let texts: Vec<String> = fits.iter().map(|fit| fit.put_together()).collect();
    (!texts.is_empty()).then(|| sentence(&format!("{}.", listed(&texts))))
}

fn tucks(project: &Project, assembly: &Assembly) -> Option<String> {
    let joints = assembly.joints.iter();
    let tucked = joints.filter(|joint| match joint.kind {
        JointKind::Tuck { .. } => true,
        JointKind::Stuck { .. }
        | JointKind::Meet { .. }
        | JointKind::Flush { .. }
        | JointKind::Hinge
        | JointKind::Slide { .. } => false,
    });
    let texts: Vec<String> = tucked
        .map(|joint| {
            let to = if joint.from.member == joint.to.member {
                words::panel(&joint.to.panel)
            } else {
                let name = member(project, assembly, joint.to.member);
                format!("{name}, {}", words::panel(&joint.to.panel))
            };
            format!("{} behind {to}", words::panel(&joint.from.panel))
        })
        .collect();
    (!texts.is_empty()).then(|| format!("Tuck in {}.", listed(&texts)))
}

//! A handout in the words of `plan.json`.

use super::model::{
    FitTest, Glueing, GrooveFit, Handout, KitLine, LayerOn, PieceWork, Score, WorkStep,
};
use super::shopping_entry::{bags_entry, cost_entry, shopping_entries};
use crate::length::{Length, LengthStyle};
use crate::plan::file::{
    FitTestEntry, GluingEntry, GrooveEntry, HandoutEntry, KitEntry, LayerEntry, PieceWorkEntry,
    ScoreEntry, ShownLength, StepEntry,
};
use crate::plan::operation_names;
use crate::project::{Caution, Project};

/// Returns a handout as it is written to `plan.json`.
#[must_use]
pub fn entry(project: &Project, handout: &Handout) -> HandoutEntry {
    let as_shown = AsShown {
        project,
        style: handout.style,
    };
    HandoutEntry {
        pieces: handout.pieces.iter().map(|w| as_shown.piece(w)).collect(),
        gluing: handout
            .gluing
            .iter()
            .map(|g| as_shown.gluing(handout, g))
            .collect(),
        steps: handout.steps.iter().map(|s| as_shown.step(s)).collect(),
        tools: handout.tools.clone(),
        shopping: shopping_entries(project, handout),
        cost: handout.cost.as_ref().map(cost_entry),
        no_cost: handout.no_cost.clone(),
        kit: handout.kit.iter().map(|line| as_shown.kit(line)).collect(),
        bags: handout
            .labels
            .iter()
            .map(|l| bags_entry(project, l))
            .collect(),
        fit_tests: handout
            .fit_tests
            .iter()
            .map(|test| as_shown.fit_test(test))
            .collect(),
        cautions: handout.cautions.iter().map(|c| caution(*c)).collect(),
    }
}

fn caution(caution: Caution) -> String {
    let name = Caution::NAMES.iter().find(|(_, known)| *known == caution);
    name.expect("every caution has its words").0.to_owned()
}

/// How things are named and lengths shown.
#[derive(Clone, Copy)]
struct AsShown<'a> {
    project: &'a Project,
    style: LengthStyle,
}

impl AsShown<'_> {
    fn shown(self, length: Length) -> ShownLength {
        ShownLength {
            mm: length.to_mm(),
            text: length.display(self.style),
        }
    }

    fn pair(self, (a, b): (Length, Length)) -> [ShownLength; 2] {
        [self.shown(a), self.shown(b)]
    }

    fn piece_id(self, piece: usize) -> String {
        self.project.pieces[piece].id.clone()
    }

    fn assembly_id(self, assembly: usize) -> String {
        self.project.assemblies[assembly].id.clone()
    }

    fn piece(self, work: &PieceWork) -> PieceWorkEntry {
        let piece = &self.project.pieces[work.piece];
        let names = operation_names(piece);
        PieceWorkEntry {
            piece: piece.id.clone(),
            name: piece.name.clone(),
            per_copy: work.per_copy,
            wanted: work.wanted,
            have: work.have,
            size: self.pair(work.size),
            rough: work.rough.map(|rough| self.pair(rough)),
            is_rectangle: work.is_rectangle,
            template_pages: Vec::new(),
            scored_face: work.scored_face.name().to_owned(),
            by_fence: work.by_fence,
            scores: work.scores.iter().map(|s| self.score(s, &names)).collect(),
            treated: work.treated.iter().map(|t| t.words.clone()).collect(),
            layer: work.layer.as_ref().map(|layer| self.layer(layer)),
        }
    }

    fn score(self, score: &Score, names: &[String]) -> ScoreEntry {
        ScoreEntry {
            number: score.number,
            operations: score.operations.iter().map(|i| names[*i].clone()).collect(),
            fence: score.fence.name().to_owned(),
            at: self.shown(score.at),
            off_mm: score.off.to_mm(),
            span: score.span.map(|span| self.pair(span)),
            fold: score.fold.name().to_owned(),
            folds_to_deg: score.folds_to_deg,
            again: score.again,
            groove: score.groove.map(|fit| self.groove(fit)),
        }
    }

    fn groove(self, fit: GrooveFit) -> GrooveEntry {
        let (name, at, off) = match fit {
            GrooveFit::InGroove => ("in", None, None),
            GrooveFit::Between { nearest, off } => ("between", Some(nearest), Some(off)),
            GrooveFit::FromFarEnd { at } => ("from-far-end", Some(at), None),
            GrooveFit::BeyondReach => ("beyond-reach", None, None),
        };
        GrooveEntry {
            fit: name.to_owned(),
            at: at.map(|at| self.shown(at)),
            off_mm: off.map(Length::to_mm),
        }
    }

    fn layer(self, layer: &LayerOn) -> LayerEntry {
        LayerEntry {
            on: self.piece_id(layer.on),
            panel: layer.panel.clone(),
            shows: layer.shows.map(|side| self.shown(side)),
            standoff: ShownLength {
                mm: layer.standoff.to_mm(),
                text: layer.standoff.told(self.style),
            },
            trim_flush: layer.trim_flush,
        }
    }

    fn gluing(self, handout: &Handout, glueing: &Glueing) -> GluingEntry {
        GluingEntry {
            number: glueing.number,
            assembly: glueing.assembly.map(|a| self.assembly_id(a)),
            from: glueing.from.clone(),
            from_face: glueing.from_face.name().to_owned(),
            from_side: handout
                .side(glueing.from_piece, glueing.from_face)
                .to_owned(),
            to: glueing.to.clone(),
            to_face: glueing.to_face.name().to_owned(),
            to_side: handout.side(glueing.to_piece, glueing.to_face).to_owned(),
            with: glueing.with.clone(),
        }
    }

    fn step(self, step: &WorkStep) -> StepEntry {
        StepEntry {
            number: step.number,
            text: step.text.clone(),
            piece: step.piece.map(|piece| self.piece_id(piece)),
            assembly: step.assembly.map(|a| self.assembly_id(a)),
            when: step.when.name().to_owned(),
            minutes: step.minutes,
        }
    }

    fn kit(self, line: &KitLine) -> KitEntry {
        KitEntry {
            name: line.name.clone(),
            of: line.of.clone(),
            each: line.each.clone(),
            edition: line
                .edition
                .map(|edition| self.project.editions[edition].id.clone()),
        }
    }

    fn fit_test(self, test: &FitTest) -> FitTestEntry {
        let pieces = test.pieces.iter();
        FitTestEntry {
            assembly: self.assembly_id(test.assembly),
            proves: test.proves.clone(),
            pieces: pieces.map(|(p, n)| (self.piece_id(*p), *n)).collect(),
        }
    }
}

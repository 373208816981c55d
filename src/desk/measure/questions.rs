//! What is read off a chart, a test cut or a printed sheet, one question for each reading.

use serde_json::{Value, json};

use super::super::Desk;
use super::super::answer::{Answer, Asked, Outcome, Refused};
use super::{ChartAsked, refused, sheet};
use crate::calibrate::chart::{Chart, ChartEdition, ChartFaces, Vernier};
use crate::calibrate::crosses;
use crate::length::{Length, LengthStyle};

/// One question.
struct Question {
    key: String,
    label: String,
    about: &'static str,
    example: String,
    right: Option<String>,
    is_needed: bool,
}

pub(in super::super) fn questions(desk: &Desk, asked: &Asked) -> Outcome {
    let of = asked.query.get("of").map_or("", String::as_str);
    if of == "marks" {
        return sheet::questions(desk, asked);
    }
    let which = ChartAsked::of(asked);
    let (_, chart) = which.chart().map_err(|d| refused(&d))?;
    let (about, questions) = match of {
        "ruler" => (RULER, by_ruler(&chart)),
        "eye" => (EYE, by_eye(&chart, which.faces())),
        "cutter" => (CUTTER, by_crosses(&chart)),
        _ => return Err(Refused::missing()),
    };
    let questions: Vec<Value> = questions.iter().map(to_json).collect();
    Ok(Answer::Json(
        json!({ "about": about, "questions": questions }),
    ))
}

/// The keys of all questions, so that what is wrong with one is told at it.
pub(super) fn keys(of: &str, chart: &Chart, faces: ChartFaces) -> Vec<String> {
    let questions = match of {
        "ruler" => by_ruler(chart),
        "eye" => by_eye(chart, faces),
        _ => by_crosses(chart),
    };
    questions.into_iter().map(|q| q.key).collect()
}

fn to_json(question: &Question) -> Value {
    json!({
        "key": question.key,
        "label": question.label,
        "about": question.about,
        "example": question.example,
        "right": question.right,
        "needed": question.is_needed,
        "picture": null,
    })
}

const RULER: &str = "Lay the ruler along each line in turn and read it as finely as you can; twice or three times, parted by commas, is finer.";
const EYE: &str = "Lay the ruler along the printed line, its zero exactly on the edge of the sheet. Count what lies before tick 0, then find the one tick that meets a mark of the ruler. Read each twice or three times with the ruler laid anew, parted by commas: the more, the finer.";
const CUTTER: &str = "At each cross read how far the cut one lies to the right of the printed one (left is minus) and below it (above is minus). If you cut two or three charts, each loaded anew, give a reading of each, parted by commas: then it is known how cuts repeat.";

/// A length as it is read off a ruler of this chart, without its unit where it is inches.
fn near(mm: f64, edition: ChartEdition) -> String {
    match edition {
        ChartEdition::Millimetres => format!("{mm:.1} mm"),
        ChartEdition::Inches => {
            let step = Length::from_inch_fraction(1, 32).nm();
            let nearest = Length::nearest_mm(mm).nm();
            let on = Length::from_nm((nearest + step / 2).div_euclid(step) * step);
            on.display(LengthStyle::InchFractions)
        }
    }
}

fn by_ruler(chart: &Chart) -> Vec<Question> {
    let question = |key: &str, label: String, nominal_mm: f64| Question {
        key: key.to_owned(),
        label,
        about: "",
        example: near(nominal_mm * 1.005, chart.edition),
        right: Some(near(nominal_mm, chart.edition)),
        is_needed: true,
    };
    let lines = chart.lines.iter().map(|line| {
        let label = format!("{}, from its one end tick to the other", line.id);
        question(&line.id.to_string(), label, line.length_mm())
    });
    let edges = chart.edge_distances.iter().map(|distance| {
        let (id, edge) = (distance.id, distance.edge.name());
        let label = format!("{id}, from the {edge} edge of the sheet to the end tick");
        question(
            &distance.id.to_string(),
            label,
            distance.nominal_mm(chart.page),
        )
    });
    lines.chain(edges).collect()
}

fn by_eye(chart: &Chart, faces: ChartFaces) -> Vec<Question> {
    let mut all: Vec<Question> = chart.verniers.iter().map(|v| vernier(v, chart)).collect();
    all.extend(["top", "right", "bottom", "left"].map(|edge| Question {
        key: edge.to_owned(),
        label: format!("Ladder at the {edge} edge"),
        about: "the number of the outermost line that is printed whole; left empty, the margin is not measured",
        example: "4".to_owned(),
        right: None,
        is_needed: false,
    }));
    if faces == ChartFaces::Both {
        for station in &chart.stations {
            for (axis, way) in [("x", "to the right of the front"), ("y", "below the front")] {
                all.push(Question {
                    key: format!("{}{axis}", station.id),
                    label: format!("{}{axis}, how far the back lies {way}", station.id),
                    about: "against a window, the front towards you; the other way is minus",
                    example: "-0.4".to_owned(),
                    right: None,
                    is_needed: true,
                });
            }
        }
    }
    all
}

fn vernier(vernier: &Vernier, chart: &Chart) -> Question {
    let (corner, edge) = (vernier.corner(), vernier.edge());
    let (about, example) = match chart.edition {
        ChartEdition::Millimetres => (
            "whole millimetres before tick 0, then the tick that meets as tenths",
            "20.4".to_owned(),
        ),
        ChartEdition::Inches => (
            "the sixteenths before tick 0, a plus, and the tick that meets",
            "3/4 + 5".to_owned(),
        ),
    };
    Question {
        key: vernier.id.to_owned(),
        label: format!("{}, {corner}, from the {edge} edge", vernier.id),
        about,
        example,
        right: Some(near(vernier.nominal_mm(), chart.edition)),
        is_needed: true,
    }
}

fn by_crosses(chart: &Chart) -> Vec<Question> {
    let targets = crosses(chart);
    let both = targets.iter().flat_map(|target| {
        [("x", "right"), ("y", "below")].map(|(axis, way)| Question {
            key: format!("{}{axis}", target.id),
            label: format!("{}, {way}", target.id),
            about: "",
            example: "-0.3".to_owned(),
            right: None,
            is_needed: true,
        })
    });
    both.collect()
}

//! The readings asked for one at a time, with a drawing of what to look at. No terminal here: lines go in, text comes out.

use super::chart::{Chart, ChartEdition, ChartFaces, Vernier};
use super::eye::check_one;
use super::sane::vernier_text;
use crate::length::{Length, LengthStyle};
use crate::project::{ReadingSheet, TypedReading};

/// What a person is asked.
struct Question {
    key: String,
    text: String,
    /// Whether an empty line leaves it out.
    may_be_left_out: bool,
}

/// Asks for all readings of a chart. `say` shows text, `lines` are what a person types.
///
/// An answer that cannot be is told why, and asked again. `sheet` says what chart it is and keeps the answers. Returns `None` where
/// the lines end, or `quit` is typed, before all that is needed was answered.
pub fn ask(
    chart: &Chart,
    faces: ChartFaces,
    mut sheet: ReadingSheet,
    lines: &mut dyn Iterator<Item = String>,
    say: &mut dyn FnMut(&str),
) -> Option<ReadingSheet> {
    say(&introduction(chart));
    let mut heading = "";
    for question in questions(chart, faces) {
        let about = heading_of(&question.key);
        if about != heading {
            heading = about;
            say(&part(chart, heading));
        }
        loop {
            say(&question.text);
            let line = lines.next()?;
            let typed = TypedReading::typed(&question.key, &line);
            if line.trim() == "quit" {
                return None;
            }
            if typed.values.is_empty() && question.may_be_left_out {
                break;
            }
            sheet.readings.retain(|r| r.key != question.key);
            sheet.readings.push(typed);
            let mistakes = check_one(&sheet, chart, &question.key);
            let Some(first) = mistakes.first() else { break };
            say(&format!(
                "    {}; {}\n",
                first.message,
                first.hints.join("; ")
            ));
            sheet.readings.retain(|r| r.key != question.key);
        }
    }
    Some(sheet)
}

const VERNIERS: &str = "verniers";
const LADDERS: &str = "ladders";
const STATIONS: &str = "stations";

fn heading_of(key: &str) -> &'static str {
    match key.as_bytes() {
        [b'x' | b'y', ..] => VERNIERS,
        [b's', ..] => STATIONS,
        _ => LADDERS,
    }
}

fn questions(chart: &Chart, faces: ChartFaces) -> Vec<Question> {
    let mut all: Vec<Question> = chart
        .verniers
        .iter()
        .map(|v| about_vernier(v, chart))
        .collect();
    for key in ["top", "right", "bottom", "left"] {
        all.push(Question {
            key: key.to_owned(),
            text: format!("{key} edge, outermost line that is printed whole (empty: not read): "),
            may_be_left_out: true,
        });
    }
    if faces == ChartFaces::Both {
        for station in &chart.stations {
            for (axis, way) in [
                ('x', "right of the front (left: minus)"),
                ('y', "below the front (above: minus)"),
            ] {
                all.push(Question {
                    key: format!("{}{axis}", station.id),
                    text: format!("{}{axis}, how far the back lies {way}: ", station.id),
                    may_be_left_out: false,
                });
            }
        }
    }
    all
}

fn about_vernier(vernier: &Vernier, chart: &Chart) -> Question {
    let (corner, edge) = (vernier.corner(), vernier.edge());
    let near = vernier_text(vernier.nominal_mm(), chart.edition);
    Question {
        key: vernier.id.to_owned(),
        text: format!(
            "{}, {corner}, from the {edge} edge (near {near}): ",
            vernier.id
        ),
        may_be_left_out: false,
    }
}

fn introduction(chart: &Chart) -> String {
    format!(
        "Chart {}. Read each thing once, or two or three times with the ruler laid anew, parted by commas: the more, the finer.\n\"quit\" ends without a profile.\n",
        chart.format
    )
}

fn part(chart: &Chart, heading: &str) -> String {
    match heading {
        VERNIERS => format!(
            "\nFine scales. Lay the ruler along the printed line, its zero exactly on the edge of the sheet. Count what lies before tick 0, then find \
             the one tick that meets a mark of the ruler:\n\n{}\n",
            drawing(chart)
        ),
        LADDERS => "\nLadders, in the middle of each edge: lines that run along it, numbered from the edge inwards.\n".to_owned(),
        _ => "\nStations s1 to s4. Hold the sheet against a window, its front towards you. Between which ticks of the front lies tick 0 of \
              the back, and which tick of the back meets one of the front? Type -0.4, or as tick and tick, -1 + 6. Read each twice.\n"
            .to_owned(),
    }
}

/// A ruler over a vernier whose fourth or fifth tick meets, with what is typed for it. Each character is one step of the vernier.
fn drawing(chart: &Chart) -> String {
    let vernier = &chart.verniers[0];
    let step = vernier.last as usize;
    let shown = 7;
    let (meets, first) = match chart.edition {
        ChartEdition::Millimetres => (4, 20),
        ChartEdition::Inches => (5, 12),
    };
    let mut rows = [const { String::new() }; 4];
    for k in 0..shown {
        put(
            &mut rows[0],
            k * step,
            &ruler_label(first + k, chart.edition),
        );
        put(&mut rows[1], k * step, "|");
        put(&mut rows[2], meets + k * (step - 1), "|");
        put(&mut rows[3], meets + k * (step - 1), &k.to_string());
    }
    let mut pointer = String::new();
    let text = match chart.edition {
        ChartEdition::Millimetres => "^ tick 4 meets a mark: type 20.4",
        ChartEdition::Inches => "^ tick 5 meets a mark: type 3/4 + 5",
    };
    put(&mut pointer, meets + meets * (step - 1), text);
    let names = ["ruler", "", "chart", "tick", ""];
    rows.iter()
        .chain([&pointer])
        .zip(names)
        .map(|(row, name)| format!("    {name:6}{row}\n"))
        .collect()
}

/// The number at a mark of the ruler; sixteenths where it is one in inches.
fn ruler_label(mark: usize, edition: ChartEdition) -> String {
    match edition {
        ChartEdition::Millimetres => mark.to_string(),
        ChartEdition::Inches => {
            let sixteenths = i64::try_from(mark).unwrap_or(0);
            let label =
                Length::from_inch_fraction(sixteenths, 16).display(LengthStyle::InchFractions);
            label.trim_end_matches(" in").to_owned()
        }
    }
}

/// Writes into a row at a column, with blanks before it.
fn put(row: &mut String, column: usize, text: &str) {
    while row.chars().count() < column {
        row.push(' ');
    }
    row.push_str(text);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibrate::read_by_eye;
    use crate::paper;
    use crate::project::Ruler;

    fn chart(edition: ChartEdition) -> Chart {
        Chart::upright(paper::find("a4").unwrap(), edition).unwrap()
    }

    /// Runs a dialogue and returns the answers with all that was said.
    fn run(
        edition: ChartEdition,
        faces: ChartFaces,
        lines: &[&str],
    ) -> (Option<ReadingSheet>, String) {
        let chart = chart(edition);
        let sheet = ReadingSheet {
            format: chart.format.clone(),
            page: chart.page,
            ruler: match edition {
                ChartEdition::Millimetres => Ruler::Millimetres,
                ChartEdition::Inches => Ruler::Inches,
            },
            date: None,
            name: None,
            paper: None,
            tray: None,
            readings: Vec::new(),
        };
        let mut said = String::new();
        let mut typed = lines.iter().map(|l| (*l).to_owned());
        let answers = ask(&chart, faces, sheet, &mut typed, &mut |text| said += text);
        (answers, said)
    }

    const ANSWERS: [&str; 8] = [
        "20.4", "181.0", "21.2", "181.7", "20.1", "19.8", "265.8", "265.5",
    ];

    #[test]
    fn eight_answers_and_four_empty_lines_make_a_profile() {
        let lines = [&ANSWERS[..], &["", "", "", ""]].concat();
        let (sheet, said) = run(ChartEdition::Millimetres, ChartFaces::Front, &lines);
        let sheet = sheet.unwrap();
        assert_eq!(sheet.readings.len(), 8);
        assert_eq!(sheet.values("y3"), ["265.8"]);
        assert!(
            said.contains("x2, top right, from the left edge (near 180.0): "),
            "{said}"
        );
        assert!(read_by_eye(&sheet, (2026, 5, 9)).is_ok());
    }

    #[test]
    fn a_wrong_answer_is_told_and_asked_again() {
        let lines = [
            &["0.79", "", "20,4", "20.4"][..],
            &ANSWERS[1..],
            &["5", "4", "13", "99", "4"],
        ]
        .concat();
        let (sheet, said) = run(ChartEdition::Millimetres, ChartFaces::Front, &lines);
        let sheet = sheet.unwrap();
        assert_eq!(
            (sheet.values("x1"), sheet.values("left")),
            (&["20.4".to_owned()][..], &["4".to_owned()][..])
        );
        for words in [
            "looks like inches",
            "x1 was not read",
            "\"20, 4\" comes to 4.0 mm",
            "no line of the ladder",
        ] {
            assert!(said.contains(words), "no {words} in {said}");
        }
        assert_eq!(said.matches("x1, top left").count(), 4);
    }

    #[test]
    fn a_dialogue_that_ends_early_leaves_nothing() {
        assert_eq!(
            run(ChartEdition::Millimetres, ChartFaces::Front, &ANSWERS[..5]).0,
            None
        );
        assert_eq!(
            run(
                ChartEdition::Millimetres,
                ChartFaces::Front,
                &["20.4", "quit"]
            )
            .0,
            None
        );
    }

    #[test]
    fn both_faces_are_asked_for() {
        let lines = [
            &ANSWERS[..],
            &["", "", "", ""],
            &[
                "0.6, 0.5", "-0.4", "0.5", "-1 + 1", "0.3", "-0.6", "0.8", "-0.7",
            ],
        ]
        .concat();
        let (sheet, said) = run(ChartEdition::Millimetres, ChartFaces::Both, &lines);
        let sheet = sheet.unwrap();
        assert_eq!(sheet.values("s1x").len(), 2);
        assert!(said.contains("against a window"));
        assert!(
            read_by_eye(&sheet, (2026, 5, 9))
                .unwrap()
                .value
                .calibration
                .back
                .is_some()
        );
    }

    /// In the drawing the pointed-at tick stands right under a mark, as many characters on as it says, and no other tick does.
    #[test]
    fn the_drawing_shows_what_it_says() {
        for (edition, meets) in [(ChartEdition::Millimetres, 4), (ChartEdition::Inches, 5)] {
            let text = drawing(&chart(edition));
            let rows: Vec<Vec<char>> = text.lines().map(|l| l.chars().collect()).collect();
            let columns = |row: usize| {
                (0..rows[row].len())
                    .filter(|i| rows[row][*i] == '|')
                    .collect::<Vec<_>>()
            };
            let (marks, ticks) = (columns(1), columns(2));
            let meeting: Vec<_> = (0..ticks.len())
                .filter(|k| marks.contains(&ticks[*k]))
                .collect();
            assert_eq!(meeting, [meets], "{text}");
            assert_eq!(
                rows[4].iter().position(|c| *c == '^'),
                Some(ticks[meets]),
                "{text}"
            );
            assert!(text.lines().all(|l| l.chars().count() <= 110), "{text}");
        }
    }
}

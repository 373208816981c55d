//! What to cut first: the fewest pieces that prove a fit, and a table for what they tell.

use kurbo::{Point, Rect, Shape};

use super::leaf::{segment, stroke, tagged};
use super::sheet::Sheet;
use super::words::{DROP_MM, LEADING_MM, Words};
use crate::drawing::{Item, Stroke};
use crate::handout::{FitTest, Handout};
use crate::length::{Length, LengthStyle};
use crate::project::Project;

/// Tests on a page.
const A_PAGE: usize = 2;
/// Columns of the table: how it goes, what to change, what was written down.
const COLUMNS_MM: [f64; 3] = [46.0, 74.0, 60.0];
const ROW_MM: f64 = 8.0;
const ROOM_MM: f64 = 8.0;
const LINE_MM: f64 = 0.2;

/// Returns the pages; none where nothing needs a try. `templates` says where each piece is drawn.
pub(super) fn sheets(
    project: &Project,
    handout: &Handout,
    templates: &[Sheet],
    field: Rect,
) -> Vec<Sheet> {
    let chunks = handout.fit_tests.chunks(A_PAGE);
    chunks
        .map(|tests| Sheet {
            heading: "cut these first".to_owned(),
            pieces: Vec::new(),
            kinds: Vec::new(),
            drawn: Vec::new(),
            words: page(project, tests, templates, field),
        })
        .collect()
}

fn page(project: &Project, tests: &[FitTest], templates: &[Sheet], field: Rect) -> Vec<Item> {
    let mut at = Point::new(field.x0, field.y0 + DROP_MM);
    let mut items = Vec::new();
    let say = |items: &mut Vec<Item>, at: &mut Point, words: &Words| {
        for line in words.broken(field.width()) {
            items.push(line.at(*at));
            at.y += LEADING_MM;
        }
    };
    let why = "Before all others: cut and fold these pieces of the paper you will use, try them, write down how they go, and \
               change the clearance in the project before you cut the rest.";
    say(&mut items, &mut at, &Words::plain(why));
    for test in tests {
        at.y += ROOM_MM;
        let mut own = Vec::new();
        let assembly = &project.assemblies[test.assembly];
        let name = Words::bold(format!("{}: cut these first", assembly.name));
        say(&mut own, &mut at, &name);
        say(
            &mut own,
            &mut at,
            &Words::plain(format!("What it proves: {}", test.proves)),
        );
        for (piece, count) in &test.pieces {
            let line = needed(project, *piece, *count, templates);
            say(&mut own, &mut at, &Words::plain(line));
        }
        own.extend(table(
            project,
            test,
            Point::new(field.x0 + LINE_MM, at.y - DROP_MM + 3.0),
        ));
        at.y += 3.0 + 4.0 * ROW_MM;
        items.push(tagged("fit-test", &assembly.id, own));
    }
    items
}

fn needed(project: &Project, piece: usize, count: u32, templates: &[Sheet]) -> String {
    let pages = templates.iter().enumerate();
    let pages = pages.filter(|(_, sheet)| sheet.pieces.contains(&piece));
    let pages: Vec<String> = pages.map(|(i, _)| (i + 1).to_string()).collect();
    let name = &project.pieces[piece].name;
    match pages.as_slice() {
        [] => format!("{count} x {name}"),
        [page] => format!("{count} x {name}, at its true size on page {page}"),
        pages => format!(
            "{count} x {name}, at its true size on pages {}",
            pages.join(", ")
        ),
    }
}

/// How much a clearance is changed at a time: about two thicknesses of card (common practice, no source), but no more than half of the room
/// there is, so that one step less leaves some.
fn step(style: LengthStyle, free: Option<Length>) -> Length {
    let steps = match style {
        LengthStyle::InchFractions | LengthStyle::InchDecimals => [
            Length::from_inch_fraction(1, 32),
            Length::from_inch_fraction(1, 64),
            Length::from_inch_fraction(1, 200),
        ],
        LengthStyle::Millimetres => [500, 200, 100].map(Length::from_um),
    };
    let [usual, .., finest] = steps;
    let is_small_enough = |step: &Length| free.is_none_or(|free| *step * 2 <= free);
    let found = steps.into_iter().find(is_small_enough);
    found.unwrap_or(if free.is_some() { finest } else { usual })
}

fn table(project: &Project, test: &FitTest, corner: Point) -> Vec<Item> {
    let style = project.job.lengths;
    let step = step(style, test.free).display(style);
    let rows = [
        [
            "it goes",
            "change the clearance by",
            "first try, second try",
        ],
        ["slides freely", "nothing", ""],
        ["tight", &format!("{step} more, try again"), ""],
        ["loose", &format!("{step} less, try again"), ""],
    ];
    let mut items = Vec::new();
    let mut y_mm = corner.y;
    for (number, row) in rows.into_iter().enumerate() {
        let mut x_mm = corner.x;
        for (text, width_mm) in row.into_iter().zip(COLUMNS_MM) {
            let cell = Rect::new(x_mm, y_mm, x_mm + width_mm, y_mm + ROW_MM);
            items.push(stroke(cell.to_path(0.1), Stroke::solid(LINE_MM)));
            let words = if number == 0 {
                Words::bold(text)
            } else {
                Words::plain(text)
            };
            if !text.is_empty() {
                items.push(words.at(Point::new(x_mm + 2.0, y_mm + 5.4)));
            } else {
                let middle_mm = x_mm + width_mm / 2.0;
                let line = segment((middle_mm, y_mm), (middle_mm, y_mm + ROW_MM));
                items.push(stroke(line, Stroke::solid(LINE_MM)));
            }
            x_mm += width_mm;
        }
        y_mm += ROW_MM;
    }
    items
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: a lid with 0.3 mm of room goes 0.1 mm at a time, one with 0.6 mm by 0.2; half an inch allows the usual 1/32.
    #[test]
    fn one_step_less_leaves_some_room() {
        let of = |style, free| step(style, free);
        let metric = LengthStyle::Millimetres;
        assert_eq!(of(metric, Some(Length::from_um(300))), Length::from_um(100));
        assert_eq!(of(metric, Some(Length::from_um(600))), Length::from_um(200));
        assert_eq!(of(metric, Some(Length::from_mm(2))), Length::from_um(500));
        assert_eq!(of(metric, None), Length::from_um(500));
        let inches = LengthStyle::InchFractions;
        let half = Length::from_inch_fraction(1, 2);
        assert_eq!(of(inches, Some(half)), Length::from_inch_fraction(1, 32));
        let thin = of(inches, Some(Length::from_um(300)));
        assert_eq!(thin.display(inches), "0.005 in");
    }
}

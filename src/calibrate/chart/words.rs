//! What the chart says: what it is, what to do, and room for notes.

use kurbo::{Point, Rect};

use super::ink::{Align, Ink, lines};
use super::{Chart, ChartEdition, ChartFaces};
use crate::length::{Length, LengthStyle};
use crate::project::Face;

/// Sizes of text in millimetres, from the title to what is read once.
const TITLE_MM: f64 = 5.0;
const HEADING_MM: f64 = 3.2;
const TEXT_MM: f64 = 2.5;

/// From baseline to baseline, in sizes of the text.
const PITCH: f64 = 1.4;

/// White before a paragraph, in sizes of its text.
const PARAGRAPH: f64 = 0.3;

/// White between targets and words in millimetres, from a target's middle.
const CLEAR_MM: f64 = 6.0;

/// From the middle of a row of targets to the top of the title's line, in millimetres.
const ABOVE_TITLE_MM: f64 = 2.0;

/// White between the bar and what stands under it, from baseline to baseline of the first line, in millimetres.
const UNDER_RULE_MM: f64 = 7.5;

const PRINT: &str = "Print at 100 % (actual size), not fitted to the page, on the paper and from the tray you work with.";

const MARGINS: &str = "At each edge note the outermost line that is printed whole.";

const RULER: &str = "With a ruler: measure from A to A, B to B, C to C and D to D, and E and F from the edge of the sheet to the end of \
    the line.";

const EYE_MM: &str = "By eye: lay a ruler along the line of x1 to x4, its zero on the left edge of the sheet, and of y1 to y4, its zero \
    on the top edge. Read the whole millimetres before tick 0, and the number of the tick that meets a mark of the ruler.";

const EYE_INCH: &str = "By eye: lay a ruler along the line of x1 to x4, its zero on the left edge of the sheet, and of y1 to y4, its \
    zero on the top edge. Read the whole sixteenths of an inch before tick 0, and the number of the tick that meets a mark of a sixteenth.";

const SCAN: &str = "By scan: lay a dark sheet behind this one. A sheet fresh from a laser printer first lies for ten minutes.";

const BACK: &str = "Turned over like a page of a book. Hold the sheet against a window, its front towards you. At s1 to s4 the ticks of \
    both faces meet along a line: read between which ticks of the front tick 0 of the back lies, and which tick of the back, counted \
    from 0 to the right or downwards, meets one of the front. Sheet too thick? Prick the crosses of the front with a pin.";

/// Title, page and face, and how to print.
pub(super) fn head(chart: &Chart, face: Face) -> Ink {
    let grid = chart.grid();
    let corner = grid.at(1.0, 1.0);
    let widest_mm = grid.at(f64::from(grid.columns - 2), 1.0).x - corner.x - 2.0 * CLEAR_MM;
    let mut column = Column::new(corner.x + CLEAR_MM, corner.y + ABOVE_TITLE_MM, widest_mm);
    column.add("Printer chart", TITLE_MM);
    column.add(
        &format!("{} · {} · {}", chart.format, size_words(chart), face.name()),
        HEADING_MM,
    );
    column.add(PRINT, TEXT_MM);
    if face == Face::Front {
        column.add(MARGINS, TEXT_MM);
    }
    column.ink
}

/// What to do, under the bar.
pub(super) fn how(chart: &Chart, face: Face) -> Ink {
    /// Longer lines are hard to follow.
    const WIDEST_MM: f64 = 180.0;
    let grid = chart.grid();
    let left_mm = grid.at(0.0, 0.0).x + CLEAR_MM;
    let widest_mm = (chart.page.width - 2.0 * left_mm).min(WIDEST_MM);
    let top_mm = chart.rule.start.y + UNDER_RULE_MM - PITCH * TEXT_MM;
    let mut column = Column::new((chart.page.width - widest_mm) / 2.0, top_mm, widest_mm);
    let paragraphs = match (face, chart.edition) {
        (Face::Front, ChartEdition::Millimetres) => [RULER, EYE_MM, SCAN].as_slice(),
        (Face::Front, ChartEdition::Inches) => &[RULER, EYE_INCH, SCAN],
        (Face::Back, ChartEdition::Millimetres | ChartEdition::Inches) => &[BACK],
    };
    for text in paragraphs {
        column.add(text, TEXT_MM);
    }
    column.ink
}

/// Four boxes, one to be ticked: which edge went into the printer first.
pub(super) fn first_edge(chart: &Chart) -> Ink {
    const SIDE_MM: f64 = 3.0;
    let grid = chart.grid();
    let corner = grid.at(f64::from(grid.columns / 2), 0.0);
    let width_mm = grid.step().width - 2.0 * CLEAR_MM;
    let mut column = Column::new(corner.x + CLEAR_MM, corner.y + CLEAR_MM, width_mm);
    column.add("Which edge went in first?", TEXT_MM);
    for edge in ["top", "right", "bottom", "left"] {
        let y_mm = column.skip(HEADING_MM * PITCH);
        let square = Rect::new(
            column.left_mm,
            y_mm - SIDE_MM,
            column.left_mm + SIDE_MM,
            y_mm,
        );
        column.ink.tick_box(square);
        let at = Point::new(column.left_mm + SIDE_MM + 1.5, y_mm - 0.5);
        column.ink.words(edge, TEXT_MM, at, Align::Left);
    }
    column.ink
}

/// Lines to write on.
pub(super) fn notes(chart: &Chart) -> Ink {
    const LABEL_MM: f64 = 10.0;
    const ROW_MM: f64 = 5.5;
    let grid = chart.grid();
    let corner = grid.at(f64::from(grid.columns / 2), f64::from(grid.rows - 2));
    let width_mm = grid.step().width - 2.0 * CLEAR_MM;
    let mut column = Column::new(corner.x + CLEAR_MM, corner.y + CLEAR_MM - 2.0, width_mm);
    for label in ["Printer", "Tray", "Paper", "Date"] {
        let y_mm = column.skip(ROW_MM);
        let at = |x_mm: f64| Point::new(column.left_mm + x_mm, y_mm);
        let (label_at, from, to) = (at(0.0), at(LABEL_MM), at(width_mm));
        column.ink.words(label, TEXT_MM, label_at, Align::Left);
        column.ink.line(from, to);
    }
    column.ink
}

/// What one face is called in a document's title or a file's name.
pub(super) fn title(chart: &Chart, faces: ChartFaces) -> String {
    let faces = match faces {
        ChartFaces::Front => "front",
        ChartFaces::Both => "front and back",
    };
    format!("Printer chart {}, {faces}", chart.format)
}

fn size_words(chart: &Chart) -> String {
    let style = match chart.edition {
        ChartEdition::Millimetres => LengthStyle::Millimetres,
        ChartEdition::Inches => LengthStyle::InchFractions,
    };
    let [width, height] = [chart.page.width, chart.page.height]
        .map(|mm| Length::nearest_mm(mm).display(style).to_string());
    format!("{width} × {height}")
}

/// Lines of text under one another.
struct Column {
    ink: Ink,
    left_mm: f64,
    /// Baseline of the last line.
    y_mm: f64,
    widest_mm: f64,
}

impl Column {
    fn new(left_mm: f64, top_mm: f64, widest_mm: f64) -> Self {
        Self {
            ink: Ink::default(),
            left_mm,
            y_mm: top_mm,
            widest_mm,
        }
    }

    /// Goes on to the next baseline and returns it.
    fn skip(&mut self, by_mm: f64) -> f64 {
        self.y_mm += by_mm;
        self.y_mm
    }

    fn add(&mut self, text: &str, size_mm: f64) {
        self.skip(PARAGRAPH * size_mm);
        for line in lines(text, size_mm, self.widest_mm) {
            let at = Point::new(self.left_mm, self.skip(PITCH * size_mm));
            self.ink.words(&line, size_mm, at, Align::Left);
        }
    }
}

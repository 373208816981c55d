//! The page of a template: its size, its punched margin, its title line, and scale bars at its foot.

use kurbo::{Affine, BezPath, Point, Rect};

use super::sheet::Sheet;
use super::words::{DROP_MM, LEADING_MM, Words};
use crate::draw::line_kind::LineKind;
use crate::draw::page::{Page, PageLayer};
use crate::drawing::{Colour, Drawing, Item, Paint, Stroke, Tag};
use crate::geometry::shape;
use crate::length::LengthStyle;
use crate::project::Project;

/// What letter and A4 both have inside margins that home printers manage: 7 3/4 x 10 1/2 in.
const INSIDE_MM: (f64, f64) = (196.85, 266.7);
const LETTER_MM: (f64, f64) = (215.9, 279.4);
const A4_MM: (f64, f64) = (210.0, 297.0);

/// From the paper's left edge to the middle of the holes, and from one to the other (ISO 838).
const HOLE_IN_MM: f64 = 12.0;
const HOLE_PITCH_MM: f64 = 80.0;
/// A hole has 6 mm (ISO 838); its mark is smaller and falls out with it.
const MARK_MM: f64 = 4.0;
/// From the paper's left edge to what may be cut out: holes end at 15 mm.
const BOUND_MM: f64 = 20.0;

/// Height of the title line and of what stands at the foot.
const HEAD_MM: f64 = LEADING_MM + 2.0;
const FOOT_MM: f64 = 4.0 * LEADING_MM + 5.0;
/// Most lines of words at the foot.
const FOOT_LINES: usize = 2;

/// Both lengths of the scale bars, with their ids and words.
const BARS: [(f64, &str, &str); 2] = [(50.0, "50 mm", "50 mm"), (50.8, "2 in", "2 in")];
const BAR_TICK_MM: f64 = 1.5;
const BAR_LINE_MM: f64 = 0.18;
/// Room for the words after a bar.
const BAR_PITCH_MM: f64 = 70.0;

const SAMPLE_MM: f64 = 10.0;

/// Returns what the lesson is called.
pub(super) fn title(project: &Project) -> &str {
    if project.lesson.title.is_empty() {
        &project.job.name
    } else {
        &project.lesson.title
    }
}

/// A page without its contents.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Leaf {
    width_mm: f64,
    height_mm: f64,
}

impl Leaf {
    /// Returns a page of the paper of the first stock if that is letter or A4, else of the one that goes with the job's lengths.
    pub(super) fn new(project: &Project) -> Self {
        let format = project.stocks.first().map(|stock| stock.format.as_str());
        let is_letter = match (format, project.job.lengths) {
            (Some("na_letter_8.5x11in"), _) => true,
            (Some("iso_a4_210x297mm"), _) | (_, LengthStyle::Millimetres) => false,
            (_, LengthStyle::InchFractions | LengthStyle::InchDecimals) => true,
        };
        let (width_mm, height_mm) = if is_letter { LETTER_MM } else { A4_MM };
        Self {
            width_mm,
            height_mm,
        }
    }

    /// What may be printed on.
    fn inside(self) -> Rect {
        let middle = Point::new(self.width_mm / 2.0, self.height_mm / 2.0);
        Rect::from_center_size(middle, INSIDE_MM)
    }

    /// What pieces and the words about them may fill.
    pub(super) fn field(self) -> Rect {
        let inside = self.inside();
        Rect::new(
            BOUND_MM,
            inside.y0 + HEAD_MM,
            inside.x1,
            inside.y1 - FOOT_MM,
        )
    }

    /// Returns the finished page, with its number and how many there are.
    pub(super) fn page(self, project: &Project, sheet: Sheet, number: (usize, usize)) -> Page {
        let mut words = self.head(project, &sheet.heading, number);
        words.extend(self.legend(&sheet.kinds));
        words.extend(self.foot(project));
        let layers = [
            ("Binding", self.binding()),
            ("Scale bars", self.bars()),
            ("Pieces", sheet.drawn),
            ("Words", sheet.words),
            ("Page", words),
        ];
        let layers = layers.into_iter().filter(|(_, items)| !items.is_empty());
        Page {
            label: sheet.heading,
            width_mm: self.width_mm,
            height_mm: self.height_mm,
            layers: layers
                .map(|(name, items)| PageLayer {
                    name,
                    step: None,
                    matrix: Affine::IDENTITY,
                    drawing: Drawing { items },
                })
                .collect(),
        }
    }

    /// Two marks for a hole punch in the left margin.
    fn binding(self) -> Vec<Item> {
        let mark = |side: f64, id: &str| {
            let middle = Point::new(
                HOLE_IN_MM,
                self.height_mm / 2.0 + side * HOLE_PITCH_MM / 2.0,
            );
            let mut path = ring(middle);
            path.extend(segment(
                (middle.x - 1.0, middle.y),
                (middle.x + 1.0, middle.y),
            ));
            path.extend(segment(
                (middle.x, middle.y - 1.0),
                (middle.x, middle.y + 1.0),
            ));
            tagged("punch", id, vec![stroke(path, Stroke::solid(0.15))])
        };
        vec![mark(-1.0, "upper"), mark(1.0, "lower")]
    }

    fn bars(self) -> Vec<Item> {
        let y_mm = self.inside().y1 - FOOT_MM + LEADING_MM + 6.0;
        let mut items = Vec::new();
        let mut x_mm = BOUND_MM + 0.5;
        for (length_mm, id, words) in BARS {
            let mut path = segment((x_mm, y_mm), (x_mm + length_mm, y_mm));
            for at_mm in [x_mm, x_mm + length_mm] {
                path.extend(segment(
                    (at_mm, y_mm - BAR_TICK_MM),
                    (at_mm, y_mm + BAR_TICK_MM),
                ));
            }
            items.push(tagged(
                "scale-bar",
                id,
                vec![stroke(path, Stroke::solid(BAR_LINE_MM))],
            ));
            let after = Point::new(x_mm + length_mm + 2.0, y_mm + 1.4);
            items.push(Words::plain(words).at(after));
            x_mm += BAR_PITCH_MM;
        }
        items.push(Words::plain("print at 100 %").at(Point::new(x_mm, y_mm + 1.4)));
        items
    }

    fn head(self, project: &Project, heading: &str, number: (usize, usize)) -> Vec<Item> {
        let inside = self.inside();
        let baseline_mm = inside.y0 + DROP_MM;
        let count = Words::plain(format!("page {} of {}", number.0, number.1));
        let left = Words::bold(format!("{} · {heading}", title(project)));
        let room_mm = inside.x1 - BOUND_MM - count.width_mm() - 4.0;
        let left = left.broken(room_mm).into_iter().next();
        let right = Point::new(inside.x1 - count.width_mm(), baseline_mm);
        let left = left.map(|line| line.at(Point::new(BOUND_MM, baseline_mm)));
        left.into_iter().chain([count.at(right)]).collect()
    }

    /// Whose it is, which version, of which day.
    fn foot(self, project: &Project) -> Vec<Item> {
        let lesson = &project.lesson;
        let mut phrases = vec![project.job.name.clone()];
        phrases.extend(lesson.version.as_ref().map(|v| format!("version {v}")));
        phrases.extend(project.job.date.clone());
        phrases.extend(lesson.by.clone());
        phrases.extend(lesson.terms.clone());
        let inside = self.inside();
        let words = Words::plain(phrases.join(" · "));
        let lines = words.broken(inside.x1 - BOUND_MM).into_iter();
        let mut baseline_mm = inside.y1 - 2.0 * LEADING_MM + DROP_MM - 0.5;
        let mut items = Vec::new();
        for line in lines.take(FOOT_LINES) {
            items.push(line.at(Point::new(BOUND_MM, baseline_mm)));
            baseline_mm += LEADING_MM;
        }
        items
    }

    fn legend(self, kinds: &[LineKind]) -> Vec<Item> {
        let mut kinds = kinds.to_vec();
        kinds.sort_unstable();
        kinds.dedup();
        let inside = self.inside();
        let baseline_mm = inside.y1 - FOOT_MM + 2.0 + DROP_MM;
        let mut x_mm = BOUND_MM;
        let mut items = Vec::new();
        for kind in kinds {
            let words = Words::plain(kind.label());
            let end_mm = x_mm + SAMPLE_MM + 1.5 + words.width_mm();
            if end_mm > inside.x1 {
                break;
            }
            let y_mm = baseline_mm - 1.2;
            items.push(stroke(
                kind.sample(Point::new(x_mm, y_mm), SAMPLE_MM),
                kind.stroke(),
            ));
            items.push(words.at(Point::new(x_mm + SAMPLE_MM + 1.5, baseline_mm)));
            x_mm = end_mm + 5.0;
        }
        items
    }
}

fn ring(middle: Point) -> BezPath {
    let circle = shape::circle(MARK_MM).expect("the mark has a size");
    let corner = middle - circle.bounds().center();
    Affine::translate(corner) * circle.path()
}

/// A straight line as a path.
pub(super) fn segment(from: impl Into<Point>, to: impl Into<Point>) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(from);
    path.line_to(to);
    path
}

/// A black line.
pub(super) fn stroke(path: BezPath, stroke: Stroke) -> Item {
    Item::Stroke {
        path,
        stroke,
        paint: Paint::flat(Colour::BLACK),
    }
}

/// Drawings that say what they belong to.
pub(super) fn tagged(kind: &'static str, id: &str, items: Vec<Item>) -> Item {
    Item::Tagged {
        tag: Tag {
            kind,
            id: id.to_owned(),
        },
        inner: Drawing { items },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_field_lies_inside_both_formats_and_right_of_the_holes() {
        for (width_mm, height_mm) in [LETTER_MM, A4_MM] {
            let leaf = Leaf {
                width_mm,
                height_mm,
            };
            let (field, inside) = (leaf.field(), leaf.inside());
            // 7 3/4 x 10 1/2 in; ISO 838: a hole of 6 mm, 12 mm from the edge, ends at 15 mm.
            assert!((inside.width() - 7.75 * 25.4).abs() < 1e-9);
            assert!((inside.height() - 10.5 * 25.4).abs() < 1e-9);
            assert!(field.x0 > 12.0 + 3.0 && inside.contains(field.origin()));
            assert!(field.x1 <= inside.x1 && field.y1 < inside.y1);
        }
    }
}

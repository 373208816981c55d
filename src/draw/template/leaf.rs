//! The page of a template: its size, its punched margin, its title line, and scale bars at its foot.

use kurbo::{Affine, BezPath, Point, Rect, Size};

use super::sheet::Sheet;
use super::words::{DROP_MM, LEADING_MM, Words};
use crate::draw::line_kind::LineKind;
use crate::draw::page::{Page, PageLayer};
use crate::drawing::{AssetIndex, Colour, Drawing, Item, Paint, Stroke, Tag};
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

/// Height of the title line, and of the scale bars with the room around what stands at the foot.
const HEAD_MM: f64 = LEADING_MM + 2.0;
const BARS_MM: f64 = LEADING_MM + 5.0;
/// Fewest and most lines of words at the foot.
const FOOT_LINES: [usize; 2] = [2, 6];
/// Largest logo: as high as two lines of words.
const LOGO_MM: (f64, f64) = (24.0, 2.0 * LEADING_MM);
const BESIDE_LOGO_MM: f64 = 4.0;
/// Between two samples of lines.
const BETWEEN_KINDS_MM: f64 = 5.0;

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
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Leaf {
    width_mm: f64,
    height_mm: f64,
    /// Rows that a legend of all kinds takes.
    legend_rows: usize,
    /// Words at the foot, line by line.
    foot: Vec<Words>,
}

impl Leaf {
    /// Returns a page of the paper of the first stock if that is letter or A4, else of the one that goes with the job's lengths; `kinds`
    /// are those of all pages.
    pub(super) fn new(project: &Project, kinds: Vec<LineKind>) -> Self {
        let format = project.stocks.first().map(|stock| stock.format.as_str());
        let is_letter = match (format, project.job.lengths) {
            (Some("na_letter_8.5x11in"), _) => true,
            (Some("iso_a4_210x297mm"), _) | (_, LengthStyle::Millimetres) => false,
            (_, LengthStyle::InchFractions | LengthStyle::InchDecimals) => true,
        };
        let (width_mm, height_mm) = if is_letter { LETTER_MM } else { A4_MM };
        let bare = Self {
            width_mm,
            height_mm,
            legend_rows: 1,
            foot: Vec::new(),
        };
        Self {
            legend_rows: legend_rows(kinds, bare.words_mm()).len(),
            foot: foot(project, bare.words_mm()),
            ..bare
        }
    }

    /// Width of a line of words.
    fn words_mm(&self) -> f64 {
        self.inside().x1 - BOUND_MM
    }

    /// Where what stands at the foot begins, and where its words do.
    fn foot_mm(&self) -> (f64, f64) {
        let rows = |count: usize| (0..count).map(|_| LEADING_MM).sum::<f64>();
        let words_mm = self.inside().y1 - rows(self.foot.len().max(FOOT_LINES[0]));
        (words_mm - BARS_MM - rows(self.legend_rows.max(1)), words_mm)
    }

    /// What may be printed on.
    fn inside(&self) -> Rect {
        let middle = Point::new(self.width_mm / 2.0, self.height_mm / 2.0);
        Rect::from_center_size(middle, INSIDE_MM)
    }

    /// What pieces and the words about them may fill.
    pub(super) fn field(&self) -> Rect {
        let inside = self.inside();
        let (foot_mm, _) = self.foot_mm();
        Rect::new(BOUND_MM, inside.y0 + HEAD_MM, inside.x1, foot_mm)
    }

    /// Returns the finished page, with its number and how many there are.
    pub(super) fn page(&self, project: &Project, sheet: Sheet, number: (usize, usize)) -> Page {
        let mut words = self.head(project, &sheet.heading, number);
        words.extend(self.legend(sheet.kinds));
        words.extend(self.set_foot());
        words.extend(self.logo(project));
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
    fn binding(&self) -> Vec<Item> {
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

    fn bars(&self) -> Vec<Item> {
        let y_mm = self.foot_mm().1 - LEADING_MM + 1.0;
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

    fn head(&self, project: &Project, heading: &str, number: (usize, usize)) -> Vec<Item> {
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

    fn set_foot(&self) -> Vec<Item> {
        let mut baseline_mm = self.foot_mm().1 + DROP_MM - 0.5;
        let mut items = Vec::new();
        for line in &self.foot {
            items.push(line.at(Point::new(BOUND_MM, baseline_mm)));
            baseline_mm += LEADING_MM;
        }
        items
    }

    /// The maker's logo, right of the first words at the foot.
    fn logo(&self, project: &Project) -> Option<Item> {
        let (asset, size) = logo(project)?;
        let corner = Point::new(self.inside().x1 - size.width, self.foot_mm().1);
        let place = Affine::translate(corner.to_vec2())
            * Affine::scale_non_uniform(size.width, size.height);
        let places = vec![place];
        Some(tagged(
            "logo",
            "logo",
            vec![Item::Picture { asset, places }],
        ))
    }

    fn legend(&self, kinds: Vec<LineKind>) -> Vec<Item> {
        let mut baseline_mm = self.foot_mm().0 + 2.0 + DROP_MM;
        let mut items = Vec::new();
        for row in legend_rows(kinds, self.words_mm()) {
            let mut x_mm = BOUND_MM;
            for kind in row {
                let from = Point::new(x_mm, baseline_mm - 1.2);
                items.push(stroke(kind.sample(from, SAMPLE_MM), kind.stroke()));
                let words = Words::plain(kind.label());
                items.push(words.at(Point::new(x_mm + SAMPLE_MM + 1.5, baseline_mm)));
                x_mm += entry_mm(kind) + BETWEEN_KINDS_MM;
            }
            baseline_mm += LEADING_MM;
        }
        items
    }
}

/// Width of a sample of a line with its words.
fn entry_mm(kind: LineKind) -> f64 {
    SAMPLE_MM + 1.5 + Words::plain(kind.label()).width_mm()
}

/// The kinds, each once, in rows no wider than `room_mm`.
fn legend_rows(mut kinds: Vec<LineKind>, room_mm: f64) -> Vec<Vec<LineKind>> {
    kinds.sort_unstable();
    kinds.dedup();
    let mut rows: Vec<Vec<LineKind>> = Vec::new();
    let mut left_mm = 0.0;
    for kind in kinds {
        let own_mm = entry_mm(kind);
        match rows.last_mut() {
            Some(row) if own_mm <= left_mm => row.push(kind),
            Some(_) | None => {
                rows.push(vec![kind]);
                left_mm = room_mm;
            }
        }
        left_mm -= own_mm + BETWEEN_KINDS_MM;
    }
    rows
}

/// The maker's logo and its size, if there is one.
fn logo(project: &Project) -> Option<(AssetIndex, Size)> {
    let asset = project.lesson.logo?;
    let aspect = project.assets[asset.0].aspect.max(1e-3);
    let width_mm = LOGO_MM.0.min(LOGO_MM.1 / aspect);
    Some((asset, Size::new(width_mm, width_mm * aspect)))
}

/// Whose it is, which version, of which day, on which terms; what is longer than a few lines ends in dots.
fn foot(project: &Project, room_mm: f64) -> Vec<Words> {
    let lesson = &project.lesson;
    let mut phrases = vec![title(project).to_owned()];
    phrases.extend(lesson.version.as_ref().map(|v| format!("version {v}")));
    phrases.extend(project.job.date.clone());
    phrases.extend(lesson.by.clone());
    phrases.extend(lesson.terms.clone());
    let logo_mm = logo(project).map_or(0.0, |(_, size)| size.width + BESIDE_LOGO_MM);
    let mut lines = Words::plain(phrases.join(" · ")).broken(room_mm - logo_mm);
    if lines.len() > FOOT_LINES[1] {
        lines.truncate(FOOT_LINES[1]);
        if let Some(last) = lines.last_mut() {
            last.text.push_str(" ...");
        }
    }
    lines
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
    fn a_legend_drops_no_kind() {
        let all = vec![
            LineKind::Rough,
            LineKind::Cut,
            LineKind::Hole,
            LineKind::PartialCut,
            LineKind::Perforation,
            LineKind::Valley,
            LineKind::Mountain,
            LineKind::Line,
            LineKind::Cut,
        ];
        let rows = legend_rows(all, 186.0);
        assert!(rows.len() > 1);
        assert_eq!(rows.concat().len(), 8);
        for row in rows {
            let wide_mm: f64 = row.iter().map(|kind| entry_mm(*kind)).sum();
            let between_mm: f64 = row.iter().skip(1).map(|_| BETWEEN_KINDS_MM).sum();
            assert!(wide_mm + between_mm <= 186.0);
        }
    }

    #[test]
    fn the_field_lies_inside_both_formats_and_right_of_the_holes() {
        for (width_mm, height_mm) in [LETTER_MM, A4_MM] {
            let leaf = Leaf {
                width_mm,
                height_mm,
                legend_rows: 1,
                foot: Vec::new(),
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

//! The table: where everything on the chart lies.

use kurbo::{Point, Size};

use super::grid::{Grid, LEAST_SIDE_MM};
use super::{CheckRule, EdgeDistance, Ladder, RulerLine, Station, Target, Vernier};
use crate::diagnostic::Diagnostic;
use crate::length::MM_PER_INCH;
use crate::paper::Format;
use crate::project::{Axis, Edge, Edges, Face};

/// Which ruler the chart is read with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChartEdition {
    /// One with a mark at each millimetre. Eleven ticks 0.9 mm apart: one tick more is 0.1 mm more.
    Millimetres,
    /// One with a mark at each sixteenth of an inch, as every inch ruler has that is not divided in tenths; marks between them do not
    /// matter. Nine ticks 7/128 in apart, 8 of which are 7/16 in: one tick more is 1/128 in (0.198 mm) more.
    Inches,
}

/// Everything on one chart, in millimetres, y down.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// The format in the words people use: `A4`.
    pub format: String,
    /// Size of the page as it lies.
    pub page: Size,
    /// Which ruler it is read with.
    pub edition: ChartEdition,
    /// Targets on the front, row by row from the top left, as seen on the front page.
    pub front: Vec<Target>,
    /// Targets on the back, as seen on the back page.
    pub back: Vec<Target>,
    /// `x1` to `x4`, then `y1` to `y4`; each from the top left, top right, bottom left and bottom right corner.
    pub verniers: [Vernier; 8],
    /// One on each side, at its middle beside the target there; both faces have them, each as seen on its own page.
    pub ladders: Edges<Ladder>,
    /// Left, right, top, bottom, in front view. They are printed if the back is.
    pub stations: [Station; 4],
    /// The bar, on both faces.
    pub rule: CheckRule,
    /// `A`, `B`, `C`, `D`, on the front.
    pub lines: [RulerLine; 4],
    /// `E` and `F`, on the front.
    pub edge_distances: [EdgeDistance; 2],
}

/// From the middle of a side to the middle of its ladder in millimetres: beside the target.
const LADDER_SHIFT_MM: f64 = 9.0;

/// Least distance of an end of a ruler line from the page's edges: beside the outermost targets.
const LINE_INSET_MM: f64 = 26.0;

/// How much of a ruler line is drawn at each end, and the white beside targets.
pub(super) const LINE_STUB_MM: f64 = 8.0;
const LINE_CLEAR_MM: f64 = 6.0;

/// The check rule's distance below the page's middle in millimetres.
const RULE_DROP_MM: f64 = 9.0;

impl ChartEdition {
    /// Distance of the ruler's marks in millimetres.
    #[must_use]
    pub const fn division_mm(self) -> f64 {
        match self {
            Self::Millimetres => 1.0,
            Self::Inches => MM_PER_INCH / 16.0,
        }
    }

    /// Number of the last tick of a vernier. That many ticks are as long as one division less of the ruler.
    #[must_use]
    pub const fn last_tick(self) -> u32 {
        match self {
            Self::Millimetres => 10,
            Self::Inches => 8,
        }
    }

    /// Where verniers stand, in millimetres from the nearer edges: tick 0 on the near side, tick 0 on the far side (whose other ticks
    /// lie nearer to the edge), and the line.
    const fn vernier_places_mm(self) -> [f64; 3] {
        match self {
            Self::Millimetres => [20.0, 30.0, 36.0],
            Self::Inches => [0.75 * MM_PER_INCH, 1.25 * MM_PER_INCH, 1.5 * MM_PER_INCH],
        }
    }

    fn ladder(self) -> (f64, u32) {
        match self {
            Self::Millimetres => (1.0, 16),
            Self::Inches => (MM_PER_INCH / 32.0, 20),
        }
    }

    fn rule(self) -> (f64, f64) {
        match self {
            Self::Millimetres => (100.0, 10.0),
            Self::Inches => (4.0 * MM_PER_INCH, MM_PER_INCH / 4.0),
        }
    }

    /// What lengths of ruler lines are multiples of, and the longest that a common ruler of 30 cm or 12 in measures in one go.
    fn line_lengths(self) -> (f64, u32) {
        match self {
            Self::Millimetres => (10.0, 28),
            Self::Inches => (MM_PER_INCH / 2.0, 22),
        }
    }
}

impl Chart {
    /// Returns the chart for a format fed upright.
    ///
    /// # Errors
    /// If the format is too small.
    pub fn upright(format: &Format, edition: ChartEdition) -> Result<Self, Diagnostic> {
        let page = Size::new(format.short_side().to_mm(), format.long_side().to_mm());
        Self::new(words(format), page, edition)
    }

    /// Returns the chart for a format fed with its longer side first.
    ///
    /// # Errors
    /// If the format is too small.
    pub fn lying(format: &Format, edition: ChartEdition) -> Result<Self, Diagnostic> {
        let page = Size::new(format.long_side().to_mm(), format.short_side().to_mm());
        Self::new(words(format), page, edition)
    }

    /// Returns the chart for a page of any size; `format` names it for people.
    ///
    /// # Errors
    /// If the page is too small.
    pub fn new(
        format: impl Into<String>,
        page: Size,
        edition: ChartEdition,
    ) -> Result<Self, Diagnostic> {
        let format = format.into();
        let Some(grid) = Grid::new(page) else {
            return Err(too_small(&format, page));
        };
        let lines = lines(&grid, page, edition);
        let [a, _, c, _] = lines;
        let edge_distance = |id, edge, to| EdgeDistance { id, edge, to };
        Ok(Self {
            front: grid.targets(Face::Front),
            back: grid.targets(Face::Back),
            verniers: verniers(page, edition),
            ladders: ladders(page, edition),
            stations: stations(&grid),
            rule: rule(page, edition),
            lines,
            edge_distances: [
                edge_distance('E', Edge::Left, a.from),
                edge_distance('F', Edge::Top, c.from),
            ],
            format,
            page,
            edition,
        })
    }

    /// Returns the targets of one face, as seen on its page.
    #[must_use]
    pub fn targets(&self, face: Face) -> &[Target] {
        match face {
            Face::Front => &self.front,
            Face::Back => &self.back,
        }
    }

    /// Returns the grid of its targets.
    pub(super) fn grid(&self) -> Grid {
        Grid::new(self.page).expect("a chart is made of a grid")
    }
}

/// The usual name of a format, or the PWG name where it has none.
fn words(format: &Format) -> String {
    let usual = format.common_names().first();
    usual.cloned().unwrap_or_else(|| format.name().to_owned())
}

fn too_small(format: &str, page: Size) -> Diagnostic {
    let message = format!(
        "{format} is {:.1} x {:.1} mm, too small for a chart, which needs {LEAST_SIDE_MM:.0} x {LEAST_SIDE_MM:.0} mm",
        page.width, page.height
    );
    Diagnostic::error("calibrate.too-small", message).hint(
        "print the chart on a larger sheet, such as --paper a4 or --paper letter: its profile holds for smaller sheets, with a warning",
    )
}

fn verniers(page: Size, edition: ChartEdition) -> [Vernier; 8] {
    let [near, far, line] = edition.vernier_places_mm();
    let (right, bottom) = (page.width - far, page.height - far);
    let (line_right, line_bottom) = (page.width - line, page.height - line);
    let division_mm = edition.division_mm();
    let last = edition.last_tick();
    let vernier = |id, axis, x, y| Vernier {
        id,
        axis,
        zero: Point::new(x, y),
        division_mm,
        pitch_mm: division_mm * f64::from(last - 1) / f64::from(last),
        last,
    };
    [
        vernier("x1", Axis::X, near, line),
        vernier("x2", Axis::X, right, line),
        vernier("x3", Axis::X, near, line_bottom),
        vernier("x4", Axis::X, right, line_bottom),
        vernier("y1", Axis::Y, line, near),
        vernier("y2", Axis::Y, line_right, near),
        vernier("y3", Axis::Y, line, bottom),
        vernier("y4", Axis::Y, line_right, bottom),
    ]
}

fn ladders(page: Size, edition: ChartEdition) -> Edges<Ladder> {
    let (pitch_mm, last) = edition.ladder();
    let ladder = |edge, side_mm: f64| Ladder {
        edge,
        pitch_mm,
        last,
        middle_mm: side_mm / 2.0 + LADDER_SHIFT_MM,
    };
    Edges {
        top: ladder(Edge::Top, page.width),
        right: ladder(Edge::Right, page.height),
        bottom: ladder(Edge::Bottom, page.width),
        left: ladder(Edge::Left, page.height),
    }
}

/// In the middles of cells: the outer cells of the row above the page's middle, the outer cells of the column left of it.
fn stations(grid: &Grid) -> [Station; 4] {
    let last = |count: u32| f64::from(count) - 1.5;
    let middle = |count: u32| f64::from(count / 2) - 0.5;
    let (column, row) = (middle(grid.columns), middle(grid.rows));
    let station = |id, column, row| Station {
        id,
        centre: grid.at(column, row),
    };
    [
        station("s1", 0.5, row),
        station("s2", last(grid.columns), row),
        station("s3", column, 0.5),
        station("s4", column, last(grid.rows)),
    ]
}

fn rule(page: Size, edition: ChartEdition) -> CheckRule {
    let (length_mm, pitch_mm) = edition.rule();
    CheckRule {
        start: Point::new(
            (page.width - length_mm) / 2.0,
            page.height / 2.0 + RULE_DROP_MM,
        ),
        length_mm,
        pitch_mm,
    }
}

/// Along the second rows and columns of targets from the edges, in the gaps between targets.
fn lines(grid: &Grid, page: Size, edition: ChartEdition) -> [RulerLine; 4] {
    let step = grid.step();
    let across_mm = line_length_mm(page.width, step.width, edition);
    let down_mm = line_length_mm(page.height, step.height, edition);
    let (left, top) = (
        (page.width - across_mm) / 2.0,
        (page.height - down_mm) / 2.0,
    );
    let across = |id, y| RulerLine {
        id,
        from: Point::new(left, y),
        to: Point::new(left + across_mm, y),
    };
    let down = |id, x| RulerLine {
        id,
        from: Point::new(x, top),
        to: Point::new(x, top + down_mm),
    };
    let (first, last) = (
        grid.at(1.0, 1.0),
        grid.at(f64::from(grid.columns - 2), f64::from(grid.rows - 2)),
    );
    [
        across('A', first.y),
        across('B', last.y),
        down('C', first.x),
        down('D', last.x),
    ]
}

/// The longest round length whose ends, with the stubs that are drawn of them, lie beside targets.
fn line_length_mm(side_mm: f64, step_mm: f64, edition: ChartEdition) -> f64 {
    let (unit_mm, most) = edition.line_lengths();
    let is_clear = |length_mm: f64| {
        let end_mm = (side_mm - length_mm) / 2.0;
        let past_target_mm = (end_mm - super::grid::INSET_MM).rem_euclid(step_mm);
        end_mm >= LINE_INSET_MM
            && past_target_mm >= LINE_CLEAR_MM
            && past_target_mm + LINE_STUB_MM + LINE_CLEAR_MM <= step_mm
    };
    let lengths = (1..=most).rev().map(|count| f64::from(count) * unit_mm);
    let found = lengths.into_iter().find(|length_mm| is_clear(*length_mm));
    found.expect(
        "in each step of 37 mm ends may lie within 17 mm, and lengths move them by 6.35 mm at most",
    )
}

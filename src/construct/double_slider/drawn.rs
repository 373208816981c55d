//! The pieces of a double slider, flat.

use kurbo::{BezPath, Point, Rect};

use super::super::{Made, Refusal};
use super::sums::Sums;
use crate::geometry::{Outline, Way, arc_to};
use crate::math::{Angle, COINCIDENT_MM};
use crate::project::{Axis, Panel};

/// Corners of the frame's inside, in millimetres in its piece frame.
#[derive(Debug, Clone, Copy)]
pub(super) struct Window {
    /// Inner edge of the bar.
    pub(super) bar: f64,
    /// Where the steps begin.
    pub(super) step: f64,
    /// Right edge of all.
    pub(super) right: f64,
    /// Upper and lower edge of the channel.
    pub(super) channel: (f64, f64),
    /// Upper and lower edge of the exit.
    pub(super) exit: (f64, f64),
    /// Lower edge of all.
    pub(super) bottom: f64,
}

impl Window {
    pub(super) fn new(sums: &Sums) -> Self {
        let (rail, catch) = (sums.rail, sums.catch);
        let height = sums.outer_height();
        Self {
            bar: (rail - sums.turn).to_mm(),
            step: (rail + sums.core_width).to_mm(),
            right: sums.outer_width().to_mm(),
            channel: (rail.to_mm(), (height - rail).to_mm()),
            exit: ((rail + catch).to_mm(), (height - rail - catch).to_mm()),
            bottom: height.to_mm(),
        }
    }

    /// What the frame leaves open, as a closed path.
    pub(super) fn open(&self) -> BezPath {
        let ((top, bottom), (exit_top, exit_bottom)) = (self.channel, self.exit);
        closed(&[
            (self.bar, top),
            (self.step, top),
            (self.step, exit_top),
            (self.right, exit_top),
            (self.right, exit_bottom),
            (self.step, exit_bottom),
            (self.step, bottom),
            (self.bar, bottom),
        ])
    }
}

/// Returns a closed path through these corners.
pub(super) fn closed(corners: &[(f64, f64)]) -> BezPath {
    let mut path = open(corners);
    path.close_path();
    path
}

/// Returns the rectangle from one corner to the other as a closed path.
pub(super) fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> BezPath {
    closed(&[(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
}

fn open(corners: &[(f64, f64)]) -> BezPath {
    let mut path = BezPath::new();
    for (i, corner) in corners.iter().enumerate() {
        if i == 0 {
            path.move_to(*corner);
        } else {
            path.line_to(*corner);
        }
    }
    path
}

/// Returns all pieces; stiffeners only where there are any.
pub(super) fn pieces(sums: &Sums) -> Result<Vec<Made>, Vec<Refusal>> {
    let window = Window::new(sums);
    let drawn = [
        Piece {
            name: "core",
            title: "Core",
            per_copy: 1,
            panel: "core",
            up: None,
            path: core(&window, sums),
        },
        Piece {
            name: "frame",
            title: "Frame",
            per_copy: 2 * sums.frame_plies,
            panel: "frame",
            up: None,
            path: frame(&window),
        },
        Piece {
            name: "front-cover",
            title: "Front cover",
            per_copy: 1,
            panel: "front",
            up: UPRIGHT,
            path: cover(&window, sums),
        },
        Piece {
            name: "back-cover",
            title: "Back cover",
            per_copy: 1,
            panel: "back",
            up: UPRIGHT,
            path: cover(&window, sums),
        },
        Piece {
            name: "band",
            title: "Band",
            per_copy: 1,
            panel: "film",
            up: None,
            path: film(sums),
        },
        Piece {
            name: "front-panel",
            title: "Front panel",
            per_copy: 1,
            panel: "panel",
            up: UPRIGHT,
            path: panel(sums),
        },
        Piece {
            name: "back-panel",
            title: "Back panel",
            per_copy: 1,
            panel: "panel",
            up: UPRIGHT,
            path: panel(sums),
        },
        Piece {
            name: "stiffener",
            title: "Stiffener",
            per_copy: 2 * (sums.plies - 1),
            panel: "stiffener",
            up: None,
            path: panel(sums),
        },
    ];
    let (made, refusals): (Vec<_>, Vec<_>) = drawn
        .into_iter()
        .filter(|piece| piece.per_copy > 0)
        .map(|piece| piece.made(sums))
        .partition(Result::is_ok);
    if refusals.is_empty() {
        Ok(made.into_iter().flatten().collect())
    } else {
        Err(refusals.into_iter().filter_map(Result::err).collect())
    }
}

const UPRIGHT: Option<f64> = Some(0.0);

/// A piece of one panel, not yet checked.
struct Piece {
    name: &'static str,
    title: &'static str,
    per_copy: u32,
    panel: &'static str,
    up: Option<f64>,
    path: BezPath,
}

impl Piece {
    fn made(self, sums: &Sums) -> Result<Made, Refusal> {
        let outline = Outline::new(&self.path, COINCIDENT_MM).map_err(|error| Refusal {
            key: if sums.tab > sums.thumb {
                "tab"
            } else {
                "thumb"
            },
            message: format!(
                "the {} cannot be cut: {}",
                self.name,
                error.message(|mm| format!("{mm:.2} mm"))
            ),
            hint: "make thumb cut and tab smaller, or the panels larger".into(),
        })?;
        let bounds_mm = outline.bounds();
        let panel = Panel {
            name: self.panel.into(),
            bounds_mm,
            inside_mm: self.inside(sums, bounds_mm),
            up: self.up.map(Angle::from_deg),
        };
        let is_film = self.name == "band";
        Ok(Made {
            name: self.name,
            title: self.title.into(),
            per_copy: self.per_copy,
            outline,
            panels: vec![panel],
            creases: Vec::new(),
            slits: Vec::new(),
            holes: Vec::new(),
            // Plies with their grain one way do not warp; across the turning edges they stay straight.
            grain: (!is_film).then_some(Axis::X),
        })
    }

    /// A point well inside: of the frame in its upper rail, of the film on its front run.
    fn inside(&self, sums: &Sums, bounds_mm: Rect) -> Point {
        let middle = bounds_mm.center();
        match self.name {
            "frame" => Point::new(middle.x, sums.rail.to_mm() / 2.0),
            "band" => Point::new(
                Loop::new(sums).front_run_mm() + sums.core_width.to_mm() / 2.0,
                middle.y,
            ),
            _ => middle,
        }
    }
}

fn core(window: &Window, sums: &Sums) -> BezPath {
    let (left, right) = (sums.rail.to_mm(), window.step);
    let (top, bottom) = window.channel;
    closed(&[
        (0.0, 0.0),
        (window.right, 0.0),
        (window.right, top),
        (right, top),
        (right, bottom),
        (window.right, bottom),
        (window.right, window.bottom),
        (0.0, window.bottom),
        (0.0, bottom),
        (left, bottom),
        (left, top),
        (0.0, top),
    ])
}

fn frame(window: &Window) -> BezPath {
    let ((top, bottom), (exit_top, exit_bottom)) = (window.channel, window.exit);
    closed(&[
        (0.0, 0.0),
        (window.right, 0.0),
        (window.right, exit_top),
        (window.step, exit_top),
        (window.step, top),
        (window.bar, top),
        (window.bar, bottom),
        (window.step, bottom),
        (window.step, exit_bottom),
        (window.right, exit_bottom),
        (window.right, window.bottom),
        (0.0, window.bottom),
    ])
}

fn cover(window: &Window, sums: &Sums) -> BezPath {
    let (radius_mm, middle) = (sums.thumb.to_mm() / 2.0, window.bottom / 2.0);
    let mut path = open(&[(0.0, 0.0), (window.right, 0.0)]);
    if radius_mm > 0.0 {
        path.line_to((window.right, middle - radius_mm));
        arc_to(
            &mut path,
            Point::new(window.right, middle + radius_mm),
            radius_mm,
            Way::CounterClockwise,
        );
    }
    path.line_to((window.right, window.bottom));
    path.line_to((0.0, window.bottom));
    path.close_path();
    path
}

fn film(sums: &Sums) -> BezPath {
    rectangle(0.0, 0.0, sums.cut.to_mm(), sums.lead.to_mm())
}

/// A panel: its tail with the shoulders at the left, a pull tab at the right where one is wished.
fn panel(sums: &Sums) -> BezPath {
    let (tail, right) = (sums.tail.to_mm(), sums.panel_length().to_mm());
    let (top, bottom) = (sums.catch.to_mm(), (sums.catch + sums.lead).to_mm());
    let low = (sums.catch * 2 + sums.lead).to_mm();
    let mut path = open(&[(0.0, 0.0), (tail, 0.0), (tail, top), (right, top)]);
    tab(&mut path, sums, right, f64::midpoint(top, bottom));
    for corner in [(right, bottom), (tail, bottom), (tail, low), (0.0, low)] {
        path.line_to(corner);
    }
    path.close_path();
    path
}

/// A tab with rounded corners, a third of the panel high and an inch at most.
fn tab(path: &mut BezPath, sums: &Sums, right: f64, middle: f64) {
    const MOST_MM: f64 = 25.0;
    let reach = sums.tab.to_mm();
    if reach <= 0.0 {
        return;
    }
    let half = (sums.lead.to_mm() / 3.0).min(MOST_MM) / 2.0;
    let radius_mm = 0.9 * reach.min(half);
    path.line_to((right, middle - half));
    path.line_to((right + reach - radius_mm, middle - half));
    arc_to(
        path,
        Point::new(right + reach, middle - half + radius_mm),
        radius_mm,
        Way::Clockwise,
    );
    path.line_to((right + reach, middle + half - radius_mm));
    arc_to(
        path,
        Point::new(right + reach - radius_mm, middle + half),
        radius_mm,
        Way::Clockwise,
    );
    path.line_to((right, middle + half));
}

/// The film round the core: a rectangle of its middle, one step outwards at the right edge so that its end lies over its beginning.
///
/// It begins at the seam on the back run and goes to the left edge, along the front run, round the right edge and back over the seam.
#[derive(Debug, Clone, Copy)]
pub(super) struct Loop {
    /// Where it begins, right of the core's left edge.
    pub(super) begins_mm: f64,
    /// Left and right side of the rectangle, right of the core's left edge.
    pub(super) sides_mm: (f64, f64),
    /// Height of the left side, and of the right side.
    pub(super) rises_mm: (f64, f64),
}

impl Loop {
    pub(super) fn new(sums: &Sums) -> Self {
        let (core, film, tape) = (
            sums.thick.core.to_mm(),
            sums.thick.film.to_mm(),
            sums.thick.tape.to_mm(),
        );
        let slack_mm = (sums.ease.to_mm() - 5.0 * film - tape) / 2.0;
        let beyond_mm = (film + slack_mm) / 2.0;
        let width_mm = sums.core_width.to_mm();
        Self {
            begins_mm: width_mm - sums.first_stop().to_mm(),
            sides_mm: (-beyond_mm, width_mm + beyond_mm),
            rises_mm: (core + film, core + 2.0 * film + tape),
        }
    }

    /// Where on the flat film the front run begins.
    pub(super) fn front_run_mm(&self) -> f64 {
        self.begins_mm - self.sides_mm.0 + self.rises_mm.0
    }

    /// Where the flat film bends.
    pub(super) fn bends_mm(&self) -> [f64; 4] {
        let front = self.front_run_mm();
        let right = front + self.sides_mm.1 - self.sides_mm.0;
        [
            front - self.rises_mm.0,
            front,
            right,
            right + self.rises_mm.1,
        ]
    }
}

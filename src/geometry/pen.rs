//! The commands of SVG path data, drawn one after the other as moves, lines, cubic curves and closes.

use kurbo::{BezPath, Point, Vec2};
use svgtypes::PathSegment;

use super::arc::{EndpointArc, endpoint_arc_into};

/// Where drawing stands, in the text's own unit.
#[derive(Debug, Default)]
pub(super) struct Pen {
    path: BezPath,
    at: Point,
    /// Where the subpath started.
    start: Point,
    /// Whether the next drawing command must begin a subpath: after a close.
    is_lifted: bool,
    /// The last handle, for the smooth commands to mirror.
    handle: Option<Handle>,
}

/// The last control point before the pen's position.
#[derive(Debug, Clone, Copy)]
enum Handle {
    Cubic(Point),
    Quadratic(Point),
}

impl Pen {
    /// Draws one command, absolute or relative.
    pub(super) fn draw(&mut self, segment: PathSegment) {
        let was = self.handle.take();
        match segment {
            PathSegment::MoveTo { abs, x, y } => self.move_to(self.place(abs, x, y)),
            PathSegment::ClosePath { .. } => self.close(),
            PathSegment::LineTo { abs, x, y } => self.line_to(self.place(abs, x, y)),
            PathSegment::HorizontalLineTo { abs, x } => {
                let x = if abs { x } else { self.at.x + x };
                self.line_to(Point::new(x, self.at.y));
            }
            PathSegment::VerticalLineTo { abs, y } => {
                let y = if abs { y } else { self.at.y + y };
                self.line_to(Point::new(self.at.x, y));
            }
            PathSegment::CurveTo {
                abs,
                x1,
                y1,
                x2,
                y2,
                x,
                y,
            } => {
                self.cubic_to(
                    self.place(abs, x1, y1),
                    self.place(abs, x2, y2),
                    self.place(abs, x, y),
                );
            }
            PathSegment::SmoothCurveTo { abs, x2, y2, x, y } => {
                let first = match was {
                    Some(Handle::Cubic(handle)) => self.mirrored(handle),
                    Some(Handle::Quadratic(_)) | None => self.at,
                };
                self.cubic_to(first, self.place(abs, x2, y2), self.place(abs, x, y));
            }
            PathSegment::Quadratic { abs, x1, y1, x, y } => {
                self.quadratic_to(self.place(abs, x1, y1), self.place(abs, x, y));
            }
            PathSegment::SmoothQuadratic { abs, x, y } => {
                let handle = match was {
                    Some(Handle::Quadratic(handle)) => self.mirrored(handle),
                    Some(Handle::Cubic(_)) | None => self.at,
                };
                self.quadratic_to(handle, self.place(abs, x, y));
            }
            PathSegment::EllipticalArc {
                abs,
                rx,
                ry,
                x_axis_rotation,
                large_arc,
                sweep,
                x,
                y,
            } => {
                let arc = EndpointArc {
                    radii: Vec2::new(rx, ry),
                    axis_deg: x_axis_rotation,
                    is_large: large_arc,
                    is_clockwise: sweep,
                };
                self.arc_to(arc, self.place(abs, x, y));
            }
        }
    }

    /// Returns what was drawn.
    pub(super) fn into_path(self) -> BezPath {
        self.path
    }

    fn place(&self, abs: bool, x: f64, y: f64) -> Point {
        if abs {
            Point::new(x, y)
        } else {
            self.at + Vec2::new(x, y)
        }
    }

    fn mirrored(&self, handle: Point) -> Point {
        self.at + (self.at - handle)
    }

    fn move_to(&mut self, to: Point) {
        self.path.move_to(to);
        self.start = to;
        self.at = to;
        self.is_lifted = false;
    }

    fn close(&mut self) {
        if !self.is_lifted {
            self.path.close_path();
        }
        self.at = self.start;
        self.is_lifted = true;
    }

    fn lower(&mut self) {
        if self.is_lifted {
            self.move_to(self.start);
        }
    }

    fn line_to(&mut self, to: Point) {
        self.lower();
        self.path.line_to(to);
        self.at = to;
    }

    fn cubic_to(&mut self, first: Point, second: Point, to: Point) {
        self.lower();
        self.path.curve_to(first, second, to);
        self.at = to;
        self.handle = Some(Handle::Cubic(second));
    }

    fn quadratic_to(&mut self, handle: Point, to: Point) {
        self.lower();
        let third_in = |from: Point| from + 2.0 / 3.0 * (handle - from);
        self.path.curve_to(third_in(self.at), third_in(to), to);
        self.at = to;
        self.handle = Some(Handle::Quadratic(handle));
    }

    fn arc_to(&mut self, arc: EndpointArc, to: Point) {
        self.lower();
        endpoint_arc_into(&mut self.path, self.at, to, arc);
        self.at = to;
    }
}

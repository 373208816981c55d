//! The graphics state of a page under way, and the path being built.

use std::rc::Rc;

use kurbo::{Affine, BezPath, Cap, Point};

use super::font::Font;

/// What `q` saves and `Q` brings back.
#[derive(Debug, Clone)]
pub(super) struct State {
    /// Current user space to the page frame in millimetres.
    pub(super) page_from_user: Affine,
    /// Fill colour as red, green and blue; `None` for one of another kind.
    pub(super) fill_rgb: Option<[f64; 3]>,
    /// Line width in user space.
    pub(super) line_width: f64,
    /// The ends of lines.
    pub(super) cap: Cap,
    /// How many lengths the pattern of dashes has.
    pub(super) dashes: usize,
    /// Every clip in force, in the page frame.
    pub(super) clips: Vec<Rc<BezPath>>,
    /// The font of text and its size in user space.
    pub(super) font: Option<Rc<Font>>,
    pub(super) font_size: f64,
    /// Whether text is shown: rendering mode 3 shows none.
    pub(super) shows_text: bool,
    /// Extra space between lines of text.
    pub(super) leading: f64,
}

impl State {
    /// The state at a page's start.
    pub(super) fn new(page_from_user: Affine) -> Self {
        Self {
            page_from_user,
            fill_rgb: Some([0.0; 3]),
            line_width: 1.0,
            cap: Cap::Butt,
            dashes: 0,
            clips: Vec::new(),
            font: None,
            font_size: 0.0,
            shows_text: true,
            leading: 0.0,
        }
    }

    /// The line width in millimetres; under a map that stretches unevenly, that of a line as fat on average.
    pub(super) fn line_width_mm(&self) -> f64 {
        self.line_width * self.page_from_user.determinant().abs().sqrt()
    }
}

/// A path under construction, in the page frame: PDF maps each point when it is given.
#[derive(Debug, Default)]
pub(super) struct PathBuilder {
    path: BezPath,
    at: Option<Point>,
    clip: bool,
}

impl PathBuilder {
    pub(super) fn move_to(&mut self, to: Point) {
        self.path.move_to(to);
        self.at = Some(to);
    }

    /// Returns `false` if there is no current point.
    pub(super) fn line_to(&mut self, to: Point) -> bool {
        let is_open = self.at.is_some();
        if is_open {
            self.path.line_to(to);
            self.at = Some(to);
        }
        is_open
    }

    /// `first` is `None` if it is the current point. Returns `false` if there is no current point.
    pub(super) fn curve_to(&mut self, first: Option<Point>, second: Point, to: Point) -> bool {
        let Some(at) = self.at else {
            return false;
        };
        self.path.curve_to(first.unwrap_or(at), second, to);
        self.at = Some(to);
        true
    }

    pub(super) fn close(&mut self) {
        if self.at.is_some() {
            self.path.close_path();
        }
    }

    /// Marks the path as a clip for what is painted after it.
    pub(super) fn clip(&mut self) {
        self.clip = true;
    }

    /// Ends the path and returns it, and whether it is a clip.
    pub(super) fn take(&mut self) -> (BezPath, bool) {
        let taken = std::mem::take(self);
        (taken.path, taken.clip)
    }
}

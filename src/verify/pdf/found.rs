//! What is in a PDF.

use std::rc::Rc;

use kurbo::{Affine, BezPath, Cap, Point, Rect, Shape, Vec2};

use super::super::trace::{corners, runs};
use crate::math::hypot;

/// A whole file.
#[derive(Debug, Default)]
pub(in crate::verify) struct PdfFound {
    /// Its pages.
    pub(in crate::verify) pages: Vec<PageFound>,
    /// What concerns no single page and is not as it must be.
    pub(in crate::verify) problems: Vec<String>,
}

/// One page. Frame: millimetres, y down from the top left corner of the media box.
#[derive(Debug, Default)]
pub(in crate::verify) struct PageFound {
    /// Media, crop, trim and bleed box, by name; x from the media box's left, y from its top.
    pub(in crate::verify) boxes: Vec<(&'static str, Rect)>,
    /// Tagged drawings in painting order.
    pub(in crate::verify) tagged: Vec<Tagged>,
    /// What is painted outside every tagged drawing.
    pub(in crate::verify) loose: Vec<Loose>,
    /// What is on the page and may not be.
    pub(in crate::verify) problems: Vec<String>,
}

/// A drawing that says what of the plan it stands for.
#[derive(Debug)]
pub(in crate::verify) struct Tagged {
    /// `artwork`, `mark`, `tick`, `crease`, ...
    pub(in crate::verify) kind: String,
    /// The plan's id.
    pub(in crate::verify) id: String,
    /// Position of the tagged drawing that it is a part of.
    pub(in crate::verify) within: Option<usize>,
    /// Name of the layer it is on.
    pub(in crate::verify) layer: Option<String>,
    /// What is painted, first to last.
    pub(in crate::verify) items: Vec<Painted>,
}

/// One thing painted that does not say what of the plan it stands for.
#[derive(Debug)]
pub(in crate::verify) struct Loose {
    /// Name of the layer it is on.
    pub(in crate::verify) layer: Option<String>,
    /// What is painted.
    pub(in crate::verify) what: Paint,
    /// Every clip in force.
    pub(in crate::verify) clips: Vec<Rc<BezPath>>,
}

/// One thing painted and the clips it is seen through.
#[derive(Debug)]
pub(in crate::verify) struct Painted {
    /// What.
    pub(in crate::verify) what: Paint,
    /// Every clip in force.
    pub(in crate::verify) clips: Vec<Rc<BezPath>>,
}

/// What is painted.
#[derive(Debug)]
pub(in crate::verify) enum Paint {
    /// A filled path.
    Fill {
        /// Where.
        path: BezPath,
        /// Whether points wound round twice are outside.
        is_even_odd: bool,
        /// Red, green and blue from 0 to 1; `None` for a colour of another kind.
        rgb: Option<[f64; 3]>,
    },
    /// A stroked path.
    Stroke {
        /// Where.
        path: BezPath,
        /// Line width in millimetres.
        width_mm: f64,
        /// The ends of lines.
        cap: Cap,
        /// How many lengths its pattern of dashes has; 0 for a solid line.
        dashes: usize,
    },
    /// A placed picture.
    Picture {
        /// The unit square of the picture as seen, y down, to the page.
        page_from_picture: Affine,
        /// SHA-256 of the file it was made from, as stated in the PDF.
        sha256: Option<String>,
        /// SHA-256 of the picture's bytes, where the PDF holds the file as it was.
        bytes_sha256: Option<String>,
        /// What is written in a vector picture, string by string.
        words: Rc<[String]>,
    },
    /// Some text.
    Text(Words),
    /// A shading, which fills all that the clips leave.
    Shading,
}

/// A string that is shown in one go.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::verify) struct Words {
    /// Start of the baseline.
    pub(in crate::verify) at: Point,
    /// From there to the baseline's end, without spaces at the end.
    pub(in crate::verify) along: Vec2,
    /// One em upwards from the baseline.
    pub(in crate::verify) up: Vec2,
    /// What is written, as the font's own table of characters says.
    pub(in crate::verify) text: String,
}

impl Words {
    /// Whether they run level from left to right.
    pub(in crate::verify) fn are_level(&self) -> bool {
        self.up.x.abs() < 1e-3 * self.up.y.abs() && self.up.y < 0.0
    }

    /// The box around them, as high as letters without accents and as deep as a descender: 0.76 and 0.24 em.
    pub(in crate::verify) fn extent(&self) -> Rect {
        let (high, deep) = (self.up * 0.76, self.up * -0.24);
        Rect::from_points(self.at + high, self.at + deep).union(Rect::from_points(
            self.at + self.along + high,
            self.at + self.along + deep,
        ))
    }
}

impl Tagged {
    /// All stroked paths as one.
    pub(in crate::verify) fn strokes(&self) -> BezPath {
        let mut strokes = BezPath::new();
        for item in &self.items {
            if let Paint::Stroke { path, .. } = &item.what {
                strokes.extend(path);
            }
        }
        strokes
    }

    /// The box around everything painted, line widths included; `None` if nothing with an extent is painted.
    pub(in crate::verify) fn ink_box(&self) -> Option<Rect> {
        self.items
            .iter()
            .filter_map(|item| item.what.ink_box())
            .reduce(|a, b| a.union(b))
    }
}

impl Paint {
    /// The box around it, line width included; `None` for what has no extent of its own.
    pub(in crate::verify) fn ink_box(&self) -> Option<Rect> {
        match self {
            Self::Fill { path, .. } => (!path.is_empty()).then(|| path.bounding_box()),
            Self::Stroke {
                path,
                width_mm,
                cap,
                dashes: _,
            } => stroke_box(path, *width_mm, *cap),
            Self::Picture {
                page_from_picture, ..
            } => Some(page_from_picture.transform_rect_bbox(Rect::new(0.0, 0.0, 1.0, 1.0))),
            Self::Text(words) => Some(Rect::from_points(words.at, words.at)),
            Self::Shading => None,
        }
    }
}

/// The box around a stroked path: corners pointed by mitres are taken as cut off.
fn stroke_box(path: &BezPath, width_mm: f64, cap: Cap) -> Option<Rect> {
    let half_mm = width_mm / 2.0;
    let beyond_mm = match cap {
        Cap::Butt => 0.0,
        Cap::Round | Cap::Square => half_mm,
    };
    let mut ink: Option<Rect> = None;
    for run in runs(path) {
        for pair in corners(&run).windows(2) {
            let way = pair[1] - pair[0];
            let along = way / hypot(way.x, way.y);
            let across = half_mm * Vec2::new(-along.y, along.x);
            let ends = [pair[0] - beyond_mm * along, pair[1] + beyond_mm * along];
            for end in ends.into_iter().filter(|end| end.is_finite()) {
                let rect = Rect::from_points(end + across, end - across);
                ink = Some(ink.map_or(rect, |ink| ink.union(rect)));
            }
        }
    }
    ink
}

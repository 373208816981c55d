//! The items of a display list.

use kurbo::{Affine, BezPath};

use super::{AssetIndex, Paint};

/// A list of items, painted first to last.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawing {
    /// The items, first one at the bottom.
    pub items: Vec<Item>,
}

/// One thing to paint. Coordinates are those of the surrounding space: millimetres on a page.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A filled area.
    Fill {
        /// Closed subpaths.
        path: BezPath,
        /// Which points are inside.
        rule: FillRule,
        /// With what.
        paint: Paint,
    },
    /// A stroked line.
    Stroke {
        /// Open or closed subpaths.
        path: BezPath,
        /// Width and kind of line.
        stroke: Stroke,
        /// With what.
        paint: Paint,
    },
    /// A drawing seen only inside a path.
    Clip {
        /// Closed subpaths.
        path: BezPath,
        /// Which points are inside.
        rule: FillRule,
        /// What is seen through it.
        inner: Drawing,
    },
    /// An asset placed once or many times: stored once in the file, whatever the number of places.
    Picture {
        /// Which one.
        asset: AssetIndex,
        /// Each maps the unit square, the picture as seen (y down), to the surrounding space.
        places: Vec<Affine>,
    },
    /// A line of text as placed glyphs.
    Glyphs(GlyphRun),
    /// A drawing that belongs to something in the plan, so that a reader of the file can find it again.
    Tagged {
        /// What it belongs to.
        tag: Tag,
        /// The drawing.
        inner: Drawing,
    },
}

/// What a tagged drawing belongs to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tag {
    /// What it is: `artwork`, `mark`, `tick`, `caption`, `rule`, or an operation's layer name.
    pub kind: &'static str,
    /// The plan's id: of a placement (`tin/lid#1`), an operation (`tin/lid#1.crease-2`), a mark (`m1`) or a tick (`t12`).
    pub id: String,
}

/// Which points are inside a path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FillRule {
    /// Winding number not zero.
    NonZero,
    /// Winding number odd.
    EvenOdd,
}

/// Width and kind of a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// In millimetres.
    pub width_mm: f64,
    /// On and off lengths in millimetres, starting with on; empty is solid.
    pub dash_mm: Vec<f64>,
    /// How ends look.
    pub cap: LineCap,
    /// How corners look.
    pub join: LineJoin,
    /// Longest miter, as a multiple of the line width; sharper corners are cut off.
    pub miter_limit: f64,
}

impl Stroke {
    /// Returns a solid line with butt ends and mitred corners.
    #[must_use]
    pub const fn solid(width_mm: f64) -> Self {
        Self {
            width_mm,
            dash_mm: Vec::new(),
            cap: LineCap::Butt,
            join: LineJoin::Miter,
            miter_limit: 4.0,
        }
    }
}

/// How the ends of a line look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineCap {
    /// Cut off at the end point.
    Butt,
    /// A half circle beyond it.
    Round,
    /// A half square beyond it.
    Square,
}

/// How the corners of a line look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineJoin {
    /// Pointed, up to the miter limit.
    Miter,
    /// Rounded.
    Round,
    /// Cut off.
    Bevel,
}

/// How heavy letters are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// For reading.
    Regular,
    /// For headings, and for what must not be missed.
    Bold,
}

/// A line of text in the carried font.
#[derive(Debug, Clone, PartialEq)]
pub struct GlyphRun {
    /// Which of the font's weights the glyphs are of.
    pub weight: Weight,
    /// The text, in NFC.
    pub text: String,
    /// Em size in millimetres.
    pub size_mm: f64,
    /// One for each character of `text`.
    pub glyphs: Vec<PlacedGlyph>,
    /// Text space (x right along the baseline, y down, millimetres, origin at the start of the baseline) to the surrounding space.
    pub matrix: Affine,
    /// With what.
    pub paint: Paint,
}

/// One glyph of a [`GlyphRun`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlacedGlyph {
    /// Glyph number in the carried font of the run's weight.
    pub glyph: u16,
    /// Start of the glyph along the baseline, in millimetres.
    pub x_mm: f64,
}

//! Drawings as content streams, item by item.

use kurbo::{Affine, BezPath};
use printpdf::Shading;

use super::{
    book::Book,
    content::{Content, string},
    gradient,
    resource::Resource,
};
use crate::{
    draw::page::{Page, PageLayer},
    drawing::{
        AssetIndex, Colour, Drawing, FillRule, GlyphRun, Item, LineCap, LineJoin, Paint, Stroke,
        Tag,
    },
    emit::number,
    length::MM_PER_INCH,
};

/// Decimals of a colour component: less than a hundredth of one of 256 levels.
const COLOUR_DECIMALS: usize = 5;

/// Points in a millimetre.
pub(super) const PT_PER_MM: f64 = 72.0 / MM_PER_INCH;

/// Decimals of a millimetre on a page: 10 nm, finer than four decimals of a point.
const PAGE_DECIMALS: usize = 5;
/// Decimals in the unit square of a picture: 10 nm on one that is 1 m wide.
const UNIT_DECIMALS: usize = 8;

/// Which of the two colours of the graphics state.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Fill,
    Stroke,
}

/// Returns the stream of a page.
///
/// The page frame (millimetres, y down) becomes points, y up, in one matrix at the start: a coordinate is rounded once.
pub(super) fn page(book: &mut Book<'_>, page: &Page) -> Content {
    let height_pt = page.height_mm * PT_PER_MM;
    let page_to_stream = Affine::new([PT_PER_MM, 0.0, 0.0, -PT_PER_MM, 0.0, height_pt]);
    let mut painter = Painter::new(book, PAGE_DECIMALS);
    painter.content.operator("q");
    painter.content.concatenate(page_to_stream);
    for layer in &page.layers {
        painter.layer(layer, page_to_stream);
    }
    painter.content.operator("Q");
    painter.content
}

/// Returns the stream of a vector picture, in its own space: the unit square, y down.
pub(super) fn form(book: &mut Book<'_>, drawing: &Drawing) -> Content {
    let mut painter = Painter::new(book, UNIT_DECIMALS);
    painter.drawing(drawing, Affine::IDENTITY);
    painter.content
}

/// Writes drawings into one stream, and what they refer to into the book.
struct Painter<'a, 'b> {
    content: Content,
    book: &'b mut Book<'a>,
}

impl<'a, 'b> Painter<'a, 'b> {
    fn new(book: &'b mut Book<'a>, coordinate_decimals: usize) -> Self {
        Self {
            content: Content::new(coordinate_decimals),
            book,
        }
    }

    fn layer(&mut self, layer: &PageLayer, page_to_stream: Affine) {
        let name = self.book.shelf.layer(layer.name, layer.step);
        self.content.raw("/OC").name(name).operator("BDC");
        self.content.operator("q");
        self.content.concatenate(layer.matrix);
        self.drawing(&layer.drawing, page_to_stream * layer.matrix);
        self.content.operator("Q");
        self.content.operator("EMC");
    }

    /// Paints a drawing whose space is the current one; `to_stream` maps it to the stream's default space.
    fn drawing(&mut self, drawing: &Drawing, to_stream: Affine) {
        for item in &drawing.items {
            match item {
                Item::Fill { path, rule, paint } => self.fill(path, *rule, paint, to_stream),
                Item::Stroke {
                    path,
                    stroke,
                    paint,
                } => self.stroke(path, stroke, paint, to_stream),
                Item::Clip { path, rule, inner } => self.clip(path, *rule, inner, to_stream),
                Item::Picture { asset, places } => self.picture(*asset, places),
                Item::Glyphs(run) => self.glyphs(run, to_stream),
                Item::Tagged { tag, inner } => self.tagged(tag, inner, to_stream),
            }
        }
    }

    fn fill(&mut self, path: &BezPath, rule: FillRule, paint: &Paint, to_stream: Affine) {
        if path.elements().is_empty() {
            return;
        }
        let operator = match rule {
            FillRule::NonZero => "f",
            FillRule::EvenOdd => "f*",
        };
        self.painted(Side::Fill, paint, to_stream, |content| {
            content.path(path);
            content.operator(operator);
        });
    }

    fn stroke(&mut self, path: &BezPath, stroke: &Stroke, paint: &Paint, to_stream: Affine) {
        if path.elements().is_empty() {
            return;
        }
        self.painted(Side::Stroke, paint, to_stream, |content| {
            line_style(content, stroke);
            content.path(path);
            content.operator("S");
        });
    }

    fn clip(&mut self, path: &BezPath, rule: FillRule, inner: &Drawing, to_stream: Affine) {
        if path.elements().is_empty() {
            return;
        }
        self.content.operator("q");
        self.content.path(path);
        self.content.operator(match rule {
            FillRule::NonZero => "W n",
            FillRule::EvenOdd => "W* n",
        });
        self.drawing(inner, to_stream);
        self.content.operator("Q");
    }

    fn picture(&mut self, asset: AssetIndex, places: &[Affine]) {
        let (name, own_to_seen) = self.book.picture(asset);
        for seen_to_place in places {
            self.content.operator("q");
            self.content.concatenate(*seen_to_place * own_to_seen);
            self.content.name(name).operator("Do");
            self.content.operator("Q");
        }
    }

    fn glyphs(&mut self, run: &GlyphRun, to_stream: Affine) {
        if run.glyphs.is_empty() {
            return;
        }
        let codes = self.book.text(run);
        self.painted(Side::Fill, &run.paint, to_stream, |content| {
            content.operator("BT");
            content.name(Resource::Font(run.weight));
            content.number(run.size_mm).operator("Tf");
            // Glyphs stand y up, the run's text space is y down.
            content.matrix(run.matrix * Affine::FLIP_Y).operator("Tm");
            content.raw(codes).operator("TJ");
            content.operator("ET");
        });
    }

    fn tagged(&mut self, tag: &Tag, inner: &Drawing, to_stream: Affine) {
        let (kind, id) = (string(tag.kind), string(&tag.id));
        let properties = format!("<< /Kind {kind} /Id {id} >>");
        self.content
            .raw("/Sheetwright")
            .raw(properties)
            .operator("BDC");
        self.drawing(inner, to_stream);
        self.content.operator("EMC");
    }

    /// Sets the paint of one side for what `body` adds.
    fn painted(
        &mut self,
        side: Side,
        paint: &Paint,
        to_stream: Affine,
        body: impl FnOnce(&mut Content),
    ) {
        match paint {
            Paint::Solid { colour, opacity } if *opacity >= 1.0 => {
                flat(&mut self.content, side, *colour);
                body(&mut self.content);
            }
            Paint::Solid { colour, opacity } => {
                let state = self.book.shelf.state(*opacity);
                self.content.operator("q");
                self.content.name(state).operator("gs");
                flat(&mut self.content, side, *colour);
                body(&mut self.content);
                self.content.operator("Q");
            }
            Paint::Linear { from, to, gradient } => {
                let shading = gradient::linear(*from, *to, gradient);
                self.graded(side, shading, to_stream * gradient.matrix, body);
            }
            Paint::Radial {
                focus,
                centre,
                radius,
                gradient,
            } => {
                let shading = gradient::radial(*focus, *centre, *radius, gradient);
                self.graded(side, shading, to_stream * gradient.matrix, body);
            }
        }
    }

    fn graded(
        &mut self,
        side: Side,
        shading: Shading,
        gradient_to_stream: Affine,
        body: impl FnOnce(&mut Content),
    ) {
        let pattern = self.book.shelf.pattern(shading, gradient_to_stream);
        let (space, colour) = match side {
            Side::Fill => ("cs", "scn"),
            Side::Stroke => ("CS", "SCN"),
        };
        self.content.operator("q");
        self.content.raw("/Pattern").operator(space);
        self.content.name(pattern).operator(colour);
        body(&mut self.content);
        self.content.operator("Q");
    }
}

/// Sets a flat colour. Greys are spelled as grey, so that a printer may set them in black ink alone.
fn flat(content: &mut Content, side: Side, colour: Colour) {
    let Colour { red, green, blue } = colour;
    let is_grey = red == green && green == blue;
    let (levels, operator) = match (is_grey, side) {
        (true, Side::Fill) => (vec![red], "g"),
        (true, Side::Stroke) => (vec![red], "G"),
        (false, Side::Fill) => (vec![red, green, blue], "rg"),
        (false, Side::Stroke) => (vec![red, green, blue], "RG"),
    };
    for level in levels {
        content.raw(number::fixed(f64::from(level) / 255.0, COLOUR_DECIMALS));
    }
    content.operator(operator);
}

fn line_style(content: &mut Content, stroke: &Stroke) {
    let cap = match stroke.cap {
        LineCap::Butt => 0,
        LineCap::Round => 1,
        LineCap::Square => 2,
    };
    let join = match stroke.join {
        LineJoin::Miter => 0,
        LineJoin::Round => 1,
        LineJoin::Bevel => 2,
    };
    content.number(stroke.width_mm).operator("w");
    content.raw(cap).operator("J");
    content.raw(join).operator("j");
    content.number(stroke.miter_limit).operator("M");
    content.array(&stroke.dash_mm).raw(0).operator("d");
}

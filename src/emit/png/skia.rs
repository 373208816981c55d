//! Paths, lines and paints in the rasteriser's own types.

use kurbo::{Affine, BezPath, PathEl, Point as KurboPoint};
use resvg::tiny_skia::{
    Color, FillRule as SkiaRule, GradientStop as SkiaStop, LineCap as SkiaCap,
    LineJoin as SkiaJoin, LinearGradient, Path, PathBuilder, Point, RadialGradient, Shader,
    SpreadMode, Stroke as SkiaStroke, StrokeDash, Transform,
};

use crate::drawing::{Colour, FillRule, Gradient, LineCap, LineJoin, Paint, Stroke};

/// Rounds to the rasteriser's single precision.
#[expect(
    clippy::cast_possible_truncation,
    reason = "the rasteriser works in f32: 0.000 03 px on a canvas of 1000 px"
)]
fn single(value: f64) -> f32 {
    value as f32
}

/// The nearest whole number of pixels, at least one.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the value is at least one, and a canvas that is too large is refused when it is allocated"
)]
pub(super) fn whole_px(length_px: f64) -> u32 {
    length_px.round().max(1.0) as u32
}

/// Returns the path, or `None` if there is nothing to paint.
pub(super) fn path(path: &BezPath) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(p) => builder.move_to(single(p.x), single(p.y)),
            PathEl::LineTo(p) => builder.line_to(single(p.x), single(p.y)),
            PathEl::QuadTo(a, p) => {
                builder.quad_to(single(a.x), single(a.y), single(p.x), single(p.y));
            }
            PathEl::CurveTo(a, b, p) => {
                builder.cubic_to(
                    single(a.x),
                    single(a.y),
                    single(b.x),
                    single(b.y),
                    single(p.x),
                    single(p.y),
                );
            }
            PathEl::ClosePath => builder.close(),
        }
    }
    builder.finish()
}

/// Returns the same map.
pub(super) fn transform(map: Affine) -> Transform {
    let [a, b, c, d, e, f] = map.as_coeffs().map(single);
    Transform::from_row(a, b, c, d, e, f)
}

/// Returns the same rule.
pub(super) fn rule(rule: FillRule) -> SkiaRule {
    match rule {
        FillRule::NonZero => SkiaRule::Winding,
        FillRule::EvenOdd => SkiaRule::EvenOdd,
    }
}

/// Returns the same kind of line.
pub(super) fn stroke(stroke: &Stroke) -> SkiaStroke {
    SkiaStroke {
        width: single(stroke.width_mm),
        miter_limit: single(stroke.miter_limit),
        line_cap: match stroke.cap {
            LineCap::Butt => SkiaCap::Butt,
            LineCap::Round => SkiaCap::Round,
            LineCap::Square => SkiaCap::Square,
        },
        line_join: match stroke.join {
            LineJoin::Miter => SkiaJoin::Miter,
            LineJoin::Round => SkiaJoin::Round,
            LineJoin::Bevel => SkiaJoin::Bevel,
        },
        dash: StrokeDash::new(even_dash(&stroke.dash_mm), 0.0),
    }
}

/// An odd list of dashes is read twice, as in PDF and SVG.
fn even_dash(dash_mm: &[f64]) -> Vec<f32> {
    let times = if dash_mm.len().is_multiple_of(2) {
        1
    } else {
        2
    };
    dash_mm.repeat(times).into_iter().map(single).collect()
}

/// Returns the same paint.
pub(super) fn shader(paint: &Paint) -> Shader<'static> {
    match paint {
        Paint::Solid { colour, opacity } => {
            let mut flat = opaque(*colour);
            flat.set_alpha(single(*opacity));
            Shader::SolidColor(flat)
        }
        Paint::Linear { from, to, gradient } => LinearGradient::new(
            point(*from),
            point(*to),
            stops(gradient),
            SpreadMode::Pad,
            transform(gradient.matrix),
        )
        .unwrap_or_else(|| last_stop(gradient)),
        Paint::Radial {
            focus,
            centre,
            radius,
            gradient,
        } => RadialGradient::new(
            point(*focus),
            0.0,
            point(*centre),
            single(*radius),
            stops(gradient),
            SpreadMode::Pad,
            transform(gradient.matrix),
        )
        .unwrap_or_else(|| last_stop(gradient)),
    }
}

fn point(p: KurboPoint) -> Point {
    Point::from_xy(single(p.x), single(p.y))
}

fn opaque(colour: Colour) -> Color {
    Color::from_rgba8(colour.red, colour.green, colour.blue, 255)
}

fn stops(gradient: &Gradient) -> Vec<SkiaStop> {
    gradient
        .stops
        .iter()
        .map(|s| SkiaStop::new(single(s.offset), opaque(s.colour)))
        .collect()
}

/// What SVG paints for a gradient without extent: the colour of its last stop.
fn last_stop(gradient: &Gradient) -> Shader<'static> {
    Shader::SolidColor(
        gradient
            .stops
            .last()
            .map_or(Color::BLACK, |s| opaque(s.colour)),
    )
}

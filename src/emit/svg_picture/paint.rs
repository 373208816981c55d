//! Lines and gradients in the attributes of SVG.

use kurbo::{BezPath, Point};
use svg::node::element::{LinearGradient, Path, RadialGradient, Stop};

use super::{DECIMALS, matrix};
use crate::drawing::{Gradient, LineCap, LineJoin, Stroke};
use crate::emit::number::fixed;
use crate::geometry::path_data::to_path_data;

/// Returns a path drawn as a line, its paint still missing.
pub(super) fn stroked(path: &BezPath, stroke: &Stroke, decimals: usize) -> Path {
    let cap = match stroke.cap {
        LineCap::Butt => "butt",
        LineCap::Round => "round",
        LineCap::Square => "square",
    };
    let join = match stroke.join {
        LineJoin::Miter => "miter",
        LineJoin::Round => "round",
        LineJoin::Bevel => "bevel",
    };
    let line = Path::new()
        .set("d", to_path_data(path, decimals))
        .set("fill", "none")
        .set("stroke-width", fixed(stroke.width_mm, DECIMALS))
        .set("stroke-linecap", cap)
        .set("stroke-linejoin", join)
        .set("stroke-miterlimit", fixed(stroke.miter_limit, DECIMALS));
    if stroke.dash_mm.is_empty() {
        return line;
    }
    let dashes: Vec<String> = stroke.dash_mm.iter().map(|d| fixed(*d, DECIMALS)).collect();
    line.set("stroke-dasharray", dashes.join(" "))
}

/// Returns a gradient between two points.
pub(super) fn linear(from: Point, to: Point, gradient: &Gradient) -> LinearGradient {
    let element = LinearGradient::new()
        .set("gradientUnits", "userSpaceOnUse")
        .set("gradientTransform", matrix(gradient.matrix))
        .set("x1", fixed(from.x, DECIMALS))
        .set("y1", fixed(from.y, DECIMALS))
        .set("x2", fixed(to.x, DECIMALS))
        .set("y2", fixed(to.y, DECIMALS));
    stops(gradient).fold(element, LinearGradient::add)
}

/// Returns a gradient from a focus to a circle.
pub(super) fn radial(
    focus: Point,
    centre: Point,
    radius: f64,
    gradient: &Gradient,
) -> RadialGradient {
    let element = RadialGradient::new()
        .set("gradientUnits", "userSpaceOnUse")
        .set("gradientTransform", matrix(gradient.matrix))
        .set("cx", fixed(centre.x, DECIMALS))
        .set("cy", fixed(centre.y, DECIMALS))
        .set("r", fixed(radius, DECIMALS))
        .set("fx", fixed(focus.x, DECIMALS))
        .set("fy", fixed(focus.y, DECIMALS));
    stops(gradient).fold(element, RadialGradient::add)
}

fn stops(gradient: &Gradient) -> impl Iterator<Item = Stop> {
    gradient.stops.iter().map(|stop| {
        Stop::new()
            .set("offset", fixed(stop.offset, DECIMALS))
            .set("stop-color", stop.colour.to_hex())
    })
}

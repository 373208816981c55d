//! Gradients as axial and radial shadings.

use kurbo::Point;
use printpdf::{GradientStop, Shading, ShadingGeometry};

use crate::{drawing::Gradient, emit::number};

/// Decimals of a gradient's points; nothing is cut along a gradient.
const COORDINATE_DECIMALS: usize = 6;
/// Decimals of a stop's offset.
const OFFSET_DECIMALS: usize = 6;

/// Returns a gradient between two points of gradient space.
pub(super) fn linear(from: Point, to: Point, gradient: &Gradient) -> Shading {
    let ([x0, y0], [x1, y1]) = (coordinates(from), coordinates(to));
    let coords = [x0, y0, x1, y1];
    shading(ShadingGeometry::Axial { coords }, gradient)
}

/// Returns a gradient from a point to a circle of gradient space.
pub(super) fn radial(focus: Point, centre: Point, radius: f64, gradient: &Gradient) -> Shading {
    let ([x0, y0], [x1, y1]) = (coordinates(focus), coordinates(centre));
    let radius = number::single(radius, COORDINATE_DECIMALS);
    let coords = [x0, y0, 0.0, x1, y1, radius];
    shading(ShadingGeometry::Radial { coords }, gradient)
}

fn shading(geometry: ShadingGeometry, gradient: &Gradient) -> Shading {
    let stops = gradient.stops.iter().map(|stop| GradientStop {
        offset: number::single(stop.offset, OFFSET_DECIMALS),
        color: [stop.colour.red, stop.colour.green, stop.colour.blue].map(|c| f32::from(c) / 255.0),
    });
    Shading {
        geometry,
        stops: stops.collect(),
        extend: (true, true),
    }
}

fn coordinates(point: Point) -> [f32; 2] {
    [point.x, point.y].map(|c| number::single(c, COORDINATE_DECIMALS))
}

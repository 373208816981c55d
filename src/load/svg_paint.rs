//! The colours and gradients of SVG pictures.

use kurbo::{Affine, Point};

use super::asset::Fault;
use super::svg_picture::affine;
use super::svg_source::feature;
use crate::drawing::{Colour, Gradient, GradientStop, Paint};

/// Reads a paint; `to_unit` maps the space of the painted path to the picture's unit square.
pub(super) fn read(
    path: &str,
    paint: &usvg::Paint,
    opacity: f64,
    to_unit: Affine,
) -> Result<Paint, Fault> {
    match paint {
        usvg::Paint::Color(found) => Ok(Paint::Solid {
            colour: colour(*found),
            opacity,
        }),
        usvg::Paint::LinearGradient(linear) => Ok(Paint::Linear {
            from: point(linear.x1(), linear.y1()),
            to: point(linear.x2(), linear.y2()),
            gradient: gradient(path, linear, opacity, to_unit)?,
        }),
        usvg::Paint::RadialGradient(radial) => {
            if radial.fr().get() > 0.0 {
                return Err(refused(
                    path,
                    radial.id(),
                    "a focal radius",
                    "let the gradient start from a point",
                ));
            }
            Ok(Paint::Radial {
                focus: point(radial.fx(), radial.fy()),
                centre: point(radial.cx(), radial.cy()),
                radius: f64::from(radial.r().get()),
                gradient: gradient(path, radial, opacity, to_unit)?,
            })
        }
        usvg::Paint::Pattern(pattern) => {
            let what = format!("the pattern \"{}\"", pattern.id());
            Err(feature(
                path,
                &what,
                "draw the repeated shapes, or repeat the picture with repeat = true",
            ))
        }
    }
}

fn gradient(
    path: &str,
    base: &usvg::BaseGradient,
    opacity: f64,
    to_unit: Affine,
) -> Result<Gradient, Fault> {
    let opaque_hint = "use opaque colours in it, lighter ones for a thinner look";
    if opacity < 1.0 {
        return Err(refused(path, base.id(), "an opacity", opaque_hint));
    }
    if base.stops().iter().any(|stop| stop.opacity().get() < 1.0) {
        return Err(refused(path, base.id(), "a see-through stop", opaque_hint));
    }
    if base.spread_method() != usvg::SpreadMethod::Pad {
        return Err(refused(
            path,
            base.id(),
            "a spread that repeats",
            "draw its stops out to both ends",
        ));
    }
    Ok(Gradient {
        stops: stops(base),
        matrix: to_unit * affine(base.transform()),
    })
}

/// The stops, with the end colours carried on to offsets 0 and 1.
fn stops(base: &usvg::BaseGradient) -> Vec<GradientStop> {
    let mut stops: Vec<_> = base
        .stops()
        .iter()
        .map(|stop| GradientStop {
            offset: f64::from(stop.offset().get()),
            colour: colour(stop.color()),
        })
        .collect();
    if let Some(first) = stops.first().copied().filter(|stop| stop.offset > 0.0) {
        stops.insert(
            0,
            GradientStop {
                offset: 0.0,
                ..first
            },
        );
    }
    if let Some(last) = stops.last().copied().filter(|stop| stop.offset < 1.0) {
        stops.push(GradientStop {
            offset: 1.0,
            ..last
        });
    }
    stops
}

fn refused(path: &str, id: &str, what: &str, hint: &str) -> Fault {
    feature(path, &format!("the gradient \"{id}\" with {what}"), hint)
}

fn colour(colour: usvg::Color) -> Colour {
    Colour::rgb(colour.red, colour.green, colour.blue)
}

fn point(x: f32, y: f32) -> Point {
    Point::new(f64::from(x), f64::from(y))
}

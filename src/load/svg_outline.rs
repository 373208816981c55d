//! An SVG file's shape as the outline of a piece, in true units.
//!
//! Read in `f64` straight from the XML: the path of picture readers through pixels in `f32` is too coarse for a blade.

use kurbo::{Affine, BezPath, Shape as _};
use roxmltree::{Document, Node};
use svgtypes::{LengthUnit, TransformListParser, TransformListToken, ViewBox};

use super::asset::{Fault, Library};
use super::code;
use super::shape::{Shape, outline_at};
use super::svg_source::{describe, document, text};
use super::table::Table;
use super::value::Value;
use crate::geometry::path_data::parse_path_data;
use crate::length::{MM_PER_INCH, Size};
use crate::math::{Angle, VERIFY_MM};

/// Kinds of elements that draw one shape.
const SHAPES: [&str; 5] = ["path", "rect", "circle", "ellipse", "polygon"];
/// CSS Values and Units: 1 in is 96 px.
const PX_PER_INCH: f64 = 96.0;

/// Reads `file`, `element` and `width` of a shape.
pub(super) fn read(table: &Table<'_>, library: &Library<'_>) -> Option<Shape> {
    let element = table.optional("element", |v| v.raw_text().map(str::to_owned));
    let width = table.optional("width", Value::size);
    let is_wrong =
        (table.has("element") && element.is_none()) || (table.has("width") && width.is_none());
    table.required("file", "file = \"leaf.svg\"", |value| {
        let bytes = library.bytes(value)?;
        if is_wrong {
            return None;
        }
        match path_mm(value.raw_text()?, &bytes, element.as_deref(), width) {
            Ok(path) => outline_at(value, &path),
            Err(fault) => value.fail(fault.code, fault.message, fault.hint),
        }
    })
}

/// Returns the shape's path in millimetres.
fn path_mm(
    file: &str,
    bytes: &[u8],
    id: Option<&str>,
    width: Option<Size>,
) -> Result<BezPath, Fault> {
    let text = text(file, bytes)?;
    let document = document(file, text)?;
    let node = match id {
        Some(id) => named(file, &document, id)?,
        None => only_shape(file, &document)?,
    };
    let path = to_root(file, &node)? * drawn(file, &node)?;
    let bounds = path.bounding_box();
    match width {
        Some(width) if bounds.width() > 0.0 => {
            Ok(Affine::scale(width.to_mm() / bounds.width()) * path)
        }
        Some(_) => Err(unfit(
            file,
            &format!("{} has no width", describe(&node)),
            "draw a closed shape",
        )),
        None => Ok(Affine::scale(unit_mm(file, &document)?) * path),
    }
}

fn named<'a, 't>(file: &str, document: &'a Document<'t>, id: &str) -> Result<Node<'a, 't>, Fault> {
    let found = document
        .descendants()
        .find(|node| node.attribute("id") == Some(id));
    let node = found.ok_or_else(|| {
        let ids: Vec<_> = shapes(document)
            .filter_map(|node| node.attribute("id"))
            .collect();
        let hint = if ids.is_empty() {
            "give the shape an id in the drawing program".to_owned()
        } else {
            format!("the shapes in it are \"{}\"", ids.join("\", \""))
        };
        unfit(file, &format!("has no element with the id \"{id}\""), &hint)
    })?;
    if SHAPES.contains(&node.tag_name().name()) {
        return Ok(node);
    }
    let message = format!(
        "has {} under that id, which is no single shape",
        describe(&node)
    );
    Err(unfit(
        file,
        &message,
        &format!("name one {}", SHAPES.join(", ")),
    ))
}

fn only_shape<'a, 't>(file: &str, document: &'a Document<'t>) -> Result<Node<'a, 't>, Fault> {
    let closed: Vec<_> = shapes(document).filter(|node| is_closed(node)).collect();
    match closed.as_slice() {
        [only] => Ok(*only),
        [] => Err(unfit(
            file,
            "has no closed shape",
            "draw the outline as one closed path",
        )),
        several => {
            let message = format!("has {} closed shapes", several.len());
            Err(unfit(
                file,
                &message,
                "say which one, like element = \"outline\"",
            ))
        }
    }
}

fn shapes<'a, 't>(document: &'a Document<'t>) -> impl Iterator<Item = Node<'a, 't>> {
    let is_hidden = |node: &Node<'_, '_>| {
        matches!(
            node.tag_name().name(),
            "defs" | "clipPath" | "mask" | "symbol" | "pattern" | "marker"
        )
    };
    document
        .descendants()
        .filter(|node| SHAPES.contains(&node.tag_name().name()))
        .filter(move |node| !node.ancestors().any(|a| is_hidden(&a)))
}

fn is_closed(node: &Node<'_, '_>) -> bool {
    node.tag_name().name() != "path"
        || node
            .attribute("d")
            .is_some_and(|data| data.contains(['z', 'Z']))
}

/// Returns what the element draws, in its own units: every shape is written as path data, so that arcs are made in one place.
fn drawn(file: &str, node: &Node<'_, '_>) -> Result<BezPath, Fault> {
    let n = |key: &str| number(file, node, key);
    let data = match node.tag_name().name() {
        "path" => node.attribute("d").unwrap_or("").to_owned(),
        "polygon" => format!("M {} Z", node.attribute("points").unwrap_or("")),
        "circle" => ellipse_data(n("cx")?, n("cy")?, n("r")?, n("r")?),
        "ellipse" => ellipse_data(n("cx")?, n("cy")?, n("rx")?, n("ry")?),
        _ => {
            let (rx, ry) = (node.attribute("rx"), node.attribute("ry"));
            let (rx, ry) = (
                n(if rx.is_some() { "rx" } else { "ry" })?,
                n(if ry.is_some() { "ry" } else { "rx" })?,
            );
            rect_data([n("x")?, n("y")?, n("width")?, n("height")?], rx, ry)
        }
    };
    parse_path_data(&data, 1.0).map_err(|error| {
        let message = format!(
            "has {} that cannot be read: {}",
            describe(node),
            error.message()
        );
        unfit(file, &message, "save the drawing again as plain SVG")
    })
}

fn ellipse_data(cx: f64, cy: f64, rx: f64, ry: f64) -> String {
    let (right, left) = (cx + rx, cx - rx);
    format!("M {right} {cy} A {rx} {ry} 0 0 1 {left} {cy} A {rx} {ry} 0 0 1 {right} {cy} Z")
}

/// SVG 2, section 10.2: the corners of a rectangle are quarter ellipses, at most half a side large.
fn rect_data([x, y, width, height]: [f64; 4], rx: f64, ry: f64) -> String {
    let (rx, ry) = (rx.min(width / 2.0), ry.min(height / 2.0));
    let (right, bottom) = (x + width, y + height);
    if rx <= 0.0 || ry <= 0.0 {
        return format!("M {x} {y} H {right} V {bottom} H {x} Z");
    }
    let corner = |to_x: f64, to_y: f64| format!("A {rx} {ry} 0 0 1 {to_x} {to_y}");
    format!(
        "M {} {y} H {} {} V {} {} H {} {} V {} {} Z",
        x + rx,
        right - rx,
        corner(right, y + ry),
        bottom - ry,
        corner(right - rx, bottom),
        x + rx,
        corner(x, bottom - ry),
        y + ry,
        corner(x + rx, y)
    )
}

/// Reads a length attribute in user units; 0 where it is not given.
fn number(file: &str, node: &Node<'_, '_>, key: &str) -> Result<f64, Fault> {
    let Some(text) = node.attribute(key) else {
        return Ok(0.0);
    };
    let length = text.parse::<svgtypes::Length>().ok();
    length
        .and_then(|length| Some(length.number * px(length.unit)?))
        .filter(|number| number.is_finite())
        .ok_or_else(|| {
            let message = format!(
                "has {} with {key}=\"{text}\", which has no fixed size",
                describe(node)
            );
            unfit(file, &message, "draw it with plain numbers")
        })
}

/// Pixels, and so user units, in a unit of fixed size.
fn px(unit: LengthUnit) -> Option<f64> {
    match unit {
        LengthUnit::None | LengthUnit::Px => Some(1.0),
        LengthUnit::In => Some(PX_PER_INCH),
        LengthUnit::Cm => Some(PX_PER_INCH / 2.54),
        LengthUnit::Mm => Some(PX_PER_INCH / MM_PER_INCH),
        LengthUnit::Pt => Some(PX_PER_INCH / 72.0),
        LengthUnit::Pc => Some(PX_PER_INCH / 6.0),
        LengthUnit::Em | LengthUnit::Ex | LengthUnit::Percent => None,
    }
}

/// Millimetres in one unit of the file's viewBox.
fn unit_mm(file: &str, document: &Document<'_>) -> Result<f64, Fault> {
    let root = document.root_element();
    let unsized_file = || {
        let message = "has no width and height in mm, cm, in or pt with a viewBox, so its true size is not known";
        unfit(
            file,
            message,
            "say how wide the shape is, like width = \"2 in\"",
        )
    };
    let side_mm = |key: &str| {
        let length = root.attribute(key)?.parse::<svgtypes::Length>().ok()?;
        let is_absolute = !matches!(length.unit, LengthUnit::None | LengthUnit::Px);
        let px = px(length.unit).filter(|_| is_absolute)?;
        Some(length.number * px * MM_PER_INCH / PX_PER_INCH)
    };
    let view_box = root
        .attribute("viewBox")
        .and_then(|text| text.parse::<ViewBox>().ok());
    let (Some(view_box), Some(width_mm), Some(height_mm)) =
        (view_box, side_mm("width"), side_mm("height"))
    else {
        return Err(unsized_file());
    };
    let (across, down) = (width_mm / view_box.w, height_mm / view_box.h);
    if (across - down).abs() * view_box.w.max(view_box.h) > VERIFY_MM {
        let message = format!(
            "is stretched: a unit of its viewBox is {across:.4} mm wide and {down:.4} mm high"
        );
        return Err(unfit(
            file,
            &message,
            "say how wide the shape is, like width = \"2 in\"",
        ));
    }
    Ok(across)
}

/// Returns the map from the element's units to those of the outermost element.
fn to_root(file: &str, node: &Node<'_, '_>) -> Result<Affine, Fault> {
    let mut map = Affine::IDENTITY;
    for ancestor in node.ancestors().filter(Node::is_element) {
        if ancestor.tag_name().name() == "svg" && ancestor.parent_element().is_some() {
            return Err(unfit(
                file,
                "has the shape in an inner <svg>",
                "move the shape out of it",
            ));
        }
        if let Some(text) = ancestor.attribute("transform") {
            let own = transform(text).ok_or_else(|| {
                let message = format!(
                    "has {} with transform=\"{text}\", which cannot be read",
                    describe(&ancestor)
                );
                unfit(file, &message, "save the drawing again as plain SVG")
            })?;
            map = own * map;
        }
    }
    Ok(map)
}

fn transform(text: &str) -> Option<Affine> {
    let mut map = Affine::IDENTITY;
    for token in TransformListParser::from(text) {
        map *= match token.ok()? {
            TransformListToken::Matrix { a, b, c, d, e, f } => Affine::new([a, b, c, d, e, f]),
            TransformListToken::Translate { tx, ty } => Affine::translate((tx, ty)),
            TransformListToken::Scale { sx, sy } => Affine::scale_non_uniform(sx, sy),
            TransformListToken::Rotate { angle } => {
                let (sin, cos) = turn(angle)?.sin_cos();
                Affine::new([cos, sin, -sin, cos, 0.0, 0.0])
            }
            TransformListToken::SkewX { angle } => {
                Affine::new([1.0, 0.0, slope(angle)?, 1.0, 0.0, 0.0])
            }
            TransformListToken::SkewY { angle } => {
                Affine::new([1.0, slope(angle)?, 0.0, 1.0, 0.0, 0.0])
            }
        };
    }
    Some(map)
}

fn turn(angle_deg: f64) -> Option<Angle> {
    angle_deg.is_finite().then(|| Angle::from_deg(angle_deg))
}

fn slope(angle_deg: f64) -> Option<f64> {
    let (sin, cos) = turn(angle_deg)?.sin_cos();
    Some(sin / cos)
}

fn unfit(file: &str, message: &str, hint: &str) -> Fault {
    Fault::new(code::SHAPE_SVG, format!("\"{file}\" {message}"), hint)
}

//! The `[piece.shape]` table.

use kurbo::{Affine, BezPath};

use super::asset::Library;
use super::code;
use super::panel::ShapePanel;
use super::table::Table;
use super::value::{LONGEST, Value};
use super::{strip, svg_outline};
use crate::geometry::path_data::parse_path_data;
use crate::geometry::{Outline, shape};
use crate::length::{Length, MM_PER_INCH, Size};
use crate::math::{Angle, VERIFY_MM};
use crate::project::{Maker, Operation};

/// A piece's shape with its box at the origin, and what the shape brings along.
#[derive(Debug, Clone)]
pub(super) struct Shape {
    pub(super) outline: Outline,
    pub(super) form: Form,
    /// Whether it is all that is printed of a sheet.
    pub(super) fills_sheet: bool,
    pub(super) panels: Vec<ShapePanel>,
    pub(super) operations: Vec<Operation>,
}

/// What is exactly known of a shape, so that a layer by reveal is exact too.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    Rectangle {
        width: Length,
        height: Length,
    },
    Rounded {
        width: Length,
        height: Length,
        radius: Length,
    },
    Circle {
        diameter: Length,
    },
    Other,
}

impl Shape {
    /// Returns the shape of an exact form; `None` for [`Form::Other`] and for sizes that are not greater than zero.
    pub(super) fn of_form(form: Form) -> Option<Self> {
        let mm = Length::to_mm;
        let outline = match form {
            Form::Rectangle { width, height } => shape::rectangle(mm(width), mm(height)),
            Form::Rounded {
                width,
                height,
                radius,
            } => shape::rounded_rectangle(mm(width), mm(height), mm(radius)),
            Form::Circle { diameter } => shape::circle(mm(diameter)),
            Form::Other => return None,
        };
        outline.ok().map(|outline| Self::new(outline, form))
    }

    /// Returns the shape of an outline, moved so that its box lies at the origin.
    pub(super) fn of_outline(outline: &Outline) -> Self {
        let to_origin = Affine::translate(-outline.bounds().origin().to_vec2());
        Self::new(outline.transformed(to_origin), Form::Other)
    }

    fn new(outline: Outline, form: Form) -> Self {
        Self {
            outline,
            form,
            fills_sheet: false,
            panels: Vec::new(),
            operations: Vec::new(),
        }
    }
}

#[derive(Debug, Clone, Copy)]
enum Kind {
    Rectangle,
    RoundedRectangle,
    Strip,
    Circle,
    Ellipse,
    Polygon,
    Path,
    Svg,
    Sheet,
}

const KINDS: &[(&str, Kind)] = &[
    ("rectangle", Kind::Rectangle),
    ("rounded-rectangle", Kind::RoundedRectangle),
    ("strip", Kind::Strip),
    ("circle", Kind::Circle),
    ("ellipse", Kind::Ellipse),
    ("polygon", Kind::Polygon),
    ("path", Kind::Path),
    ("svg", Kind::Svg),
    ("sheet", Kind::Sheet),
];

/// The kinds that an offcut or a finished shape can have: all but those that bring creases along. The last one needs a file.
const FLAT_KINDS: &[(&str, Kind)] = &[
    ("rectangle", Kind::Rectangle),
    ("rounded-rectangle", Kind::RoundedRectangle),
    ("circle", Kind::Circle),
    ("ellipse", Kind::Ellipse),
    ("polygon", Kind::Polygon),
    ("path", Kind::Path),
    ("svg", Kind::Svg),
];

/// Millimetres in one unit of path data.
const UNITS: &[(&str, f64)] = &[("mm", 1.0), ("in", MM_PER_INCH)];

/// Reads a shape; `maker` creases a strip that does not say who does, and `sheet` is the part of the piece's sheet that is printed, if that
/// is known.
pub(super) fn read(
    table: &Table<'_>,
    library: &Library<'_>,
    maker: Maker,
    sheet: impl FnOnce() -> Option<Shape>,
) -> Option<Shape> {
    let kind = table.required("kind", "kind = \"rectangle\"", |v| v.choice(KINDS))?;
    if matches!(kind, Kind::Sheet) {
        table.close();
        return sheet();
    }
    read_kind(table, kind, Some(library), maker)
}

/// Reads a shape without creases; from a drawing only where there is a library.
pub(super) fn read_flat(table: &Table<'_>, library: Option<&Library<'_>>) -> Option<Shape> {
    let kinds = match library {
        Some(_) => FLAT_KINDS,
        None => &FLAT_KINDS[..FLAT_KINDS.len() - 1],
    };
    let kind = table.required("kind", "kind = \"path\"", |v| v.choice(kinds))?;
    read_kind(table, kind, library, Maker::Machine)
}

fn read_kind(
    table: &Table<'_>,
    kind: Kind,
    library: Option<&Library<'_>>,
    maker: Maker,
) -> Option<Shape> {
    let shape = match kind {
        Kind::Rectangle => rectangle(table),
        Kind::RoundedRectangle => rounded_rectangle(table),
        Kind::Strip => strip::read(table, maker),
        Kind::Circle => circle(table),
        Kind::Ellipse => ellipse(table),
        Kind::Polygon => polygon(table),
        Kind::Path => path(table),
        Kind::Svg => library.and_then(|library| svg_outline::read(table, library)),
        // What an offcut or a punch leaves is no whole sheet, and a piece's has been read before.
        Kind::Sheet => None,
    };
    table.close();
    shape
}

fn rectangle(table: &Table<'_>) -> Option<Shape> {
    let (width, height) = read_box(table)?;
    Shape::of_form(Form::Rectangle {
        width: width.length(),
        height: height.length(),
    })
}

fn rounded_rectangle(table: &Table<'_>) -> Option<Shape> {
    let size = read_box(table);
    table.required("radius", "radius = \"1/4 in\"", |value| {
        let radius = value.length()?;
        let (width, height) = size?;
        let (width, height) = (width.length(), height.length());
        let short = width.min(height);
        if radius * 2 > short {
            let show = |length| value.mistakes().show(length);
            let most = Length::from_nm(short.nm() / 2);
            let message = format!(
                "a corner radius of {} is more than half the short side of {}",
                show(radius),
                show(short)
            );
            return value.fail(
                code::SHAPE_RADIUS,
                message,
                format!("write at most radius = \"{}\"", show(most)),
            );
        }
        Shape::of_form(if radius == Length::ZERO {
            Form::Rectangle { width, height }
        } else {
            Form::Rounded {
                width,
                height,
                radius,
            }
        })
    })
}

fn circle(table: &Table<'_>) -> Option<Shape> {
    let diameter = table.required("diameter", "diameter = \"2 in\"", Value::size)?;
    Shape::of_form(Form::Circle {
        diameter: diameter.length(),
    })
}

fn ellipse(table: &Table<'_>) -> Option<Shape> {
    let (width, height) = read_box(table)?;
    let outline =
        shape::ellipse(width.to_mm(), height.to_mm()).expect("sizes are greater than zero");
    Some(Shape::new(outline, Form::Other))
}

/// Reads width and height, or both as one size.
fn read_box(table: &Table<'_>) -> Option<(Size, Size)> {
    table.know(&["size", "width", "height"]);
    if table.has("size") {
        for key in ["width", "height"] {
            if table.has(key) {
                table.conflict(
                    key,
                    "stands beside size, which holds both lengths",
                    &format!("leave {key} out"),
                );
            }
        }
        return table.optional("size", Value::pair);
    }
    let width = table.required("width", "width = \"2 1/4 in\"", Value::size);
    let height = table.required("height", "height = \"3 1/2 in\"", Value::size);
    Some((width?, height?))
}

/// The ways to give a regular polygon's size.
const POLYGON_SIZES: [&str; 3] = ["side", "across_corners", "across_flats"];

fn polygon(table: &Table<'_>) -> Option<Shape> {
    table.know(&POLYGON_SIZES);
    let sides = table.required("sides", "sides = 6", |v| v.whole(3..=24));
    let mut given = POLYGON_SIZES.into_iter().filter(|key| table.has(key));
    let Some(key) = given.next() else {
        return table.missing("side, across_corners or across_flats", "side = \"1 in\"");
    };
    for second in given {
        table.conflict(
            second,
            &format!("stands beside {key}"),
            "give one size of the polygon only",
        );
    }
    table.optional(key, |value| {
        let (size, sides) = (value.size()?, sides?);
        let diameter_mm = circle_through_corners_mm(value, size.to_mm(), sides)?;
        if diameter_mm > LONGEST.to_mm() {
            let message = format!(
                "the polygon comes to {}, more than {}",
                value.mistakes().show_mm(diameter_mm),
                value.mistakes().show(LONGEST)
            );
            return value.fail(code::NUMBER_RANGE, message, "check the number and its unit");
        }
        let outline = shape::regular_polygon(sides, diameter_mm)
            .expect("three corners or more, of some size");
        Some(Shape::new(outline, Form::Other))
    })
}

/// Returns the diameter of the circle through the corners of a regular polygon that is given by one of its sizes.
fn circle_through_corners_mm(value: &Value<'_>, size_mm: f64, sides: u32) -> Option<f64> {
    let (sin, cos) = Angle::from_deg(180.0 / f64::from(sides)).sin_cos();
    match value.key() {
        "side" => Some(size_mm / sin),
        "across_flats" if sides % 2 == 1 => {
            let message = format!(
                "a polygon of {sides} sides has a corner opposite each side, so no size across flats"
            );
            value.fail(
                code::SHAPE_FLATS,
                message,
                "give side or across_corners instead",
            )
        }
        "across_flats" => Some(size_mm / cos),
        // With an odd number no two corners face each other: a ruler measures to one of the two farthest, half a step aside.
        _ if sides % 2 == 1 => {
            let (_, cos) = Angle::from_deg(90.0 / f64::from(sides)).sin_cos();
            Some(size_mm / cos)
        }
        _ => Some(size_mm),
    }
}

fn path(table: &Table<'_>) -> Option<Shape> {
    let unit_mm = read_unit(table);
    table.required("data", "data = \"M 0 0 H 40 V 60 H 0 Z\"", |value| {
        let path = read_path(value, unit_mm)?;
        outline_at(value, &path)
    })
}

/// Reads path data; numbers are multiplied by `unit_mm`, and nothing is returned if that is not known.
pub(super) fn read_path(value: &Value<'_>, unit_mm: Option<f64>) -> Option<BezPath> {
    match parse_path_data(value.raw_text()?, unit_mm.unwrap_or(1.0)) {
        Ok(path) => unit_mm.map(|_| path),
        Err(error) => {
            let hint = "write path data like \"M 0 0 H 40 V 60 H 0 Z\"";
            value.fail(
                code::SHAPE_PATH,
                format!("{}: {}", value.key(), error.message()),
                hint,
            )
        }
    }
}

/// Reads the unit that path data is given in, as millimetres.
pub(super) fn read_unit(table: &Table<'_>) -> Option<f64> {
    table.required("unit", "unit = \"mm\" or unit = \"in\"", |v| {
        v.choice(UNITS)
    })
}

/// Makes a shape of a path, blaming a value for what is wrong with it.
pub(super) fn outline_at(value: &Value<'_>, path: &BezPath) -> Option<Shape> {
    let outline = match Outline::new(path, VERIFY_MM) {
        Ok(outline) => outline,
        Err(error) => {
            let message = error.message(|length_mm| value.mistakes().show_mm(length_mm));
            return value.fail(code::SHAPE_OUTLINE, message, error.hint());
        }
    };
    let bounds = outline.bounds();
    let reach_mm = bounds.width().max(bounds.height());
    if reach_mm > LONGEST.to_mm() {
        let message = format!(
            "the outline comes to {}, more than {}",
            value.mistakes().show_mm(reach_mm),
            value.mistakes().show(LONGEST)
        );
        return value.fail(
            code::NUMBER_RANGE,
            message,
            "check the unit the path is given in",
        );
    }
    Some(Shape::of_outline(&outline))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::load::document::Document;
    use crate::load::mistakes::Mistakes;

    fn polygon_of(text: &str) -> Outline {
        let mistakes = Mistakes::new("project.toml", text);
        let document = Document::parse(&mistakes).unwrap();
        polygon(&document.root(&mistakes)).unwrap().outline
    }

    #[test]
    fn across_corners_is_what_a_ruler_measures_between_the_two_farthest() {
        // The farthest corners of a triangle are the ends of a side; a hexagon's face each other. By hand: a triangle of side
        // 40 is 40 wide and 40 sin 60 deg = 34.641 high; a hexagon of 40 stands 40 high and is 40 cos 30 deg = 34.641 wide.
        // A pentagon's diagonal lies across it: 50 wide.
        for (text, width_mm, height_mm) in [
            ("sides = 3\nacross_corners = \"40 mm\"", 40.0, 34.641),
            ("sides = 6\nacross_corners = \"40 mm\"", 34.641, 40.0),
            ("sides = 5\nacross_corners = \"50 mm\"", 50.0, 47.553),
        ] {
            let bounds = polygon_of(text).bounds();
            assert!(
                (bounds.width() - width_mm).abs() < 1e-3,
                "{text}: {bounds:?}"
            );
            assert!(
                (bounds.height() - height_mm).abs() < 1e-3,
                "{text}: {bounds:?}"
            );
        }
    }
}

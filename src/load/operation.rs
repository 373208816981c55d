//! The `[[piece.operation]]` tables.

use kurbo::{Affine, BezPath, Line, ParamCurve, PathSeg, Point};

use super::code;
use super::shape::{read_path, read_unit};
use super::table::Table;
use super::value::Value;
use crate::diagnostic::{Diagnostic, Origin};
use crate::geometry::clip_line::{clip_horizontal, clip_segment, clip_vertical};
use crate::geometry::offset::offset;
use crate::geometry::{Outline, OutlineError, shape};
use crate::length::{Length, Size};
use crate::math::{Angle, COINCIDENT_MM, VERIFY_MM, hypot};
use crate::project::{CutBy, Fold, Maker, Operation, OperationKind};

pub(super) const FOLDS: &[(&str, Fold)] = &[("valley", Fold::Valley), ("mountain", Fold::Mountain)];
pub(super) const MAKERS: &[(&str, Maker)] = &[
    ("machine", Maker::Machine),
    ("hand", Maker::Hand),
    ("die", Maker::Die),
];

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Cut,
    Crease,
    Perforation,
    PartialCut,
    Hole,
    Line,
}

const KINDS: &[(&str, Kind)] = &[
    ("cut", Kind::Cut),
    ("crease", Kind::Crease),
    ("score", Kind::Crease),
    ("perforation", Kind::Perforation),
    ("partial-cut", Kind::PartialCut),
    ("hole", Kind::Hole),
    ("line", Kind::Line),
];

/// Reads one operation on a piece of this outline; `maker` does it unless it says who does.
///
/// `outline` is `None` where the piece has none that could be read; then only the table's own mistakes are found.
pub(super) fn read(
    table: &Table<'_>,
    outline: Option<&Outline>,
    maker: Maker,
) -> Option<Operation> {
    let kind = table.required("kind", "kind = \"crease\"", |v| v.choice(KINDS))?;
    let path = match kind {
        Kind::Hole => read_hole(table, outline),
        Kind::Cut | Kind::Crease | Kind::Perforation | Kind::PartialCut | Kind::Line => {
            read_line(table, outline)
        }
    };
    let details = read_details(table, kind);
    let folds_to = match kind {
        Kind::Crease => table.optional("folds_to", read_fold_angle),
        Kind::Cut | Kind::Perforation | Kind::PartialCut | Kind::Hole | Kind::Line => None,
    };
    let by = table.optional("by", |v| v.choice(MAKERS)).unwrap_or(maker);
    table.close();
    Some(Operation {
        kind: details?,
        path: path?,
        folds_to,
        by,
        origin: table.origin(),
    })
}

/// Reads how far a crease is folded: more than nothing, and at most flat onto itself.
pub(super) fn read_fold_angle(value: &Value<'_>) -> Option<Angle> {
    let angle_deg = value.degrees()?;
    if angle_deg > 0.0 && angle_deg <= 180.0 {
        return Some(Angle::from_deg(angle_deg));
    }
    let message = format!("a crease folded by {angle_deg} deg is not between 0 and 180 deg");
    let hint =
        "write folds_to = \"90 deg\", and fold = \"mountain\" or \"valley\" for the direction";
    value.fail(code::NUMBER_RANGE, message, hint)
}

fn read_details(table: &Table<'_>, kind: Kind) -> Option<OperationKind> {
    match kind {
        Kind::Cut => Some(OperationKind::Cut),
        Kind::PartialCut => Some(OperationKind::PartialCut),
        Kind::Hole => Some(OperationKind::Hole),
        Kind::Line => Some(OperationKind::Line),
        Kind::Crease => {
            let fold = table
                .optional("fold", |v| v.choice(FOLDS))
                .unwrap_or(Fold::Valley);
            Some(OperationKind::Crease { fold })
        }
        Kind::Perforation => {
            let cut = table.required("cut_length", "cut_length = \"3 mm\"", Value::size);
            let gap = table.required("gap", "gap = \"1 mm\"", Value::size);
            Some(OperationKind::Perforation {
                cut: cut?,
                gap: gap?,
            })
        }
    }
}

/// Warns of machine work in a job that is cut by trimmer.
pub(super) fn warn_of_trimmer(
    table: &Table<'_>,
    cut_by: CutBy,
    by: Maker,
    what: &str,
    origin: &Origin,
) {
    if cut_by == CutBy::Trimmer && by == Maker::Machine {
        let message = format!("{what} is done by machine, but the job is cut by trimmer");
        table.mistakes().push(
            Diagnostic::warning(code::OPERATION_TRIMMER, message)
                .at(origin)
                .hint("write cut_by = \"machine\" in [job], or \"hand\" or \"die\" here"),
        );
    }
}

/// The keys of which one tells where a line runs.
const LINE_PLACES: [&str; 4] = ["at_x", "at_y", "from", "path"];
/// The keys of which one tells where a hole is.
const HOLE_PLACES: [&str; 2] = ["at", "path"];

/// Returns the one key of several that the table has, and reports if there is none or more.
fn only_place(table: &Table<'_>, keys: &[&'static str], example: &str) -> Option<&'static str> {
    let mut given = keys.iter().copied().filter(|key| table.has(key));
    let Some(first) = given.next() else {
        let message = format!(
            "{} does not say where it is: it has none of {}",
            table.name(),
            keys.join(", ")
        );
        return table.mistakes().fail(
            code::KEY_MISSING,
            &table.origin(),
            message,
            format!("add {example}"),
        );
    };
    for second in given {
        table.conflict(
            second,
            &format!("stands beside {first}"),
            "give one place only",
        );
    }
    Some(first)
}

fn read_line(table: &Table<'_>, outline: Option<&Outline>) -> Option<BezPath> {
    table.know(&["at_x", "at_y", "from", "to", "path", "unit"]);
    match only_place(
        table,
        &LINE_PLACES,
        "at_y = \"2 in\", or from = \"0 in, 1 in\" and to = \"2 in, 1 in\"",
    )? {
        "at_x" => table.optional("at_x", |value| read_across(value, outline)),
        "at_y" => table.optional("at_y", |value| read_across(value, outline)),
        "from" => {
            let from = table.optional("from", Value::point);
            let to = table.required("to", "to = \"2 in, 1 in\"", Value::point);
            let (from, to) = (from?, to?);
            let mut path = BezPath::new();
            path.move_to((from.0.to_mm(), from.1.to_mm()));
            path.line_to((to.0.to_mm(), to.1.to_mm()));
            refuse_outside(table, "from", &path, outline?)
        }
        _ => {
            let unit_mm = read_unit(table);
            let path = table.optional("path", |value| read_path(value, unit_mm))?;
            refuse_outside(table, "path", &path, outline?)
        }
    }
}

/// Reads a line from edge to edge at a distance from the left or the top.
fn read_across(value: &Value<'_>, outline: Option<&Outline>) -> Option<BezPath> {
    let at = value.length()?;
    let outline = outline?;
    let (parts, extent_mm) = match value.key() {
        "at_x" => (clip_vertical(outline, at.to_mm()), outline.bounds().width()),
        _ => (
            clip_horizontal(outline, at.to_mm()),
            outline.bounds().height(),
        ),
    };
    if parts.is_empty() {
        let show = |length| value.mistakes().show(length);
        let extent = value.mistakes().show_mm(extent_mm);
        let side = if value.key() == "at_x" {
            "wide"
        } else {
            "high"
        };
        let message = format!(
            "{} does not cross the piece, which is {extent} {side}",
            value.typed(&format!("\"{}\"", show(at)))
        );
        let hint = format!("write a length between {} and {extent}", show(Length::ZERO));
        return value.fail(code::OPERATION_OUTSIDE, message, hint);
    }
    let mut path = BezPath::new();
    for part in parts {
        path.move_to(part.p0);
        path.line_to(part.p1);
    }
    Some(path)
}

fn read_hole(table: &Table<'_>, outline: Option<&Outline>) -> Option<BezPath> {
    table.know(&["at", "diameter", "path", "unit"]);
    match only_place(
        table,
        &HOLE_PLACES,
        "at = \"1 in, 1 in\" and diameter = \"5 mm\"",
    )? {
        "at" => {
            let centre = table.optional("at", Value::point);
            let diameter = table.required("diameter", "diameter = \"5 mm\"", Value::size);
            round_hole(table, centre?, diameter?, outline?)
        }
        _ => {
            let unit_mm = read_unit(table);
            let path =
                table.optional("path", |value| closed(value, &read_path(value, unit_mm)?))?;
            let outline = outline?;
            match hole_outside(&path, outline) {
                None => Some(path),
                Some(at) => outside(table, "path", at, "must leave paper all round", outline),
            }
        }
    }
}

fn round_hole(
    table: &Table<'_>,
    centre: (Length, Length),
    diameter: Size,
    outline: &Outline,
) -> Option<BezPath> {
    let radius_mm = diameter.to_mm() / 2.0;
    let circle = shape::circle(diameter.to_mm()).expect("a size is greater than zero");
    let to_place = Affine::translate((centre.0.to_mm() - radius_mm, centre.1.to_mm() - radius_mm));
    let path = to_place * circle.outer();
    if hole_outside(&path, outline).is_none() {
        return Some(path);
    }
    let show = |length| table.mistakes().show(length);
    let message = format!(
        "the hole does not leave paper all round: its centre at {}, {} is not {} inside the piece",
        show(centre.0),
        show(centre.1),
        table.mistakes().show_mm(radius_mm)
    );
    let hint = format!(
        "move the hole or make it smaller; {}",
        extent(table, outline)
    );
    table.mistakes().fail(
        code::OPERATION_OUTSIDE,
        &table.origin_of("at"),
        message,
        hint,
    )
}

/// Returns the path of a hole, which must be an outline without holes of its own.
fn closed(value: &Value<'_>, path: &BezPath) -> Option<BezPath> {
    match Outline::new(path, VERIFY_MM) {
        Ok(hole) if hole.holes().is_empty() => Some(hole.outer().clone()),
        Ok(_) => value.fail(
            code::SHAPE_OUTLINE,
            "the path of a hole has more than one closed line",
            "write one operation for each hole",
        ),
        Err(OutlineError::Open { gap_mm, .. }) => {
            let gap = value.mistakes().show_mm(gap_mm);
            let message = format!("the hole is open: its path ends {gap} from where it starts");
            value.fail(code::OPERATION_OPEN, message, "end the path with Z")
        }
        Err(error) => {
            let message = error.message(|length_mm| value.mistakes().show_mm(length_mm));
            value.fail(code::SHAPE_OUTLINE, message, error.hint())
        }
    }
}

/// A line may reach the edge, and pass it by rounding: the grown outline must hold all of it.
fn refuse_outside(
    table: &Table<'_>,
    key: &'static str,
    path: &BezPath,
    outline: &Outline,
) -> Option<BezPath> {
    let grown = offset(outline, VERIFY_MM);
    match first_outside(path, &grown) {
        None => Some(path.clone()),
        Some(at) => outside(table, key, at, "must stay on the piece", outline),
    }
}

/// Returns a point of a hole that leaves no paper: the shrunk outline must hold all of it.
fn hole_outside(path: &BezPath, outline: &Outline) -> Option<Point> {
    first_outside(path, &offset(outline, -VERIFY_MM))
}

fn outside(
    table: &Table<'_>,
    key: &'static str,
    at: Point,
    rule: &str,
    outline: &Outline,
) -> Option<BezPath> {
    let show = |mm: f64| table.mistakes().show_mm(mm);
    let message = format!(
        "the operation {rule}, but {}, {} lies outside",
        show(at.x),
        show(at.y)
    );
    let hint = extent(table, outline);
    table.mistakes().fail(
        code::OPERATION_OUTSIDE,
        &table.origin_of(key),
        message,
        hint,
    )
}

fn extent(table: &Table<'_>, outline: &Outline) -> String {
    let show = |mm: f64| table.mistakes().show_mm(mm);
    let bounds = outline.bounds();
    format!(
        "the piece is {} wide and {} high, measured from its top left corner",
        show(bounds.width()),
        show(bounds.height())
    )
}

/// Returns a point of the path that none of the outlines holds: the end of a line if that is outside.
fn first_outside(path: &BezPath, outlines: &[Outline]) -> Option<Point> {
    let lines = path.segments().flat_map(straight_parts);
    lines.into_iter().find_map(|line| {
        let reached = reach(line, outlines)?;
        let is_held = |point: &Point| outlines.iter().any(|outline| outline.contains(*point));
        Some(
            [line.p0, line.p1]
                .into_iter()
                .find(|end| !is_held(end))
                .unwrap_or(reached),
        )
    })
}

/// Returns how far a line stays on the outlines, or `None` if that is to its end.
fn reach(line: Line, outlines: &[Outline]) -> Option<Point> {
    let length_mm = from_start(line, line.p1);
    if length_mm <= COINCIDENT_MM {
        return None;
    }
    let mut inside: Vec<Line> = outlines
        .iter()
        .flat_map(|outline| clip_segment(outline, line))
        .collect();
    inside.sort_by(|a, b| from_start(line, a.p0).total_cmp(&from_start(line, b.p0)));
    let mut reached = line.p0;
    for part in inside {
        if from_start(line, part.p0) > from_start(line, reached) + COINCIDENT_MM {
            break;
        }
        reached = part.p1;
    }
    (from_start(line, reached) < length_mm - COINCIDENT_MM).then_some(reached)
}

fn from_start(line: Line, point: Point) -> f64 {
    hypot(point.x - line.p0.x, point.y - line.p0.y)
}

/// Curves are looked at as 32 straight parts, which follow an eighth of a circle of 100 mm to 0.01 mm.
fn straight_parts(segment: PathSeg) -> Vec<Line> {
    const PARTS: u32 = 32;
    match segment {
        PathSeg::Line(line) => vec![line],
        PathSeg::Quad(_) | PathSeg::Cubic(_) => (0..PARTS)
            .map(|i| {
                let at = |n: u32| segment.eval(f64::from(n) / f64::from(PARTS));
                Line::new(at(i), at(i + 1))
            })
            .collect(),
    }
}

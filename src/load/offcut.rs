//! What only offcuts have: a whole sheet they come from, and an outline of any shape.
//!
//! An offcut lies the way its whole sheet does, so that grain and pattern run alike on both.

use kurbo::BezPath;

use super::asset::Library;
use super::code;
use super::format::{self, Sheet};
use super::shape;
use super::table::Table;
use super::value::Value;
use crate::geometry::Outline;
use crate::length::{Length, Size};
use crate::project::StockFace;

/// Reads the size of a sheet from `format`, or that of an offcut from its `outline`, which comes along unless it is a rectangle.
pub(super) fn read_sheet(
    table: &Table<'_>,
    id: &str,
    library: &Library<'_>,
) -> (Option<Sheet>, Option<Outline>) {
    if !table.has("outline") {
        return (format::read(table, id), None);
    }
    table.know(&["format", "orientation"]);
    for key in ["format", "orientation"] {
        if table.has(key) {
            let hint = format!("leave {key} out");
            table.conflict(key, "stands beside outline, which gives the size", &hint);
        }
    }
    if !table.has("offcut_of") {
        let message = "an outline is given for a whole sheet";
        let hint = "give a whole sheet its format, or an offcut offcut_of = \"...\"";
        let origin = table.origin_of("outline");
        table
            .mistakes()
            .fail::<()>(code::STOCK_OUTLINE, &origin, message, hint);
    }
    let Some(outline) = table.optional("outline", |value| read_outline(value, Some(library)))
    else {
        return (None, None);
    };
    let sheet = size_of(&outline).map(|(width, height)| Sheet {
        format: format::name_of(id, width, height),
        width,
        height,
    });
    (sheet, Some(outline).filter(|o| !o.is_rectangle()))
}

/// Reads a list of corners, or a table as pieces have it for their shape; from a drawing only where there is a library.
pub(super) fn read_outline(value: &Value<'_>, library: Option<&Library<'_>>) -> Option<Outline> {
    if let Some(table) = value.table() {
        return shape::read_flat(&table, library).map(|shape| shape.outline);
    }
    let corners = value.list("[\"0 in, 0 in\", \"4 in, 0 in\", \"0 in, 3 in\"]")?;
    let points: Vec<_> = corners.iter().map(Value::point).collect();
    let points: Option<Vec<_>> = points.into_iter().collect();
    let mut path = BezPath::new();
    for (i, (x, y)) in points?.into_iter().enumerate() {
        let corner = (x.to_mm(), y.to_mm());
        if i == 0 {
            path.move_to(corner);
        } else {
            path.line_to(corner);
        }
    }
    if !path.is_empty() {
        path.close_path();
    }
    shape::outline_at(value, &path).map(|shape| shape.outline)
}

/// Width and height of the box of an outline.
pub(super) fn size_of(outline: &Outline) -> Option<(Size, Size)> {
    let bounds = outline.bounds();
    let side = |mm| Size::new(Length::nearest_mm(mm));
    Some((side(bounds.width())?, side(bounds.height())?))
}

/// A face of an offcut as its whole sheet has it; one with an outline is not printed.
pub(super) fn face_of(whole: &StockFace, outline: Option<&Outline>) -> StockFace {
    match (whole, outline) {
        (StockFace::Printable, Some(_)) => StockFace::Plain,
        (StockFace::Printable | StockFace::Plain | StockFace::Patterned { .. }, _) => whole.clone(),
    }
}

/// An offcut with an outline cannot be fed straight into a printer.
pub(super) fn refuse_printing(table: &Table<'_>, face_a: &StockFace, face_b: &StockFace) {
    for (key, face) in [("face_a", face_a), ("face_b", face_b)] {
        if *face == StockFace::Printable {
            let message = format!("{key} is printable, but an offcut with an outline is only cut");
            let hint =
                format!("leave {key} out, or give the offcut a format instead of an outline");
            let origin = table.origin_of(key);
            table
                .mistakes()
                .fail::<()>(code::STOCK_OUTLINE, &origin, message, hint);
        }
    }
}

/// An offcut, whose size stands at `key`, is no larger than its whole sheet, turned or not.
pub(super) fn refuse_larger(
    table: &Table<'_>,
    key: &'static str,
    (width, height): (Size, Size),
    (whole_width, whole_height, whole_id): (Size, Size, &str),
) {
    let sides = |w: Size, h: Size| (w.min(h), w.max(h));
    let (short, long) = sides(width, height);
    let (whole_short, whole_long) = sides(whole_width, whole_height);
    if short <= whole_short && long <= whole_long {
        return;
    }
    let show = |size: Size| table.mistakes().show(size.length());
    let message = format!(
        "an offcut of {} x {} is larger than the {} x {} of \"{whole_id}\"",
        show(width),
        show(height),
        show(whole_width),
        show(whole_height),
    );
    let hint = if key == "outline" {
        "measure the offcut again, or name the stock it comes from".to_owned()
    } else {
        format!("give the offcut its own size, like {key} = \"4 x 6 in\"")
    };
    let origin = table.origin_of(key);
    table
        .mistakes()
        .fail::<()>(code::STOCK_OFFCUT, &origin, message, hint);
}

//! The `[piece.finish]` table: a rough piece gets its shape by a punch or a die.

use kurbo::{Affine, Rect};

use super::asset::Library;
use super::code;
use super::ids::Ids;
use super::mistakes::Mistakes;
use super::shape::{self, Shape};
use super::table::Table;
use super::tool::Tools;
use super::treatment::bounds_of;
use super::value::Value;
use crate::diagnostic::Diagnostic;
use crate::geometry::Outline;
use crate::geometry::areas::{thickness_of, without};
use crate::math::{FLATTEN_MM, VERIFY_MM};
use crate::project::{Edge, Finish, Piece, Stock, Tool, ToolKind};

/// More than comes out of any die.
const MOST_ALSO: u32 = 999;

/// What a finish is read with.
#[derive(Debug, Clone, Copy)]
pub(super) struct Finishable<'s> {
    pub(super) id: &'s str,
    /// The rough shape.
    pub(super) rough: Option<&'s Shape>,
    pub(super) tools: &'s Tools,
    pub(super) pieces: &'s Ids,
    pub(super) library: &'s Library<'s>,
}

/// Reads how a piece gets its shape; `None` if something is wrong with it.
pub(super) fn read(table: &Table<'_>, on: Finishable<'_>) -> Option<Finish> {
    let tool = table.required("tool", "tool = \"leaf-punch\"", |v| {
        on.tools.find(v, &["punch", "die"])
    });
    let finished = match table.table("shape") {
        Some(own) => shape::read_flat(&own, Some(on.library)),
        None if table.has("shape") => None,
        None => table.missing(
            "shape",
            "shape = { kind = \"circle\", diameter = \"1 in\" }",
        ),
    };
    let at = table.optional("at", Value::point);
    let is_placed = table.has("at");
    let also = match table.tables("also") {
        all if all.is_empty() => (!table.has("also")).then(Vec::new),
        all => read_also(&all, on),
    };
    table.close();
    let finished = finished?.outline;
    let rough = &on.rough?.outline;
    let (bounds, own) = (rough.bounds(), finished.bounds());
    let corner = match (is_placed, at) {
        (true, None) => return None,
        (_, Some((x, y))) => (x.to_mm(), y.to_mm()),
        (false, None) => {
            let middle = bounds.center() - own.center();
            (middle.x, middle.y)
        }
    };
    let finished = finished.transformed(Affine::translate(corner));
    refuse_outside(table, &finished, rough)?;
    let tool = tool?;
    refuse_beyond(
        table,
        on.tools.all[tool].as_ref()?,
        finished.bounds(),
        bounds,
    )?;
    Some(Finish {
        tool,
        finished,
        also: also?,
        origin: table.origin(),
    })
}

/// Reads what else comes out of one pass.
fn read_also(tables: &[Table<'_>], on: Finishable<'_>) -> Option<Vec<(usize, u32)>> {
    let read = |table: &Table<'_>| {
        let piece = table.required("piece", "piece = \"leaf\"", |value| {
            let piece = on.pieces.find(value)?;
            if on.pieces.get(piece) != on.id {
                return Some(piece);
            }
            let message = format!("one pass gives one \"{}\", which is not said again", on.id);
            let hint = "leave it out; per_copy says how many a copy needs";
            value.fail(code::FINISH_ALSO, message, hint)
        });
        let count = match table.has("count") {
            true => table.optional("count", |v| v.whole(1..=MOST_ALSO)),
            false => {
                table.know(&["count"]);
                Some(1)
            }
        };
        table.close();
        Some((piece?, count?))
    };
    let read: Vec<_> = tables.iter().map(read).collect();
    read.into_iter().collect()
}

fn refuse_outside(table: &Table<'_>, finished: &Outline, rough: &Outline) -> Option<()> {
    let rings = |outline: &Outline| outline.flattened(FLATTEN_MM);
    let off = without(&rings(finished), &rings(rough));
    let off = off
        .iter()
        .filter(|part| thickness_of(part) > FLATTEN_MM + VERIFY_MM);
    let Some(off) = off.map(|part| bounds_of(part)).reduce(|a, b| a.union(b)) else {
        return Some(());
    };
    let show = |mm: f64| table.mistakes().show_mm(mm);
    let message = format!(
        "{} x {} of the finished shape lie off the rough piece, from {}, {}",
        show(off.width()),
        show(off.height()),
        show(off.x0),
        show(off.y0)
    );
    let (bounds, own) = (rough.bounds(), finished.bounds());
    let hint = format!(
        "the rough piece is {} x {} and the finished shape {} x {}: make [piece.shape] larger, or move the other by at",
        show(bounds.width()),
        show(bounds.height()),
        show(own.width()),
        show(own.height())
    );
    table.mistakes().fail(
        code::FINISH_OUTSIDE,
        &table.origin_of("shape"),
        message,
        hint,
    )
}

/// A punch reaches only so far from an edge of the paper, and a press takes paper only so wide.
fn refuse_beyond(table: &Table<'_>, tool: &Tool, own: Rect, rough: Rect) -> Option<()> {
    let show = |mm: f64| table.mistakes().show_mm(mm);
    let origin = table.origin_of("tool");
    match tool.kind {
        ToolKind::Punch { reach } => {
            let (edge, needs_mm) = nearest_edge(own, rough);
            if needs_mm <= reach.to_mm() + VERIFY_MM {
                return Some(());
            }
            let message = format!(
                "\"{}\" reaches {} from an edge, and the far side of the shape is {} from the nearest one, the {} edge",
                tool.id,
                table.mistakes().show(reach.length()),
                show(needs_mm),
                edge
            );
            let hint = format!(
                "move the shape {} towards that edge, or make [piece.shape] smaller there",
                show(needs_mm - reach.to_mm())
            );
            table
                .mistakes()
                .fail(code::FINISH_REACH, &origin, message, hint)
        }
        ToolKind::Die { press_width } => {
            let narrow_mm = rough.width().min(rough.height());
            if narrow_mm <= press_width.to_mm() + VERIFY_MM {
                return Some(());
            }
            let message = format!(
                "the rough piece is {} x {}, and the press of \"{}\" takes {}",
                show(rough.width()),
                show(rough.height()),
                tool.id,
                table.mistakes().show(press_width.length())
            );
            let hint = format!(
                "make [piece.shape] at most {} wide or high",
                table.mistakes().show(press_width.length())
            );
            table
                .mistakes()
                .fail(code::FINISH_REACH, &origin, message, hint)
        }
        ToolKind::ScoringBoard { .. } | ToolKind::Embosser { .. } => None,
    }
}

/// The edge of the paper that a punch is put on at, and how far it has to reach from there.
fn nearest_edge(own: Rect, rough: Rect) -> (&'static str, f64) {
    let reaches = [
        (Edge::Top, own.y1 - rough.y0),
        (Edge::Right, rough.x1 - own.x0),
        (Edge::Bottom, rough.y1 - own.y0),
        (Edge::Left, own.x1 - rough.x0),
    ];
    let nearest = reaches
        .into_iter()
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or((Edge::Top, 0.0));
    (nearest.0.name(), nearest.1)
}

/// What comes out of a pass is of the paper that went in, and gives nothing more itself.
pub(super) fn refuse_strange(
    pieces: &[Option<&Piece>],
    stocks: &[Option<Stock>],
    mistakes: &Mistakes<'_>,
) {
    for piece in pieces.iter().flatten() {
        let Some(finish) = &piece.finish else {
            continue;
        };
        for other in finish.also.iter().filter_map(|(i, _)| pieces[*i]) {
            let name = |stock: usize| stocks[stock].as_ref().map_or("", |s| s.id.as_str());
            let gives = other.finish.as_ref().is_some_and(|f| !f.also.is_empty());
            let message = if other.stock != piece.stock {
                format!(
                    "\"{}\" comes out of \"{}\", which is of \"{}\", and is of \"{}\" itself",
                    other.id,
                    piece.id,
                    name(piece.stock),
                    name(other.stock)
                )
            } else if gives {
                format!(
                    "\"{}\" comes out of \"{}\", and others come out of it again",
                    other.id, piece.id
                )
            } else {
                continue;
            };
            let mistake = Diagnostic::error(code::FINISH_ALSO, message)
                .at(&finish.origin)
                .related(&other.origin, "declared here")
                .hint("declare a piece of its own for what comes out besides");
            mistakes.push(mistake);
        }
    }
}

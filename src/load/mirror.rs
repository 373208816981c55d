//! The key `mirror` of a piece: whether it may lie front down.

use super::code;
use super::table::Table;
use super::value::Value;
use crate::project::{Maker, Operation, OperationKind, Stock, StockFace};

/// Reads whether a piece may lie front down, which wants a front and a back that nobody can tell apart.
pub(super) fn read(
    table: &Table<'_>,
    is_printed: bool,
    stock: Option<&Stock>,
    operations: &[Operation],
) -> bool {
    if table.optional("mirror", Value::boolean) != Some(true) {
        return false;
    }
    let printed = is_printed.then(|| "artwork tells its front from its back".to_owned());
    let difference = printed
        .or_else(|| stock.and_then(between_faces))
        .or_else(|| operations.iter().find_map(from_the_front));
    if let Some(difference) = difference {
        let message = format!("a piece cannot lie front down where {difference}");
        let hint = "leave mirror out";
        let origin = table.origin_of("mirror");
        table
            .mistakes()
            .fail::<()>(code::MIRROR_FACES, &origin, message, hint);
    }
    true
}

/// What tells the faces of a stock apart.
fn between_faces(stock: &Stock) -> Option<String> {
    let word = |face: &StockFace| match face {
        StockFace::Plain => "plain",
        StockFace::Printable => "printable",
        StockFace::Patterned { .. } => "patterned",
    };
    let (a, b) = (word(&stock.face_a), word(&stock.face_b));
    let difference = if a == b {
        format!("the pattern of \"{}\" would run the other way", stock.id)
    } else {
        format!("face_a of \"{}\" is {a} and face_b is {b}", stock.id)
    };
    (!stock.has_faces_alike()).then_some(difference)
}

/// What the machine does on one face only.
fn from_the_front(operation: &Operation) -> Option<String> {
    let name = operation.kind.name();
    match (operation.kind, operation.by) {
        (OperationKind::PartialCut | OperationKind::Line, Maker::Machine) => {
            Some(format!("a {name} is made on its front by machine"))
        }
        (OperationKind::PartialCut | OperationKind::Line, Maker::Hand | Maker::Die)
        | (
            OperationKind::Cut
            | OperationKind::Crease { .. }
            | OperationKind::Perforation { .. }
            | OperationKind::Hole,
            _,
        ) => None,
    }
}

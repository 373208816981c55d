//! The shape `kind = "sheet"`: all that a printer reaches of a sheet, printed to be cut up by hand.

use kurbo::{Point, Size as SizeMm};

use super::code;
use super::piece::Surroundings;
use super::shape::{Form, Shape};
use super::table::Table;
use crate::diagnostic::Origin;
use crate::length::{Length, Size};
use crate::project::{Edges, PrinterProfile, Stock};

/// What a sheet that is printed all over cannot have beside it, and why.
const STRANGERS: [(&str, &str); 5] = [
    ("operation", "is not worked on by a machine"),
    ("finish", "is not punched"),
    ("mount", "is not mounted"),
    ("cut_by", "is cut up by hand, as you like"),
    ("nicks", "is not cut out"),
];

/// Returns the printed part of the sheet that a piece is made of; `None` if its stock could not be read.
pub(super) fn read(piece: &Table<'_>, around: Surroundings<'_>) -> Option<Shape> {
    for (key, why) in STRANGERS {
        if piece.has(key) {
            let because = format!("stands beside kind = \"sheet\", which {why}");
            piece.conflict(key, &because, &format!("leave {key} out"));
        }
    }
    let id = piece.peek("stock")?.raw_text()?;
    let stock = around.stocks[around.stock_ids.position(id)?].as_ref()?;
    let margins = margins(around.printer, stock, has_back(piece));
    let left = |whole: Size, bands: Length| whole.length() - bands;
    let form = Form::Rectangle {
        width: left(stock.width, margins.left + margins.right),
        height: left(stock.height, margins.top + margins.bottom),
    };
    let shape = Shape::of_form(form).filter(|_| stock.outline.is_none());
    let Some(shape) = shape else {
        return refuse(piece, stock);
    };
    Some(Shape {
        fills_sheet: true,
        ..shape
    })
}

fn refuse(piece: &Table<'_>, stock: &Stock) -> Option<Shape> {
    let origin: Origin = piece.origin_of("stock");
    let message = format!(
        "nothing of a sheet of stock \"{}\" is printed all over",
        stock.id
    );
    let hint =
        "choose a stock that is larger than the printer's margins and has no outline of its own";
    piece
        .mistakes()
        .fail(code::SHAPE_SHEET, &origin, message, hint)
}

fn has_back(piece: &Table<'_>) -> bool {
    let artwork = piece.tables("artwork");
    let faces = artwork.iter().filter_map(|table| table.peek("face"));
    faces
        .filter_map(|face| face.raw_text())
        .any(|face| face == "back")
}

/// What of a sheet is not printed, on the front or on either face, in the sheet frame.
fn margins(printer: &PrinterProfile, stock: &Stock, has_back: bool) -> Edges<Length> {
    let Edges {
        top,
        right,
        bottom,
        left,
    } = printer.margins;
    let (wide, high) = (left.max(right), top.max(bottom));
    let moved = moved(printer, stock, has_back);
    // Turned over either way, an edge may come to lie on the opposite one.
    let bands = if has_back {
        [high, wide, high, wide]
    } else {
        [top, right, bottom, left]
    };
    let [top, right, bottom, left] = bands.map(|band| band + moved);
    Edges {
        top,
        right,
        bottom,
        left,
    }
}

/// How far at most a measured printer moves anything on a sheet, in hundredths of a millimetre: to make up for it, that much of the page
/// may be out of its reach.
fn moved(printer: &PrinterProfile, stock: &Stock, has_back: bool) -> Length {
    const STEP_MM: f64 = 0.01;
    let Some(calibration) = &printer.calibration else {
        return Length::ZERO;
    };
    let sheet = SizeMm::new(stock.width.to_mm(), stock.height.to_mm());
    let back = calibration.back.filter(|_| has_back);
    let maps = std::iter::once(calibration.front).chain(back);
    let corners = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)];
    let moved_mm = maps.flat_map(|map| {
        let on_sheet = map.for_page(calibration.page, sheet).sheet_from_page;
        corners.map(|(x, y)| {
            let corner = Point::new(x * sheet.width, y * sheet.height);
            let by = on_sheet * corner - corner;
            by.x.abs().max(by.y.abs())
        })
    });
    let most_mm = moved_mm.fold(0.0, f64::max);
    if most_mm == 0.0 {
        return Length::ZERO;
    }
    Length::nearest_mm(((most_mm / STEP_MM).ceil() + 1.0) * STEP_MM)
}

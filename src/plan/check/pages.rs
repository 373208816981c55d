//! Whether all that is printed lies where the hardware prints on the page.

use kurbo::{Affine, Point, Rect, Size};

use super::super::Sheet;
use super::super::face_map::face_from_sheet;
use super::super::marks::clear_zone;
use super::ALLOWED_MM;
use super::places::Piece;
use crate::project::{Edges, Face, Project};

/// The hardware clips on the page, whatever was made up for on it: pieces with their bleed, marks, caption and ticks lie within its
/// margins there, corner by corner.
pub(super) fn within_page(project: &Project, sheet: &Sheet, pieces: &[Piece<'_>]) -> Vec<String> {
    let size = Size::new(sheet.width_mm, sheet.height_mm);
    let mut found = Vec::new();
    for (printed, face) in [(sheet.front, Face::Front), (sheet.back, Face::Back)] {
        let Some(printed) = printed else { continue };
        let turned = face_from_sheet(face, size, project.job.turn_over);
        let mut expect = |what: &str, box_: Rect| {
            let out_mm = beyond_mm(project, size, printed.page_from_sheet, box_);
            if out_mm > ALLOWED_MM {
                found.push(format!(
                    "{what} leaves what is printed of the {} by {out_mm:.4} mm",
                    face.name()
                ));
            }
        };
        for piece in pieces {
            let is_on = match face {
                Face::Front => piece.front,
                Face::Back => piece.back,
            };
            if is_on {
                expect(piece.id, piece.bounds());
            }
        }
        if let Some(band) = sheet.caption {
            expect("the caption", turned.transform_rect_bbox(band));
        }
        let is_marked = face == Face::Front || sheet.front.is_none();
        for mark in sheet.marks.iter().filter(|_| is_marked) {
            expect(&format!("mark {}", mark.id), clear_zone(mark));
        }
        for tick in sheet.ticks.iter().filter(|t| t.face == face) {
            let line = Rect::from_points(tick.from, tick.to);
            expect(&format!("tick {}", tick.id), line);
        }
    }
    found
}

/// How far a box of the sheet reaches over the page's margins, in millimetres; below zero inside.
fn beyond_mm(project: &Project, size: Size, page_from_sheet: Affine, box_: Rect) -> f64 {
    let Edges {
        top,
        right,
        bottom,
        left,
    } = project.printer.margins;
    let corners = [
        box_.origin(),
        Point::new(box_.x1, box_.y0),
        Point::new(box_.x1, box_.y1),
        Point::new(box_.x0, box_.y1),
    ];
    let beyond = corners.map(|corner| {
        let p = page_from_sheet * corner;
        let (x, y) = (
            (left.to_mm() - p.x).max(p.x - size.width + right.to_mm()),
            (top.to_mm() - p.y).max(p.y - size.height + bottom.to_mm()),
        );
        x.max(y)
    });
    beyond.into_iter().fold(f64::NEG_INFINITY, f64::max)
}

//! Several small pieces on a page: the highest first, each on the first shelf with room, as on shelves of a cupboard.

use kurbo::{Affine, Point, Rect, Size};

use super::sheet::Sheet;
use super::subject::{EDGE_MM, Lie, Subject};

/// Between neighbours.
const GAP_MM: f64 = 5.0;

/// A place that was found.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Place {
    page: usize,
    corner: Point,
}

/// A row of one page.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Shelf {
    page: usize,
    top_mm: f64,
    height_mm: f64,
    /// Where the next one goes.
    x_mm: f64,
}

/// Returns pages with these pieces; each must fit into the field by itself.
pub(super) fn sheets(subjects: &[&Subject<'_>], field: Rect) -> Vec<Sheet> {
    let lie = |subject: &Subject<'_>| {
        let lie = subject.fits(field).unwrap_or(Lie::USUAL);
        (lie, subject.cell(lie, field.width()))
    };
    let mut order: Vec<(&Subject<'_>, Lie, Size)> = subjects
        .iter()
        .map(|subject| {
            let (lie, cell) = lie(subject);
            (*subject, lie, cell)
        })
        .collect();
    // A stable sort: pieces of one size stay in project order.
    order.sort_by(|a, b| {
        let by_height = b.2.height.total_cmp(&a.2.height);
        by_height.then(b.2.width.total_cmp(&a.2.width))
    });
    let cells: Vec<Size> = order.iter().map(|(_, _, cell)| *cell).collect();
    let places = places(&cells, field);
    let pages = places.iter().map(|place| place.page + 1).max().unwrap_or(0);
    (0..pages)
        .map(|page| {
            let on_page = order.iter().zip(&places).filter(|(_, p)| p.page == page);
            let on_page = on_page.map(|((subject, lie, cell), place)| {
                (*subject, *lie, Rect::from_origin_size(place.corner, *cell))
            });
            sheet(&on_page.collect::<Vec<_>>(), field)
        })
        .collect()
}

fn places(cells: &[Size], field: Rect) -> Vec<Place> {
    let mut shelves: Vec<Shelf> = Vec::new();
    let mut places = Vec::new();
    for cell in cells {
        let free = |shelf: &&mut Shelf| {
            shelf.height_mm >= cell.height && shelf.x_mm + cell.width <= field.x1
        };
        let shelf = match shelves.iter_mut().find(free) {
            Some(shelf) => shelf,
            None => {
                shelves.push(new_shelf(&shelves, *cell, field));
                shelves.last_mut().expect("one was just added")
            }
        };
        places.push(Place {
            page: shelf.page,
            corner: Point::new(shelf.x_mm, shelf.top_mm),
        });
        shelf.x_mm += cell.width + GAP_MM;
    }
    places
}

/// A shelf on the first page with room below its last one, or at the top of a new page.
fn new_shelf(shelves: &[Shelf], cell: Size, field: Rect) -> Shelf {
    let pages = shelves
        .iter()
        .map(|shelf| shelf.page + 1)
        .max()
        .unwrap_or(0);
    let below = |page: usize| {
        let on_page = shelves.iter().filter(|shelf| shelf.page == page);
        on_page
            .map(|shelf| shelf.top_mm + shelf.height_mm + GAP_MM)
            .fold(field.y0, f64::max)
    };
    let page = (0..pages).find(|page| below(*page) + cell.height <= field.y1);
    let page = page.unwrap_or(pages);
    Shelf {
        page,
        top_mm: below(page),
        height_mm: cell.height,
        x_mm: field.x0,
    }
}

fn sheet(on_page: &[(&Subject<'_>, Lie, Rect)], field: Rect) -> Sheet {
    let mut sheet = Sheet {
        heading: heading(on_page),
        pieces: Vec::new(),
        kinds: Vec::new(),
        drawn: Vec::new(),
        words: Vec::new(),
    };
    for (subject, lie, cell) in on_page {
        let corner = cell.origin() + kurbo::Vec2::new(EDGE_MM, EDGE_MM);
        let map = Affine::translate(corner.to_vec2()) * subject.laid_from_piece(lie.quarter);
        let (start, width_mm) = subject.words_at(*lie, *cell);
        sheet.pieces.push(subject.piece);
        sheet.kinds.extend(subject.kinds());
        sheet.drawn.extend(subject.drawn(map, field));
        sheet
            .words
            .extend(subject.caption.items(start, width_mm, map));
    }
    sheet
}

fn heading(on_page: &[(&Subject<'_>, Lie, Rect)]) -> String {
    match on_page {
        [(subject, _, _)] => subject.project.pieces[subject.piece].name.clone(),
        several => format!("{} pieces", several.len()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_share_pages_without_meeting_or_leaving_the_field() {
        let field = Rect::new(20.0, 15.0, 200.0, 245.0);
        // Five of 80 x 100: two a shelf, two shelves a page (2 x 100 + 5 = 205 of 230 mm); the fifth starts a page.
        let mut cells = vec![Size::new(80.0, 100.0); 5];
        // A low one goes below the shelves of the first page: 230 - 2 x 105 = 20 mm are left.
        cells.push(Size::new(80.0, 20.0));
        let places = places(&cells, field);
        let pages: Vec<usize> = places.iter().map(|place| place.page).collect();
        assert_eq!(pages, [0, 0, 0, 0, 1, 1]);
        let boxes: Vec<(usize, Rect)> = places
            .iter()
            .zip(&cells)
            .map(|(place, cell)| (place.page, Rect::from_origin_size(place.corner, *cell)))
            .collect();
        for (i, (page, a)) in boxes.iter().enumerate() {
            assert!(field.union(*a) == field, "{a:?}");
            for (other, b) in &boxes[i + 1..] {
                assert!(page != other || a.intersect(*b).area() <= 0.0);
            }
        }
    }
}

//! What of a page is filled, and what stands at its foot.

use kurbo::{Affine, Point, Rect};

use super::block::line;
use super::{Block, GREY, INK, Letter, flowed_pages, wrapped};
use crate::draw::page::{Page, PageLayer};
use crate::drawing::{AssetIndex, Drawing, Item, Tag, moved_all};

/// What letter and A4 both have inside margins that home printers manage: 7 3/4 x 10 1/2 in.
const INSIDE_MM: (f64, f64) = (196.85, 266.7);
/// From the edges of that to what is set.
const SIDE_MM: f64 = 6.0;
const TOP_MM: f64 = 3.0;
/// Width of all that is set.
pub(in crate::draw) const WIDTH_MM: f64 = INSIDE_MM.0 - 2.0 * SIDE_MM;
/// Between what is set and the line above the foot.
const ABOVE_FOOT_MM: f64 = 4.0;
const LOGO_MM: (f64, f64) = (30.0, 11.0);
/// Most lines of words at the foot, so that long terms leave room for the page; what is longer ends in dots.
const MOST_FOOT_LINES: usize = 6;
/// Room for the number of the page.
const NUMBER_MM: f64 = 34.0;

/// A size of page on which what is set stays inside letter and A4.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::draw) struct Sheet {
    width_mm: f64,
    height_mm: f64,
}

impl Sheet {
    pub(in crate::draw) const LETTER: Self = Self {
        width_mm: 215.9,
        height_mm: 279.4,
    };
    pub(in crate::draw) const A4: Self = Self {
        width_mm: 210.0,
        height_mm: 297.0,
    };

    /// What may be printed on.
    pub(in crate::draw) fn inside(self) -> Rect {
        let middle = Point::new(self.width_mm / 2.0, self.height_mm / 2.0);
        Rect::from_center_size(middle, INSIDE_MM)
    }
}

/// What stands at the foot of each page.
#[derive(Debug, Clone, PartialEq, Default)]
pub(in crate::draw) struct Foot {
    /// Lines, each broken where it is too long.
    pub(in crate::draw) lines: Vec<String>,
    /// A picture, with its height divided by its width.
    pub(in crate::draw) logo: Option<(AssetIndex, f64)>,
}

/// Returns the blocks on pages with a foot each.
pub(in crate::draw) fn pages(
    blocks: &[Block],
    sheet: Sheet,
    foot: &Foot,
    label: &str,
) -> Vec<Page> {
    let inside = sheet.inside();
    let foot = SetFoot::new(foot);
    let height_mm = inside.height() - TOP_MM - ABOVE_FOOT_MM - foot.height_mm;
    let filled = flowed_pages(blocks, height_mm);
    let of = filled.len();
    let left_mm = inside.x0 + SIDE_MM;
    let page = |(i, items): (usize, Vec<Item>)| {
        let top = Point::new(left_mm, inside.y0 + TOP_MM);
        let below = Point::new(left_mm, inside.y1 - foot.height_mm);
        let number = format!("page {} of {of}", i + 1);
        Page {
            label: format!("{label}, {number}"),
            width_mm: sheet.width_mm,
            height_mm: sheet.height_mm,
            layers: vec![
                layer("Contents", moved_all(&items, top.to_vec2())),
                layer("Foot", moved_all(&foot.numbered(&number), below.to_vec2())),
            ],
        }
    };
    filled.into_iter().enumerate().map(page).collect()
}

fn layer(name: &'static str, items: Vec<Item>) -> PageLayer {
    PageLayer {
        name,
        step: None,
        matrix: Affine::IDENTITY,
        drawing: Drawing { items },
    }
}

/// The foot without the number of its page.
struct SetFoot {
    items: Vec<Item>,
    height_mm: f64,
}

impl SetFoot {
    fn new(foot: &Foot) -> Self {
        let mut items = vec![line(Point::ORIGIN, Point::new(WIDTH_MM, 0.0), 0.25, GREY)];
        let logo = foot.logo.map(|(asset, aspect)| {
            let width_mm = LOGO_MM.0.min(LOGO_MM.1 / aspect.max(1e-3));
            (asset, width_mm, width_mm * aspect)
        });
        let mut left_mm = 0.0;
        let mut height_mm = 0.0;
        if let Some((asset, width, height)) = logo {
            let place = Affine::translate((0.0, 1.5)) * Affine::scale_non_uniform(width, height);
            items.push(logo_item(asset, place));
            left_mm = width + 4.0;
            height_mm = height + 1.5;
        }
        let widest_mm = WIDTH_MM - left_mm - NUMBER_MM;
        let broken = foot
            .lines
            .iter()
            .flat_map(|text| wrapped(text, Letter::BODY, widest_mm));
        let mut broken: Vec<String> = broken.collect();
        if broken.len() > MOST_FOOT_LINES {
            broken.truncate(MOST_FOOT_LINES);
            if let Some(last) = broken.last_mut() {
                last.push_str(" ...");
            }
        }
        let mut y_mm = 0.8;
        for text in broken {
            let start = (left_mm, y_mm + Letter::BODY.drop_mm());
            items.push(Letter::BODY.at(&text, start, GREY));
            y_mm += Letter::BODY.leading_mm();
        }
        y_mm = y_mm.max(0.8 + Letter::BODY.leading_mm());
        Self {
            items,
            height_mm: y_mm.max(height_mm) + 0.5,
        }
    }

    fn numbered(&self, number: &str) -> Vec<Item> {
        let start = (
            WIDTH_MM - Letter::BODY.width_mm(number),
            0.8 + Letter::BODY.drop_mm(),
        );
        let mut items = self.items.clone();
        items.push(Letter::BODY.at(number, start, INK));
        items
    }
}

fn logo_item(asset: AssetIndex, place: Affine) -> Item {
    let picture = Item::Picture {
        asset,
        places: vec![place],
    };
    Item::Tagged {
        tag: Tag {
            kind: "logo",
            id: "logo".to_owned(),
        },
        inner: Drawing {
            items: vec![picture],
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_set_lies_inside_letter_and_a4_alike() {
        for sheet in [Sheet::LETTER, Sheet::A4] {
            let inside = sheet.inside();
            // 7 3/4 in are 196.85 mm, 10 1/2 in 266.7 mm.
            assert!((inside.width() - 7.75 * 25.4).abs() < 1e-9);
            assert!((inside.height() - 10.5 * 25.4).abs() < 1e-9);
            assert!(inside.x0 > 6.0 && inside.y0 > 6.0);
        }
    }

    #[test]
    fn long_terms_leave_room_for_the_page() {
        let foot = Foot {
            lines: vec!["You may sell what you make. ".repeat(60)],
            logo: None,
        };
        assert!(SetFoot::new(&foot).height_mm < 40.0);
    }

    #[test]
    fn each_page_says_which_of_how_many_it_is() {
        let blocks: Vec<Block> = (0..3)
            .map(|_| Block::new(vec![Letter::BODY.at("x", Point::ORIGIN, INK)], 200.0))
            .collect();
        let pages = pages(&blocks, Sheet::LETTER, &Foot::default(), "lesson");
        let labels: Vec<&str> = pages.iter().map(|p| p.label.as_str()).collect();
        assert_eq!(
            labels,
            [
                "lesson, page 1 of 3",
                "lesson, page 2 of 3",
                "lesson, page 3 of 3"
            ]
        );
    }
}

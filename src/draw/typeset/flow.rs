//! Flowing blocks onto pages.

use kurbo::Vec2;

use super::Block;
use crate::drawing::{Item, moved_all};

/// Room that rounding may take.
const ROUNDING_MM: f64 = 1e-6;

/// Returns what stands on each page, blocks one below the other in an area of this height, its top left corner at the origin.
///
/// A block that keeps the next one stands on its page, unless a whole page does not hold them; no block is split.
pub(in crate::draw) fn flowed_pages(blocks: &[Block], height_mm: f64) -> Vec<Vec<Item>> {
    let mut pages = vec![Page::default()];
    let mut start = 0;
    while start < blocks.len() {
        let end = end_of_group(blocks, start);
        let group = &blocks[start..end];
        let page = pages.last_mut().expect("there is a first page");
        if group[0].starts_page && !page.is_empty() {
            pages.push(Page::default());
        } else if page.holds(group, height_mm) || (page.is_empty() && group.len() == 1) {
            group.iter().for_each(|block| page.set(block));
            start = end;
        } else if page.is_empty() {
            // A group higher than a page: as many of it as fit.
            let fitting = (1..group.len()).rev();
            let count = fitting
                .clone()
                .find(|n| page.holds(&group[..*n], height_mm))
                .unwrap_or(1);
            group[..count].iter().for_each(|block| page.set(block));
            start += count;
        } else {
            pages.push(Page::default());
        }
    }
    pages.into_iter().map(|page| page.items).collect()
}

fn end_of_group(blocks: &[Block], start: usize) -> usize {
    let last = (start..blocks.len()).find(|i| !blocks[*i].keeps_next);
    last.map_or(blocks.len(), |i| i + 1)
}

#[derive(Debug, Default)]
struct Page {
    items: Vec<Item>,
    height_mm: f64,
}

impl Page {
    fn is_empty(&self) -> bool {
        self.items.is_empty()
    }

    fn holds(&self, group: &[Block], height_mm: f64) -> bool {
        let mut end_mm = self.height_mm;
        for (i, block) in group.iter().enumerate() {
            let is_top = self.is_empty() && i == 0;
            end_mm += top_mm(block, is_top) + block.height_mm;
        }
        end_mm <= height_mm + ROUNDING_MM
    }

    fn set(&mut self, block: &Block) {
        if block.is_divider && self.is_empty() {
            return;
        }
        if let (true, Some(again)) = (self.is_empty(), &block.again) {
            self.set(again);
            self.height_mm += block.height_mm;
            let by = Vec2::new(0.0, self.height_mm - block.height_mm);
            self.items.extend(moved_all(&block.items, by));
            return;
        }
        if !self.is_empty() {
            self.height_mm += block.before_mm;
        }
        let by = Vec2::new(0.0, self.height_mm);
        self.items.extend(moved_all(&block.items, by));
        self.height_mm += block.height_mm;
    }
}

/// What stands above a block.
fn top_mm(block: &Block, is_top: bool) -> f64 {
    match (&block.again, is_top) {
        (Some(again), true) => again.height_mm,
        (None, true) => 0.0,
        (Some(_) | None, false) => block.before_mm,
    }
}

#[cfg(test)]
mod tests {
    use kurbo::Point;

    use super::super::{INK, Letter};
    use super::*;

    fn block(name: &str, height_mm: f64) -> Block {
        Block::new(vec![Letter::BODY.at(name, Point::ORIGIN, INK)], height_mm)
    }

    /// Each page's names with their heights on it.
    fn flowed(blocks: &[Block], height_mm: f64) -> Vec<Vec<(String, f64)>> {
        let named = |item: &Item| {
            let Item::Glyphs(run) = item else { panic!() };
            (run.text.clone(), run.matrix.as_coeffs()[5])
        };
        flowed_pages(blocks, height_mm)
            .iter()
            .map(|items| items.iter().map(named).collect())
            .collect()
    }

    fn names(pages: &[Vec<(String, f64)>]) -> Vec<String> {
        let join = |page: &Vec<(String, f64)>| {
            let names: Vec<&str> = page.iter().map(|(name, _)| name.as_str()).collect();
            names.join(" ")
        };
        pages.iter().map(join).collect()
    }

    #[test]
    fn a_block_that_finds_no_room_begins_the_next_page() {
        let blocks = [block("a", 60.0), block("b", 30.0), block("c", 30.0)];
        assert_eq!(names(&flowed(&blocks, 100.0)), ["a b", "c"]);
    }

    #[test]
    fn a_divider_is_not_set_at_the_top_of_a_page() {
        let divider = Block {
            is_divider: true,
            ..block("line", 1.0).with_next()
        };
        let blocks = [
            block("a", 40.0),
            divider.clone(),
            block("b", 40.0),
            divider,
            block("c", 40.0),
        ];
        let found = flowed(&blocks, 100.0);
        assert_eq!(names(&found), ["a line b", "c"]);
        assert!(found[1][0].1.abs() < 1e-9);
    }

    #[test]
    fn a_heading_is_never_the_last_on_its_page() {
        let blocks = [
            block("a", 80.0),
            block("heading", 10.0).with_next(),
            block("b", 20.0),
        ];
        assert_eq!(names(&flowed(&blocks, 100.0)), ["a", "heading b"]);
    }

    #[test]
    fn room_above_counts_but_not_at_the_top_of_a_page() {
        let blocks = [
            block("a", 50.0).before(9.0),
            block("b", 45.0).before(5.0),
            block("c", 45.0).before(5.0),
        ];
        let found = flowed(&blocks, 100.0);
        assert_eq!(names(&found), ["a b", "c"]);
        assert!((found[0][1].1 - 55.0).abs() < 1e-9);
        assert!(found[1][0].1.abs() < 1e-9);
    }

    #[test]
    fn a_block_may_begin_a_page_of_its_own() {
        let first = Block {
            starts_page: true,
            ..block("labels", 10.0)
        };
        let blocks = [first.clone(), block("a", 10.0), first, block("b", 10.0)];
        assert_eq!(names(&flowed(&blocks, 100.0)), ["labels a", "labels b"]);
    }

    #[test]
    fn what_a_page_cannot_keep_together_is_set_all_the_same() {
        let chain: Vec<Block> = (0..12)
            .map(|i| block(&i.to_string(), 30.0).with_next())
            .collect();
        let found = flowed(&chain, 100.0);
        assert_eq!(found.iter().map(Vec::len).collect::<Vec<_>>(), [3, 3, 3, 3]);
        // Higher than a page, alone: one page, and no page without anything.
        let found = flowed(&[block("a", 10.0), block("high", 150.0)], 100.0);
        assert_eq!(names(&found), ["a", "high"]);
    }

    #[test]
    fn a_table_goes_on_under_its_head() {
        let head = block("head", 10.0);
        let row = |name: &str| Block {
            again: Some(Box::new(head.clone())),
            ..block(name, 40.0)
        };
        let blocks = [head.clone().with_next(), row("a"), row("b"), row("c")];
        let found = flowed(&blocks, 95.0);
        assert_eq!(names(&found), ["head a b", "head c"]);
        assert!((found[1][1].1 - 10.0).abs() < 1e-9);
    }

    #[test]
    fn forty_steps_stay_inside_their_pages() {
        let blocks: Vec<Block> = (0..40)
            .map(|i| block(&format!("step {i}"), 37.0).before(4.0))
            .collect();
        let found = flowed(&blocks, 240.0);
        // Five of 37 and four gaps of 4 are 201; six would be 242.
        assert_eq!(found.len(), 8);
        for page in &found {
            assert!(page.iter().all(|(_, y_mm)| y_mm + 37.0 <= 240.0));
        }
    }
}

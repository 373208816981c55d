//! What is left of a sheet, in pieces that come off it by cuts from edge to edge.

use super::super::Area;
use super::block::size_nm2;

/// Cuts `free`, rectangles apart from each other, around `boxes` and returns what is left, as large pieces as the order of cuts
/// allows; no cut is longer than `reach_nm`. Boxes that lie in none of the rectangles do not count.
pub(super) fn rests(free: &[Area], boxes: &[Area], reach_nm: Option<i64>) -> Vec<Area> {
    let mut cutter = Cutter {
        reach_nm,
        rests: Vec::new(),
    };
    for area in free {
        let inside = boxes
            .iter()
            .copied()
            .filter(|b| area.contains(*b))
            .collect();
        cutter.cut(*area, inside);
    }
    cutter.rests
}

struct Cutter {
    reach_nm: Option<i64>,
    rests: Vec<Area>,
}

impl Cutter {
    fn reaches(&self, length_nm: i64) -> bool {
        self.reach_nm.is_none_or(|reach| length_nm <= reach)
    }

    fn cut(&mut self, mut area: Area, boxes: Vec<Area>) {
        let Some(hull) = hull(&boxes) else {
            self.rests.push(area);
            return;
        };
        while let Some((strip, kept)) = self.largest_strip(area, hull) {
            self.rests.push(strip);
            area = kept;
        }
        let down = (self.reaches(area.height_nm))
            .then(|| gap(&boxes, |b| (b.x_nm, b.right_nm())))
            .flatten();
        if let Some(at) = down {
            let (left, right) = boxes.into_iter().partition(|b| b.right_nm() <= at);
            self.cut(
                Area::from_edges(area.x_nm, area.y_nm, at, area.bottom_nm()),
                left,
            );
            self.cut(
                Area::from_edges(at, area.y_nm, area.right_nm(), area.bottom_nm()),
                right,
            );
            return;
        }
        let across = (self.reaches(area.width_nm))
            .then(|| gap(&boxes, |b| (b.y_nm, b.bottom_nm())))
            .flatten();
        if let Some(at) = across {
            let (top, bottom) = boxes.into_iter().partition(|b| b.bottom_nm() <= at);
            self.cut(
                Area::from_edges(area.x_nm, area.y_nm, area.right_nm(), at),
                top,
            );
            self.cut(
                Area::from_edges(area.x_nm, at, area.right_nm(), area.bottom_nm()),
                bottom,
            );
        }
    }

    /// The largest strip beside, above or below the boxes, and what is kept without it.
    fn largest_strip(&self, area: Area, hull: Area) -> Option<(Area, Area)> {
        let (left, top, right, bottom) = (area.x_nm, area.y_nm, area.right_nm(), area.bottom_nm());
        let down = [
            (
                Area::from_edges(left, top, hull.x_nm, bottom),
                Area::from_edges(hull.x_nm, top, right, bottom),
            ),
            (
                Area::from_edges(hull.right_nm(), top, right, bottom),
                Area::from_edges(left, top, hull.right_nm(), bottom),
            ),
        ];
        let across = [
            (
                Area::from_edges(left, top, right, hull.y_nm),
                Area::from_edges(left, hull.y_nm, right, bottom),
            ),
            (
                Area::from_edges(left, hull.bottom_nm(), right, bottom),
                Area::from_edges(left, top, right, hull.bottom_nm()),
            ),
        ];
        let down = down.into_iter().filter(|_| self.reaches(area.height_nm));
        let across = across.into_iter().filter(|_| self.reaches(area.width_nm));
        let size = |area: &Area| size_nm2(area.width_nm, area.height_nm);
        down.chain(across)
            .filter(|(strip, _)| !strip.is_empty())
            .max_by(|a, b| size(&a.0).total_cmp(&size(&b.0)))
    }
}

fn hull(boxes: &[Area]) -> Option<Area> {
    let join = |a: Area, b: Area| {
        let (right, bottom) = (
            a.right_nm().max(b.right_nm()),
            a.bottom_nm().max(b.bottom_nm()),
        );
        Area::from_edges(a.x_nm.min(b.x_nm), a.y_nm.min(b.y_nm), right, bottom)
    };
    boxes.iter().copied().reduce(join)
}

/// Where a cut parts the boxes without touching one: the end of the first group of boxes that overlap each other along an axis.
fn gap(boxes: &[Area], extent: impl Fn(&Area) -> (i64, i64)) -> Option<i64> {
    let mut extents: Vec<_> = boxes.iter().map(extent).collect();
    extents.sort_unstable();
    let mut end = extents.first()?.1;
    for (from, to) in extents {
        if from >= end {
            return Some(end);
        }
        end = end.max(to);
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_in_a_corner_leaves_the_larger_strip_whole() {
        // A 4 x 3 box on 10 x 10: 7 x 10 below against 6 x 10 beside; the rest beside is then 6 x 3.
        let sheet = Area::from_edges(0, 0, 10, 10);
        let left = rests(&[sheet], &[Area::from_edges(0, 0, 4, 3)], None);
        assert_eq!(
            left,
            [
                Area::from_edges(0, 3, 10, 10),
                Area::from_edges(4, 0, 10, 3)
            ]
        );
    }

    #[test]
    fn a_cut_beyond_the_reach_is_not_made() {
        // Only cuts of 8 at most: across a sheet of 8 x 10, so the strip below comes off first, though the one beside is larger.
        let sheet = Area::from_edges(0, 0, 8, 10);
        let left = rests(&[sheet], &[Area::from_edges(0, 0, 4, 7)], Some(8));
        assert_eq!(
            left,
            [Area::from_edges(0, 7, 8, 10), Area::from_edges(4, 0, 8, 7)]
        );
    }

    #[test]
    fn a_full_sheet_leaves_nothing() {
        let sheet = Area::from_edges(0, 0, 10, 10);
        let halves = [
            Area::from_edges(0, 0, 5, 10),
            Area::from_edges(5, 0, 10, 10),
        ];
        assert_eq!(rests(&[sheet], &halves, None), []);
    }
}

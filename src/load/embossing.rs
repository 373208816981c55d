//! Which edges of a piece go into an embosser first, so that an area comes out embossed.
//!
//! A pass takes paper no wider than the plates and embosses all of it from the edge that goes in first up to the depth of the plates. So
//! passes from all four edges leave plain what lies farther than that from each edge that went in: an upright rectangle.

use kurbo::Rect;

use super::code;
use super::table::Table;
use super::treatment::bounds_of;
use crate::geometry::areas::{Ring, shared, thickness_of};
use crate::length::Size;
use crate::math::VERIFY_MM;
use crate::project::{Edge, Tool, ToolKind};

/// What is to be embossed of which paper, in the piece frame.
#[derive(Debug)]
pub(super) struct Paper {
    pub(super) rings: Vec<Ring>,
    pub(super) bounds: Rect,
}

/// The ways to go in that are tried where none is declared: the fewest passes first.
const WAYS: &[&[Edge]] = &[
    &[Edge::Top],
    &[Edge::Bottom],
    &[Edge::Left],
    &[Edge::Right],
    &[Edge::Top, Edge::Bottom],
    &[Edge::Left, Edge::Right],
    &[Edge::Top, Edge::Left],
    &[Edge::Top, Edge::Right],
    &[Edge::Bottom, Edge::Left],
    &[Edge::Bottom, Edge::Right],
    &[Edge::Top, Edge::Bottom, Edge::Left],
    &[Edge::Top, Edge::Bottom, Edge::Right],
    &[Edge::Top, Edge::Left, Edge::Right],
    &[Edge::Bottom, Edge::Left, Edge::Right],
    &[Edge::Top, Edge::Bottom, Edge::Left, Edge::Right],
];

/// Returns the edges that go in: those declared, or the fewest that do; reports what stays plain.
pub(super) fn passes(
    table: &Table<'_>,
    paper: &Paper,
    tool: &Tool,
    declared: Option<&[Edge]>,
) -> Option<Vec<Edge>> {
    let ToolKind::Embosser { across, deep } = tool.kind else {
        return None;
    };
    let plates = Plates { across, deep };
    let best = WAYS.iter().find(|way| plates.does(paper, way));
    match (declared, best) {
        (Some(way), _) if plates.does(paper, way) => Some(way.to_vec()),
        (None, Some(way)) => Some(way.to_vec()),
        (Some(way), best) => {
            let message = plates.shortfall(table, paper, way, tool);
            let hint = match best {
                Some(way) => format!("write goes_in = {}", typed(way)),
                None => plates.too_small(table),
            };
            let origin = table.origin_of("goes_in");
            table
                .mistakes()
                .fail(code::TREAT_PASSES, &origin, message, hint)
        }
        (None, None) => {
            let goes_in = |edge: &Edge| plates.takes(paper.bounds, *edge);
            let all = WAYS[WAYS.len() - 1].iter().copied();
            let way: Vec<_> = all.clone().filter(goes_in).collect();
            let way = if way.is_empty() { all.collect() } else { way };
            let message = plates.shortfall(table, paper, &way, tool);
            let hint = plates.too_small(table);
            let origin = table.origin_of("tool");
            table
                .mistakes()
                .fail(code::TREAT_PASSES, &origin, message, hint)
        }
    }
}

/// What a pair of plates takes.
#[derive(Debug, Clone, Copy)]
struct Plates {
    across: Size,
    deep: Size,
}

impl Plates {
    /// Whether paper goes in with an edge first.
    fn takes(self, bounds: Rect, edge: Edge) -> bool {
        width_at(bounds, edge) <= self.across.to_mm() + VERIFY_MM
    }

    /// Whether passes emboss all that is to be, each with paper that goes in.
    fn does(self, paper: &Paper, way: &[Edge]) -> bool {
        way.iter().all(|edge| self.takes(paper.bounds, *edge)) && self.plain(paper, way).is_none()
    }

    /// The box round what stays plain of the area, if anything does.
    fn plain(self, paper: &Paper, way: &[Edge]) -> Option<Rect> {
        let mut left = paper.bounds;
        let deep_mm = self.deep.to_mm();
        for edge in way.iter().filter(|edge| self.takes(paper.bounds, **edge)) {
            match edge {
                Edge::Top => left.y0 = left.y0.max(paper.bounds.y0 + deep_mm),
                Edge::Right => left.x1 = left.x1.min(paper.bounds.x1 - deep_mm),
                Edge::Bottom => left.y1 = left.y1.min(paper.bounds.y1 - deep_mm),
                Edge::Left => left.x0 = left.x0.max(paper.bounds.x0 + deep_mm),
            }
        }
        if left.width() <= VERIFY_MM || left.height() <= VERIFY_MM {
            return None;
        }
        let ring = [
            (left.x0, left.y0),
            (left.x1, left.y0),
            (left.x1, left.y1),
            (left.x0, left.y1),
        ];
        let plain = shared(&paper.rings, &[ring.map(Into::into).to_vec()]);
        let plain = plain.iter().filter(|part| thickness_of(part) > VERIFY_MM);
        plain.map(|part| bounds_of(part)).reduce(|a, b| a.union(b))
    }

    fn shortfall(self, table: &Table<'_>, paper: &Paper, way: &[Edge], tool: &Tool) -> String {
        let show = |mm: f64| table.mistakes().show_mm(mm);
        let wide = way.iter().find(|edge| !self.takes(paper.bounds, **edge));
        match (wide, self.plain(paper, way)) {
            (Some(edge), _) => format!(
                "the piece is {} wide at its {} edge and does not go into \"{}\", which takes {}",
                show(width_at(paper.bounds, *edge)),
                edge.name(),
                tool.id,
                table.mistakes().show(self.across.length())
            ),
            (None, plain) => {
                let plain = plain.unwrap_or_default();
                format!(
                    "\"{}\" embosses {} from each edge that goes in, so {} x {} of the area stay plain, from {}, {}",
                    tool.id,
                    table.mistakes().show(self.deep.length()),
                    show(plain.width()),
                    show(plain.height()),
                    show(plain.x0),
                    show(plain.y0)
                )
            }
        }
    }

    fn too_small(self, table: &Table<'_>) -> String {
        let show = |size: Size| table.mistakes().show(size.length());
        let twice = table.mistakes().show(self.deep.length() * 2);
        format!(
            "no order of edges covers it: paper up to {} wide goes in, and two passes from opposite edges meet up to {twice}; emboss fewer panels, or \
             take plates larger than {} x {}",
            show(self.across),
            show(self.across),
            show(self.deep)
        )
    }
}

/// How wide the paper is where an edge goes in.
fn width_at(bounds: Rect, edge: Edge) -> f64 {
    match edge {
        Edge::Top | Edge::Bottom => bounds.width(),
        Edge::Left | Edge::Right => bounds.height(),
    }
}

fn typed(way: &[Edge]) -> String {
    let quoted: Vec<_> = way.iter().map(|e| format!("\"{}\"", e.name())).collect();
    match quoted.as_slice() {
        [one] => one.clone(),
        several => format!("[{}]", several.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::Length;

    fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Ring {
        [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
            .map(Into::into)
            .to_vec()
    }

    fn plates(across_mm: i64, deep_mm: i64) -> Plates {
        let size = |mm| Size::new(Length::from_mm(mm)).unwrap();
        Plates {
            across: size(across_mm),
            deep: size(deep_mm),
        }
    }

    fn fewest(paper: &Paper, plates: Plates) -> Option<&'static [Edge]> {
        WAYS.iter().copied().find(|way| plates.does(paper, way))
    }

    /// A sheet of 160 x 100 mm, embossed all over.
    fn sheet() -> Paper {
        Paper {
            rings: vec![rectangle(0.0, 0.0, 160.0, 100.0)],
            bounds: Rect::new(0.0, 0.0, 160.0, 100.0),
        }
    }

    #[test]
    fn paper_wider_than_the_plates_goes_in_turned() {
        // Plates of 127 x 178 mm (5 x 7 in): 160 mm do not go in upright; turned, 100 mm go in and 178 mm are deeper than 160.
        assert_eq!(fewest(&sheet(), plates(127, 178)), Some(&[Edge::Left][..]));
    }

    #[test]
    fn what_one_pass_leaves_plain_another_one_reaches() {
        // 85 mm from left and right each cover 160; 75 mm leave 10 mm in the middle, from 75 to 85.
        let both = &[Edge::Left, Edge::Right];
        assert_eq!(fewest(&sheet(), plates(127, 85)), Some(&both[..]));
        let plain = plates(127, 75).plain(&sheet(), both).unwrap();
        assert_eq!(plain, Rect::new(75.0, 0.0, 85.0, 100.0));
        assert_eq!(fewest(&sheet(), plates(127, 75)), None);
    }

    #[test]
    fn what_is_to_stay_plain_may_lie_where_no_pass_reaches() {
        // Only a frame of 30 mm round the sheet: 30 mm from each of four edges do it, if the paper goes in both ways.
        let frame = Paper {
            rings: vec![
                rectangle(0.0, 0.0, 160.0, 100.0),
                rectangle(30.0, 30.0, 130.0, 70.0),
            ],
            ..sheet()
        };
        assert_eq!(fewest(&frame, plates(160, 30)).map(<[Edge]>::len), Some(4));
        assert_eq!(fewest(&frame, plates(160, 29)), None);
    }
}

//! A piece larger than a page, over several.
//!
//! All tiles have one size and lie 10 mm over their neighbours. Each shows the whole piece under the same map, but for a shift, through
//! a window; so lines join as exactly as numbers are spelled. In each overlap two crosses stand at the same two points of the piece on
//! both pages, with a letter.

use kurbo::{Affine, BezPath, Point, Rect, Shape, Size, Vec2};

use super::leaf::{segment, stroke, tagged};
use super::marks::letters;
use super::sheet::Sheet;
use super::subject::{EDGE_MM, Quarter, Subject};
use super::words::{LEADING_MM, Words};
use crate::drawing::{Drawing, FillRule, Item, Stroke};

/// How far neighbours lie over each other.
const OVERLAP_MM: f64 = 10.0;
/// From an edge of the strip that both show to the middle of a cross.
const IN_STRIP_MM: f64 = 2.6;
/// Half a cross.
const CROSS_MM: f64 = 2.0;
const CROSS_LINE_MM: f64 = 0.15;
/// Room of the key plan.
const KEY_MM: (f64, f64) = (46.0, 34.0);
const BELOW_KEY_MM: f64 = 3.0;

/// Where two tiles join, in the laid frame.
#[derive(Debug, Clone, PartialEq)]
struct Join {
    letter: String,
    crosses: [Point; 2],
    /// Both tiles.
    tiles: [usize; 2],
    /// Whether the strip that both show stands upright.
    is_upright: bool,
}

/// Windows in the laid frame, row by row, and their joins.
#[derive(Debug, Clone, PartialEq)]
struct Tiling {
    windows: Vec<Rect>,
    joins: Vec<Join>,
}

impl Tiling {
    fn new(laid: Size, room: Size) -> Self {
        let xs = spans(laid.width, room.width);
        let ys = spans(laid.height, room.height);
        let windows = ys
            .iter()
            .flat_map(|y| xs.iter().map(|x| Rect::new(x.0, y.0, x.1, y.1)));
        let windows: Vec<Rect> = windows.collect();
        let columns = xs.len();
        let mut joins = Vec::new();
        for (i, window) in windows.iter().enumerate() {
            if i % columns + 1 < columns {
                joins.push(join(
                    &windows,
                    [i, i + 1],
                    joins.len(),
                    window.y0,
                    window.y1,
                ));
            }
        }
        for (i, window) in windows.iter().enumerate() {
            if i + columns < windows.len() {
                let tiles = [i, i + columns];
                joins.push(join(&windows, tiles, joins.len(), window.x0, window.x1));
            }
        }
        Self { windows, joins }
    }
}

/// Equal spans of at most `room_mm` that cover a length and a little more, each 10 mm over the next.
fn spans(length_mm: f64, room_mm: f64) -> Vec<(f64, f64)> {
    let whole_mm = length_mm + 2.0 * EDGE_MM;
    let mut count = 1.0;
    while (whole_mm + (count - 1.0) * OVERLAP_MM) / count > room_mm {
        count += 1.0;
    }
    let span_mm = (whole_mm + (count - 1.0) * OVERLAP_MM) / count;
    let mut spans = Vec::new();
    let mut start_mm = -EDGE_MM;
    while start_mm + OVERLAP_MM < whole_mm - EDGE_MM - 1e-6 {
        spans.push((start_mm, start_mm + span_mm));
        start_mm += span_mm - OVERLAP_MM;
    }
    spans
}

/// Crosses at a quarter and at three quarters of the way along the strip that both tiles show, clear of its middle: a piece that is
/// alike on both sides is creased there.
fn join(windows: &[Rect], tiles: [usize; 2], number: usize, from: f64, to: f64) -> Join {
    let strip = windows[tiles[0]].intersect(windows[tiles[1]]);
    let is_upright = strip.height() > strip.width();
    let crosses = [0.25, 0.75].map(|share| {
        let along = from + share * (to - from);
        if is_upright {
            Point::new(strip.x0 + IN_STRIP_MM, along)
        } else {
            Point::new(along, strip.y0 + IN_STRIP_MM)
        }
    });
    Join {
        letter: letters(number),
        crosses,
        tiles,
        is_upright,
    }
}

/// Returns the pages of a piece, the top left tile first; the way round that takes fewer.
pub(super) fn sheets(subject: &Subject<'_>, field: Rect) -> Vec<Sheet> {
    let hint = "Lay the tiles cross on cross, letter on letter, and tape them.";
    let caption = subject.caption.clone().with(hint.to_owned());
    let words_mm = field.width() - KEY_MM.0 - 4.0;
    let head_mm = caption.height_mm(words_mm).max(KEY_MM.1 + LEADING_MM) + BELOW_KEY_MM;
    let room = Size::new(field.width(), field.height() - head_mm);
    let ways = [Quarter::AsIs, Quarter::Turned].map(|quarter| {
        let tiling = Tiling::new(subject.size(quarter), room);
        (quarter, tiling)
    });
    let [first, second] = ways;
    let (quarter, tiling) = if second.1.windows.len() < first.1.windows.len() {
        second
    } else {
        first
    };
    let laid = subject.size(quarter);
    (0..tiling.windows.len())
        .map(|tile| {
            let window = tiling.windows[tile];
            let corner = Point::new(field.x0, field.y0 + head_mm);
            let page_from_laid = Affine::translate(corner - window.origin());
            let map = page_from_laid * subject.laid_from_piece(quarter);
            let seen = Rect::from_origin_size(corner, window.size());
            let mut words = caption.items(field.origin(), words_mm, map);
            let key = Rect::new(field.x1 - KEY_MM.0, field.y0, field.x1, field.y0 + KEY_MM.1);
            words.extend(key_plan(&tiling, laid, tile, key));
            Sheet {
                heading: heading(subject, tile, tiling.windows.len()),
                pieces: vec![subject.piece],
                kinds: subject.kinds().collect(),
                drawn: tile_items(subject, &tiling, tile, (page_from_laid, map), seen),
                words,
            }
        })
        .collect()
}

fn heading(subject: &Subject<'_>, tile: usize, of: usize) -> String {
    let name = &subject.project.pieces[subject.piece].name;
    format!("{name}, tile {} of {of}", tile + 1)
}

fn tile_items(
    subject: &Subject<'_>,
    tiling: &Tiling,
    tile: usize,
    (page_from_laid, page_from_piece): (Affine, Affine),
    seen: Rect,
) -> Vec<Item> {
    let mut items = subject.drawn(page_from_piece, seen);
    for join in tiling
        .joins
        .iter()
        .filter(|join| join.tiles.contains(&tile))
    {
        let id = format!("{}.{}", subject.id(), join.letter);
        let at = join.crosses.map(|cross| page_from_laid * cross);
        let mut marks = vec![crosses(at)];
        marks.extend(at.map(|cross| letter(join, cross)));
        items.push(tagged("join", &id, marks));
    }
    vec![Item::Clip {
        path: seen.to_path(0.1),
        rule: FillRule::NonZero,
        inner: Drawing { items },
    }]
}

fn crosses(at: [Point; 2]) -> Item {
    let mut path = BezPath::new();
    for cross in at {
        for arm in [Vec2::new(CROSS_MM, 0.0), Vec2::new(0.0, CROSS_MM)] {
            path.extend(segment(cross - arm, cross + arm));
        }
    }
    stroke(path, Stroke::solid(CROSS_LINE_MM))
}

/// The letter beside a cross, inside the strip that both pages show.
fn letter(join: &Join, cross: Point) -> Item {
    let words = Words::bold(join.letter.clone());
    let start = if join.is_upright {
        Point::new(cross.x - words.width_mm() / 2.0, cross.y - CROSS_MM - 1.0)
    } else {
        Point::new(cross.x + CROSS_MM + 1.0, cross.y + 1.4)
    };
    words.at(start)
}

/// All tiles in small, with their numbers; this one has a thick edge.
fn key_plan(tiling: &Tiling, laid: Size, tile: usize, room: Rect) -> Vec<Item> {
    let whole = laid + Size::new(2.0 * EDGE_MM, 2.0 * EDGE_MM);
    let scale = (room.width() / whole.width).min(room.height() / whole.height);
    let left = room.x1 - scale * whole.width;
    let small = |p: Point| {
        Point::new(
            left + scale * (p.x + EDGE_MM),
            room.y0 + scale * (p.y + EDGE_MM),
        )
    };
    let mut items = Vec::new();
    for (i, window) in tiling.windows.iter().enumerate() {
        let corners = [window.origin(), Point::new(window.x1, window.y1)].map(small);
        let area = Rect::from_points(corners[0], corners[1]).inset(-0.5);
        let width_mm = if i == tile { 0.6 } else { 0.15 };
        items.push(stroke(area.to_path(0.1), Stroke::solid(width_mm)));
        let number = if i == tile {
            Words::bold((i + 1).to_string())
        } else {
            Words::plain((i + 1).to_string())
        };
        let middle = area.center();
        items.push(number.at(Point::new(
            middle.x - number.width_mm() / 2.0,
            middle.y + 1.4,
        )));
    }
    items
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tiles_cover_a_piece_and_lie_10_mm_over_each_other() {
        // A blank of 12 x 12 in, 304.8 mm, on 186 x 190 mm: two by two, since 2 x 186 - 10 = 362 covers it.
        let tiling = Tiling::new(Size::new(304.8, 304.8), Size::new(186.0, 190.0));
        assert_eq!(tiling.windows.len(), 4);
        let covered = tiling.windows.iter().copied().reduce(|a, b| a.union(b));
        let covered = covered.unwrap();
        assert!(covered.x0 <= 0.0 && covered.y0 <= 0.0);
        assert!(covered.x1 >= 304.8 && covered.y1 >= 304.8);
        let letters: Vec<&str> = tiling.joins.iter().map(|j| j.letter.as_str()).collect();
        assert_eq!(letters, ["A", "B", "C", "D"]);
        for join in &tiling.joins {
            let [a, b] = join.tiles.map(|tile| tiling.windows[tile]);
            let strip = a.intersect(b);
            let across_mm = strip.width().min(strip.height());
            assert!((across_mm - 10.0).abs() < 1e-9, "{strip:?}");
            for cross in join.crosses {
                assert!(strip.inset(-CROSS_MM).contains(cross), "{cross:?}");
                let off = cross - strip.center();
                let off_mm = if join.is_upright { off.x } else { off.y };
                assert!(off_mm.abs() > CROSS_MM);
            }
        }
        for window in &tiling.windows {
            assert!(window.width() <= 186.0 && window.height() <= 190.0);
        }
    }

    #[test]
    fn what_fits_a_page_is_one_tile() {
        let tiling = Tiling::new(Size::new(150.0, 180.0), Size::new(186.0, 190.0));
        assert_eq!(tiling.windows.len(), 1);
        assert!(tiling.joins.is_empty());
    }

    #[test]
    fn letters_go_on_after_z() {
        assert_eq!([0, 25, 26, 53].map(letters), ["A", "Z", "A2", "B3"]);
    }
}

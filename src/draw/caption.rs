//! The caption band: what a page is, and a rule to check its size with.

use kurbo::{BezPath, Point, Rect};

use super::text::{Align, TextLine, flowed};
use crate::drawing::{Colour, Drawing, Item, Paint, Stroke, Tag};

/// Em size of caption text.
pub(super) const TEXT_MM: f64 = 2.1;

/// Distance between baselines.
pub(super) const PITCH_MM: f64 = 2.7;

/// From the top of a band to its first baseline.
pub(super) const FIRST_BASELINE_MM: f64 = 2.0;

/// Room between the words and what stands beside them.
const GUTTER_MM: f64 = 5.0;

/// Narrowest column of words beside a rule.
const WORDS_MM: f64 = 58.0;

/// From the top of a band to the rule, with room above and below for a line of words each.
const RULE_DROP_MM: f64 = 4.0;

/// The same with a line of caption above.
const LOW_RULE_DROP_MM: f64 = 5.4;

/// From a label of the rule to its tick.
const LABEL_GAP_MM: f64 = 0.8;

/// From words to the rule's zero and to its labels.
const RULE_GAP_MM: f64 = 2.0;

const RULE_LINE_MM: f64 = 0.15;
const TICK_MM: f64 = 1.8;

/// What a caption says.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Words {
    /// Job and stock; shortened where room is short.
    pub(super) heading: String,
    /// Short statements, the most important one first.
    pub(super) notes: Vec<String>,
}

/// A rule that reads in both units.
#[derive(Debug, Clone, Copy, PartialEq)]
struct CheckRule {
    /// Length in millimetres: a whole number of inches.
    inch_end_mm: f64,
    inch_label: &'static str,
    /// Where the round number of millimetres is.
    round_mm: f64,
    round_label: &'static str,
}

const LONG: CheckRule = CheckRule {
    inch_end_mm: 101.6,
    inch_label: "0 to the end: 4 in",
    round_mm: 100.0,
    round_label: "0 to this tick: 100 mm",
};

const SHORT: CheckRule = CheckRule {
    inch_end_mm: 50.8,
    inch_label: "0 to the end: 2 in",
    round_mm: 50.0,
    round_label: "0 to this tick: 50 mm",
};

/// Returns the words and a check rule inside `band`, in the frame `band` is given in.
///
/// The rule stands beside the words where there is room, below one line of them where there is not, with the rest of them in what a long
/// rule leaves free. It is left out of a band that is narrower than 2 in.
pub(super) fn caption_with_rule(band: Rect, words: &Words) -> Drawing {
    let beside = band.width() - LONG.inch_end_mm - GUTTER_MM;
    if beside >= WORDS_MM {
        let column = Rect {
            x1: band.x0 + beside,
            ..band
        };
        let start = Point::new(band.x1 - LONG.inch_end_mm, band.y0 + RULE_DROP_MM);
        return Drawing {
            items: vec![caption(column, words), rule(LONG, start)],
        };
    }
    let start = Point::new(band.x0, band.y0 + LOW_RULE_DROP_MM);
    let fitting = [LONG, SHORT]
        .into_iter()
        .find(|rule| rule.inch_end_mm <= band.width());
    match fitting {
        Some(fitting) => Drawing {
            items: vec![caption_above(band, fitting, words), rule(fitting, start)],
        },
        None => Drawing {
            items: vec![caption(band, words)],
        },
    }
}

/// Returns the words of a band that the rule crosses: the heading above it, the notes between its zero and its labels, or all in
/// one line if that leaves too little.
fn caption_above(band: Rect, rule: CheckRule, words: &Words) -> Item {
    let label_mm = TextLine::new(rule.round_label, TEXT_MM).width_mm();
    let notes_mm = rule.round_mm - LABEL_GAP_MM - label_mm - 2.0 * RULE_GAP_MM;
    if notes_mm < WORDS_MM {
        let line = Rect {
            y1: band.y0 + PITCH_MM,
            ..band
        };
        return caption(line, words);
    }
    let first = Point::new(band.x0, band.y0 + FIRST_BASELINE_MM);
    let heading = TextLine::shortened(&words.heading, TEXT_MM, band.width());
    let mut items = vec![heading.at(first, Align::Left, Colour::BLACK)];
    let mut baseline = Point::new(first.x + RULE_GAP_MM, first.y);
    for line in flowed(&words.notes, TEXT_MM, notes_mm, 2) {
        baseline.y += PITCH_MM;
        items.push(line.at(baseline, Align::Left, Colour::BLACK));
    }
    tagged("caption", items)
}

/// Returns the words in `column`, as many lines as its height holds.
pub(super) fn caption(column: Rect, words: &Words) -> Item {
    let lines = lines_in(column.height());
    let placed = if lines == 1 {
        let mut phrases = words.notes.clone();
        phrases.push(words.heading.clone());
        flowed(&phrases, TEXT_MM, column.width(), 1)
    } else {
        let mut placed = vec![TextLine::shortened(&words.heading, TEXT_MM, column.width())];
        placed.extend(flowed(&words.notes, TEXT_MM, column.width(), lines - 1));
        placed
    };
    let mut baseline = Point::new(column.x0, column.y0 + FIRST_BASELINE_MM);
    let mut items = Vec::new();
    for line in placed {
        items.push(line.at(baseline, Align::Left, Colour::BLACK));
        baseline.y += PITCH_MM;
    }
    tagged("caption", items)
}

/// Lines of text that a band of this height holds, at least one.
pub(super) fn lines_in(height_mm: f64) -> usize {
    let mut lines = 1;
    let mut last_baseline_mm = FIRST_BASELINE_MM + PITCH_MM;
    while last_baseline_mm <= height_mm {
        lines += 1;
        last_baseline_mm += PITCH_MM;
    }
    lines
}

/// Returns the rule, its zero at `start`: inches below the line, millimetres above.
fn rule(rule: CheckRule, start: Point) -> Item {
    let at = |x_mm: f64, y_mm: f64| Point::new(start.x + x_mm, start.y + y_mm);
    let line = segments(&[(at(0.0, 0.0), at(rule.inch_end_mm, 0.0))]);
    let ticks = segments(&[
        (at(0.0, -TICK_MM), at(0.0, TICK_MM)),
        (at(rule.round_mm, -TICK_MM), at(rule.round_mm, 0.0)),
        (at(rule.inch_end_mm, 0.0), at(rule.inch_end_mm, TICK_MM)),
    ]);
    let label = |text, x_mm, y_mm| {
        let end = at(x_mm - LABEL_GAP_MM, y_mm);
        TextLine::new(text, TEXT_MM).at(end, Align::Right, Colour::BLACK)
    };
    let items = vec![
        black_line(line),
        black_line(ticks),
        label(rule.round_label, rule.round_mm, -0.7),
        label(rule.inch_label, rule.inch_end_mm, 2.1),
    ];
    tagged("rule", items)
}

fn segments(ends: &[(Point, Point)]) -> BezPath {
    let mut path = BezPath::new();
    for (from, to) in ends {
        path.move_to(*from);
        path.line_to(*to);
    }
    path
}

fn black_line(path: BezPath) -> Item {
    Item::Stroke {
        path,
        stroke: Stroke::solid(RULE_LINE_MM),
        paint: Paint::flat(Colour::BLACK),
    }
}

fn tagged(kind: &'static str, items: Vec<Item>) -> Item {
    Item::Tagged {
        tag: Tag {
            kind,
            id: kind.to_owned(),
        },
        inner: Drawing { items },
    }
}

#[cfg(test)]
mod tests {
    use kurbo::{PathSeg, Shape};

    use super::*;

    fn words() -> Words {
        Words {
            heading: "Plant-swap morning · oat card".into(),
            notes: [
                "print at 100 %",
                "sheet 1 of 2",
                "front",
                "print this page 6 times",
            ]
            .map(str::to_owned)
            .to_vec(),
        }
    }

    fn band(width_mm: f64) -> Rect {
        Rect::new(20.0, 265.0, 20.0 + width_mm, 273.0)
    }

    fn rule_line(drawing: &Drawing) -> Option<Rect> {
        drawing.items.iter().find_map(|item| {
            let Item::Tagged { tag, inner } = item else {
                panic!("{item:?}")
            };
            (tag.kind == "rule").then(|| item_bounds(&inner.items[0]))
        })
    }

    /// Everything drawn, with text as its line box.
    fn bounds(drawing: &Drawing) -> Rect {
        drawing
            .items
            .iter()
            .map(item_bounds)
            .reduce(|a, b| a.union(b))
            .unwrap()
    }

    fn item_bounds(item: &Item) -> Rect {
        match item {
            Item::Tagged { inner, .. } => bounds(inner),
            Item::Stroke { path, .. } => path.bounding_box(),
            Item::Glyphs(run) => {
                let start = run.matrix * Point::ORIGIN;
                let width_mm = TextLine::new(&run.text, run.size_mm).width_mm();
                // Descenders of the carried font reach 0.24 em down, capitals 0.71 em up.
                Rect::new(
                    start.x,
                    start.y - 0.72 * run.size_mm,
                    start.x + width_mm,
                    start.y + 0.24 * run.size_mm,
                )
            }
            Item::Fill { .. } | Item::Clip { .. } | Item::Picture { .. } => panic!("{item:?}"),
        }
    }

    #[test]
    fn the_rule_is_4_in_long_with_a_tick_at_100_mm() {
        // 4 in = 4 x 25.4 = 101.6 mm.
        let drawing = caption_with_rule(band(175.9), &words());
        let line = rule_line(&drawing).unwrap();
        assert!((line.width() - 101.6).abs() < 1e-9, "{line:?}");
        let Item::Tagged { inner, .. } = &drawing.items[1] else {
            panic!()
        };
        let Item::Stroke { path: ticks, .. } = &inner.items[1] else {
            panic!()
        };
        let places: Vec<f64> = ticks
            .segments()
            .map(|s| s.bounding_box().x0 - line.x0)
            .collect();
        for (place, want) in places.iter().zip([0.0, 100.0, 101.6]) {
            assert!((place - want).abs() < 1e-9, "{places:?}");
        }
    }

    #[test]
    fn everything_stays_inside_bands_of_any_width() {
        for width_mm in [
            20.0, 45.0, 50.8, 61.0, 90.0, 101.6, 112.0, 160.0, 164.7, 175.9, 203.2, 290.0,
        ] {
            let band = band(width_mm);
            let found = bounds(&caption_with_rule(band, &words()));
            let inside = band.inflate(0.01, 0.01);
            assert!(
                inside.x0 <= found.x0
                    && inside.y0 <= found.y0
                    && inside.x1 >= found.x1
                    && inside.y1 >= found.y1,
                "{width_mm}: {found:?} in {band:?}"
            );
        }
    }

    #[test]
    fn narrow_bands_get_2_in_and_very_narrow_ones_no_rule() {
        let length_mm =
            |width_mm| rule_line(&caption_with_rule(band(width_mm), &words())).map(|r| r.width());
        assert!((length_mm(101.6).unwrap() - 101.6).abs() < 1e-9);
        assert!((length_mm(101.5).unwrap() - 50.8).abs() < 1e-9);
        assert_eq!(length_mm(50.7), None);
    }

    #[test]
    fn words_and_rule_share_no_room() {
        for width_mm in [61.0, 112.0, 175.9] {
            let drawing = caption_with_rule(band(width_mm), &words());
            let [words, rule] = &drawing.items[..] else {
                panic!()
            };
            for (word, line) in boxes(words)
                .into_iter()
                .flat_map(|word| boxes(rule).into_iter().map(move |line| (word, line)))
            {
                let overlap = word.intersect(line);
                assert!(
                    overlap.width() <= 0.0 || overlap.height() <= 0.0,
                    "{width_mm}: {overlap:?}"
                );
            }
        }
    }

    /// The boxes of a tagged item's lines of text and straight lines, with half the width of a line all round.
    fn boxes(item: &Item) -> Vec<Rect> {
        let Item::Tagged { inner, .. } = item else {
            panic!("{item:?}")
        };
        let of = |item: &Item| -> Vec<Rect> {
            let Item::Stroke { path, .. } = item else {
                return vec![item_bounds(item)];
            };
            let half_mm = RULE_LINE_MM / 2.0;
            let around = |s: PathSeg| s.bounding_box().inflate(half_mm, half_mm);
            path.segments().map(around).collect()
        };
        inner.items.iter().flat_map(of).collect()
    }

    #[test]
    fn an_a5_sheet_names_its_job_its_turn_and_its_cut_file() {
        // Between the marks A5 has 148 - 2 x (6.35 + 8) = 119.3 mm.
        let words = Words {
            heading: "Club badges of the garden club · sun yellow card".into(),
            notes: [
                "print at 100 %",
                "sheet 1 of 2",
                "front",
                "print this page 12 times",
                "then turn over head over heels for page 2",
                "cut with cut-01.svg",
            ]
            .map(str::to_owned)
            .to_vec(),
        };
        let drawing = caption_with_rule(band(119.3), &words);
        let Item::Tagged { inner, .. } = &drawing.items[0] else {
            panic!()
        };
        let lines: Vec<&str> = inner
            .items
            .iter()
            .map(|item| {
                let Item::Glyphs(run) = item else {
                    panic!("{item:?}")
                };
                run.text.as_str()
            })
            .collect();
        assert_eq!(
            lines,
            [
                "Club badges of the garden club · sun yellow card",
                "print at 100 % · sheet 1 of 2 · front · print this page 12 times",
                "then turn over head over heels for page 2 · cut with cut-01.svg"
            ]
        );
    }
}

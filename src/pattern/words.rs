//! Lines of the maker's own words.

use kurbo::{Affine, BezPath, Point, Vec2};

use super::motif::{circle_into, flat, layer, require_repeat};
use super::{Field, Kind, Refusal, Settings, Steps, Takes};
use crate::drawing::Weight;
use crate::font::{Face, missing, named, normalise};
use crate::project::Reads;

/// Words over and over, a dot between, every second row shifted by half.
pub(super) const WORDS: Kind = Kind {
    name: "words",
    title: "Words",
    says: "rows of your own words with a dot between them, every second row shifted by half; one line of words and one colour after the other",
    repeat_is: "from a row to the next one",
    usual_repeat: ("8 mm", "5/16 in"),
    weight_is: "of the way between rows that capitals are high",
    usual_weight: 0.36,
    weights: (0.15, 0.7),
    colours: (2, 5),
    takes: Takes::Words,
    draw,
};

/// Letters of this pattern at its usual weight are then 1.1 mm high, about 4 pt type; smaller is not read.
const FINEST_MM: f64 = 3.0;

/// What is set where the maker has not said anything.
const USUAL: [&str; 2] = ["grown with love", "plant me"];

/// More letters in a line than this make a motif that is wider than paper.
const MOST_LETTERS: usize = 80;

/// More lines make a pattern nobody sees come again.
const MOST_LINES: usize = 12;

/// Extra room between letters, in em: small words on paper are set a little wide.
const SPACED_EM: f64 = 0.04;

/// Room on both sides of the dot, and its radius, in em.
const DOT_ROOM_EM: f64 = 0.55;
const DOT_RADIUS_EM: f64 = 0.085;

/// How high above the baseline the dot's middle is, in em: half of a small letter.
const DOT_ABOVE_EM: f64 = 0.27;

/// As many widest lines are tried as the length after which all lines come again.
const MOST_WIDEST: u32 = 6;

/// One line of words from its start, on the baseline.
struct Line {
    path: BezPath,
    words_mm: f64,
    /// With the dot and the room beside it.
    width_mm: f64,
}

fn draw(settings: &Settings) -> Result<Field, Refusal> {
    require_repeat(settings, FINEST_MM)?;
    let row_mm = settings.repeat_mm;
    let face = Face::of(Weight::Regular);
    let capital_mm = row_mm * settings.weight;
    let em_mm = capital_mm / face.cap_height_em();
    let lines = lines(settings, &face, em_mm)?;
    let width_mm = common_width_mm(&lines);
    let inks = &settings.colours[1..];
    let rows = cycle(lines.len(), inks.len());
    let mut layers = Vec::new();
    for row in 0..rows {
        let line = &lines[row % lines.len()];
        let across_mm = width_mm / copies(width_mm, line.width_mm);
        let shifted_mm = if row % 2 == 1 { across_mm / 2.0 } else { 0.0 };
        let baseline = Vec2::new(shifted_mm, count(row) * row_mm + capital_mm / 2.0);
        let mut path = line.path.clone();
        let dot_x_mm = (line.words_mm + across_mm) / 2.0;
        let dot = Point::new(dot_x_mm, -DOT_ABOVE_EM * em_mm);
        circle_into(&mut path, dot, DOT_RADIUS_EM * em_mm);
        let path = Affine::translate(baseline) * path;
        // An odd number of rows comes again shifted by half.
        let down_mm = if rows % 2 == 1 { across_mm / 2.0 } else { 0.0 };
        let steps = Steps::Grid {
            across: Vec2::new(across_mm, 0.0),
            down: Vec2::new(down_mm, count(rows) * row_mm),
        };
        layers.push(layer(vec![flat(&path, inks[row % inks.len()])], steps));
    }
    let whole = if rows % 2 == 1 { rows * 2 } else { rows };
    Ok(Field {
        ground: settings.colours[0],
        layers,
        reads: Reads::OneWay,
        repeat_mm: Vec2::new(width_mm, count(whole) * row_mm),
    })
}

fn count(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

/// After how many rows both lines and colours come again: their least common multiple.
fn cycle(lines: usize, colours: usize) -> usize {
    let mut rows = lines;
    while !rows.is_multiple_of(colours) {
        rows += lines;
    }
    rows
}

fn lines(settings: &Settings, face: &Face, em_mm: f64) -> Result<Vec<Line>, Refusal> {
    if settings.words.is_empty() {
        return USUAL.iter().map(|text| line(text, face, em_mm)).collect();
    }
    if settings.words.len() > MOST_LINES {
        return Err(refusal(
            format!(
                "{} lines of words; there may be {MOST_LINES}",
                settings.words.len()
            ),
            "leave out some of the lines".to_owned(),
        ));
    }
    settings
        .words
        .iter()
        .map(|text| line(text, face, em_mm))
        .collect()
}

fn refusal(message: String, hint: String) -> Refusal {
    Refusal {
        key: "words",
        message,
        hint,
    }
}

fn line(text: &str, face: &Face, em_mm: f64) -> Result<Line, Refusal> {
    require_shown(text, face)?;
    let text = normalise(text.trim());
    let mut path = BezPath::new();
    let mut x_em = 0.0;
    for glyph in text.chars().filter_map(|character| face.glyph(character)) {
        let place = Affine::scale(em_mm) * Affine::translate((x_em, 0.0));
        path.extend(place * face.outline(glyph));
        x_em += face.advance_em(glyph) + SPACED_EM;
    }
    let words_em = x_em - SPACED_EM;
    Ok(Line {
        path,
        words_mm: words_em * em_mm,
        width_mm: (words_em + 2.0 * DOT_ROOM_EM) * em_mm,
    })
}

fn require_shown(text: &str, face: &Face) -> Result<(), Refusal> {
    let characters = missing(face, text);
    if !characters.is_empty() {
        let names: Vec<String> = characters.into_iter().map(named).collect();
        return Err(refusal(
            format!(
                "the carried font has no glyph for {} in \"{text}\"",
                names.join(", ")
            ),
            "leave these characters out, or write them in another way".to_owned(),
        ));
    }
    let letters = normalise(text.trim()).chars().count();
    if letters == 0 || letters > MOST_LETTERS {
        return Err(refusal(
            format!("\"{text}\" has {letters} characters; a line of words has 1 to {MOST_LETTERS}"),
            "words = [\"grown with love\"]".to_owned(),
        ));
    }
    Ok(())
}

/// How often a line is set in this width: as often as it fits.
fn copies(width_mm: f64, line_mm: f64) -> f64 {
    // The small allowance keeps a line that fits but for rounding.
    (width_mm / line_mm + 1e-9).floor().max(1.0)
}

/// The width after which all lines come again: so many of the widest line that the others need the least extra room between their words.
fn common_width_mm(lines: &[Line]) -> f64 {
    let widest_mm = lines.iter().map(|line| line.width_mm).fold(0.0, f64::max);
    let stretch = |width_mm: f64| {
        let most = lines
            .iter()
            .map(|line| width_mm / copies(width_mm, line.width_mm) / line.width_mm);
        most.fold(0.0, f64::max)
    };
    let mut best_mm = widest_mm;
    for times in 2..=MOST_WIDEST {
        let width_mm = widest_mm * f64::from(times);
        if stretch(width_mm) < stretch(best_mm) - 0.02 {
            best_mm = width_mm;
        }
    }
    best_mm
}

#[cfg(test)]
mod tests {
    use kurbo::{Rect, Shape};

    use super::super::motif::seen;
    use super::super::spread::{generator, unit};
    use super::super::woven::{SIX, settings};
    use super::*;

    fn drawn(
        repeat_mm: f64,
        weight: f64,
        colours: usize,
        words: &[&str],
    ) -> Result<Field, Refusal> {
        draw(&Settings {
            words: words.iter().map(|&line| line.to_owned()).collect(),
            ..settings(repeat_mm, weight, colours)
        })
    }

    /// The font's file: an H fills x 199 to 1317 and y 0 to 1462 of 2048, capitals are 1462 high. Repeat 10, weight 0.5: capitals of 5 mm, their
    /// middle on the row; an em is 5 * 2048 / 1462 = 7.004 mm. The next row begins half of the way to the next H (1518 + 2 * 0.55 em) later.
    #[test]
    fn capitals_are_as_high_as_their_share_of_the_way_between_rows() {
        let field = drawn(10.0, 0.5, 2, &["H"]).unwrap();
        let em = 5.0 * 2048.0 / 1462.0;
        let across = em * (1518.0 / 2048.0 + 1.1);
        assert!((field.repeat_mm - Vec2::new(across, 20.0)).hypot2() < 1e-18);
        let mut found = seen::boxes(&field, Rect::new(0.0, -4.0, 12.0, 14.0));
        found.retain(|(_, b)| (b.height() - 5.0).abs() < 1e-9 && b.x0 > 0.0);
        let left = em * 199.0 / 2048.0;
        let wide = em * (1317.0 - 199.0) / 2048.0;
        let wanted = [(left, -2.5), (left + across / 2.0, 7.5)];
        let wanted = wanted.map(|(x, y)| (SIX[1], Rect::new(x, y, x + wide, y + 5.0)));
        seen::assert_same(found, wanted.to_vec());
    }

    #[test]
    fn shifts_show_every_letter_once_for_a_hundred_settings() {
        let mut random = generator(61);
        let mut unit = || unit(&mut random);
        let face = Face::carried();
        for n in 0..100 {
            let (repeat_mm, weight) = (3.0 + 17.0 * unit(), 0.15 + 0.55 * unit());
            let text = ["mint", "sweet pea", "Żur & thyme"][n % 3];
            let field = drawn(repeat_mm, weight, 2 + n % 2, &[text]).unwrap();
            let corner = Point::new(200.0 * unit() - 100.0, 200.0 * unit() - 100.0);
            let over = Rect::from_origin_size(corner, (30.0 * unit() + 1.0, 30.0 * unit() + 1.0));
            // One line, so every row has it; with two colours, they take turns.
            let em = repeat_mm * weight * 2048.0 / 1462.0;
            let mut line = BezPath::new();
            let mut x = 0.0;
            for glyph in text.chars().map(|letter| face.glyph(letter).unwrap()) {
                line.extend(Affine::translate((x, 0.0)) * face.outline(glyph));
                x += face.advance_em(glyph) + 0.04;
            }
            let across = x - 0.04 + 1.1;
            circle_into(&mut line, Point::new(x - 0.04 + 0.55, -0.27), 0.085);
            let boxes: Vec<Rect> = seen::rings(&(Affine::scale(em) * line))
                .iter()
                .map(Shape::bounding_box)
                .collect();
            let mut wanted = Vec::new();
            for (row, column) in (-50..50_i32).flat_map(|row| (-200..200).map(move |c| (row, c))) {
                let half = if row.rem_euclid(2) == 1 { 0.5 } else { 0.0 };
                let shift = Vec2::new(
                    (f64::from(column) + half) * across * em,
                    (f64::from(row) + weight / 2.0) * repeat_mm,
                );
                let colour = SIX[1 + seen::place(row, 1 + n % 2)];
                let moved = boxes.iter().map(|b| *b + shift);
                wanted.extend(
                    moved
                        .filter(|b| seen::reaches(*b, over))
                        .map(|b| (colour, b)),
                );
            }
            seen::assert_same(seen::boxes(&field, over), wanted);
        }
    }

    #[test]
    fn lines_of_any_length_come_again_together_and_never_closer_than_set() {
        let words = ["sweet pea, cosmos and stock", "mint", "thyme"];
        let field = drawn(8.0, 0.36, 3, &words).unwrap();
        // Three lines and two colours: six rows.
        assert_eq!(field.layers.len(), 6);
        assert!((field.repeat_mm.y - 48.0).abs() < 1e-12);
        for layer in &field.layers {
            let Steps::Grid { across, .. } = layer.steps else {
                panic!("{:?}", layer.steps)
            };
            let copies = field.repeat_mm.x / across.x;
            assert!((copies - copies.round()).abs() < 1e-9, "{copies}");
            assert!(layer.bounds.width() < across.x);
        }
        for moved in [Vec2::new(field.repeat_mm.x, 0.0), Vec2::new(0.0, 48.0)] {
            assert!(seen::differs_turned(&field, 0, moved, 60.0) <= 0.0);
        }
        assert_eq!(field.reads, Reads::OneWay);
        let capitals = drawn(8.0, 0.7, 2, &["LLL"]).unwrap();
        for quarters in 1..4 {
            for n in 0..144 {
                let parts = Vec2::new(f64::from(n % 12), f64::from(n / 12)) / 12.0;
                let moved = Vec2::new(parts.x * capitals.repeat_mm.x, parts.y * 16.0);
                let differing = seen::differs_turned(&capitals, quarters, moved, 50.0);
                assert!(differing > 0.05, "{quarters} {n}: {differing}");
            }
        }
        assert!(drawn(8.0, 0.36, 2, &[]).is_ok());
    }

    #[test]
    fn what_cannot_be_set_is_refused_by_name() {
        let said = |words: &[&str]| drawn(8.0, 0.36, 2, words).unwrap_err();
        let missing = said(&["mint", "豆 and 🌱"]);
        assert_eq!(missing.key, "words");
        assert!(
            missing
                .message
                .contains("\"豆\" (U+8C46), \"🌱\" (U+1F331)"),
            "{missing:?}"
        );
        assert!(
            said(&["mint"; 13])
                .message
                .contains("13 lines of words; there may be 12")
        );
        assert!(said(&[" "]).message.contains("0 characters"));
        assert!(
            said(&["m".repeat(81).as_str()])
                .message
                .contains("81 characters")
        );
        let fine = drawn(2.9, 0.36, 2, &["mint"]).unwrap_err();
        assert_eq!(
            (fine.key, fine.hint.as_str()),
            ("repeat", "repeat = \"3 mm\"")
        );
    }
}

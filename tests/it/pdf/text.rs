//! Text in the carried font: found again by other programs, and standing where it was set.

use kurbo::Affine;
use sheetwright::{
    drawing::{Colour, GlyphRun, Gradient, GradientStop, Item, Paint, Weight},
    font::{self, Face},
};

use super::{assert_near, black, colour_at, written};
use crate::tool::{RENDERERS, run};

const LABEL_MM: [f64; 2] = [120.0, 50.0];

fn line(text: &str, size_mm: f64, matrix: Affine, paint: Paint) -> GlyphRun {
    font::run(&Face::carried(), text, size_mm, matrix, paint).unwrap()
}

#[test]
fn text_is_found_again_as_it_was_written() {
    let words = ["Żółw Ωμέγα Жук 2¼ ⅛", "garlic µ μ (bulb) \\ 3/8 in → Δ ∆"];
    let items = words
        .iter()
        .zip([15.0, 30.0])
        .map(|(text, y_mm)| Item::Glyphs(line(text, 6.0, Affine::translate((5.0, y_mm)), black())));
    let file = written("words", LABEL_MM, items.collect(), &[]);
    for text in [
        run("pdftotext", &["-layout", &file.path, "-"]),
        run("mutool", &["draw", "-q", "-F", "txt", &file.path]),
    ] {
        let found: Vec<_> = text
            .lines()
            .map(str::trim)
            .filter(|line| !line.is_empty())
            .collect();
        assert_eq!(found, words);
    }
}

#[test]
fn the_font_is_an_embedded_subset_with_unicode() {
    let item = Item::Glyphs(line("Żuk", 6.0, Affine::translate((5.0, 15.0)), black()));
    let file = written("font", LABEL_MM, vec![item], &[]);
    let list = run("pdffonts", &[&file.path]);
    let fonts: Vec<Vec<&str>> = list
        .lines()
        .skip(2)
        .map(|line| line.split_whitespace().collect())
        .collect();
    let [font] = fonts.as_slice() else {
        panic!("one font, not {list}");
    };
    let (tag, name) = font[0].split_once('+').unwrap();
    assert!(
        tag.len() == 6 && tag.bytes().all(|letter| letter.is_ascii_uppercase()),
        "{list}"
    );
    assert_eq!(name, "NotoSans");
    assert_eq!(
        font[1..7],
        ["CID", "TrueType", "Identity-H", "yes", "yes", "yes"],
        "{list}"
    );

    let blank = written("no-font", LABEL_MM, Vec::new(), &[]);
    assert!(!blank.unpacked().contains("/Font"));
}

#[test]
fn two_weights_are_two_embedded_subsets_and_read_as_written() {
    // Glyph numbers and widths differ between the weights, and the same words are set in both.
    let words = "Score Żółw at 2¼ in";
    let set = |weight, y_mm| {
        let face = Face::of(weight);
        let place = Affine::translate((5.0, y_mm));
        Item::Glyphs(font::run(&face, words, 6.0, place, black()).unwrap())
    };
    let items = vec![set(Weight::Bold, 15.0), set(Weight::Regular, 30.0)];
    let file = written("weights", LABEL_MM, items, &[]);
    let list = run("pdffonts", &[&file.path]);
    let mut names = Vec::new();
    for line in list.lines().skip(2) {
        let columns: Vec<&str> = line.split_whitespace().collect();
        assert_eq!(columns[4..7], ["yes", "yes", "yes"], "{list}");
        names.push(columns[0].split_once('+').unwrap().1);
    }
    names.sort_unstable();
    assert_eq!(names, ["NotoSans", "NotoSans-Bold"], "{list}");
    for text in [
        run("pdftotext", &["-layout", &file.path, "-"]),
        run("mutool", &["draw", "-q", "-F", "txt", &file.path]),
    ] {
        let lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
        assert_eq!(lines.collect::<Vec<_>>(), [words, words]);
    }
    // Read from the tables of both files: H 1518 and 1567 of 2048 units, i 528 and 625.
    let widths = |name: &str| {
        let font = format!("pages/1/Resources/Font/{name}/DescendantFonts/1/W");
        file.object(&font)
    };
    let units = |advance: f64| format!("{:.3}", advance * 1000.0 / 2048.0);
    assert!(widths("F1").contains(&units(528.0)), "{}", widths("F1"));
    assert!(widths("F2").contains(&units(625.0)), "{}", widths("F2"));
}

#[test]
fn letters_stand_on_their_baseline_at_their_size() {
    // From the font's tables, 2048 units in an em: H fills x 199 to 1317 and y 0 to 1462; its advance is 1518.
    let units = |units: f64| units / 2048.0 * 20.0;
    let (x_mm, y_mm) = (10.0, 40.0);
    let mut spaced = line("HH", 20.0, Affine::translate((x_mm, y_mm)), black());
    spaced.glyphs[0].x_mm = 2.0;
    spaced.glyphs[1].x_mm += 7.5;
    let file = written("baseline", LABEL_MM, vec![Item::Glyphs(spaced)], &[]);
    for renderer in RENDERERS {
        let picture = file.picture(renderer, 600);
        let is_dark = |x: u32, y: u32| picture.get_pixel(x, y).0[0] < 128;
        let (width, height) = picture.dimensions();
        let rows: Vec<u32> = (0..height)
            .filter(|y| (0..width).any(|x| is_dark(x, *y)))
            .collect();
        let columns: Vec<u32> = (0..width)
            .filter(|x| (0..height).any(|y| is_dark(*x, y)))
            .collect();
        let mm = |pixel: u32| f64::from(pixel) * 25.4 / 600.0;
        for (what, found, want) in [
            ("top", mm(rows[0]), y_mm - units(1462.0)),
            ("bottom", mm(rows[rows.len() - 1] + 1), y_mm),
            ("left", mm(columns[0]), x_mm + 2.0 + units(199.0)),
            (
                "right",
                mm(columns[columns.len() - 1] + 1),
                x_mm + units(1518.0) + 7.5 + units(1317.0),
            ),
        ] {
            // A pixel is 0.042 mm, and a dark one is at least half covered.
            assert!(
                (found - want).abs() < 0.04,
                "{renderer:?} {what}: {found} mm, not {want}"
            );
        }
    }
}

#[test]
fn widths_are_those_of_the_font() {
    // Advances in 2048ths of an em: H 1518, i 528; times 1000 / 2048.
    let item = Item::Glyphs(line("Hi", 6.0, Affine::translate((5.0, 15.0)), black()));
    let file = written("widths", LABEL_MM, vec![item], &[]);
    let widths = file.object("pages/1/Resources/Font/F1/DescendantFonts/1/W");
    assert_eq!(widths, "[ 1 [ 741.211 257.812 ] ]");
}

#[test]
fn turned_and_graded_text_is_painted_where_it_is_set() {
    // Reading upwards from (40, 45): along the text is -y, up the letter is -x.
    let upwards = Affine::new([0.0, -1.0, 1.0, 0.0, 40.0, 45.0]);
    let stops = [(0.0, Colour::rgb(200, 0, 0)), (1.0, Colour::rgb(0, 0, 200))];
    let gradient = Gradient {
        stops: stops
            .map(|(offset, colour)| GradientStop { offset, colour })
            .to_vec(),
        matrix: Affine::IDENTITY,
    };
    let paint = Paint::Linear {
        from: (0.0, 45.0).into(),
        to: (0.0, 5.0).into(),
        gradient,
    };
    let veiled = Paint::Solid {
        colour: Colour::BLACK,
        opacity: 0.4,
    };
    let items = vec![
        Item::Glyphs(line("H", 50.0, upwards, paint)),
        Item::Glyphs(line("H", 50.0, Affine::translate((60.0, 45.0)), veiled)),
    ];
    let file = written("turned-text", LABEL_MM, items, &[]);
    // The left stem of H begins 199 / 2048 of an em along the text, 4.86 mm. The place looked at lies 1.54 mm into it, 6.4 mm
    // along and 10 mm up: at y 38.6 the gradient is at (45 - 38.6) / 40 = 0.16 of its way, (168, 0, 32).
    for renderer in RENDERERS {
        let picture = file.picture(renderer, 150);
        for (x_mm, y_mm, want) in [
            (30.0, 38.6, [168, 0, 32]),
            (30.0, 40.6, [255; 3]),
            (66.4, 35.0, [153; 3]),
            (64.4, 35.0, [255; 3]),
        ] {
            let found = colour_at(&picture, 150, x_mm, y_mm);
            assert_near(found, want, 4, &format!("{renderer:?} at {x_mm}, {y_mm}"));
        }
    }
}

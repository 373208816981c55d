//! Templates at their true size: measured in pixels, read as text, and put together over pages.

use std::sync::LazyLock;

use image::RgbImage;
use sheetwright::handout::{self, FitTest};
use sheetwright::job::{self, FileSet};
use sheetwright::plan::PlanOptions;
use sheetwright::{draw, emit, load, verify};

use crate::folder::Folder;
use crate::made::made;
use crate::program::root;
use crate::tool::{PdfFile, RENDERERS, Renderer, run};

/// A name plate that fills much of a page, a tag that is creased, torn and punched, and a sign over several pages.
const TABLE: &str = r#"
sheetwright = 1

[job]
name = "Swap table"
copies = 6
cut_by = "machine"
date = "2027-04-17"

[[stock]]
id = "moss"
name = "Moss card"
format = "a4"

[[stock]]
id = "poster"
name = "Poster card"
format = "a2"

[[piece]]
id = "plate"
name = "Name plate"
stock = "moss"
shape = { kind = "rectangle", width = "150 mm", height = "90 mm" }

[[piece]]
id = "tag"
name = "Tag"
stock = "moss"
shape = { kind = "rectangle", width = "80 mm", height = "40 mm" }

[[piece.operation]]
kind = "crease"
at_x = "20 mm"
fold = "valley"

[[piece.operation]]
kind = "crease"
at_x = "40 mm"
fold = "mountain"

[[piece.operation]]
kind = "perforation"
at_x = "60 mm"
cut_length = "2 mm"
gap = "1 mm"

[[piece.operation]]
kind = "hole"
at = "10 mm, 20 mm"
diameter = "5 mm"

[[piece]]
id = "sign"
name = "Table sign"
stock = "poster"
shape = { kind = "rectangle", width = "300 mm", height = "180 mm" }
"#;

static MADE: LazyLock<FileSet> = LazyLock::new(|| made(TABLE, &Folder(".".into())).files);

/// What the program makes of the table; checked by its own proof.
pub(crate) fn table() -> &'static FileSet {
    &MADE
}

/// One page as a file of its own; tests that run beside each other have different names.
fn page(test: &str, number: u32) -> PdfFile {
    let whole = PdfFile::checked(
        &format!("templates-{test}-whole-{number}"),
        &table()["templates.pdf"],
    );
    let out = format!("{}-page.pdf", whole.path);
    let range = format!("{number}-{number}");
    run("qpdf", &[&whole.path, "--pages", ".", &range, "--", &out]);
    PdfFile::checked(
        &format!("templates-{test}-{number}"),
        &std::fs::read(out).unwrap(),
    )
}

/// A square reads the same however it is turned: each of its pages must be taken to lie alike.
#[test]
fn a_plain_square_over_several_pages_is_proved() {
    let text = r#"
        sheetwright = 1
        job = { name = "Swap sign", copies = 1, cut_by = "machine" }
        stock = [{ id = "poster", format = "14 x 14 in" }]
        piece = [{ id = "sign", stock = "poster", shape = { kind = "rectangle", size = "12 x 12 in" } }]
    "#;
    let made = made(text, &Folder(".".into()));
    assert!(made.verdict.is_proved(), "{:#?}", made.verdict);
}

const DPI: u32 = 600;

fn mm(px: f64) -> f64 {
    px * 25.4 / f64::from(DPI)
}

fn px(mm: f64) -> u32 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place on the page is positive and small"
    )]
    let px = (mm * f64::from(DPI) / 25.4).round() as u32;
    px
}

fn dark(picture: &RgbImage, x: u32, y: u32) -> f64 {
    f64::from(255 - picture.get_pixel(x, y).0[0])
}

/// Middles of the dark lines that cross a line of pixels, by their weight of ink.
fn lines(ink: impl Iterator<Item = (u32, f64)>) -> Vec<f64> {
    let (mut found, mut sum, mut moment) = (Vec::new(), 0.0, 0.0);
    for (at, dark) in ink {
        if dark > 8.0 {
            sum += dark;
            moment += dark * (f64::from(at) + 0.5);
        } else if sum > 0.0 {
            found.push(mm(moment / sum));
            (sum, moment) = (0.0, 0.0);
        }
    }
    found
}

fn along_row(picture: &RgbImage, y_mm: f64, from_mm: f64, to_mm: f64) -> Vec<f64> {
    let y = px(y_mm);
    lines((px(from_mm)..px(to_mm)).map(|x| (x, dark(picture, x, y))))
}

fn along_column(picture: &RgbImage, x_mm: f64, from_mm: f64, to_mm: f64) -> Vec<f64> {
    let x = px(x_mm);
    lines((px(from_mm)..px(to_mm)).map(|y| (y, dark(picture, x, y))))
}

/// How far a length may be off: 0.02 mm. poppler's own rasteriser moves each upright or level line to whole pixels, which no file can
/// help: half a pixel at each end of a length, 25.4 / 600 = 0.0423 mm; through cairo, poppler paints lines where they are.
const fn bar_mm(renderer: Renderer) -> f64 {
    match renderer {
        Renderer::Cairo | Renderer::Mupdf => 0.02,
        Renderer::Splash => 0.0424,
    }
}

/// Where a piece begins: 20 mm of punched margin; the box of 10 1/2 in in the middle of A4, its title line of 7.2 mm; and half a
/// millimetre for the lines.
const LEFT_MM: f64 = 20.5;
const TOP_MM: f64 = (297.0 - 266.7) / 2.0 + 7.2 + 0.5;

#[test]
fn pieces_and_scale_bars_measure_what_they_should_in_pixels() {
    let file = page("size", 1);
    for renderer in RENDERERS {
        let picture = file.picture(renderer, DPI);
        // The plate is the highest of the small ones and stands first: 150 x 90 mm.
        let across = along_row(&picture, TOP_MM + 45.0, 20.0, 200.0);
        assert_eq!(across.len(), 2, "{renderer:?}: {across:?}");
        let down = along_column(&picture, LEFT_MM + 75.0, TOP_MM - 1.0, TOP_MM + 91.0);
        assert_eq!(down.len(), 2, "{renderer:?}: {down:?}");
        for (found_mm, want_mm) in [
            (across[1] - across[0], 150.0),
            (down[1] - down[0], 90.0),
            (across[0], LEFT_MM),
            (down[0], TOP_MM),
        ] {
            let off_mm = (found_mm - want_mm).abs();
            assert!(
                off_mm < bar_mm(renderer),
                "{renderer:?}: {found_mm}, not {want_mm}"
            );
        }
        // The ticks of both bars, above their lines, without the words after them: 50 mm, and 2 in = 50.8 mm.
        for (from_mm, to_mm, want_mm) in [(20.0, 71.5, 50.0), (89.0, 142.5, 50.8)] {
            let below = along_column(&picture, from_mm + 20.0, 220.0, 297.0);
            let ticks = below.iter().find_map(|y| {
                let ticks = along_row(&picture, y - 1.0, from_mm, to_mm);
                (ticks.len() == 2 && ticks[1] - ticks[0] > 40.0).then_some(ticks)
            });
            let ticks = ticks.expect("a bar with a tick at each end");
            let off_mm = (ticks[1] - ticks[0] - want_mm).abs();
            assert!(
                off_mm < bar_mm(renderer),
                "{renderer:?}: {ticks:?}, not {want_mm}"
            );
        }
    }
}

#[test]
fn holes_for_filing_are_where_punches_make_them() {
    // ISO 838: 80 mm from hole to hole about the middle of the edge, 12 mm from it. Nothing else is in the margin.
    let file = page("holes", 1);
    for renderer in RENDERERS {
        let picture = file.picture(renderer, DPI);
        for y_mm in [297.0 / 2.0 - 40.0, 297.0 / 2.0 + 40.0] {
            // The ring of 4 mm, off the level arm of the cross.
            let ring = along_row(&picture, y_mm + 1.4, 7.0, 19.0);
            let middle_mm = f64::midpoint(ring[0], ring[ring.len() - 1]);
            assert!(
                (middle_mm - 12.0).abs() < bar_mm(renderer),
                "{renderer:?}: {ring:?}"
            );
        }
        let margin: f64 = (px(0.0)..px(9.5))
            .flat_map(|x| (0..picture.height()).map(move |y| (x, y)))
            .map(|(x, y)| dark(&picture, x, y))
            .sum();
        assert!(margin < 1.0, "{renderer:?}: {margin}");
    }
}

#[test]
fn the_words_say_what_how_many_of_what_and_which_face() {
    let file = PdfFile::checked("templates-words", &table()["templates.pdf"]);
    for text in [
        run("pdftotext", &["-layout", &file.path, "-"]),
        run("mutool", &["draw", "-q", "-F", "txt", &file.path]),
    ] {
        // Six copies, one of each.
        for words in [
            "Name plate",
            "Moss card · 1 a copy, 6 in all",
            "150 mm x 90 mm, front seen",
            "creases: 1 mountain, 1 valley",
            "2027-04-17",
            "valley crease",
            "perforation",
            "Table sign",
            "tile 2 of 2",
            "50 mm",
            "2 in",
        ] {
            assert!(text.contains(words), "no {words} in {text}");
        }
    }
}

#[test]
fn only_embedded_fonts_and_nothing_private() {
    let file = PdfFile::checked("templates-fonts", &table()["templates.pdf"]);
    let fonts = run("pdffonts", &[&file.path]);
    for line in fonts.lines().skip(2) {
        assert!(line.contains(" yes yes yes "), "{fonts}");
    }
    assert!(fonts.contains("+NotoSans-Bold"), "{fonts}");
    let information = file.object("trailer/Info");
    for key in information.split('/').skip(1) {
        let key = key.split([' ', '(']).next().unwrap();
        assert!(
            ["Title", "Author", "Producer"].contains(&key),
            "{information}"
        );
    }
}

#[test]
fn nothing_seen_leaves_what_letter_and_a4_both_print() {
    // A4 is 210 x 297 mm; the box of 196.85 x 266.7 mm stands in its middle.
    let file = PdfFile::checked("templates-inside", &table()["templates.pdf"]);
    let count = run("pdfinfo", &[&file.path]);
    let count = count
        .lines()
        .find_map(|line| line.strip_prefix("Pages:"))
        .unwrap();
    let count: u32 = count.trim().parse().unwrap();
    assert_eq!(count, 3, "one page of small pieces, two tiles");
    for number in 1..=count {
        let picture = page("inside", number).picture(RENDERERS[0], 150);
        let (left, top) = ((210.0 - 196.85) / 2.0, (297.0 - 266.7) / 2.0);
        for (x, y, pixel) in picture.enumerate_pixels() {
            let at = |px: u32| (f64::from(px) + 0.5) * 25.4 / 150.0;
            let is_inside = at(x) > left - 0.2
                && at(x) < 210.0 - left + 0.2
                && at(y) > top - 0.2
                && at(y) < 297.0 - top + 0.2;
            assert!(is_inside || pixel.0[0] > 250, "page {number}: {x}, {y}");
        }
    }
}

#[test]
fn tiles_join_within_two_hundredths_of_a_millimetre() {
    // The sign of 300 mm is shown by two windows of (301 + 10) / 2 = 155.5 mm, half a millimetre before its edge: the second begins
    // at 145 mm, and the crosses stand 2.6 mm further, at 147.6 mm, clear of a crease in the middle of the sign. They lie on the middle line of the sign, off its horizontal edges.
    let (first, second) = (page("join", 2), page("join", 3));
    for renderer in RENDERERS {
        let of = |file: &PdfFile| {
            let picture = file.picture(renderer, DPI);
            let edges = along_column(&picture, 100.0, 45.0, 250.0);
            let (top, bottom) = (edges[0], edges[edges.len() - 1]);
            (picture, top, bottom)
        };
        let (one, top_mm, bottom_mm) = of(&first);
        assert!(
            (bottom_mm - top_mm - 180.0).abs() < bar_mm(renderer),
            "{renderer:?}"
        );
        let left_mm = along_row(&one, top_mm + 90.0, 20.0, 60.0)[0];
        // The window in height is 181 mm from half a millimetre above the sign: a quarter is 45.25 - 0.5 mm below its edge.
        let cross_mm = |picture: &RgbImage, top_mm: f64| {
            let row = along_row(picture, top_mm + 44.75 + 1.0, 20.0, 200.0);
            row.into_iter()
                .filter(|x| (x - left_mm).abs() > 1.0)
                .collect::<Vec<f64>>()
        };
        let on_first = cross_mm(&one, top_mm);
        assert_eq!(on_first.len(), 1, "{renderer:?}: {on_first:?}");
        assert!(
            (on_first[0] - left_mm - 147.6).abs() < bar_mm(renderer),
            "{renderer:?}: {on_first:?}"
        );
        let (two, top_mm, _) = of(&second);
        let right_mm = along_row(&two, top_mm + 90.0, 60.0, 200.0);
        let right_mm = right_mm[right_mm.len() - 1];
        let on_second = cross_mm(&two, top_mm);
        let joined_mm = right_mm - on_second[0];
        assert!(
            (joined_mm - (300.0 - 147.6)).abs() < bar_mm(renderer),
            "{renderer:?}: {joined_mm}"
        );
    }
}

#[test]
fn the_same_project_gives_the_same_templates() {
    let again = made(TABLE, &Folder(".".into())).files;
    assert_eq!(again["templates.pdf"], table()["templates.pdf"]);
}

/// A project of the tests or examples, with its folder.
fn read(path: &str) -> (String, Folder) {
    let path = root().join(path);
    (std::fs::read_to_string(&path).unwrap(), Folder::of(&path))
}

#[test]
fn a_fit_test_says_what_to_cut_first_and_where_it_is_drawn() {
    let (text, folder) = read("examples/seed-drawer/project.toml");
    let options = load::Options::default();
    let project = job::check("project.toml", &text, &folder, &options)
        .unwrap()
        .value;
    let plan = job::plan(&project, &PlanOptions::default()).unwrap().value;
    let mut handout = handout::handout(&project, &plan);
    handout.fit_tests = vec![FitTest {
        assembly: 0,
        proves: "the drawer slides in its sleeve".to_owned(),
        pieces: vec![(0, 1), (1, 1)],
        free: None,
    }];
    let document = draw::templates(&project, &plan, &handout);
    let bytes = emit::pdf::write(&document, &project.assets, emit::pdf::Streams::Packed);
    let file = PdfFile::checked("templates-fit", &bytes);
    for text in [
        run("pdftotext", &["-layout", &file.path, "-"]),
        run("mutool", &["draw", "-q", "-F", "txt", &file.path]),
    ] {
        for words in [
            "cut these first",
            "What it proves: the drawer slides in its sleeve",
            "at its true size on page 1",
            "slides freely",
            "0.5 mm more, try again",
        ] {
            assert!(text.contains(words), "no {words} in {text}");
        }
    }
    let mut files = made(&text, &folder).files;
    files.remove("report.json").unwrap();
    files.insert("templates.pdf".to_owned(), bytes);
    let verdict = verify::folder(&files).unwrap();
    assert!(
        verdict.is_proved(),
        "{:#?}",
        verdict.findings().collect::<Vec<_>>()
    );
}

#[test]
fn areas_are_named_and_rough_pieces_say_both_sizes() {
    let (text, folder) = read("tests/projects/good/swap-table.toml");
    let files = made(&text, &folder).files;
    let file = PdfFile::checked("templates-areas", &files["templates.pdf"]);
    let text = run("pdftotext", &["-layout", &file.path, "-"]);
    // From the project file: a box with embossed walls and glued tabs, a base glued on its back, a leaf out of 40 x 35 mm, a mat that
    // is cut 3 mm larger.
    for words in [
        "emboss on the front",
        "leave plain on the front",
        "glue on the back",
        "stamp on the front",
        "40 mm x 35 mm rough",
        "3 mm larger all round",
        "version 2",
        "Long Meadow Garden Club",
    ] {
        assert!(text.contains(words), "no {words} in {text}");
    }
}

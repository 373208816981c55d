//! Words on pieces: where other programs find them, what each copy says, and that fonts of the maker's look as they should.

use std::collections::BTreeMap;

use serde_json::Value;
use sheetwright::drawing::{AssetContent, Item, Weight};
use sheetwright::font::Face;
use sheetwright::job::{self, Made};
use sheetwright::load::{Factor, NamedText, Options, Rounding, Target, Units};
use sheetwright::project::{ArtworkFill, Project, Reads};

use crate::made::made_of;
use crate::tool::{PdfFile, Renderer, run};

const HEAD: &str = r##"
sheetwright = 1
[job]
name = "Swap morning"
copies = 3
cut_by = "machine"
[[stock]]
id = "white"
format = "a4"
face_a = "printable"
[[piece]]
id = "label"
stock = "white"
turns = "none"
shape = { kind = "rectangle", width = "60 mm", height = "40 mm" }
"##;

fn files() -> BTreeMap<String, Vec<u8>> {
    let guests = "Name,Table\nŻaneta Wrzos,1\n\"Δάφνη, Ρίγανη\",2\nМята Огородова,2\n";
    let joined = include_bytes!("../data/fonts/joined-letters.ttf");
    BTreeMap::from([
        ("guests.csv".to_owned(), guests.as_bytes().to_vec()),
        ("own.ttf".to_owned(), Face::file(Weight::Regular).to_vec()),
        ("joined.ttf".to_owned(), joined.to_vec()),
    ])
}

fn read(text: &str) -> Project {
    let read = job::check("project.toml", text, &files(), &Options::default());
    read.unwrap_or_else(|mistakes| panic!("{mistakes:#?}"))
        .value
}

fn labels(keys: &str) -> Project {
    read(&format!("{HEAD}{keys}"))
}

/// A word that pdftotext found: its page from 1, and its box in points from the page's top left corner.
#[derive(Debug)]
struct Found {
    page: usize,
    word: String,
    left: f64,
    right: f64,
}

fn words(made: &Made) -> Vec<Found> {
    let file = PdfFile::checked("worded", &made.files["print.pdf"]);
    let text = run("pdftotext", &["-bbox", &file.path, "-"]);
    let mut page = 0;
    let mut found = Vec::new();
    for line in text.lines() {
        page += usize::from(line.contains("<page "));
        let Some(rest) = line.trim().strip_prefix("<word ") else {
            continue;
        };
        let number = |key: &str| {
            let (_, rest) = rest.split_once(&format!("{key}=\"")).unwrap();
            rest.split_once('"').unwrap().0.parse::<f64>().unwrap()
        };
        let word = rest.split_once('>').unwrap().1.split_once('<').unwrap().0;
        found.push(Found {
            page,
            word: word.to_owned(),
            left: number("xMin"),
            right: number("xMax"),
        });
    }
    found
}

fn plan(made: &Made) -> Value {
    serde_json::from_slice(&made.files["plan.json"]).unwrap()
}

/// Where the middle of the face of each copy lies on its page, in points from the left.
fn middles_pt(made: &Made) -> Vec<f64> {
    let plan = plan(made);
    let placements = plan["sheets"][0]["placements"].as_array().unwrap();
    let middle = |p: &Value| (p["x_mm"].as_f64().unwrap() + 30.0) * 72.0 / 25.4;
    placements.iter().map(middle).collect()
}

/// Advances of A and V are 1309 and 1229 of 2048 units, their kerning is -40 (hmtx and GPOS of Noto Sans, read with fontTools): at 24 pt the
/// word is 29.273 pt wide. Noto Sans Bold: 1413, 1331 and -40.
#[test]
fn words_are_as_wide_as_the_font_says_and_lie_where_they_are_aligned() {
    for (align, font, units, from, to) in [
        ("middle", "sans", 2498.0, -0.5, 0.5),
        ("middle", "sans bold", 2704.0, -0.5, 0.5),
        ("left", "sans", 2498.0, 0.0, 1.0),
        ("right", "sans", 2498.0, -1.0, 0.0),
    ] {
        let made = made_of(&labels(&format!(
            "[[piece.artwork]]\ntext = \"AV\"\nsize = \"24 pt\"\nalign = \"{align}\"\nfont = \"{font}\"\nbox = \"50 x 20 mm\""
        )));
        let width = units / 2048.0 * 24.0;
        // The box of 50 mm has its ends 25 mm from the middle.
        let end = 25.0 * 72.0 / 25.4;
        let anchor = match align {
            "left" => -end,
            "right" => end,
            _ => 0.0,
        };
        let mut found = words(&made);
        found.retain(|found| found.word == "AV");
        found.sort_by(|a, b| a.left.total_cmp(&b.left));
        let mut middles = middles_pt(&made);
        middles.sort_by(f64::total_cmp);
        assert_eq!((found.len(), middles.len()), (3, 3));
        for (found, middle) in found.iter().zip(middles) {
            let wanted = [from, to].map(|part| middle + anchor + part * width);
            let off = (found.left - wanted[0])
                .abs()
                .max((found.right - wanted[1]).abs());
            assert!(off < 0.02, "{align} {font}: {found:?} {wanted:?}");
        }
    }
}

/// The picture of the first artwork, its glyph runs.
fn runs(project: &Project, asset: usize) -> Vec<(String, f64)> {
    let AssetContent::Vector(drawing) = &project.assets[asset].content else {
        panic!("words are a vector picture");
    };
    let run = |item: &Item| {
        let Item::Glyphs(run) = item else {
            panic!("{item:?}");
        };
        (run.text.clone(), run.size_mm)
    };
    drawing.items.iter().map(run).collect()
}

/// By hand: "Sweet basil" has advances of 10761 of 2048 units and no kerning, so it fills 40 mm at 40 x 2048 / 10761 = 7.6127 mm. Two lines
/// of it are 0.7139 + 1.25 + 2 x 0.2930 = 2.5498 em high (capitals of 1462 and a descent of 600 units), so they fill 12 mm at 4.7063 mm.
#[test]
fn words_fitted_to_their_box_are_as_large_as_it_takes_and_never_larger_than_their_size() {
    for (keys, wanted_mm) in [
        ("text = \"Sweet basil\"\nbox = \"40 x 30 mm\"", 7.6127),
        (
            "text = \"Sweet basil\\nSweet basil\"\nbox = \"40 x 12 mm\"",
            4.7063,
        ),
        (
            "text = \"Sweet basil\"\nbox = \"40 x 30 mm\"\nsize = \"12 pt\"",
            12.0 * 25.4 / 72.0,
        ),
        (
            "text = \"Sweet basil\"\nbox = \"40 x 30 mm\"\nsize = \"30 pt\"",
            7.6127,
        ),
        (
            "text = \"Sweet basil\"\nbox = \"30 x 40 mm\"\nturn = \"90 deg\"",
            30.0 * 2048.0 / 10761.0,
        ),
    ] {
        let project = labels(&format!("[[piece.artwork]]\n{keys}\nfit = true"));
        let artwork = &project.pieces[0].artwork[0];
        let ArtworkFill::Picture(picture) = &artwork.fill else {
            panic!("{artwork:?}");
        };
        assert_eq!(artwork.reads, Reads::OneWay);
        for (text, size_mm) in runs(&project, picture.asset.0) {
            assert_eq!(text, "Sweet basil");
            assert!((size_mm - wanted_mm).abs() < 1.5e-3, "{keys}: {size_mm} mm");
        }
    }
}

const LISTED: &str = r##"
[[piece.artwork]]
text = "{Name}\nTable {Table}"
from = "guests.csv"
size = "12 pt"
"##;

#[test]
fn every_copy_says_its_row_and_the_plan_tells_which() {
    let made = made_of(&labels(LISTED));
    let said: Vec<String> = words(&made).into_iter().map(|found| found.word).collect();
    for word in ["Żaneta", "Wrzos", "Δάφνη,", "Ρίγανη", "Мята", "Огородова"]
    {
        assert_eq!(said.iter().filter(|w| *w == word).count(), 1, "{said:?}");
    }
    assert_eq!(said.iter().filter(|w| *w == "Table").count(), 3);
    let plan = plan(&made);
    let contents = plan["sheets"][0]["prints"][0]["contents"]
        .as_array()
        .unwrap();
    let told = |n: usize| {
        let artwork = &contents[n]["artwork"][0];
        let id = contents[n]["id"].as_str().unwrap();
        (
            id,
            artwork["line"].as_u64(),
            artwork["file"].as_str().unwrap(),
        )
    };
    assert_eq!(
        told(0),
        ("label#1", Some(2), "words \"Żaneta Wrzos / Table 1\"")
    );
    assert_eq!(
        told(1),
        ("label#2", Some(3), "words \"Δάφνη, Ρίγανη / Table 2\"")
    );
    assert_eq!(
        told(2),
        ("label#3", Some(4), "words \"Мята Огородова / Table 2\"")
    );
}

/// Eight labels of 60 x 40 mm and their gaps would go on a sheet in any case, so all copies share one layout; what is printed on a sheet
/// with the first copies is not what is printed on the next.
#[test]
fn the_layout_is_that_of_copies_all_alike_and_the_print_runs_are_not() {
    let head = HEAD.replace("copies = 3", "copies = 40");
    let alike = read(&format!(
        "{head}\n[[piece.artwork]]\ntext = \"Mint\"\nsize = \"12 pt\""
    ));
    let mut files = files();
    let names: String = (1..=40).map(|n| format!("Guest {n}\n")).collect();
    files.insert("many.csv".to_owned(), format!("Name\n{names}").into_bytes());
    let text = format!(
        "{head}\n[[piece.artwork]]\ntext = \"{{Name}}\"\nfrom = \"many.csv\"\nsize = \"12 pt\""
    );
    let apart = job::check("project.toml", &text, &files, &Options::default());
    let (alike, apart) = (made_of(&alike), made_of(&apart.unwrap().value));
    let places = |made: &Made| {
        let plan = plan(made);
        plan["sheets"]
            .as_array()
            .unwrap()
            .iter()
            .map(|sheet| {
                let placements = sheet["placements"].as_array().unwrap();
                let place = |p: &Value| (p["x_mm"].clone(), p["y_mm"].clone());
                placements.iter().map(place).collect::<Vec<_>>()
            })
            .collect::<Vec<_>>()
    };
    assert_eq!(places(&alike), places(&apart));
    let pages: Vec<usize> = words(&apart)
        .into_iter()
        .filter(|found| found.word == "Guest")
        .map(|found| found.page)
        .collect();
    assert_eq!(pages.len(), 40);
    // No two physical sheets are alike, so there is a page for each.
    let sheets = plan(&apart)["usage"]["sheets"].as_u64().unwrap();
    assert_eq!(pages.last().copied(), usize::try_from(sheets).ok());
    let alike_pages: Vec<usize> = words(&alike).iter().map(|found| found.page).collect();
    assert!(alike_pages.iter().max() < pages.iter().max());
}

#[test]
fn spare_copies_are_blank_and_editions_go_on_where_the_one_before_ended() {
    let head = HEAD.replace("copies = 3", "spares = 1");
    let project = read(&format!(
        "{head}{LISTED}\n[[edition]]\nid = \"day\"\ncopies = 2\n[[edition]]\nid = \"night\"\ncopies = 1\n\
         [[edition.artwork]]\npiece = \"label\"\nartwork = 1\ncolour = \"navy\"\n"
    ));
    let line = |edition, copy| Some(project.row_of(edition, 0, 0, copy)?.line);
    // Copies 1 and 2 are the first edition's, 3 its spare one; 4 is the second edition's, 5 its spare one.
    let lines = [(0, 1), (0, 2), (0, 3), (1, 4), (1, 5)].map(|(e, copy)| line(e, copy));
    assert_eq!(lines, [Some(2), Some(3), None, Some(4), None]);
    let made = made_of(&project);
    let said: Vec<String> = words(&made).into_iter().map(|found| found.word).collect();
    assert_eq!(said.iter().filter(|w| *w == "Table").count(), 3, "{said:?}");
}

#[test]
fn an_edition_may_have_other_words_in_the_same_place() {
    let head = HEAD.replace("copies = 3", "");
    let project = read(&format!(
        "{head}\n[[piece.artwork]]\ntext = \"Mint\"\nsize = \"12 pt\"\nbox = \"40 x 10 mm\"\nat = \"3 mm, 4 mm\"\n\
         [[edition]]\nid = \"mint\"\ncopies = 2\n[[edition]]\nid = \"dill\"\ncopies = 1\n\
         [[edition.artwork]]\npiece = \"label\"\nartwork = 1\ntext = \"Dill\"\n"
    ));
    let said = |edition: usize| {
        let artwork = project.artwork_of(edition, 0)[0];
        let picture = artwork.fill.once().unwrap();
        runs(&project, picture.asset.0)
    };
    let size_mm = 12.0 * 25.4 / 72.0;
    for (edition, word) in [(0, "Mint"), (1, "Dill")] {
        let runs = said(edition);
        assert_eq!(runs[0].0, word);
        assert!((runs[0].1 - size_mm).abs() < 1e-6);
    }
}

/// The carried font, named as a file, is drawn as outlines: they look like its text. At low resolution a renderer would
/// move the edges of text, but not of outlines, to whole pixels.
#[test]
fn a_font_from_a_file_looks_like_the_same_font_carried() {
    let made = |font: &str| {
        let keys = format!(
            "[[piece.artwork]]\ntext = \"Żółw AV\\nq\\u0307 Δάφνη\"\nsize = \"24 pt\"\nfont = \"{font}\""
        );
        made_of(&labels(&keys))
    };
    let (carried, own) = (made("sans"), made("own.ttf"));
    assert!(words(&carried).iter().any(|found| found.word == "Żółw"));
    assert!(words(&own).iter().all(|found| found.word != "Żółw"));
    let picture = |made: &Made, test: &str| {
        PdfFile::checked(test, &made.files["print.pdf"]).picture(Renderer::Cairo, 600)
    };
    let (carried, own) = (picture(&carried, "carried"), picture(&own, "own"));
    let pairs = carried.pixels().zip(own.pixels());
    let differing = pairs.filter(|(a, b)| a.0[0].abs_diff(b.0[0]) > 96).count();
    let inked = own.pixels().filter(|p| p.0[0] < 128).count();
    assert!(
        inked > 5_000 && differing * 50 < inked,
        "{differing} of {inked}"
    );
}

/// By hand: seen is joined to lam and alef, which are one, 500 of 1000 units each in this font of boxes; after alef nothing joins, so meem
/// stands alone with 1000 (Unicode 15, 9.2, joining types). 2000 units at 24 pt are 48 pt.
#[test]
fn a_font_that_joins_letters_is_drawn_as_outlines() {
    let project =
        labels("[[piece.artwork]]\ntext = \"سلام\"\nsize = \"24 pt\"\nfont = \"joined.ttf\"");
    let made = made_of(&project);
    let ArtworkFill::Picture(picture) = &project.pieces[0].artwork[0].fill else {
        panic!("words that are the same on all copies are one picture");
    };
    let asset = &project.assets[picture.asset.0];
    assert_eq!(asset.path, "words \"سلام\"");
    let AssetContent::Vector(drawing) = &asset.content else {
        panic!("{asset:?}");
    };
    let [Item::Fill { path, .. }] = &drawing.items[..] else {
        panic!("{drawing:?}");
    };
    let on_face = kurbo::Shape::bounding_box(&(picture.unit_to_face() * path.clone()));
    let wanted_mm = 48.0 / 72.0 * 25.4;
    assert!((on_face.width() - wanted_mm).abs() < 0.001, "{on_face:?}");
    assert!(made.files.contains_key("print.pdf"));
}

/// Whose name stands on which copy is read back from the pages: a plan that says another is not what was printed.
#[test]
fn a_name_on_another_copy_is_found() {
    let made = made_of(&labels(LISTED));
    let mut files = made.files.clone();
    files.remove("report.json");
    let mut changed = plan(&made);
    let contents = &mut changed["sheets"][0]["prints"][0]["contents"];
    let other = contents[1]["artwork"][0]["words"].clone();
    assert_eq!(contents[0]["artwork"][0]["words"][0], "Żaneta Wrzos");
    contents[0]["artwork"][0]["words"] = other;
    files.insert(
        "plan.json".to_owned(),
        serde_json::to_vec(&changed).unwrap(),
    );
    let verdict = sheetwright::verify::folder(&files).unwrap();
    let found: Vec<String> = verdict.findings().map(|f| format!("{f:?}")).collect();
    // In what is printed, and in the proof.
    assert_eq!(found.len(), 2, "{found:#?}");
    for wanted in [
        "verify.words",
        "label#1",
        "Żaneta Wrzos / Table 1",
        "Δάφνη, Ρίγανη / Table 2",
    ] {
        assert!(found[0].contains(wanted), "{wanted}: {found:#?}");
    }
}

const SIZED: &str = r##"
[[piece.artwork]]
text = "Mint"
size = "12 pt"
box = "40 x 10 mm"
at = "5 mm, 4 mm"
[[piece.artwork]]
text = "Mint"
size = "4 mm"
"##;

fn sized() -> NamedText {
    NamedText {
        name: "project.toml".to_owned(),
        text: format!("{HEAD}{SIZED}"),
    }
}

#[test]
fn letters_grow_with_their_piece() {
    let by = "3/2".parse::<Factor>().unwrap();
    let made = job::scale(&sized(), "larger.toml", &files(), by, Rounding::ToRuler).unwrap();
    let text = made.scaled.text;
    for wanted in [
        "size = \"18 pt\"",
        "box = \"60 x 15 mm\"",
        "at = \"7.5 mm, 6 mm\"",
        "size = \"6 mm\"",
    ] {
        assert!(text.contains(wanted), "{wanted} in {text}");
    }
}

/// 40 x 10 mm are 1.575 x 0.394 in, on sixteenths 1 9/16 x 3/8; of the easy numbers, 4 mm (0.157 in) is nearest to 5/32 in.
#[test]
fn points_stay_points_in_other_units() {
    let target = Target::of(Units::Inch);
    let options = Options::default();
    let made = job::restate(&sized(), "inch.toml", &files(), &options, target).unwrap();
    let text = made.restated.text;
    for wanted in ["size = \"12 pt\"", "box = \"1 9/16 x 3/8 in\""] {
        assert!(text.contains(wanted), "{wanted} in {text}");
    }
    assert!(!text.contains("size = \"4 mm\""), "{text}");
}

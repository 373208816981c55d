//! Projects in other units: round sizes of their own that fold up.

use std::fs;

use sheetwright::files::ProjectSource;
use sheetwright::job;
use sheetwright::length::{LengthUnit, Parted, typed_lengths};
use sheetwright::load::{NamedText, Options, Target, Units};

use crate::program::{fresh_folder, parts, root, sheetwright};

const EXAMPLES: [&str; 8] = [
    "herb-packet",
    "bulb-box",
    "plant-labels",
    "seed-drawer",
    "swap-slider",
    "gift-kit",
    "class-kit",
    "place-cards",
];

fn restated(example: &str, units: Units) -> (NamedText, String) {
    let source = ProjectSource::read(&root().join("examples").join(example)).unwrap();
    let project = NamedText {
        name: source.name,
        text: source.text,
    };
    let assets = source.assets;
    let made = job::restate(
        &project,
        "restated.toml",
        &assets,
        &Options::default(),
        Target::of(units),
    );
    let made = made.unwrap();
    if let Err(mistakes) = &made.checked {
        panic!(
            "{example} in {units:?}: {mistakes:#?}\n{}",
            made.restated.text
        );
    }
    let again = NamedText {
        name: "project.toml".to_owned(),
        text: made.restated.text.clone(),
    };
    let twice = job::restate(
        &again,
        "twice.toml",
        &assets,
        &Options::default(),
        Target::of(units),
    );
    assert_eq!(
        twice.unwrap().restated.text,
        made.restated.text,
        "{example}"
    );
    (project, made.restated.text)
}

#[test]
fn every_example_folds_up_in_inches_and_in_millimetres() {
    for example in EXAMPLES {
        for units in [Units::Inch, Units::Metric] {
            let (before, after) = restated(example, units);
            let comments = |text: &str| -> Vec<String> {
                let of_line = |line: &str| line.find('#').map(|at| line[at..].to_owned());
                let is_comment = |text: &String| {
                    !text.starts_with("#d") && !text.starts_with("#f") && text.contains(' ')
                };
                text.lines()
                    .filter_map(of_line)
                    .filter(is_comment)
                    .collect()
            };
            assert_eq!(comments(&before.text), comments(&after), "{example}");
        }
    }
}

/// The sizes that a maker measures with a ruler, key by key.
#[test]
fn sizes_of_the_other_edition_lie_on_its_ruler() {
    for example in EXAMPLES {
        for (units, unit, step_nm) in [
            (Units::Inch, LengthUnit::Inch, 1_587_500 / 2),
            (Units::Metric, LengthUnit::Millimetre, 500_000),
        ] {
            let (_, text) = restated(example, units);
            let measured = [
                "at_x", "at_y", "across", "inside", "outside", "size", "width",
            ];
            let mut is_fact = false;
            for line in text.lines() {
                if line.starts_with('[') {
                    is_fact = ["[[tool", "[[stock", "[[supply"]
                        .iter()
                        .any(|of| line.starts_with(of));
                }
                let Some((key, value)) = line.split_once(" = \"") else {
                    continue;
                };
                let value = value.split('"').next().unwrap();
                if is_fact || !measured.contains(&key.trim()) {
                    continue;
                }
                for typed in typed_lengths(value, Parted::ByTimes).unwrap() {
                    // Letters are measured in points in both.
                    if typed.unit == LengthUnit::Point {
                        continue;
                    }
                    assert_eq!(typed.unit, unit, "{example}: {line}");
                    let is_new = restates(example, units);
                    assert!(
                        !is_new || typed.length.nm() % step_nm == 0,
                        "{example}: {line}"
                    );
                }
            }
        }
    }
}

/// Whether an example is in other units.
fn restates(example: &str, units: Units) -> bool {
    let is_metric = ["bulb-box", "seed-drawer", "place-cards"].contains(&example);
    is_metric != (units == Units::Metric)
}

/// By hand, in sixteenths: the tray's places 22.14, 79.02, 101.17 and 22.14, 60.13, 82.27 become 22, 79, 101 and 22, 60, 82, a bottom of
/// 57 x 38; the lid's 12.69, 70.71, 83.40 become 13, 71, 84, a top of 58; across, 12.69, 51.43, 64.13 would become 13, 51, 64, a top of 38,
/// which does not go over a tray of 38, so 13, 52, 65 with a top of 39. Room along: (58 - 57)/16 in - 4 x 0.3 mm = 0.39 mm; across
/// 1/16 in - 2 x 0.3 mm = 0.99 mm.
#[test]
fn a_lid_that_would_jam_takes_the_next_size() {
    let (_, text) = restated("bulb-box", Units::Inch);
    let lid = &text[text.find("id = \"box/lid\"").unwrap()..];
    for wanted in [
        "at_x = \"13/16 in\"",
        "at_x = \"4 7/16 in\"",
        "from = \"13/16 in, 13/16 in\"",
        "from = \"13/16 in, 3 1/4 in\"",
    ] {
        assert!(lid.contains(wanted), "{wanted} in {lid}");
    }
    assert!(text.contains("at_x = \"4 15/16 in\""), "{text}");
}

/// A card of 8 1/2 x 5 1/2 in with a fold in its middle, two to a letter sheet of 215.9 x 279.4 mm. Nearest would be 216 x 140 mm, which is
/// wider than the sheet, and 2 x 140 mm is higher; so 139 mm. Both panels were equal and stay so: 107 and 107, since 107 and 108 are not.
#[test]
fn a_card_folds_in_its_middle_in_both_editions() {
    let (_, text) = restated("class-kit", Units::Metric);
    assert!(text.contains("panels = [\"107 mm\", \"107 mm\"]"), "{text}");
    assert!(text.contains("across = \"139 mm\""), "{text}");
    assert!(text.contains("reveal = \"3 mm\""), "{text}");
    // 1/2, 3, 3 and 2 1/2 in: places 12.7, 88.9, 165.1 and 228.6 mm; the equal faces stay equal.
    assert!(
        text.contains("panels = [\"13 mm\", \"76 mm\", \"76 mm\", \"64 mm\"]"),
        "{text}"
    );
}

#[test]
fn the_verb_writes_a_file_once_and_other_verbs_take_units() {
    let folder = fresh_folder("restate");
    let out = folder.join("metric.toml");
    let example = root().join("examples/class-kit");
    let arguments = [
        "restate",
        example.to_str().unwrap(),
        "--units",
        "mm",
        "--out",
        out.to_str().unwrap(),
    ];
    let (code, result, talk) = parts(&sheetwright(&arguments));
    assert_eq!(code, 0, "{result}{talk}");
    assert!(
        result.contains("card: shape.across 5 1/2 in -> 139 mm\n"),
        "{result}"
    );
    let (code, _, talk) = parts(&sheetwright(&arguments));
    assert_eq!(code, 2, "{talk}");
    let (code, result, _) = parts(&sheetwright(&[
        "fold",
        root().join("examples/bulb-box").to_str().unwrap(),
        "--units",
        "in",
    ]));
    assert_eq!(code, 0, "{result}");
    assert!(result.contains("everything folds up"), "{result}");
    fs::remove_dir_all(folder).unwrap();
}

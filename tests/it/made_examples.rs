//! Every example is made, proved, and as its README says.

use std::collections::BTreeSet;
use std::fs;

use serde_json::Value;
use sheetwright::draw::BookPaper;
use sheetwright::emit::png;
use sheetwright::files::ProjectSource;
use sheetwright::plan::PlanOptions;
use sheetwright::{draw, handout, job, load};

use crate::program::{examples, files, fresh_folder, make, parts, root, sheetwright};

/// The page of instructions that the README shows, and its resolution: an A4 page is 744 x 1052 pixels, legible in a browser.
const README_PAGE: (&str, usize, f64) = ("seed-drawer", 1, 90.0);

/// The page of the swatch book that the README shows, patterns that go together, and its resolution.
const SWATCHES_PAGE: (usize, f64) = (8, 80.0);

/// Set to any value to take the pictures that the tool makes now into the examples.
const TAKE_PICTURES: &str = "SHEETWRIGHT_TAKE_PICTURES";

#[test]
fn every_example_takes_the_sheets_its_readme_worked_out_by_hand() {
    for name in examples() {
        let readme =
            fs::read_to_string(root().join("examples").join(&name).join("README.md")).unwrap();
        let line = readme
            .lines()
            .find_map(|line| line.strip_prefix("## Sheets: "))
            .unwrap();
        let by_hand: u64 = line.trim().parse().unwrap();
        let project = format!("examples/{name}");
        let (code, result, talk) = parts(&sheetwright(&["plan", &project, "--format", "json"]));
        assert_eq!(code, 0, "{name}: {talk}");
        let plan: Value = serde_json::from_str(&result).unwrap();
        assert_eq!(
            plan["plan"]["usage"]["sheets"].as_u64(),
            Some(by_hand),
            "{name}"
        );
    }
}

#[test]
fn one_and_two_threads_and_a_second_run_give_the_same_bytes() {
    for name in examples() {
        let folder = fresh_folder(&format!("bytes-{name}"));
        let project = format!("examples/{name}/project.toml");
        let runs: BTreeSet<_> = [("one", "1"), ("two", "2"), ("again", "2")]
            .map(|(out, threads)| {
                make(&project, &folder.join(out), &["--threads", threads]);
                files(&folder.join(out))
            })
            .into_iter()
            .collect();
        assert_eq!(runs.len(), 1, "{name}");
        fs::remove_dir_all(folder).unwrap();
    }
}

#[test]
fn every_example_is_verified_again_from_its_folder_alone() {
    for name in examples() {
        let folder = fresh_folder(&format!("again-{name}"));
        let out = folder.join("made");
        let told = make(&format!("examples/{name}"), &out, &[]);
        assert!(
            told.contains("proved: largest deviation 0.000"),
            "{name}: {told}"
        );
        let (code, result, talk) = parts(&sheetwright(&["verify", out.to_str().unwrap()]));
        assert_eq!(code, 0, "{name}: {result}{talk}");
        assert!(result.contains("report.json        ok"), "{name}: {result}");
        fs::remove_dir_all(folder).unwrap();
    }
}

#[test]
fn the_pictures_in_the_readmes_are_those_the_tool_makes() {
    for name in examples() {
        let folder = fresh_folder(&format!("pictures-{name}"));
        let out = folder.join("made");
        make(&format!("examples/{name}"), &out, &[]);
        let example = root().join("examples").join(&name);
        let readme = fs::read_to_string(example.join("README.md")).unwrap();
        let shown: Vec<&str> = readme
            .split("](")
            .skip(1)
            .map(|rest| rest.split(')').next().unwrap())
            .collect();
        assert!(
            shown.iter().any(|file| file.ends_with(".png")),
            "{name} shows no picture"
        );
        for file in shown.into_iter().filter(|file| file.ends_with(".png")) {
            let made = fs::read(out.join(file)).unwrap();
            if std::env::var_os(TAKE_PICTURES).is_some() {
                fs::write(example.join(file), &made).unwrap();
            }
            let is_same = fs::read(example.join(file)).ok() == Some(made);
            assert!(
                is_same,
                "{name}/{file} is out of date: run once with {TAKE_PICTURES}=1 and look at it"
            );
        }
        fs::remove_dir_all(folder).unwrap();
    }
}

#[test]
fn the_page_of_instructions_in_the_readme_is_the_one_the_tool_makes() {
    let (name, page, dpi) = README_PAGE;
    let source = ProjectSource::read(&root().join("examples").join(name)).unwrap();
    let options = load::Options::default();
    let read = job::check(&source.name, &source.text, &source.assets, &options).unwrap();
    let project = read.value;
    let plan = job::plan(&project, &PlanOptions::default()).unwrap().value;
    let told = handout::handout(&project, &plan);
    let document = draw::instructions(&project, &plan, &told);
    let made = png::write(&document.pages[page], &project.assets, dpi);
    assert_readme_shows(&format!("examples/{name}/instructions.png"), &made);
}

#[test]
fn the_page_of_swatches_in_the_readme_is_the_one_the_tool_makes() {
    let (page, dpi) = SWATCHES_PAGE;
    let (book, assets) = draw::swatch_book(BookPaper::A4);
    let made = png::write(&book.pages[page], &assets, dpi);
    assert_readme_shows("examples/swatches.png", &made);
}

fn assert_readme_shows(picture: &str, made: &[u8]) {
    let file = root().join(picture);
    if std::env::var_os(TAKE_PICTURES).is_some() {
        fs::write(&file, made).unwrap();
    }
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let shown = format!("({picture})");
    assert!(readme.contains(&shown), "the README shows no {shown}");
    assert!(
        fs::read(&file).is_ok_and(|kept| kept == made),
        "{picture} is out of date: run once with {TAKE_PICTURES}=1 and look at it"
    );
}

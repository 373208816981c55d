//! What the README shows is what happens.

use std::fs;
use std::process::Command;

use crate::program::{fresh_folder, parts, root};

/// The README's text, and a folder with the project it explains in full.
fn readme_and_project(test: &str) -> (String, std::path::PathBuf) {
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let (_, rest) = readme.split_once("```toml\n").unwrap();
    let (project, _) = rest.split_once("```").unwrap();
    let folder = fresh_folder(test);
    fs::write(folder.join("project.toml"), project).unwrap();
    (readme, folder)
}

fn run(folder: &std::path::Path, arguments: &[&str]) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_sheetwright"));
    parts(
        &command
            .args(arguments)
            .current_dir(folder)
            .output()
            .unwrap(),
    )
}

/// Text as a block of the README.
fn indented(text: &str) -> String {
    text.trim_end()
        .lines()
        .map(|line| format!("    {line}").trim_end().to_owned() + "\n")
        .collect()
}

#[test]
fn the_first_command_prints_what_the_readme_shows() {
    let (readme, folder) = readme_and_project("readme-make");
    let example = root().join("examples/herb-packet");
    let (code, result, talk) = run(
        &folder,
        &["make", example.to_str().unwrap(), "--out", "herb-packet"],
    );
    assert_eq!(code, 0, "{talk}");
    assert!(
        readme.contains(&indented(&result)),
        "the README should show:\n{}",
        indented(&result)
    );
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn the_explained_project_is_without_mistakes_and_lays_out() {
    let (_, folder) = readme_and_project("readme-project");
    let (code, result, talk) = run(&folder, &["plan", "project.toml"]);
    assert_eq!(code, 0, "{talk}");
    // The grain allows three tags of 4 1/2 x 3 in with 1/8 in of bleed above each other in 10 1/2 in, so 24 take 8 full sheets and
    // none of the 10 %, 2.4 rounded up 3, finds room. A sheet of 12 x 12 in takes 5 x 4 mats of 2 x 2 3/4 in, so 24 or 27 take two.
    assert!(
        result.contains("White card, 8 sheets with 3 x tag"),
        "{result}"
    );
    assert!(
        result.contains("spares: 0 of 3 tag, 3 of 3 mat\n"),
        "{result}"
    );
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn the_explained_part_is_without_mistakes_beside_the_explained_project() {
    let (readme, folder) = readme_and_project("readme-part");
    let mut blocks = readme.split("```toml\n").skip(1);
    let block = blocks.find(|text| text.starts_with("[[part]]")).unwrap();
    let (part, _) = block.split_once("```").unwrap();
    let project = fs::read_to_string(folder.join("project.toml")).unwrap();
    // Both papers get a thickness, which the project does without.
    let thick = project.replace("\nformat = ", "\ncaliper = \"0.3 mm\"\nformat = ");
    fs::write(folder.join("project.toml"), thick + part).unwrap();
    let (code, result, talk) = run(&folder, &["plan", "project.toml"]);
    assert_eq!(code, 0, "{talk}");
    assert!(result.contains("tin/lid"), "{result}");
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn the_explained_net_folds_up_beside_the_explained_project_and_a_slip_in_it_is_found() {
    let (readme, folder) = readme_and_project("readme-net");
    let mut blocks = readme.split("```toml\n").skip(1);
    let block = blocks
        .find(|text| text.contains("[[assembly]]") && text.contains("[[piece.panel]]"))
        .unwrap();
    let (net, _) = block.split_once("```").unwrap();
    let project = fs::read_to_string(folder.join("project.toml")).unwrap();
    let thick = project.replace("\nformat = ", "\ncaliper = \"0.3 mm\"\nformat = ");
    fs::write(folder.join("project.toml"), thick.clone() + net).unwrap();
    let (code, result, talk) = run(&folder, &["fold", "project.toml"]);
    assert_eq!(code, 0, "{talk}");
    assert!(result.contains("everything folds up"), "{result}");
    // The last wall is drawn 2 mm too short, which the words below the block say.
    let short = net.replace("H 160 V", "H 158 V");
    assert_ne!(short, net);
    fs::write(folder.join("project.toml"), thick + &short).unwrap();
    let (code, _, talk) = run(&folder, &["check", "project.toml"]);
    assert_eq!(code, 1, "{talk}");
    let words = "make \"sleeve:left\" 0.079 in (2 mm) longer";
    assert!(talk.contains(words), "{talk}");
    assert!(readme.contains(words));
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn the_explained_list_of_paper_is_without_mistakes() {
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let mut blocks = readme.split("```toml\n").skip(1);
    let block = blocks
        .find(|text| text.starts_with("sheetwright_paper"))
        .unwrap();
    let (list, _) = block.split_once("```").unwrap();
    let read = sheetwright::load::paper_list("paper-on-hand.toml", list).unwrap();
    assert_eq!((read.stocks.len(), read.offcuts[0].sheets), (1, 2));
}

#[test]
fn the_shown_mistake_is_told_in_the_shown_words() {
    let (readme, folder) = readme_and_project("readme-mistake");
    let project = fs::read_to_string(folder.join("project.toml")).unwrap();
    let spoiled = project
        .replace("reveal = \"1/8 in\" ", "reveal = 3 ")
        .replace("across = ", "acros = ");
    fs::write(folder.join("project.toml"), spoiled).unwrap();
    let (code, _, talk) = run(&folder, &["check", "project.toml"]);
    assert_eq!(code, 1);
    let blocks = talk
        .split(
            "

",
        )
        .filter(|block| !block.trim().is_empty());
    let shown = blocks
        .filter(|block| readme.contains(&indented(block)))
        .count();
    assert_eq!(
        shown,
        2,
        "the README should show two of these:\n{}",
        indented(&talk)
    );
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn what_comes_out_of_a_leftover_is_told_as_shown() {
    let (readme, folder) = readme_and_project("readme-leftover");
    let arguments = [
        "leftover",
        "project.toml",
        "--size",
        "5 x 7 in",
        "--stock",
        "moss",
    ];
    let (code, result, talk) = run(&folder, &arguments);
    assert_eq!(code, 0, "{talk}");
    let command = "    $ sheetwright leftover project.toml --size \"5 x 7 in\" --stock moss\n";
    let shown = format!("{command}{}", indented(&result));
    assert!(readme.contains(&shown), "the README should show:\n{shown}");
    fs::remove_dir_all(folder).unwrap();
}

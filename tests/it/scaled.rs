//! Projects made larger or smaller.

use std::fs;

use crate::program::{fresh_folder, parts, root, sheetwright};

#[test]
fn a_scaled_example_is_a_project() {
    let folder = fresh_folder("scale-example");
    let out = folder.join("larger.toml");
    let example = root().join("examples/bulb-box");
    let scale = |by: &str| {
        let arguments = [
            "scale",
            example.to_str().unwrap(),
            "--by",
            by,
            "--out",
            out.to_str().unwrap(),
        ];
        parts(&sheetwright(&arguments))
    };
    // By hand: the tray's 160.6 x 130.6 mm times 5/4 are 200.75 x 163.25 mm.
    let (code, result, talk) = scale("5/4");
    assert_eq!(code, 0, "{result}{talk}");
    assert!(
        result.contains("box/tray: shape.data 160.6 mm x 130.6 mm -> 200.75 mm x 163.25 mm\n"),
        "{result}"
    );
    assert!(
        result.contains("box/lid: artwork[2].width 48 mm -> 60 mm\n"),
        "{result}"
    );
    let (code, _, talk) = scale("0");
    assert_eq!(code, 2, "{talk}");
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn what_cannot_be_built_larger_is_not_written_and_what_can_is_named() {
    let folder = fresh_folder("scale-refused");
    let path = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let (small, out) = (path("box.toml"), path("larger.toml"));
    let new = [
        "new",
        "lidded-box",
        "--inside",
        "90 x 60 x 35 mm",
        "--out",
        &small,
    ];
    assert_eq!(parts(&sheetwright(&new)).0, 0);
    let (code, result, talk) = parts(&sheetwright(&[
        "scale", &small, "--by", "10", "--out", &out,
    ]));
    assert_eq!(code, 1, "{result}{talk}");
    assert!(talk.contains("nothing is written"), "{talk}");
    assert!(!folder.join("larger.toml").exists());
    // Nothing may be longer than 400 mm inside: 90 x 444 % = 399.6, on the ruler 399.5; 445 % = 400.5.
    assert!(talk.contains("--by 444% works"), "{talk}");
    let (code, result, talk) = parts(&sheetwright(&[
        "scale", &small, "--by", "444%", "--out", &out,
    ]));
    assert_eq!(code, 0, "{result}{talk}");
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn the_head_of_a_file_that_was_begun_tells_the_new_sizes() {
    let folder = fresh_folder("scale-head");
    let path = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let (small, out) = (path("box.toml"), path("larger.toml"));
    let new = [
        "new",
        "lidded-box",
        "--inside",
        "90 x 60 x 35 mm",
        "--set",
        "clearance=1 mm",
        "--out",
        &small,
    ];
    assert_eq!(parts(&sheetwright(&new)).0, 0);
    let (code, _, talk) = parts(&sheetwright(&[
        "scale", &small, "--by", "3/2", "--out", &out,
    ]));
    assert_eq!(code, 0, "{talk}");
    let (old, text) = (
        fs::read_to_string(&small).unwrap(),
        fs::read_to_string(&out).unwrap(),
    );
    assert!(
        text.contains("# Asked for: inside 135 x 90 x 52.5 mm, clearance 1 mm.\n"),
        "{text}"
    );
    assert!(
        text.contains("#     inside: 135 mm x 90 mm x 52.5 mm\n"),
        "{text}"
    );
    assert!(
        !text.contains("90 mm x 60 mm") && !text.contains("90 x 60 x 35"),
        "{text}"
    );
    // All else of the head is as it was.
    assert_eq!(old.lines().count(), text.lines().count());
    fs::remove_dir_all(folder).unwrap();
}

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
        result.contains("box/lid: artwork[3].width 48 mm -> 60 mm\n"),
        "{result}"
    );
    let (code, _, talk) = scale("0");
    assert_eq!(code, 2, "{talk}");
    fs::remove_dir_all(folder).unwrap();
}

//! The desk in a real browser: `tests/desk/walk.mjs` clicks and types as a person does, and what it takes home is proved.

use std::fs;
use std::io::{Cursor, Read};
use std::path::Path;
use std::process::Command;

use crate::program::{fresh_folder, parts, root, sheetwright};

/// Set to any value, the README's pictures of the desk are taken anew; then look at them.
const TAKE_PICTURES: &str = "SHEETWRIGHT_TAKE_PICTURES";

#[test]
fn a_person_goes_through_every_part_of_the_desk_and_takes_home_files_that_are_proved() {
    let folder = fresh_folder("desk-walk");
    let walked = Command::new("node")
        .arg(root().join("tests/desk/walk.mjs"))
        .args(["--program", env!("CARGO_BIN_EXE_sheetwright")])
        .args(["--out", folder.to_str().unwrap()])
        .output()
        .unwrap_or_else(|e| panic!("node (set up by tests/run): {e}"));
    let (code, result, talk) = parts(&walked);
    assert_eq!(code, 0, "(set up by tests/run) {result}{talk}");
    if std::env::var_os(TAKE_PICTURES).is_some() {
        take("start-choices", "desk-start", &folder);
        take("sheets-kit", "desk-sheets", &folder);
    }
    let made = folder.join("made");
    unpack(&folder.join("made.zip"), &made);
    let (code, result, talk) = parts(&sheetwright(&["verify", made.to_str().unwrap()]));
    assert_eq!(code, 0, "{result}{talk}");
    fs::remove_dir_all(folder).unwrap();
}

/// Puts a picture of the walk into the README's place. Browsers draw letters as they like, so it is not compared.
fn take(picture: &str, name: &str, folder: &Path) {
    let to = root().join("examples").join(format!("{name}.png"));
    fs::copy(folder.join(format!("{picture}.png")), to).unwrap();
}

/// Writes what a zip file holds into a new folder.
fn unpack(file: &Path, folder: &Path) {
    fs::create_dir_all(folder).unwrap();
    let bytes = fs::read(file).unwrap();
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
    for index in 0..archive.len() {
        let mut entry = archive.by_index(index).unwrap();
        let name = entry.enclosed_name().unwrap();
        let mut content = Vec::new();
        entry.read_to_end(&mut content).unwrap();
        fs::write(folder.join(name.file_name().unwrap()), content).unwrap();
    }
}

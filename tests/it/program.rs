//! The program itself, run as a person runs it.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The project's own folder.
pub(crate) fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Runs the program in the project's folder.
pub(crate) fn sheetwright(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_sheetwright"))
        .args(arguments)
        .current_dir(root())
        .output()
        .unwrap()
}

/// Exit code, standard output and standard error.
pub(crate) fn parts(output: &Output) -> (i32, String, String) {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    (
        output.status.code().unwrap(),
        text(&output.stdout),
        text(&output.stderr),
    )
}

/// A folder of a test's own, empty at the start.
pub(crate) fn fresh_folder(name: &str) -> PathBuf {
    let folder =
        Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}-{}", std::process::id()));
    if folder.exists() {
        fs::remove_dir_all(&folder).unwrap();
    }
    fs::create_dir_all(&folder).unwrap();
    folder
}

/// Makes a project into `out` and fails the test if that fails.
pub(crate) fn make(project: &str, out: &Path, more: &[&str]) -> String {
    let mut arguments = vec!["make", project, "--out", out.to_str().unwrap()];
    arguments.extend(more);
    let (code, result, talk) = parts(&sheetwright(&arguments));
    assert_eq!(code, 0, "{project}: {result}{talk}");
    result
}

/// All files of a folder by name.
pub(crate) fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.is_file())
        .map(|path| {
            (
                path.file_name().unwrap().to_str().unwrap().to_owned(),
                fs::read(&path).unwrap(),
            )
        })
        .collect()
}

/// The example projects by name.
pub(crate) fn examples() -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(root().join("examples"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.join("project.toml").is_file())
        .map(|path| path.file_name().unwrap().to_str().unwrap().to_owned())
        .collect();
    names.sort();
    assert!(names.len() >= 4, "{names:?}");
    names
}

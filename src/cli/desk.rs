//! `desk`: the whole tool as a page in the browser, on this machine alone.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::DONE;
use super::options::{DeskVerb, Format};
use super::report;
use super::today::today;
use crate::desk;
use crate::diagnostic::Diagnostic;

/// Runs the verb until the program is ended.
pub(super) fn run(options: &DeskVerb, format: Format) -> u8 {
    match serve(options, format) {
        Ok(()) => DONE,
        Err(wrong) => report::fail(wrong, format),
    }
}

fn serve(options: &DeskVerb, format: Format) -> Result<(), Diagnostic> {
    let (folder, project) = place(options.project.as_deref());
    let running = desk::bind(&desk::Start {
        folder,
        project,
        port: options.port,
        today: today(),
    })?;
    let address = format!("http://{}/", running.address());
    match format {
        Format::Text => {
            report::result(&format!("the desk is at {address}\n"));
            report::talk("leave this window open while you work; Ctrl+C ends the desk\n");
        }
        Format::Json => report::result(&report::pretty(&json!({ "address": address }))),
    }
    if !options.no_browser && open::that_detached(&address).is_err() {
        report::talk("no browser could be started: open the address yourself\n");
    }
    running.run()
}

/// The desk's folder, and the project in it: a file, a folder with a project in it, or a folder without.
fn place(path: Option<&Path>) -> (PathBuf, Option<String>) {
    const PROJECT: &str = "project.toml";
    let path = path.unwrap_or(Path::new("."));
    if path.is_dir() {
        let is_there = path.join(PROJECT).is_file();
        let is_asked = path != Path::new(".");
        return (
            path.to_owned(),
            (is_there && is_asked).then(|| PROJECT.to_owned()),
        );
    }
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty());
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned());
    (folder.unwrap_or(Path::new(".")).to_owned(), name)
}

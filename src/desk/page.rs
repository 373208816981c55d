//! The page: the files of `page/`, carried in the program.

use std::borrow::Cow;
use std::path::Path;

/// A file of the page: its name, its media type and what is in it.
type PageFile = (&'static str, &'static str, &'static str);

const JS: &str = "text/javascript; charset=utf-8";
const CSS: &str = "text/css; charset=utf-8";
const SVG: &str = "image/svg+xml";

/// Where the key goes in the page, and what stands there with it.
const KEY_MARK: &str = "name=\"desk-key\" content=\"\"";

macro_rules! page_files {
    ($(($name:literal, $kind:expr)),* $(,)?) => {
        &[$(($name, $kind, include_str!(concat!("page/", $name)))),*]
    };
}

/// All files but the page itself.
const FILES: &[PageFile] = page_files![
    ("artwork.js", JS),
    ("build.js", JS),
    ("carry.js", JS),
    ("choices.js", JS),
    ("desk.css", CSS),
    ("desk.svg", SVG),
    ("dialog.js", JS),
    ("drafts.js", JS),
    ("fields.js", JS),
    ("forms.js", JS),
    ("frame.js", JS),
    ("layout.js", JS),
    ("lengths.js", JS),
    ("main.js", JS),
    ("make.js", JS),
    ("measure.js", JS),
    ("mistakes.js", JS),
    ("note.js", JS),
    ("paper.js", JS),
    ("piece_form.js", JS),
    ("pieces.js", JS),
    ("readings.js", JS),
    ("sheet.js", JS),
    ("sheets.js", JS),
    ("start.js", JS),
    ("state.js", JS),
    ("talk.js", JS),
    ("text.js", JS),
    ("views.css", CSS),
];

const INDEX: &str = include_str!("page/index.html");

/// The page with the key in it.
pub(super) fn index(key: &str) -> String {
    let keyed = format!("name=\"desk-key\" content=\"{key}\"");
    text("index.html", INDEX).replace(KEY_MARK, &keyed)
}

/// A file of the page by its name, with its media type.
pub(super) fn file(name: &str) -> Option<(&'static str, Cow<'static, str>)> {
    if let Some(found) = FILES.iter().find(|(own, _, _)| *own == name) {
        return Some((found.1, text(found.0, found.2)));
    }
    let extension = name.rsplit_once('.').map(|(_, extension)| extension);
    let kinds = [("js", JS), ("css", CSS), ("svg", SVG)];
    let kind = kinds.iter().find(|(own, _)| Some(*own) == extension)?.1;
    Some((kind, read(name)?.into()))
}

/// What is carried; while the program is worked on, what is in its source folder now.
fn text(name: &str, carried: &'static str) -> Cow<'static, str> {
    read(name).map_or(carried.into(), Cow::from)
}

/// In a build for working on it: a file as it is now, in the source folder or the one that `SHEETWRIGHT_DESK_PAGE` names.
fn read(name: &str) -> Option<String> {
    if !cfg!(debug_assertions) || name.contains(['/', '\\']) {
        return None;
    }
    let own = concat!(env!("CARGO_MANIFEST_DIR"), "/src/desk/page").into();
    let folder = std::env::var_os("SHEETWRIGHT_DESK_PAGE").unwrap_or(own);
    std::fs::read_to_string(Path::new(&folder).join(name)).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_is_given_the_key() {
        let page = index("0123abcd");
        assert!(page.contains("0123abcd") && !page.contains(KEY_MARK));
    }

    #[test]
    fn all_files_of_the_folder_are_carried() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/desk/page");
        for entry in std::fs::read_dir(folder).unwrap() {
            let name = entry.unwrap().file_name().into_string().unwrap();
            let is_listed = FILES.iter().any(|(own, _, _)| *own == name);
            assert!(name == "index.html" || is_listed, "{name}");
        }
    }
}

//! The XML of an SVG file, with what cannot be taken refused by name.

use roxmltree::{Document, Node, ParsingOptions};

use super::asset::Fault;
use super::code;
use super::raster::refuse_other_kind;

/// More elements than any hand-drawn picture has.
const MOST_NODES: u32 = 1_000_000;

/// Returns the text of an SVG file.
pub(super) fn text<'b>(path: &str, bytes: &'b [u8]) -> Result<&'b str, Fault> {
    refuse_other_kind(path, bytes, "SVG")?;
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|_| damaged(path, "it is not UTF-8 text"))
}

/// Returns the document of an SVG file.
pub(super) fn document<'t>(path: &str, text: &'t str) -> Result<Document<'t>, Fault> {
    let options = ParsingOptions {
        allow_dtd: true,
        nodes_limit: MOST_NODES,
        ..ParsingOptions::default()
    };
    let document = Document::parse_with_options(text, options)
        .map_err(|error| damaged(path, &error.to_string()))?;
    if document.root_element().tag_name().name() == "svg" {
        Ok(document)
    } else {
        Err(damaged(path, "its outermost element is not <svg>"))
    }
}

/// Elements that would be lost in a picture, with what to do.
const REFUSED: &[(&str, &str)] = &[
    ("text", "convert the text to paths"),
    ("image", "place the inner picture as artwork of its own"),
    ("foreignObject", "draw its content with SVG shapes"),
    ("switch", "keep the one drawing that is meant"),
    ("script", "take the script out"),
    ("animate", "take the animation out"),
    ("animateTransform", "take the animation out"),
    ("animateMotion", "take the animation out"),
    ("set", "take the animation out"),
];

/// Refuses elements that cannot be kept as they are, and links that leave the file.
pub(super) fn refuse_lost_elements(path: &str, document: &Document<'_>) -> Result<(), Fault> {
    for node in document.descendants().filter(Node::is_element) {
        let name = node.tag_name().name();
        if let Some((_, hint)) = REFUSED.iter().find(|(refused, _)| *refused == name) {
            return Err(feature(path, &describe(&node), hint));
        }
        let link = node
            .attributes()
            .find(|a| a.name() == "href")
            .map(|a| a.value());
        if link.is_some_and(|link| name != "a" && !link.starts_with('#')) {
            let what = format!("{} with a link out of the file", describe(&node));
            return Err(feature(
                path,
                &what,
                "bring the linked drawing into the file",
            ));
        }
    }
    Ok(())
}

/// Returns the element's tag, with its id where it has one.
pub(super) fn describe(node: &Node<'_, '_>) -> String {
    let name = node.tag_name().name();
    node.attribute("id")
        .map_or_else(|| format!("<{name}>"), |id| format!("<{name} id=\"{id}\">"))
}

pub(super) fn feature(path: &str, what: &str, hint: &str) -> Fault {
    let message = format!("\"{path}\" has {what}, which cannot be printed as it is");
    Fault::new(code::ASSET_FEATURE, message, hint)
}

pub(super) fn damaged(path: &str, why: &str) -> Fault {
    let message = format!("\"{path}\" is no sound SVG file: {why}");
    Fault::new(
        code::ASSET_DAMAGED,
        message,
        "open it in a drawing program and save it as plain SVG",
    )
}

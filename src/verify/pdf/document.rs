//! Opens a PDF: its pages, their boxes, and what concerns the whole file.

use kurbo::{Affine, Point, Rect};
use lopdf::{Dictionary, Document, LoadOptions, Object, ObjectId};

use super::found::{PageFound, PdfFound};
use super::interpreter::{Effort, Interpreter};
use crate::length::MM_PER_INCH;

/// Millimetres in a point.
const POINT_MM: f64 = MM_PER_INCH / 72.0;

/// Bytes that one stream may inflate to: ten times the content of a full sheet of detailed drawings.
pub(super) const MOST_BYTES: usize = 64 << 20;

/// Pages read at most.
const MOST_PAGES: usize = 10_000;

/// Page tree levels climbed at most; a balanced tree of a million pages has fewer.
const HIGHEST: usize = 32;

/// Reads a PDF.
///
/// # Errors
///
/// Why the file is no PDF that can be read.
pub(in crate::verify) fn read_pdf(bytes: &[u8]) -> Result<PdfFound, String> {
    let options = LoadOptions::with_max_decompressed_size(MOST_BYTES);
    let document = Document::load_mem_with_options(bytes, options)
        .map_err(|error| format!("is no PDF: {error}"))?;
    let mut found = PdfFound::default();
    if document.is_encrypted() || document.was_encrypted() {
        return Err("is encrypted".to_owned());
    }
    check_catalog(&document, &mut found.problems);
    let mut effort = Effort::default();
    for id in document.page_iter().take(MOST_PAGES) {
        found.pages.push(read_page(&document, id, &mut effort));
    }
    Ok(found)
}

fn check_catalog(document: &Document, problems: &mut Vec<String>) {
    let Ok(catalog) = document.catalog() else {
        return problems.push("has no catalogue".to_owned());
    };
    let scaling = dictionary(document, catalog, b"ViewerPreferences")
        .and_then(|preferences| preferences.get_deref(b"PrintScaling", document).ok())
        .and_then(|scaling| scaling.as_name().ok());
    if scaling != Some(b"None") {
        problems
            .push("does not ask to be printed at true size: /PrintScaling is not /None".to_owned());
    }
    let layers = dictionary(document, catalog, b"OCProperties");
    let Some(shown) = layers.and_then(|layers| dictionary(document, layers, b"D")) else {
        return;
    };
    let is_listed = |key: &[u8]| {
        let list = shown.get_deref(key, document).and_then(Object::as_array);
        list.is_ok_and(|list| !list.is_empty())
    };
    let base = shown
        .get_deref(b"BaseState", document)
        .and_then(Object::as_name);
    // AS switches layers by themselves, for instance off when printing.
    if is_listed(b"OFF") || is_listed(b"AS") || base.is_ok_and(|base| base != b"ON") {
        problems.push("hides layers".to_owned());
    }
}

fn dictionary<'d>(
    document: &'d Document,
    inside: &'d Dictionary,
    key: &[u8],
) -> Option<&'d Dictionary> {
    inside
        .get_deref(key, document)
        .and_then(Object::as_dict)
        .ok()
}

fn read_page(document: &Document, id: ObjectId, effort: &mut Effort) -> PageFound {
    let mut found = PageFound::default();
    let Ok(page) = document.get_dictionary(id) else {
        found.problems.push("is no page".to_owned());
        return found;
    };
    let Some(media) =
        inherited(document, page, b"MediaBox").and_then(|media| rectangle(document, media))
    else {
        found.problems.push("has no media box".to_owned());
        return found;
    };
    let page_from_user = Affine::new([
        POINT_MM,
        0.0,
        0.0,
        -POINT_MM,
        -POINT_MM * media.x0,
        POINT_MM * media.y1,
    ]);
    read_boxes(document, page, page_from_user, media, &mut found);
    check_page(document, page, &mut found.problems);
    let resources =
        inherited(document, page, b"Resources").and_then(|resources| resources.as_dict().ok());
    let content = content(document, page, &mut found.problems);
    let mut interpreter = Interpreter::new(document, found, effort, page_from_user);
    interpreter.run(&content, resources);
    interpreter.finish()
}

/// A page attribute, looked up the page tree where the page has none of its own.
fn inherited<'d>(document: &'d Document, page: &'d Dictionary, key: &[u8]) -> Option<&'d Object> {
    let mut node = page;
    for _ in 0..HIGHEST {
        if let Ok(value) = node.get_deref(key, document) {
            return Some(value);
        }
        node = dictionary(document, node, b"Parent")?;
    }
    None
}

fn rectangle(document: &Document, object: &Object) -> Option<Rect> {
    let numbers: Vec<f64> = object
        .as_array()
        .ok()?
        .iter()
        .map(|number| {
            document
                .dereference(number)
                .ok()?
                .1
                .as_float()
                .ok()
                .map(f64::from)
        })
        .collect::<Option<_>>()?;
    let [x0, y0, x1, y1] = numbers[..] else {
        return None;
    };
    let rectangle = Rect::from_points(Point::new(x0, y0), Point::new(x1, y1));
    (rectangle.is_finite() && rectangle.area() > 0.0).then_some(rectangle)
}

/// ISO 32000-1, table 30: a missing crop box is the media box, a missing trim or bleed box is the crop box.
fn read_boxes(
    document: &Document,
    page: &Dictionary,
    page_from_user: Affine,
    media: Rect,
    found: &mut PageFound,
) {
    let own = |key: &[u8]| {
        page.get_deref(key, document)
            .ok()
            .and_then(|b| rectangle(document, b))
    };
    let crop = inherited(document, page, b"CropBox")
        .and_then(|b| rectangle(document, b))
        .unwrap_or(media);
    let boxes = [
        ("media box", media),
        ("crop box", crop),
        ("trim box", own(b"TrimBox").unwrap_or(crop)),
        ("bleed box", own(b"BleedBox").unwrap_or(crop)),
    ];
    found.boxes = boxes
        .map(|(name, b)| (name, page_from_user.transform_rect_bbox(b)))
        .to_vec();
}

fn check_page(document: &Document, page: &Dictionary, problems: &mut Vec<String>) {
    let turn = inherited(document, page, b"Rotate").and_then(|turn| turn.as_i64().ok());
    if turn.is_some_and(|turn| turn != 0) {
        problems.push("is shown turned: it has a /Rotate".to_owned());
    }
    let unit = page
        .get_deref(b"UserUnit", document)
        .and_then(Object::as_float);
    if unit.is_ok_and(|unit| (unit - 1.0).abs() > 1e-6) {
        problems.push("is scaled: it has a /UserUnit".to_owned());
    }
    let notes = page
        .get_deref(b"Annots", document)
        .and_then(Object::as_array);
    if notes.is_ok_and(|notes| !notes.is_empty()) {
        problems.push("has annotations, which may be printed".to_owned());
    }
}

/// The page's content streams as one, with space between them, as ISO 32000-1, 7.8.2 asks.
fn content(document: &Document, page: &Dictionary, problems: &mut Vec<String>) -> Vec<u8> {
    let mut content = Vec::new();
    let Ok(contents) = page.get_deref(b"Contents", document) else {
        return content;
    };
    let parts = match contents.as_array() {
        Ok(parts) => parts.iter().collect(),
        Err(_) => vec![contents],
    };
    for part in parts {
        let stream = document
            .dereference(part)
            .and_then(|(_, object)| object.as_stream());
        match stream
            .and_then(|stream| stream.get_plain_content_with_limit(MOST_BYTES - content.len()))
        {
            Ok(bytes) => {
                content.extend(bytes);
                content.push(b'\n');
            }
            Err(error) => {
                problems.push(format!("has content that cannot be read: {error}"));
                return content;
            }
        }
        if content.len() >= MOST_BYTES {
            problems.push("has too much content".to_owned());
            return content;
        }
    }
    content
}

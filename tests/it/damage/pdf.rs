//! Damage to PDFs.

use lopdf::content::{Content, Operation};
use lopdf::{Document, Object, ObjectId, Stream};

/// Position of a tagged drawing among a page's operations: from its BDC to its EMC.
type Range = std::ops::Range<usize>;

fn saved(mut document: Document) -> Vec<u8> {
    let mut bytes = Vec::new();
    document.save_to(&mut bytes).unwrap();
    bytes
}

fn page_id(document: &Document, page: u32) -> ObjectId {
    document.get_pages()[&page]
}

/// Changes the operations of one page.
pub(crate) fn edit(pdf: &[u8], page: u32, change: impl FnOnce(&mut Vec<Operation>)) -> Vec<u8> {
    let mut document = Document::load_mem(pdf).unwrap();
    let id = page_id(&document, page);
    let mut operations = Content::decode_strict(&document.get_page_content(id))
        .unwrap()
        .operations;
    change(&mut operations);
    let content = Content { operations }.encode().unwrap();
    let content = document.add_object(Stream::new(lopdf::Dictionary::new(), content));
    document
        .get_dictionary_mut(id)
        .unwrap()
        .set("Contents", content);
    saved(document)
}

/// Changes the dictionary of one page.
pub(crate) fn edit_page(
    pdf: &[u8],
    page: u32,
    change: impl FnOnce(&mut lopdf::Dictionary),
) -> Vec<u8> {
    let mut document = Document::load_mem(pdf).unwrap();
    let id = page_id(&document, page);
    change(document.get_dictionary_mut(id).unwrap());
    saved(document)
}

/// Changes the catalogue.
pub(crate) fn edit_catalog(pdf: &[u8], change: impl FnOnce(&mut lopdf::Dictionary)) -> Vec<u8> {
    let mut document = Document::load_mem(pdf).unwrap();
    change(document.catalog_mut().unwrap());
    saved(document)
}

fn is(operation: &Operation, kind: &str, id: &str) -> bool {
    let text = |key: &[u8]| {
        let properties = operation.operands.get(1)?.as_dict().ok()?;
        properties.get(key).ok()?.as_str().ok()
    };
    operation.operator == "BDC"
        && text(b"Kind") == Some(kind.as_bytes())
        && text(b"Id") == Some(id.as_bytes())
}

fn find(operations: &[Operation], kind: &str, id: &str) -> Range {
    let begin = operations
        .iter()
        .position(|operation| is(operation, kind, id))
        .unwrap();
    let mut depth = 0;
    for (i, operation) in operations.iter().enumerate().skip(begin) {
        match operation.operator.as_str() {
            "BDC" | "BMC" => depth += 1,
            "EMC" => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return begin..i + 1;
        }
    }
    panic!("{kind} {id} is not closed");
}

fn numbers(numbers: [f64; 6]) -> Vec<Object> {
    numbers
        .into_iter()
        .map(|n| Object::Real(format!("{n:.9}").parse().unwrap()))
        .collect()
}

/// Maps what is drawn for an id, in the millimetres it is drawn in.
pub(crate) fn map_tagged(pdf: &[u8], page: u32, kind: &str, id: &str, matrix: [f64; 6]) -> Vec<u8> {
    edit(pdf, page, |operations| {
        let range = find(operations, kind, id);
        operations.insert(range.end - 1, Operation::new("Q", vec![]));
        operations.insert(range.start + 1, Operation::new("cm", numbers(matrix)));
        operations.insert(range.start + 1, Operation::new("q", vec![]));
    })
}

/// Gives the layers of a page other matrices, which are told the one that each has.
pub(crate) fn map_layers(pdf: &[u8], page: u32, other: impl Fn([f64; 6]) -> [f64; 6]) -> Vec<u8> {
    edit(pdf, page, |operations| {
        for i in 0..operations.len().saturating_sub(2) {
            let is_layer = operations[i].operator == "BDC"
                && operations[i].operands[0].as_name().ok() == Some(b"OC");
            if !is_layer {
                continue;
            }
            assert_eq!(operations[i + 2].operator, "cm");
            let own = operations[i + 2].operands.iter();
            let own: Vec<f64> = own.map(|n| f64::from(n.as_float().unwrap())).collect();
            operations[i + 2].operands = numbers(other(own.try_into().unwrap()));
        }
    })
}

/// Leaves out what is drawn for an id.
pub(crate) fn drop_tagged(pdf: &[u8], page: u32, kind: &str, id: &str) -> Vec<u8> {
    edit(pdf, page, |operations| {
        let range = find(operations, kind, id);
        operations.drain(range);
    })
}

/// Draws what is drawn for an id twice.
pub(crate) fn double_tagged(pdf: &[u8], page: u32, kind: &str, id: &str) -> Vec<u8> {
    edit(pdf, page, |operations| {
        let range = find(operations, kind, id);
        let copy: Vec<Operation> = operations[range.clone()].to_vec();
        operations.splice(range.end..range.end, copy);
    })
}

/// Exchanges the names of two drawings.
pub(crate) fn swap_ids(pdf: &[u8], page: u32, kind: &str, a: &str, b: &str) -> Vec<u8> {
    edit(pdf, page, |operations| {
        let (at_a, at_b) = (
            find(operations, kind, a).start,
            find(operations, kind, b).start,
        );
        let of_a = operations[at_a].clone();
        operations[at_a] = std::mem::replace(&mut operations[at_b], of_a);
    })
}

/// Where the picture of an id is shown that has `number` pictures of the same id before it.
fn do_of(operations: &[Operation], id: &str, number: usize) -> usize {
    let mut is_inside = false;
    let mut places = Vec::new();
    for (place, operation) in operations.iter().enumerate() {
        match operation.operator.as_str() {
            "BDC" => is_inside = is(operation, "artwork", id),
            "EMC" => is_inside = false,
            "Do" if is_inside => places.push(place),
            _ => {}
        }
    }
    places[number]
}

/// Maps a picture, told by its id and how many pictures of that id come before it, in the unit square it is drawn in.
pub(crate) fn map_picture(
    pdf: &[u8],
    page: u32,
    (id, number): (&str, usize),
    matrix: [f64; 6],
) -> Vec<u8> {
    edit(pdf, page, |operations| {
        let shown = do_of(operations, id, number);
        operations.insert(shown, Operation::new("cm", numbers(matrix)));
    })
}

/// Turns the first picture of a piece by 180 degrees in its place.
pub(crate) fn turn_picture(pdf: &[u8], page: u32, id: &str) -> Vec<u8> {
    map_picture(pdf, page, (id, 0), [-1.0, 0.0, 0.0, -1.0, 1.0, 1.0])
}

/// Exchanges two pictures, each told by its id and how many of that id come before it.
pub(crate) fn swap_pictures(pdf: &[u8], page: u32, a: (&str, usize), b: (&str, usize)) -> Vec<u8> {
    edit(pdf, page, |operations| {
        let [at_a, at_b] = [a, b].map(|(id, number)| do_of(operations, id, number));
        let of_a = operations[at_a].clone();
        operations[at_a] = std::mem::replace(&mut operations[at_b], of_a);
    })
}

/// Exchanges two pictures wherever the document shows them, each told by the digest of the file it came from.
pub(crate) fn swap_sources(pdf: &[u8], a: &str, b: &str) -> Vec<u8> {
    let mut document = Document::load_mem(pdf).unwrap();
    let of = |document: &Document, digest: &str| {
        let is_it = |object: &Object| {
            let source = object
                .as_stream()
                .ok()
                .and_then(|stream| stream.dict.get(b"SheetwrightSource").ok());
            source.and_then(|source| source.as_str().ok()) == Some(digest.as_bytes())
        };
        let mut objects = document.objects.iter();
        *objects.find(|(_, object)| is_it(object)).unwrap().0
    };
    let (id_a, id_b) = (of(&document, a), of(&document, b));
    let [of_a, of_b] = [id_a, id_b].map(|id| document.objects[&id].clone());
    document.objects.insert(id_a, of_b);
    document.objects.insert(id_b, of_a);
    saved(document)
}

/// Adds content at the end of a page.
pub(crate) fn append(pdf: &[u8], page: u32, content: &str) -> Vec<u8> {
    let mut document = Document::load_mem(pdf).unwrap();
    let id = page_id(&document, page);
    let mut bytes = document.get_page_content(id);
    bytes.extend(content.as_bytes());
    let content = document.add_object(Stream::new(lopdf::Dictionary::new(), bytes));
    document
        .get_dictionary_mut(id)
        .unwrap()
        .set("Contents", content);
    saved(document)
}

/// Characters by code of a composite font, from its own table of single characters.
fn characters(document: &Document, font: &lopdf::Dictionary) -> Vec<([u8; 2], char)> {
    let table = font.get_deref(b"ToUnicode", document).unwrap();
    let table = table.as_stream().unwrap().get_plain_content().unwrap();
    let table = String::from_utf8(table).unwrap();
    let lines = table.lines().filter_map(|line| {
        let (code, text) = line.strip_prefix('<')?.split_once("> <")?;
        let text = text.strip_suffix('>')?;
        let (code, text) = (
            u16::from_str_radix(code, 16).ok()?,
            u32::from_str_radix(text, 16).ok()?,
        );
        Some((code.to_be_bytes(), char::from_u32(text)?))
    });
    lines.collect()
}

/// Changes the first words of a page that are these, spaces at their end left out of account; `None` takes them away.
pub(crate) fn retype(pdf: &[u8], page: u32, from: &str, to: Option<&str>) -> Vec<u8> {
    let document = Document::load_mem(pdf).unwrap();
    let fonts = document.get_page_fonts(page_id(&document, page)).unwrap();
    let fonts: std::collections::BTreeMap<Vec<u8>, _> = fonts
        .into_iter()
        .map(|(name, font)| (name, characters(&document, font)))
        .collect();
    edit(pdf, page, |operations| {
        let mut font: &[([u8; 2], char)] = &[];
        for i in 0..operations.len() {
            let operation = &operations[i];
            if operation.operator == "Tf" {
                font = &fonts[operation.operands[0].as_name().unwrap()];
            } else if shown(operation, font).is_some_and(|text| text.trim_end() == from) {
                match to {
                    Some(to) => operations[i] = showing(to, font),
                    None => drop(operations.remove(i)),
                }
                return;
            }
        }
        panic!("{from:?} is not on page {page}");
    })
}

fn shown(operation: &Operation, font: &[([u8; 2], char)]) -> Option<String> {
    if !["Tj", "TJ"].contains(&operation.operator.as_str()) {
        return None;
    }
    let one = &operation.operands[0];
    let parts = one
        .as_array()
        .map_or(std::slice::from_ref(one), Vec::as_slice);
    let codes = parts.iter().filter_map(|part| part.as_str().ok());
    let codes = codes.flat_map(|bytes| bytes.chunks_exact(2));
    let text = codes.map(|code| {
        font.iter()
            .find(|(own, _)| own == code)
            .map_or('?', |f| f.1)
    });
    Some(text.collect())
}

fn showing(text: &str, font: &[([u8; 2], char)]) -> Operation {
    let code = |c: char| font.iter().find(|(_, own)| *own == c).unwrap().0;
    let codes: Vec<u8> = text.chars().flat_map(code).collect();
    let string = Object::String(codes, lopdf::StringFormat::Hexadecimal);
    Operation::new("TJ", vec![Object::Array(vec![string])])
}

/// The page on which these words stand first.
pub(crate) fn page_with(pdf: &[u8], text: &str) -> u32 {
    let document = Document::load_mem(pdf).unwrap();
    let pages = document.get_pages();
    let holds = |id: ObjectId| {
        let fonts = document.get_page_fonts(id).unwrap();
        let fonts: std::collections::BTreeMap<Vec<u8>, _> = fonts
            .into_iter()
            .map(|(name, font)| (name, characters(&document, font)))
            .collect();
        let content = Content::decode_strict(&document.get_page_content(id)).unwrap();
        let mut font: &[([u8; 2], char)] = &[];
        content.operations.iter().any(|operation| {
            if operation.operator == "Tf" {
                font = &fonts[operation.operands[0].as_name().unwrap()];
            }
            shown(operation, font).is_some_and(|own| own.trim_end() == text)
        })
    };
    *pages.iter().find(|(_, id)| holds(**id)).unwrap().0
}

/// Takes a page out.
pub(crate) fn drop_page(pdf: &[u8], page: u32) -> Vec<u8> {
    let mut document = Document::load_mem(pdf).unwrap();
    document.delete_pages(&[page]);
    saved(document)
}

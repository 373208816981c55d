//! From the skeleton to the finished file: content, font, layers, and what the whole document says about itself.

use std::collections::BTreeMap;

use lopdf::{
    Dictionary, Document, Object, ObjectId, Stream, StringFormat, dictionary, text_string,
};
use sha2::{Digest, Sha256};

use super::{
    Streams,
    book::Book,
    content::Content,
    layer,
    resource::{Pattern, Resource},
    skeleton,
};
use crate::{
    draw::page::{self, Duplex},
    emit::number,
};

/// The version whose `/Duplex` is the newest entry used (ISO 32000-1, table 150).
const VERSION: &str = "1.7";
/// What made the file. The project's own name and nothing else.
const PRODUCER: &str = concat!("sheetwright ", env!("CARGO_PKG_VERSION"));

/// Decimals of a pattern's matrix.
const MATRIX_DECIMALS: usize = 6;

/// Bytes of the file identifier; ISO 32000-1, 14.4 suggests an MD5, which has as many.
const ID_BYTES: usize = 16;

/// Puts everything in its place in the skeleton and returns the bytes of the file.
pub(super) fn finish(mut file: Document, book: &Book<'_>, streams: Streams) -> Vec<u8> {
    let groups = layer::add(&mut file, &book.shelf.layers);
    let objects = objects(&mut file, book, &groups);
    set_forms(&mut file, book, &objects);
    set_profiles(&mut file, book, &objects);
    set_pages(&mut file, book, &objects);
    set_catalog(&mut file, book, &groups);
    set_information(&mut file, book.document);
    file.version = VERSION.into();
    file.prune_objects();
    file.renumber_objects();
    match streams {
        Streams::Packed => file.compress(),
        Streams::Plain => {}
    }
    set_identifier(&mut file);
    bytes(&mut file)
}

/// Returns, for every name in the content, what it stands for.
fn objects(file: &mut Document, book: &Book<'_>, groups: &[Object]) -> BTreeMap<Resource, Object> {
    let mut objects = BTreeMap::new();
    let pictures = skeleton::shared(file, "XObject");
    for (index, _) in book.pictures() {
        let resource = Resource::Asset(index);
        objects.insert(resource, entry(&pictures, &resource.to_string()));
    }
    let states = skeleton::shared(file, "ExtGState");
    for index in 0..book.shelf.opacities.len() {
        let resource = Resource::State(index);
        objects.insert(resource, entry(&states, &resource.to_string()));
    }
    let shadings = skeleton::shared(file, "Shading");
    for (index, pattern) in book.shelf.patterns.iter().enumerate() {
        let pattern = shading_pattern(&shadings, pattern);
        objects.insert(Resource::Pattern(index), file.add_object(pattern).into());
    }
    for (index, group) in groups.iter().enumerate() {
        objects.insert(Resource::Layer(index), group.clone());
    }
    for (resource, typeface) in &book.typefaces {
        objects.insert(*resource, typeface.embed(file).into());
    }
    objects
}

fn entry(shared: &Dictionary, name: &str) -> Object {
    let object = shared.get(name.as_bytes());
    object
        .expect("the skeleton was built from the same book")
        .clone()
}

fn shading_pattern(shadings: &Dictionary, pattern: &Pattern) -> Dictionary {
    let matrix = pattern.matrix.as_coeffs();
    dictionary! {
        "Type" => "Pattern",
        "PatternType" => 2,
        "Shading" => entry(shadings, &skeleton::shading_name(pattern.shading)),
        "Matrix" => matrix.map(|m| number::single(m, MATRIX_DECIMALS).into()).to_vec(),
    }
}

/// Returns the resources that a stream names, and no others.
fn resources(content: &Content, objects: &BTreeMap<Resource, Object>) -> Dictionary {
    let mut resources = Dictionary::new();
    for resource in content.used() {
        let key = resource.category().as_bytes();
        if !resources.has(key) {
            resources.set(key, Dictionary::new());
        }
        let category = resources.get_mut(key).and_then(Object::as_dict_mut);
        category
            .expect("a category is a dictionary")
            .set(resource.to_string(), objects[&resource].clone());
    }
    resources
}

fn set_forms(file: &mut Document, book: &Book<'_>, objects: &BTreeMap<Resource, Object>) {
    for (index, content) in &book.forms {
        let form = objects[&Resource::Asset(*index)]
            .as_reference()
            .and_then(|id| file.get_object_mut(id))
            .and_then(Object::as_stream_mut)
            .expect("a form is a stream of the skeleton");
        form.dict.set("Resources", resources(content, objects));
    }
}

/// Gives pictures their own colours where those are not sRGB, as a page's are taken to be (ISO 32000-1, 8.6.5.5); a profile is stored once.
fn set_profiles(file: &mut Document, book: &Book<'_>, objects: &BTreeMap<Resource, Object>) {
    let mut stored: BTreeMap<Vec<u8>, ObjectId> = BTreeMap::new();
    for (index, asset) in book.pictures() {
        let Some(profile) = asset.content.profile().filter(|profile| !profile.is_srgb) else {
            continue;
        };
        let alternate = if profile.components == 1 {
            "DeviceGray"
        } else {
            "DeviceRGB"
        };
        let dict = dictionary! { "N" => i64::from(profile.components), "Alternate" => alternate };
        let id = *stored
            .entry(profile.bytes.clone())
            .or_insert_with(|| file.add_object(Stream::new(dict, profile.bytes)));
        let image = objects[&Resource::Asset(index)]
            .as_reference()
            .and_then(|id| file.get_object_mut(id))
            .and_then(Object::as_stream_mut)
            .expect("a picture is a stream of the skeleton");
        let space: Vec<Object> = vec!["ICCBased".into(), id.into()];
        image.dict.set("ColorSpace", space);
    }
}

fn set_pages(file: &mut Document, book: &Book<'_>, objects: &BTreeMap<Resource, Object>) {
    let ids: Vec<ObjectId> = file.page_iter().collect();
    for (id, content) in ids.into_iter().zip(&book.pages) {
        let stream = Stream::new(Dictionary::new(), content.text().into());
        let stream = file.add_object(stream);
        let page = file.get_dictionary_mut(id).expect("a page is a dictionary");
        let sheet = page.get(b"MediaBox").expect("a page has a size").clone();
        page.set("BleedBox", sheet);
        page.set("Resources", resources(content, objects));
        page.set("Contents", stream);
        page.remove(b"Annots");
    }
}

fn set_catalog(file: &mut Document, book: &Book<'_>, groups: &[Object]) {
    let document = book.document;
    let catalog = file.catalog_mut().expect("the skeleton has a catalog");
    catalog.set("PageLayout", "SinglePage");
    catalog.set("PageLabels", page_labels(document));
    catalog.set("ViewerPreferences", viewer_preferences(document.duplex));
    if !groups.is_empty() {
        catalog.set("OCProperties", layer::properties(groups));
    }
}

/// The names that viewers show instead of page numbers (ISO 32000-1, 12.4.2).
fn page_labels(document: &page::Document) -> Dictionary {
    let labels = (0_i64..).zip(&document.pages).flat_map(|(index, page)| {
        let label = dictionary! { "P" => text_string(&page.label) };
        [index.into(), label.into()]
    });
    dictionary! { "Nums" => labels.collect::<Vec<Object>>() }
}

/// Asks print dialogs for true size, paper by page size, and the right turning (ISO 32000-1, 12.2).
fn viewer_preferences(duplex: Duplex) -> Dictionary {
    let duplex = match duplex {
        Duplex::Simplex => "Simplex",
        Duplex::LongEdge => "DuplexFlipLongEdge",
        Duplex::ShortEdge => "DuplexFlipShortEdge",
    };
    dictionary! {
        "PrintScaling" => "None",
        "Duplex" => duplex,
        "PickTrayByPDFSize" => true,
    }
}

fn set_information(file: &mut Document, document: &page::Document) {
    let mut information = dictionary! {
        "Title" => text_string(&document.title),
        "Producer" => text_string(PRODUCER),
    };
    if let Some(author) = &document.author {
        information.set("Author", text_string(author));
    }
    let information = file.add_object(information);
    file.trailer.set("Info", information);
}

/// Names the file by its content, so that the same document is the same file wherever and whenever it is made.
fn set_identifier(file: &mut Document) {
    file.trailer.remove(b"ID");
    let digest = Sha256::digest(bytes(file));
    let id = Object::String(digest[..ID_BYTES].to_vec(), StringFormat::Hexadecimal);
    file.trailer.set("ID", vec![id.clone(), id]);
}

fn bytes(file: &mut Document) -> Vec<u8> {
    let mut bytes = Vec::new();
    file.save_to(&mut bytes).expect("memory takes every byte");
    bytes
}

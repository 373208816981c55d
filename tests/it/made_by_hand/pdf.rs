//! The two PDFs.

use lopdf::{Dictionary, Document, Object, ObjectId, Stream, dictionary};
use serde_json::Value;

use super::{BACK, BASIL, DILL, IDENTITY, PAPER_MM, circle};

/// Points in a millimetre.
const MM: f64 = 72.0 / 25.4;

/// `print.pdf`: front and back.
pub(crate) fn print(sheet: &Value) -> Vec<u8> {
    let front = [
        layer("Artwork", &artwork(sheet, "front")),
        marks(sheet),
        ticks(sheet),
        caption(sheet),
    ]
    .concat();
    let back = [layer("Artwork", &artwork(sheet, "back")), caption(sheet)].concat();
    document(&[(IDENTITY, front), (BACK, back)])
}

/// `proof.pdf`: one page with every operation.
pub(crate) fn proof(sheet: &Value) -> Vec<u8> {
    let mut content = layer("Artwork", &artwork(sheet, "front"));
    content.push_str(&layer(
        "Names",
        "1 g 30 30 10 4 re f 0 g BT /F0 3 Tf 1 0 0 -1 30 33 Tm (packet#1) Tj ET\n",
    ));
    for (name, kind) in [
        ("Reverse creasing", "crease"),
        ("Punching", "hole"),
        ("Cutting", "cut"),
    ] {
        let mut inside = String::new();
        for placement in sheet["placements"].as_array().unwrap() {
            for operation in placement["operations"].as_array().unwrap() {
                if operation["kind"] == kind {
                    let path = operators(operation["path"].as_str().unwrap());
                    inside.push_str(&tagged(
                        kind,
                        operation["id"].as_str().unwrap(),
                        &format!("0.25 w {path}S\n"),
                    ));
                }
            }
        }
        content.push_str(&layer(name, &inside));
    }
    content.push_str(&marks(sheet));
    content.push_str(&ticks(sheet));
    document(&[(IDENTITY, content)])
}

/// Path data as operators.
fn operators(d: &str) -> String {
    let mut text = String::new();
    let mut operands = Vec::new();
    let mut command = "";
    for word in d.split_whitespace().chain(["end"]) {
        if word.parse::<f64>().is_ok() {
            operands.push(word);
            continue;
        }
        let operator = match command {
            "M" => "m",
            "L" => "l",
            "C" => "c",
            "Z" => "h",
            _ => "",
        };
        text.push_str(&format!("{} {operator} ", operands.join(" ")));
        operands.clear();
        command = word;
    }
    text
}

fn layer(name: &str, content: &str) -> String {
    let resource = name.replace(' ', "");
    format!("/OC /{resource} BDC q\n{content}Q EMC\n")
}

fn tagged(kind: &str, id: &str, content: &str) -> String {
    format!("/Sheetwright << /Kind ({kind}) /Id ({id}) >> BDC\n{content}EMC\n")
}

fn artwork(sheet: &Value, face: &str) -> String {
    let mut text = String::new();
    for placement in sheet["placements"].as_array().unwrap() {
        for artwork in placement["artwork"].as_array().unwrap() {
            if artwork["face"] != face {
                continue;
            }
            let clip = operators(artwork["clip"].as_str().unwrap());
            let seen = if artwork["sha256"] == BASIL {
                // A form is drawn y down.
                format!("q {} cm /Basil Do Q", matrix(&artwork["places"][0], false))
            } else if artwork["sha256"] == DILL {
                format!("q {} cm /Dill Do Q", matrix(&artwork["places"][0], true))
            } else {
                // #a3b18a in 255ths: 163, 177, 138.
                format!("0.63922 0.69412 0.54118 rg {clip}f")
            };
            let content = format!("q {clip}W n {seen} Q\n");
            text.push_str(&tagged(
                "artwork",
                placement["id"].as_str().unwrap(),
                &content,
            ));
        }
    }
    text
}

/// The matrix of a picture; an image stands y up in its unit square.
fn matrix(place: &Value, is_image: bool) -> String {
    let n: Vec<f64> = place
        .as_array()
        .unwrap()
        .iter()
        .map(|n| n.as_f64().unwrap())
        .collect();
    let [a, b, c, d, e, f] = n[..] else {
        panic!("six numbers")
    };
    let flipped = if is_image {
        [a, b, -c, -d, e + c, f + d]
    } else {
        [a, b, c, d, e, f]
    };
    flipped.map(|n| format!("{n:.9}")).join(" ")
}

fn marks(sheet: &Value) -> String {
    let mut text = String::new();
    for mark in sheet["marks"].as_array().unwrap() {
        let (x, y) = (
            mark["x_mm"].as_f64().unwrap(),
            mark["y_mm"].as_f64().unwrap(),
        );
        let filled = match mark["quadrants"].as_str().unwrap() {
            "one" => 1,
            "two-adjacent" => 2,
            _ => 3,
        };
        let ring = format!(
            "{} {}",
            operators(&circle(x, y, 3.0)),
            operators(&circle(x, y, 2.2))
        );
        let corners = [(0.0, 0.0), (-1.5, 0.0), (-1.5, -1.5)];
        let squares: String = corners[..filled]
            .iter()
            .map(|(dx, dy)| format!("{} {} 1.5 1.5 re f ", x + dx, y + dy))
            .collect();
        let content = format!("0 g {ring}f* {squares}\n");
        text.push_str(&tagged("mark", mark["id"].as_str().unwrap(), &content));
    }
    layer("Marks", &text)
}

fn ticks(sheet: &Value) -> String {
    let mut text = String::new();
    for tick in sheet["ticks"].as_array().unwrap() {
        let end = |key: &str| format!("{} {}", tick[key][0], tick[key][1]);
        let content = format!("0.1 w {} m {} l S\n", end("from_mm"), end("to_mm"));
        text.push_str(&tagged("tick", tick["id"].as_str().unwrap(), &content));
    }
    layer("Ticks", &text)
}

/// Words and a rule of 4 in, in the frame of the page whichever face it shows.
fn caption(sheet: &Value) -> String {
    let at = |i: usize| sheet["caption_box_mm"][i].as_f64().unwrap();
    let (x, y) = (at(0), at(1));
    let words = format!(
        "BT /F0 2 Tf 1 0 0 -1 {x} {} Tm (Plant swap) Tj ET\n",
        y + 2.0
    );
    let rule = format!("0.15 w {x} {0} m {1} {0} l S\n", y + 5.0, x + 101.6);
    let content = [
        tagged("caption", "caption", &words),
        tagged("rule", "rule", &rule),
    ]
    .concat();
    // Undoes the map of the sheet to its page, which is around everything here.
    format!("Q q {} cm\n{}", page_matrix(), layer("Caption", &content))
}

/// Millimetres, y down, to points, y up.
fn page_matrix() -> String {
    format!("{MM:.9} 0 0 {:.9} 0 {:.4}", -MM, PAPER_MM.1 * MM)
}

fn document(pages: &[([f64; 6], String)]) -> Vec<u8> {
    let mut file = Document::with_version("1.7");
    let layers: Dictionary = [
        "Artwork",
        "Marks",
        "Ticks",
        "Caption",
        "Names",
        "Hand lines",
        "Reverse creasing",
        "Punching",
        "Cutting",
    ]
    .into_iter()
    .map(|name| {
        let group = dictionary! { "Type" => "OCG", "Name" => Object::string_literal(name) };
        (name.replace(' ', ""), Object::from(file.add_object(group)))
    })
    .collect();
    let groups: Vec<Object> = layers.iter().map(|(_, group)| group.clone()).collect();
    let pictures = dictionary! { "Basil" => form(&mut file), "Dill" => image(&mut file) };
    let font = dictionary! { "Type" => "Font", "Subtype" => "Type1", "BaseFont" => "Helvetica" };
    let resources = dictionary! {
        "Properties" => layers,
        "XObject" => pictures,
        "Font" => dictionary! { "F0" => font },
    };
    let tree = file.new_object_id();
    let kids: Vec<Object> = pages
        .iter()
        .map(|(map, content)| page(&mut file, tree, *map, content).into())
        .collect();
    let size: Vec<Object> = vec![0.into(), 0.into(), Object::Real(612.0), Object::Real(792.0)];
    let count = i64::try_from(kids.len()).unwrap();
    // Size and resources are on the tree: pages inherit them.
    let pages = dictionary! {
        "Type" => "Pages", "Kids" => kids, "Count" => count, "MediaBox" => size, "Resources" => resources,
    };
    file.objects.insert(tree, pages.into());
    let catalog = file.add_object(dictionary! {
        "Type" => "Catalog",
        "Pages" => tree,
        "ViewerPreferences" => dictionary! { "PrintScaling" => "None" },
        "OCProperties" => dictionary! { "OCGs" => groups.clone(), "D" => dictionary! { "Order" => groups } },
    });
    file.trailer.set("Root", catalog);
    let mut bytes = Vec::new();
    file.save_to(&mut bytes).unwrap();
    bytes
}

/// The content is in two streams, split between two operators.
fn page(file: &mut Document, tree: ObjectId, map: [f64; 6], content: &str) -> ObjectId {
    let map = map.map(|n| n.to_string()).join(" ");
    let start = format!("q {} cm {map} cm", page_matrix());
    let mut stream = |text: String| {
        Object::from(file.add_object(Stream::new(Dictionary::new(), text.into_bytes())))
    };
    let contents = vec![stream(start), stream(format!("{content}Q"))];
    file.add_object(dictionary! { "Type" => "Page", "Parent" => tree, "Contents" => contents })
}

fn form(file: &mut Document) -> ObjectId {
    let dictionary = dictionary! {
        "Type" => "XObject", "Subtype" => "Form", "BBox" => vec![0.into(), 0.into(), 1.into(), 1.into()],
        "Resources" => Dictionary::new(), "SheetwrightSource" => Object::string_literal(BASIL),
    };
    file.add_object(Stream::new(
        dictionary,
        b"0.2 0.5 0.2 rg 0.1 0.1 0.5 0.8 re f".to_vec(),
    ))
}

fn image(file: &mut Document) -> ObjectId {
    let dictionary = dictionary! {
        "Type" => "XObject", "Subtype" => "Image", "Width" => 2, "Height" => 1, "ColorSpace" => "DeviceGray",
        "BitsPerComponent" => 8, "SheetwrightSource" => Object::string_literal(DILL),
    };
    file.add_object(Stream::new(dictionary, vec![40, 200]))
}

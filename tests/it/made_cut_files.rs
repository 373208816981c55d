//! What is in the cut files of the examples: so little of SVG that no importer can go wrong on it.

use std::collections::BTreeSet;

use roxmltree::{Document, Node};

use crate::made::example;
use crate::program::examples;

const SVG: &str = "http://www.w3.org/2000/svg";

/// Each element with the attributes it must have, and no others.
const ELEMENTS: [(&str, &[&str]); 5] = [
    ("svg", &["height", "viewBox", "width"]),
    ("title", &[]),
    ("desc", &[]),
    ("g", &["fill", "id", "stroke", "stroke-width"]),
    ("path", &["d", "id"]),
];

/// Layers in the order they are cut in: what needs firm paper first, what frees the piece last (common practice, no source).
const LAYERS: [&str; 7] = [
    "reference",
    "line",
    "crease",
    "perforation",
    "partial-cut",
    "hole",
    "cut",
];

/// Colours that cutting programs may take for an instruction (common practice, no source).
const PURE: [&str; 6] = [
    "#ff0000", "#00ff00", "#0000ff", "#00ffff", "#ff00ff", "#000000",
];

/// Calls `check` with the example and name of every cut file, and the file.
fn over_cut_files(check: impl Fn(&str, &Document<'_>)) {
    let mut seen = 0;
    for name in examples() {
        for (file, bytes) in &example(&name).files {
            if file.starts_with("cut-") && file.ends_with(".svg") {
                let text = std::str::from_utf8(bytes).unwrap();
                check(&format!("{name}/{file}"), &Document::parse(text).unwrap());
                seen += 1;
            }
        }
    }
    // Three of the herb packets, three of the plant labels, two of the bulb boxes; the class kit is cut with a trimmer.
    assert!(seen >= 8, "{seen}");
}

fn layers<'a>(file: &'a Document<'_>) -> Vec<Node<'a, 'a>> {
    let children = file.root_element().children();
    children.filter(|child| child.has_tag_name("g")).collect()
}

#[test]
fn cut_files_hold_five_kinds_of_elements_with_just_the_attributes_they_need() {
    over_cut_files(|name, file| {
        for node in file.descendants().filter(Node::is_element) {
            let tag = node.tag_name();
            assert_eq!(tag.namespace(), Some(SVG), "{name}");
            let known = ELEMENTS.iter().find(|(element, _)| *element == tag.name());
            let (_, allowed) = known.unwrap_or_else(|| panic!("{name}: <{}>", tag.name()));
            let found: BTreeSet<&str> = node.attributes().map(|a| a.name()).collect();
            assert_eq!(
                found,
                allowed.iter().copied().collect(),
                "{name}: <{}>",
                tag.name()
            );
        }
        let is_markup = |node: &Node<'_, '_>| node.is_comment() || node.is_pi();
        assert!(!file.descendants().any(|node| is_markup(&node)), "{name}");
    });
}

#[test]
fn paths_know_absolute_m_l_c_and_z_with_four_decimals_at_most() {
    over_cut_files(|name, file| {
        for path in file.descendants().filter(|node| node.has_tag_name("path")) {
            let d = path.attribute("d").unwrap();
            let mut words = d.split(' ').peekable();
            assert_eq!(words.peek(), Some(&"M"), "{name}: {d}");
            while let Some(command) = words.next() {
                let numbers = match command {
                    "M" | "L" => 2,
                    "C" => 6,
                    "Z" => 0,
                    other => panic!("{name}: {other} in {d}"),
                };
                for _ in 0..numbers {
                    let number = words.next().unwrap();
                    number.parse::<f64>().unwrap();
                    let decimals = number.split_once('.').map_or(0, |(_, after)| after.len());
                    let is_plain = number
                        .chars()
                        .all(|c| c.is_ascii_digit() || "-.".contains(c));
                    assert!(is_plain && decimals <= 4, "{name}: {number}");
                }
            }
        }
    });
}

#[test]
fn layers_stand_in_cutting_order_each_in_a_muted_colour_of_its_own() {
    over_cut_files(|name, file| {
        let layers = layers(file);
        let place = |layer: &Node<'_, '_>| {
            let id = layer.attribute("id").unwrap();
            LAYERS.iter().position(|known| *known == id).unwrap()
        };
        let places: Vec<usize> = layers.iter().map(place).collect();
        assert!(places.is_sorted_by(|a, b| a < b), "{name}: {places:?}");
        assert_eq!(places.first(), Some(&0), "{name}: reference comes first");
        let colours: Vec<&str> = layers
            .iter()
            .map(|layer| layer.attribute("stroke").unwrap())
            .collect();
        let different: BTreeSet<&str> = colours.iter().copied().collect();
        assert_eq!(different.len(), colours.len(), "{name}: {colours:?}");
        for colour in colours {
            let digits = colour.strip_prefix('#').unwrap();
            assert!(digits.len() == 6 && digits.chars().all(|c| c.is_ascii_hexdigit()));
            assert!(
                !PURE.contains(&colour.to_lowercase().as_str()),
                "{name}: {colour}"
            );
        }
        assert!(
            layers
                .iter()
                .all(|layer| layer.attribute("fill") == Some("none"))
        );
    });
}

#[test]
fn all_cut_files_of_a_job_have_one_extent_and_a_unit_of_one_millimetre() {
    // The sheets of each project: Letter, 12 x 12 in, A4.
    let extents = [
        ("herb-packet", ["215.9", "279.4"]),
        ("plant-labels", ["304.8", "304.8"]),
        ("bulb-box", ["210", "297"]),
        ("seed-drawer", ["210", "297"]),
        ("swap-slider", ["215.9", "279.4"]),
        ("gift-kit", ["215.9", "279.4"]),
    ];
    over_cut_files(|name, file| {
        let (example, _) = name.split_once('/').unwrap();
        let (_, [width, height]) = extents.iter().find(|(of, _)| *of == example).unwrap();
        let attribute = |attribute| file.root_element().attribute(attribute).unwrap();
        assert_eq!(attribute("width"), format!("{width}mm"), "{name}");
        assert_eq!(attribute("height"), format!("{height}mm"), "{name}");
        assert_eq!(
            attribute("viewBox"),
            format!("0 0 {width} {height}"),
            "{name}"
        );
        // Programs that drop the page look at what is drawn: lines in opposite corners fix the same extent.
        let d = |id: &str| {
            let mut paths = file.descendants();
            let path = paths.find(|node| node.attribute("id") == Some(id)).unwrap();
            path.attribute("d").unwrap()
        };
        assert!(d("ref-top-left").starts_with("M 0 0 "), "{name}");
        assert!(
            d("ref-bottom-right").ends_with(&format!("L {width} {height}")),
            "{name}"
        );
    });
}

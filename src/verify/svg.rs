//! Reads a cut file: its size, and its paths with the layers they stand in, in millimetres.
//!
//! Follows SVG 2: the viewBox is stretched over the stated size, `transform` on groups and paths multiplies up, path data
//! may be relative. Whatever else could change what is cut (other shapes, style sheets, clips, hidden parts) is not
//! interpreted but told as a problem.

use kurbo::{Affine, BezPath};
use roxmltree::{Document, Node, ParsingOptions};
use svgtypes::{Length, LengthUnit, Transform, ViewBox};

use super::trace::read;
use crate::length::MM_PER_INCH;

const SVG: &str = "http://www.w3.org/2000/svg";

/// Elements that a cut file may hold at most; a full sheet of tiny pieces has a few thousand.
const MOST_NODES: u32 = 1_000_000;

/// Groups within groups; more than any editor makes.
const DEEPEST: usize = 64;

/// Names of groups that are layers.
pub(super) const LAYERS: [&str; 7] = [
    "line",
    "crease",
    "perforation",
    "partial-cut",
    "hole",
    "cut",
    "reference",
];

/// Attributes, and style properties, that change what is cut without moving it.
const FORBIDDEN: [&str; 8] = [
    "display",
    "visibility",
    "clip-path",
    "mask",
    "filter",
    "marker",
    "d",
    "transform-origin",
];

/// What a cut file holds.
#[derive(Debug, Clone, PartialEq)]
pub struct CutFound {
    /// Its title.
    pub title: String,
    /// What it says about itself.
    pub note: String,
    /// Stated width in millimetres.
    pub width_mm: f64,
    /// Stated height in millimetres.
    pub height_mm: f64,
    /// The paths in the file's order.
    pub paths: Vec<CutPathFound>,
    /// What stands in the file and may not.
    pub problems: Vec<String>,
}

/// One path of a cut file.
#[derive(Debug, Clone, PartialEq)]
pub struct CutPathFound {
    /// Its XML id.
    pub id: Option<String>,
    /// Its title.
    pub title: String,
    /// The nearest group around it that is a layer.
    pub layer: Option<&'static str>,
    /// Where, in millimetres from the top left corner.
    pub path: BezPath,
}

/// Reads a cut file.
///
/// # Errors
///
/// Why the file is no SVG with a size.
pub(super) fn read_svg(bytes: &[u8]) -> Result<CutFound, String> {
    let text = std::str::from_utf8(bytes).map_err(|_| "is no UTF-8 text".to_owned())?;
    if nesting(text) > DEEPEST {
        return Err(format!("nests deeper than {DEEPEST} elements"));
    }
    let options = ParsingOptions {
        nodes_limit: MOST_NODES,
        ..ParsingOptions::default()
    };
    let document = Document::parse_with_options(text, options)
        .map_err(|error| format!("is no XML: {error}"))?;
    let root = document.root_element();
    if !root.has_tag_name((SVG, "svg")) {
        return Err("is no SVG".to_owned());
    }
    let (width_mm, height_mm) = (length_mm(root, "width")?, length_mm(root, "height")?);
    let mut reader = Reader {
        found: CutFound {
            title: text_of(root, "title"),
            note: text_of(root, "desc"),
            width_mm,
            height_mm,
            paths: Vec::new(),
            problems: Vec::new(),
        },
    };
    let file_from_user = reader.file_from_user(root)?;
    reader.check_attributes(root);
    reader.children(root, file_from_user, None);
    Ok(reader.found)
}

/// An upper bound of how deep elements nest, found without building anything: the XML reader calls itself for each level.
fn nesting(text: &str) -> usize {
    let (mut depth, mut deepest) = (0_usize, 0);
    for tag in text.split('<').skip(1) {
        if tag.starts_with('/') {
            depth = depth.saturating_sub(1);
        } else if !tag.starts_with(['!', '?'])
            && !tag.split('>').next().is_some_and(|tag| tag.ends_with('/'))
        {
            depth += 1;
            deepest = deepest.max(depth);
        }
    }
    deepest
}

fn length_mm(root: Node<'_, '_>, name: &str) -> Result<f64, String> {
    let text = root
        .attribute(name)
        .ok_or_else(|| format!("states no {name}"))?;
    let length: Length = text
        .parse()
        .map_err(|_| format!("states the {name} as \"{text}\""))?;
    // CSS Values and Units 4, 6.2: 1 in = 96 px = 72 pt = 6 pc = 2.54 cm.
    let unit_mm = match length.unit {
        LengthUnit::Mm => 1.0,
        LengthUnit::Cm => 10.0,
        LengthUnit::In => MM_PER_INCH,
        LengthUnit::Pt => MM_PER_INCH / 72.0,
        LengthUnit::Pc => MM_PER_INCH / 6.0,
        LengthUnit::Px | LengthUnit::None => MM_PER_INCH / 96.0,
        LengthUnit::Em | LengthUnit::Ex | LengthUnit::Percent => {
            return Err(format!(
                "states the {name} as \"{text}\", which is no size on paper"
            ));
        }
    };
    Ok(length.number * unit_mm)
}

struct Reader {
    found: CutFound,
}

impl Reader {
    fn problem(&mut self, problem: String) {
        if !self.found.problems.contains(&problem) {
            self.found.problems.push(problem);
        }
    }

    fn file_from_user(&mut self, root: Node<'_, '_>) -> Result<Affine, String> {
        let text = root.attribute("viewBox").ok_or("has no viewBox")?;
        let view: ViewBox = text
            .parse()
            .map_err(|_| format!("has the viewBox \"{text}\""))?;
        let (x, y) = (self.found.width_mm / view.w, self.found.height_mm / view.h);
        if (x / y - 1.0).abs() > 1e-6 {
            self.problem(format!(
                "the viewBox \"{text}\" has other proportions than width and height"
            ));
        }
        Ok(Affine::scale_non_uniform(x, y) * Affine::translate((-view.x, -view.y)))
    }

    fn children(
        &mut self,
        parent: Node<'_, '_>,
        file_from_parent: Affine,
        layer: Option<&'static str>,
    ) {
        for node in parent.children().filter(Node::is_element) {
            let name = node.tag_name();
            // Elements of other vocabularies are notes of an editor and drawn by nobody.
            if name.namespace() != Some(SVG) {
                continue;
            }
            match name.name() {
                "title" | "desc" | "metadata" => {}
                "defs" if !node.has_children() => {}
                "g" => {
                    self.check_attributes(node);
                    let layer = layer_of(node).or(layer);
                    let file_from_group = file_from_parent * self.transform(node);
                    self.children(node, file_from_group, layer);
                }
                "path" => {
                    self.check_attributes(node);
                    let file_from_path = file_from_parent * self.transform(node);
                    self.path(node, file_from_path, layer);
                }
                other => self.problem(format!(
                    "holds an element <{other}>, which is not read: only groups and paths are"
                )),
            }
        }
    }

    fn transform(&mut self, node: Node<'_, '_>) -> Affine {
        let Some(text) = node.attribute("transform") else {
            return Affine::IDENTITY;
        };
        transform(text).unwrap_or_else(|| {
            self.problem(format!("holds the transform \"{text}\""));
            Affine::IDENTITY
        })
    }

    fn path(&mut self, node: Node<'_, '_>, file_from_path: Affine, layer: Option<&'static str>) {
        let id = node.attribute("id").map(str::to_owned);
        match read(node.attribute("d").unwrap_or_default()) {
            Ok(path) => {
                let path = file_from_path * path;
                self.found.paths.push(CutPathFound {
                    id,
                    title: text_of(node, "title"),
                    layer,
                    path,
                });
            }
            Err(error) => {
                let name = id.unwrap_or_else(|| "without an id".to_owned());
                self.problem(format!("the data of path {name} cannot be read: {error}"));
            }
        }
    }

    fn check_attributes(&mut self, node: Node<'_, '_>) {
        let is_path = node.has_tag_name((SVG, "path"));
        for name in FORBIDDEN {
            if node.has_attribute(name) && !(is_path && name == "d") {
                self.problem(format!(
                    "holds the attribute {name}, which changes what is cut"
                ));
            }
        }
        for declaration in node.attribute("style").unwrap_or_default().split(';') {
            let property = declaration.split(':').next().unwrap_or_default().trim();
            if FORBIDDEN.contains(&property) || property == "transform" {
                self.problem(format!(
                    "holds the style {property}, which changes what is cut"
                ));
            }
        }
    }
}

/// The text of a node's first child of this name.
fn text_of(node: Node<'_, '_>, name: &str) -> String {
    let child = node
        .children()
        .find(|child| child.has_tag_name((SVG, name)));
    let text = child.and_then(|child| child.text()).unwrap_or_default();
    text.trim().to_owned()
}

fn layer_of(group: Node<'_, '_>) -> Option<&'static str> {
    let id = group.attribute("id")?;
    LAYERS.into_iter().find(|layer| *layer == id)
}

/// Reads the value of a `transform` attribute.
pub(super) fn transform(text: &str) -> Option<Affine> {
    let t = text.parse::<Transform>().ok()?;
    Some(Affine::new([t.a, t.b, t.c, t.d, t.e, t.f]))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read_paths(inside: &str) -> CutFound {
        let text = format!(
            r#"<svg xmlns="{SVG}" width="200mm" height="100mm" viewBox="0 0 200 100">{inside}</svg>"#
        );
        read_svg(text.as_bytes()).unwrap()
    }

    #[test]
    fn transforms_of_groups_and_paths_multiply_up() {
        let found = read_paths(
            r#"<g id="cut" transform="translate(10 20)"><g transform="scale(2)"><path id="a" transform="rotate(90)" d="M 1 0 L 2 0"/></g></g>"#,
        );
        // (1, 0) turned clockwise (y down) by 90 degrees is (0, 1), twice that is (0, 2), moved (10, 22).
        let at = found.paths[0].path.segments().next().unwrap().to_cubic().p0;
        assert!(
            (at.x - 10.0).abs() < 1e-9 && (at.y - 22.0).abs() < 1e-9,
            "{at:?}"
        );
        assert_eq!(found.paths[0].layer, Some("cut"));
        assert!(found.problems.is_empty());
    }

    #[test]
    fn a_view_box_in_pixels_gives_the_same_millimetres() {
        // 1 in = 96 px = 25.4 mm.
        let text = format!(
            r#"<s:svg xmlns:s="{SVG}" width="8in" viewBox="0 0 768 384" height="4in"><s:path d="m96 96h96"/></s:svg>"#
        );
        let found = read_svg(text.as_bytes()).unwrap();
        let line = found.paths[0].path.segments().next().unwrap().to_cubic();
        assert!((line.p0.x - 25.4).abs() < 1e-9 && (line.p3.x - 50.8).abs() < 1e-9);
        assert!((found.width_mm - 203.2).abs() < 1e-9);
    }

    #[test]
    fn what_could_hide_or_move_a_cut_is_a_problem() {
        for inside in [
            r#"<rect width="10" height="10"/>"#,
            r#"<style>path { display: none }</style>"#,
            r#"<g display="none"><path d="M 0 0 L 1 1"/></g>"#,
            r#"<path style="fill:none; transform: scale(2)" d="M 0 0 L 1 1"/>"#,
            r##"<use href="#a"/>"##,
            r#"<path d="M 0 0 L zwei"/>"#,
        ] {
            assert_eq!(read_paths(inside).problems.len(), 1, "{inside}");
        }
    }

    #[test]
    fn a_hundred_thousand_nested_groups_are_refused() {
        let text = format!(
            "<svg xmlns=\"{SVG}\" width=\"1mm\" height=\"1mm\" viewBox=\"0 0 1 1\">{}",
            "<g>".repeat(100_000)
        );
        assert!(read_svg(text.as_bytes()).is_err());
    }
}

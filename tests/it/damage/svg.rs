//! Damage to cut files.

use roxmltree::{Document, Node};
use svgtypes::{SimplePathSegment, SimplifyingPathParser};

/// An element with its attributes and child elements; text is kept for titles only.
#[derive(Debug, Clone)]
pub(crate) struct Element {
    pub(crate) name: String,
    pub(crate) attributes: Vec<(String, String)>,
    pub(crate) text: String,
    pub(crate) children: Vec<Self>,
}

impl Element {
    pub(crate) fn read(svg: &[u8]) -> Self {
        let text = std::str::from_utf8(svg).unwrap();
        Self::of(Document::parse(text).unwrap().root_element())
    }

    fn of(node: Node<'_, '_>) -> Self {
        let attributes = node.attributes();
        Self {
            name: node.tag_name().name().to_owned(),
            attributes: attributes
                .map(|a| (a.name().to_owned(), a.value().to_owned()))
                .collect(),
            text: node.text().unwrap_or_default().trim().to_owned(),
            children: node
                .children()
                .filter(Node::is_element)
                .map(Self::of)
                .collect(),
        }
    }

    pub(crate) fn attribute(&self, name: &str) -> Option<&str> {
        let found = self.attributes.iter().find(|(key, _)| key == name);
        found.map(|(_, value)| value.as_str())
    }

    pub(crate) fn set(&mut self, name: &str, value: String) {
        match self.attributes.iter_mut().find(|(key, _)| key == name) {
            Some(attribute) => attribute.1 = value,
            None => self.attributes.push((name.to_owned(), value)),
        }
    }

    /// Calls `change` on every element, parents first.
    pub(crate) fn each(&mut self, change: &mut impl FnMut(&mut Self)) {
        change(self);
        for child in &mut self.children {
            child.each(change);
        }
    }

    pub(crate) fn write(&self) -> Vec<u8> {
        let mut text = String::new();
        self.write_into(&mut text, true);
        text.into_bytes()
    }

    fn write_into(&self, text: &mut String, is_root: bool) {
        text.push_str(&format!("<{}", self.name));
        if is_root {
            text.push_str(" xmlns=\"http://www.w3.org/2000/svg\"");
        }
        for (name, value) in &self.attributes {
            text.push_str(&format!(" {name}=\"{}\"", escaped(value)));
        }
        text.push_str(&format!(">{}", escaped(&self.text)));
        for child in &self.children {
            child.write_into(text, false);
        }
        text.push_str(&format!("</{}>\n", self.name));
    }
}

pub(crate) fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('"', "&quot;")
}

/// Segments of path data, absolute.
pub(crate) fn segments(d: &str) -> Vec<SimplePathSegment> {
    SimplifyingPathParser::from(d).map(Result::unwrap).collect()
}

/// Path data with every point mapped.
pub(crate) fn mapped(d: &str, map: impl Fn(f64, f64) -> (f64, f64)) -> String {
    let spell = |x: f64, y: f64| {
        let (x, y) = map(x, y);
        format!("{x:.4} {y:.4} ")
    };
    segments(d)
        .into_iter()
        .map(|segment| match segment {
            SimplePathSegment::MoveTo { x, y } => format!("M {}", spell(x, y)),
            SimplePathSegment::LineTo { x, y } => format!("L {}", spell(x, y)),
            SimplePathSegment::CurveTo {
                x1,
                y1,
                x2,
                y2,
                x,
                y,
            } => {
                format!("C {}{}{}", spell(x1, y1), spell(x2, y2), spell(x, y))
            }
            SimplePathSegment::Quadratic { x1, y1, x, y } => {
                format!("Q {}{}", spell(x1, y1), spell(x, y))
            }
            SimplePathSegment::ClosePath => "Z ".to_owned(),
        })
        .collect()
}

/// Maps the points of all paths whose id starts with `prefix`.
pub(crate) fn map_paths(svg: &[u8], prefix: &str, map: impl Fn(f64, f64) -> (f64, f64)) -> Vec<u8> {
    let mut root = Element::read(svg);
    root.each(&mut |element| {
        if element
            .attribute("id")
            .is_some_and(|id| id.starts_with(prefix))
            && let Some(d) = element.attribute("d").map(|d| mapped(d, &map))
        {
            element.set("d", d);
        }
    });
    root.write()
}

/// Leaves out the elements whose id starts with `prefix`.
pub(crate) fn drop(svg: &[u8], prefix: &str) -> Vec<u8> {
    let mut root = Element::read(svg);
    root.each(&mut |element| {
        let is_dropped = |child: &Element| {
            child
                .attribute("id")
                .is_some_and(|id| id.starts_with(prefix))
        };
        element.children.retain(|child| !is_dropped(child));
    });
    root.write()
}

/// Exchanges two prefixes of ids: each piece bears the other's name.
pub(crate) fn swap_ids(svg: &[u8], a: &str, b: &str) -> Vec<u8> {
    let mut root = Element::read(svg);
    root.each(&mut |element| {
        let swapped = element.attribute("id").and_then(|id| {
            let after =
                |from: &str, to: &str| id.strip_prefix(from).map(|rest| format!("{to}{rest}"));
            after(a, b).or_else(|| after(b, a))
        });
        if let Some(id) = swapped {
            element.set("id", id);
        }
    });
    root.write()
}

/// Moves the layer `late` before the layer `early`.
pub(crate) fn reorder_layers(svg: &[u8], late: &str, early: &str) -> Vec<u8> {
    let mut root = Element::read(svg);
    let at = |root: &Element, layer: &str| {
        root.children
            .iter()
            .position(|c| c.attribute("id") == Some(layer))
            .unwrap()
    };
    let moved = at(&root, late);
    let moved = root.children.remove(moved);
    let to = at(&root, early);
    root.children.insert(to, moved);
    root.write()
}

/// Exchanges the names of two layers.
pub(crate) fn swap_layer_names(svg: &[u8], a: &str, b: &str) -> Vec<u8> {
    let mut root = Element::read(svg);
    for layer in &mut root.children {
        let name = match layer.attribute("id") {
            Some(id) if id == a => b,
            Some(id) if id == b => a,
            _ => continue,
        };
        layer.set("id", name.to_owned());
    }
    root.write()
}

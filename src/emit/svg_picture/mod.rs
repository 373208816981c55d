//! A [`Page`] as an SVG picture, for looking at: one unit is one millimetre.
//!
//! Unlike a cut file it holds all that a page can hold: fills, strokes, clips, gradients and pictures, words as outlines. Everything it
//! refers to is in the file itself. What a drawing is tagged with becomes a group with its kind as `data-kind` and its id as title.

mod base64;
mod defs;
mod paint;

use kurbo::{Affine, BezPath};
use svg::node::element::{Group, Path, SVG, Title, Use};

use super::number;
use crate::draw::page::Page;
use crate::drawing::{Asset, AssetContent, Drawing, FillRule, GlyphRun, Item, Paint};
use crate::font::Face;
use crate::geometry::path_data::to_path_data;
use defs::Defs;

/// Decimals of a coordinate: a nanometre on the page; a vector picture has a unit square of its own.
const DECIMALS: usize = 6;

/// Decimals of the page's size and of places on it: 0.1 µm.
const PAGE_DECIMALS: usize = 4;

/// Returns the file; `assets` are those the page's drawings index.
///
/// # Panics
/// If an asset that `load` accepted does not decode.
#[must_use]
pub fn write(page: &Page, assets: &[Asset]) -> String {
    let mut writer = Writer {
        assets,
        defs: Defs::default(),
    };
    let layers: Vec<Group> = page
        .layers
        .iter()
        .map(|layer| {
            let group = transformed(titled("layer", layer.name), layer.matrix);
            writer.drawing(group, &layer.drawing, PAGE_DECIMALS)
        })
        .collect();
    let (width, height) = (mm(page.width_mm), mm(page.height_mm));
    let root = SVG::new()
        .set("xmlns", "http://www.w3.org/2000/svg")
        .set("width", format!("{width}mm"))
        .set("height", format!("{height}mm"))
        .set("viewBox", format!("0 0 {width} {height}"))
        .add(Title::new(page.label.as_str()))
        .add(writer.defs.element());
    let root = layers.into_iter().fold(root, SVG::add);
    format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{root}\n")
}

fn mm(length_mm: f64) -> String {
    number::fixed(length_mm, PAGE_DECIMALS)
}

/// A group under a map, or as it is where the map does nothing.
fn transformed(group: Group, map: Affine) -> Group {
    if map == Affine::IDENTITY {
        group
    } else {
        group.set("transform", matrix(map))
    }
}

fn matrix(map: Affine) -> String {
    let entries = map.as_coeffs().map(|entry| number::fixed(entry, DECIMALS));
    format!("matrix({})", entries.join(" "))
}

const fn rule(rule: FillRule) -> &'static str {
    match rule {
        FillRule::NonZero => "nonzero",
        FillRule::EvenOdd => "evenodd",
    }
}

/// Writes drawings and gathers what they refer to.
struct Writer<'a> {
    assets: &'a [Asset],
    defs: Defs,
}

impl Writer<'_> {
    /// Adds all items of a drawing to a group.
    fn drawing(&mut self, group: Group, drawing: &Drawing, decimals: usize) -> Group {
        let items = drawing.items.iter();
        items.fold(group, |group, item| self.item(group, item, decimals))
    }

    /// Adds one item to a group.
    fn item(&mut self, group: Group, item: &Item, decimals: usize) -> Group {
        match item {
            Item::Fill {
                path,
                rule: inside,
                paint,
            } => {
                let shape = Path::new()
                    .set("d", to_path_data(path, decimals))
                    .set("fill-rule", rule(*inside));
                group.add(self.painted(shape, "fill", paint))
            }
            Item::Stroke {
                path,
                stroke,
                paint,
            } => {
                let line = paint::stroked(path, stroke, decimals);
                group.add(self.painted(line, "stroke", paint))
            }
            Item::Clip {
                path,
                rule: inside,
                inner,
            } => self.clip(group, path, *inside, inner, decimals),
            Item::Picture { asset, places } => {
                let id = self.asset(asset.0);
                places.iter().fold(group, |group, place| {
                    let copy = Use::new()
                        .set("href", format!("#{id}"))
                        .set("transform", matrix(*place));
                    group.add(copy)
                })
            }
            Item::Glyphs(run) => group.add(self.glyphs(run, decimals)),
            Item::Tagged { tag, inner } => {
                let own = titled(tag.kind, &tag.id);
                group.add(self.drawing(own, inner, decimals))
            }
        }
    }

    fn clip(
        &mut self,
        group: Group,
        path: &BezPath,
        inside: FillRule,
        inner: &Drawing,
        decimals: usize,
    ) -> Group {
        if inner.items.is_empty() {
            return group;
        }
        let shape = Path::new()
            .set("d", to_path_data(path, decimals))
            .set("clip-rule", rule(inside));
        let id = self.defs.clip(shape);
        let clipped = Group::new().set("clip-path", format!("url(#{id})"));
        group.add(self.drawing(clipped, inner, decimals))
    }

    /// Returns the id of an asset, which is written once.
    fn asset(&mut self, index: usize) -> String {
        if let Some(id) = self.defs.asset(index) {
            return id;
        }
        match &self.assets[index].content {
            AssetContent::Vector(drawing) => {
                let drawn = self.drawing(Group::new(), drawing, DECIMALS);
                self.defs.vector(index, drawn)
            }
            raster @ (AssetContent::Png { .. } | AssetContent::Jpeg { .. }) => {
                self.defs.raster(index, raster)
            }
        }
    }

    fn glyphs(&mut self, run: &GlyphRun, decimals: usize) -> Group {
        let face = Face::of(run.weight);
        let mut line = BezPath::new();
        for placed in &run.glyphs {
            let map =
                run.matrix * Affine::translate((placed.x_mm, 0.0)) * Affine::scale(run.size_mm);
            line.extend(
                (map * face.outline(placed.glyph))
                    .elements()
                    .iter()
                    .copied(),
            );
        }
        let shape = Path::new().set("d", to_path_data(&line, decimals));
        let words = titled("words", &run.text);
        words.add(self.painted(shape, "fill", &run.paint))
    }

    /// Sets the paint of a path: `key` is `fill` or `stroke`.
    fn painted(&mut self, path: Path, key: &str, paint: &Paint) -> Path {
        match paint {
            Paint::Solid { colour, opacity } => {
                let path = path.set(key, colour.to_hex());
                if *opacity < 1.0 {
                    path.set(format!("{key}-opacity"), number::fixed(*opacity, 4))
                } else {
                    path
                }
            }
            Paint::Linear { .. } | Paint::Radial { .. } => {
                let id = self.defs.gradient(paint);
                path.set(key, format!("url(#{id})"))
            }
        }
    }
}

/// A group of some kind with a title.
fn titled(kind: &str, title: &str) -> Group {
    Group::new().set("data-kind", kind).add(Title::new(title))
}

#[cfg(test)]
mod tests;

//! What drawings refer to: clips, gradients and pictures, each with an id of its own.

use std::collections::BTreeMap;
use std::io::Cursor;

use image::ImageFormat;
use svg::node::element::{ClipPath, Definitions, Group, Image, Path};

use super::{base64, paint};
use crate::drawing::{AssetContent, Paint};
use crate::emit::png::picture::upright;

/// The orientation of a picture that is stored as it is seen.
const AS_SEEN: u8 = 1;

/// Everything a page refers to.
#[derive(Debug, Default)]
pub(super) struct Defs {
    element: Option<Definitions>,
    clips: u32,
    gradients: u32,
    assets: BTreeMap<usize, String>,
}

impl Defs {
    /// Returns them as one element.
    pub(super) fn element(self) -> Definitions {
        self.element.unwrap_or_default()
    }

    fn add(&mut self, node: impl Into<Box<dyn svg::Node>>) {
        let element = self.element.take().unwrap_or_default();
        self.element = Some(element.add(node));
    }

    /// Adds a clip and returns its id.
    pub(super) fn clip(&mut self, path: Path) -> String {
        self.clips += 1;
        let id = format!("clip-{}", self.clips);
        self.add(ClipPath::new().set("id", id.as_str()).add(path));
        id
    }

    /// Adds a gradient and returns its id; a flat colour is none.
    pub(super) fn gradient(&mut self, paint: &Paint) -> String {
        self.gradients += 1;
        let id = format!("gradient-{}", self.gradients);
        match paint {
            Paint::Solid { .. } => {}
            Paint::Linear { from, to, gradient } => {
                self.add(paint::linear(*from, *to, gradient).set("id", id.as_str()));
            }
            Paint::Radial {
                focus,
                centre,
                radius,
                gradient,
            } => self.add(paint::radial(*focus, *centre, *radius, gradient).set("id", id.as_str())),
        }
        id
    }

    /// The id of an asset that has been added.
    pub(super) fn asset(&self, index: usize) -> Option<String> {
        self.assets.get(&index).cloned()
    }

    /// Adds a vector picture and returns its id.
    pub(super) fn vector(&mut self, index: usize, drawing: Group) -> String {
        let id = self.named(index);
        self.add(drawing.set("id", id.as_str()));
        id
    }

    /// Adds a picture of pixels, filling the unit square as seen, and returns its id.
    pub(super) fn raster(&mut self, index: usize, content: &AssetContent) -> String {
        let id = self.named(index);
        let (kind, bytes) = file(content);
        let image = Image::new()
            .set("id", id.as_str())
            .set("width", 1)
            .set("height", 1)
            .set("preserveAspectRatio", "none")
            .set(
                "href",
                format!("data:{kind};base64,{}", base64::encode(&bytes)),
            );
        self.add(image);
        id
    }

    fn named(&mut self, index: usize) -> String {
        let id = format!("picture-{}", index + 1);
        self.assets.insert(index, id.clone());
        id
    }
}

/// The file of a picture that needs no turning, and its media type. Viewers differ in whether they turn a picture in an SVG file as it
/// asks for.
fn file(content: &AssetContent) -> (&'static str, Vec<u8>) {
    match content {
        AssetContent::Png { bytes, .. } => ("image/png", bytes.clone()),
        AssetContent::Jpeg {
            bytes, orientation, ..
        } if *orientation == AS_SEEN => ("image/jpeg", bytes.clone()),
        turned @ (AssetContent::Jpeg { .. } | AssetContent::Vector(_)) => {
            let mut bytes = Cursor::new(Vec::new());
            upright(turned)
                .write_to(&mut bytes, ImageFormat::Png)
                .expect("writing to memory cannot fail");
            ("image/png", bytes.into_inner())
        }
    }
}

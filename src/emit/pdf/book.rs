//! A document spelled as content streams, before it is put together as a file.

use std::collections::{BTreeMap, BTreeSet};

use kurbo::Affine;

use super::{
    content::Content,
    painter, picture,
    resource::{Resource, Shelf},
    typeface::Typeface,
};
use crate::{
    draw::page::Document,
    drawing::{Asset, AssetContent, AssetIndex, Drawing, GlyphRun},
};

/// The streams of a document and all they refer to.
#[derive(Debug)]
pub(super) struct Book<'a> {
    /// The document as it was drawn.
    pub(super) document: &'a Document,
    /// One stream for each page.
    pub(super) pages: Vec<Content>,
    /// One stream for each vector picture that is seen, by its position in the asset list.
    pub(super) forms: BTreeMap<usize, Content>,
    /// Opacities, gradients and layers.
    pub(super) shelf: Shelf,
    /// The carried font, each weight as far as it is used, by its name.
    pub(super) typefaces: BTreeMap<Resource, Typeface>,
    assets: &'a [Asset],
    seen: BTreeSet<usize>,
}

impl<'a> Book<'a> {
    /// Spells every page, then every vector picture they show.
    pub(super) fn new(document: &'a Document, assets: &'a [Asset]) -> Self {
        let mut book = Self {
            document,
            pages: Vec::new(),
            forms: BTreeMap::new(),
            shelf: Shelf::default(),
            typefaces: BTreeMap::new(),
            assets,
            seen: BTreeSet::new(),
        };
        for page in &document.pages {
            let content = painter::page(&mut book, page);
            book.pages.push(content);
        }
        while let Some((index, drawing)) = book.next_form() {
            let content = painter::form(&mut book, drawing);
            book.forms.insert(index, content);
        }
        book
    }

    /// Returns the pictures that are seen, with their positions in the asset list.
    pub(super) fn pictures(&self) -> impl Iterator<Item = (usize, &'a Asset)> {
        self.seen.iter().map(|index| (*index, &self.assets[*index]))
    }

    /// Notes that a picture is seen; returns its name, and the way from its own unit square to the picture as seen, y down.
    pub(super) fn picture(&mut self, asset: AssetIndex) -> (Resource, Affine) {
        let AssetIndex(index) = asset;
        self.seen.insert(index);
        let own_to_seen = picture::own_to_seen(&self.assets[index].content);
        (Resource::Asset(index), own_to_seen)
    }

    /// Notes that these glyphs are used; returns them as the operand of `TJ`.
    pub(super) fn text(&mut self, run: &GlyphRun) -> String {
        self.typefaces
            .entry(Resource::Font(run.weight))
            .or_insert_with(|| Typeface::new(run.weight))
            .codes(run)
    }

    /// Returns a vector picture that is seen and has no stream yet; pictures may show further pictures.
    fn next_form(&self) -> Option<(usize, &'a Drawing)> {
        self.pictures()
            .find_map(|(index, asset)| match &asset.content {
                AssetContent::Vector(drawing) if !self.forms.contains_key(&index) => {
                    Some((index, drawing))
                }
                AssetContent::Vector(_) | AssetContent::Png { .. } | AssetContent::Jpeg { .. } => {
                    None
                }
            })
    }
}

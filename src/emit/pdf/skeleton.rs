//! The document as `printpdf` builds it: the page tree, and the pictures, opacities and gradients that content refers to.

use lopdf::{Dictionary, Document, Object};
use printpdf::{
    ExtendedGraphicsState, ExtendedGraphicsStateId, PdfDocument, PdfPage, PdfResources,
    PdfSaveOptions, Pt, Rect, ShadingId, XObjectId,
};

use super::{book::Book, painter::PT_PER_MM, picture, resource::Resource};
use crate::{draw::page::Page, emit::number};

/// Decimals of a page size in points: 35 nm.
const SIZE_DECIMALS: usize = 4;

/// Builds the pages, still empty, and the objects that they share.
pub(super) fn build(book: &Book<'_>) -> Document {
    let mut skeleton = PdfDocument::new(&book.document.title);
    skeleton.resources = resources(book);
    skeleton.pages = book.document.pages.iter().map(empty_page).collect();
    let options = PdfSaveOptions {
        optimize: false,
        subset_fonts: false,
        secure: false,
        image_optimization: None,
    };
    skeleton.to_lopdf_document(&options, &mut Vec::new())
}

/// Returns the dictionary of one category that all pages of the skeleton share; empty if there are no pages.
pub(super) fn shared(skeleton: &Document, category: &str) -> Dictionary {
    let Some(page) = skeleton.page_iter().next() else {
        return Dictionary::new();
    };
    let shared = skeleton
        .get_dictionary(page)
        .and_then(|page| page.get_deref(b"Resources", skeleton))
        .and_then(Object::as_dict)
        .and_then(|resources| resources.get_deref(category.as_bytes(), skeleton))
        .and_then(Object::as_dict);
    shared
        .expect("every page of a skeleton shares them")
        .clone()
}

/// Returns the name of a gradient in the skeleton; pages know its patterns only.
pub(super) fn shading_name(index: usize) -> String {
    format!("S{}", index + 1)
}

fn resources(book: &Book<'_>) -> PdfResources {
    let mut resources = PdfResources::default();
    for (index, asset) in book.pictures() {
        let object = picture::object(asset, book.forms.get(&index));
        let id = XObjectId(Resource::Asset(index).to_string());
        resources.xobjects.map.insert(id, object);
    }
    for (index, opacity) in book.shelf.opacities.iter().enumerate() {
        let state = ExtendedGraphicsState::default()
            .with_current_fill_alpha(*opacity)
            .with_current_stroke_alpha(*opacity);
        let id = ExtendedGraphicsStateId(Resource::State(index).to_string());
        resources.extgstates.map.insert(id, state);
    }
    for (index, shading) in book.shelf.shadings.iter().enumerate() {
        let id = ShadingId(shading_name(index));
        resources.shadings.map.insert(id, shading.clone());
    }
    resources
}

fn empty_page(page: &Page) -> PdfPage {
    let [width, height] = [page.width_mm, page.height_mm]
        .map(|size_mm| Pt(number::single(size_mm * PT_PER_MM, SIZE_DECIMALS)));
    let sheet = Rect::from_wh(width, height);
    PdfPage {
        media_box: sheet.clone(),
        trim_box: sheet.clone(),
        crop_box: sheet,
        ops: Vec::new(),
    }
}

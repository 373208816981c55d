//! Pictures and forms that content names (ISO 32000-1, 8.8 to 8.10).

use std::rc::Rc;

use kurbo::{Affine, BezPath, Rect, Shape};
use lopdf::content::Operation;
use lopdf::{Dictionary, Object, ObjectId, Stream};

use super::document::MOST_BYTES;
use super::interpreter::Interpreter;
use super::picture::{self, Raster};

/// Forms within forms.
const DEEPEST: usize = 12;

impl<'d> Interpreter<'d, '_> {
    pub(super) fn object(&mut self, operation: &Operation, resources: Option<&'d Dictionary>) {
        let found = self.resource(operation.operands.first(), b"XObject", resources);
        let Some((id, stream)) =
            found.and_then(|(id, object)| Some((id?, object.as_stream().ok()?)))
        else {
            return self.problem("names a picture it does not have".to_owned());
        };
        match stream.dict.get(b"Subtype").and_then(Object::as_name) {
            Ok(b"Image") => {
                let raster = self
                    .effort
                    .rasters
                    .entry(id)
                    .or_insert_with(|| Raster::new(stream));
                let placed = raster.placed(self.state.page_from_user);
                self.add(placed);
            }
            Ok(b"Form") => self.form(id, stream, resources),
            _ => self.problem("holds an object that is neither a picture nor a form".to_owned()),
        }
    }

    fn form(&mut self, id: ObjectId, stream: &'d Stream, resources: Option<&'d Dictionary>) {
        let numbers = |key: &[u8]| -> Option<Vec<f64>> {
            let array = stream
                .dict
                .get_deref(key, self.document)
                .ok()?
                .as_array()
                .ok()?;
            array
                .iter()
                .map(|n| n.as_float().ok().map(f64::from))
                .collect()
        };
        let matrix = numbers(b"Matrix").and_then(|matrix| <[f64; 6]>::try_from(matrix).ok());
        let page_from_form =
            self.state.page_from_user * matrix.map_or(Affine::IDENTITY, Affine::new);
        let Some(Ok([x0, y0, x1, y1])) = numbers(b"BBox").map(<[f64; 4]>::try_from) else {
            return self.problem("holds a form without a box".to_owned());
        };
        let is_picture = picture::source(stream).is_some();
        let is_unit = [x0, y0, x1 - 1.0, y1 - 1.0].iter().all(|n| n.abs() < 1e-6);
        let is_seen = is_picture && !self.is_in_picture;
        if is_seen && !is_unit {
            self.problem("holds a vector picture whose box is not the unit square".to_owned());
        }
        // Inside a picture every form is looked at once: only its operators count.
        let is_new = !(is_picture || self.is_in_picture) || self.effort.pictures_run.insert(id);
        if is_new {
            let clip = page_from_form * Rect::new(x0, y0, x1, y1).to_path(0.1);
            self.nested(stream, resources, page_from_form, clip, is_picture);
        }
        if is_seen {
            let words = std::mem::take(&mut self.words_in_picture);
            let known = self.effort.pictured_words.entry(id);
            let words = Rc::clone(known.or_insert_with(|| words.into()));
            self.add(picture::form(stream, page_from_form, words));
        }
    }

    fn nested(
        &mut self,
        stream: &'d Stream,
        resources: Option<&'d Dictionary>,
        page_from_form: Affine,
        clip: BezPath,
        is_picture: bool,
    ) {
        if self.depth >= DEEPEST {
            return self.problem("nests forms too deep".to_owned());
        }
        let Ok(content) = stream.get_plain_content_with_limit(MOST_BYTES) else {
            return self.problem("holds a form that cannot be read".to_owned());
        };
        if !self.is_in_picture && !is_picture {
            let Some(left) = self.effort.form_bytes_left.checked_sub(content.len()) else {
                return self.problem("has too much content".to_owned());
            };
            self.effort.form_bytes_left = left;
        }
        let resources = stream
            .dict
            .get_deref(b"Resources", self.document)
            .and_then(Object::as_dict)
            .ok()
            .or(resources);
        let outer = (
            self.state.clone(),
            self.is_in_picture,
            self.marked.len(),
            self.user_from_line,
        );
        let builder = std::mem::take(&mut self.builder);
        self.state.page_from_user = page_from_form;
        self.clip(clip);
        self.is_in_picture |= is_picture;
        self.depth += 1;
        self.run(&content, resources);
        self.depth -= 1;
        self.builder = builder;
        let marked;
        (self.state, self.is_in_picture, marked, self.user_from_line) = outer;
        self.marked.truncate(marked);
    }
}

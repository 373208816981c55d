//! Operators that show text and mark content (ISO 32000-1, 9.4 and 14.6).

use std::rc::Rc;

use kurbo::{Affine, Point};
use lopdf::content::Operation;
use lopdf::{Dictionary, Object};

use super::font::Font;
use super::found::{Paint, Tagged, Words};
use super::interpreter::Interpreter;

/// What is known inside a stretch of marked content.
#[derive(Debug, Clone, Default)]
pub(super) struct Marked {
    /// Name of the layer.
    pub(super) layer: Option<String>,
    /// Position of the tagged drawing on the page.
    pub(super) tagged: Option<usize>,
}

impl<'d> Interpreter<'d, '_> {
    pub(super) fn text(
        &mut self,
        operation: &Operation,
        resources: Option<&'d Dictionary>,
    ) -> bool {
        match operation.operator.as_str() {
            "BT" => self.line_at(Affine::IDENTITY),
            "Tm" => {
                if let Some(numbers) = self.numbers(operation) {
                    self.line_at(Affine::new(numbers));
                }
            }
            "Tf" => self.font(operation, resources),
            "Tr" => {
                if let Some([mode]) = self.numbers(operation) {
                    self.state.shows_text = (mode - 3.0).abs() > 0.5;
                }
            }
            "Td" | "TD" => {
                if let Some([x, y]) = self.numbers(operation) {
                    self.line_at(self.user_from_line * Affine::translate((x, y)));
                    if operation.operator == "TD" {
                        self.state.leading = -y;
                    }
                }
            }
            "TL" => {
                if let Some([leading]) = self.numbers(operation) {
                    self.state.leading = leading;
                }
            }
            "T*" => self.next_line(),
            "Tj" | "TJ" => self.show(operation.operands.first()),
            "'" | "\"" => {
                self.next_line();
                self.show(operation.operands.last());
            }
            _ => return false,
        }
        true
    }

    fn line_at(&mut self, user_from_line: Affine) {
        self.user_from_line = user_from_line;
        self.shown = 0.0;
    }

    fn next_line(&mut self) {
        self.line_at(self.user_from_line * Affine::translate((0.0, -self.state.leading)));
    }

    fn font(&mut self, operation: &Operation, resources: Option<&'d Dictionary>) {
        let name = operation.operands.first();
        let found = self.resource(name, b"Font", resources);
        let font = found.and_then(|(id, object)| Some((id, object.as_dict().ok()?)));
        let size = operation.operands.get(1).and_then(|o| o.as_float().ok());
        let (Some((id, font)), Some(size)) = (font, size) else {
            // What is written in it cannot be read then; nothing that is measured depends on it.
            self.state.font = None;
            return;
        };
        let document = self.document;
        let font = match id {
            Some(id) => {
                let fonts = self.effort.fonts.entry(id);
                Rc::clone(fonts.or_insert_with(|| Rc::new(Font::read(document, font))))
            }
            None => Rc::new(Font::read(document, font)),
        };
        self.state.font = Some(font);
        self.state.font_size = f64::from(size);
    }

    /// Shows a string, or an array of strings with spaces taken out between them.
    fn show(&mut self, shown: Option<&Object>) {
        let size = self.state.font_size;
        let parts = match shown {
            Some(Object::Array(parts)) => parts.as_slice(),
            Some(one) => std::slice::from_ref(one),
            None => &[],
        };
        let mut text = String::new();
        let (mut inked, mut width) = (0.0, 0.0);
        for part in parts {
            if let (Ok(bytes), Some(font)) = (part.as_str(), &self.state.font) {
                let (own, [inked_em, width_em]) = font.decode(bytes);
                text.push_str(&own);
                if inked_em > 0.0 {
                    inked = width + inked_em * size;
                }
                width += width_em * size;
            } else if let Ok(less) = part.as_float() {
                width -= f64::from(less) / 1000.0 * size;
            }
        }
        let page_from_text =
            self.state.page_from_user * self.user_from_line * Affine::translate((self.shown, 0.0));
        let at = page_from_text * Point::ORIGIN;
        self.shown += width;
        if self.state.shows_text {
            self.add(Paint::Text(Words {
                at,
                along: page_from_text * Point::new(inked, 0.0) - at,
                up: page_from_text * Point::new(0.0, size) - at,
                text,
            }));
        }
    }

    pub(super) fn mark(
        &mut self,
        operation: &Operation,
        resources: Option<&'d Dictionary>,
    ) -> bool {
        let operands = &operation.operands;
        let mut marked = self.marked.last().cloned().unwrap_or_default();
        match operation.operator.as_str() {
            "EMC" => {
                if self.marked.pop().is_none() {
                    self.problem("ends marked content it has not begun".to_owned());
                }
                return true;
            }
            "BMC" => {}
            "BDC" => {
                let name = operands.first().and_then(|name| name.as_name().ok());
                let properties = match operands.get(1) {
                    Some(Object::Dictionary(properties)) => Some(properties.clone()),
                    other => self
                        .resource(other, b"Properties", resources)
                        .and_then(|(_, object)| object.as_dict().ok())
                        .cloned(),
                };
                let properties = properties.unwrap_or_default();
                if name == Some(b"OC") {
                    marked.layer = text(&properties, b"Name");
                } else if name == Some(b"Sheetwright") && !self.is_in_picture {
                    let within = marked.tagged.replace(self.found.tagged.len());
                    self.found.tagged.push(Tagged {
                        within,
                        kind: text(&properties, b"Kind").unwrap_or_default(),
                        id: text(&properties, b"Id").unwrap_or_default(),
                        layer: marked.layer.clone(),
                        items: Vec::new(),
                    });
                }
            }
            _ => return false,
        }
        self.marked.push(marked);
        true
    }
}

fn text(properties: &Dictionary, key: &[u8]) -> Option<String> {
    properties
        .get(key)
        .ok()
        .and_then(|text| lopdf::decode_text_string(text).ok())
}

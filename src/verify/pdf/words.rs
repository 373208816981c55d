//! Operators that show text and mark content (ISO 32000-1, 9.4 and 14.6).

use kurbo::{Affine, Point};
use lopdf::content::Operation;
use lopdf::{Dictionary, Object};

use super::found::{Paint, Tagged};
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
    pub(super) fn text(&mut self, operation: &Operation) -> bool {
        match operation.operator.as_str() {
            "BT" => self.user_from_line = Affine::IDENTITY,
            "Tm" => {
                if let Some(numbers) = self.numbers(operation) {
                    self.user_from_line = Affine::new(numbers);
                }
            }
            "Td" | "TD" => {
                if let Some([x, y]) = self.numbers(operation) {
                    self.user_from_line *= Affine::translate((x, y));
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
            "Tj" | "TJ" => self.show(),
            "'" | "\"" => {
                self.next_line();
                self.show();
            }
            _ => return false,
        }
        true
    }

    fn next_line(&mut self) {
        self.user_from_line *= Affine::translate((0.0, -self.state.leading));
    }

    fn show(&mut self) {
        let at = self.state.page_from_user * self.user_from_line * Point::ORIGIN;
        self.add(Paint::Text(at));
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
                    marked.tagged = Some(self.found.tagged.len());
                    self.found.tagged.push(Tagged {
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

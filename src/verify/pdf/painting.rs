//! Operators that build paths and paint them (ISO 32000-1, 8.5).

use std::rc::Rc;

use kurbo::{BezPath, Point};
use lopdf::content::Operation;

use super::found::{Loose, Paint, Painted};
use super::interpreter::Interpreter;

/// Clips in force at a time.
const MOST_CLIPS: usize = 64;

impl Interpreter<'_, '_> {
    fn at(&self, x: f64, y: f64) -> Point {
        self.state.page_from_user * Point::new(x, y)
    }

    pub(super) fn path(&mut self, operation: &Operation) -> bool {
        let operator = operation.operator.as_str();
        match operator {
            "m" | "l" => {
                if let Some([x, y]) = self.numbers(operation) {
                    let to = self.at(x, y);
                    if operator == "m" {
                        self.builder.move_to(to);
                    } else if !self.builder.line_to(to) {
                        self.problem("draws a line from nowhere".to_owned());
                    }
                }
            }
            "c" => {
                if let Some([x1, y1, x2, y2, x, y]) = self.numbers(operation) {
                    self.curve(Some(self.at(x1, y1)), self.at(x2, y2), self.at(x, y));
                }
            }
            "v" => {
                if let Some([x2, y2, x, y]) = self.numbers(operation) {
                    self.curve(None, self.at(x2, y2), self.at(x, y));
                }
            }
            "y" => {
                if let Some([x1, y1, x, y]) = self.numbers(operation) {
                    self.curve(Some(self.at(x1, y1)), self.at(x, y), self.at(x, y));
                }
            }
            "re" => {
                if let Some([x, y, width, height]) = self.numbers(operation) {
                    self.builder.move_to(self.at(x, y));
                    for (x, y) in [(x + width, y), (x + width, y + height), (x, y + height)] {
                        self.builder.line_to(self.at(x, y));
                    }
                    self.builder.close();
                }
            }
            "h" => self.builder.close(),
            "W" | "W*" => self.builder.clip(),
            _ => return false,
        }
        true
    }

    fn curve(&mut self, first: Option<Point>, second: Point, to: Point) {
        if !self.builder.curve_to(first, second, to) {
            self.problem("draws a curve from nowhere".to_owned());
        }
    }

    pub(super) fn paint(&mut self, operation: &Operation) -> bool {
        let (closes, fills, strokes) = match operation.operator.as_str() {
            "n" => (false, false, false),
            "S" => (false, false, true),
            "s" => (true, false, true),
            "f" | "F" | "f*" => (false, true, false),
            "B" | "B*" => (false, true, true),
            "b" | "b*" => (true, true, true),
            "sh" => {
                self.add(Paint::Shading);
                return true;
            }
            _ => return false,
        };
        if closes {
            self.builder.close();
        }
        let (path, is_clip) = self.builder.take();
        if fills {
            let is_even_odd = operation.operator.ends_with('*');
            self.add(Paint::Fill {
                path: path.clone(),
                is_even_odd,
                rgb: self.state.fill_rgb,
            });
        }
        if strokes {
            let (width_mm, cap) = (self.state.line_width_mm(), self.state.cap);
            self.add(Paint::Stroke {
                path: path.clone(),
                width_mm,
                cap,
                dashes: self.state.dashes,
            });
        }
        if is_clip {
            self.clip(path);
        }
        true
    }

    pub(super) fn clip(&mut self, path: BezPath) {
        if self.state.clips.len() < MOST_CLIPS {
            self.state.clips.push(Rc::new(path));
        } else {
            self.problem("clips too often".to_owned());
        }
    }

    pub(super) fn add(&mut self, what: Paint) {
        if self.is_in_picture {
            if let Paint::Text(words) = what {
                self.words_in_picture.push(words.text);
            }
            return;
        }
        let marked = self.marked.last();
        if let Some(tagged) = marked.and_then(|marked| marked.tagged) {
            let clips = self.state.clips.clone();
            self.found.tagged[tagged]
                .items
                .push(Painted { what, clips });
        } else {
            let layer = marked.and_then(|marked| marked.layer.clone());
            let clips = self.state.clips.clone();
            self.found.loose.push(Loose { layer, what, clips });
        }
    }
}

//! The text of one content stream.
//!
//! Streams are spelled here and not by the operators of `printpdf` or the `Content` of `lopdf`: both keep numbers as `f32` and choose
//! their decimals themselves, and neither spells the stream of a form. This way pages and forms share one spelling, and every number
//! goes through [`number::fixed`].

use std::{collections::BTreeSet, fmt::Display};

use kurbo::{Affine, BezPath, PathEl, Point};

use super::resource::Resource;
use crate::emit::number;

/// Decimals of a matrix entry: 1e-9 on a sheet of 1 m is a nanometre.
const MATRIX_DECIMALS: usize = 9;

/// A content stream being written.
#[derive(Debug)]
pub(super) struct Content {
    text: String,
    coordinate_decimals: usize,
    used: BTreeSet<Resource>,
}

impl Content {
    /// Returns an empty stream whose coordinates and lengths carry this many decimals.
    pub(super) fn new(coordinate_decimals: usize) -> Self {
        Self {
            text: String::new(),
            coordinate_decimals,
            used: BTreeSet::new(),
        }
    }

    /// Returns the text as far as it is written.
    pub(super) fn text(&self) -> &str {
        &self.text
    }

    /// Returns what the text refers to.
    pub(super) fn used(&self) -> impl Iterator<Item = Resource> {
        self.used.iter().copied()
    }

    /// Adds an operator after its operands and ends the line.
    pub(super) fn operator(&mut self, operator: &str) {
        self.text.push_str(operator);
        self.text.push('\n');
    }

    /// Adds an operand that is spelled already.
    pub(super) fn raw(&mut self, operand: impl Display) -> &mut Self {
        self.text.push_str(&operand.to_string());
        self.text.push(' ');
        self
    }

    /// Adds the name of a resource, which the stream from now on needs.
    pub(super) fn name(&mut self, resource: Resource) -> &mut Self {
        self.used.insert(resource);
        self.raw(format_args!("/{resource}"))
    }

    /// Adds a number with as many decimals as a coordinate.
    pub(super) fn number(&mut self, value: f64) -> &mut Self {
        let spelled = number::fixed(value, self.coordinate_decimals);
        self.raw(spelled)
    }

    /// Adds the six entries of a matrix.
    pub(super) fn matrix(&mut self, matrix: Affine) -> &mut Self {
        for entry in matrix.as_coeffs() {
            self.raw(number::fixed(entry, MATRIX_DECIMALS));
        }
        self
    }

    /// Changes the coordinate system for what follows.
    pub(super) fn concatenate(&mut self, matrix: Affine) {
        self.matrix(matrix).operator("cm");
    }

    /// Adds an array of numbers.
    pub(super) fn array(&mut self, values: &[f64]) -> &mut Self {
        let spelled = values
            .iter()
            .map(|value| number::fixed(*value, self.coordinate_decimals))
            .collect::<Vec<_>>()
            .join(" ");
        self.raw(format_args!("[{spelled}]"))
    }

    /// Adds the operators that build a path; a painting or clipping operator must follow.
    pub(super) fn path(&mut self, path: &BezPath) {
        let mut current = Point::ZERO;
        let mut start = Point::ZERO;
        for element in path.elements() {
            match *element {
                PathEl::MoveTo(p) => {
                    self.point(p).operator("m");
                    start = p;
                }
                PathEl::LineTo(p) => self.point(p).operator("l"),
                PathEl::QuadTo(p1, p2) => {
                    let (c1, c2) = (current.lerp(p1, 2.0 / 3.0), p2.lerp(p1, 2.0 / 3.0));
                    self.point(c1).point(c2).point(p2).operator("c");
                }
                PathEl::CurveTo(p1, p2, p3) => self.point(p1).point(p2).point(p3).operator("c"),
                PathEl::ClosePath => self.operator("h"),
            }
            current = element.end_point().unwrap_or(start);
        }
    }

    fn point(&mut self, point: Point) -> &mut Self {
        self.number(point.x).number(point.y)
    }
}

/// Returns `text` as a string operand, with everything escaped that could end it.
pub(super) fn string(text: &str) -> String {
    let mut spelled = String::from("(");
    for byte in text.bytes() {
        match byte {
            b'(' | b')' | b'\\' => spelled.extend(['\\', char::from(byte)]),
            b' '..=b'~' => spelled.push(char::from(byte)),
            other => spelled.push_str(&format!("\\{other:03o}")),
        }
    }
    spelled.push(')');
    spelled
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_spelled_with_absolute_rounded_coordinates() {
        let mut path = BezPath::new();
        path.move_to((0.123_456, 0.0));
        path.quad_to((3.0, 0.0), (3.0, 3.0));
        path.close_path();
        let mut content = Content::new(3);
        content.path(&path);
        content.operator("f");
        // A quadratic is the cubic whose inner points lie two thirds of the way to its control point:
        // 0.123456 + 2/3 (3 - 0.123456) = 2.041152, 3 + 2/3 (0 - 3) = 1.
        let want = "0.123 0 m\n2.041 0 3 1 3 3 c\nh\nf\n";
        assert_eq!(content.text(), want);
    }

    #[test]
    fn strings_cannot_be_ended_from_within() {
        assert_eq!(string("bed(2)\\#1"), "(bed\\(2\\)\\\\#1)");
        assert_eq!(string("ż"), "(\\305\\274)");
    }
}

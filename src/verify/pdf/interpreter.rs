//! Runs the content of a page.
//!
//! Only operators whose effect is known pass. What costs time or memory is bounded, so that a hostile file ends in a
//! problem: bytes of content run, nesting, and clips in force.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use kurbo::{Affine, Cap};
use lopdf::content::{Content, Operation};
use lopdf::{Dictionary, Document, Object, ObjectId};

use super::document::MOST_BYTES;
use super::font::Font;
use super::found::PageFound;
use super::picture::Raster;
use super::state::{PathBuilder, State};
use super::words::Marked;

/// Bytes of content in forms that are no pictures, counted each time they are drawn: such forms are what a program makes of a
/// page when it saves it again, and a form that draws itself twice has no end.
const MOST_FORM_BYTES: usize = 16 << 20;

/// States saved at a time; common viewers allow fewer than a hundred.
const MOST_SAVED: usize = 512;

/// Problems told for one page.
const MOST_PROBLEMS: usize = 50;

/// Operators that change nothing that is measured.
const WITHOUT_EFFECT: [&str; 18] = [
    "j", "M", "ri", "i", "CS", "SC", "SCN", "G", "RG", "K", "ET", "Tc", "Tw", "Tz", "Ts", "MP",
    "DP", "cs",
];

/// What all pages of a file share: pictures looked at, and how much more content will be run.
#[derive(Debug)]
pub(super) struct Effort {
    /// Bytes of content that may still be run.
    pub(super) bytes_left: usize,
    /// Bytes of content in forms that may still be run, each time they are drawn.
    pub(super) form_bytes_left: usize,
    /// Raster pictures by object.
    pub(super) rasters: BTreeMap<ObjectId, Raster>,
    /// Fonts by object.
    pub(super) fonts: BTreeMap<ObjectId, Rc<Font>>,
    /// Forms of vector pictures whose operators were looked at.
    pub(super) pictures_run: BTreeSet<ObjectId>,
    /// What is written in those that pages show.
    pub(super) pictured_words: BTreeMap<ObjectId, Rc<[String]>>,
}

impl Default for Effort {
    fn default() -> Self {
        Self {
            bytes_left: 4 * MOST_BYTES,
            form_bytes_left: MOST_FORM_BYTES,
            rasters: BTreeMap::new(),
            fonts: BTreeMap::new(),
            pictures_run: BTreeSet::new(),
            pictured_words: BTreeMap::new(),
        }
    }
}

/// Runs the content of one page.
#[derive(Debug)]
pub(super) struct Interpreter<'d, 'e> {
    /// The file.
    pub(super) document: &'d Document,
    /// What pages share.
    pub(super) effort: &'e mut Effort,
    /// What the page turned out to hold.
    pub(super) found: PageFound,
    /// The graphics state.
    pub(super) state: State,
    saved: Vec<State>,
    /// The path being built.
    pub(super) builder: PathBuilder,
    /// Marked content around the current place, innermost last.
    pub(super) marked: Vec<Marked>,
    /// Start of the line of text in user space.
    pub(super) user_from_line: Affine,
    /// How far the line has been shown, in its own units.
    pub(super) shown: f64,
    /// Forms around the current place.
    pub(super) depth: usize,
    /// Whether the content belongs to a vector picture, whose inside is not measured.
    pub(super) is_in_picture: bool,
    /// What is written in the vector picture that is run.
    pub(super) words_in_picture: Vec<String>,
}

impl<'d, 'e> Interpreter<'d, 'e> {
    pub(super) fn new(
        document: &'d Document,
        found: PageFound,
        effort: &'e mut Effort,
        page_from_user: Affine,
    ) -> Self {
        Self {
            document,
            effort,
            found,
            state: State::new(page_from_user),
            saved: Vec::new(),
            builder: PathBuilder::default(),
            marked: Vec::new(),
            user_from_line: Affine::IDENTITY,
            shown: 0.0,
            depth: 0,
            is_in_picture: false,
            words_in_picture: Vec::new(),
        }
    }

    pub(super) fn finish(self) -> PageFound {
        self.found
    }

    pub(super) fn problem(&mut self, problem: String) {
        if self.found.problems.len() < MOST_PROBLEMS && !self.found.problems.contains(&problem) {
            self.found.problems.push(problem);
        }
    }

    /// Runs content with the resources it names things of.
    pub(super) fn run(&mut self, content: &[u8], resources: Option<&'d Dictionary>) {
        let Some(left) = self.effort.bytes_left.checked_sub(content.len()) else {
            return self.problem("has too much content".to_owned());
        };
        self.effort.bytes_left = left;
        let Ok(content) = Content::decode_strict(content) else {
            return self.problem("has content that is no list of operators".to_owned());
        };
        let bottom = self.saved.len();
        for operation in &content.operations {
            let is_known = self.graphics(operation, resources, bottom)
                || self.path(operation)
                || self.paint(operation)
                || self.text(operation, resources)
                || self.mark(operation, resources)
                || WITHOUT_EFFECT.contains(&operation.operator.as_str());
            if !is_known {
                self.problem(format!(
                    "uses the operator {}, which is not read",
                    operation.operator
                ));
            }
        }
        self.saved.truncate(bottom);
    }

    pub(super) fn numbers<const N: usize>(&mut self, operation: &Operation) -> Option<[f64; N]> {
        let numbers: Option<Vec<f64>> = operation
            .operands
            .iter()
            .map(|operand| {
                operand
                    .as_float()
                    .ok()
                    .map(f64::from)
                    .filter(|n| n.is_finite())
            })
            .collect();
        let numbers = numbers.and_then(|numbers| <[f64; N]>::try_from(numbers).ok());
        if numbers.is_none() {
            self.problem(format!(
                "uses the operator {} with wrong operands",
                operation.operator
            ));
        }
        numbers
    }

    fn graphics(
        &mut self,
        operation: &Operation,
        resources: Option<&'d Dictionary>,
        bottom: usize,
    ) -> bool {
        match operation.operator.as_str() {
            "q" if self.saved.len() < MOST_SAVED => self.saved.push(self.state.clone()),
            "q" => self.problem("saves the graphics state too often".to_owned()),
            "Q" if self.saved.len() > bottom => {
                self.state = self.saved.pop().expect("more are saved than `bottom`");
            }
            "Q" => self.problem("restores a graphics state it has not saved".to_owned()),
            "cm" => {
                if let Some(numbers) = self.numbers(operation) {
                    self.state.page_from_user *= Affine::new(numbers);
                }
            }
            "w" => {
                if let Some([width]) = self.numbers(operation) {
                    self.state.line_width = width;
                }
            }
            "J" => {
                if let Some([cap]) = self.numbers(operation) {
                    self.state.cap = cap_of(cap);
                }
            }
            "d" => {
                let pattern = operation.operands.first().and_then(|o| o.as_array().ok());
                self.state.dashes = pattern.map_or(0, Vec::len);
            }
            "rg" | "g" | "k" | "sc" | "scn" => self.state.fill_rgb = rgb(operation),
            "gs" => self.extended_state(operation, resources),
            "Do" => self.object(operation, resources),
            _ => return false,
        }
        true
    }

    fn extended_state(&mut self, operation: &Operation, resources: Option<&'d Dictionary>) {
        let Some((_, object)) = self.resource(operation.operands.first(), b"ExtGState", resources)
        else {
            return self.problem("names a graphics state it does not have".to_owned());
        };
        let number = |key: &[u8]| {
            object
                .as_dict()
                .ok()?
                .get(key)
                .and_then(Object::as_float)
                .ok()
        };
        if let Some(width) = number(b"LW") {
            self.state.line_width = f64::from(width);
        }
        if let Some(cap) = number(b"LC") {
            self.state.cap = cap_of(f64::from(cap));
        }
    }

    /// Looks up what content names, with its object number where it has one.
    pub(super) fn resource(
        &self,
        name: Option<&Object>,
        kind: &[u8],
        resources: Option<&'d Dictionary>,
    ) -> Option<(Option<ObjectId>, &'d Object)> {
        let kind = resources?
            .get_deref(kind, self.document)
            .ok()?
            .as_dict()
            .ok()?;
        let object = kind.get(name?.as_name().ok()?).ok()?;
        self.document.dereference(object).ok()
    }
}

fn cap_of(number: f64) -> Cap {
    if number < 0.5 {
        Cap::Butt
    } else if number < 1.5 {
        Cap::Round
    } else {
        Cap::Square
    }
}

/// A colour given as grey or as red, green and blue.
fn rgb(operation: &Operation) -> Option<[f64; 3]> {
    let numbers: Option<Vec<f64>> = operation
        .operands
        .iter()
        .map(|operand| operand.as_float().ok().map(f64::from))
        .collect();
    match numbers?[..] {
        [grey] => Some([grey; 3]),
        [red, green, blue] => Some([red, green, blue]),
        _ => None,
    }
}

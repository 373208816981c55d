//! What content streams refer to by name, and the shelf these things stand on until the file is put together.

use std::fmt;

use kurbo::Affine;
use printpdf::Shading;

use crate::{draw::page::ProcessStep, drawing::Weight, emit::number};

/// Decimals of an opacity: a tenth of one of 256 levels.
const OPACITY_DECIMALS: usize = 4;

/// A thing with a name in the resources of a content stream. The numbers are positions on the [`Shelf`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Resource {
    /// The carried font in one of its weights.
    Font(Weight),
    /// An opacity.
    State(usize),
    /// A gradient in its place.
    Pattern(usize),
    /// A layer.
    Layer(usize),
    /// A picture: position in the asset list.
    Asset(usize),
}

impl Resource {
    /// Returns the key of the resource dictionary that lists this kind.
    pub(super) fn category(self) -> &'static str {
        match self {
            Self::Font(_) => "Font",
            Self::State(_) => "ExtGState",
            Self::Pattern(_) => "Pattern",
            Self::Layer(_) => "Properties",
            Self::Asset(_) => "XObject",
        }
    }
}

impl fmt::Display for Resource {
    /// Writes the name, counted from 1; the same in every stream of the file.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Font(Weight::Regular) => write!(f, "F1"),
            Self::Font(Weight::Bold) => write!(f, "F2"),
            Self::State(index) => write!(f, "G{}", index + 1),
            Self::Pattern(index) => write!(f, "P{}", index + 1),
            Self::Layer(index) => write!(f, "L{}", index + 1),
            Self::Asset(index) => write!(f, "X{}", index + 1),
        }
    }
}

/// A gradient in its place: a pattern of type 2, which nothing tiles.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Pattern {
    /// Position of the gradient.
    pub(super) shading: usize,
    /// Gradient space to the default space of the content stream.
    pub(super) matrix: Affine,
}

/// A layer of the document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Layer {
    /// Name for people.
    pub(super) name: &'static str,
    /// What it stands for.
    pub(super) step: Option<ProcessStep>,
}

/// Everything the streams of one document refer to, each kind in the order of first use, nothing twice.
#[derive(Debug, Default)]
pub(super) struct Shelf {
    /// Opacities from 0 to 1.
    pub(super) opacities: Vec<f32>,
    /// Gradients.
    pub(super) shadings: Vec<Shading>,
    /// Placed gradients.
    pub(super) patterns: Vec<Pattern>,
    /// Layers.
    pub(super) layers: Vec<Layer>,
}

impl Shelf {
    /// Returns the state that paints with an opacity from 0 to 1.
    pub(super) fn state(&mut self, opacity: f64) -> Resource {
        let rounded = number::single(opacity, OPACITY_DECIMALS);
        Resource::State(position(&mut self.opacities, rounded))
    }

    /// Returns the gradient in its place; `matrix` maps gradient space to the default space of the content stream.
    pub(super) fn pattern(&mut self, shading: Shading, matrix: Affine) -> Resource {
        let shading = position(&mut self.shadings, shading);
        Resource::Pattern(position(&mut self.patterns, Pattern { shading, matrix }))
    }

    /// Returns the layer of this name; the first one to name it says what it stands for.
    pub(super) fn layer(&mut self, name: &'static str, step: Option<ProcessStep>) -> Resource {
        let known = self.layers.iter().position(|layer| layer.name == name);
        Resource::Layer(known.unwrap_or_else(|| position(&mut self.layers, Layer { name, step })))
    }
}

fn position<T: PartialEq>(list: &mut Vec<T>, item: T) -> usize {
    let known = list.iter().position(|old| *old == item);
    known.unwrap_or_else(|| {
        list.push(item);
        list.len() - 1
    })
}

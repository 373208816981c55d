//! Colours and gradients.

use kurbo::{Affine, Point};
use serde::Serialize;

/// An opaque sRGB colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
pub struct Colour {
    /// Red, 0 to 255.
    pub red: u8,
    /// Green, 0 to 255.
    pub green: u8,
    /// Blue, 0 to 255.
    pub blue: u8,
}

impl Colour {
    /// Full black.
    pub const BLACK: Self = Self::rgb(0, 0, 0);
    /// Paper white.
    pub const WHITE: Self = Self::rgb(255, 255, 255);

    /// Returns the colour with these sRGB values.
    #[must_use]
    pub const fn rgb(red: u8, green: u8, blue: u8) -> Self {
        Self { red, green, blue }
    }

    /// Returns `#rrggbb`, lower case.
    #[must_use]
    pub fn to_hex(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.red, self.green, self.blue)
    }
}

/// What an area or a line is painted with.
#[derive(Debug, Clone, PartialEq)]
pub enum Paint {
    /// One colour; `opacity` from 0 (nothing) to 1 (opaque).
    Solid {
        /// The colour.
        colour: Colour,
        /// 0 to 1.
        opacity: f64,
    },
    /// A gradient between two points.
    Linear {
        /// Where offset 0 lies, in gradient space.
        from: Point,
        /// Where offset 1 lies, in gradient space.
        to: Point,
        /// Stops and spread.
        gradient: Gradient,
    },
    /// A gradient from a focus to a circle.
    Radial {
        /// Where offset 0 lies, in gradient space.
        focus: Point,
        /// Centre of the circle of offset 1, in gradient space.
        centre: Point,
        /// Its radius, in gradient space.
        radius: f64,
        /// Stops and spread.
        gradient: Gradient,
    },
}

impl Paint {
    /// Returns an opaque flat colour.
    #[must_use]
    pub const fn flat(colour: Colour) -> Self {
        Self::Solid {
            colour,
            opacity: 1.0,
        }
    }
}

/// What linear and radial gradients share. Beyond both ends the end colours go on.
#[derive(Debug, Clone, PartialEq)]
pub struct Gradient {
    /// At least two, offsets rising from 0 to 1.
    pub stops: Vec<GradientStop>,
    /// Gradient space to the space of the item's path.
    pub matrix: Affine,
}

/// One colour of a [`Gradient`]. Gradients are opaque.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GradientStop {
    /// 0 to 1.
    pub offset: f64,
    /// The colour there.
    pub colour: Colour,
}

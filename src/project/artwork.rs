//! What is printed on a piece.

use kurbo::Affine;

use crate::diagnostic::Origin;
use crate::drawing::{AssetIndex, Colour};
use crate::geometry::Pose;
use crate::length::{Length, Size};

/// One layer of artwork on one face of a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Artwork {
    /// The face it is printed on.
    pub face: Face,
    /// What is printed.
    pub fill: ArtworkFill,
    /// How far it runs past the trimmed outline.
    pub bleed: Length,
    /// How it reads when turned.
    pub reads: Reads,
    /// Where it is declared.
    pub origin: Origin,
}

/// A face of a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Face {
    /// The face the piece frame shows.
    Front,
    /// The other one, seen after turning the piece over left to right. Its frame is the piece frame mirrored about the upright
    /// middle line of the outline's bounding box.
    Back,
}

impl Face {
    /// The one-word name used in captions and files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Back => "back",
        }
    }

    /// The other one.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Front => Self::Back,
            Self::Back => Self::Front,
        }
    }
}

/// What a layer of artwork consists of.
#[derive(Debug, Clone, PartialEq)]
pub enum ArtworkFill {
    /// One colour over the whole face.
    Flat(Colour),
    /// A picture once.
    Picture(PictureBox),
    /// A picture repeated edge to edge in both directions from its box, at true size.
    Repeat(PictureBox),
    /// A picture of its own for each copy, from the rows of a list.
    Each(Listed),
}

impl ArtworkFill {
    /// What is shown at one place: the picture, or that of the first row of a list that has one.
    #[must_use]
    pub fn once(&self) -> Option<&PictureBox> {
        match self {
            Self::Picture(picture) => Some(picture),
            Self::Each(listed) => Some(&listed.place),
            Self::Flat(_) | Self::Repeat(_) => None,
        }
    }
}

/// Pictures of one size in one place, of which every copy shows another.
#[derive(Debug, Clone, PartialEq)]
pub struct Listed {
    /// Where all of them lie; it shows the first there is.
    pub place: PictureBox,
    /// Path of the list as the project spells it.
    pub list: String,
    /// Its rows; the copies take them in their order, spare copies none.
    pub rows: Vec<ListRow>,
}

/// What a row of a list comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ListRow {
    /// The line of the list in which it begins, from 1.
    pub line: u32,
    /// What is printed; `None` where the row says nothing.
    pub picture: Option<AssetIndex>,
}

/// A picture's true size and place in the frame of its face.
#[derive(Debug, Clone, PartialEq)]
pub struct PictureBox {
    /// Which picture.
    pub asset: AssetIndex,
    /// Printed width before the turn.
    pub width: Size,
    /// Printed height before the turn.
    pub height: Size,
    /// The picture's frame (origin at its top left corner, y down, millimetres) to the frame of the face.
    pub pose: Pose,
}

impl PictureBox {
    /// Maps the unit square, the picture as seen, to the frame of the face.
    #[must_use]
    pub fn unit_to_face(&self) -> Affine {
        self.pose.to_affine() * Affine::scale_non_uniform(self.width.to_mm(), self.height.to_mm())
    }
}

/// How a pattern or picture reads when turned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reads {
    /// It has an up.
    OneWay,
    /// It reads the same upside down, but not on its side.
    Stripe,
    /// It reads the same at every quarter turn.
    Free,
}

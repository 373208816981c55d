//! Objects put together from pieces: which panels are stuck, meet, tuck in or slide, and where each piece sits.
//!
//! The object's frame is right-handed, in millimetres: x to the right, y to the back, z up, seen by a maker who sits in front.

use kurbo::{BezPath, Line};

use super::{Edges, Face, RunningBand};
use crate::diagnostic::Origin;
use crate::geometry::space::{Rigid, Vec3};
use crate::length::{Length, Size};

/// An object, as it should come out when its pieces are folded and put together.
#[derive(Debug, Clone, PartialEq)]
pub struct Assembly {
    /// Id, that of the part it was made by or a declared one.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// The pieces in it; the first one stays where it is.
    pub members: Vec<Member>,
    /// How they hold together.
    pub joints: Vec<Joint>,
    /// Areas that no glue may reach.
    pub free_of_glue: Vec<Patch>,
    /// An endless band with panels taped to its runs, if this object has one.
    pub band: Option<RunningBand>,
    /// How far glue may miss and edges may part before it is a finding.
    pub tolerance: Size,
    /// Where it is declared.
    pub origin: Origin,
}

/// A piece in an assembly. One piece may be in it several times.
#[derive(Debug, Clone, PartialEq)]
pub struct Member {
    /// Position of the piece in the project (in a construction, in its own list).
    pub piece: usize,
    /// Name in findings: the piece's id, with a number where it is there more than once.
    pub name: String,
    /// The panel that stays where `pose` puts it, while the others fold away from it.
    pub root: String,
    /// Piece frame to the object's frame, for the root panel: the middle of its paper.
    pub pose: Rigid,
    /// Lines along which paper bends softly, without a crease.
    pub bends: Vec<Bend>,
}

/// A line along which paper bends without being creased: one of several that stand for a curved surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bend {
    /// Where, in the piece frame.
    pub line: Line,
    /// How far, in degrees; above zero as a mountain seen from the front, below as a valley.
    pub mountain_deg: f64,
}

/// One face of one panel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Surface {
    /// Position of the member.
    pub member: usize,
    /// Name of the panel.
    pub panel: String,
    /// Which face of the paper.
    pub face: Face,
}

/// A part of a surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Patch {
    /// The face it is on.
    pub surface: Surface,
    /// Closed path in the piece frame (seen from the front, also for the back face); the whole panel without one.
    pub area: Option<BezPath>,
    /// Where it is declared.
    pub origin: Origin,
}

/// How two surfaces go together.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    /// What kind of joint it is.
    pub kind: JointKind,
    /// One surface: the flap, the free edge, what tucks in, what moves.
    pub from: Surface,
    /// The other: what it is stuck to, met by, tucked behind, moved along.
    pub to: Surface,
    /// Where it is declared.
    pub origin: Origin,
}

/// What kind of joint it is.
#[derive(Debug, Clone, PartialEq)]
pub enum JointKind {
    /// Stuck flat, face to face: glue, tape or strip. Nothing moves.
    Stuck {
        /// Where, as a closed path in the frame of the piece of `from`; the whole panel without one.
        area: Option<BezPath>,
        /// Whether the flap and its glue have the same outline, within the assembly's tolerance where an area is given; not where only a
        /// strip of a large flap is glued.
        covers_flap: bool,
        /// What is to show of the outline of `to` beyond that of the flap that lies on it, outermost point to outermost point, at the sides of
        /// the piece of `to` as it is drawn; below zero where the flap stands out. Within the assembly's tolerance, more and less.
        rims: Option<Edges<Length>>,
        /// Thickness of what is between.
        glue: Length,
    },
    /// Two panels that hang on one crease and cover each other when that is folded flat, however far it is folded in the finished object.
    /// Their faces are those that come together.
    Flush {
        /// What `from` covers then, as a closed path in the frame of the piece; all of `to` without one.
        area: Option<BezPath>,
    },
    /// The edges of two panels meet, all along: of their straight edges, the two that come nearest to it, the crease by which they hang
    /// together left out.
    Meet {
        /// Distance between the middles of the paper at the edges, as designed: 0 for mitred walls, a caliper where one laps the other.
        gap: Length,
        /// How far both ends of the edge of `from` lie before those of `to`, as designed: 0 where they are flush, more at a lid that is
        /// narrower than its box.
        inset: Length,
    },
    /// A flap goes in behind a panel, not stuck: at the edge nearest to one of its creases, within the panel's width.
    Tuck {
        /// How far its outermost point lies behind the edge it goes in at, as designed.
        depth: Length,
    },
    /// Two edges turn about each other, as in a taped lid: they lie in one place, middle of the paper on middle of the paper.
    Hinge,
    /// The rigid body of `from` moves along the body of `to`, which surrounds it or is surrounded by it.
    Slide {
        /// Direction in the object's frame, length 1.
        along: Vec3,
        /// How far it goes from closed to open.
        travel: Length,
        /// Whether something stops it there; a drawer that may be drawn out is not held.
        is_held: bool,
        /// What is free in all (both sides together) along x, y and z of the object's frame; `None` where nothing guides it.
        clearance: [Option<Clearance>; 3],
    },
}

/// Free room in all, both sides together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Clearance {
    /// The least that still moves.
    pub least: Length,
    /// The most that still fits; as designed both are one.
    pub most: Length,
}

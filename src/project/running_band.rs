//! An endless band round a core with a panel taped to each run: drawing one panel out drives the other out on the opposite side.

use crate::length::Length;

/// An endless band that runs round a fixed core.
///
/// The front run moves along +x of the object's frame while the back run moves along -x.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RunningBand {
    /// Position of the member that is the core.
    pub core: usize,
    /// Position of the member that is the band.
    pub band: usize,
    /// What is taped to the front run, and what to the back run.
    pub riders: [Rider; 2],
    /// Where the seam's overlap lies when closed.
    pub seam: Stretch,
    /// How much longer the loop is than the tightest one.
    pub ease: Length,
    /// How far a rider is driven from closed to open.
    pub travel: Length,
    /// Height of the slot that core, plies, films and tape share.
    pub slot: Length,
    /// Thickness of the tape.
    pub tape: Length,
}

/// A panel that rides on one run of the band.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rider {
    /// Position of the member.
    pub member: usize,
    /// Where its strip of tape lies when closed.
    pub strip: Stretch,
    /// How near the strip may come to the core's turning edges.
    pub stop: Length,
}

/// A stretch of the loop, measured along the band from where the front run begins at the core's left edge, to the right along the front
/// run, round the right edge and back along the back run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// Where it begins.
    pub from: Length,
    /// Where it ends; not less than `from`.
    pub to: Length,
}

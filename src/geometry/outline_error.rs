//! What can be wrong with a path that should be an outline.

use kurbo::Point;

/// Why a path is no [`Outline`](super::Outline). Positions are in the path's own frame, in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OutlineError {
    /// Can occur if the path holds no segment of any length.
    Empty,
    /// Can occur if a subpath ends away from its start and is not closed.
    Open {
        /// Where it ends.
        from: Point,
        /// Where it started.
        to: Point,
        /// From one to the other, in mm.
        gap_mm: f64,
    },
    /// Can occur if a subpath crosses or touches itself, or runs back over itself.
    SelfCrossing {
        /// Where.
        at: Point,
    },
    /// Can occur if two subpaths cross or touch.
    SubpathsMeet {
        /// Where.
        at: Point,
    },
    /// Can occur if a subpath encloses nothing.
    NoArea {
        /// Where it starts.
        at: Point,
    },
    /// Can occur if one subpath is not inside the largest one.
    SeveralOuters {
        /// Where it starts.
        at: Point,
    },
    /// Can occur if a hole holds another subpath, which would be a piece of its own.
    PieceInHole {
        /// Where it starts.
        at: Point,
    },
    /// Can occur if a coordinate is not finite or absurdly large.
    OutOfReach {
        /// The point.
        at: Point,
        /// The largest coordinate allowed, in mm.
        reach_mm: f64,
    },
}

impl OutlineError {
    /// Returns what is wrong, lower case, no full stop; `show` spells a length that is given to it in mm.
    #[must_use]
    pub fn message(&self, show: impl Fn(f64) -> String) -> String {
        let place = |at: Point| format!("{}, {}", show(at.x), show(at.y));
        match self {
            Self::Empty => "the path has no line in it".into(),
            Self::Open { from, to, gap_mm } => format!(
                "the outline is open: it ends at {}, which is {} from its start at {}",
                place(*from),
                show(*gap_mm),
                place(*to)
            ),
            Self::SelfCrossing { at } => {
                format!("the outline crosses or touches itself at {}", place(*at))
            }
            Self::SubpathsMeet { at } => {
                format!(
                    "two closed lines of the outline cross or touch at {}",
                    place(*at)
                )
            }
            Self::NoArea { at } => format!(
                "the closed line that starts at {} encloses no area",
                place(*at)
            ),
            Self::SeveralOuters { at } => format!(
                "the closed line that starts at {} lies outside the largest one, so this is more than one piece",
                place(*at)
            ),
            Self::PieceInHole { at } => format!(
                "the closed line that starts at {} lies inside a hole, so it would be a loose piece",
                place(*at)
            ),
            Self::OutOfReach { at, reach_mm } => {
                format!("the point {} lies beyond {}", place(*at), show(*reach_mm))
            }
        }
    }

    /// Returns what to do about it, one sentence without a full stop.
    #[must_use]
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Empty | Self::NoArea { .. } => "draw a closed line around some area",
            Self::Open { .. } => "end the outline with Z, or move its last point onto its first",
            Self::SelfCrossing { .. } => {
                "move the lines apart there; where one cuts off a part, make that part a piece"
            }
            Self::SubpathsMeet { .. } => {
                "keep holes clear of the edge and of each other, or join them into one line"
            }
            Self::SeveralOuters { .. } => "declare one piece for each outer line",
            Self::PieceInHole { .. } => "declare the inner shape as a piece of its own",
            Self::OutOfReach { .. } => "check the unit the path is given in",
        }
    }
}

//! The box that words lie in.

use kurbo::{Point, Rect};

use super::words::Asked;
use crate::geometry::Pose;
use crate::length::LengthStyle;

/// The box of the words: its size along and across the lines, and its place in its frame.
#[derive(Debug, Clone, Copy)]
pub(super) struct Room {
    pub(super) size: kurbo::Size,
    pub(super) pose: Pose,
    /// As it lies in the frame.
    pub(super) turned: Rect,
}

impl Room {
    /// Without a box, it is what the words are measured on, less a margin.
    pub(super) fn of(asked: &Asked, frame: kurbo::Size, style: LengthStyle) -> Self {
        let is_upright = asked.lying.quarters.is_multiple_of(2);
        let swapped = |size: kurbo::Size| match is_upright {
            true => size,
            false => kurbo::Size::new(size.height, size.width),
        };
        let size = match asked.lying.room {
            Some((width, height)) => kurbo::Size::new(width.to_mm(), height.to_mm()),
            None => {
                let less = |side: f64| side - 2.0 * margin_mm(style).min(side / 4.0);
                swapped(kurbo::Size::new(less(frame.width), less(frame.height)))
            }
        };
        let lying = swapped(size);
        let corner = match asked.lying.at {
            Some((x, y)) => Point::new(x.to_mm(), y.to_mm()),
            None => ((frame - lying) / 2.0).to_vec2().to_point(),
        };
        let turned = Rect::from_origin_size(corner, lying);
        Self {
            size,
            pose: Pose::in_quarters(asked.lying.quarters, turned),
            turned,
        }
    }
}

/// What is left free where no box is given: 3 mm or 1/8 in.
fn margin_mm(style: LengthStyle) -> f64 {
    match style {
        LengthStyle::Millimetres => 3.0,
        LengthStyle::InchFractions | LengthStyle::InchDecimals => 3.175,
    }
}

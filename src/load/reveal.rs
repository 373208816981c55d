//! The shape of a layer that leaves a reveal on what it lies on.

use super::mistakes::Mistakes;
use super::panel::ExactBox;
use super::shape::{Form, Shape};
use super::value::LONGEST;
use crate::geometry::Pose;
use crate::geometry::offset::offset;
use crate::length::Length;
use crate::project::Edges;

/// Why a reveal makes no layer, and what to type instead.
#[derive(Debug)]
pub(super) struct Refusal {
    pub(super) message: String,
    pub(super) hint: String,
}

impl Refusal {
    fn new(message: impl Into<String>, hint: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            hint: hint.into(),
        }
    }
}

/// Returns the layer that leaves a reveal on each side of a shape, or of one of its panels, and where it lies.
pub(super) fn inset(
    base: &Shape,
    panel: Option<ExactBox>,
    sides: Edges<Length>,
    mistakes: &Mistakes<'_>,
) -> Result<(Shape, Pose), Refusal> {
    match (panel, base.form) {
        (Some(panel), _) => inset_box(panel, sides, mistakes),
        (None, Form::Rectangle { width, height }) => {
            let whole = ExactBox {
                left: Length::ZERO,
                top: Length::ZERO,
                width,
                height,
            };
            inset_box(whole, sides, mistakes)
        }
        (None, Form::Rounded { .. } | Form::Circle { .. } | Form::Other) => {
            inset_outline(base, sides, mistakes)
        }
    }
}

fn inset_box(
    base: ExactBox,
    sides: Edges<Length>,
    mistakes: &Mistakes<'_>,
) -> Result<(Shape, Pose), Refusal> {
    let width = base.width - sides.left - sides.right;
    let height = base.height - sides.top - sides.bottom;
    let form = Form::Rectangle { width, height };
    let is_too_long = width.max(height) > LONGEST;
    if let Some(shape) = Shape::of_form(form).filter(|_| !is_too_long) {
        let (left, top) = (base.left + sides.left, base.top + sides.top);
        return Ok((shape, Pose::at(left.to_mm(), top.to_mm())));
    }
    let show = |length| mistakes.show(length);
    let message = format!(
        "the reveal makes a layer of {} x {} from {} x {}",
        show(width),
        show(height),
        show(base.width),
        show(base.height)
    );
    let hint = if is_too_long {
        "check the numbers and their units".to_owned()
    } else if sides == Edges::all(sides.top) {
        limit(base.width.min(base.height), mistakes)
    } else {
        format!(
            "left and right must come to less than {}, top and bottom to less than {}",
            show(base.width),
            show(base.height)
        )
    };
    Err(Refusal::new(message, hint))
}

fn inset_outline(
    base: &Shape,
    sides: Edges<Length>,
    mistakes: &Mistakes<'_>,
) -> Result<(Shape, Pose), Refusal> {
    let reveal = sides.top;
    if sides != Edges::all(reveal) {
        return Err(Refusal::new(
            "an uneven reveal needs a rectangle or a panel to lie on",
            "write one reveal for all sides, like reveal = \"1/8 in\"; or give the layer a [piece.shape] of its own, and \
             place it with anchor and offset",
        ));
    }
    inset_evenly(base, reveal).map_err(|parts| {
        let show = mistakes.show(reveal);
        let bounds = base.outline.bounds();
        let short = Length::nearest_mm(bounds.width().min(bounds.height()));
        match parts {
            0 => {
                // A shape that tapers takes less than half its short side.
                let hint = if reveal * 2 < short {
                    "write a smaller reveal".to_owned()
                } else {
                    limit(short, mistakes)
                };
                Refusal::new(
                    format!("a reveal of {show} leaves nothing of the layer"),
                    hint,
                )
            }
            parts => Refusal::new(
                format!("a reveal of {show} makes {parts} layers of one"),
                "write a smaller reveal, or give the layer a [piece.shape] of its own",
            ),
        }
    })
}

/// Says below what an even reveal must stay.
fn limit(short: Length, mistakes: &Mistakes<'_>) -> String {
    let half = mistakes.show(Length::from_nm(short.nm() / 2));
    format!("write a reveal of less than {half}, half the short side")
}

/// Returns the even inset of a shape that is no rectangle, or of how many parts it would consist.
fn inset_evenly(shape: &Shape, reveal: Length) -> Result<(Shape, Pose), usize> {
    let exact = match shape.form {
        Form::Rounded {
            width,
            height,
            radius,
        } => {
            let (width, height) = (width - reveal * 2, height - reveal * 2);
            let radius = (radius - reveal).max(Length::ZERO);
            Some(Form::Rounded {
                width,
                height,
                radius,
            })
        }
        Form::Circle { diameter } => Some(Form::Circle {
            diameter: diameter - reveal * 2,
        }),
        Form::Rectangle { .. } | Form::Other => None,
    };
    if let Some(form) = exact {
        let shape = Shape::of_form(form).ok_or(0_usize)?;
        return Ok((shape, Pose::at(reveal.to_mm(), reveal.to_mm())));
    }
    let parts = offset(&shape.outline, -reveal.to_mm());
    match parts.as_slice() {
        [layer] => {
            let corner = layer.bounds().origin();
            Ok((Shape::of_outline(layer), Pose::at(corner.x, corner.y)))
        }
        parts => Err(parts.len()),
    }
}

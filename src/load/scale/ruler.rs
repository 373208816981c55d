//! What lengths come out: whole steps of a ruler where they were some before.

use super::{Factor, Rounding};
use crate::length::{Length, LengthUnit, Parted, TypedLength, respelled};

/// Whether rounding may make nothing of a length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Least {
    /// It may: a place can be at zero.
    Nothing,
    /// It may not: a size is one step at least.
    OneStep,
}

/// The step of the ruler that a unit is read on; typographic points are on none.
fn step(unit: LengthUnit) -> Option<Length> {
    match unit {
        LengthUnit::Inch | LengthUnit::Foot => Some(Length::from_inch_fraction(1, 16)),
        LengthUnit::Millimetre | LengthUnit::Centimetre | LengthUnit::Metre => {
            Some(Length::from_um(500))
        }
        LengthUnit::Point => None,
    }
}

/// Whether a length is a whole number of steps.
pub(super) fn is_on_ruler(typed: TypedLength) -> bool {
    step(typed.unit).is_some_and(|step| typed.length.nm() % step.nm() == 0)
}

/// Returns the nearest whole number of steps, halves up.
pub(super) fn to_ruler(length: Length, unit: LengthUnit, least: Least) -> Length {
    let Some(step) = step(unit) else {
        return length;
    };
    let steps = (length.nm() + step.nm() / 2).div_euclid(step.nm());
    let steps = match least {
        Least::OneStep if length > Length::ZERO => steps.max(1),
        Least::OneStep | Least::Nothing => steps,
    };
    step * steps
}

/// Returns a length scaled, on the ruler if it was and should be.
pub(super) fn scaled(typed: TypedLength, by: Factor, rounding: Rounding, least: Least) -> Length {
    let exact = by.times(typed.length);
    match rounding {
        Rounding::ToRuler if is_on_ruler(typed) => to_ruler(exact, typed.unit, least),
        Rounding::ToRuler | Rounding::Exact => exact,
    }
}

/// Returns a size that was scaled already, on the ruler of its unit if it should be.
pub(super) fn rounded(length: Length, typed: TypedLength, is_on_ruler: bool) -> Length {
    if is_on_ruler {
        to_ruler(length, typed.unit, Least::OneStep)
    } else {
        length
    }
}

/// Returns a length in a unit, as files have it.
pub(super) fn in_unit(unit: LengthUnit, length: Length) -> String {
    let text = format!("1 {}", unit.symbol());
    respelled(&text, Parted::ByTimes, |_| length).unwrap_or(text)
}

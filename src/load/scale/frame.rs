//! Where places on a piece go when it is scaled.

use super::Factor;
use super::ruler::{Least, to_ruler};
use crate::length::{Length, TypedLength};
use crate::project::Axis;

/// How the places of a piece move: along each axis by the factor, but for glue tabs, which keep their width.
#[derive(Debug, Clone)]
pub(super) struct Frame {
    by: Factor,
    /// Places along x or y that are known, from the piece's origin on: before and after. None along the other axis.
    knots: Option<(Axis, Vec<(Length, Length)>)>,
    /// Whether results are rounded to a ruler.
    pub(super) is_on_ruler: bool,
}

impl Frame {
    /// A frame in which all places move by the factor.
    pub(super) fn even(by: Factor, is_on_ruler: bool) -> Self {
        Self {
            by,
            knots: None,
            is_on_ruler,
        }
    }

    /// The same with panels along an axis, each with its length before and after.
    pub(super) fn with_panels(mut self, along: Axis, panels: &[(Length, Length)]) -> Self {
        let mut end = (Length::ZERO, Length::ZERO);
        let mut knots = vec![end];
        for (before, after) in panels {
            end = (end.0 + *before, end.1 + *after);
            knots.push(end);
        }
        self.knots = Some((along, knots));
        self
    }

    /// Whether places along an axis do not all move by the factor.
    pub(super) fn is_uneven(&self) -> bool {
        self.knots.is_some()
    }

    /// Returns where a place along an axis goes.
    pub(super) fn place(&self, along: Axis, typed: TypedLength) -> Length {
        let exact = match &self.knots {
            Some((axis, knots)) if *axis == along => self.between(knots, typed.length),
            Some(_) | None => self.by.times(typed.length),
        };
        if self.is_on_ruler {
            to_ruler(exact, typed.unit, Least::Nothing)
        } else {
            exact
        }
    }

    /// Between two knots in proportion, beyond the ends by the factor.
    fn between(&self, knots: &[(Length, Length)], at: Length) -> Length {
        let beyond = |knot: &(Length, Length)| knot.1 + self.by.times(at - knot.0);
        let pair = knots
            .windows(2)
            .find(|pair| pair[0].0 <= at && at <= pair[1].0);
        match (pair, knots.first(), knots.last()) {
            (Some([from, to]), _, _) => {
                let (old, new) = (to.0 - from.0, to.1 - from.1);
                let into = i128::from((at - from.0).nm()) * i128::from(new.nm());
                let into = into / i128::from(old.nm().max(1));
                from.1 + Length::from_nm(i64::try_from(into).expect("less than the new panel"))
            }
            (_, Some(first), _) if at < first.0 => beyond(first),
            (_, _, Some(last)) => beyond(last),
            (_, _, None) => self.by.times(at),
        }
    }
}

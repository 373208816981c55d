//! The units of an edition, and which numbers are easy in them.

use crate::length::{Length, LengthStyle, LengthUnit, Parted, TypedLength, typed_lengths};

/// The units of an edition.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Units {
    /// Inches and fractions.
    Inch,
    /// Millimetres.
    Metric,
}

/// Lengths that a ruler shows at once, in tenths of a millimetre. Common practice, no source.
const EASY_MM_TENTHS: [i64; 22] = [
    5, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100, 120, 150, 200, 250, 300, 400, 500, 600, 800, 1000,
    1200,
];

/// The same in sixty-fourths of an inch.
const EASY_INCH_64THS: [i64; 20] = [
    1, 2, 4, 8, 12, 16, 20, 24, 32, 40, 48, 64, 80, 96, 128, 160, 192, 256, 320, 384,
];

impl Units {
    /// What the command line and pages call it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Inch => "inch",
            Self::Metric => "metric",
        }
    }

    /// What a length is in.
    #[must_use]
    pub const fn noun(self) -> &'static str {
        match self {
            Self::Inch => "inches",
            Self::Metric => "millimetres",
        }
    }

    /// The value of `show_lengths` for it.
    pub(super) const fn show_lengths(self) -> &'static str {
        match self {
            Self::Inch => "inch fractions",
            Self::Metric => "mm",
        }
    }

    /// The step of its ruler: 1/16 in or 1 mm.
    #[must_use]
    pub const fn usual_grid(self) -> Length {
        match self {
            Self::Inch => Length::from_nm(1_587_500),
            Self::Metric => Length::from_mm(1),
        }
    }

    const fn style(self) -> LengthStyle {
        match self {
            Self::Inch => LengthStyle::InchFractions,
            Self::Metric => LengthStyle::Millimetres,
        }
    }

    const fn has(self, unit: LengthUnit) -> bool {
        let is_inch = matches!(
            unit,
            LengthUnit::Inch | LengthUnit::Foot | LengthUnit::Point
        );
        match self {
            Self::Inch => is_inch,
            Self::Metric => !is_inch,
        }
    }

    /// A length as files have it.
    pub(super) fn spelled(self, length: Length) -> String {
        length.display(self.style())
    }

    /// The easy number that comes nearest in proportion; nothing stays nothing.
    pub(super) fn easy(self, length: Length) -> Length {
        let easy: Vec<Length> = match self {
            Self::Inch => EASY_INCH_64THS
                .iter()
                .map(|n| Length::from_inch_fraction(*n, 64))
                .collect(),
            Self::Metric => EASY_MM_TENTHS
                .iter()
                .map(|n| Length::from_um(n * 100))
                .collect(),
        };
        if length <= Length::ZERO {
            return -self.easy_above(&easy, -length);
        }
        self.easy_above(&easy, length)
    }

    fn easy_above(self, easy: &[Length], length: Length) -> Length {
        let most = easy.last().copied().unwrap_or(Length::ZERO);
        if length == Length::ZERO {
            return length;
        }
        if length > most {
            return nearest(length, self.usual_grid());
        }
        // In proportion: of two neighbours the first is nearer where length^2 < first x second.
        let square = i128::from(length.nm()).pow(2);
        let pair = easy
            .windows(2)
            .find(|pair| square < i128::from(pair[0].nm()) * i128::from(pair[1].nm()));
        pair.map_or(most, |pair| pair[0])
    }

    /// Respells a text of lengths in these units, each as `change` has it. `None` where it is in them already, or holds no lengths.
    pub(super) fn respelled(
        self,
        text: &str,
        parted: Parted,
        mut change: impl FnMut(usize, TypedLength) -> Length,
    ) -> Option<String> {
        let typed = typed_lengths(text, parted)?;
        let is_nothing = |typed: &TypedLength| typed.length == Length::ZERO;
        if typed.iter().all(|t| self.has(t.unit) || is_nothing(t)) {
            return None;
        }
        let new: Vec<String> = typed
            .iter()
            .enumerate()
            .map(|(i, typed)| self.spelled(change(i, *typed)))
            .collect();
        Some(match parted {
            Parted::ByComma => new.join(", "),
            Parted::ByTimes => {
                let last = new.len() - 1;
                let number = |text: &String| {
                    let bare = text.rsplit_once(' ');
                    bare.map_or_else(|| text.clone(), |(number, _)| number.to_owned())
                };
                let mut parts: Vec<String> = new[..last].iter().map(number).collect();
                parts.push(new[last].clone());
                parts.join(" x ")
            }
        })
    }
}

/// The nearest whole number of steps, halves up.
pub(super) fn nearest(length: Length, step: Length) -> Length {
    step * (2 * length.nm() + step.nm()).div_euclid(2 * step.nm())
}

/// The nearest whole number of steps, at least one for what is longer than nothing.
pub(super) fn nearest_size(length: Length, step: Length) -> Length {
    let new = nearest(length, step);
    if length > Length::ZERO {
        new.max(step)
    } else {
        new
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The metric and inch reveals that the trade names for one another: narrow 2 mm or 1/16 in, 1/8 in or 3 mm, wide 5 mm or 3/16 in
    /// (published card charts; the choice among neighbours is common practice, no source).
    #[test]
    fn margins_take_the_easy_number_that_makers_use() {
        for (sixteenths, mm_tenths) in [
            (1, 15),
            (2, 30),
            (3, 50),
            (4, 60),
            (6, 100),
            (8, 120),
            (10, 150),
            (12, 200),
            (16, 250),
        ] {
            let inch = Length::from_inch_fraction(sixteenths, 16);
            assert_eq!(
                Units::Metric.easy(inch),
                Length::from_um(mm_tenths * 100),
                "{sixteenths}/16 in"
            );
        }
        for (mm_tenths, sixteenths) in [
            (15, 1),
            (20, 1),
            (30, 2),
            (50, 3),
            (60, 4),
            (100, 6),
            (120, 8),
            (150, 10),
            (200, 12),
            (250, 16),
        ] {
            let mm = Length::from_um(mm_tenths * 100);
            assert_eq!(
                Units::Inch.easy(mm),
                Length::from_inch_fraction(sixteenths, 16),
                "{mm_tenths}"
            );
        }
        assert_eq!(Units::Metric.easy(Length::ZERO), Length::ZERO);
        assert_eq!(
            Units::Metric.easy(-Length::from_inch_fraction(1, 8)),
            -Length::from_mm(3)
        );
    }

    #[test]
    fn texts_are_respelled_with_one_unit_for_a_size_and_one_each_for_a_point() {
        let to_mm = |_: usize, typed: TypedLength| nearest(typed.length, Length::from_mm(1));
        // By hand: 5 1/2 in = 139.7 mm, 8 1/2 in = 215.9 mm, -1 in = -25.4 mm.
        assert_eq!(
            Units::Metric
                .respelled("5 1/2 x 8 1/2 in", Parted::ByTimes, to_mm)
                .as_deref(),
            Some("140 x 216 mm")
        );
        assert_eq!(
            Units::Metric
                .respelled("2 in, -1 in", Parted::ByComma, to_mm)
                .as_deref(),
            Some("51 mm, -25 mm")
        );
        assert_eq!(
            Units::Metric.respelled("30 mm", Parted::ByTimes, to_mm),
            None
        );
        assert_eq!(Units::Metric.respelled("oat", Parted::ByTimes, to_mm), None);
    }
}

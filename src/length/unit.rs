//! The units that a length can be written in.

/// A unit of length.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LengthUnit {
    /// 25.4 mm by definition.
    Inch,
    /// 12 in.
    Foot,
    /// 1/1000 m.
    Millimetre,
    /// 10 mm.
    Centimetre,
    /// 1000 mm.
    Metre,
    /// 1/72 in, the point of PostScript and PDF.
    Point,
}

impl LengthUnit {
    /// Returns the unit as it is written after a number.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Inch => "in",
            Self::Foot => "ft",
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Metre => "m",
            Self::Point => "pt",
        }
    }

    /// Returns the unit of that name in any of its usual spellings, whatever the case, with or without a closing full stop.
    pub(super) fn from_word(word: &str) -> Option<Self> {
        let word = word.strip_suffix('.').unwrap_or(word).to_lowercase();
        match word.as_str() {
            "in" | "inch" | "inches" => Some(Self::Inch),
            "ft" | "foot" | "feet" => Some(Self::Foot),
            "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => {
                Some(Self::Millimetre)
            }
            "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => {
                Some(Self::Centimetre)
            }
            "m" | "metre" | "metres" | "meter" | "meters" => Some(Self::Metre),
            "pt" | "point" | "points" => Some(Self::Point),
            _ => None,
        }
    }

    /// Returns the unit in nanometres as a numerator and a denominator.
    pub(super) const fn nm(self) -> (i128, i128) {
        match self {
            Self::Inch => (25_400_000, 1),
            Self::Foot => (304_800_000, 1),
            Self::Millimetre => (1_000_000, 1),
            Self::Centimetre => (10_000_000, 1),
            Self::Metre => (1_000_000_000, 1),
            Self::Point => (25_400_000, 72),
        }
    }

    /// Returns whether makers write parts of this unit as fractions and, in return, never with a decimal comma.
    pub(super) const fn is_imperial(self) -> bool {
        match self {
            Self::Inch | Self::Foot => true,
            Self::Millimetre | Self::Centimetre | Self::Metre | Self::Point => false,
        }
    }

    /// Returns whether a fraction of this unit is usually a slip for inches.
    pub(super) const fn is_metric(self) -> bool {
        match self {
            Self::Millimetre | Self::Centimetre | Self::Metre => true,
            Self::Inch | Self::Foot | Self::Point => false,
        }
    }
}

//! Colours that go together, with enough contrast between what lies on what.
//!
//! Each palette has six colours, each with a [`Role`]. They are chosen so that a pattern can be seen and words can be read whoever looks, and
//! whatever printer prints: by the contrast of WCAG 2.2, ink stands 7 to 1 off the ground, as small words need (its criterion 1.4.6), main 4.5 to
//! 1, as words need (1.4.3), accent 3 to 1, as pictures need (1.4.11). Any two of the six stay 1.3 to 1 apart, so that they are still told apart
//! when printed in grey; that figure is ours.

use crate::drawing::Colour;

/// Six colours that go together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Palette {
    /// The word in project files, like `potting-shed`.
    pub name: &'static str,
    /// What people call it.
    pub title: &'static str,
    /// What it looks like, in a few words for a list.
    pub says: &'static str,
    /// What lies under everything.
    pub ground: Colour,
    /// What is seen first.
    pub main: Colour,
    /// What goes with it; between ground and main.
    pub second: Colour,
    /// Little of it wakes up the others.
    pub accent: Colour,
    /// Next to the ground: for broad, quiet areas.
    pub soft: Colour,
    /// For words and fine lines.
    pub ink: Colour,
}

/// What a colour of a [`Palette`] is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// What lies under everything.
    Ground,
    /// What is seen first.
    Main,
    /// What goes with it.
    Second,
    /// A little of something else.
    Accent,
    /// Next to the ground.
    Soft,
    /// For words and fine lines.
    Ink,
}

impl Role {
    /// All roles, in the order in which a pattern takes colours if nothing else is said.
    pub const ALL: [Self; 6] = [
        Self::Ground,
        Self::Main,
        Self::Second,
        Self::Accent,
        Self::Soft,
        Self::Ink,
    ];

    /// Returns the word for it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ground => "ground",
            Self::Main => "main",
            Self::Second => "second",
            Self::Accent => "accent",
            Self::Soft => "soft",
            Self::Ink => "ink",
        }
    }
}

impl Palette {
    /// Returns the colour of this role.
    #[must_use]
    pub const fn colour(&self, role: Role) -> Colour {
        match role {
            Role::Ground => self.ground,
            Role::Main => self.main,
            Role::Second => self.second,
            Role::Accent => self.accent,
            Role::Soft => self.soft,
            Role::Ink => self.ink,
        }
    }

    /// Returns the first `many` colours in the order of [`Role::ALL`]; at most six.
    #[must_use]
    pub fn first(&self, many: usize) -> Vec<Colour> {
        Role::ALL
            .iter()
            .take(many)
            .map(|role| self.colour(*role))
            .collect()
    }
}

/// All palettes, in the order they are listed to people.
pub const PALETTES: &[Palette] = &[
    Palette {
        name: "potting-shed",
        title: "Potting shed",
        says: "clay pots, twine and moss on limewash",
        ground: hex(0xf8f1e1),
        main: hex(0xa64e2e),
        second: hex(0xd8a14d),
        accent: hex(0x7c8a4f),
        soft: hex(0xe4d1b3),
        ink: hex(0x3e2a1f),
    },
    Palette {
        name: "kitchen-garden",
        title: "Kitchen garden",
        says: "bean rows, carrots and a yellow squash, with beetroot for ink",
        ground: hex(0xf5f4e5),
        main: hex(0x38733b),
        second: hex(0xdba929),
        accent: hex(0xdd642f),
        soft: hex(0xccdab6),
        ink: hex(0x442635),
    },
    Palette {
        name: "lavender-walk",
        title: "Lavender walk",
        says: "lavender in three depths with young green",
        ground: hex(0xf5f2fb),
        main: hex(0x6455a3),
        second: hex(0x99b380),
        accent: hex(0x9874c1),
        soft: hex(0xd5caea),
        ink: hex(0x2d2c4d),
    },
    Palette {
        name: "first-frost",
        title: "First frost",
        says: "cold blues, a glaze of ice and one rose hip",
        ground: hex(0xeff5f9),
        main: hex(0x3b6692),
        second: hex(0x7fb4b6),
        accent: hex(0xcb6660),
        soft: hex(0xbfd7e2),
        ink: hex(0x1c2e46),
    },
    Palette {
        name: "seed-packet",
        title: "Seed packet",
        says: "tomato red, mustard and a faded blue on old paper",
        ground: hex(0xf9f0d6),
        main: hex(0xbd3529),
        second: hex(0xdda527),
        accent: hex(0x389393),
        soft: hex(0xe6d19f),
        ink: hex(0x1f324a),
    },
    Palette {
        name: "sweet-pea",
        title: "Sweet pea",
        says: "pinks from pale to deep, with leaf green and aubergine",
        ground: hex(0xfdf1f0),
        main: hex(0xad3c70),
        second: hex(0xe99790),
        accent: hex(0x54936b),
        soft: hex(0xf2c7cf),
        ink: hex(0x422548),
    },
    Palette {
        name: "damson",
        title: "Damson",
        says: "damsons and straw, sage leaves and a blush",
        ground: hex(0xfbf1e9),
        main: hex(0x884473),
        second: hex(0xdaa05b),
        accent: hex(0x6c8c64),
        soft: hex(0xeccbc0),
        ink: hex(0x392137),
    },
    Palette {
        name: "night-glasshouse",
        title: "Night glasshouse",
        says: "lamplight, marigold and leaves on a dark green",
        ground: hex(0x0e2f22),
        main: hex(0xe0b24c),
        second: hex(0x387849),
        accent: hex(0xd47140),
        soft: hex(0x294e3b),
        ink: hex(0xebe6cf),
    },
];

/// Returns the palette of this name.
#[must_use]
pub fn palette_named(name: &str) -> Option<&'static Palette> {
    PALETTES.iter().find(|palette| palette.name == name)
}

/// Returns the contrast of two colours by WCAG 2.2, from 1 (alike) to 21 (black and white).
#[must_use]
pub fn contrast(one: Colour, other: Colour) -> f64 {
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

/// Returns the relative luminance of a colour by WCAG 2.2, from 0 (black) to 1 (white): what is left of it in grey.
#[must_use]
pub fn luminance(colour: Colour) -> f64 {
    let linear = |channel: u8| {
        let share = f64::from(channel) / 255.0;
        if share <= 0.04045 {
            share / 12.92
        } else {
            libm::pow((share + 0.055) / 1.055, 2.4)
        }
    };
    0.2126 * linear(colour.red) + 0.7152 * linear(colour.green) + 0.0722 * linear(colour.blue)
}

#[expect(clippy::cast_possible_truncation, reason = "one byte each")]
const fn hex(rgb: u32) -> Colour {
    Colour::rgb((rgb >> 16) as u8, (rgb >> 8) as u8, rgb as u8)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    /// Sources: the ends of the scale are stated by WCAG 2.2; grey 118 is widely told as the lightest grey at 4.5 to 1 on white, 119 falls short
    /// (by hand: ((119/255 + 0.055) / 1.055)^2.4 = 0.1845, 1.05 / 0.2345 = 4.48).
    #[test]
    fn contrast_is_that_of_the_standard() {
        let grey = |value: u8| contrast(Colour::rgb(value, value, value), Colour::WHITE);
        assert!((grey(0) - 21.0).abs() < 1e-9);
        assert!((grey(255) - 1.0).abs() < 1e-9);
        assert!((grey(119) - 4.48).abs() < 0.005);
        assert!((grey(118) - 4.54).abs() < 0.005);
    }

    /// By hand, of pure red: 0.2126, so 1.05 / 0.2626 = 4.00 on white; of pure green 0.7152, so 0.7652 / 0.05 = 15.3 on black.
    #[test]
    fn red_green_and_blue_weigh_differently() {
        assert!((contrast(hex(0xff_0000), Colour::WHITE) - 4.00).abs() < 0.005);
        assert!((contrast(hex(0x00_ff00), Colour::BLACK) - 15.304).abs() < 0.0005);
        assert!((luminance(hex(0x00_00ff)) - 0.0722).abs() < 1e-12);
    }

    #[test]
    fn what_lies_on_the_ground_stands_off_it() {
        for palette in PALETTES {
            let off = |role: Role| contrast(palette.ground, palette.colour(role));
            let bars = [
                (Role::Ink, 7.0),
                (Role::Main, 4.5),
                (Role::Accent, 3.0),
                (Role::Second, 1.9),
                (Role::Soft, 1.3),
            ];
            for (role, least) in bars {
                assert!(
                    off(role) >= least,
                    "{}: {} is {:.2}",
                    palette.name,
                    role.name(),
                    off(role)
                );
            }
        }
    }

    /// The grey of a colour is the one of its luminance, in the 256 steps of a picture.
    #[test]
    fn any_two_colours_are_told_apart_in_grey() {
        let encoded = |level: f64| {
            let curve = 1.055 * libm::pow(level, 1.0 / 2.4) - 0.055;
            let share = if level <= 0.003_130_8 {
                12.92 * level
            } else {
                curve
            };
            (0..=255_u8).min_by_key(|step| {
                let off = (f64::from(*step) - 255.0 * share).abs() * 1000.0;
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "up to 255000"
                )]
                let off = off as u64;
                off
            })
        };
        let grey = |colour: Colour| {
            let value = encoded(luminance(colour)).unwrap();
            Colour::rgb(value, value, value)
        };
        for palette in PALETTES {
            for (n, one) in Role::ALL.iter().enumerate() {
                for other in &Role::ALL[..n] {
                    let apart = contrast(grey(palette.colour(*one)), grey(palette.colour(*other)));
                    assert!(
                        apart >= 1.3,
                        "{}: {one:?} and {other:?} are {apart:.2}",
                        palette.name
                    );
                }
            }
        }
    }

    #[test]
    fn names_are_single_and_lead_to_their_palette() {
        let names: BTreeSet<&str> = PALETTES.iter().map(|palette| palette.name).collect();
        assert_eq!(names.len(), PALETTES.len());
        for palette in PALETTES {
            assert_eq!(palette_named(palette.name), Some(palette));
            assert_eq!(
                palette.first(3),
                [palette.ground, palette.main, palette.second]
            );
            assert_eq!(palette.first(9).len(), 6);
        }
        assert_eq!(palette_named("compost"), None);
    }
}

//! Patterns that go together: for each palette some at different scales, so that box, lid, lining and tag may have one each.

use super::{Palette, Role, Settings};

/// Patterns in the colours of one palette.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Set {
    /// The palette's name, and the set's.
    pub palette: &'static str,
    /// What it looks like, in a few words for a list.
    pub says: &'static str,
    /// Three to five patterns, large ones first.
    pub members: &'static [Member],
}

/// How large the parts of a pattern look.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scale {
    /// Seen across a room; for broad faces.
    Large,
    /// Seen in the hand; for sides, lids and cards.
    Small,
    /// A tone from afar; for linings, edges and tags.
    Texture,
}

/// One pattern of a [`Set`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Member {
    /// How large its parts look.
    pub scale: Scale,
    /// The name of its [`Kind`](super::Kind).
    pub kind: &'static str,
    /// Its repeat, as typed in millimetres and in inches.
    pub repeat: (&'static str, &'static str),
    /// Its weight.
    pub weight: f64,
    /// Its colours, the ground first; what serves as ground need not be the palette's.
    pub colours: &'static [Role],
    /// For scattered patterns.
    pub seed: u64,
    /// For woven patterns; empty for the usual list.
    pub threads: &'static [(usize, u32)],
}

impl Scale {
    /// Returns the word for it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Large => "large",
            Self::Small => "small",
            Self::Texture => "texture",
        }
    }
}

impl Member {
    /// Returns what the pattern is drawn from, in the colours of `palette`. `repeat_mm` is one of [`repeat`](Self::repeat) in millimetres.
    #[must_use]
    pub fn settings(&self, palette: &Palette, repeat_mm: f64) -> Settings {
        Settings {
            repeat_mm,
            weight: self.weight,
            colours: self
                .colours
                .iter()
                .map(|role| palette.colour(*role))
                .collect(),
            seed: self.seed,
            threads: self.threads.to_vec(),
            words: Vec::new(),
        }
    }
}

/// All sets, in the order of their palettes.
pub const SETS: &[Set] = &[
    Set {
        palette: "potting-shed",
        says: "a plant table: leaves, a tablecloth check, twine and seeds",
        members: &[
            Member {
                scale: Scale::Large,
                kind: "leaf-scatter",
                repeat: ("84 mm", "3 1/4 in"),
                weight: 0.65,
                colours: &[Role::Ground, Role::Accent, Role::Second, Role::Main],
                seed: 3,
                threads: &[],
            },
            Member {
                scale: Scale::Small,
                kind: "check",
                repeat: ("15 mm", "5/8 in"),
                weight: 0.24,
                colours: &[Role::Ground, Role::Main, Role::Second],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Small,
                kind: "stripe",
                repeat: ("10 mm", "3/8 in"),
                weight: 0.5,
                colours: &[Role::Soft, Role::Main],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Texture,
                kind: "dots",
                repeat: ("4 mm", "5/32 in"),
                weight: 0.4,
                colours: &[Role::Main, Role::Ground],
                seed: 0,
                threads: &[],
            },
        ],
    },
    Set {
        palette: "kitchen-garden",
        says: "a picnic rug and what goes with it",
        members: &[
            Member {
                scale: Scale::Large,
                kind: "plaid",
                repeat: ("60 mm", "2 1/2 in"),
                weight: 0.5,
                colours: &[
                    Role::Ground,
                    Role::Main,
                    Role::Second,
                    Role::Accent,
                    Role::Ink,
                ],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Small,
                kind: "gingham",
                repeat: ("9 mm", "3/8 in"),
                weight: 0.5,
                colours: &[Role::Ground, Role::Main],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Small,
                kind: "scattered-dots",
                repeat: ("48 mm", "2 in"),
                weight: 0.62,
                colours: &[Role::Ground, Role::Accent, Role::Second, Role::Main],
                seed: 5,
                threads: &[],
            },
            Member {
                scale: Scale::Texture,
                kind: "pinstripe",
                repeat: ("3 mm", "1/8 in"),
                weight: 0.14,
                colours: &[Role::Main, Role::Ground],
                seed: 0,
                threads: &[],
            },
        ],
    },
    Set {
        palette: "lavender-walk",
        says: "sprigs, ribbons and petals",
        members: &[
            Member {
                scale: Scale::Large,
                kind: "leaf-scatter",
                repeat: ("76 mm", "3 in"),
                weight: 0.7,
                colours: &[Role::Ground, Role::Second, Role::Main, Role::Accent],
                seed: 8,
                threads: &[],
            },
            Member {
                scale: Scale::Small,
                kind: "stripe",
                repeat: ("16 mm", "5/8 in"),
                weight: 0.62,
                colours: &[Role::Ground, Role::Soft, Role::Main, Role::Accent],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Small,
                kind: "scallop",
                repeat: ("10 mm", "3/8 in"),
                weight: 0.3,
                colours: &[Role::Ground, Role::Main],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Texture,
                kind: "dots",
                repeat: ("3.5 mm", "1/8 in"),
                weight: 0.4,
                colours: &[Role::Main, Role::Ground],
                seed: 0,
                threads: &[],
            },
        ],
    },
    Set {
        palette: "first-frost",
        says: "blankets and ice",
        members: &[
            Member {
                scale: Scale::Large,
                kind: "plaid",
                repeat: ("56 mm", "2 1/4 in"),
                weight: 0.5,
                colours: &[
                    Role::Ground,
                    Role::Main,
                    Role::Second,
                    Role::Ink,
                    Role::Accent,
                ],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Small,
                kind: "chevron",
                repeat: ("12 mm", "1/2 in"),
                weight: 0.5,
                colours: &[Role::Ground, Role::Main, Role::Second],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Small,
                kind: "check",
                repeat: ("9 mm", "3/8 in"),
                weight: 0.1,
                colours: &[Role::Main, Role::Ground, Role::Accent],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Texture,
                kind: "pinstripe",
                repeat: ("2.5 mm", "3/32 in"),
                weight: 0.16,
                colours: &[Role::Ground, Role::Main],
                seed: 0,
                threads: &[],
            },
        ],
    },
    Set {
        palette: "seed-packet",
        says: "a market stall with awning and baskets",
        members: &[
            Member {
                scale: Scale::Large,
                kind: "stripe",
                repeat: ("40 mm", "1 1/2 in"),
                weight: 0.7,
                colours: &[Role::Ground, Role::Main, Role::Accent, Role::Second],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Small,
                kind: "basket-weave",
                repeat: ("16 mm", "5/8 in"),
                weight: 0.84,
                colours: &[Role::Ink, Role::Second, Role::Soft],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Small,
                kind: "gingham",
                repeat: ("7 mm", "1/4 in"),
                weight: 0.5,
                colours: &[Role::Ground, Role::Main],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Texture,
                kind: "dots",
                repeat: ("4 mm", "5/32 in"),
                weight: 0.42,
                colours: &[Role::Second, Role::Ground],
                seed: 0,
                threads: &[],
            },
        ],
    },
    Set {
        palette: "sweet-pea",
        says: "petals and ribbon",
        members: &[
            Member {
                scale: Scale::Large,
                kind: "scallop",
                repeat: ("26 mm", "1 in"),
                weight: 0.34,
                colours: &[
                    Role::Ground,
                    Role::Main,
                    Role::Soft,
                    Role::Second,
                    Role::Accent,
                ],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Small,
                kind: "gingham",
                repeat: ("8 mm", "5/16 in"),
                weight: 0.5,
                colours: &[Role::Ground, Role::Second],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Small,
                kind: "leaf-scatter",
                repeat: ("48 mm", "2 in"),
                weight: 0.6,
                colours: &[Role::Ground, Role::Accent, Role::Main],
                seed: 2,
                threads: &[],
            },
            Member {
                scale: Scale::Texture,
                kind: "pinstripe",
                repeat: ("3 mm", "1/8 in"),
                weight: 0.14,
                colours: &[Role::Ground, Role::Main],
                seed: 0,
                threads: &[],
            },
        ],
    },
    Set {
        palette: "damson",
        says: "orchard and blanket chest",
        members: &[
            Member {
                scale: Scale::Large,
                kind: "plaid",
                repeat: ("52 mm", "2 in"),
                weight: 0.5,
                colours: &[Role::Ground, Role::Main, Role::Accent, Role::Second],
                seed: 0,
                threads: &[(3, 2), (1, 20), (3, 2), (1, 5), (2, 14), (0, 8), (3, 2)],
            },
            Member {
                scale: Scale::Small,
                kind: "leaf-scatter",
                repeat: ("60 mm", "2 3/8 in"),
                weight: 0.6,
                colours: &[Role::Main, Role::Ground, Role::Second, Role::Soft],
                seed: 6,
                threads: &[],
            },
            Member {
                scale: Scale::Small,
                kind: "chevron",
                repeat: ("9 mm", "3/8 in"),
                weight: 0.5,
                colours: &[Role::Ground, Role::Main, Role::Accent],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Texture,
                kind: "dots",
                repeat: ("3.5 mm", "1/8 in"),
                weight: 0.38,
                colours: &[Role::Ground, Role::Main],
                seed: 0,
                threads: &[],
            },
        ],
    },
    Set {
        palette: "night-glasshouse",
        says: "leaves behind glass by lamplight",
        members: &[
            Member {
                scale: Scale::Large,
                kind: "leaf-scatter",
                repeat: ("84 mm", "3 1/4 in"),
                weight: 0.7,
                colours: &[Role::Ground, Role::Second, Role::Accent, Role::Main],
                seed: 9,
                threads: &[],
            },
            Member {
                scale: Scale::Small,
                kind: "check",
                repeat: ("12 mm", "1/2 in"),
                weight: 0.07,
                colours: &[Role::Ground, Role::Main],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Small,
                kind: "scallop",
                repeat: ("9 mm", "3/8 in"),
                weight: 0.3,
                colours: &[Role::Ground, Role::Soft],
                seed: 0,
                threads: &[],
            },
            Member {
                scale: Scale::Texture,
                kind: "pinstripe",
                repeat: ("3 mm", "1/8 in"),
                weight: 0.12,
                colours: &[Role::Ground, Role::Main],
                seed: 0,
                threads: &[],
            },
        ],
    },
];

#[cfg(test)]
mod tests {
    use super::super::{PALETTES, Takes, contrast, named, palette_named};
    use super::*;
    use crate::length::Length;

    fn members() -> impl Iterator<Item = (&'static Set, &'static Member)> {
        SETS.iter()
            .flat_map(|set| set.members.iter().map(move |member| (set, member)))
    }

    fn repeats_mm(member: &Member) -> [f64; 2] {
        [member.repeat.0, member.repeat.1].map(|typed| Length::parse(typed, None).unwrap().to_mm())
    }

    #[test]
    fn every_palette_has_a_set_with_all_three_scales() {
        let palettes: Vec<&str> = PALETTES.iter().map(|palette| palette.name).collect();
        let sets: Vec<&str> = SETS.iter().map(|set| set.palette).collect();
        assert_eq!(sets, palettes);
        for set in SETS {
            let scales: Vec<Scale> = set.members.iter().map(|member| member.scale).collect();
            assert!((3..=5).contains(&scales.len()), "{}", set.palette);
            assert!(scales.is_sorted(), "{}", set.palette);
            for scale in [Scale::Large, Scale::Small, Scale::Texture] {
                assert!(scales.contains(&scale), "{}: {}", set.palette, scale.name());
            }
        }
    }

    #[test]
    fn every_pattern_of_a_set_is_there_and_is_drawn() {
        for (set, member) in members() {
            let of = format!("{} in {}", member.kind, set.palette);
            let kind = named(member.kind).unwrap_or_else(|| panic!("no {of}"));
            assert!(
                (kind.weights.0..=kind.weights.1).contains(&member.weight),
                "{of}"
            );
            assert!(
                (kind.colours.0..=kind.colours.1).contains(&member.colours.len()),
                "{of}"
            );
            assert!(member.seed == 0 || kind.takes == Takes::Seed, "{of}");
            assert!(
                member.threads.is_empty() || kind.takes == Takes::Threads,
                "{of}"
            );
            for repeat_mm in repeats_mm(member) {
                let settings = member.settings(palette_named(set.palette).unwrap(), repeat_mm);
                let field =
                    (kind.draw)(&settings).unwrap_or_else(|refusal| panic!("{of}: {refusal:?}"));
                assert_eq!(field.ground, settings.colours[0], "{of}");
                assert!(!field.layers.is_empty(), "{of}");
            }
        }
    }

    #[test]
    fn the_repeat_in_inches_is_about_the_one_in_millimetres() {
        for (set, member) in members() {
            let [metric, inch] = repeats_mm(member);
            assert!(
                (inch / metric - 1.0).abs() < 0.12,
                "{} in {}: {metric} {inch}",
                member.kind,
                set.palette
            );
        }
    }

    /// Those that are strewn look as large as their parts, not as their repeat.
    #[test]
    fn scales_are_told_by_the_repeat() {
        for (set, member) in
            members().filter(|(_, member)| named(member.kind).unwrap().takes != Takes::Seed)
        {
            let repeat_mm = repeats_mm(member)[0];
            let holds = match member.scale {
                Scale::Large => repeat_mm >= 24.0,
                Scale::Small => (6.0..20.0).contains(&repeat_mm),
                Scale::Texture => repeat_mm <= 4.0,
            };
            assert!(holds, "{} in {}: {repeat_mm}", member.kind, set.palette);
        }
    }

    /// At least as far apart as any two colours of a palette.
    #[test]
    fn what_serves_as_ground_differs_from_what_lies_on_it() {
        for (set, member) in members() {
            let settings = member.settings(palette_named(set.palette).unwrap(), 10.0);
            for colour in &settings.colours[1..] {
                assert!(
                    contrast(settings.colours[0], *colour) >= 1.3,
                    "{} in {}",
                    member.kind,
                    set.palette
                );
            }
        }
    }
}

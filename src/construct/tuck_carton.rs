//! The tuck carton: a glued tube of four walls, closed at both ends by a lid with a tuck flap over two dust flaps.
//!
//! ECMA A20.20.01.03 (reverse tuck: lids on opposite walls) and A20.20.03.03 (straight tuck: both on one wall) in the code of 2009; kin of
//! FEFCO 0211. Lid and dust flaps lie on each other, so the dust flaps' creases stand back from the lid's by the paper's thickness, and
//! so does the lid's front crease from the wall it closes at: the tuck flap goes in behind that wall. On a hand grid that is a whole step
//! where the step is at most 1 mm more than the paper; on coarser ones all creases lie on one line, as hand makers score them, and the
//! paper gives way by its thickness.

use super::blank::{Drawn, Leaf, Net, Up};
use super::contour::{BOTTOM, Contour, FAR, FIRST, LAST, LEFT, RIGHT, TOP};
use super::joint::{assembly, meets_within, member, stuck_inside, tucks};
use super::limits::{
    asked_key, refused_above, refused_calipers, refused_flap, refused_sizes, taper,
};
use super::tray::{TAB, fact, half, last_wall, on_grid_below, usual_tab};
use super::{Construction, Given, Kind, Parameter, ParameterKind, Refusal, Usual};
use crate::geometry::space::{Rigid, Vec3};
use crate::length::Length;
use crate::math::Angle;
use crate::project::{Axis, Joint};

/// The tuck-end carton.
pub(super) const TUCK_CARTON: Kind = Kind {
    name: "tuck-carton",
    title: "Tuck-end carton",
    about: "a glued tube closed by tuck flaps at top and bottom",
    codes: "ECMA A20.20.01.03 (reverse) and A20.20.03.03 (straight), code of 2009; kin of FEFCO 0211",
    dimensions: 3,
    sized_by: &["inside", "outside", "contents"],
    usual_ease: super::USUAL_EASE,
    parameters: &[TUCK, TUCK_DEPTH, DUST_FLAP, LOCK_SLITS, TAB],
    pieces: &["carton"],
    build,
};

const TUCK: Parameter = Parameter {
    key: "tuck",
    kind: ParameterKind::Choice(&["reverse", "straight"]),
    usual: Usual::Word("reverse"),
    scales: false,
    about: "reverse: top lid on the back, bottom lid on the front; straight: both on the back, for a clean front",
};

const TUCK_DEPTH: Parameter = Parameter {
    key: "tuck_depth",
    kind: ParameterKind::Length,
    usual: Usual::Follows("16 mm or 5/8 in, less where width or height are small"),
    scales: false,
    about: "what lid and tuck flap have together beyond the width: how far the tuck flap goes in, but for a paper",
};

const DUST_FLAP: Parameter = Parameter {
    key: "dust_flap",
    kind: ParameterKind::Length,
    usual: Usual::Follows("the width, at most half the length less 1 mm and at most the height"),
    scales: false,
    about: "length of the dust flaps at the sides",
};

const LOCK_SLITS: Parameter = Parameter {
    key: "lock_slits",
    kind: ParameterKind::Flag,
    usual: Usual::Word("no"),
    scales: false,
    about: "slits of 5 mm (3/16 in) at both ends of the tuck creases, in which the lid holds",
};

/// How far a tuck flap may lie behind its wall and still be held by it, in millimetres: paper springs back that far.
const SPRING_MM: i64 = 1;

fn build(given: &Given<'_>) -> Result<Construction, Vec<Refusal>> {
    let carton = Carton::of(given)?;
    let drawn = carton.draw(given)?;
    let joints = carton.joints(&drawn);
    let members = vec![member(0, &drawn, "front", upright(&drawn))];
    Ok(Construction {
        pieces: vec![drawn.made],
        assembly: assembly(&TUCK_CARTON, members, joints),
        facts: vec![
            fact("inside", carton.inside(), given.inside()),
            fact("outside", carton.outside(), given.outside().map(Into::into)),
            fact("tuck flaps go in by", vec![carton.tuck], None),
        ],
    })
}

/// The front stands upright: its lower left corner of creases at the origin.
fn upright(drawn: &Drawn) -> Rigid {
    let front = drawn.bounds_mm("front");
    let stand = Rigid::about(Vec3::zeros(), Vec3::x(), Angle::from_deg(-90.0));
    Rigid::shift(-front.x0, 0.0, front.y1).after(&stand)
}

/// Sizes on the grid, from crease to crease unless said otherwise.
#[derive(Debug, Clone, Copy)]
struct Carton {
    t: Length,
    length: Length,
    width: Length,
    /// From lid to bottom.
    height: Length,
    /// The last wall, to its free edge.
    last: Length,
    /// How far the lid stands back from the wall it closes at, and the dust flaps from the lid.
    back: Length,
    /// What lids and dust flaps are narrower by at each side.
    aside: Length,
    /// From its crease to its edge.
    tuck: Length,
    dust: Length,
    tab: Length,
    is_locked: bool,
    is_reverse: bool,
}

/// One end of the carton.
#[derive(Debug, Clone, Copy)]
struct End {
    lid: &'static str,
    tuck: &'static str,
    dust: [&'static str; 2],
    hangs_on: &'static str,
    closes_at: &'static str,
}

impl Carton {
    fn of(given: &Given<'_>) -> Result<Self, Vec<Refusal>> {
        let (t, grid) = (given.caliper("carton"), given.grid);
        let step = grid.up(t);
        let is_fine = step - t <= Length::from_mm(SPRING_MM);
        let back = if is_fine { step } else { Length::ZERO };
        let [length, width, height] = match given.outside() {
            Some(size) => [0, 1, 2].map(|i| grid.down(size[i] - t)),
            None => {
                let inside = given.inside().expect("sizes are inside or outside");
                let layers = back.max(t) * 2;
                [
                    grid.up(inside[0] + t),
                    grid.up(inside[1] + t),
                    grid.up(inside[2] + t + layers),
                ]
            }
        };
        let mut carton = Self {
            t,
            length,
            width,
            height,
            last: last_wall(given, width, t),
            back,
            aside: step,
            tuck: Length::ZERO,
            dust: Length::ZERO,
            tab: Length::ZERO,
            is_locked: given.flag("lock_slits"),
            is_reverse: given.word("tuck") == Some("reverse"),
        };
        carton.refusals(given)?;
        carton.flaps(given)?;
        Ok(carton)
    }

    fn refusals(&self, given: &Given<'_>) -> Result<(), Vec<Refusal>> {
        let names = ["length", "width", "depth"].into_iter();
        let inside: Vec<(&str, Length)> = names.zip(self.inside()).collect();
        let mut refusals = refused_calipers(given);
        refusals.extend(refused_sizes(given, &inside));
        let room = self.dust_width().min(self.length - self.aside * 2);
        let least = Length::from_mm(2);
        if refusals.is_empty() && room < least {
            refusals.push(Refusal {
                key: asked_key(given),
                message: format!(
                    "dust flaps and lid come to {} wide on a grid of {}, and {} is the least that can be folded",
                    given.show(room),
                    given.show(given.grid.step()),
                    given.show(least)
                ),
                hint: "make the carton larger, or choose a finer grid".into(),
            });
        }
        if refusals.is_empty() {
            Ok(())
        } else {
            Err(refusals)
        }
    }

    /// Works out the flaps, and refuses what there is no room for.
    fn flaps(&mut self, given: &Given<'_>) -> Result<(), Vec<Refusal>> {
        let most_tuck = self.most_tuck();
        let depth = given.length("tuck_depth").unwrap_or_else(|| {
            let usual = if given.is_inch {
                Length::from_inch_fraction(5, 8)
            } else {
                Length::from_mm(16)
            };
            on_grid_below(given, usual.min(most_tuck))
        });
        let most_dust = self.most_dust();
        let usual_dust = on_grid_below(given, most_dust.min(self.width));
        self.tuck = depth + self.back;
        self.dust = given.length("dust_flap").unwrap_or(usual_dust);
        self.tab = given
            .length("tab")
            .unwrap_or_else(|| usual_tab(given, self.width, 4));
        // The tab's far edge stays a millimetre behind the other edge of its wall.
        let most_tab = self.last - Length::from_mm(1);
        let refusals: Vec<Refusal> = [
            refused_above(
                given,
                "tuck_depth",
                depth,
                most_tuck,
                "the wall behind which it goes",
            ),
            refused_above(given, "dust_flap", self.dust, most_dust, "the lid over it"),
            refused_above(given, "tab", self.tab, most_tab, "the wall it is stuck to"),
            refused_flap(given, "tuck_depth", depth),
            refused_flap(given, "dust_flap", self.dust),
            refused_flap(given, "tab", self.tab),
        ]
        .into_iter()
        .flatten()
        .collect();
        if refusals.is_empty() {
            Ok(())
        } else {
            Err(refusals)
        }
    }

    /// Three quarters of the width (trade practice), and not as far as the flap of the other end.
    fn most_tuck(&self) -> Length {
        let quarters = Length::from_nm(self.width.nm() / 4 * 3);
        quarters.min(half(self.height) - self.back - Length::from_mm(1))
    }

    /// Half of the lid it lies under, less 1 mm, and no more than the height (trade practice).
    fn most_dust(&self) -> Length {
        (half(self.length) - Length::from_mm(1)).min(self.height)
    }

    /// Dust flaps leave room for the wall at the lid's crease, and for wall and tuck flap across from it.
    fn dust_width(&self) -> Length {
        self.width - self.aside * 3
    }

    /// Free room: between walls, and between dust flaps.
    fn inside(&self) -> Vec<Length> {
        let layers = self.back.max(self.t) * 2;
        vec![
            self.length - self.t,
            self.width - self.t,
            self.height - self.t - layers,
        ]
    }

    fn outside(&self) -> Vec<Length> {
        [self.length, self.width, self.height]
            .map(|s| s + self.t)
            .to_vec()
    }

    fn ends(&self) -> [End; 2] {
        let (bottom_on, bottom_at) = if self.is_reverse {
            ("front", "back")
        } else {
            ("back", "front")
        };
        [
            End {
                lid: "lid",
                tuck: "tuck",
                dust: ["dust-1", "dust-2"],
                hangs_on: "back",
                closes_at: "front",
            },
            End {
                lid: "bottom",
                tuck: "bottom-tuck",
                dust: ["dust-3", "dust-4"],
                hangs_on: bottom_on,
                closes_at: bottom_at,
            },
        ]
    }

    /// Draws it as the outside is seen going round: tab, back, left, front, right.
    fn draw(&self, given: &Given<'_>) -> Result<Drawn, Vec<Refusal>> {
        let mut net = self.tube(given);
        for (end, is_top) in self.ends().into_iter().zip([true, false]) {
            self.hang_lid(&mut net, end, is_top, given);
            self.hang_dust(&mut net, end, is_top);
        }
        let drawn = net.draw("carton", "Carton", asked_key(given));
        let mut drawn = drawn.map_err(|refusal| vec![refusal])?;
        // The longest creases: those of the body, or those of the lids.
        drawn.made.grain = Some(if self.height >= self.length {
            Axis::Y
        } else {
            Axis::X
        });
        Ok(drawn)
    }

    /// The walls. The sides are lower by what the dust flaps stand back at both ends, so the back reaches beyond its crease there.
    fn tube(&self, given: &Given<'_>) -> Net {
        let (low, high) = (self.back, self.height - self.back);
        let front = Contour::rectangle(self.length, self.height);
        let mut net = Net::new(Leaf::new("front", front).up(Up::Turned(0.0)));
        let left = Contour::flap(low, high, self.width);
        net.hang("front", LEFT, Leaf::new("left", left).up(Up::AsParent));
        let right = Contour::flap(low, high, self.last);
        net.hang("front", RIGHT, Leaf::new("right", right).up(Up::AsParent));
        let (from_mm, to_mm) = (-low.to_mm(), high.to_mm());
        let length_mm = self.length.to_mm();
        let back = Contour::begin((0.0, 0.0))
            .line((from_mm, 0.0))
            .line((from_mm, length_mm))
            .line((to_mm, length_mm))
            .line((to_mm, 0.0))
            .line(((high - low).to_mm(), 0.0));
        net.hang("left", FAR, Leaf::new("back", back).up(Up::AsParent));
        // The tab leaves the corners to the dust flaps.
        let (from, to) = (self.aside, self.height - self.aside);
        let taper = taper(given, self.tab, to - from);
        let tab = Contour::tapered(from, to, self.tab, taper);
        net.hang("back", BACK_FAR, Leaf::new("tab", tab));
        net
    }

    fn hang_lid(&self, net: &mut Net, end: End, is_top: bool, given: &Given<'_>) {
        let edge = match (end.hangs_on, is_top) {
            ("front", true) => TOP,
            ("front", false) => BOTTOM,
            (_, true) => BACK_LAST,
            (_, false) => BACK_FIRST,
        };
        let lid = Contour::flap(self.aside, self.length - self.aside, self.width - self.back);
        let up = if is_top { Up::In } else { Up::None };
        net.hang(end.hangs_on, edge, Leaf::new(end.lid, lid).up(up));
        let wide = self.length - self.aside * 2;
        let round = Length::from_mm(6)
            .min(half(self.tuck))
            .min(Length::from_nm(wide.nm() / 3));
        let tuck = Contour::rounded(Length::ZERO, wide, self.tuck, round);
        let lock = if self.is_locked {
            lock_slit(given, wide)
        } else {
            Length::ZERO
        };
        net.hang(end.lid, FAR, Leaf::new(end.tuck, tuck).locked(lock.to_mm()));
    }

    fn hang_dust(&self, net: &mut Net, end: End, is_top: bool) {
        let width = self.width;
        // From the corner at the lid's crease to the corner the tuck flap goes into.
        let (from, to) = (self.aside, width - self.aside * 2);
        let round = Length::from_mm(3)
            .min(half(self.dust))
            .min(Length::from_nm((to - from).nm() / 3));
        let is_lid_at_back = end.hangs_on == "back";
        // The left wall's top edge runs from back to front, its bottom edge from front to back; those of the right wall the other way.
        let walls = [
            ("left", is_top == is_lid_at_back),
            ("right", is_top != is_lid_at_back),
        ];
        for ((wall, starts_at_lid), name) in walls.into_iter().zip(end.dust) {
            let (mut from, mut to) = if starts_at_lid {
                (from, to)
            } else {
                (width - to, width - from)
            };
            if wall == "right" && !is_top {
                // Its bottom edge begins at the free edge, which is short of the corner.
                let short = width - self.last;
                (from, to) = (from - short, to - short);
            }
            let edge = match (wall, is_top) {
                ("left", true) | ("right", false) => LAST,
                (_, _) => FIRST,
            };
            let flap = Contour::rounded(from, to, self.dust, round);
            net.hang(wall, edge, Leaf::new(name, flap));
        }
    }

    fn joints(&self, drawn: &Drawn) -> Vec<Joint> {
        let mut joints = vec![
            stuck_inside(0, drawn, "tab", "right"),
            // The sides are lower by what the dust flaps stand back at both ends.
            meets_within(0, "right", "back", self.width - self.last, self.back),
        ];
        for end in self.ends() {
            let (gap, inset) = (self.back, self.aside);
            joints.push(meets_within(0, end.lid, end.closes_at, gap, inset));
            joints.push(tucks(0, end.tuck, end.closes_at, self.tuck));
            for dust in end.dust {
                joints.push(tucks(0, dust, end.lid, self.dust - self.aside));
            }
        }
        joints
    }
}

/// Edges of the back, which begins and ends with what it reaches beyond its crease.
const BACK_FIRST: usize = 1;
const BACK_FAR: usize = 2;
const BACK_LAST: usize = 3;

/// Returns the length of a lock slit: 5 mm or 3/16 in (the trade has 1/8 to 1/4 in), less on a narrow lid.
fn lock_slit(given: &Given<'_>, wide: Length) -> Length {
    let usual = if given.is_inch {
        Length::from_inch_fraction(3, 16)
    } else {
        Length::from_mm(5)
    };
    usual.min(Length::from_nm(wide.nm() / 4))
}

#[cfg(test)]
mod tests {
    use super::super::trial::{
        asking, assert_mm, blank_mm, built, fact_mm, grids, inside_um, sizes, with,
    };
    use super::super::{Asked, Grid, Value};
    use super::*;
    use crate::project::JointKind;

    fn worked<'k>(tuck: &str) -> Given<'k> {
        let given = asking(
            &TUCK_CARTON,
            inside_um(&[60_000, 40_000, 100_000]),
            Grid::NONE,
            300,
        );
        with(given, "tuck", Value::Word(tuck.into()))
    }

    fn length_mm(mm: i64) -> Value {
        Value::Length(Length::from_mm(mm))
    }

    #[test]
    fn the_worked_carton_has_its_panels_and_its_blank() {
        // Check value "reverse/straight tuck carton": 12, 60.3, 40.3, 60.3, 40.0; blank 212.9 x 213.5; dust flaps 29.15 at most.
        for tuck in ["reverse", "straight"] {
            let made = built(&worked(tuck));
            let piece = &made.pieces[0];
            assert_mm(&blank_mm(piece), &[212.9, 213.5]);
            let order = ["tab", "back", "left", "front", "right"];
            let bounds = order.map(|name| {
                let panel = piece.panels.iter().find(|p| p.name == name);
                panel.unwrap().bounds_mm
            });
            let widths = bounds.map(|b| b.width());
            assert_mm(&widths, &[12.0, 60.3, 40.3, 60.3, 40.0]);
            assert!(
                bounds
                    .windows(2)
                    .all(|pair| (pair[0].x1 - pair[1].x0).abs() < 1e-6)
            );
            let dust = piece.panels.iter().filter(|p| p.name.starts_with("dust"));
            for flap in dust {
                assert!((flap.bounds_mm.height() - 29.15).abs() < 2e-6);
            }
            assert_mm(&fact_mm(&made, "inside"), &[60.0, 40.0, 100.0]);
            assert_mm(&fact_mm(&made, "outside"), &[60.6, 40.6, 101.2]);
        }
    }

    #[test]
    fn reverse_hangs_the_bottom_on_the_front_and_straight_on_the_back() {
        for (tuck, closes_at) in [("reverse", "back"), ("straight", "front")] {
            let made = built(&worked(tuck));
            let joint = made
                .assembly
                .joints
                .iter()
                .find(|j| j.from.panel == "bottom-tuck");
            assert_eq!(joint.unwrap().to.panel, closes_at);
        }
    }

    #[test]
    fn lids_are_narrower_than_the_opening_and_tuck_flaps_lie_behind_their_wall() {
        let made = built(&worked("reverse"));
        let piece = &made.pieces[0];
        let of = |name: &str| {
            let panel = piece.panels.iter().find(|p| p.name == name);
            panel.unwrap().bounds_mm
        };
        // The opening is 60 mm; trade practice takes one to two papers off it. The lid ends one paper before the front.
        let lid = of("lid");
        assert_mm(&[lid.width(), lid.height()], &[59.7, 40.0]);
        assert_mm(&[of("tuck").height()], &[16.3]);
        // The dust flaps' creases are a paper below the lid's: 3 papers in all are 100.9 from lid to bottom, less two.
        assert_mm(
            &[of("front").height(), of("left").height()],
            &[100.9, 100.3],
        );
        let depths: Vec<i64> = made
            .assembly
            .joints
            .iter()
            .filter_map(|j| {
                if let JointKind::Tuck { depth } = j.kind {
                    Some(depth.nm())
                } else {
                    None
                }
            })
            .collect();
        // Tuck flap 16.3; dust flap 29.15 less the 0.3 by which the lid ends before the side wall.
        let one_end = [16_300_000, 28_850_000, 28_850_000];
        assert_eq!(depths, [one_end, one_end].concat());
    }

    #[test]
    fn a_coarse_grid_puts_all_creases_of_an_end_on_one_line() {
        let eighth = Grid::of(Length::from_inch_fraction(1, 8));
        let given = asking(
            &TUCK_CARTON,
            inside_um(&[60_000, 40_000, 100_000]),
            eighth,
            300,
        );
        let made = built(&given);
        // 60.3, 40.3 and 100.9 mm are 18.99, 12.69 and 31.8 eighths: 19, 13 and 32.
        let want = [19.0 * 3.175 - 0.3, 13.0 * 3.175 - 0.3, 32.0 * 3.175 - 0.9];
        assert_mm(&fact_mm(&made, "inside"), &want);
        let piece = &made.pieces[0];
        let heights = ["front", "left"].map(|name| {
            let panel = piece.panels.iter().find(|p| p.name == name);
            panel.unwrap().bounds_mm.height()
        });
        assert_mm(&heights, &[32.0 * 3.175, 32.0 * 3.175]);
    }

    #[test]
    fn lock_slits_stand_at_the_ends_of_both_tuck_creases() {
        let given = with(worked("reverse"), "lock_slits", Value::Flag(true));
        let made = built(&given);
        assert_eq!(made.pieces[0].slits.len(), 4);
    }

    #[test]
    fn every_carton_within_the_promised_sizes_is_sound() {
        for (sizes, caliper) in sizes(40) {
            for grid in grids() {
                for tuck in ["reverse", "straight"] {
                    let given = asking(&TUCK_CARTON, inside_um(&sizes), grid, caliper);
                    let made = built(&with(given, "tuck", Value::Word(tuck.into())));
                    let inside = fact_mm(&made, "inside");
                    for (got, least) in inside.iter().zip(sizes) {
                        assert!(*got >= Length::from_um(least).to_mm() - 1e-9);
                    }
                }
            }
        }
    }

    #[test]
    fn asked_by_its_outside_it_is_no_larger() {
        let outside = [62_000, 41_000, 90_000].map(Length::from_um).to_vec();
        for grid in grids() {
            let made = built(&asking(
                &TUCK_CARTON,
                Asked::Outside(outside.clone()),
                grid,
                400,
            ));
            for (got, most) in fact_mm(&made, "outside").iter().zip(&outside) {
                assert!(*got <= most.to_mm() + 1e-9);
            }
        }
    }

    #[test]
    fn flaps_without_room_are_refused_with_the_numbers() {
        let refused = |key, mm| {
            let given = with(worked("reverse"), key, length_mm(mm));
            let refusals = (given.kind.build)(&given).unwrap_err();
            assert_eq!(refusals[0].key, key);
            refusals[0].message.clone()
        };
        // Half of 60.3 less 1; three quarters of 40.3; 40.0 less 1.
        assert!(refused("dust_flap", 30).ends_with("leaves 29.15 mm"));
        assert!(refused("tuck_depth", 31).ends_with("leaves 30.225 mm"));
        assert!(refused("tab", 40).ends_with("leaves 39 mm"));
        assert!(refused("tab", 0).ends_with("must be 1 mm at least"));
    }
}

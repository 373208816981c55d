//! The pillow pack: two faces that bulge, and at each end two flaps on curved creases that close it, one over the other.
//!
//! An end's crease is an arc of a circle over the face's width w that dips into the face by the sagitta s: R = (w²/4 + s²) / (2 s).
//!
//! # How it folds
//!
//! A face becomes a cylinder whose rulings run along the pack, so that each ruling keeps its place u across the face. Where the crease dips by
//! c(u), the face rises to z(u) = c(u): then the crease lies in a plane slanting by 45 degrees, and the flap, the mirror image at that plane of
//! the face carried on, stands upright. So both flaps of an end lie on one upright surface and pass each other. The width shrinks to the
//! integral of √(1 - c'²), which needs |c'| < 1: an arc whose ends are steeper than 45 degrees (s > 0.207 w) would leave the flaps leaning
//! out and crossing each other, and is refused.
//!
//! Folded with straight facets the same holds chord by chord: the facet between two rulings h apart slants by the angle whose sine is the
//! difference of c over h. Bends in a flap are those of its face the other way, for a mirror turns mountains into valleys. The number of
//! facets is odd, so that the middle of the crease lies within one, where the flap is folded by a right angle.

use kurbo::{Line, Point};

use super::blank::{Drawn, Leaf, Net, Up};
use super::contour::{BOTTOM, Contour, LEFT, TOP};
use super::flat::{WEB_UM, fitted, lying_front_down, part, sizes, stuck};
use super::joint::{assembly, inside, meets, member, outside, tucks};
use super::limits::{refused_above, refused_calipers, refused_sizes};
use super::{Construction, Given, Kind, Parameter, ParameterKind, Refusal, Usual};
use crate::geometry::Way;
use crate::length::Length;
use crate::project::{Axis, Bend, Fact, Fold};

/// Facets that stand for a face; odd.
const FACETS: u32 = 13;

/// Sagitta of the flaps' outer edges, as a part of the creases': less than all, so that an edge does not catch in the crease across.
const FLAP_PART: f64 = 0.7;

/// How far the tab's ends slant, along for across: steeper than any crease, so that the tab keeps clear of them.
const TAB_SLANT: f64 = 1.1;

/// A facet narrower than this is none, in mm.
const SLIVER_MM: f64 = 0.5;

/// The pillow pack.
pub(super) const KIND: Kind = Kind {
    name: "pillow-pack",
    title: "Pillow pack",
    about: "Two bulging faces with curved ends that close by flaps tucked over one another; its size is that of a face lying flat.",
    codes: "kin to group C of the ECMA code (2009)",
    dimensions: 2,
    sized_by: &["outside"],
    usual_ease: super::USUAL_EASE,
    parameters: &[
        Parameter {
            key: "sagitta",
            kind: ParameterKind::Length,
            usual: Usual::Follows("a sixth of the width, a sixth of the length on short packs"),
            scales: true,
            about: "how far the curved ends dip into the face; half the height of the pack, a fifth of its width at most",
        },
        Parameter {
            key: "tab",
            kind: ParameterKind::Length,
            usual: Usual::Length {
                metric: "12 mm",
                inch: "1/2 in",
            },
            scales: false,
            about: "width of the glue tab along the side",
        },
        Parameter {
            key: "thumb",
            kind: ParameterKind::Length,
            usual: Usual::Length {
                metric: "16 mm",
                inch: "5/8 in",
            },
            scales: false,
            about: "width of the thumb cuts in the two outer flaps; 0 is none",
        },
    ],
    pieces: &["pack"],
    build,
};

/// A pack on the hand grid.
struct Pack {
    width: Length,
    length: Length,
    sagitta: Length,
    tab: Length,
    thumb: Length,
}

fn build(given: &Given<'_>) -> Result<Construction, Vec<Refusal>> {
    let asked = sizes(given);
    let pack = Pack::solve(given, asked[0], asked[1]);
    let refusals = pack.refusals(given);
    if !refusals.is_empty() {
        return Err(refusals);
    }
    let mut drawn = pack.draw().map_err(|refusal| vec![refusal])?;
    // Paper bends more willingly along its fibres, and the faces bend about lines along the pack.
    drawn.made.grain = Some(Axis::Y);
    let mut whole = member(0, &drawn, "back", lying_front_down());
    whole.bends = pack.bends(&drawn);
    let depth = Length::nearest_mm(pack.tuck_depth_mm());
    let joints = vec![
        stuck(
            outside(0, "tab"),
            inside(0, "front"),
            drawn.area("tab"),
            None,
            Length::ZERO,
        ),
        // The front's free edge lies over the crease of the tab, which is a paper further in.
        meets(0, "front", "tab", given.caliper("pack")),
        tucks(0, "back-top", "front-top", depth),
        tucks(0, "back-bottom", "front-bottom", depth),
    ];
    Ok(Construction {
        assembly: assembly(&KIND, vec![whole], joints),
        facts: pack.facts(given, &asked),
        pieces: vec![drawn.made],
    })
}

/// Returns the radius of the arc over a chord with that sagitta.
fn radius_mm(chord_mm: f64, sagitta_mm: f64) -> f64 {
    (chord_mm * chord_mm / 4.0 + sagitta_mm * sagitta_mm) / (2.0 * sagitta_mm)
}

/// Returns how high the arc is above its chord at a place along it.
fn height_mm(chord_mm: f64, sagitta_mm: f64, at_mm: f64) -> f64 {
    let radius = radius_mm(chord_mm, sagitta_mm);
    let aside = at_mm - chord_mm / 2.0;
    (radius * radius - aside * aside).max(0.0).sqrt() - (radius - sagitta_mm)
}

/// Takes a sliver off a tab that ends just beyond a ruling.
fn whole_facets(width: Length, tab: Length) -> Length {
    let facet_mm = width.to_mm() / f64::from(FACETS);
    let whole_mm = (tab.to_mm() / facet_mm).floor() * facet_mm;
    if whole_mm > 0.0 && tab.to_mm() - whole_mm < SLIVER_MM {
        Length::nearest_mm(whole_mm)
    } else {
        tab
    }
}

impl Pack {
    fn solve(given: &Given<'_>, width: Length, length: Length) -> Self {
        let grid = given.grid;
        let (width, length) = (grid.nearest(width), grid.nearest(length));
        let usual = grid.down(part(width.min(length), 6)).max(grid.step());
        let sagitta = given
            .length_given("sagitta")
            .map_or(usual, |s| grid.nearest(s));
        let most_tab = part(width.min(length), 5);
        Self {
            width,
            length,
            sagitta,
            tab: whole_facets(width, fitted(given, "tab", most_tab)),
            thumb: fitted(given, "thumb", part(width, 3)),
        }
    }

    fn refusals(&self, given: &Given<'_>) -> Vec<Refusal> {
        let mut found = refused_sizes(given, &[("width", self.width), ("length", self.length)]);
        found.extend(refused_calipers(given));
        if !found.is_empty() {
            return found;
        }
        let fifth = part(self.width, 5);
        let quarter = part(self.length, 4);
        let least = Length::from_um(WEB_UM);
        found.extend(refused_above(
            given,
            "sagitta",
            self.sagitta,
            fifth,
            "a fifth of the width, beyond which the end flaps lean out and cross,",
        ));
        found.extend(refused_above(
            given,
            "sagitta",
            self.sagitta,
            quarter,
            "a quarter of the length",
        ));
        if self.sagitta < least {
            let show = |length: Length| given.show(length);
            found.push(Refusal {
                key: "sagitta",
                message: format!(
                    "the sagitta is {}, too flat to fold: {} at least",
                    show(self.sagitta),
                    show(least)
                ),
                hint: format!("write {} or more", given.show_least(least)),
            });
        }
        let most_tab = part(self.width.min(self.length), 3);
        found.extend(refused_above(
            given,
            "tab",
            self.tab,
            most_tab,
            "a third of the shorter side",
        ));
        let most_thumb = part(self.width, 2);
        found.extend(refused_above(
            given,
            "thumb",
            self.thumb,
            most_thumb,
            "half the width",
        ));
        found
    }

    fn draw(&self) -> Result<Drawn, Refusal> {
        let (w, l) = (self.width.to_mm(), self.length.to_mm());
        let radius = radius_mm(w, self.sagitta.to_mm());
        let dent = Way::CounterClockwise;
        let front = Contour::begin((0.0, 0.0))
            .arc((w, 0.0), radius, dent)
            .line((w, l))
            .arc((0.0, l), radius, dent)
            .line((0.0, 0.0));
        // On its crease: the near end, the side of the tab, the far end.
        let back = Contour::begin((0.0, 0.0))
            .arc((0.0, w), radius, dent)
            .line((l, w))
            .arc((l, 0.0), radius, dent);
        let side_deg = 180.0 - 2.0 * self.slants_deg()[0];
        let mut net = Net::new(Leaf::new("front", front).up(Up::Turned(0.0)));
        let side = |name: &str, contour| Leaf::new(name, contour).folds(Fold::Mountain, side_deg);
        net.hang("front", LEFT, side("back", back).up(Up::AsParent));
        net.hang("back", 1, side("tab", self.tab_contour()));
        // The front's flaps stand on their far edges, the back's on their creases.
        let upright = |name: &str, is_outer, up| Leaf::new(name, self.flap(is_outer)).up(up);
        net.hang("front", TOP, upright("front-top", true, Up::In));
        net.hang("front", BOTTOM, upright("front-bottom", true, Up::In));
        net.hang("back", 2, upright("back-top", false, Up::Out));
        net.hang("back", 0, upright("back-bottom", false, Up::Out));
        let mut drawn = net.draw("pack", "Pack", "outside")?;
        self.move_inside_points(&mut drawn);
        Ok(drawn)
    }

    /// Puts the points that name the end flaps half way from crease to edge in the middle, where no thumb cut is.
    fn move_inside_points(&self, drawn: &mut Drawn) {
        let (front, back) = (drawn.bounds_mm("front"), drawn.bounds_mm("back"));
        for (name, face, mouth_mm, top) in [
            ("front-top", front, self.mouth_mm(), true),
            ("front-bottom", front, self.mouth_mm(), false),
            ("back-top", back, self.flap_sagitta_mm(), true),
            ("back-bottom", back, self.flap_sagitta_mm(), false),
        ] {
            let beyond = (mouth_mm - self.sagitta.to_mm()) / 2.0;
            let y_mm = if top {
                face.y0 - beyond
            } else {
                face.y1 + beyond
            };
            let flaps = drawn.made.panels.iter_mut();
            for flap in flaps.filter(|panel| panel.name == name) {
                flap.inside_mm = Point::new(face.center().x, y_mm);
            }
        }
    }

    fn tab_contour(&self) -> Contour {
        let (l, g) = (self.length.to_mm(), self.tab.to_mm());
        Contour::begin((0.0, 0.0))
            .line((g * TAB_SLANT, g))
            .line((l - g * TAB_SLANT, g))
            .line((l, 0.0))
    }

    /// An end flap: an arc over its crease's chord, an outer one with a thumb cut that is straight across the middle facet.
    fn flap(&self, is_outer: bool) -> Contour {
        let w = self.width.to_mm();
        let radius = radius_mm(w, self.flap_sagitta_mm());
        let begin = Contour::begin((0.0, 0.0));
        let cut = self.thumb_cut_mm();
        if !is_outer || cut <= 0.0 {
            return begin.arc((w, 0.0), radius, Way::Clockwise);
        }
        let (middle, half) = (w / 2.0, self.thumb.to_mm() / 2.0);
        let edge = self.flap_edge_mm(middle - half);
        let bottom = edge - cut;
        begin
            .arc((middle - half, edge), radius, Way::Clockwise)
            .arc((middle - half + cut, bottom), cut, Way::CounterClockwise)
            .line((middle + half - cut, bottom))
            .arc((middle + half, edge), cut, Way::CounterClockwise)
            .arc((w, 0.0), radius, Way::Clockwise)
    }

    fn flap_sagitta_mm(&self) -> f64 {
        self.sagitta.to_mm() * FLAP_PART
    }

    /// How far a flap's outer edge lies beyond the chord of its crease.
    fn flap_edge_mm(&self, at_mm: f64) -> f64 {
        height_mm(self.width.to_mm(), self.flap_sagitta_mm(), at_mm)
    }

    /// Depth of the thumb cut: what its width leaves beside the middle facet, half of how far the flap goes beyond the chord at most; 0 where
    /// nothing is left.
    fn thumb_cut_mm(&self) -> f64 {
        let facet = self.width.to_mm() / f64::from(FACETS);
        let half = self.thumb.to_mm() / 2.0;
        let cut = (half - facet * 0.6).min(self.flap_sagitta_mm());
        if cut < 1.0 { 0.0 } else { cut }
    }

    /// How far the tip of an inner flap goes in behind the edge of the outer one. A point v beyond its crease's chord comes to lie v beyond
    /// the middle of the pack's height.
    fn tuck_depth_mm(&self) -> f64 {
        self.flap_sagitta_mm() + self.mouth_mm()
    }

    /// How far the edge of an outer flap lies beyond the chord of its crease in the middle, where the inner flap goes in.
    fn mouth_mm(&self) -> f64 {
        let cut = self.thumb_cut_mm();
        if cut > 0.0 {
            self.flap_edge_mm((self.width - self.thumb).to_mm() / 2.0) - cut
        } else {
            self.flap_sagitta_mm()
        }
    }

    /// Where the rulings lie across a face, both edges included, with how far the crease dips there.
    fn rulings_mm(&self) -> Vec<(f64, f64)> {
        let w = self.width.to_mm();
        let at = |i: u32| w * f64::from(i) / f64::from(FACETS);
        (0..=FACETS)
            .map(|i| {
                let dip = height_mm(w, self.sagitta.to_mm(), at(i));
                (at(i), if i == 0 || i == FACETS { 0.0 } else { dip })
            })
            .collect()
    }

    /// How each facet slants upwards, in degrees.
    fn slants_deg(&self) -> Vec<f64> {
        let slant = |pair: &[(f64, f64)]| {
            let ((u, c), (v, d)) = (pair[0], pair[1]);
            libm::asin((d - c) / (v - u)).to_degrees()
        };
        self.rulings_mm().windows(2).map(slant).collect()
    }

    fn bends(&self, drawn: &Drawn) -> Vec<Bend> {
        let front = drawn.bounds_mm("front");
        let back = drawn.bounds_mm("back");
        let (top, bottom) = (front.y0, front.y1);
        let slants = self.slants_deg();
        let mut bends = Vec::new();
        for (i, (u, dip)) in self.rulings_mm().into_iter().enumerate().skip(1) {
            let Some(mountain_deg) = slants.get(i).map(|next| slants[i - 1] - next) else {
                break;
            };
            let mut bend = |x: f64, y0: f64, y1: f64, mountain_deg: f64| {
                let line = Line::new(Point::new(x, y0), Point::new(x, y1));
                bends.push(Bend { line, mountain_deg });
            };
            let beyond = self.flap_edge_mm(u);
            for x in [front.x0 + u, back.x0 + u] {
                bend(x, top + dip, bottom - dip, mountain_deg);
                bend(x, top + dip, top - beyond, -mountain_deg);
                bend(x, bottom - dip, bottom + beyond, -mountain_deg);
            }
            // The tab lies along the front's free edge and bends as that does.
            if u < self.tab.to_mm() - SLIVER_MM / 2.0 {
                let inset = u * TAB_SLANT;
                bend(back.x0 - u, top + inset, bottom - inset, mountain_deg);
            }
        }
        bends
    }

    /// Width of the pack when its faces bulge, edge to edge.
    fn bulging_width_mm(&self) -> f64 {
        let facet = self.width.to_mm() / f64::from(FACETS);
        let cosine = |deg: f64| crate::math::sin_cos(deg.to_radians()).1;
        self.slants_deg()
            .into_iter()
            .map(|deg| facet * cosine(deg))
            .sum()
    }

    fn facts(&self, given: &Given<'_>, asked: &[Length]) -> Vec<Fact> {
        let t = given.caliper("pack");
        let width = Length::nearest_mm(self.bulging_width_mm());
        let radius = radius_mm(self.width.to_mm(), self.sagitta.to_mm());
        let fact = |what, got, asked| Fact { what, got, asked };
        vec![
            fact(
                "face lying flat",
                vec![self.width, self.length],
                Some(asked.to_vec()),
            ),
            fact(
                "outside",
                vec![width + t, self.sagitta * 2 + t, self.length],
                None,
            ),
            fact(
                "inside in the middle",
                vec![
                    width - t,
                    self.sagitta * 2 - t,
                    self.length - self.sagitta * 2 - t * 3,
                ],
                None,
            ),
            fact(
                "sagitta of the ends",
                vec![self.sagitta],
                given.length_given("sagitta").map(|s| vec![s]),
            ),
            fact("radius of the ends", vec![Length::nearest_mm(radius)], None),
        ]
    }
}

#[cfg(test)]
mod tests {
    use rand_pcg::Pcg32;
    use rand_pcg::rand_core::{Rng, SeedableRng};

    use super::super::trial::{asking, built, fact_mm, with};
    use super::super::{Asked, Grid, Value};
    use super::*;
    use crate::geometry::space::{Rigid, Vec3};
    use crate::math::Angle;

    fn outside_um(width: i64, length: i64) -> Asked {
        Asked::Outside(vec![Length::from_um(width), Length::from_um(length)])
    }

    #[test]
    fn radius_of_the_end_is_that_of_the_check_value() {
        // Chord 60, sagitta 15 -> 37.5, the check value "pillow pack end arc" of the trade facts.
        assert!((radius_mm(60.0, 15.0) - 37.5).abs() < 1e-12);
        assert!((height_mm(60.0, 15.0, 30.0) - 15.0).abs() < 1e-12);
        assert!(height_mm(60.0, 15.0, 0.0).abs() < 1e-12);
    }

    #[test]
    fn arcs_steeper_than_45_degrees_are_refused() {
        let sagitta = Value::Length(Length::from_mm(15));
        let given = with(
            asking(&KIND, outside_um(60_000, 100_000), Grid::NONE, 300),
            "sagitta",
            sagitta,
        );
        let refusals = (KIND.build)(&given).unwrap_err();
        assert!(refusals[0].message.contains("15 mm") && refusals[0].message.contains("12 mm"));
    }

    /// Both ways round a corner of a crease: over the face and then the crease, or over the crease and then the flap.
    fn worst_closure_mm(pack: &Pack) -> f64 {
        let rulings = pack.rulings_mm();
        let slants = pack.slants_deg();
        let middle = slants.len() / 2;
        let bend = |u: f64, deg: f64| {
            // A mountain takes what is right of the ruling towards +z: about -y, for about +y it goes towards -z.
            Rigid::about(Vec3::new(u, 0.0, 0.0), -Vec3::y(), Angle::from_deg(deg))
        };
        // Facets right of the middle one, the middle one lying still, and its flap folded by a right angle about the chord.
        let (m0, m1) = (rulings[middle], rulings[middle + 1]);
        let along = Vec3::new(m1.0 - m0.0, m1.1 - m0.1, 0.0);
        // The flap lies at y less than the crease and goes towards +z: about -x.
        let fold = Rigid::about(Vec3::new(m0.0, m0.1, 0.0), -along, Angle::from_deg(90.0));
        let (mut face, mut flap) = (Rigid::identity(), fold);
        let mut worst: f64 = 0.0;
        for i in middle + 1..slants.len() {
            let (u, _) = rulings[i];
            let mountain = slants[i - 1] - slants[i];
            face = face.after(&bend(u, mountain));
            flap = flap.after(&bend(u, -mountain));
            for (u, dip) in [rulings[i], rulings[i + 1]] {
                let p = Vec3::new(u, dip, 0.0);
                worst = worst.max((face.apply(p) - flap.apply(p)).norm());
            }
        }
        worst
    }

    #[test]
    fn face_and_flap_meet_all_along_the_crease_when_both_are_bent() {
        for (w, s) in [
            (60_000, 10_000),
            (60_000, 12_000),
            (250_000, 50_000),
            (15_000, 1_500),
        ] {
            let sagitta = Value::Length(Length::from_um(s));
            let given = with(
                asking(&KIND, outside_um(w, w * 2), Grid::NONE, 300),
                "sagitta",
                sagitta,
            );
            let pack = Pack::solve(&given, Length::from_um(w), Length::from_um(w * 2));
            let worst = worst_closure_mm(&pack);
            assert!(worst < 0.01, "{w} {s} {worst}");
        }
    }

    #[test]
    fn the_crease_rises_as_far_as_it_dips() {
        // Facets of 60 / 13 mm slanting as they do add up to the dip in the middle, and the sides close: the slants are symmetrical.
        let given = asking(&KIND, outside_um(60_000, 100_000), Grid::NONE, 300);
        let pack = Pack::solve(&given, Length::from_mm(60), Length::from_mm(100));
        let slants = pack.slants_deg();
        let rise: f64 = slants[..6]
            .iter()
            .map(|d| 60.0 / 13.0 * crate::math::sin_cos(d.to_radians()).0)
            .sum();
        assert!((rise - height_mm(60.0, 10.0, 60.0 * 6.0 / 13.0)).abs() < 1e-9);
        for (a, b) in slants.iter().zip(slants.iter().rev()) {
            assert!((a + b).abs() < 1e-9);
        }
        let made = built(&given);
        // R = (900 + 100) / 20 = 50; half the angle of the arc is asin(30 / 50), 36.87 degrees, so its ends slant by less than 45.
        assert!((fact_mm(&made, "radius of the ends")[0] - 50.0).abs() < 1e-6);
        assert!(slants[0] < 48.6 && slants[0] > 36.8);
        // Width from the integral of √(1 - tan²φ) R cosφ dφ = R √cos2φ dφ over ±36.87 degrees, by Simpson's rule here.
        let f = |phi: f64| 50.0 * crate::math::sin_cos(2.0 * phi).1.sqrt();
        let (top, n) = (libm::asin(0.6), 200);
        let h = 2.0 * top / f64::from(n);
        let simpson: f64 = (0..=n)
            .map(|i| {
                let weight = if i == 0 || i == n {
                    1.0
                } else if i % 2 == 1 {
                    4.0
                } else {
                    2.0
                };
                weight * f(-top + h * f64::from(i))
            })
            .sum::<f64>()
            * h
            / 3.0;
        assert!(
            (pack.bulging_width_mm() - simpson).abs() < 0.15,
            "{simpson}"
        );
    }

    #[test]
    fn packs_of_all_sizes_are_sound() {
        let mut random = Pcg32::seed_from_u64(7);
        let mut between = |low: u32, high: u32| i64::from(low + random.next_u32() % (high - low));
        for _ in 0..200 {
            let (w, l) = (between(15_000, 250_000), between(15_000, 250_000));
            let (w, l) = (w.min(l * 99 / 10), l.min(w * 99 / 10));
            let grid = if w % 2 == 0 {
                Grid::NONE
            } else {
                Grid::of(Length::from_mm(1))
            };
            let given = asking(&KIND, outside_um(w, l), grid, between(100, 600));
            let made = built(&given);
            assert_eq!(made.pieces[0].panels.len(), 7);
            let pack = Pack::solve(&given, Length::from_um(w), Length::from_um(l));
            assert!(worst_closure_mm(&pack) < 0.01);
        }
    }
}

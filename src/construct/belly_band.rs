//! The belly band: a strip round a finished stack, its end glued over its beginning.
//!
//! The strip is 2 (A + e + t) + 2 (B + e + t) + o for a stack A x B with ease e and an overlap o (worked out by hand). The overlap lies on the
//! outside of the back, so that nothing inside catches the stack.

use super::blank::{Drawn, Leaf, Net, Up};
use super::contour::{Contour, FAR, LEFT, RIGHT};
use super::flat::{fitted, part, sizes, standing, stuck};
use super::joint::{assembly, inside, meets, member, outside};
use super::limits::{refused_above, refused_calipers, refused_sizes, taper};
use super::{Asked, Construction, Given, Kind, Parameter, ParameterKind, Refusal, Usual};
use crate::length::Length;
use crate::project::{Axis, Edges, Fact, Fold};

/// The belly band.
pub(super) const KIND: Kind = Kind {
    name: "belly-band",
    title: "Belly band",
    about: "A band that slips over a stack of cards or a wrapped thing: its sizes are the stack's width and thickness.",
    codes: "",
    dimensions: 2,
    sized_by: &["contents", "inside", "outside"],
    usual_ease: super::USUAL_EASE,
    parameters: &[
        Parameter {
            key: "band_width",
            kind: ParameterKind::Length,
            usual: Usual::Length {
                metric: "40 mm",
                inch: "1 1/2 in",
            },
            scales: true,
            about: "width of the strip",
        },
        Parameter {
            key: "overlap",
            kind: ParameterKind::Length,
            usual: Usual::Length {
                metric: "20 mm",
                inch: "3/4 in",
            },
            scales: false,
            about: "how far the end is glued over the beginning",
        },
    ],
    pieces: &["band"],
    build,
};

/// A band on the hand grid: panels crease to crease.
struct Band {
    wide: Length,
    narrow: Length,
    width: Length,
    overlap: Length,
    taper: Length,
}

fn build(given: &Given<'_>) -> Result<Construction, Vec<Refusal>> {
    let asked = sizes(given);
    let t = given.caliper("band");
    let band = Band::solve(given, &asked, t);
    let refusals = band.refusals(given, t);
    if !refusals.is_empty() {
        return Err(refusals);
    }
    let drawn = band.draw().map_err(|refusal| vec![refusal])?;
    let joints = vec![
        stuck(
            inside(0, "overlap"),
            outside(0, "back"),
            drawn.area("overlap"),
            Some(band.rims()),
            Length::ZERO,
        ),
        meets(0, "back", "right", Length::ZERO),
    ];
    Ok(Construction {
        assembly: assembly(&KIND, vec![member(0, &drawn, "front", standing())], joints),
        facts: band.facts(given, asked, t),
        pieces: vec![drawn.made],
    })
}

impl Band {
    fn solve(given: &Given<'_>, asked: &[Length], t: Length) -> Self {
        // Crease to crease: a caliper more than inside, a caliper less than outside.
        let spread = |size: Length| match given.asked {
            Asked::Outside(_) => given.grid.down(size - t),
            Asked::Inside(_) | Asked::Contents { .. } => given.grid.up(size + t),
        };
        let (wide, narrow) = (spread(asked[0]), spread(asked[1]));
        let overlap = given.grid.nearest(fitted(given, "overlap", part(wide, 2)));
        let width = given.length("band_width").expect("it has a usual length");
        let width = given.grid.nearest(width);
        Self {
            wide,
            narrow,
            width,
            overlap,
            taper: taper(given, overlap, width),
        }
    }

    fn refusals(&self, given: &Given<'_>, t: Length) -> Vec<Refusal> {
        let named = [("width", self.wide - t), ("thickness", self.narrow - t)];
        let mut found = refused_sizes(given, &named);
        found.extend(refused_calipers(given));
        found.extend(refused_above(
            given,
            "overlap",
            self.overlap,
            self.wide,
            "the back",
        ));
        let show = |length: Length| given.show(length);
        let (least, most) = (Length::from_mm(5), Length::from_mm(400));
        for (key, length, most) in [
            ("band_width", self.width, most),
            ("overlap", self.overlap, self.wide),
        ] {
            if length < least || length > most && key == "band_width" {
                found.push(Refusal {
                    key,
                    message: format!(
                        "{key} is {}, which must be {} to {}",
                        show(length),
                        show(least),
                        show(most)
                    ),
                    hint: format!("write {} or more", given.show_least(least)),
                });
            }
        }
        found
    }

    fn draw(&self) -> Result<Drawn, Refusal> {
        let front = Contour::rectangle(self.wide, self.width);
        let mut net = Net::new(Leaf::new("front", front).up(Up::Turned(0.0)));
        let flap = |depth| Contour::flap(Length::ZERO, self.width, depth);
        let overlap = Contour::tapered(Length::ZERO, self.width, self.overlap, self.taper);
        for (parent, edge, name, contour) in [
            ("front", LEFT, "left", flap(self.narrow)),
            ("left", FAR, "back", flap(self.wide)),
            ("front", RIGHT, "right", flap(self.narrow)),
            ("right", FAR, "overlap", overlap),
        ] {
            let leaf = Leaf::new(name, contour).folds(Fold::Mountain, 90.0);
            net.hang(parent, edge, leaf.up(Up::AsParent));
        }
        let mut drawn = net.draw("band", "Band", "overlap")?;
        drawn.made.grain = Some(Axis::Y);
        Ok(drawn)
    }

    /// What shows of the back beside the overlap, as the back is drawn: the overlap comes from its free edge, which is the left one.
    fn rims(&self) -> Edges<Length> {
        Edges {
            right: self.wide - self.overlap,
            ..Edges::all(Length::ZERO)
        }
    }

    fn facts(&self, given: &Given<'_>, asked: Vec<Length>, t: Length) -> Vec<Fact> {
        let inside = vec![self.wide - t, self.narrow - t];
        // The overlap makes the back thicker by a caliper.
        let outside = vec![self.wide + t, self.narrow + t * 2];
        let strip = (self.wide + self.narrow) * 2 + self.overlap;
        let of = |is_outside: bool| match given.asked {
            Asked::Outside(_) => is_outside,
            Asked::Inside(_) | Asked::Contents { .. } => !is_outside,
        };
        let fact = |what, got, asked| Fact { what, got, asked };
        vec![
            fact("inside", inside, of(false).then(|| asked.clone())),
            fact("outside", outside, of(true).then_some(asked)),
            fact("strip", vec![strip, self.width], None),
        ]
    }
}

#[cfg(test)]
mod tests {
    use rand_pcg::Pcg32;
    use rand_pcg::rand_core::{Rng, SeedableRng};

    use super::super::trial::{asking, assert_mm, built, fact_mm, with};
    use super::super::{Grid, Value};
    use super::*;

    fn stack(sizes_um: [i64; 2], ease_um: i64) -> Asked {
        Asked::Contents {
            sizes: sizes_um.map(Length::from_um).into(),
            ease: Length::from_um(ease_um),
        }
    }

    #[test]
    fn the_strip_is_that_of_the_check_value() {
        // Stack 110 x 15, t 0.3, ease 1, overlap 20 -> 275.2, the check value "slip-over band round a stack" of the trade facts.
        let made = built(&asking(
            &KIND,
            stack([110_000, 15_000], 1000),
            Grid::NONE,
            300,
        ));
        assert_mm(&fact_mm(&made, "strip"), &[275.2, 40.0]);
        assert_mm(&fact_mm(&made, "inside"), &[111.0, 16.0]);
        let bounds = made.pieces[0].outline.bounds();
        assert!((bounds.width() - 275.2).abs() < 1e-9 && (bounds.height() - 40.0).abs() < 1e-9);
        // From the left: back 111.3, left 16.3, front 111.3, right 16.3.
        let at: Vec<f64> = made.pieces[0]
            .creases
            .iter()
            .map(|c| kurbo::Shape::bounding_box(&c.path).x0)
            .collect();
        assert_mm(&at, &[127.6, 111.3, 238.9, 255.2]);
    }

    #[test]
    fn on_the_grid_a_band_is_not_tighter_than_wished() {
        let step = Length::from_inch_fraction(1, 16);
        let made = built(&asking(
            &KIND,
            stack([110_000, 15_000], 1000),
            Grid::of(step),
            300,
        ));
        let inside = fact_mm(&made, "inside");
        // 111.3 mm is 70.1 sixteenths, 16.3 mm is 10.3: 71 and 11.
        assert_mm(&inside, &[71.0 * 1.5875 - 0.3, 11.0 * 1.5875 - 0.3]);
    }

    #[test]
    fn an_overlap_beyond_the_back_is_refused() {
        let given = asking(&KIND, stack([60_000, 15_000], 1000), Grid::NONE, 300);
        let given = with(given, "overlap", Value::Length(Length::from_mm(70)));
        let refusals = (KIND.build)(&given).unwrap_err();
        assert_eq!(refusals[0].key, "overlap");
        assert!(refusals[0].message.contains("70 mm") && refusals[0].message.contains("61.3 mm"));
    }

    #[test]
    fn bands_of_all_sizes_are_sound() {
        let mut random = Pcg32::seed_from_u64(3);
        let mut between = |low: u32, high: u32| i64::from(low + random.next_u32() % (high - low));
        for _ in 0..200 {
            let (a, b) = (between(15_000, 250_000), between(15_000, 250_000));
            let (a, b) = (a.min(b * 95 / 10), b.min(a * 95 / 10));
            let grid = if a % 2 == 0 {
                Grid::NONE
            } else {
                Grid::of(Length::from_mm(1))
            };
            let asked = Asked::Inside(vec![Length::from_um(a), Length::from_um(b)]);
            let made = built(&asking(&KIND, asked, grid, between(100, 600)));
            let inside = fact_mm(&made, "inside");
            assert!(inside[0] >= a as f64 / 1000.0 - 1e-9 && inside[1] >= b as f64 / 1000.0 - 1e-9);
        }
    }
}

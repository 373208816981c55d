//! The layered card: a folded base, layers on its front that each show a rim of what is below, and perhaps a pocket.
//!
//! A rim is told by what shows on each side, so a layer is two reveals smaller than what it lies on: a layer that shows 1/8 in all round is
//! 1/4 in smaller both ways. The base's blank is twice the card, creased in the middle, as card makers cut it (4 1/4 x 5 1/2 in from
//! 5 1/2 x 8 1/2 in); the paper the bend takes up is left out of account.

use kurbo::Point;

use super::blank::{Drawn, Leaf, Net, Up};
use super::contour::{BOTTOM, Contour, LEFT, RIGHT, TOP};
use super::flat::{
    AJAR_DEG, FLAT_DEG, WEB_UM, covers, fitted, laid_on, part, sizes, standing, stuck,
};
use super::joint::{assembly, inside, member, outside};
use super::limits::{TAPER_TAN, refused_above, refused_calipers, refused_sizes};
use super::{Construction, Given, Kind, Parameter, ParameterKind, Refusal, Usual};
use crate::geometry::space::{Rigid, Vec3};
use crate::length::Length;
use crate::math::Angle;
use crate::project::{Axis, Edges, Fact, Fold, Joint, Surface};

/// The pieces that are layers.
const LAYERS: [&str; 4] = ["layer-1", "layer-2", "layer-3", "layer-4"];

/// What their sizes are called.
const LAYER_FACTS: [&str; 4] = ["first layer", "second layer", "third layer", "fourth layer"];

/// How much a glue flap is taken back at a corner it shares with another, along its crease for its depth: a little more than by 45 degrees.
const MITRE: f64 = 1.2;

/// The layered card.
pub(super) const KIND: Kind = Kind {
    name: "layered-card",
    title: "Layered card",
    about: "A folded card with layers on its front, each smaller by what shows of the one below, and a pocket if wished.",
    codes: "",
    dimensions: 2,
    sized_by: &["outside"],
    usual_ease: super::USUAL_EASE,
    parameters: &[
        Parameter {
            key: "fold",
            kind: ParameterKind::Choice(&["left", "top"]),
            usual: Usual::Word("left"),
            scales: false,
            about: "where the card is folded",
        },
        Parameter {
            key: "reveals",
            kind: ParameterKind::Lengths,
            usual: Usual::Follows("one layer that shows 3 mm or 1/8 in of the base"),
            scales: false,
            about: "for each layer, from the base up, what shows on each side of what is below it; at most four",
        },
        Parameter {
            key: "glue",
            kind: ParameterKind::Length,
            usual: Usual::Length {
                metric: "0.1 mm",
                inch: "0.1 mm",
            },
            scales: false,
            about: "thickness of the tape or glue below each layer; that of foam pads where they are used",
        },
        Parameter {
            key: "pocket",
            kind: ParameterKind::Choice(&["none", "inside", "front"]),
            usual: Usual::Word("none"),
            scales: false,
            about: "where a pocket is stuck: inside on the back leaf, or on the topmost layer",
        },
        Parameter {
            key: "pocket_height",
            kind: ParameterKind::Length,
            usual: Usual::Follows("half of what it is stuck on"),
            scales: true,
            about: "height of the pocket",
        },
        Parameter {
            key: "pocket_reveal",
            kind: ParameterKind::Length,
            usual: Usual::Length {
                metric: "6 mm",
                inch: "1/4 in",
            },
            scales: false,
            about: "what shows at both sides of the pocket and below it",
        },
        Parameter {
            key: "pocket_flap",
            kind: ParameterKind::Length,
            usual: Usual::Length {
                metric: "10 mm",
                inch: "3/8 in",
            },
            scales: false,
            about: "width of the pocket's three glue flaps",
        },
        Parameter {
            key: "thumb",
            kind: ParameterKind::Length,
            usual: Usual::Length {
                metric: "16 mm",
                inch: "5/8 in",
            },
            scales: false,
            about: "diameter of the half circle cut into the pocket's mouth; 0 is none",
        },
    ],
    pieces: &["base", "layer-1", "layer-2", "layer-3", "layer-4", "pocket"],
    build,
};

/// Where the pocket is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum PocketAt {
    Inside,
    Front,
}

/// A card solved on the hand grid.
struct Card {
    width: Length,
    height: Length,
    is_folded_at_top: bool,
    /// What shows of the piece below, for each layer.
    reveals: Vec<Length>,
    glue: Length,
    pocket: Option<Pocket>,
}

/// A pocket solved on the hand grid.
struct Pocket {
    at: PocketAt,
    width: Length,
    height: Length,
    reveal: Length,
    flap: Length,
    thumb: Length,
}

fn build(given: &Given<'_>) -> Result<Construction, Vec<Refusal>> {
    let asked = sizes(given);
    let card = Card::solve(given, &asked);
    let refusals = card.refusals(given);
    if !refusals.is_empty() {
        return Err(refusals);
    }
    let base = card.base().map_err(|refusal| vec![refusal])?;
    let pose = card.pose();
    let mut members = vec![member(0, &base, "front", pose)];
    let mut joints = vec![covers(0, "back", "front")];
    let mut layers = Vec::new();
    let front = base.bounds_mm("front");
    for (i, rim) in card.rims().into_iter().enumerate() {
        let layer = card.layer(i, rim).map_err(|refusal| vec![refusal])?;
        let at = Point::new(front.x0 + rim.to_mm(), front.y0 + rim.to_mm());
        members.push(member(i + 1, &layer, "front", laid_on(&pose, at)));
        joints.push(stuck(
            inside(i + 1, "front"),
            outside(i, "front"),
            layer.area("front"),
            Some(Edges::all(card.reveals[i])),
            card.glue,
        ));
        layers.push(layer.made);
    }
    if let Some(pocket) = &card.pocket {
        let drawn = pocket.draw(&card).map_err(|refusal| vec![refusal])?;
        let place = pocket.place(given, &card, &drawn, &base);
        let on = match pocket.at {
            PocketAt::Inside => inside(0, "back"),
            PocketAt::Front => outside(layers.len(), "front"),
        };
        let position = layers.len() + 1;
        members.push(member(position, &drawn, "pocket", pose.after(&place)));
        joints.extend(pocket.joints(&card, position, &drawn, &on));
        layers.push(drawn.made);
    }
    Ok(Construction {
        pieces: std::iter::once(base.made).chain(layers).collect(),
        assembly: assembly(&KIND, members, joints),
        facts: card.facts(given, &asked),
    })
}

impl Card {
    fn solve(given: &Given<'_>, asked: &[Length]) -> Self {
        let grid = given.grid;
        let (width, height) = (grid.nearest(asked[0]), grid.nearest(asked[1]));
        let usual = if given.is_inch {
            Length::from_inch_fraction(1, 8)
        } else {
            Length::from_mm(3)
        };
        let on_grid = |reveal: Length| {
            let nearest = grid.nearest(reveal);
            if reveal > Length::ZERO {
                nearest.max(grid.step())
            } else {
                nearest
            }
        };
        let reveals: Vec<Length> = match given.lengths("reveals") {
            Some(reveals) => reveals.iter().copied().map(on_grid).collect(),
            None => vec![on_grid(usual.min(part(width.min(height), 10)))],
        };
        let mut card = Self {
            width,
            height,
            is_folded_at_top: given.word("fold") == Some("top"),
            reveals,
            glue: given.length("glue").unwrap_or(Length::ZERO),
            pocket: None,
        };
        card.pocket = Pocket::solve(given, &card);
        card
    }

    /// How far each layer's edge lies within the card's.
    fn rims(&self) -> Vec<Length> {
        let mut rim = Length::ZERO;
        let add = |reveal: &Length| {
            rim = rim + *reveal;
            rim
        };
        self.reveals.iter().map(add).collect()
    }

    /// Width and height of what lies that far within the card's edge.
    fn within(&self, rim: Length) -> (Length, Length) {
        (self.width - rim * 2, self.height - rim * 2)
    }

    /// Width and height of what a pocket is stuck on.
    fn below_pocket(&self, at: PocketAt) -> (Length, Length) {
        match at {
            PocketAt::Inside => (self.width, self.height),
            PocketAt::Front => self.within(self.rims().last().copied().unwrap_or(Length::ZERO)),
        }
    }

    fn refusals(&self, given: &Given<'_>) -> Vec<Refusal> {
        let mut found = refused_sizes(given, &[("width", self.width), ("height", self.height)]);
        found.extend(refused_calipers(given));
        let show = |length: Length| given.show(length);
        if self.reveals.len() > LAYERS.len() {
            found.push(Refusal {
                key: "reveals",
                message: format!(
                    "{} layers, but a card has {} at most",
                    self.reveals.len(),
                    LAYERS.len()
                ),
                hint: format!("leave {} reveals", LAYERS.len()),
            });
        }
        let all: Length = self.reveals.iter().copied().sum();
        let least = Length::from_mm(5);
        let most = part(self.width.min(self.height) - least, 2);
        if all > most {
            found.push(Refusal {
                key: "reveals",
                message: format!(
                    "the reveals add up to {} on each side, but a topmost layer of {} leaves {}",
                    show(all),
                    show(least),
                    show(most)
                ),
                hint: format!("make them {} or less together", given.show_most(most)),
            });
        }
        if let (Some(pocket), true) = (&self.pocket, found.is_empty()) {
            found.extend(pocket.refusals(given, self.below_pocket(pocket.at)));
        }
        found
    }

    fn base(&self) -> Result<Drawn, Refusal> {
        let front = Contour::rectangle(self.width, self.height);
        let mut net = Net::new(Leaf::new("front", front).up(Up::Turned(0.0)));
        let (edge, length, depth, up) = if self.is_folded_at_top {
            (TOP, self.width, self.height, Up::In)
        } else {
            (LEFT, self.height, self.width, Up::AsParent)
        };
        let back = Leaf::new("back", Contour::flap(Length::ZERO, length, depth));
        net.hang("front", edge, back.folds(Fold::Mountain, AJAR_DEG).up(up));
        let mut drawn = net.draw("base", "Card base", "outside")?;
        drawn.made.grain = Some(self.grain());
        Ok(drawn)
    }

    /// With the fold; layers as the base, or the card warps.
    fn grain(&self) -> Axis {
        if self.is_folded_at_top {
            Axis::X
        } else {
            Axis::Y
        }
    }

    fn layer(&self, i: usize, rim: Length) -> Result<Drawn, Refusal> {
        let (width, height) = self.within(rim);
        let front = Leaf::new("front", Contour::rectangle(width, height));
        let net = Net::new(front.up(Up::Turned(0.0)));
        let mut drawn = net.draw(LAYERS[i], &format!("Layer {}", i + 1), "reveals")?;
        drawn.made.grain = Some(self.grain());
        Ok(drawn)
    }

    /// Upright on the table; one folded at the top stands on both leaves.
    fn pose(&self) -> Rigid {
        if !self.is_folded_at_top {
            return standing();
        }
        let lean = Angle::from_deg((AJAR_DEG - 180.0) / 2.0);
        Rigid::about(Vec3::zeros(), Vec3::x(), lean).after(&standing())
    }

    /// From the middle of the base's paper to that of a layer, outwards.
    fn layer_height(&self, given: &Given<'_>, layers: usize) -> Length {
        let mut below = given.caliper("base");
        let mut height = Length::ZERO;
        for name in &LAYERS[..layers] {
            let caliper = given.caliper(name);
            height = height + self.glue + part(below + caliper, 2);
            below = caliper;
        }
        height
    }

    /// Closed: two leaves, the layers, the pocket, and what is between.
    fn thickness(&self, given: &Given<'_>) -> Length {
        let layers = &LAYERS[..self.reveals.len()];
        let of_layers: Length = layers.iter().map(|l| given.caliper(l) + self.glue).sum();
        let pocket = self
            .pocket
            .as_ref()
            .map_or(Length::ZERO, |_| given.caliper("pocket") * 2 + self.glue);
        given.caliper("base") * 2 + of_layers + pocket
    }

    fn facts(&self, given: &Given<'_>, asked: &[Length]) -> Vec<Fact> {
        let fact = |what, got, asked| Fact { what, got, asked };
        let blank = if self.is_folded_at_top {
            vec![self.width, self.height * 2]
        } else {
            vec![self.width * 2, self.height]
        };
        let mut facts = vec![
            fact(
                "outside",
                vec![self.width, self.height],
                Some(asked.to_vec()),
            ),
            fact("blank of the base", blank, None),
        ];
        for (what, rim) in LAYER_FACTS.into_iter().zip(self.rims()) {
            let (width, height) = self.within(rim);
            facts.push(fact(what, vec![width, height], None));
        }
        if let Some(pocket) = &self.pocket {
            let t = given.caliper("pocket");
            let room = vec![pocket.width - t, pocket.height - part(t, 2)];
            facts.push(fact("room in the pocket", room, None));
        }
        facts.push(fact(
            "thickness when closed",
            vec![self.thickness(given)],
            None,
        ));
        facts
    }
}

impl Pocket {
    fn solve(given: &Given<'_>, card: &Card) -> Option<Self> {
        let at = match given.word("pocket") {
            Some("inside") => PocketAt::Inside,
            Some("front") => PocketAt::Front,
            Some(_) | None => return None,
        };
        let grid = given.grid;
        let (width, height) = card.below_pocket(at);
        let shorter = width.min(height);
        let reveal = grid.nearest(fitted(given, "pocket_reveal", part(shorter, 8)));
        let width = width - reveal * 2;
        let usual = grid.nearest(part(height, 2));
        let height = given
            .length_given("pocket_height")
            .map_or(usual, |h| grid.nearest(h));
        let most_flap = part(width, 3).min(part(height, 2));
        Some(Self {
            at,
            width,
            height,
            reveal,
            flap: fitted(given, "pocket_flap", most_flap),
            thumb: fitted(given, "thumb", part(width.min(height), 2)),
        })
    }

    fn refusals(&self, given: &Given<'_>, (_, on_height): (Length, Length)) -> Vec<Refusal> {
        let show = |length: Length| given.show(length);
        let least = Length::from_mm(5);
        if self.width < least || self.height < least {
            return vec![Refusal {
                key: "pocket",
                message: format!(
                    "the pocket comes to {} x {}, less than {}",
                    show(self.width),
                    show(self.height),
                    show(least)
                ),
                hint: "make pocket_reveal smaller or pocket_height larger, or leave the pocket out"
                    .into(),
            }];
        }
        let most_flap = part(self.width, 3).min(part(self.height, 2));
        let most_thumb = self.width.min(self.height) - Length::from_um(2 * WEB_UM);
        let found = [
            refused_above(
                given,
                "pocket_height",
                self.height,
                on_height - self.reveal,
                "what it is stuck on",
            ),
            refused_above(
                given,
                "pocket_flap",
                self.flap,
                most_flap,
                "the pocket's third across and half down",
            ),
            refused_above(given, "thumb", self.thumb, most_thumb, "the pocket"),
        ];
        found.into_iter().flatten().collect()
    }

    /// The pocket with a flap at both sides and below. Folded behind it they lie beside each other: at the corners they shared they slant
    /// by more than 45 degrees.
    fn draw(&self, card: &Card) -> Result<Drawn, Refusal> {
        let mouth = Contour::rectangle(self.width, self.height).notch(TOP, self.thumb);
        let mut net = Net::new(Leaf::new("pocket", mouth).up(Up::Turned(0.0)));
        let (w, h) = (self.width.to_mm(), self.height.to_mm());
        for (edge, name, long, at_start, at_end, up) in [
            (LEFT, "flap-left", h, MITRE, TAPER_TAN, Up::AsParent),
            (RIGHT, "flap-right", h, TAPER_TAN, MITRE, Up::AsParent),
            (BOTTOM, "flap-bottom", w, MITRE, MITRE, Up::Out),
        ] {
            let leaf = Leaf::new(name, self.flap(long, at_start, at_end));
            net.hang("pocket", edge, leaf.folds(Fold::Mountain, FLAT_DEG).up(up));
        }
        let mut drawn = net.draw("pocket", "Pocket", "pocket")?;
        drawn.made.grain = Some(card.grain());
        Ok(drawn)
    }

    fn flap(&self, long_mm: f64, at_start: f64, at_end: f64) -> Contour {
        let depth = self.flap.to_mm();
        Contour::begin((0.0, 0.0))
            .line((depth * at_start, depth))
            .line((long_mm - depth * at_end, depth))
            .line((long_mm, 0.0))
    }

    /// Pocket frame to the base's: its flaps, which lie a caliper behind it, come to lie on what they are stuck to.
    fn place(&self, given: &Given<'_>, card: &Card, drawn: &Drawn, base: &Drawn) -> Rigid {
        let own = drawn.bounds_mm("pocket");
        let t = given.caliper("pocket");
        let side_mm = self.reveal.to_mm();
        match self.at {
            PocketAt::Front => {
                let rim = card.rims().last().copied().unwrap_or(Length::ZERO);
                let below = card
                    .reveals
                    .len()
                    .checked_sub(1)
                    .map_or("base", |top| LAYERS[top]);
                let height = card.layer_height(given, card.reveals.len())
                    + part(given.caliper(below) + t, 2)
                    + card.glue
                    + t;
                let front = base.bounds_mm("front");
                let rim_mm = rim.to_mm() + side_mm;
                Rigid::shift(
                    front.x0 + rim_mm - own.x0,
                    front.y1 - rim_mm - own.y1,
                    -height.to_mm(),
                )
            }
            PocketAt::Inside => {
                let height = part(given.caliper("base") + t, 2) + card.glue + t;
                let back = base.bounds_mm("back");
                let (turned, x_mm, y_mm) = if card.is_folded_at_top {
                    (
                        Vec3::x(),
                        back.x0 + side_mm - own.x0,
                        back.y0 + side_mm + own.y1,
                    )
                } else {
                    (
                        Vec3::y(),
                        back.x1 - side_mm + own.x0,
                        back.y1 - side_mm - own.y1,
                    )
                };
                let over = Rigid::about(Vec3::zeros(), turned, Angle::from_deg(FLAT_DEG));
                let there = Rigid::shift(x_mm, y_mm, height.to_mm()).after(&over);
                folded_back(card, base).after(&there)
            }
        }
    }

    fn joints(&self, card: &Card, member: usize, drawn: &Drawn, on: &Surface) -> Vec<Joint> {
        let flaps = ["flap-left", "flap-right", "flap-bottom"];
        let stick = |flap: &str| {
            stuck(
                outside(member, flap),
                on.clone(),
                drawn.area(flap),
                Some(self.rims(card, flap)),
                card.glue,
            )
        };
        flaps.map(stick).into()
    }

    /// What shows round a flap of what the pocket is stuck on, as that is drawn. Flaps lie behind the pocket, so each ends at its creased edge.
    fn rims(&self, card: &Card, flap: &str) -> Edges<Length> {
        let (width, height) = card.below_pocket(self.at);
        let (beside, above) = (self.reveal, height - self.reveal - self.height);
        let across = width - self.reveal - self.flap;
        let below = self.reveal;
        let (left, right, top) = match flap {
            "flap-left" => (beside, across, above),
            "flap-right" => (across, beside, above),
            _ => (beside, beside, height - below - self.flap),
        };
        // The back leaf is seen from behind: over a fold at the left its sides change places, over one at the top its top and bottom.
        match (self.at, card.is_folded_at_top) {
            (PocketAt::Front, _) => edges(top, right, below, left),
            (PocketAt::Inside, false) => edges(top, left, below, right),
            (PocketAt::Inside, true) => edges(below, right, top, left),
        }
    }
}

fn edges(top: Length, right: Length, bottom: Length, left: Length) -> Edges<Length> {
    Edges {
        top,
        right,
        bottom,
        left,
    }
}

/// How the back leaf is folded, in the base's frame.
fn folded_back(card: &Card, base: &Drawn) -> Rigid {
    let back = base.bounds_mm("back");
    let axis = if card.is_folded_at_top {
        -Vec3::x()
    } else {
        Vec3::y()
    };
    Rigid::about(
        Vec3::new(back.x1, back.y1, 0.0),
        axis,
        Angle::from_deg(AJAR_DEG),
    )
}

#[cfg(test)]
mod tests {
    use rand_pcg::Pcg32;
    use rand_pcg::rand_core::{Rng, SeedableRng};

    use super::super::trial::{asking, assert_mm, built, fact_mm, with};
    use super::super::{Asked, Grid, Value};
    use super::*;
    use crate::length::MM_PER_INCH;

    fn outside_inch(width: f64, height: f64) -> Asked {
        let inch = |n: f64| Length::nearest_mm(n * MM_PER_INCH);
        Asked::Outside(vec![inch(width), inch(height)])
    }

    fn word(word: &str) -> Value {
        Value::Word(word.into())
    }

    fn reveals(sixteenths: &[i64]) -> Value {
        let reveal = |n: &i64| Length::from_inch_fraction(*n, 16);
        Value::Lengths(sixteenths.iter().map(reveal).collect())
    }

    #[test]
    fn blanks_of_the_base_are_those_of_the_check_values() {
        // `card_bases` of the trade facts: card, fold, blank and where it is creased, in inches; the last two in millimetres.
        for (card, fold, blank, crease, unit_mm) in [
            ([4.25, 5.5], "left", [8.5, 5.5], 4.25, MM_PER_INCH),
            ([4.25, 5.5], "top", [4.25, 11.0], 5.5, MM_PER_INCH),
            ([5.0, 7.0], "left", [10.0, 7.0], 5.0, MM_PER_INCH),
            ([105.0, 148.0], "left", [210.0, 148.0], 105.0, 1.0),
            ([99.0, 210.0], "left", [198.0, 210.0], 99.0, 1.0),
        ] {
            let asked = outside_inch(
                card[0] * unit_mm / MM_PER_INCH,
                card[1] * unit_mm / MM_PER_INCH,
            );
            let made = built(&with(
                asking(&KIND, asked, Grid::NONE, 300),
                "fold",
                word(fold),
            ));
            let base = &made.pieces[0];
            let size = base.outline.bounds();
            assert_mm(&[size.width(), size.height()], &blank.map(|b| b * unit_mm));
            let line = kurbo::Shape::bounding_box(&base.creases[0].path);
            let at = if fold == "top" { line.y0 } else { line.x0 };
            assert_mm(&[at], &[crease * unit_mm]);
        }
    }

    #[test]
    fn layers_are_those_of_the_mat_table() {
        // `mat_table` of the trade facts: card, reveal in sixteenths, mat, in inches.
        for (card, reveal, mat) in [
            ([4.25, 5.5], 1, [4.125, 5.375]),
            ([4.25, 5.5], 2, [4.0, 5.25]),
            ([5.0, 7.0], 1, [4.875, 6.875]),
            ([5.0, 7.0], 2, [4.75, 6.75]),
            ([4.5, 6.25], 1, [4.375, 6.125]),
            ([4.5, 6.25], 2, [4.25, 6.0]),
            ([4.0, 6.0], 1, [3.875, 5.875]),
            ([4.0, 6.0], 2, [3.75, 5.75]),
            ([6.0, 6.0], 1, [5.875, 5.875]),
            ([6.0, 6.0], 2, [5.75, 5.75]),
            ([3.0, 3.0], 1, [2.875, 2.875]),
        ] {
            let grid = Grid::of(Length::from_inch_fraction(1, 16));
            let given = asking(&KIND, outside_inch(card[0], card[1]), grid, 300);
            let made = built(&with(given, "reveals", reveals(&[reveal])));
            assert_mm(
                &fact_mm(&made, "first layer"),
                &mat.map(|m| m * MM_PER_INCH),
            );
            let size = made.pieces[1].outline.bounds();
            assert_mm(
                &[size.width(), size.height()],
                &mat.map(|m| m * MM_PER_INCH),
            );
        }
    }

    #[test]
    fn layers_add_up_in_size_and_in_thickness() {
        let given = asking(&KIND, outside_inch(4.25, 5.5), Grid::NONE, 300);
        let made = built(&with(given, "reveals", reveals(&[1, 1, 2])));
        // 1/16, 1/16 and 1/8 in make 1/4 in on each side: 3 3/4 x 5 in.
        assert_mm(
            &fact_mm(&made, "third layer"),
            &[3.75 * MM_PER_INCH, 5.0 * MM_PER_INCH],
        );
        // Two leaves and three layers of 0.3 mm, three tapes of 0.1 mm.
        assert_mm(
            &fact_mm(&made, "thickness when closed"),
            &[5.0 * 0.3 + 3.0 * 0.1],
        );
        // Three are stuck, and the back leaf covers the front one.
        assert_eq!(made.assembly.joints.len(), 4);
    }

    #[test]
    fn flaps_of_a_pocket_lie_on_the_back_leaf() {
        for fold in ["left", "top"] {
            let given = asking(&KIND, outside_inch(4.25, 5.5), Grid::NONE, 300);
            let given = with(with(given, "fold", word(fold)), "pocket", word("inside"));
            let made = built(&given);
            let (base, pocket) = (&made.pieces[0], &made.pieces[2]);
            let pose = made.assembly.members[0].pose.inverse();
            let to_base = pose.after(&made.assembly.members[2].pose);
            let card = Card::solve(&given, &sizes(&given));
            let open = folded_back(&card, &card.base().unwrap())
                .inverse()
                .after(&to_base);
            let back = base
                .panels
                .iter()
                .find(|p| p.name == "back")
                .unwrap()
                .bounds_mm;
            let own = pocket.panels[0].bounds_mm;
            // 6 mm of the back show at both sides and below; its bottom is the top edge of a blank folded at the top.
            let corner = |x, y| open.apply(Vec3::new(x, y, 0.0));
            let (a, b) = (corner(own.x0, own.y1), corner(own.x1, own.y1));
            let (left, right) = (a.x.min(b.x) - back.x0, back.x1 - a.x.max(b.x));
            let below = if fold == "top" {
                a.y - back.y0
            } else {
                back.y1 - a.y
            };
            assert_mm(&[left, right, below], &[6.0, 6.0, 6.0]);
            // Its middle is half a caliper of each, the glue and the flap above that of the leaf, on the inside.
            assert_mm(&[a.z, b.z], &[0.7, 0.7]);
        }
    }

    #[test]
    fn cards_that_cannot_be_are_refused_with_the_numbers() {
        let given = asking(&KIND, outside_inch(4.25, 5.5), Grid::NONE, 300);
        let many = with(given, "reveals", reveals(&[1, 1, 1, 1, 1]));
        assert!(
            (KIND.build)(&many).unwrap_err()[0]
                .message
                .contains("5 layers")
        );
        let given = asking(&KIND, outside_inch(4.25, 5.5), Grid::NONE, 300);
        let wide = with(given, "reveals", reveals(&[20, 20]));
        assert_eq!((KIND.build)(&wide).unwrap_err()[0].key, "reveals");
    }

    #[test]
    fn cards_of_all_sizes_are_sound() {
        let mut random = Pcg32::seed_from_u64(11);
        let mut between = |low: u32, high: u32| i64::from(low + random.next_u32() % (high - low));
        for i in 0..200_usize {
            let (a, b) = (between(15_000, 250_000), between(15_000, 250_000));
            let (a, b) = (a.min(b * 95 / 10), b.min(a * 95 / 10));
            let grid = if a % 2 == 0 {
                Grid::NONE
            } else {
                Grid::of(Length::from_mm(1))
            };
            let asked = Asked::Outside(vec![Length::from_um(a), Length::from_um(b)]);
            let given = asking(&KIND, asked, grid, between(100, 600));
            let given = with(given, "fold", word(["left", "top"][i % 2]));
            let made = built(&with(
                given,
                "pocket",
                word(["none", "inside", "front"][i % 3]),
            ));
            assert_eq!(made.assembly.members.len(), made.pieces.len());
        }
    }
}

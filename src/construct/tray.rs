//! The open tray: a cross of a bottom and four walls, with tabs glued inside the corners.
//!
//! A close kin of FEFCO 0300 and 0422 (from memory) and of group B in the ECMA code of 2009. Its net and its sums also serve lid, base and
//! drawer. Fibres are wished along the longest creases, as hand makers have it; the carton trade often runs them round the body.

use super::blank::{Drawn, Leaf, Net, Up};
use super::contour::{BOTTOM, Contour, FAR, FIRST, LAST, LEFT, RIGHT, TOP};
use super::joint::{TOLERANCE_UM, assembly, meets, member, stuck_inside};
use super::limits::{
    asked_key, refused_above, refused_calipers, refused_flap, refused_sizes, taper,
};
use super::{Construction, Given, Kind, Parameter, ParameterKind, Refusal, Usual};
use crate::geometry::space::Rigid;
use crate::length::Length;
use crate::project::{Axis, Fact, Joint};

/// The open tray.
pub(super) const TRAY: Kind = Kind {
    name: "tray",
    title: "Open tray",
    about: "a bottom and four walls, with tabs glued inside the corners",
    codes: "ECMA group B (2009); kin of FEFCO 0300 and 0422 (from memory)",
    dimensions: 3,
    sized_by: &["inside", "outside", "contents"],
    usual_ease: super::USUAL_EASE,
    parameters: &[TABS_ON, TAB, THUMB],
    pieces: &["tray"],
    build,
};

/// Where the corner tabs are stuck.
pub(super) const TABS_ON: Parameter = Parameter {
    key: "tabs_on",
    kind: ParameterKind::Choice(&["ends", "sides"]),
    usual: Usual::Word("ends"),
    scales: false,
    about: "the walls that the corner tabs are stuck to, inside: ends are left and right, sides are front and back",
};

/// How wide they are.
pub(super) const TAB: Parameter = Parameter {
    key: "tab",
    kind: ParameterKind::Length,
    usual: Usual::Follows("12 mm or 1/2 in, less where the wall is short"),
    scales: false,
    about: "width of a glue tab, from its crease",
};

/// Thumb cuts in the walls.
pub(super) const THUMB: Parameter = Parameter {
    key: "thumb",
    kind: ParameterKind::Length,
    usual: Usual::Follows("none"),
    scales: false,
    about: "diameter of the half circle cut into the rims of front and back for thumb and finger",
};

/// Paper that is left below a thumb cut and beside it, in millimetres.
const LEFT_OVER_MM: i64 = 2;

fn build(given: &Given<'_>) -> Result<Construction, Vec<Refusal>> {
    let t = given.caliper("tray");
    let tray = match given.outside() {
        Some(outside) => Tray::within(given, t, outside),
        None => Tray::around(
            given,
            t,
            &given.inside().expect("sizes are inside or outside"),
        ),
    };
    tray.refusals(given)?;
    let net = TrayNet::of(given, "tray", "Tray", tray, Stands::Open)?;
    let drawn = net.draw()?;
    let joints = net.joints(0, &drawn);
    let members = vec![member(0, &drawn, "bottom", standing(&drawn, "bottom"))];
    Ok(Construction {
        pieces: vec![drawn.made],
        assembly: assembly(&TRAY, members, joints),
        facts: vec![
            fact("inside", tray.inside(), given.inside()),
            fact("outside", tray.outside(), given.outside().map(Into::into)),
        ],
    })
}

/// Returns the half of a length, to the nanometre below.
pub(super) fn half(length: Length) -> Length {
    Length::from_nm(length.nm().div_euclid(2))
}

/// Returns a fact.
pub(super) fn fact(what: &'static str, got: Vec<Length>, asked: Option<Vec<Length>>) -> Fact {
    Fact { what, got, asked }
}

/// Returns the pose of a bottom that lies outside down on the table, its front left corner of creases at the origin.
pub(super) fn standing(drawn: &Drawn, bottom: &str) -> Rigid {
    let bounds = drawn.bounds_mm(bottom);
    Rigid::shift(-bounds.x0, -bounds.y0, 0.0)
}

/// The sizes of a tray on the grid.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tray {
    /// Thickness of its paper.
    pub(super) t: Length,
    /// From crease to crease, left to right.
    pub(super) length: Length,
    /// From crease to crease, front to back.
    pub(super) width: Length,
    /// From crease to rim.
    pub(super) wall: Length,
}

impl Tray {
    /// Returns the least tray on the grid that has this room inside.
    pub(super) fn around(given: &Given<'_>, t: Length, inside: &[Length]) -> Self {
        Self {
            t,
            length: given.grid.up(inside[0] + t),
            width: given.grid.up(inside[1] + t),
            wall: given.grid.up(inside[2] + half(t)),
        }
    }

    /// Returns the greatest tray on the grid that is no larger than this.
    pub(super) fn within(given: &Given<'_>, t: Length, outside: &[Length]) -> Self {
        Self {
            t,
            length: given.grid.down(outside[0] - t),
            width: given.grid.down(outside[1] - t),
            wall: given.grid.down(outside[2] - half(t)),
        }
    }

    /// Returns the free room: S - t between creases, e - t/2 from a crease to a rim.
    pub(super) fn inside(&self) -> Vec<Length> {
        let t = self.t;
        vec![self.length - t, self.width - t, self.wall - half(t)]
    }

    /// Returns the sizes over all: S + t, e + t/2.
    pub(super) fn outside(&self) -> Vec<Length> {
        let t = self.t;
        vec![self.length + t, self.width + t, self.wall + half(t)]
    }

    /// Refuses sizes and papers that are not built.
    pub(super) fn refusals(&self, given: &Given<'_>) -> Result<(), Vec<Refusal>> {
        let names = ["length", "width", "depth"].into_iter();
        let inside: Vec<(&str, Length)> = names.zip(self.inside()).collect();
        let mut refusals = refused_calipers(given);
        refusals.extend(refused_sizes(given, &inside));
        if refusals.is_empty() {
            Ok(())
        } else {
            Err(refusals)
        }
    }
}

/// Which way up it stands in the end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stands {
    /// Open at the top.
    Open,
    /// As a lid, open below.
    Over,
}

/// A tray to be drawn.
#[derive(Debug)]
pub(super) struct TrayNet<'a> {
    given: &'a Given<'a>,
    piece: &'static str,
    title: &'static str,
    tray: Tray,
    tab: Length,
    thumb: Option<Length>,
    /// Position of the first wall that carries tabs: 0 where they are stuck to the ends.
    carrier: usize,
    stands: Stands,
}

impl<'a> TrayNet<'a> {
    /// Returns the net of a tray with the tabs and thumb cuts that are asked for.
    ///
    /// # Errors
    ///
    /// Returns tabs and cuts there is no room for.
    pub(super) fn of(
        given: &'a Given<'a>,
        piece: &'static str,
        title: &'static str,
        tray: Tray,
        stands: Stands,
    ) -> Result<Self, Vec<Refusal>> {
        let is_on_ends = has_tabs_on_ends(given);
        let partner = if is_on_ends { tray.width } else { tray.length };
        // Two tabs share a wall, and each ends half a millimetre before the middle.
        let most_tab = half(partner - Length::from_mm(1));
        let tab = given
            .length("tab")
            .unwrap_or_else(|| usual_tab(given, partner, 4));
        let mut refusals: Vec<Refusal> =
            refused_above(given, "tab", tab, most_tab, "the wall it is stuck to")
                .into_iter()
                .chain(refused_flap(given, "tab", tab))
                .collect();
        let thumb = given.length("thumb").filter(|d| *d > Length::ZERO);
        if let Some(diameter) = thumb {
            let rest = Length::from_mm(LEFT_OVER_MM);
            let mut most = half(tray.length).min((tray.wall - rest) * 2);
            if !is_on_ends {
                most = most.min(tray.length - tab * 2 - rest);
            }
            refusals.extend(refused_above(
                given,
                "thumb",
                diameter,
                most.max(Length::ZERO),
                "the wall",
            ));
        }
        if !refusals.is_empty() {
            return Err(refusals);
        }
        Ok(Self {
            given,
            piece,
            title,
            tray,
            tab,
            thumb,
            carrier: usize::from(!is_on_ends),
            stands,
        })
    }

    /// Returns the names of the walls in clockwise order from the top of the net. A lid is turned over about its length when it is put
    /// on, so that its net has the back at the top.
    fn walls(&self) -> [&'static str; 4] {
        match self.stands {
            Stands::Open => ["front", "right", "back", "left"],
            Stands::Over => ["back", "right", "front", "left"],
        }
    }

    /// Returns the name of the panel between the walls.
    fn base(&self) -> &'static str {
        match self.stands {
            Stands::Open => "bottom",
            Stands::Over => "lid",
        }
    }

    /// Returns each tab's name, the wall that carries it, on which edge, and the wall it is stuck to.
    fn tabs(&self) -> Vec<(String, &'static str, usize, &'static str)> {
        let walls = self.walls();
        let carriers = [self.carrier, self.carrier + 2];
        let pairs = carriers.into_iter().flat_map(|k| {
            let (before, after) = (walls[(k + 3) % 4], walls[(k + 1) % 4]);
            [(walls[k], FIRST, before), (walls[k], LAST, after)]
        });
        let numbered = (1..).zip(pairs);
        numbered
            .map(|(i, (wall, edge, partner))| (format!("tab-{i}"), wall, edge, partner))
            .collect()
    }

    /// Draws it: bottom, walls, tabs.
    pub(super) fn draw(&self) -> Result<Drawn, Vec<Refusal>> {
        let Tray {
            length,
            width,
            wall,
            ..
        } = self.tray;
        let (base_up, wall_up) = match self.stands {
            Stands::Open => (Up::None, Up::Out),
            Stands::Over => (Up::Turned(0.0), Up::In),
        };
        let base = Contour::rectangle(length, width);
        let mut net = Net::new(Leaf::new(self.base(), base).up(base_up));
        let sides = [
            (TOP, length),
            (RIGHT, width),
            (BOTTOM, length),
            (LEFT, width),
        ];
        for ((edge, long), name) in sides.into_iter().zip(self.walls()) {
            let mut contour = Contour::flap(Length::ZERO, long, wall);
            if let (Some(diameter), true) = (self.thumb, edge == TOP || edge == BOTTOM) {
                contour = contour.notch(FAR, diameter);
            }
            net.hang(self.base(), edge, Leaf::new(name, contour).up(wall_up));
        }
        let taper = taper(self.given, self.tab, wall);
        for (name, carrier, edge, _) in self.tabs() {
            let contour = Contour::tapered(Length::ZERO, wall, self.tab, taper);
            net.hang(carrier, edge, Leaf::new(name, contour));
        }
        let drawn = net.draw(self.piece, self.title, asked_key(self.given));
        let mut drawn = drawn.map_err(|refusal| vec![refusal])?;
        drawn.made.grain = Some(if length >= width { Axis::X } else { Axis::Y });
        Ok(drawn)
    }

    /// Sticks the tabs to the walls beside, whose free ends meet the creases of the tabs.
    pub(super) fn joints(&self, member: usize, drawn: &Drawn) -> Vec<Joint> {
        let tabs = self.tabs();
        let stuck = tabs
            .iter()
            .map(|(tab, _, _, partner)| stuck_inside(member, drawn, tab, partner));
        let meet = tabs
            .iter()
            .map(|(_, carrier, _, partner)| meets(member, partner, carrier, Length::ZERO));
        stuck.chain(meet).collect()
    }
}

/// Whether the corner tabs are stuck to the left and the right wall.
pub(super) fn has_tabs_on_ends(given: &Given<'_>) -> bool {
    given.word("tabs_on") == Some("ends")
}

/// Returns the usual width of a tab: 12 mm or 1/2 in (trade practice), and at most `tenths` of what it is stuck to.
pub(super) fn usual_tab(given: &Given<'_>, partner: Length, tenths: i64) -> Length {
    let wide = if given.is_inch {
        Length::from_inch_fraction(1, 2)
    } else {
        Length::from_mm(12)
    };
    on_grid_below(given, wide.min(Length::from_nm(partner.nm() * tenths / 10)))
}

/// Returns the width of the last wall of a glued tube, whose edge lies over the tab at the first wall's crease: a paper narrower, so that
/// it does not stand out (trade practice). Where the grid is too coarse for that it ends on the crease, in the middle of the paper; a whole
/// step less would bare the tab.
pub(super) fn last_wall(given: &Given<'_>, wall: Length, t: Length) -> Length {
    let short = given.grid.down(wall - t);
    let bares = wall - short - t > Length::from_um(TOLERANCE_UM);
    if bares { wall } else { short }
}

/// Returns the length on the grid below, or itself where that is nothing.
pub(super) fn on_grid_below(given: &Given<'_>, length: Length) -> Length {
    let below = given.grid.down(length);
    if below > Length::ZERO { below } else { length }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{
        asking, assert_mm, blank_mm, built, fact_mm, grids, inside_um, sizes, with,
    };
    use super::super::{Asked, Grid, Value};
    use super::*;
    use crate::project::JointKind;

    #[test]
    fn the_worked_tray_has_its_blank_scores_and_outside() {
        // Check value "tray with inside corner tabs": score 20.15 from every edge, blank 100.6 x 80.6, outside 60.6 x 40.6 x 20.3.
        let made = built(&asking(
            &TRAY,
            inside_um(&[60_000, 40_000, 20_000]),
            Grid::NONE,
            300,
        ));
        let piece = &made.pieces[0];
        assert_mm(&blank_mm(piece), &[100.6, 80.6]);
        assert_mm(&fact_mm(&made, "inside"), &[60.0, 40.0, 20.0]);
        assert_mm(&fact_mm(&made, "outside"), &[60.6, 40.6, 20.3]);
        let bottom = piece.panels[0].bounds_mm;
        assert_mm(&[bottom.x0, bottom.y0], &[20.15, 20.15]);
        assert_mm(&[bottom.x1, bottom.y1], &[80.45, 60.45]);
        // Asked by its outside it is the same.
        let outside = [60_600, 40_600, 20_300].map(Length::from_um).to_vec();
        let again = built(&asking(&TRAY, Asked::Outside(outside), Grid::NONE, 300));
        assert_eq!(again.pieces, made.pieces);
    }

    #[test]
    fn tabs_taper_by_fifteen_degrees_and_end_inside_their_walls() {
        let made = built(&asking(
            &TRAY,
            inside_um(&[60_000, 40_000, 20_000]),
            Grid::NONE,
            300,
        ));
        let JointKind::Stuck {
            area: Some(area), ..
        } = &made.assembly.joints[0].kind
        else {
            panic!("the first joint is a glued tab");
        };
        // A trapezium: 12 wide, 20.15 long at the crease, shorter by 12 tan 15 = 3.2154 at both ends of the far edge.
        let area_mm2 = kurbo::Shape::area(area).abs();
        assert!(
            (area_mm2 - 12.0 * (20.15 - 3.2154)).abs() < 0.01,
            "{area_mm2}"
        );
        assert_eq!(made.assembly.joints[0].to.panel, "left");
    }

    #[test]
    fn on_a_hand_grid_the_room_inside_grows_to_the_next_step() {
        // 60.3, 40.3 and 20.15 mm are 37.98, 25.39 and 12.69 sixteenths: 38, 26 and 13.
        let sixteenth = Length::from_inch_fraction(1, 16);
        let given = asking(
            &TRAY,
            inside_um(&[60_000, 40_000, 20_000]),
            Grid::of(sixteenth),
            300,
        );
        let made = built(&given);
        let want = [
            38.0 * 1.5875 - 0.3,
            26.0 * 1.5875 - 0.3,
            13.0 * 1.5875 - 0.15,
        ];
        assert_mm(&fact_mm(&made, "inside"), &want);
        for piece in &made.pieces[0].panels[..5] {
            let b = piece.bounds_mm;
            for mm in [b.x0, b.y0, b.width(), b.height()] {
                let steps = mm / 1.5875;
                assert!((steps - steps.round()).abs() < 1e-6, "{piece:?}");
            }
        }
    }

    #[test]
    fn walls_read_towards_the_rim() {
        let made = built(&asking(
            &TRAY,
            inside_um(&[60_000, 40_000, 20_000]),
            Grid::NONE,
            300,
        ));
        let panels = made.pieces[0].panels[..5].iter();
        let ups: Vec<_> = panels
            .map(|p| (p.name.as_str(), p.up.map(crate::math::Angle::deg)))
            .collect();
        let want = [
            ("bottom", None),
            ("front", Some(0.0)),
            ("right", Some(90.0)),
            ("back", Some(180.0)),
            ("left", Some(270.0)),
        ];
        assert_eq!(ups, want);
    }

    #[test]
    fn every_tray_within_the_promised_sizes_is_sound() {
        for (sizes, caliper) in sizes(40) {
            for grid in grids() {
                for on in ["ends", "sides"] {
                    let given = asking(&TRAY, inside_um(&sizes), grid, caliper);
                    built(&with(given, "tabs_on", Value::Word(on.into())));
                }
            }
        }
    }

    #[test]
    fn what_has_no_room_is_refused_with_the_numbers() {
        let refused = |given: &Given<'_>| (given.kind.build)(given).unwrap_err()[0].clone();
        let box_of = |sizes: &[i64]| asking(&TRAY, inside_um(sizes), Grid::NONE, 300);
        let large = refused(&box_of(&[401_000, 60_000, 60_000]));
        assert_eq!(
            large.message,
            "the length comes to 401 mm inside, which must be 5 mm to 400 mm"
        );
        let flat = refused(&box_of(&[110_000, 60_000, 10_000]));
        assert_eq!(
            flat.message,
            "the length comes to 110 mm inside, more than 10 times the depth of 10 mm"
        );
        assert_eq!(flat.hint, "make the length 100 mm or less");
        // 40.3 mm of wall less a millimetre, for two tabs: 19.65 each.
        let tab = Value::Length(Length::from_mm(20));
        let tab = refused(&with(box_of(&[60_000, 40_000, 20_000]), "tab", tab));
        assert_eq!(tab.key, "tab");
        assert_eq!(
            tab.message,
            "tab is 20 mm, but the wall it is stuck to leaves 19.65 mm"
        );
        let thumb = Value::Length(Length::from_mm(37));
        let thumb = refused(&with(box_of(&[60_000, 40_000, 20_000]), "thumb", thumb));
        assert_eq!(thumb.key, "thumb");
        let thick = refused(&asking(
            &TRAY,
            inside_um(&[60_000, 40_000, 20_000]),
            Grid::NONE,
            3_100,
        ));
        assert!(thick.message.contains("3.1 mm thick"), "{}", thick.message);
    }
}

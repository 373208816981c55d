//! The drawer: a tray in a glued sleeve that is open at both ends.
//!
//! FEFCO family 05, slide boxes (0503 and 0504 from memory). Panels of the sleeve in order: tab, narrow, wide, narrow, wide; so the seam lies
//! under a wide face and rubs no side of the drawer. Its tab takes one more paper of the height, and the last face is cut a paper
//! narrower, so that its edge does not stand out (as wide as the other one on a coarse hand grid). The usual clearance of 0.6 mm (1/32 in) lies in the trade's 0.5 to 1 mm.

use super::blank::{Drawn, Leaf, Net, Up};
use super::contour::{BOTTOM, Contour, FAR, FIRST, RIGHT, TOP};
use super::joint::{assembly, inside, meets, member, outside, slides, stuck_inside};
use super::lidded_box::CLEARANCE;
use super::limits::{asked_key, refused_above, refused_flap, taper};
use super::tray::{
    Stands, TAB, TABS_ON, Tray, TrayNet, fact, half, last_wall, on_grid_below, standing, usual_tab,
};
use super::{Construction, Given, Kind, Parameter, ParameterKind, Refusal, Usual};
use crate::geometry::space::{Rigid, Vec3};
use crate::length::Length;
use crate::math::Angle;
use crate::project::Axis;

/// The drawer in its sleeve.
pub(super) const DRAWER: Kind = Kind {
    name: "drawer",
    title: "Drawer in a sleeve",
    about: "a tray that slides out of a sleeve open at both ends",
    codes: "FEFCO family 05; kin of 0503 and 0504 (from memory)",
    dimensions: 3,
    sized_by: &["inside", "outside", "contents"],
    usual_ease: super::USUAL_EASE,
    parameters: &[CLEARANCE, THUMB_CUT, TABS_ON, TAB, SEAM],
    pieces: &["drawer", "sleeve"],
    build,
};

const THUMB_CUT: Parameter = Parameter {
    key: "thumb_cut",
    kind: ParameterKind::Length,
    usual: Usual::Follows("16 mm or 5/8 in, less on a narrow face; 0 makes none"),
    scales: false,
    about: "diameter of the half circles in the sleeve's right end, top and bottom, for thumb and finger",
};

const SEAM: Parameter = Parameter {
    key: "seam",
    kind: ParameterKind::Length,
    usual: Usual::Follows("12 mm or 1/2 in, less under a narrow face"),
    scales: false,
    about: "width of the sleeve's glue tab, from its crease",
};

/// Paper between a thumb cut and the seam's tab, in micrometres.
const BESIDE_TAB_UM: i64 = 500;

/// Sizes of a sleeve, from crease to crease.
#[derive(Debug, Clone, Copy)]
struct Sleeve {
    t: Length,
    /// Open end to open end.
    length: Length,
    wide: Length,
    narrow: Length,
    /// The wide face whose edge is free.
    last: Length,
    seam: Length,
    thumb: Option<Length>,
}

fn build(given: &Given<'_>) -> Result<Construction, Vec<Refusal>> {
    let (t, t_sleeve) = (given.caliper("drawer"), given.caliper("sleeve"));
    let tray = match given.outside() {
        Some(size) => Tray::within(given, t, &room_in(given, t_sleeve, size)),
        None => Tray::around(
            given,
            t,
            &given.inside().expect("sizes are inside or outside"),
        ),
    };
    tray.refusals(given)?;
    let sleeve = Sleeve::over(given, &tray, t_sleeve)?;
    let net = TrayNet::of(given, "drawer", "Drawer", tray, Stands::Open)?;
    let (drawer, drawn) = (net.draw()?, sleeve.draw(given)?);
    let mut joints = net.joints(0, &drawer);
    joints.push(stuck_inside(1, &drawn, "tab", "bottom"));
    joints.push(meets(1, "bottom", "back", sleeve.wide - sleeve.last));
    let [y, z] = sleeve.clearance(&tray);
    joints.push(slides(
        outside(0, "bottom"),
        inside(1, "bottom"),
        Vec3::x(),
        sleeve.length,
        [None, Some(y), Some(z)],
    ));
    let members = vec![
        member(0, &drawer, "bottom", standing(&drawer, "bottom")),
        member(1, &drawn, "top", sleeve.pose(&drawn, &tray)),
    ];
    Ok(Construction {
        pieces: vec![drawer.made, drawn.made],
        assembly: assembly(&DRAWER, members, joints),
        facts: vec![
            fact("inside", tray.inside(), given.inside()),
            fact("outside", sleeve.outside(), given.outside().map(Into::into)),
            fact(
                "clearance of the drawer",
                vec![y, z],
                given.length("clearance").map(|c| vec![c, c]),
            ),
            fact("travel", vec![sleeve.length], None),
        ],
    })
}

/// Returns what the drawer may be outside in a sleeve of this size outside.
fn room_in(given: &Given<'_>, t: Length, outside: &[Length]) -> [Length; 3] {
    let c = clearance(given);
    let wide = given.grid.down(outside[1] - t);
    let narrow = given.grid.down(outside[2] - t);
    [
        given.grid.down(outside[0]),
        wide - t - c,
        narrow - t * 2 - c,
    ]
}

fn clearance(given: &Given<'_>) -> Length {
    given.length("clearance").expect("it has a usual value")
}

impl Sleeve {
    /// Returns the least sleeve on the grid in which this drawer has its clearance.
    fn over(given: &Given<'_>, drawer: &Tray, t: Length) -> Result<Self, Vec<Refusal>> {
        let (c, size) = (clearance(given), drawer.outside());
        let wide = given.grid.up(size[1] + c + t);
        let mut sleeve = Self {
            t,
            length: given.grid.up(size[0]),
            wide,
            narrow: given.grid.up(size[2] + c + t * 2),
            last: last_wall(given, wide, t),
            seam: given
                .length("seam")
                .unwrap_or_else(|| usual_tab(given, wide, 3)),
            thumb: None,
        };
        let most_thumb = sleeve.most_thumb();
        let thumb = given
            .length("thumb_cut")
            .unwrap_or_else(|| usual_thumb(given, most_thumb));
        sleeve.thumb = Some(thumb).filter(|d| *d > Length::ZERO);
        let most_seam = half(wide).min(sleeve.last - Length::from_mm(1));
        let refusals: Vec<Refusal> = [
            refused_above(
                given,
                "clearance",
                c,
                half(size[2].min(size[1])),
                "half the drawer",
            ),
            refused_above(given, "seam", sleeve.seam, most_seam, "the face over it"),
            refused_above(
                given,
                "thumb_cut",
                thumb,
                most_thumb,
                "the face beside the seam",
            ),
            refused_flap(given, "seam", sleeve.seam),
        ]
        .into_iter()
        .flatten()
        .collect();
        if refusals.is_empty() {
            Ok(sleeve)
        } else {
            Err(refusals)
        }
    }

    /// The largest thumb cut: clear of the seam's tab, and a third of the sleeve deep.
    fn most_thumb(&self) -> Length {
        let beside = (half(self.last) - self.seam - Length::from_um(BESIDE_TAB_UM)) * 2;
        let deep = Length::from_nm(self.length.nm() / 3 * 2);
        beside.min(deep).max(Length::ZERO)
    }

    /// Free room in all across and up: the sleeve's inside, less the seam's tab, less the drawer.
    fn clearance(&self, drawer: &Tray) -> [Length; 2] {
        let size = drawer.outside();
        [
            self.wide - self.t - size[1],
            self.narrow - self.t * 2 - size[2],
        ]
    }

    fn outside(&self) -> Vec<Length> {
        vec![self.length, self.wide + self.t, self.narrow + self.t]
    }

    /// Draws it with the top in the middle: tab, back, top, front, bottom, from above.
    fn draw(&self, given: &Given<'_>) -> Result<Drawn, Vec<Refusal>> {
        let whole = |depth: Length| Contour::flap(Length::ZERO, self.length, depth);
        let mut top = Contour::rectangle(self.length, self.wide);
        let mut bottom = whole(self.last);
        if let Some(diameter) = self.thumb {
            top = top.notch(RIGHT, diameter);
            bottom = bottom.notch(FIRST, diameter);
        }
        let taper = taper(given, self.seam, self.length);
        let tab = Contour::tapered(Length::ZERO, self.length, self.seam, taper);
        let mut net = Net::new(Leaf::new("top", top).up(Up::Turned(0.0)));
        net.hang("top", TOP, Leaf::new("back", whole(self.narrow)).up(Up::In));
        net.hang("back", FAR, Leaf::new("tab", tab));
        net.hang(
            "top",
            BOTTOM,
            Leaf::new("front", whole(self.narrow)).up(Up::In),
        );
        net.hang("front", FAR, Leaf::new("bottom", bottom));
        let drawn = net.draw("sleeve", "Sleeve", asked_key(given));
        let mut drawn = drawn.map_err(|refusal| vec![refusal])?;
        drawn.made.grain = Some(Axis::X);
        Ok(drawn)
    }

    /// The sleeve round the drawer, in the middle of its length and of its clearance.
    fn pose(&self, drawn: &Drawn, drawer: &Tray) -> Rigid {
        let top = drawn.bounds_mm("top");
        let aside = |outer: Length, inner: Length| (inner - outer).to_mm() / 2.0;
        let [_, z] = self.clearance(drawer);
        // From the middle of the drawer's bottom down to the middle of the sleeve's: half a paper, the clearance, the tab, half a paper.
        let below_mm = drawer.t.to_mm() / 2.0 + z.to_mm() / 2.0 + self.t.to_mm() * 1.5;
        let over = Rigid::about(Vec3::zeros(), Vec3::x(), Angle::from_deg(180.0));
        Rigid::shift(
            aside(self.length, drawer.length) - top.x0,
            aside(self.wide, drawer.width) + top.y1,
            self.narrow.to_mm() - below_mm,
        )
        .after(&over)
    }
}

/// Returns the usual thumb cut: 16 mm or 5/8 in (trade practice), or as large as there is room for.
fn usual_thumb(given: &Given<'_>, most: Length) -> Length {
    let wide = if given.is_inch {
        Length::from_inch_fraction(5, 8)
    } else {
        Length::from_mm(16)
    };
    on_grid_below(given, wide.min(most))
}

#[cfg(test)]
mod tests {
    use super::super::trial::{
        asking, assert_clearance_kept, assert_mm, blank_mm, built, fact_mm, inside_um, slide_mm,
        with,
    };
    use super::super::{Grid, Value};
    use super::*;
    use crate::length::Size;
    use crate::project::JointKind;

    fn worked<'k>() -> Given<'k> {
        asking(
            &DRAWER,
            inside_um(&[60_000, 40_000, 20_000]),
            Grid::NONE,
            300,
        )
    }

    #[test]
    fn the_worked_sleeve_has_its_panels_in_order() {
        // Check value "drawer and sleeve": 12, 21.5, 41.5, 21.5, 41.2; strip 137.7, length 60.6; drawer as the tray.
        let made = built(&worked());
        assert_mm(&blank_mm(&made.pieces[0]), &[100.6, 80.6]);
        assert_mm(&blank_mm(&made.pieces[1]), &[60.6, 137.7]);
        let mut panels: Vec<_> = made.pieces[1].panels.iter().collect();
        panels.sort_by(|a, b| a.bounds_mm.y0.total_cmp(&b.bounds_mm.y0));
        let heights: Vec<f64> = panels.iter().map(|p| p.bounds_mm.height()).collect();
        assert_mm(&heights, &[12.0, 21.5, 41.5, 21.5, 41.2]);
        let names: Vec<&str> = panels.iter().map(|p| p.name.as_str()).collect();
        assert_eq!(names, ["tab", "back", "top", "front", "bottom"]);
        assert_mm(&slide_mm(&made), &[60.6, 0.6, 0.6]);
    }

    #[test]
    fn the_last_face_is_a_paper_short_and_the_joint_says_so() {
        let made = built(&worked());
        let meet = made.assembly.joints.iter().rev().find_map(|j| {
            if let JointKind::Meet { gap, .. } = j.kind {
                Some(gap)
            } else {
                None
            }
        });
        assert_eq!(meet, Some(Length::from_um(300)));
    }

    #[test]
    fn on_a_coarse_grid_the_last_face_ends_on_the_crease_and_bares_no_tab() {
        let mut given = worked();
        given.grid = Grid::of(Length::from_inch_fraction(1, 16));
        let made = built(&given);
        let [top, bottom] = ["top", "bottom"].map(|name| {
            let panel = made.pieces[1].panels.iter().find(|p| p.name == name);
            panel.unwrap().bounds_mm.height()
        });
        // The drawer's creases are 26 sixteenths apart, 41.275 mm; with 0.3 + 0.6 + 0.3 more that is 26.76: 27.
        assert_mm(&[top, bottom], &[27.0 * 1.5875, 27.0 * 1.5875]);
    }

    #[test]
    fn two_thumb_cuts_of_sixteen_millimetres_stand_in_the_right_end() {
        // Without cuts the sleeve has 60.6 x (137.7 - 12) and the tab's trapezium, 12 (60.6 - 12 tan 15); two half circles of 16 make one.
        let made = built(&worked());
        let tab_mm2 = 12.0 * (60.6 - 3.215_390_3);
        let want_mm2 = 60.6 * 125.7 + tab_mm2 - std::f64::consts::PI * 64.0;
        let area_mm2 = made.pieces[1].outline.area_mm2();
        assert!((area_mm2 - want_mm2).abs() < 0.01, "{area_mm2} {want_mm2}");
        assert!(!made.pieces[1].outline.contains((59.0, 54.25).into()));
        assert!(made.pieces[1].outline.contains((1.0, 54.25).into()));
    }

    #[test]
    fn the_drawer_has_its_clearance_on_every_side_of_it() {
        let made = built(&worked());
        let sleeve = &made.assembly.members[1];
        let top = made.pieces[1].panels[0].bounds_mm;
        // Back crease of the top: the drawer's 40.3, half of 41.5 - 40.3 more; the top's middle: the drawer's 20.15 to its rim, 0.3 free,
        // half a paper. In the middle of the length the sleeve is 0.15 longer at each end.
        let corner = sleeve.pose.apply(Vec3::new(top.x0, top.y0, 0.0));
        assert_mm(corner.as_slice(), &[-0.15, 40.9, 20.6]);
    }

    #[test]
    fn papers_of_two_thicknesses_are_each_counted_where_they_lie() {
        // Drawer 0.5: outside 61 x 41 x 20.5. Sleeve 0.2: wide 41 + 0.6 + 0.2, narrow 20.5 + 0.6 + 0.4.
        let mut given = worked();
        given
            .calipers
            .insert("drawer", Size::new(Length::from_um(500)).unwrap());
        given
            .calipers
            .insert("sleeve", Size::new(Length::from_um(200)).unwrap());
        let made = built(&given);
        let top = made.pieces[1].panels[0].bounds_mm;
        assert_mm(&[top.width(), top.height()], &[61.0, 41.8]);
        assert_mm(&fact_mm(&made, "outside"), &[61.0, 42.0, 21.7]);
    }

    #[test]
    fn every_drawer_within_the_promised_sizes_is_sound_and_keeps_its_clearance() {
        assert_clearance_kept(&DRAWER, "clearance of the drawer");
    }

    #[test]
    fn a_thumb_cut_that_would_reach_the_seam_is_refused() {
        // Half of 41.2, less a tab of 12 and half a millimetre, on both sides of the middle: 16.2.
        let given = with(worked(), "thumb_cut", Value::Length(Length::from_mm(20)));
        let refusals = (given.kind.build)(&given).unwrap_err();
        assert_eq!(refusals[0].key, "thumb_cut");
        assert!(
            refusals[0].message.ends_with("leaves 16.2 mm"),
            "{refusals:?}"
        );
    }
}

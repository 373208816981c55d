//! The lidded box: a tray and a second, larger tray that is put over it as a lid.
//!
//! FEFCO family 03, telescope boxes. The lid's inside is larger than the base's outside by the clearance; tabs that are stuck inside the
//! lid take two papers of that room on their axis, so the lid's creases lie 4 t + c farther apart there and 2 t + c on the other axis,
//! where both papers are alike. The usual clearance of 0.6 mm (1/32 in) lies in what packaging makers give for rigid boxes, 0.4 to 1 mm.

use super::joint::{assembly, inside, member, outside, slides};
use super::limits::refused_above;
use super::tray::{
    Stands, TAB, TABS_ON, THUMB, Tray, TrayNet, fact, half, has_tabs_on_ends, standing,
};
use super::{Construction, Given, Kind, Parameter, ParameterKind, Refusal, Usual};
use crate::geometry::space::{Rigid, Vec3};
use crate::length::Length;
use crate::math::Angle;

/// The lidded box.
pub(super) const LIDDED_BOX: Kind = Kind {
    name: "lidded-box",
    title: "Box with lid",
    about: "a tray and a lid that lifts off it",
    codes: "FEFCO family 03",
    dimensions: 3,
    sized_by: &["inside", "outside", "contents"],
    usual_ease: super::USUAL_EASE,
    parameters: &[LID_DEPTH, CLEARANCE, TABS_ON, TAB, LID_THUMB],
    pieces: &["base", "lid"],
    build,
};

const LID_DEPTH: Parameter = Parameter {
    key: "lid_depth",
    kind: ParameterKind::Length,
    usual: Usual::Follows("half the depth of the base, 10 to 25 mm"),
    scales: true,
    about: "how deep the lid is inside, from its top",
};

/// Free room between what slides.
pub(super) const CLEARANCE: Parameter = Parameter {
    key: "clearance",
    kind: ParameterKind::Length,
    usual: Usual::Length {
        metric: "0.6 mm",
        inch: "1/32 in",
    },
    scales: false,
    about: "free room in all, both sides together, along each axis",
};

const LID_THUMB: Parameter = Parameter {
    about: "diameter of the half circle cut into the lid's front and back for thumb and finger",
    ..THUMB
};

/// Base and lid on the grid.
#[derive(Debug, Clone, Copy)]
struct Fitted {
    base: Tray,
    lid: Tray,
    /// Papers of tabs inside the lid along its length and width, both walls together.
    tabs: [Length; 2],
}

fn build(given: &Given<'_>) -> Result<Construction, Vec<Refusal>> {
    let fitted = fitted(given)?;
    let base_given = Given {
        values: without_thumb(given),
        ..given.clone()
    };
    let base = TrayNet::of(&base_given, "base", "Base", fitted.base, Stands::Open)?;
    let lid = TrayNet::of(given, "lid", "Lid", fitted.lid, Stands::Over)?;
    let (base_drawn, lid_drawn) = (base.draw()?, lid.draw()?);
    let mut joints = base.joints(0, &base_drawn);
    joints.extend(lid.joints(1, &lid_drawn));
    let [x, y] = fitted.clearance();
    joints.push(slides(
        inside(1, "lid"),
        outside(0, "bottom"),
        Vec3::z(),
        fitted.overlap(),
        [Some(x), Some(y), None],
    ));
    let members = vec![
        member(0, &base_drawn, "bottom", standing(&base_drawn, "bottom")),
        member(1, &lid_drawn, "lid", fitted.lid_pose(&lid_drawn)),
    ];
    Ok(Construction {
        pieces: vec![base_drawn.made, lid_drawn.made],
        assembly: assembly(&LIDDED_BOX, members, joints),
        facts: vec![
            fact("inside", fitted.base.inside(), given.inside()),
            fact("outside", fitted.outside(), given.outside().map(Into::into)),
            fact(
                "clearance of the lid",
                vec![x, y],
                given.length("clearance").map(|c| vec![c, c]),
            ),
            fact(
                "depth of the lid inside",
                vec![fitted.overlap()],
                given.length("lid_depth").map(|depth| vec![depth]),
            ),
        ],
    })
}

/// The base has no thumb cuts; what is asked for is the lid's.
fn without_thumb<'k>(given: &Given<'k>) -> std::collections::BTreeMap<&'static str, super::Value> {
    let mut values = given.values.clone();
    values.remove("thumb");
    values
}

fn fitted(given: &Given<'_>) -> Result<Fitted, Vec<Refusal>> {
    let (t_base, t_lid) = (given.caliper("base"), given.caliper("lid"));
    let c = given.length("clearance").expect("it has a usual value");
    let two = t_lid * 2;
    let tabs = if has_tabs_on_ends(given) {
        [two, Length::ZERO]
    } else {
        [Length::ZERO, two]
    };
    // From the creases of the base to those of the lid: half a paper of each at both ends, the lid's tabs, the clearance.
    let grows = tabs.map(|tabs| t_base + t_lid + tabs + c);
    let base = match given.outside() {
        Some(size) => {
            let creases = |i: usize| given.grid.down(given.grid.down(size[i] - t_lid) - grows[i]);
            Tray {
                t: t_base,
                length: creases(0),
                width: creases(1),
                wall: given.grid.down(size[2] - t_lid - half(t_base)),
            }
        }
        None => {
            let inside = given.inside().expect("sizes are inside or outside");
            Tray::around(given, t_base, &inside)
        }
    };
    base.refusals(given)?;
    if let Some(refusal) = refused_above(
        given,
        "clearance",
        c,
        half(base.width.min(base.length)),
        "half the base",
    ) {
        return Err(vec![refusal]);
    }
    let lid = Tray {
        t: t_lid,
        length: given.grid.up(base.length + grows[0]),
        width: given.grid.up(base.width + grows[1]),
        wall: lid_wall(given, &base, t_lid)?,
    };
    Ok(Fitted { base, lid, tabs })
}

/// Returns the height of the lid's walls from crease to rim; it never reaches below the base.
fn lid_wall(given: &Given<'_>, base: &Tray, t_lid: Length) -> Result<Length, Vec<Refusal>> {
    let most_inside = base.wall + half(base.t);
    let most = given.grid.down(most_inside + half(t_lid));
    let Some(asked) = given.length("lid_depth") else {
        let (low, high) = (Length::from_mm(10), Length::from_mm(25));
        let usual = half(base.wall).max(low).min(high);
        return Ok(given.grid.up(usual + half(t_lid)).min(most));
    };
    let least = Length::from_mm(3);
    if asked < least {
        return Err(vec![Refusal {
            key: "lid_depth",
            message: format!(
                "lid_depth is {}, and a lid must be {} deep at least",
                given.show(asked),
                given.show(least)
            ),
            hint: format!("make it {} or more", given.show_least(least)),
        }]);
    }
    match refused_above(given, "lid_depth", asked, most_inside, "the base") {
        Some(refusal) => Err(vec![refusal]),
        None => Ok(given.grid.up(asked + half(t_lid)).min(most)),
    }
}

impl Fitted {
    /// Free room in all between base and lid: the lid's inside, less its tabs, less the base's outside.
    fn clearance(&self) -> [Length; 2] {
        let (lid, base) = (self.lid.inside(), self.base.outside());
        [0, 1].map(|i| lid[i] - self.tabs[i] - base[i])
    }

    /// How far the lid goes down over the base, which is its depth inside.
    fn overlap(&self) -> Length {
        self.lid.wall - half(self.lid.t)
    }

    /// Over all, with the lid on.
    fn outside(&self) -> Vec<Length> {
        let lid = self.lid.outside();
        vec![lid[0], lid[1], self.base.outside()[2] + self.lid.t]
    }

    /// The lid upside down on the base's rim, in the middle of its clearance.
    fn lid_pose(&self, drawn: &super::blank::Drawn) -> Rigid {
        let top = drawn.bounds_mm("lid");
        let aside = |base: Length, lid: Length| (base - lid).to_mm() / 2.0;
        let x_mm = aside(self.base.length, self.lid.length) - top.x0;
        let y_mm = aside(self.base.width, self.lid.width) + top.y1;
        let z_mm = self.base.wall.to_mm() + self.lid.t.to_mm() / 2.0;
        let over = Rigid::about(Vec3::zeros(), Vec3::x(), Angle::from_deg(180.0));
        Rigid::shift(x_mm, y_mm, z_mm).after(&over)
    }
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

    fn worked<'k>() -> Given<'k> {
        let given = asking(
            &LIDDED_BOX,
            inside_um(&[60_000, 40_000, 20_000]),
            Grid::NONE,
            300,
        );
        with(given, "lid_depth", Value::Length(Length::from_mm(12)))
    }

    #[test]
    fn the_worked_lid_has_its_creases_and_its_blank() {
        // Check value "lift-off lid over that tray": S_lid 62.1 x 41.5, blank 86.4 x 65.8.
        let made = built(&worked());
        assert_mm(&blank_mm(&made.pieces[0]), &[100.6, 80.6]);
        assert_mm(&blank_mm(&made.pieces[1]), &[86.4, 65.8]);
        let top = made.pieces[1].panels[0].bounds_mm;
        assert_mm(&[top.width(), top.height()], &[62.1, 41.5]);
        assert_mm(&fact_mm(&made, "clearance of the lid"), &[0.6, 0.6]);
        assert_mm(&slide_mm(&made), &[12.0, 0.6, 0.6]);
        // Outside: the lid's creases and a paper; the base's 20.3 and the lid's paper.
        assert_mm(&fact_mm(&made, "outside"), &[62.4, 41.8, 20.6]);
    }

    #[test]
    fn the_fit_model_holds_on_both_axes() {
        // Check values "fit_model": S_base 76.2; t 0.25: 77.3 and 77.8; t 0.3: 77.4 and 78.0.
        for (t_um, plain_mm, tabs_mm) in [(250, 77.3, 77.8), (300, 77.4, 78.0)] {
            let inside = 76_200 - t_um;
            let sizes = inside_um(&[inside, inside, 40_000]);
            let made = built(&asking(&LIDDED_BOX, sizes, Grid::NONE, t_um));
            let top = made.pieces[1].panels[0].bounds_mm;
            assert_mm(&[top.width(), top.height()], &[tabs_mm, plain_mm]);
        }
    }

    #[test]
    fn papers_of_two_thicknesses_are_each_counted_where_they_lie() {
        // Base 0.2, lid 0.5: 60.2 + 0.2 + 0.5 + 2 x 0.5 + 0.6 = 62.5; 40.2 + 0.7 + 0.6 = 41.5.
        let mut given = worked();
        given
            .calipers
            .insert("base", Size::new(Length::from_um(200)).unwrap());
        given
            .calipers
            .insert("lid", Size::new(Length::from_um(500)).unwrap());
        let made = built(&given);
        let top = made.pieces[1].panels[0].bounds_mm;
        assert_mm(&[top.width(), top.height()], &[62.5, 41.5]);
    }

    #[test]
    fn the_lid_lies_in_the_middle_over_the_base() {
        let made = built(&worked());
        let lid = &made.assembly.members[1];
        let top = made.pieces[1].panels[0].bounds_mm;
        // The lid's back left corner of creases: 0.9 left of the base's, 40.3 + 0.6 back, on the rim of 20.15 and half a paper.
        let corner = lid.pose.apply(Vec3::new(top.x0, top.y0, 0.0));
        assert_mm(corner.as_slice(), &[-0.9, 40.9, 20.3]);
        let up = lid.pose.direct(Vec3::new(0.0, 0.0, -1.0));
        assert_mm(up.as_slice(), &[0.0, 0.0, 1.0]);
    }

    #[test]
    fn clearances_are_never_less_than_asked_and_at_most_two_steps_more() {
        assert_clearance_kept(&LIDDED_BOX, "clearance of the lid");
    }

    #[test]
    fn a_lid_deeper_than_its_base_is_refused() {
        let given = with(worked(), "lid_depth", Value::Length(Length::from_mm(21)));
        let refusals = (given.kind.build)(&given).unwrap_err();
        // The base is 20.3 high outside.
        assert_eq!(
            refusals[0].message,
            "lid_depth is 21 mm, but the base leaves 20.3 mm"
        );
    }
}

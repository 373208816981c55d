//! Whether an endless band runs: its loop fits the core, its strips and its seam turn no edge, and the slot has room for all layers.
//!
//! The loop is measured as [`Stretch`] says. Where a band is longer than the tightest loop, the rest is taken to lie in equal halves at
//! the two turning edges.

use super::Folded;
use super::body::{chain, glue_names, member_name};
use super::code;
use super::loop_track::Track;
use super::solids::Solids;
use super::words::show;
use crate::diagnostic::Diagnostic;
use crate::geometry::space::Vec3;
use crate::length::LengthStyle;
use crate::project::{Assembly, Joint, JointKind, Project, Rider, RunningBand, Stretch};

/// In how many poses from closed to open strips and seam are looked at.
const POSES: u32 = 20;

/// Returns every finding on the band of an assembly, if it has one.
pub(super) fn findings(project: &Project, assembly: &Assembly, folded: &Folded) -> Vec<Diagnostic> {
    look(assembly, folded, project.job.lengths)
}

/// Returns the same, with lengths shown in this style.
pub(super) fn look(assembly: &Assembly, folded: &Folded, style: LengthStyle) -> Vec<Diagnostic> {
    let (Some(band), Some(solids)) = (&assembly.band, Solids::new(assembly, folded)) else {
        return Vec::new();
    };
    let look = Look {
        solids: &solids,
        band,
        style,
    };
    let locked = look.locked();
    if !locked.is_empty() {
        return locked;
    }
    let Some(track) = Track::of(folded, band) else {
        let core = member_name(assembly, band.core);
        let message = format!(
            "the band \"{}\" runs past no edge of the core \"{core}\"",
            member_name(assembly, band.band)
        );
        return vec![
            look.finding(code::BAND_RUN, message)
                .hint("let it lie flat in front of the core and behind it"),
        ];
    };
    let mut found: Vec<Diagnostic> = look.fit(&track).into_iter().collect();
    found.extend(look.strips(&track));
    found.extend(look.turns(&track));
    found.extend(look.ways());
    found.extend(look.slot(&track));
    found
}

/// A band under the eye.
struct Look<'a> {
    solids: &'a Solids<'a>,
    band: &'a RunningBand,
    style: LengthStyle,
}

impl Look<'_> {
    fn finding(&self, code: &'static str, message: String) -> Diagnostic {
        Diagnostic::error(code, message).at(&self.solids.assembly.origin)
    }

    fn show(&self, mm: f64) -> String {
        show(mm, self.style)
    }

    fn tolerance_mm(&self) -> f64 {
        self.solids.assembly.tolerance.to_mm()
    }

    fn name(&self, member: usize) -> String {
        format!("\"{}\"", member_name(self.solids.assembly, member))
    }

    /// Glue that holds band, panels and core together where they move against each other.
    fn locked(&self) -> Vec<Diagnostic> {
        let (assembly, bodies) = (self.solids.assembly, &self.solids.bodies);
        let [front, back] = [0, 1].map(|i| self.band.riders[i].member);
        let pairs = [
            (front, self.band.core),
            (back, self.band.core),
            (front, back),
        ];
        let stuck = pairs.iter().filter(|(a, b)| bodies.are_one(*a, *b));
        let mut found: Vec<Diagnostic> = stuck
            .map(|(a, b)| self.locked_by(*a, *b, &chain(assembly, *a, *b)))
            .collect();
        let on_core = self
            .joints_of_band()
            .filter(|(_, other)| bodies.are_one(*other, self.band.core));
        found.extend(on_core.map(|(joint, other)| self.locked_by(self.band.band, other, &[joint])));
        found
    }

    fn locked_by(&self, a: usize, b: usize, glue: &[&Joint]) -> Diagnostic {
        let names = glue_names(self.solids.assembly, glue);
        let message = format!(
            "{} cannot move along {}: they are stuck together ({names})",
            self.name(a),
            self.name(b)
        );
        let finding = self
            .finding(code::LOCKED, message)
            .hint("take away the glue between what moves and what stays");
        glue.iter().fold(finding, |finding, joint| {
            finding.related(&joint.origin, "stuck here")
        })
    }

    /// Glue joints of the band with other members, each with that member.
    fn joints_of_band(&self) -> impl Iterator<Item = (&Joint, usize)> {
        let band = self.band.band;
        let stuck = self
            .solids
            .assembly
            .joints
            .iter()
            .filter(|joint| matches!(joint.kind, JointKind::Stuck { .. }));
        stuck.filter_map(
            move |joint| match (joint.from.member == band, joint.to.member == band) {
                (true, false) => Some((joint, joint.to.member)),
                (false, true) => Some((joint, joint.from.member)),
                (true, true) | (false, false) => None,
            },
        )
    }

    /// Length of the loop against what the core needs.
    fn fit(&self, track: &Track) -> Option<Diagnostic> {
        let (meant_mm, ease_mm) = (self.band.ease.to_mm(), track.loop_mm - track.tightest_mm());
        let off_mm = ease_mm - meant_mm;
        if off_mm.abs() <= self.tolerance_mm() {
            return None;
        }
        let message = format!(
            "the loop of {} is {} long, {} more than the tightest one round {}, where {} is meant",
            self.name(self.band.band),
            self.show(track.loop_mm),
            self.show(ease_mm),
            self.name(self.band.core),
            self.show(meant_mm)
        );
        let how = if off_mm < 0.0 { "longer" } else { "shorter" };
        let hint = format!(
            "cut {} {} {how}, or change its overlap by as much",
            self.name(self.band.band),
            self.show(off_mm.abs())
        );
        Some(self.finding(code::BAND_LOOP, message).hint(hint))
    }

    /// Whether each panel is taped to its run, where it was said.
    fn strips(&self, track: &Track) -> Vec<Diagnostic> {
        let is_front = self
            .band
            .riders
            .each_ref()
            .map(|rider| track.is_front(self.solids.folded, rider.member));
        let mut found = Vec::new();
        if is_front[0] == is_front[1] {
            let [a, b] = self
                .band
                .riders
                .each_ref()
                .map(|rider| self.name(rider.member));
            let message =
                format!("{a} and {b} lie on the same run of the band and would move the same way");
            found.push(
                self.finding(code::BAND_RUN, message)
                    .hint("put one of them behind the core"),
            );
        }
        for rider in &self.band.riders {
            found.extend(self.strip(rider, track));
        }
        let strangers = self
            .joints_of_band()
            .filter(|(_, other)| self.rider_of(*other).is_none());
        found.extend(strangers.map(|(joint, other)| {
            let message = format!(
                "{} is stuck to the band ({}) and is none of its two panels",
                self.name(other),
                glue_names(self.solids.assembly, &[joint])
            );
            self.finding(code::BAND_STRIP, message)
                .hint("stick it to a panel, not to the band")
        }));
        found
    }

    fn rider_of(&self, member: usize) -> Option<&Rider> {
        self.band
            .riders
            .iter()
            .find(|rider| self.solids.bodies.are_one(rider.member, member))
    }

    fn strip(&self, rider: &Rider, track: &Track) -> Vec<Diagnostic> {
        let own = |(_, other): &(&Joint, usize)| self.solids.bodies.are_one(rider.member, *other);
        let joints: Vec<(&Joint, usize)> = self.joints_of_band().filter(own).collect();
        if joints.is_empty() {
            let message = format!(
                "{} is not taped to the band, which cannot drive it",
                self.name(rider.member)
            );
            return vec![
                self.finding(code::BAND_STRIP, message)
                    .hint("tape it on by one strip across the band"),
            ];
        }
        joints
            .iter()
            .filter_map(|(joint, other)| self.strip_of(rider, joint, *other, track))
            .collect()
    }

    /// One strip of tape against what was declared.
    fn strip_of(
        &self,
        rider: &Rider,
        joint: &Joint,
        other: usize,
        track: &Track,
    ) -> Option<Diagnostic> {
        let found = track.strip(self.solids.folded, joint, other)?;
        let (from_mm, to_mm) = (rider.strip.from.to_mm(), rider.strip.to.to_mm());
        let off_mm = (found.0 - from_mm).abs().max((found.1 - to_mm).abs());
        if off_mm <= self.tolerance_mm() {
            return None;
        }
        let message = format!(
            "{} is stuck to the band from {} to {} along the loop, {} to {} is declared ({})",
            self.name(other),
            self.show(found.0),
            self.show(found.1),
            self.show(from_mm),
            self.show(to_mm),
            glue_names(self.solids.assembly, &[joint])
        );
        let hint = format!("move or trim the strip by {}", self.show(off_mm));
        Some(
            self.finding(code::BAND_STRIP, message)
                .at(&joint.origin)
                .hint(hint),
        )
    }

    /// Strips and seam over all poses.
    fn turns(&self, track: &Track) -> Vec<Diagnostic> {
        let strip = |rider: &Rider| {
            (
                format!("the strip of {}", self.name(rider.member)),
                rider.strip,
                rider.stop.to_mm(),
            )
        };
        let mut stretches: Vec<(String, Stretch, f64)> =
            self.band.riders.iter().map(strip).collect();
        stretches.push((
            format!("the seam of {}", self.name(self.band.band)),
            self.band.seam,
            0.0,
        ));
        stretches
            .iter()
            .filter_map(|(what, stretch, stop_mm)| self.turn(what, *stretch, *stop_mm, track))
            .collect()
    }

    fn turn(
        &self,
        what: &str,
        stretch: Stretch,
        stop_mm: f64,
        track: &Track,
    ) -> Option<Diagnostic> {
        let closed = (stretch.from.to_mm(), stretch.to.to_mm());
        let (first_mm, last_mm) = track.run_of(closed);
        let travel_mm = self.band.travel.to_mm();
        for pose in 0..POSES {
            let drawn_mm = travel_mm * f64::from(pose) / f64::from(POSES - 1);
            let short_mm = (first_mm + stop_mm - closed.0 - drawn_mm)
                .max(closed.1 + drawn_mm - last_mm + stop_mm);
            if short_mm > self.tolerance_mm() {
                return Some(self.turned(what, pose, drawn_mm, stop_mm, short_mm));
            }
        }
        None
    }

    fn turned(
        &self,
        what: &str,
        pose: u32,
        drawn_mm: f64,
        stop_mm: f64,
        short_mm: f64,
    ) -> Diagnostic {
        let at = format!(
            "{} drawn out, pose {} of {POSES}",
            self.show(drawn_mm),
            pose + 1
        );
        let message = if short_mm > stop_mm {
            format!(
                "{what} reaches {} round a turning edge of the core ({at})",
                self.show(short_mm - stop_mm)
            )
        } else {
            let left = self.show(stop_mm - short_mm);
            format!(
                "{what} comes as near as {left} to a turning edge of the core, {} is meant ({at})",
                self.show(stop_mm)
            )
        };
        let hint = if pose == 0 {
            format!(
                "move it {} along the band, or make it narrower by as much",
                self.show(short_mm)
            )
        } else {
            let missing = self.show(short_mm + self.band.travel.to_mm() - drawn_mm);
            format!(
                "make it {missing} narrower, the travel {missing} shorter or the core {missing} wider"
            )
        };
        self.finding(code::BAND_TURN, message).hint(hint)
    }

    /// Whether the panels slide as far as the band drives them, in opposite directions.
    fn ways(&self) -> Vec<Diagnostic> {
        let signs = [1.0, -1.0];
        let riders = self.band.riders.iter().zip(signs);
        riders
            .filter_map(|(rider, sign)| self.way(rider, sign))
            .collect()
    }

    fn way(&self, rider: &Rider, sign: f64) -> Option<Diagnostic> {
        let slide = self
            .solids
            .assembly
            .joints
            .iter()
            .find_map(|joint| match &joint.kind {
                JointKind::Slide {
                    along,
                    travel,
                    is_held,
                    ..
                } if self.solids.bodies.are_one(joint.from.member, rider.member) => {
                    Some((joint, along, travel.to_mm(), *is_held))
                }
                JointKind::Slide { .. }
                | JointKind::Stuck { .. }
                | JointKind::Flush { .. }
                | JointKind::Meet { .. }
                | JointKind::Tuck { .. }
                | JointKind::Hinge => None,
            });
        let name = self.name(rider.member);
        let Some((joint, along, travel_mm, is_held)) = slide else {
            let message = format!("nothing says how far {name} slides and what holds it");
            return Some(
                self.finding(code::BAND_TRAVEL, message)
                    .hint("add a joint by which it slides, held at the end"),
            );
        };
        let driven_mm = self.band.travel.to_mm();
        let message = if along.dot(&Vec3::x()) * sign < 0.99 {
            format!(
                "{name} slides the same way as the other panel, but its run of the band moves the opposite way"
            )
        } else if (travel_mm - driven_mm).abs() > self.tolerance_mm() {
            format!(
                "{name} slides {}, but the band drives it {}",
                self.show(travel_mm),
                self.show(driven_mm)
            )
        } else if !is_held {
            format!(
                "{name} is not held at the end, and the band would run on until its strip turns an edge"
            )
        } else {
            return None;
        };
        let hint = "give both panels the travel of the band, one to the right and one to the left, held at the end";
        Some(
            self.finding(code::BAND_TRAVEL, message)
                .at(&joint.origin)
                .hint(hint),
        )
    }

    /// Height of the slot against what was meant and against the layers in it.
    fn slot(&self, track: &Track) -> Vec<Diagnostic> {
        let Some(slot_mm) = self.slot_mm() else {
            let message = format!("nothing covers the panels of {}", self.name(self.band.band));
            return vec![
                self.finding(code::BAND_SLOT, message)
                    .hint("let the body of the core reach over both panels"),
            ];
        };
        let needed_mm = self.needed_mm(track);
        let meant_mm = self.band.slot.to_mm();
        let off_mm = slot_mm - meant_mm;
        let too_low_mm = (needed_mm - slot_mm).max(meant_mm - slot_mm);
        if too_low_mm <= self.tolerance_mm()
            && off_mm <= self.tolerance_mm()
            && needed_mm <= slot_mm
        {
            return Vec::new();
        }
        let message = format!(
            "the slot round {} is {} high, its layers need {}, {} is meant",
            self.name(self.band.core),
            self.show(slot_mm),
            self.show(needed_mm),
            self.show(meant_mm)
        );
        let hint = if off_mm > self.tolerance_mm() {
            format!("make it {} lower", self.show(off_mm))
        } else {
            format!(
                "make it {} higher: move the covers apart or add a layer between them",
                self.show(too_low_mm)
            )
        };
        vec![self.finding(code::BAND_SLOT, message).hint(hint)]
    }

    /// Free height between the covers over the panels, core and panels included.
    fn slot_mm(&self) -> Option<f64> {
        let z = Vec3::z();
        let [front, back] = self
            .band
            .riders
            .each_ref()
            .map(|rider| self.solids.bodies.with(rider.member));
        let still = self.solids.bodies.with(self.band.core);
        let front_mm =
            self.solids.reach_mm(&front, &z).1 + self.solids.room(&front, &still, &z).ahead?.0;
        let back_mm =
            self.solids.reach_mm(&back, &z).0 - self.solids.room(&back, &still, &z).behind?.0;
        Some(front_mm - back_mm)
    }

    /// Core, both panels with all their plies, two films and a third at the seam, tape under each panel and in the seam: the strips and
    /// the seam pass each other in the middle of the way.
    fn needed_mm(&self, track: &Track) -> f64 {
        let thickness = |rider: &Rider| {
            let (from_mm, to_mm) = self
                .solids
                .reach_mm(&self.solids.bodies.with(rider.member), &Vec3::z());
            to_mm - from_mm
        };
        let plies_mm: f64 = self.band.riders.iter().map(thickness).sum();
        track.core_mm + plies_mm + 3.0 * track.film_mm + 3.0 * self.band.tape.to_mm()
    }
}

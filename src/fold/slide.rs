//! Whether what slides does: it is not stuck, has the room that was meant, goes all its way, and is held at the end or not.
//!
//! All poses of a way are tried at once (see `prism`), so nothing slips through between two of them.

use super::Folded;
use super::body::{chain, glue_names, member_name, surface_name};
use super::code;
use super::solids::{Hit, Room, Solids};
use super::words::show;
use crate::diagnostic::Diagnostic;
use crate::geometry::space::Vec3;
use crate::length::{Length, LengthStyle};
use crate::project::{Assembly, Clearance, Joint, JointKind, Project, RunningBand};

/// How far beyond its travel what is not held must come, and a band may stop what is, in mm: what a maker sees at a glance.
const BEYOND_MM: f64 = 1.0;

/// A slide joint, taken apart.
struct Slide<'a> {
    joint: &'a Joint,
    along: Vec3,
    travel_mm: f64,
    is_held: bool,
    clearance: [Option<Clearance>; 3],
}

/// Returns every finding on the slide joints of an assembly.
pub(super) fn findings(project: &Project, assembly: &Assembly, folded: &Folded) -> Vec<Diagnostic> {
    look(assembly, folded, project.job.lengths)
}

/// Returns the same, with lengths shown in this style.
pub(super) fn look(assembly: &Assembly, folded: &Folded, style: LengthStyle) -> Vec<Diagnostic> {
    let Some(solids) = Solids::new(assembly, folded) else {
        return Vec::new();
    };
    let slides = assembly.joints.iter().filter_map(slide);
    slides
        .flat_map(|slide| {
            Look {
                solids: &solids,
                slide,
                style,
            }
            .all()
        })
        .collect()
}

fn slide(joint: &Joint) -> Option<Slide<'_>> {
    match &joint.kind {
        JointKind::Slide {
            along,
            travel,
            is_held,
            clearance,
        } => Some(Slide {
            joint,
            along: *along,
            travel_mm: travel.to_mm(),
            is_held: *is_held,
            clearance: *clearance,
        }),
        JointKind::Stuck { .. }
        | JointKind::Flush { .. }
        | JointKind::Meet { .. }
        | JointKind::Tuck { .. }
        | JointKind::Hinge => None,
    }
}

/// One slide under the eye.
struct Look<'a> {
    solids: &'a Solids<'a>,
    slide: Slide<'a>,
    style: LengthStyle,
}

impl Look<'_> {
    fn all(&self) -> Vec<Diagnostic> {
        let (from, to) = (self.slide.joint.from.member, self.slide.joint.to.member);
        if self.solids.bodies.are_one(from, to) {
            return vec![self.locked()];
        }
        let mut found: Vec<Diagnostic> = (0..3).filter_map(|axis| self.clearance(axis)).collect();
        found.extend(self.travel());
        found
    }

    fn finding(&self, code: &'static str, message: String) -> Diagnostic {
        Diagnostic::error(code, message).at(&self.slide.joint.origin)
    }

    fn show(&self, mm: f64) -> String {
        show(mm, self.style)
    }

    fn moving(&self) -> Vec<usize> {
        self.solids.bodies.with(self.slide.joint.from.member)
    }

    fn locked(&self) -> Diagnostic {
        let (from, to) = (&self.slide.joint.from, &self.slide.joint.to);
        let assembly = self.solids.assembly;
        let glue = chain(assembly, from.member, to.member);
        let message = format!(
            "{} cannot slide along {}: they are stuck together ({})",
            surface_name(assembly, from),
            surface_name(assembly, to),
            glue_names(assembly, &glue)
        );
        let finding = self
            .finding(code::LOCKED, message)
            .hint("take away the glue between what moves and what stays");
        glue.iter().fold(finding, |finding, joint| {
            finding.related(&joint.origin, "stuck here")
        })
    }

    fn clearance(&self, axis: usize) -> Option<Diagnostic> {
        let meant = self.slide.clearance[axis]?;
        let around = self.solids.bodies.with(self.slide.joint.to.member);
        let way = [Vec3::x(), Vec3::y(), Vec3::z()][axis];
        let room = self.solids.room(&self.moving(), &around, &way);
        let (Some((ahead_mm, ahead)), Some((behind_mm, behind))) = (&room.ahead, &room.behind)
        else {
            return Some(self.unguided(axis, &room));
        };
        let free_mm = ahead_mm + behind_mm;
        let tolerance_mm = self.solids.assembly.tolerance.to_mm();
        let short_mm = meant.least.to_mm() - free_mm;
        let spare_mm = free_mm - meant.most.to_mm();
        if short_mm <= tolerance_mm && spare_mm <= tolerance_mm {
            return None;
        }
        let message = format!(
            "{} is free by {} in all {} ({} before {}, {} before {}), {} is meant",
            surface_name(self.solids.assembly, &self.slide.joint.from),
            self.show(free_mm),
            AXES[axis],
            self.show(*behind_mm),
            behind.still,
            self.show(*ahead_mm),
            ahead.still,
            self.meant(meant)
        );
        let hint = if short_mm > 0.0 {
            self.narrower(short_mm, ahead, behind)
        } else {
            self.wider(spare_mm, ahead, behind)
        };
        Some(self.finding(code::CLEARANCE, message).hint(hint))
    }

    fn meant(&self, meant: Clearance) -> String {
        let show = |length: Length| self.show(length.to_mm());
        if meant.least == meant.most {
            show(meant.least)
        } else {
            format!("{} to {}", show(meant.least), show(meant.most))
        }
    }

    fn narrower(&self, mm: f64, ahead: &Hit, behind: &Hit) -> String {
        let (mm, edges) = (self.show(mm), edges(|hit| &hit.moving, ahead, behind));
        format!(
            "take {mm} off {edges}, or move {} apart by as much",
            edges_still(ahead, behind)
        )
    }

    fn wider(&self, mm: f64, ahead: &Hit, behind: &Hit) -> String {
        let (mm, edges) = (self.show(mm), edges(|hit| &hit.moving, ahead, behind));
        format!(
            "add {mm} to {edges}, or move {} together by as much",
            edges_still(ahead, behind)
        )
    }

    fn unguided(&self, axis: usize, room: &Room) -> Diagnostic {
        let side = match (&room.ahead, &room.behind) {
            (Some((_, hit)), None) | (None, Some((_, hit))) => {
                format!("only {} is beside it", hit.still)
            }
            (None, None) | (Some(_), Some(_)) => "nothing is beside it".into(),
        };
        let moving = surface_name(self.solids.assembly, &self.slide.joint.from);
        let message = format!("{moving} is not guided {}: {side}", AXES[axis]);
        let around = member_name(self.solids.assembly, self.slide.joint.to.member);
        self.finding(code::CLEARANCE, message)
            .hint(format!("let \"{around}\" reach round both sides of it"))
    }

    fn travel(&self) -> Option<Diagnostic> {
        let moving = self.moving();
        let hits = self
            .solids
            .hits(&moving, &self.solids.all_but(&moving), &self.slide.along);
        let tolerance_mm = self.solids.assembly.tolerance.to_mm();
        let ahead = hits
            .iter()
            .filter(|hit| hit.meeting.from_mm > -tolerance_mm && hit.meeting.to_mm > 0.0);
        let first = ahead.min_by(|a, b| a.meeting.from_mm.total_cmp(&b.meeting.from_mm));
        let end_mm = first.map_or(f64::INFINITY, |hit| hit.meeting.from_mm);
        let travel_mm = self.slide.travel_mm;
        match first {
            Some(hit) if end_mm < travel_mm - tolerance_mm => Some(self.stopped_short(hit)),
            Some(hit) if !self.slide.is_held && end_mm <= travel_mm + BEYOND_MM => {
                Some(self.stopped_at_end(hit))
            }
            Some(_) | None => {
                let goes_on = self.slide.is_held && end_mm > travel_mm + tolerance_mm;
                (goes_on && !self.band_stops_it()).then(|| self.not_held(first))
            }
        }
    }

    fn stopped_short(&self, hit: &Hit) -> Diagnostic {
        let at_mm = hit.meeting.from_mm.max(0.0);
        let travel_mm = self.slide.travel_mm;
        let message = format!(
            "{} runs into {} after {} of its {}",
            hit.moving,
            hit.still,
            self.show(at_mm),
            self.show(travel_mm)
        );
        let hint = format!("cut one of them back by {}", self.show(travel_mm - at_mm));
        self.finding(code::TRAVEL, message).hint(hint)
    }

    fn stopped_at_end(&self, hit: &Hit) -> Diagnostic {
        let message = format!(
            "{} is stopped by {} at the end, where it should come free",
            hit.moving, hit.still
        );
        self.finding(code::TRAVEL, message)
            .hint("cut one of them back, or say that it is held")
    }

    fn not_held(&self, first: Option<&Hit>) -> Diagnostic {
        let moving = surface_name(self.solids.assembly, &self.slide.joint.from);
        let beyond = match first {
            Some(hit) => format!(
                "only {} stops it, {} on",
                hit.still,
                self.show(hit.meeting.from_mm - self.slide.travel_mm)
            ),
            None => "nothing stops it".into(),
        };
        let message = format!(
            "{moving} is not held at the end of its {}: {beyond}",
            self.show(self.slide.travel_mm)
        );
        let hint = match first {
            Some(hit) => format!(
                "move {} towards {} by {}",
                hit.still,
                hit.moving,
                self.show(hit.meeting.from_mm - self.slide.travel_mm)
            ),
            None => "let a shoulder of it meet a stop, or say that it is not held".into(),
        };
        self.finding(code::TRAVEL, message).hint(hint)
    }

    /// Whether what moves is taped to a band, and its strip meets a turning edge just beyond the travel.
    fn band_stops_it(&self) -> bool {
        let stops = |band: &RunningBand| {
            let moving = self.moving();
            let riders = band
                .riders
                .iter()
                .filter(|rider| moving.contains(&rider.member));
            let stop_mm = riders
                .map(|rider| rider.stop.to_mm())
                .fold(f64::INFINITY, f64::min);
            stop_mm <= BEYOND_MM
        };
        self.solids.assembly.band.as_ref().is_some_and(stops)
    }
}

/// Axes of the object in words.
const AXES: [&str; 3] = [
    "from left to right",
    "from front to back",
    "from bottom to top",
];

fn edges<'a>(panel: impl Fn(&'a Hit) -> &'a String, ahead: &'a Hit, behind: &'a Hit) -> String {
    let (a, b) = (panel(behind), panel(ahead));
    if a == b {
        a.clone()
    } else {
        format!("{a} and {b} together")
    }
}

fn edges_still(ahead: &Hit, behind: &Hit) -> String {
    if ahead.still == behind.still {
        format!("the two edges of {}", ahead.still)
    } else {
        format!("{} and {}", behind.still, ahead.still)
    }
}

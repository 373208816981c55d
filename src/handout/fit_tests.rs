//! The fewest parts that prove a fit before all others are cut.

use super::bodies::is_inside;
use super::gluing::member;
use super::model::FitTest;
use crate::geometry::space::Vec3;
use crate::length::{Length, LengthStyle};
use crate::project::{Assembly, Clearance, JointKind, Project, RunningBand};

/// Returns a test for each assembly in which pieces slide along each other.
pub(super) fn fit_tests(project: &Project) -> Vec<FitTest> {
    let assemblies = project.assemblies.iter().enumerate();
    let tests = assemblies.filter_map(|(index, assembly)| {
        let fit = fits(project, assembly).into_iter().next()?;
        let (proves, members) = match &assembly.band {
            Some(band) => (
                band_words(project, assembly, band),
                vec![band.core, band.band, band.riders[0].member],
            ),
            None => (fit.proves(project.job.lengths), vec![fit.inner, fit.outer]),
        };
        Some(FitTest {
            assembly: index,
            proves,
            pieces: counted(assembly, &members),
            free: fit.free.iter().copied().filter(|f| *f > Length::ZERO).min(),
        })
    });
    tests.collect()
}

/// Pieces of some members, each with how many of it.
fn counted(assembly: &Assembly, members: &[usize]) -> Vec<(usize, u32)> {
    let mut pieces: Vec<(usize, u32)> = Vec::new();
    for member in members {
        let piece = assembly.members[*member].piece;
        match pieces.iter_mut().find(|(known, _)| *known == piece) {
            Some((_, count)) => *count += 1,
            None => pieces.push((piece, 1)),
        }
    }
    pieces
}

fn band_words(project: &Project, assembly: &Assembly, band: &RunningBand) -> String {
    let name = |m: usize| member(project, assembly, m);
    format!(
        "{} runs round {} and takes {} along, {} from end to end",
        name(band.band),
        name(band.core),
        name(band.riders[0].member),
        band.travel.display(project.job.lengths)
    )
}

/// Two members that slide along each other.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fit {
    inner: usize,
    outer: usize,
    inner_name: String,
    outer_name: String,
    is_lid: bool,
    is_held: bool,
    free: Vec<Length>,
}

/// Returns what slides in an assembly: pairs of members made of different pieces.
pub(super) fn fits(project: &Project, assembly: &Assembly) -> Vec<Fit> {
    let joints = assembly.joints.iter();
    let slides = joints.filter_map(|joint| match &joint.kind {
        JointKind::Slide {
            along,
            is_held,
            clearance,
            ..
        } => Some((
            joint.from.member,
            joint.to.member,
            *along,
            *is_held,
            *clearance,
        )),
        JointKind::Stuck { .. }
        | JointKind::Meet { .. }
        | JointKind::Tuck { .. }
        | JointKind::Flush { .. }
        | JointKind::Hinge => None,
    });
    let piece = |m: usize| assembly.members[m].piece;
    slides
        .filter(|(from, to, ..)| piece(*from) != piece(*to))
        .map(|(from, to, along, is_held, clearance)| {
            let goes_in = is_inside(project, assembly, from, to, along);
            let (inner, outer) = if goes_in { (from, to) } else { (to, from) };
            Fit {
                inner,
                outer,
                inner_name: member(project, assembly, inner),
                outer_name: member(project, assembly, outer),
                is_lid: !goes_in && is_upright(along),
                is_held,
                free: free(&clearance),
            }
        })
        .collect()
}

fn is_upright(along: Vec3) -> bool {
    along.z.abs() > 0.5
}

/// What is free in all, each figure once.
fn free(clearance: &[Option<Clearance>; 3]) -> Vec<Length> {
    let mut free: Vec<Length> = clearance.iter().flatten().map(|c| c.least).collect();
    free.dedup();
    free
}

impl Fit {
    /// What a maker does: `put Lid over Tray`.
    pub(super) fn put_together(&self) -> String {
        let (inner, outer) = (&self.inner_name, &self.outer_name);
        if self.is_lid {
            format!("put {outer} over {inner}")
        } else if self.is_held {
            format!("try that {inner} slides in {outer}")
        } else {
            format!("slide {inner} into {outer}")
        }
    }

    fn proves(&self, style: LengthStyle) -> String {
        let (inner, outer) = (&self.inner_name, &self.outer_name);
        let free: Vec<String> = self.free.iter().map(|free| free.display(style)).collect();
        let moves = if self.is_lid {
            format!("{outer} goes over {inner} and lifts off")
        } else if self.is_held {
            format!("{inner} slides in {outer} as far as it should")
        } else {
            format!("{inner} goes into {outer} and comes out again")
        };
        if free.is_empty() {
            moves
        } else {
            format!("{moves}, with {} of free room in all", free.join(" and "))
        }
    }
}

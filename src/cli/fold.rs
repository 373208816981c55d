//! `fold`: every object put together on screen: what is stuck, what moves, how it reads, and every finding.

use serde_json::{Value, json};

use super::check::{self, Opened};
use super::options::{FoldVerb, Format};
use super::report;
use super::{DONE, WRONG};
use crate::diagnostic::{Diagnostic, counted, sort_by_place};
use crate::files;
use crate::fold::reading::{Layer, PanelReading, readings};
use crate::fold::{self, Folded};
use crate::job;
use crate::length::Length;
use crate::project::{Assembly, Clearance, Face, Joint, JointKind, Project, Surface};

/// Runs the verb and returns the exit code.
pub(super) fn run(options: &FoldVerb, format: Format) -> u8 {
    match prove(options, format) {
        Ok(code) | Err(code) => code,
    }
}

fn prove(options: &FoldVerb, format: Format) -> Result<u8, u8> {
    let opened = check::open_unproved(&options.project, format)?;
    let project = &opened.project.value;
    let mut findings = fold::prove(project);
    sort_by_place(&mut findings);
    let written = match &options.out {
        Some(folder) => {
            let pictures = job::folded_pictures(project);
            let is_ours = |name: &str| name.starts_with("folded-");
            files::write_folder_of(folder, &pictures, is_ours)
                .map_err(|d| report::fail(d, format))?;
            pictures.into_keys().collect()
        }
        None => Vec::new(),
    };
    let objects: Vec<Object<'_>> = project
        .assemblies
        .iter()
        .map(|a| Object::of(project, a))
        .collect();
    match format {
        Format::Json => report::result(&report::pretty(&to_json(
            &objects, &findings, &written, &opened,
        ))),
        Format::Text => {
            let texts = objects.iter().map(|o| o.text(project));
            report::result(&texts.collect::<Vec<_>>().join("\n"));
            report::show(&findings, &opened.sources, format);
            report::result(&closing(&objects, &findings, &written));
        }
    }
    Ok(if findings.iter().any(Diagnostic::is_error) {
        WRONG
    } else {
        DONE
    })
}

/// An assembly as it was put together.
struct Object<'a> {
    assembly: &'a Assembly,
    folded: Option<Folded>,
    readings: Vec<PanelReading>,
}

impl<'a> Object<'a> {
    fn of(project: &Project, assembly: &'a Assembly) -> Self {
        let folded = fold::fold(project, assembly).ok();
        let readings = folded
            .as_ref()
            .map_or_else(Vec::new, |f| readings(project, assembly, f));
        Self {
            assembly,
            folded,
            readings,
        }
    }

    fn text(&self, project: &Project) -> String {
        let assembly = self.assembly;
        let mut lines = vec![self.title()];
        lines.extend(self.stuck());
        let joints = assembly.joints.iter();
        lines.extend(joints.filter_map(|j| sliding(project, assembly, j)));
        if let Some(band) = &assembly.band {
            lines.push(format!(
                "the band drives each panel {} out, one to each side",
                shown(project, band.travel)
            ));
        }
        lines.extend(self.readings.iter().map(reading));
        let lines: Vec<String> = lines
            .into_iter()
            .enumerate()
            .map(|(i, line)| if i == 0 { line } else { format!("  {line}") })
            .collect();
        lines.join("\n") + "\n"
    }

    fn title(&self) -> String {
        let assembly = self.assembly;
        let pieces = counted(assembly.members.len(), "piece");
        let panels = match &self.folded {
            None => "cannot be folded".to_owned(),
            Some(_) => counted(self.panels(), "panel"),
        };
        format!("{} ({}): {pieces}, {panels}", assembly.name, assembly.id)
    }

    /// How many panels there are; facets of a bent one count once.
    fn panels(&self) -> usize {
        let members = self.folded.iter().flat_map(|f| &f.members);
        members
            .map(|member| {
                let mut names: Vec<&str> = member.panels.iter().map(|p| p.name.as_str()).collect();
                names.sort_unstable();
                names.dedup();
                names.len()
            })
            .sum()
    }

    /// What is stuck to what, in one line.
    fn stuck(&self) -> Option<String> {
        let joints = self.assembly.joints.iter();
        let stuck = joints.filter(|j| matches!(j.kind, JointKind::Stuck { .. }));
        let pairs: Vec<String> = stuck
            .map(|j| {
                format!(
                    "{} to {}",
                    panel(self.assembly, &j.from),
                    panel(self.assembly, &j.to)
                )
            })
            .collect();
        (!pairs.is_empty()).then(|| format!("stuck: {}", pairs.join(", ")))
    }

    fn to_json(&self) -> Value {
        let assembly = self.assembly;
        let joints: Vec<Value> = assembly
            .joints
            .iter()
            .map(|j| joint_to_json(assembly, j))
            .collect();
        json!({
            "id": assembly.id,
            "name": assembly.name,
            "pieces": assembly.members.iter().map(|m| &m.name).collect::<Vec<_>>(),
            "panels": self.folded.as_ref().map(|_| self.panels()),
            "joints": joints,
            "band_travel_mm": assembly.band.as_ref().map(|b| b.travel.to_mm()),
            "readings": self.readings.iter().map(reading_to_json).collect::<Vec<_>>(),
        })
    }
}

/// A panel as people call it.
fn panel(assembly: &Assembly, surface: &Surface) -> String {
    let member = assembly.members.get(surface.member);
    let name = member.map_or("", |m| m.name.as_str());
    format!("{name}:{}", surface.panel)
}

/// What slides, how far, and what is free.
fn sliding(project: &Project, assembly: &Assembly, joint: &Joint) -> Option<String> {
    let JointKind::Slide {
        travel,
        is_held,
        clearance,
        ..
    } = &joint.kind
    else {
        return None;
    };
    let name = |surface: &Surface| {
        let member = assembly.members.get(surface.member);
        member.map_or(String::new(), |m| m.name.clone())
    };
    let end = if *is_held { ", held at the end" } else { "" };
    let free: Vec<String> = ["across", "deep", "high"]
        .into_iter()
        .zip(clearance)
        .filter_map(|(way, free)| free.map(|free| format!("{} {way}", room(project, free))))
        .collect();
    let free = if free.is_empty() {
        String::new()
    } else {
        format!("; free in all: {}", free.join(", "))
    };
    Some(format!(
        "{} slides {} along {}{end}{free}",
        name(&joint.from),
        shown(project, *travel),
        name(&joint.to)
    ))
}

fn room(project: &Project, free: Clearance) -> String {
    if free.least == free.most {
        shown(project, free.least)
    } else {
        format!(
            "{} to {}",
            shown(project, free.least),
            shown(project, free.most)
        )
    }
}

fn shown(project: &Project, length: Length) -> String {
    length.told(project.job.lengths)
}

fn reading(reading: &PanelReading) -> String {
    let mirrored = if reading.is_mirrored {
        ", mirrored, seen through the paper"
    } else {
        ""
    };
    format!(
        "{}, {}: {}{mirrored}",
        reading.id,
        layer(reading.what),
        reading.reads.words()
    )
}

fn layer(layer: Layer) -> String {
    match layer {
        Layer::Artwork(i) => format!("artwork {}", i + 1),
        Layer::Pattern => "pattern".to_owned(),
    }
}

fn reading_to_json(reading: &PanelReading) -> Value {
    json!({
        "panel": reading.id,
        "face": reading.face.name(),
        "what": layer(reading.what),
        "reads": reading.reads.words(),
        "mirrored": reading.is_mirrored,
    })
}

fn joint_to_json(assembly: &Assembly, joint: &Joint) -> Value {
    let surface = |surface: &Surface| {
        let face: Face = surface.face;
        json!({ "panel": panel(assembly, surface), "face": face.name() })
    };
    let (kind, slide) = match &joint.kind {
        JointKind::Stuck { .. } => ("stuck", None),
        JointKind::Flush { .. } => ("flush", None),
        JointKind::Meet { .. } => ("meet", None),
        JointKind::Tuck { .. } => ("tuck", None),
        JointKind::Hinge => ("hinge", None),
        JointKind::Slide {
            travel,
            is_held,
            clearance,
            ..
        } => {
            let free = clearance.map(|c| c.map(|c| [c.least.to_mm(), c.most.to_mm()]));
            let slide = json!({ "travel_mm": travel.to_mm(), "held": is_held, "free_mm": free });
            ("slide", Some(slide))
        }
    };
    json!({ "kind": kind, "from": surface(&joint.from), "to": surface(&joint.to), "slide": slide })
}

fn to_json(
    objects: &[Object<'_>],
    findings: &[Diagnostic],
    written: &[String],
    opened: &Opened,
) -> Value {
    json!({
        "assemblies": objects.iter().map(Object::to_json).collect::<Vec<_>>(),
        "files": written,
        "diagnostics": report::to_json(findings, &opened.sources),
    })
}

/// The last lines: what came of it.
fn closing(objects: &[Object<'_>], findings: &[Diagnostic], written: &[String]) -> String {
    if objects.is_empty() {
        return "nothing to fold: the project has no parts and no assemblies\n".to_owned();
    }
    let errors = findings.iter().filter(|d| d.is_error()).count();
    let warnings = findings.len() - errors;
    let verdict = match (errors, warnings) {
        (0, 0) => "everything folds up".to_owned(),
        (0, _) => format!("everything folds up; {}", counted(warnings, "warning")),
        (_, 0) => counted(errors, "mistake"),
        (_, _) => format!(
            "{}, {}",
            counted(errors, "mistake"),
            counted(warnings, "warning")
        ),
    };
    let files = if written.is_empty() {
        String::new()
    } else {
        format!("written: {}\n", written.join(", "))
    };
    format!("{verdict}\n{files}")
}

//! How far it is round a thing, for ribbon and film.
//!
//! Of a folded thing it is the girth as parcels are measured: twice width plus height of its outside, across its longest side. Of a flat
//! piece it is the length round its edge, once it is trimmed: twice width plus height. Both are rounded up to a step of the rule, so that the ends still meet.

use super::code;
use super::ids::Ids;
use super::mistakes::Mistakes;
use super::value::Value;
use crate::diagnostic::Origin;
use crate::fold;
use crate::geometry::space::{Rigid, Vec3};
use crate::length::{Length, LengthStyle, Size};
use crate::project::{Assembly, Member, OperationKind, Panel, Piece, Project};

/// What something goes round.
#[derive(Debug, Clone, Copy)]
pub(super) enum Target {
    Piece(usize),
    Assembly(usize),
}

impl Target {
    /// Reads the id of a piece, a part or an assembly.
    pub(super) fn read(value: &Value<'_>, pieces: &Ids, assemblies: &Ids) -> Option<Self> {
        let text = value.raw_text()?;
        if let Some(assembly) = assemblies.position(text) {
            return Some(Self::Assembly(assembly));
        }
        let both = assemblies.followed_by(pieces);
        let position = both.find(value)?;
        position.checked_sub(assemblies.len()).map(Self::Piece)
    }
}

/// Returns the girth of a folded thing, or the length of a flat piece's edge.
pub(super) fn girth(
    target: Target,
    project: &Project,
    origin: &Origin,
    mistakes: &Mistakes<'_>,
) -> Option<Length> {
    let round = match target {
        Target::Piece(piece) => round_piece(project, piece),
        Target::Assembly(assembly) => {
            let assembly = &project.assemblies[assembly];
            stated(project, assembly).map_or_else(|| folded(project, assembly), Ok)
        }
    };
    match round {
        Ok(length) => Some(up_to_step(length, project.job.lengths)),
        Err(why) => {
            let message = format!("how far it is round this is not known: {why}");
            let hint = "mend that, or write a length instead of round, like length = \"16 in\"";
            mistakes.fail(code::SUPPLY_ROUND, origin, message, hint)
        }
    }
}

fn round_piece(project: &Project, position: usize) -> Result<Length, String> {
    let piece = &project.pieces[position];
    if is_flat(piece) {
        let bounds = piece.outline.bounds();
        let oversize = piece.mount.as_ref().map_or(Length::ZERO, |m| m.oversize);
        let side = |side_mm| Length::nearest_mm(side_mm) - oversize * 2;
        return Ok((side(bounds.width()) + side(bounds.height())) * 2);
    }
    let own = alone(project, position)
        .ok_or_else(|| format!("\"{}\" has creases and no named panels", piece.id))?;
    folded(project, &own)
}

fn is_flat(piece: &Piece) -> bool {
    let is_crease = |kind| match kind {
        OperationKind::Crease { .. } => true,
        OperationKind::Cut
        | OperationKind::Perforation { .. }
        | OperationKind::PartialCut
        | OperationKind::Hole
        | OperationKind::Line => false,
    };
    !piece.operations.iter().any(|o| is_crease(o.kind))
}

/// The girth by the outside that a construction came to, which is exact.
fn stated(project: &Project, assembly: &Assembly) -> Option<Length> {
    let part = project.parts.iter().find(|part| part.id == assembly.id)?;
    let outside = part.facts.iter().find(|fact| fact.what == "outside")?;
    match outside.got.as_slice() {
        [a, b, c] => Some(across(*a, *b, *c)),
        _ => None,
    }
}

/// Twice the sum of the two shorter sides.
fn across(a: Length, b: Length, c: Length) -> Length {
    (a + b + c - a.max(b).max(c)) * 2
}

/// A piece by itself, on its largest panel.
fn alone(project: &Project, position: usize) -> Option<Assembly> {
    let piece = &project.pieces[position];
    let area = |panel: &&Panel| panel.bounds_mm.area();
    let root = piece
        .panels
        .iter()
        .max_by(|a, b| area(a).total_cmp(&area(b)))?;
    Some(Assembly {
        id: piece.id.clone(),
        name: piece.name.clone(),
        members: vec![Member {
            piece: position,
            name: piece.id.clone(),
            root: root.name.clone(),
            pose: Rigid::identity(),
            bends: Vec::new(),
        }],
        joints: Vec::new(),
        free_of_glue: Vec::new(),
        band: None,
        tolerance: Size::new(Length::from_mm(1))?,
        origin: piece.origin.clone(),
    })
}

/// The girth of the box round everything as it stands folded, as thick as it is.
fn folded(project: &Project, assembly: &Assembly) -> Result<Length, String> {
    let folded = fold::fold(project, assembly).map_err(|findings| {
        let first = findings.into_iter().next();
        first.map_or_else(String::new, |finding| finding.message)
    })?;
    let mut corners = Vec::new();
    for member in &folded.members {
        let half_mm = member.caliper_mm / 2.0;
        for panel in &member.panels {
            for point in panel.rings_mm.iter().flatten() {
                for z_mm in [-half_mm, half_mm] {
                    corners.push(panel.place.apply(Vec3::new(point.x, point.y, z_mm)));
                }
            }
        }
    }
    let extent = |axis: usize| {
        let along = corners.iter().map(|corner| corner[axis]);
        let (least, most) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), at| {
            (least.min(at), most.max(at))
        });
        Length::nearest_mm(most - least)
    };
    Ok(across(extent(0), extent(1), extent(2)))
}

/// The next step of the rule: 1/16 in or 0.5 mm. A micrometre over a step is that step.
fn up_to_step(length: Length, style: LengthStyle) -> Length {
    let step = match style {
        LengthStyle::InchFractions | LengthStyle::InchDecimals => Length::from_inch_fraction(1, 16),
        LengthStyle::Millimetres => Length::from_um(500),
    };
    let steps = (length.nm() - 1001).div_euclid(step.nm()) + 1;
    Length::from_nm(steps.max(1) * step.nm())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_round_things_are_rounded_up_to_the_rule() {
        let um = Length::from_um;
        let up = |length| up_to_step(length, LengthStyle::Millimetres);
        assert_eq!(up(um(121_800)), um(122_000));
        assert_eq!([up(um(121_500)), up(um(121_501))], [um(121_500); 2]);
        // 4 13/16 in is 122.2375 mm; 4.8 in lies below it and above 4 3/4.
        let inch = up_to_step(um(121_920), LengthStyle::InchFractions);
        assert_eq!(inch, Length::from_inch_fraction(77, 16));
    }

    #[test]
    fn the_girth_is_measured_across_the_longest_side() {
        // A box of 90 x 60 x 35 mm: 2 (60 + 35).
        let mm = Length::from_mm;
        assert_eq!(across(mm(90), mm(60), mm(35)), mm(190));
        assert_eq!(across(mm(35), mm(90), mm(60)), mm(190));
    }
}

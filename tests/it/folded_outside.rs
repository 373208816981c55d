//! Nets of constructions folded by other libraries: shapely parts them, scipy's `Rotation` folds them (`tests/outside/folded.py`).

use std::collections::BTreeSet;

use kurbo::{BezPath, PathSeg};
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::SeedableRng;
use serde_json::{Value, json};
use sheetwright::construct::KINDS;
use sheetwright::fold::{FoldedMember, fold};
use sheetwright::geometry::flattened;
use sheetwright::geometry::space::Vec3;
use sheetwright::length::{Length, Size};
use sheetwright::project::{Fold, Member, OperationKind, Piece, Project};

use crate::constructed::{project_of, random_given};

/// Cases of each construction.
const CASES: usize = 5;

/// Fewest constructions that must be among them.
const KINDS_AT_LEAST: usize = 5;

/// Returns nets with their folded corners, and how many constructions they come from.
pub(crate) fn nets() -> (Vec<Value>, usize) {
    let mut random = Pcg64Mcg::seed_from_u64(60_40_20);
    let mut nets = Vec::new();
    for kind in KINDS {
        let projects =
            (0..10 * CASES).filter_map(|_| project_of(&random_given(&mut random, kind)).ok());
        nets.extend(
            projects
                .take(CASES)
                .flat_map(|project| members(kind.name, &project)),
        );
    }
    let kinds: BTreeSet<&str> = nets.iter().filter_map(|net| net["kind"].as_str()).collect();
    let kinds = kinds.len();
    (nets, kinds)
}

pub(crate) fn are_enough(kinds: usize) -> bool {
    kinds >= KINDS_AT_LEAST
}

/// The creased members of a project in paper of a nanometre, so that nothing is lifted.
fn members(kind: &str, project: &Project) -> Vec<Value> {
    let mut thin = project.clone();
    for stock in &mut thin.stocks {
        stock.caliper = Size::new(Length::from_nm(1));
    }
    thin.assemblies[0].joints.clear();
    let Ok(folded) = fold(&thin, &thin.assemblies[0]) else {
        panic!("{kind} cannot be folded");
    };
    let members = thin.assemblies[0].members.iter().zip(&folded.members);
    let all = members
        .filter_map(|(member, folded)| net(kind, &thin.pieces[member.piece], member, folded));
    all.collect()
}

fn net(kind: &str, piece: &Piece, member: &Member, folded: &FoldedMember) -> Option<Value> {
    let creases = creases(piece)?;
    if creases.is_empty() || !member.bends.is_empty() {
        return None;
    }
    let root = piece.panels.iter().find(|p| p.name == member.root)?;
    let pose = member.pose;
    let turn: Vec<Vec<f64>> = (0..3)
        .map(|r| (0..3).map(|c| pose.turn[(r, c)]).collect())
        .collect();
    let slits = piece
        .operations
        .iter()
        .filter(|o| matches!(o.kind, OperationKind::Cut));
    Some(json!({
        "kind": kind,
        "name": format!("{kind} {}", member.name),
        "outline": piece.outline.flattened(0.005).iter().map(|ring| points(ring)).collect::<Vec<_>>(),
        "creases": creases,
        "slits": slits.flat_map(|o| flattened(&o.path, 0.005)).map(|line| points(&line)).collect::<Vec<_>>(),
        "root": [root.inside_mm.x, root.inside_mm.y],
        "pose": { "turn": turn, "shift": [pose.shift.x, pose.shift.y, pose.shift.z] },
        "panels": panels(piece, folded),
    }))
}

fn points(line: &[kurbo::Point]) -> Vec<[f64; 2]> {
    line.iter().map(|p| [p.x, p.y]).collect()
}

/// The creases as straight lines with their angles; `None` if one is curved.
fn creases(piece: &Piece) -> Option<Vec<Value>> {
    let mut found = Vec::new();
    for operation in &piece.operations {
        let OperationKind::Crease { fold } = operation.kind else {
            continue;
        };
        let deg = operation.folds_to.map_or(90.0, |angle| angle.deg());
        let deg = match fold {
            Fold::Mountain => deg,
            Fold::Valley => -deg,
        };
        for line in straight(&operation.path)? {
            found.push(
                json!({ "from": [line.p0.x, line.p0.y], "to": [line.p1.x, line.p1.y], "deg": deg }),
            );
        }
    }
    Some(found)
}

fn straight(path: &BezPath) -> Option<Vec<kurbo::Line>> {
    let line = |segment| match segment {
        PathSeg::Line(line) => Some(line),
        PathSeg::Quad(_) | PathSeg::Cubic(_) => None,
    };
    path.segments().map(line).collect()
}

fn panels(piece: &Piece, folded: &FoldedMember) -> Vec<Value> {
    let named = piece.panels.iter().filter_map(|panel| {
        let lies = folded.panels.iter().find(|p| p.name == panel.name)?;
        let corners = lies.rings_mm[0]
            .iter()
            .map(|p| lies.place.apply(Vec3::new(p.x, p.y, 0.0)));
        let corners: Vec<[f64; 3]> = corners.map(|v| [v.x, v.y, v.z]).collect();
        let inside = [panel.inside_mm.x, panel.inside_mm.y];
        Some(json!({ "inside": inside, "flat": points(&lies.rings_mm[0]), "folded": corners }))
    });
    named.collect()
}

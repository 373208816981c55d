//! One thing spoilt about a construction: a flap, a wall, a crease, a clearance, a fold or the glue.

use kurbo::{Affine, BezPath, Line, ParamCurveNearest, PathSeg, Point, Vec2};
use rand_pcg::Pcg64Mcg;
use sheetwright::fold::{FoldedPanel, fold};
use sheetwright::geometry::Outline;
use sheetwright::length::Length;
use sheetwright::project::{Face, Fold, Joint, JointKind, OperationKind, Project, Surface};

use crate::constructed::{between, one_of};

/// A project with one thing spoilt.
pub(crate) struct Mutant {
    pub(crate) project: Project,
    /// What was done.
    pub(crate) what: String,
    /// Names of which one must be told.
    pub(crate) names: Vec<String>,
}

/// Returns a project spoilt at random; `None` if what was chosen cannot be done to it.
pub(crate) fn mutant(random: &mut Pcg64Mcg, project: &Project) -> Option<Mutant> {
    match between(random, 0, 5) {
        0 => moved_edge(random, project, |joint| {
            matches!(
                joint.kind,
                JointKind::Stuck {
                    area: Some(_),
                    covers_flap: true,
                    ..
                } | JointKind::Tuck { .. }
            )
        }),
        1 => moved_edge(random, project, |joint| {
            matches!(joint.kind, JointKind::Meet { .. })
        }),
        2 => moved_crease(random, project),
        3 => stretched(random, project),
        4 => turned_fold(random, project),
        _ => glued_slide(random, project),
    }
}

fn name(project: &Project, surface: &Surface) -> String {
    format!(
        "\"{}:{}\"",
        project.assemblies[0].members[surface.member].name, surface.panel
    )
}

/// Half a millimetre to two, more or less.
fn by_mm(random: &mut Pcg64Mcg) -> f64 {
    let mm = f64::from(between(random, 50, 200)) / 100.0;
    if between(random, 0, 1) == 0 { mm } else { -mm }
}

fn chosen<'a>(
    random: &mut Pcg64Mcg,
    project: &'a Project,
    is_wanted: impl Fn(&Joint) -> bool,
) -> Option<&'a Joint> {
    let joints: Vec<&Joint> = project.assemblies[0]
        .joints
        .iter()
        .filter(|j| is_wanted(j))
        .collect();
    if joints.is_empty() {
        None
    } else {
        Some(*one_of(random, &joints))
    }
}

/// Moves the edge of a flap or wall opposite its crease.
fn moved_edge(
    random: &mut Pcg64Mcg,
    project: &Project,
    is_wanted: impl Fn(&Joint) -> bool,
) -> Option<Mutant> {
    let surface = &chosen(random, project, is_wanted)?.from;
    let folded = fold(project, &project.assemblies[0]).ok()?;
    let panel = folded.members[surface.member]
        .panels
        .iter()
        .find(|p| p.name == surface.panel)?;
    let piece = project.assemblies[0].members[surface.member].piece;
    let edge = far_edge(project, piece, panel)?;
    let by_mm = by_mm(random);
    let mut project = project.clone();
    project.pieces[piece].outline = with_edge_moved(
        &project.pieces[piece].outline,
        &panel.rings_mm[0],
        edge,
        by_mm,
    )?;
    let name = name(&project, surface);
    Some(Mutant {
        what: format!("the far edge of {name} moved out by {by_mm} mm"),
        names: vec![name],
        project,
    })
}

/// The longest straight edge of a panel that runs along one of its creases, and is no crease.
fn far_edge(project: &Project, piece: usize, panel: &FoldedPanel) -> Option<Line> {
    let ring = &panel.rings_mm[0];
    let sides: Vec<Line> = (0..ring.len())
        .map(|i| Line::new(ring[i], ring[(i + 1) % ring.len()]))
        .collect();
    let operations = project.pieces[piece].operations.iter();
    let creases: Vec<PathSeg> = operations
        .filter(|o| matches!(o.kind, OperationKind::Crease { .. }))
        .flat_map(|o| o.path.segments())
        .collect();
    let is_crease = |side: &Line| {
        creases
            .iter()
            .any(|c| distance(c, side.p0.midpoint(side.p1)) < 0.02)
    };
    let (hinges, free): (Vec<Line>, Vec<Line>) = sides.into_iter().partition(is_crease);
    let runs_along = |side: &Line| {
        hinges
            .iter()
            .any(|h| direction(*h).cross(direction(*side)).abs() < 0.02)
    };
    let length = |side: &Line| (side.p1 - side.p0).hypot2();
    free.into_iter()
        .filter(runs_along)
        .max_by(|a, b| length(a).total_cmp(&length(b)))
        .filter(|side| length(side) > 9.0)
}

fn direction(line: Line) -> Vec2 {
    let way = line.p1 - line.p0;
    way / way.hypot2().sqrt()
}

fn distance(segment: &PathSeg, point: Point) -> f64 {
    segment.nearest(point, 1e-6).distance_sq.sqrt()
}

/// Moves one straight edge of a panel outwards, between the lines of its neighbours, or cuts the panel off along a line before it.
fn with_edge_moved(outline: &Outline, panel: &[Point], edge: Line, by_mm: f64) -> Option<Outline> {
    let mut ring = outline.flattened(0.005).remove(0);
    if by_mm < 0.0 {
        let way = direction(edge);
        // Panels run round like outlines: clockwise as seen, with what is outside to the left.
        let out = Vec2::new(way.y, -way.x);
        let over = |p: Point| (p - edge.p0).dot(out) - by_mm;
        let is_own = |p: Point| panel.iter().any(|q| (*q - p).hypot2() < 4e-4);
        for p in ring.iter_mut().filter(|p| over(**p) > 0.0 && is_own(**p)) {
            *p -= out * over(*p);
        }
        ring.dedup();
        return outline_of(&ring, outline);
    }
    let n = ring.len();
    let middle = edge.p0.midpoint(edge.p1);
    let at = (0..n).find(|i| {
        let side = Line::new(ring[*i], ring[(*i + 1) % n]);
        distance(&PathSeg::Line(side), middle) < 0.001
            && direction(side).cross(direction(edge)).abs() < 0.001
    })?;
    let (a, b) = (ring[at], ring[(at + 1) % n]);
    let way = direction(Line::new(a, b));
    // Outlines run clockwise as seen with y down: out is to the left of the way.
    let out = Vec2::new(way.y, -way.x) * by_mm;
    let corner = |neighbour: Point, end: Point| {
        let along = end - neighbour;
        let across = along.cross(way);
        let is_steep = across.abs() > 0.35 * along.hypot2().sqrt();
        is_steep.then(|| end + along * (out.cross(way) / across))
    };
    let (from, to) = (
        corner(ring[(at + n - 1) % n], a),
        corner(ring[(at + 2) % n], b),
    );
    let mut path = BezPath::new();
    path.move_to(ring[(at + 2) % n]);
    for i in 3..n {
        path.line_to(ring[(at + i) % n]);
    }
    for (end, moved) in [(a, from), (b, to)] {
        let stepped = if end == a { [a, a + out] } else { [b + out, b] };
        match moved {
            Some(corner) => path.line_to(corner),
            // Nearly straight on: a step.
            None => stepped.into_iter().for_each(|p| path.line_to(p)),
        }
    }
    path.close_path();
    with_holes(path, outline)
}

fn outline_of(ring: &[Point], of: &Outline) -> Option<Outline> {
    let mut path = BezPath::new();
    path.move_to(ring[0]);
    for p in &ring[1..] {
        path.line_to(*p);
    }
    path.close_path();
    with_holes(path, of)
}

fn with_holes(mut path: BezPath, of: &Outline) -> Option<Outline> {
    for hole in of.holes() {
        path.extend(hole.iter());
    }
    Outline::new(&path, 0.001).ok()
}

/// Moves a straight crease sideways.
fn moved_crease(random: &mut Pcg64Mcg, project: &Project) -> Option<Mutant> {
    let member = between(
        random,
        0,
        u32::try_from(project.assemblies[0].members.len() - 1).unwrap(),
    ) as usize;
    let (piece, crease, line) = some_crease(random, project, member)?;
    let by_mm = by_mm(random);
    let way = direction(line);
    let mut project = project.clone();
    let operation = &mut project.pieces[piece].operations[crease];
    operation.path = Affine::translate(Vec2::new(way.y, -way.x) * by_mm) * &operation.path;
    let names = beside(&project, member, line)?;
    Some(Mutant {
        what: format!("the crease between {names:?} moved by {by_mm} mm"),
        names,
        project,
    })
}

/// A straight crease of a member's piece.
fn some_crease(
    random: &mut Pcg64Mcg,
    project: &Project,
    member: usize,
) -> Option<(usize, usize, Line)> {
    let piece = project.assemblies[0].members[member].piece;
    let operations = project.pieces[piece].operations.iter().enumerate();
    let straight: Vec<(usize, Line)> = operations
        .filter(|(_, o)| matches!(o.kind, OperationKind::Crease { .. }))
        .filter_map(
            |(i, o)| match o.path.segments().collect::<Vec<_>>().as_slice() {
                [PathSeg::Line(line)] => Some((i, *line)),
                _ => None,
            },
        )
        .collect();
    if straight.is_empty() {
        return None;
    }
    let (crease, line) = *one_of(random, &straight);
    Some((piece, crease, line))
}

/// Names of the panels on both sides of a line.
fn beside(project: &Project, member: usize, line: Line) -> Option<Vec<String>> {
    let piece = &project.pieces[project.assemblies[0].members[member].piece];
    let mut panels: Vec<(f64, String)> = piece
        .panels
        .iter()
        .map(|panel| {
            let b = panel.bounds_mm;
            let at = line.p0.midpoint(line.p1);
            let off = (b.x0 - at.x)
                .max(at.x - b.x1)
                .max(b.y0 - at.y)
                .max(at.y - b.y1)
                .max(0.0);
            (
                off,
                format!(
                    "\"{}:{}\"",
                    project.assemblies[0].members[member].name, panel.name
                ),
            )
        })
        .collect();
    panels.sort_by(|a, b| a.0.total_cmp(&b.0));
    Some(
        panels
            .into_iter()
            .take_while(|(off, _)| *off < 0.01)
            .map(|(_, name)| name)
            .collect(),
    )
    .filter(|names: &Vec<_>| !names.is_empty())
}

/// Stretches the piece of what slides, which spoils its clearance.
fn stretched(random: &mut Pcg64Mcg, project: &Project) -> Option<Mutant> {
    let joint = chosen(random, project, |j| {
        matches!(j.kind, JointKind::Slide { .. })
    })?
    .clone();
    let by_mm = f64::from(between(random, 50, 200)) / 100.0;
    let mut project = project.clone();
    let piece = project.assemblies[0].members[joint.from.member].piece;
    let panel = project.pieces[piece]
        .panels
        .iter()
        .find(|p| p.name == project.assemblies[0].members[joint.from.member].root)?;
    let JointKind::Slide { along, .. } = joint.kind else {
        return None;
    };
    // Across the way it slides, beside the middle, where no crease runs.
    let across = if along.x.abs() > 0.5 {
        Vec2::new(0.0, 1.0)
    } else {
        Vec2::new(1.0, 0.0)
    };
    let middle = across.dot(panel.inside_mm.to_vec2()) + 0.123;
    let map = |p: Point| {
        if across.dot(p.to_vec2()) > middle {
            p + across * by_mm
        } else {
            p
        }
    };
    let piece = &mut project.pieces[piece];
    piece.outline = Outline::new(&mapped(&piece.outline.path(), map), 0.001).ok()?;
    for operation in &mut piece.operations {
        operation.path = mapped(&operation.path, map);
    }
    for panel in &mut piece.panels {
        panel.inside_mm = map(panel.inside_mm);
    }
    let member = joint.from.member;
    for other in &mut project.assemblies[0].joints {
        if let (
            JointKind::Stuck {
                area: Some(area), ..
            },
            true,
        ) = (&mut other.kind, other.from.member == member)
        {
            *area = mapped(area, map);
        }
    }
    let names = vec![
        name(&project, &joint.from),
        name(&project, &joint.to),
        project.assemblies[0].members[member].name.clone(),
    ];
    Some(Mutant {
        what: format!("{} stretched by {by_mm} mm", names[0]),
        names,
        project,
    })
}

fn mapped(path: &BezPath, map: impl Fn(Point) -> Point) -> BezPath {
    use kurbo::PathEl;
    let mapped = path.elements().iter().map(|el| match *el {
        PathEl::MoveTo(p) => PathEl::MoveTo(map(p)),
        PathEl::LineTo(p) => PathEl::LineTo(map(p)),
        PathEl::QuadTo(a, p) => PathEl::QuadTo(map(a), map(p)),
        PathEl::CurveTo(a, b, p) => PathEl::CurveTo(map(a), map(b), map(p)),
        PathEl::ClosePath => PathEl::ClosePath,
    });
    mapped.collect()
}

/// Folds one crease the other way, so that what hangs on it is mirrored.
fn turned_fold(random: &mut Pcg64Mcg, project: &Project) -> Option<Mutant> {
    let member = between(
        random,
        0,
        u32::try_from(project.assemblies[0].members.len() - 1).unwrap(),
    ) as usize;
    let (piece, crease, line) = some_crease(random, project, member)?;
    let names = beside(project, member, line)?;
    let mut project = project.clone();
    if let OperationKind::Crease { fold } = &mut project.pieces[piece].operations[crease].kind {
        *fold = match fold {
            Fold::Mountain => Fold::Valley,
            Fold::Valley => Fold::Mountain,
        };
    }
    Some(Mutant {
        what: format!("the crease between {names:?} folded the other way"),
        names,
        project,
    })
}

/// Glues what should slide.
fn glued_slide(random: &mut Pcg64Mcg, project: &Project) -> Option<Mutant> {
    let joint = chosen(random, project, |j| {
        matches!(j.kind, JointKind::Slide { .. })
    })?
    .clone();
    let mut project = project.clone();
    let names = vec![name(&project, &joint.from), name(&project, &joint.to)];
    let kind = JointKind::Stuck {
        area: None,
        covers_flap: false,
        glue: Length::ZERO,
    };
    let face = |surface: &Surface| Surface {
        face: Face::Back,
        ..surface.clone()
    };
    project.assemblies[0].joints.push(Joint {
        kind,
        from: face(&joint.from),
        to: face(&joint.to),
        origin: joint.origin,
    });
    Some(Mutant {
        what: format!("{} glued to {}", names[0], names[1]),
        names,
        project,
    })
}

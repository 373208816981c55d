//! One thing spoilt about a construction: a flap, a wall, a crease, a clearance, a fold or the glue.

use kurbo::{Affine, BezPath, Line, ParamCurveNearest, PathSeg, Point, Vec2};
use rand_pcg::Pcg64Mcg;
use sheetwright::fold::{FoldedPanel, fold};
use sheetwright::geometry::Outline;
use sheetwright::geometry::areas::{ring_area_mm2, shared, without};
use sheetwright::geometry::space::Rigid;
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
    match between(random, 0, 6) {
        0 => moved_edge(random, project, &flaps(project)),
        1 => moved_edge(random, project, &walls(project)),
        2 => moved_crease(random, project),
        3 => stretched(random, project),
        4 => turned_fold(random, project),
        5 => shifted(random, project),
        _ => glued_slide(random, project),
    }
}

/// Edges of a panel that may be moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Which {
    /// The one across from its crease: what goes in, and what comes to another wall.
    Far,
    /// Any: all of the panel's outline is to lie somewhere.
    Any,
    /// One at its outermost: only how far it reaches shows beside what lies on it.
    Outermost,
}

/// Flaps that are glued all over or go in.
fn flaps(project: &Project) -> Vec<(Surface, Which)> {
    let joints = project.assemblies[0].joints.iter();
    let flap = |joint: &Joint| match &joint.kind {
        JointKind::Stuck {
            area: Some(_),
            covers_flap: true,
            ..
        } => Some((joint.from.clone(), Which::Any)),
        JointKind::Tuck { .. } => Some((joint.from.clone(), Which::Far)),
        JointKind::Stuck { .. }
        | JointKind::Flush { .. }
        | JointKind::Meet { .. }
        | JointKind::Hinge
        | JointKind::Slide { .. } => None,
    };
    joints.filter_map(flap).collect()
}

/// Walls and leaves: what meets something, covers something or has something stuck within its rims.
fn walls(project: &Project) -> Vec<(Surface, Which)> {
    let joints = project.assemblies[0].joints.iter();
    let walls = |joint: &Joint| match &joint.kind {
        JointKind::Meet { .. } => vec![(joint.from.clone(), Which::Far)],
        JointKind::Flush { area: None } => [&joint.from, &joint.to]
            .map(|s| (s.clone(), Which::Any))
            .to_vec(),
        JointKind::Flush { area: Some(_) } => vec![(joint.from.clone(), Which::Any)],
        JointKind::Stuck { rims: Some(_), .. } => vec![(joint.to.clone(), Which::Outermost)],
        JointKind::Stuck { rims: None, .. }
        | JointKind::Tuck { .. }
        | JointKind::Hinge
        | JointKind::Slide { .. } => Vec::new(),
    };
    joints.flat_map(walls).collect()
}

fn name(project: &Project, surface: &Surface) -> String {
    format!(
        "\"{}:{}\"",
        project.assemblies[0].members[surface.member].name, surface.panel
    )
}

/// Beyond everything that is folded here.
const FAR_MM: f64 = 5000.0;

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

/// Moves an edge of one of these panels.
fn moved_edge(
    random: &mut Pcg64Mcg,
    project: &Project,
    panels: &[(Surface, Which)],
) -> Option<Mutant> {
    if panels.is_empty() {
        return None;
    }
    let (surface, which) = one_of(random, panels);
    let folded = fold(project, &project.assemblies[0]).ok()?;
    let panels = folded.members[surface.member].panels.iter();
    let facets: Vec<&FoldedPanel> = panels.filter(|p| p.name == surface.panel).collect();
    let piece = project.assemblies[0].members[surface.member].piece;
    let edges = edges(project, piece, &facets, *which);
    if edges.is_empty() {
        return None;
    }
    let (facet, edge) = *one_of(random, &edges);
    let by_mm = by_mm(random);
    let mut project = project.clone();
    project.pieces[piece].outline = with_edge_moved(
        &project.pieces[piece].outline,
        &facets[facet].rings_mm[0],
        edge,
        by_mm,
    )?;
    let name = name(&project, surface);
    Some(Mutant {
        what: format!("the edge {edge:?} of {name} moved out by {by_mm} mm"),
        names: vec![name],
        project,
    })
}

/// The straight edges of a panel that may be moved, each with the flat part it belongs to. Edges shorter than 9 mm are left out: moved by
/// up to 2 mm they would go over their neighbours.
fn edges(
    project: &Project,
    piece: usize,
    facets: &[&FoldedPanel],
    which: Which,
) -> Vec<(usize, Line)> {
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
    let is_edge = |side: &Line| {
        let outline = project.pieces[piece].outline.flattened(0.005).remove(0);
        sides(&outline)
            .iter()
            .any(|s| distance(&PathSeg::Line(*s), side.p0.midpoint(side.p1)) < 0.001)
    };
    let of_facet = |(i, facet): (usize, &&FoldedPanel)| {
        let (hinges, free): (Vec<Line>, Vec<Line>) =
            sides(&facet.rings_mm[0]).into_iter().partition(is_crease);
        let free = free.into_iter().filter(|s| length(s) > 9.0 && is_edge(s));
        let fits = free.filter(|side| match which {
            Which::Any => true,
            Which::Far => hinges
                .iter()
                .any(|h| direction(*h).cross(direction(*side)).abs() < 0.02),
            Which::Outermost => is_outermost(facets, side),
        });
        let mut fits: Vec<(usize, Line)> = fits.map(|side| (i, side)).collect();
        if which == Which::Far {
            fits.sort_by(|a, b| length(&b.1).total_cmp(&length(&a.1)));
            fits.truncate(1);
        }
        fits
    };
    facets.iter().enumerate().flat_map(of_facet).collect()
}

/// Whether an edge is upright or level and nothing of the panel lies beyond it.
fn is_outermost(facets: &[&FoldedPanel], side: &Line) -> bool {
    let way = direction(*side);
    let out = Vec2::new(way.y, -way.x);
    let corners = facets.iter().flat_map(|f| &f.rings_mm[0]);
    let is_square = way.x.abs() < 1e-6 || way.y.abs() < 1e-6;
    is_square && corners.into_iter().all(|p| (*p - side.p0).dot(out) < 0.001)
}

fn sides(ring: &[Point]) -> Vec<Line> {
    (0..ring.len())
        .map(|i| Line::new(ring[i], ring[(i + 1) % ring.len()]))
        .collect()
}

fn length(side: &Line) -> f64 {
    (side.p1 - side.p0).hypot2().sqrt()
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
    if by_mm < 0.0 {
        return cut_off(outline, panel, edge, -by_mm);
    }
    let mut ring = outline.flattened(0.005).remove(0);
    for end in [edge.p0, edge.p1] {
        split(&mut ring, end);
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

/// Cuts a strip off a panel along one of its edges; what hangs beside it stays.
fn cut_off(outline: &Outline, panel: &[Point], edge: Line, by_mm: f64) -> Option<Outline> {
    let way = direction(edge);
    // Panels run round like outlines: clockwise as seen, with what is outside to the left.
    let out = Vec2::new(way.y, -way.x);
    let (p0, p1) = (edge.p0 - way * FAR_MM, edge.p1 + way * FAR_MM);
    let beyond = vec![
        p0 - out * by_mm,
        p0 + out * FAR_MM,
        p1 + out * FAR_MM,
        p1 - out * by_mm,
    ];
    let strip = shared(&[panel.to_vec()], &[beyond]).concat();
    let parts = without(&outline.flattened(0.005)[..1], &strip);
    let largest = parts.iter().max_by(|a, b| {
        let area = |rings: &Vec<Vec<Point>>| ring_area_mm2(&rings[0]);
        area(a).total_cmp(&area(b))
    })?;
    outline_of(&largest[0], outline)
}

/// Makes a point on a side a corner: the side may go on beyond the panel.
fn split(ring: &mut Vec<Point>, at: Point) {
    let is_corner = ring.iter().any(|p| (*p - at).hypot2() < 4e-4);
    let side = sides(ring)
        .iter()
        .position(|side| distance(&PathSeg::Line(*side), at) < 0.001);
    if let (false, Some(side)) = (is_corner, side) {
        ring.insert(side + 1, at);
    }
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

/// Names of the panels on both sides of a crease.
fn beside(project: &Project, member: usize, line: Line) -> Option<Vec<String>> {
    let assembly = &project.assemblies[0];
    let middle = line.p0.midpoint(line.p1);
    let is_at = |panel: &&FoldedPanel| {
        let sides = panel.rings_mm.iter().flat_map(|ring| sides(ring));
        sides
            .into_iter()
            .any(|side| distance(&PathSeg::Line(side), middle) < 0.02)
    };
    let folded = fold(project, assembly).ok()?;
    let panels = folded.members[member].panels.iter().filter(is_at);
    let names: Vec<String> = panels
        .map(|panel| format!("\"{}:{}\"", assembly.members[member].name, panel.name))
        .collect();
    (!names.is_empty()).then_some(names)
}

/// Lays a loose piece beside its place on the one it is stuck to.
fn shifted(random: &mut Pcg64Mcg, project: &Project) -> Option<Mutant> {
    let joint = chosen(random, project, |j| {
        matches!(j.kind, JointKind::Stuck { rims: Some(_), .. }) && j.from.member != j.to.member
    })?
    .clone();
    let by_mm = by_mm(random);
    let (x, y) = if between(random, 0, 1) == 0 {
        (by_mm, 0.0)
    } else {
        (0.0, by_mm)
    };
    let mut project = project.clone();
    let member = &mut project.assemblies[0].members[joint.from.member];
    member.pose = member.pose.after(&Rigid::shift(x, y, 0.0));
    let names = vec![name(&project, &joint.from), name(&project, &joint.to)];
    Some(Mutant {
        what: format!("{} laid {by_mm} mm off its place on {}", names[0], names[1]),
        names,
        project,
    })
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
        rims: None,
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

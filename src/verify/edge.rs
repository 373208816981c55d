//! The edge of an offcut that is no rectangle: pieces lie on the paper, and files that show the edge show the right one.

use kurbo::{BezPath, Point};

use super::compare::{PlannedPath, mm, point};
use super::plan::{PlannedSheet, path};
use super::trace::{between, corners, runs, walk};
use super::verdict::{Finding, Tally};
use crate::diagnostic::Diagnostic;
use crate::math::VERIFY_MM;
use crate::plan::file::SheetEntry;

/// Id of an edge in files.
const ID: &str = "paper-edge";

/// Reads the edge of a sheet, if the plan gives it one.
pub(super) fn read(sheet: &SheetEntry) -> Result<Option<PlannedPath>, Diagnostic> {
    let Some(data) = &sheet.paper.outline else {
        return Ok(None);
    };
    let name = format!("the edge of offcut {}", sheet.stock);
    Ok(Some(PlannedPath {
        id: ID.to_owned(),
        path: path(&name, data)?,
        name,
        kind: "edge".to_owned(),
    }))
}

/// Checks that a piece lies on the paper, by points along its outline and along the paper's edge.
pub(super) fn check_on_paper(
    tally: &mut Tally,
    sheet: &PlannedSheet<'_>,
    id: &str,
    outline: &BezPath,
) {
    let Some(edge) = &sheet.edge else {
        return;
    };
    let (edge, piece) = (rings(&edge.path), rings(outline));
    let off_paper = points(&piece)
        .filter(|at| !holds(&edge, *at))
        .map(|at| (at, distance_mm(&edge, at)));
    let over_edge = points(&edge)
        .filter(|at| holds(&piece, *at))
        .map(|at| (at, distance_mm(&piece, at)));
    let farthest = off_paper
        .chain(over_edge)
        .max_by(|a, b| a.1.total_cmp(&b.1));
    let (at, off_mm) = farthest.unwrap_or_default();
    tally.count();
    if off_mm > VERIFY_MM {
        let what = format!("{id} leaves the edge of its offcut at {}", point(at));
        let finding = Finding::numbers("verify.plan", &what, "inside", mm(off_mm));
        tally.add(finding.about(id).off_by(off_mm));
    }
}

/// Sheets that share a cut file have the same edge, which the file shows once.
pub(super) fn check_sharing(tally: &mut Tally, first: &PlannedSheet<'_>, other: &PlannedSheet<'_>) {
    tally.count();
    if first.entry.paper.outline != other.entry.paper.outline {
        let message = format!(
            "sheet {} shares a cut file with sheet {}, whose edge is another",
            other.number, first.number
        );
        tally.add(Finding::new("verify.plan", message));
    }
}

/// The rings of a path, each with its first corner at the end again.
pub(super) fn rings(path: &BezPath) -> Vec<Vec<Point>> {
    runs(path).iter().map(corners).collect()
}

pub(super) fn points(rings: &[Vec<Point>]) -> impl Iterator<Item = Point> + '_ {
    rings.iter().flat_map(|ring| walk(ring))
}

fn sides(rings: &[Vec<Point>]) -> impl Iterator<Item = (Point, Point)> + '_ {
    rings
        .iter()
        .flat_map(|ring| ring.windows(2).map(|pair| (pair[0], pair[1])))
}

/// Whether a point is inside, by counting the sides to its left.
pub(super) fn holds(rings: &[Vec<Point>], at: Point) -> bool {
    let is_left = |(p, q): &(Point, Point)| {
        (p.y <= at.y) != (q.y <= at.y) && p.x + (at.y - p.y) / (q.y - p.y) * (q.x - p.x) < at.x
    };
    sides(rings).filter(is_left).count() % 2 == 1
}

/// The shortest way from a point to any side.
fn distance_mm(rings: &[Vec<Point>], at: Point) -> f64 {
    let to = |(p, q): (Point, Point)| {
        let way = q - p;
        let along = ((at - p).dot(way) / way.hypot2().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
        between(at, p + way * along)
    };
    sides(rings).map(to).fold(f64::MAX, f64::min)
}

#[cfg(test)]
mod tests {
    use super::super::trace::read;
    use super::*;

    const U: &str = "M0 0 H10 V30 H40 V0 H60 V50 H0 Z";

    #[test]
    fn a_point_in_the_notch_is_off_the_paper_by_the_way_to_its_side() {
        let u = rings(&read(U).unwrap());
        for (at, is_inside, mm) in [
            ((5.0, 5.0), true, 5.0),
            ((14.0, 5.0), false, 4.0),
            ((25.0, 28.0), false, 2.0),
        ] {
            let at = Point::from(at);
            assert_eq!(holds(&u, at), is_inside, "{at}");
            assert!((distance_mm(&u, at) - mm).abs() < 1e-12, "{at}");
        }
    }
}

//! The glue of a joint: whether it lies on its flap, and where each flat part of the flap comes to lie on the partner.

use kurbo::Point;

use super::region::{depth_mm, holds, inside_point, outside_mm};
use super::stand::{Stand, in_space, out_of};
use super::{FoldedPanel, code};
use crate::diagnostic::Diagnostic;
use crate::geometry::areas::{Ring, shared, thickness_of, without};
use crate::geometry::flattened;
use crate::geometry::space::Vec3;
use crate::math::FLATTEN_MM;
use crate::project::Joint;

/// The glue of one joint.
pub(super) struct Glue<'a> {
    pub(super) stand: &'a Stand<'a>,
    pub(super) joint: &'a Joint,
    /// In the flap's piece frame; the whole flap without it.
    pub(super) area: Option<Vec<Ring>>,
    pub(super) covers_flap: bool,
    /// How thick it is.
    pub(super) thick_mm: f64,
}

/// A flat part of the flap, its glue, and the flat part of the partner it lies on.
pub(super) struct Landing<'a> {
    pub(super) flap: &'a FoldedPanel,
    pub(super) base: &'a FoldedPanel,
    /// In the flap's piece frame.
    pub(super) glue: Vec<Ring>,
}

/// Returns a closed path as rings.
pub(super) fn rings_of(path: &kurbo::BezPath) -> Vec<Ring> {
    let opened = |mut ring: Ring| {
        if ring.first() == ring.last() {
            ring.pop();
        }
        ring
    };
    flattened(path, FLATTEN_MM)
        .into_iter()
        .map(opened)
        .collect()
}

impl<'a> Glue<'a> {
    /// Returns where the glue lies, the part of the flap by which it was named first; nothing where it is not on the flap.
    pub(super) fn landings(&self) -> Vec<Landing<'a>> {
        let mut facets = self.stand.facets(&self.joint.from);
        if let Some((home, _)) = self.stand.home(&self.joint.from) {
            facets.sort_by_key(|facet| !std::ptr::eq(*facet, home));
        }
        let landing = |flap: &'a FoldedPanel| {
            let glue = match &self.area {
                None => flap.rings_mm.clone(),
                Some(area) => self.glue_on(flap, area),
            };
            let base = base_of(self.stand, self.joint, flap, &glue)?;
            Some(Landing { flap, base, glue })
        };
        facets.into_iter().filter_map(landing).collect()
    }

    /// The glue on one flat part; slivers of it are none.
    fn glue_on(&self, flap: &FoldedPanel, area: &[Ring]) -> Vec<Ring> {
        let parts = shared(area, &flap.rings_mm);
        parts
            .into_iter()
            .filter(|part| thickness_of(part) > self.stand.tolerance_mm())
            .flatten()
            .collect()
    }

    /// The glue is not on the flap, or not on all of it where it should be.
    pub(super) fn off_flap(&self) -> Option<Diagnostic> {
        let area = self.area.as_ref()?;
        let facets = self.stand.facets(&self.joint.from);
        let facets: Vec<Vec<Ring>> = facets.iter().map(|f| f.rings_mm.clone()).collect();
        let off_flap = |p: Point| {
            let outside = facets.iter().map(|f| outside_mm(f, p));
            outside.fold(f64::INFINITY, f64::min)
        };
        let beyond = without_all(area, &facets);
        let beyond_mm = depth_mm(&beyond, off_flap);
        let bare_mm = if self.covers_flap {
            let bare = facets.iter().map(|f| without(f, area));
            bare.map(|parts| depth_mm(&parts, |p| outside_mm(area, p)))
                .fold(0.0, f64::max)
        } else {
            0.0
        };
        let off_mm = beyond_mm.max(bare_mm);
        (off_mm > self.stand.tolerance_mm()).then(|| self.off_by(off_mm))
    }

    fn off_by(&self, off_mm: f64) -> Diagnostic {
        let flap = self.stand.name(&self.joint.from);
        let off = self.stand.show(off_mm);
        let (message, hint) = if self.covers_flap {
            (
                format!("the glue of {flap} and the flap itself have edges {off} apart"),
                format!("make flap and glue area alike: move the edge of {flap} by {off}"),
            )
        } else {
            (
                format!(
                    "the glue of {flap} is not all on it: it reaches {off} beyond an edge or into a hole"
                ),
                format!("take the glue area back by {off} there, or make {flap} larger"),
            )
        };
        Diagnostic::error(code::STUCK, message)
            .at(&self.joint.origin)
            .hint(hint)
    }
}

/// What flat parts of a panel leave of an area.
pub(super) fn without_all(area: &[Ring], facets: &[Vec<Ring>]) -> Vec<Vec<Ring>> {
    let mut rest = vec![area.to_vec()];
    for facet in facets {
        rest = without(&rest.concat(), facet);
    }
    rest
}

/// Returns the flat part of the partner that lies nearest to a part of the flap and faces it best; none for a part without glue.
pub(super) fn base_of<'a>(
    stand: &Stand<'a>,
    joint: &Joint,
    flap: &FoldedPanel,
    glue: &[Ring],
) -> Option<&'a FoldedPanel> {
    let at = inside_point(glue).filter(|at| holds(glue, *at))?;
    let cost = |base: &FoldedPanel| {
        let away = 1.0 + out_of(flap, joint.from.face).dot(&out_of(base, joint.to.face));
        let local = land(flap, base, at);
        let aside = outside_mm(&base.rings_mm, Point::new(local.x, local.y));
        aside + local.z.abs() + 1000.0 * away
    };
    let bases = stand.facets(&joint.to).into_iter();
    let costs = bases.map(|base| (cost(base), base));
    costs
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, base)| base)
}

/// Returns a point of a flap's piece in the frame of its partner's piece.
pub(super) fn land(flap: &FoldedPanel, base: &FoldedPanel, p: Point) -> Vec3 {
    base.place.inverse().apply(in_space(flap, p))
}

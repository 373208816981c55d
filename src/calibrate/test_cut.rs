//! The test cut: a cut file with a small cross at nine targets of a chart.

use kurbo::{BezPath, Point};

use super::chart::Chart;
use super::cutter::crosses;
use crate::draw::page::{CutLayer, CutPath, CutSheet};
use crate::drawing::Colour;
use crate::project::OperationKind;

/// Half the length of each line of a cross in millimetres: it ends inside the target's ring.
const ARM_MM: f64 = 2.0;

/// Length of the lines in two corners that fix the drawing's size, in millimetres.
const CORNER_MM: f64 = 3.0;

/// How the crosses are made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TestCut {
    /// With the blade.
    Cut,
    /// With a pen.
    Drawn,
}

/// Returns the cut file of a test cut; its frame is that of the chart's front page.
#[must_use]
pub fn test_cut(chart: &Chart, how: TestCut) -> CutSheet {
    let kind = match how {
        TestCut::Cut => OperationKind::Cut,
        TestCut::Drawn => OperationKind::Line,
    };
    let paths = crosses(chart).into_iter().flat_map(|target| {
        [('x', (0.0, ARM_MM)), ('y', (ARM_MM, 0.0))].map(|(name, arm)| CutPath {
            id: format!("{}{name}", target.id),
            title: format!("cross at target {}", target.id),
            path: line(target.centre - arm, target.centre + arm),
        })
    });
    let (width, height) = (chart.page.width, chart.page.height);
    let corner = |id: &str, from: Point| CutPath {
        id: id.to_owned(),
        title: "reference".to_owned(),
        path: line(from, from + (CORNER_MM, 0.0)),
    };
    CutSheet {
        title: format!("Test cut {}", chart.format),
        note: format!(
            "Nine crosses for a printed chart that lies with its front up. This drawing is {width} x {height} mm, with its top left corner at that of the sheet; \
             the layer \"reference\" is not cut."
        ),
        width_mm: width,
        height_mm: height,
        layers: vec![
            CutLayer {
                name: "reference",
                colour: Colour::rgb(0x96, 0x92, 0x8a),
                paths: vec![
                    corner("ref-top-left", Point::ORIGIN),
                    corner("ref-bottom-right", Point::new(width - CORNER_MM, height)),
                ],
            },
            CutLayer {
                name: kind.name(),
                colour: Colour::rgb(0xb0, 0x30, 0x30),
                paths: paths.collect(),
            },
        ],
    }
}

fn line(from: Point, to: Point) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(from);
    path.line_to(to);
    path
}

#[cfg(test)]
mod tests {
    use kurbo::Shape;

    use super::*;
    use crate::calibrate::chart::ChartEdition;
    use crate::paper;

    /// By hand on A4: the targets in the corners are 20 mm from the edges, the middle one at 105, 148.5.
    #[test]
    fn crosses_stand_on_targets() {
        let chart = Chart::upright(paper::find("a4").unwrap(), ChartEdition::Millimetres).unwrap();
        let sheet = test_cut(&chart, TestCut::Cut);
        let cuts = &sheet.layers[1].paths;
        assert_eq!((sheet.layers[1].name, cuts.len()), ("cut", 18));
        let find = |id: &str| {
            cuts.iter()
                .find(|p| p.id == id)
                .unwrap()
                .path
                .bounding_box()
        };
        // The line that tells x runs down, the one that tells y across.
        let (x, y) = (find("a1x"), find("c4y"));
        assert_eq!((x.x0, x.y0, x.x1, x.y1), (20.0, 18.0, 20.0, 22.0));
        assert!(
            (y.x0 - 103.0).abs() < 1e-9
                && (y.x1 - 107.0).abs() < 1e-9
                && (y.y0 - 148.5).abs() < 1e-9
        );
        assert_eq!(test_cut(&chart, TestCut::Drawn).layers[1].name, "line");
    }
}

//! A path measured along its way.

use kurbo::{BezPath, ParamCurve, PathSeg, Point};

/// Steps in which the length of a curved segment is measured: a quarter circle of 10 mm then errs by 0.4 µm.
const STEPS: u32 = 64;

/// One subpath with its length along the way.
pub(super) struct Way {
    segments: Vec<Measured>,
}

/// A segment and how far its parameter steps are along it.
struct Measured {
    segment: PathSeg,
    start_mm: f64,
    /// Length from the segment's start, at equal steps of the parameter.
    along_mm: Vec<f64>,
}

impl Way {
    /// Measures connected segments.
    pub(super) fn new(segments: impl IntoIterator<Item = PathSeg>) -> Self {
        let mut start_mm = 0.0;
        let mut measured = Vec::new();
        for segment in segments {
            let along_mm = along(segment);
            let end_mm = start_mm + along_mm.last().copied().unwrap_or(0.0);
            measured.push(Measured {
                segment,
                start_mm,
                along_mm,
            });
            start_mm = end_mm;
        }
        Self { segments: measured }
    }

    /// Its whole length.
    pub(super) fn length_mm(&self) -> f64 {
        self.segments.last().map_or(0.0, Measured::end_mm)
    }

    /// Each segment with the length at which it starts.
    pub(super) fn segments(&self) -> impl ExactSizeIterator<Item = (f64, PathSeg)> {
        self.segments.iter().map(|s| (s.start_mm, s.segment))
    }

    /// Appends the stretch between two lengths as a subpath of its own.
    pub(super) fn append(&self, from_mm: f64, to_mm: f64, path: &mut BezPath) {
        let mut is_begun = false;
        for piece in &self.segments {
            let (from, to) = (from_mm.max(piece.start_mm), to_mm.min(piece.end_mm()));
            if from < to {
                let part = piece
                    .segment
                    .subsegment(piece.parameter(from)..piece.parameter(to));
                if !is_begun {
                    path.move_to(part.start());
                    is_begun = true;
                }
                path.push(part.as_path_el());
            }
        }
    }
}

impl Measured {
    fn end_mm(&self) -> f64 {
        self.start_mm + self.along_mm.last().copied().unwrap_or(0.0)
    }

    /// The parameter at a length along the way, straight between the measured steps.
    fn parameter(&self, at_mm: f64) -> f64 {
        let along = at_mm - self.start_mm;
        let steps = (self.along_mm.len() - 1) as f64;
        let after = self
            .along_mm
            .partition_point(|a| *a < along)
            .clamp(1, self.along_mm.len() - 1);
        let (low, high) = (self.along_mm[after - 1], self.along_mm[after]);
        let part = if high > low {
            (along - low) / (high - low)
        } else {
            0.0
        };
        ((after - 1) as f64 + part.clamp(0.0, 1.0)) / steps
    }
}

/// Length from the start of a segment at equal steps of its parameter.
pub(super) fn along(segment: PathSeg) -> Vec<f64> {
    let steps = match segment {
        PathSeg::Line(_) => 1,
        PathSeg::Quad(_) | PathSeg::Cubic(_) => STEPS,
    };
    let mut along = vec![0.0];
    let mut last: Point = segment.start();
    let mut sum = 0.0;
    for i in 1..=steps {
        let next = segment.eval(f64::from(i) / f64::from(steps));
        sum += (next - last).hypot2().sqrt();
        along.push(sum);
        last = next;
    }
    along
}

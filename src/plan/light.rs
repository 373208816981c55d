//! A check by light of two printed faces: crosses on the face that lies down, where the marks of the other are.
//!
//! Held to the light, the cross of a mark and the cross behind it are one if both faces came out alike.

use kurbo::{Line, Rect, Vec2};

use super::{Mark, Tick, TickKind};
use crate::project::Face;

/// Length of each arm in millimetres: the radius of a mark.
const ARM_MM: f64 = 3.0;

/// Returns the crosses behind marks, on the other face, as far as that is printed whole there; all in the sheet frame.
pub(super) fn light_ticks(marks: &[Mark], other: Face, printable: Rect) -> Vec<Tick> {
    let crosses = marks.iter().flat_map(|mark| {
        let arms = [("x", Vec2::new(ARM_MM, 0.0)), ("y", Vec2::new(0.0, ARM_MM))];
        arms.map(|(axis, arm)| (mark, axis, Line::new(mark.centre - arm, mark.centre + arm)))
    });
    let whole =
        crosses.filter(|(.., line)| printable.contains(line.p0) && printable.contains(line.p1));
    let ticks = whole.map(|(mark, axis, line)| Tick {
        id: format!("{}-light-{axis}", mark.id),
        kind: TickKind::Light,
        face: other,
        from: line.p0,
        to: line.p1,
    });
    ticks.collect()
}

#[cfg(test)]
mod tests {
    use kurbo::Point;

    use super::*;
    use crate::plan::MarkClass;

    /// By hand: 3 mm about (10.35, 10.35) reach from 7.35 to 13.35; a margin of 8 mm at the left keeps the level line off.
    #[test]
    fn a_cross_lies_behind_each_mark_as_far_as_the_printer_reaches() {
        let mark = Mark {
            id: "m1".to_owned(),
            centre: Point::new(10.35, 10.35),
            diameter_mm: 6.0,
            class: MarkClass::Empty,
        };
        let found = |left: f64| {
            let printable = Rect::new(left, 6.35, 209.55, 273.05);
            light_ticks(std::slice::from_ref(&mark), Face::Back, printable)
        };
        let both = found(6.35);
        assert_eq!((both.len(), both[0].face), (2, Face::Back));
        assert!((both[0].from.x - 7.35).abs() < 1e-12 && (both[0].to.x - 13.35).abs() < 1e-12);
        assert!((both[1].from.y - 7.35).abs() < 1e-12 && (both[1].to.y - 13.35).abs() < 1e-12);
        assert_eq!(found(8.0).len(), 1);
    }
}

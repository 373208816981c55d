//! A whole face of the chart, put together from its parts.

use super::ink::{Ink, in_unit_square};
use super::{Chart, ChartFaces, scales, words};
use crate::drawing::{Drawing, Item};
use crate::project::Face;

/// Something on the chart that must not touch anything else.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Part {
    pub(super) name: String,
    pub(super) ink: Ink,
}

/// Returns a face as a picture: its page is the unit square.
pub(super) fn picture(chart: &Chart, face: Face, faces: ChartFaces) -> Drawing {
    let items: Vec<Item> = parts(chart, face, faces)
        .into_iter()
        .flat_map(|part| part.ink.items)
        .collect();
    in_unit_square(items, chart.page)
}

/// Returns everything on a face, in millimetres as seen on its page.
pub(super) fn parts(chart: &Chart, face: Face, faces: ChartFaces) -> Vec<Part> {
    let mut parts = Vec::new();
    let mut add = |name: String, ink: Ink| parts.push(Part { name, ink });
    for target in chart.targets(face) {
        add(format!("target {}", target.id), scales::target(target));
    }
    let ladders = chart.ladders;
    for ladder in [ladders.top, ladders.right, ladders.bottom, ladders.left] {
        add(
            format!("ladder {:?}", ladder.edge),
            scales::ladder(&ladder, chart),
        );
    }
    if faces == ChartFaces::Both {
        for station in &chart.stations {
            let ink = scales::station(station, face, chart.page.width);
            add(format!("station {}", station.id), ink);
        }
    }
    add("rule".into(), scales::rule(&chart.rule, chart.edition));
    add("head".into(), words::head(chart, face));
    if face == Face::Front || faces == ChartFaces::Both {
        add("how".into(), words::how(chart, face));
    }
    if face == Face::Front {
        for vernier in &chart.verniers {
            add(format!("vernier {}", vernier.id), scales::vernier(vernier));
        }
        for line in &chart.lines {
            add(format!("line {}", line.id), scales::ruler_line(line));
        }
        for distance in &chart.edge_distances {
            add(
                format!("distance {}", distance.id),
                scales::edge_distance(distance),
            );
        }
        add("first edge".into(), words::first_edge(chart));
        add("notes".into(), words::notes(chart));
    }
    parts
}

#[cfg(test)]
mod tests {
    use kurbo::Rect;

    use super::*;
    use crate::calibrate::chart::ChartEdition;
    use crate::paper::formats;

    /// Every chart there is: each format, upright and lying, in both editions.
    fn charts() -> Vec<Chart> {
        let editions = [ChartEdition::Millimetres, ChartEdition::Inches];
        let made = formats().iter().flat_map(|format| {
            editions.into_iter().flat_map(move |edition| {
                [
                    Chart::upright(format, edition),
                    Chart::lying(format, edition),
                ]
            })
        });
        let charts: Vec<Chart> = made.filter_map(Result::ok).collect();
        assert!(charts.len() > 60, "{}", charts.len());
        charts
    }

    fn faces() -> [(Face, ChartFaces); 3] {
        [
            (Face::Front, ChartFaces::Front),
            (Face::Front, ChartFaces::Both),
            (Face::Back, ChartFaces::Both),
        ]
    }

    fn do_overlap(a: &Rect, b: &Rect) -> bool {
        let common = a.intersect(*b);
        common.width() > 1e-9 && common.height() > 1e-9
    }

    #[test]
    fn nothing_touches_anything_else_on_any_format() {
        for chart in charts() {
            for (face, faces) in faces() {
                let parts = parts(&chart, face, faces);
                for (i, a) in parts.iter().enumerate() {
                    for b in &parts[i + 1..] {
                        let meeting = a.ink.boxes.iter().find_map(|one| {
                            let other = b.ink.boxes.iter().find(|other| do_overlap(one, other));
                            Some((one, other?))
                        });
                        let of = (&chart.format, chart.page, chart.edition, face, faces);
                        assert!(
                            meeting.is_none(),
                            "{of:?}: {} and {}: {meeting:?}",
                            a.name,
                            b.name
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn all_but_the_ladders_keeps_14_mm_from_the_edges() {
        for chart in charts() {
            let page = Rect::from_origin_size((0.0, 0.0), chart.page);
            for (face, faces) in faces() {
                for part in parts(&chart, face, faces) {
                    let inset_mm = if part.name.starts_with("ladder") {
                        0.7
                    } else {
                        14.0
                    };
                    let room = page.inset(-inset_mm);
                    let outside = part.ink.boxes.iter().find(|b| room.union(**b) != room);
                    assert!(
                        outside.is_none(),
                        "{} {}: {outside:?}",
                        chart.format,
                        part.name
                    );
                }
            }
        }
    }

    #[test]
    fn the_picture_is_all_black_areas_and_words_in_the_unit_square() {
        let chart = &charts()[0];
        let unit = Rect::new(0.0, 0.0, 1.0, 1.0);
        for item in picture(chart, Face::Front, ChartFaces::Both).items {
            match item {
                Item::Fill { path, paint, .. } => {
                    use kurbo::Shape;
                    assert_eq!(unit.union(path.bounding_box()), unit);
                    assert_eq!(
                        paint,
                        crate::drawing::Paint::flat(crate::drawing::Colour::BLACK)
                    );
                }
                Item::Glyphs(run) => {
                    let start = run.matrix * kurbo::Point::ORIGIN;
                    assert!(unit.contains(start), "{run:?}");
                }
                Item::Stroke { .. }
                | Item::Clip { .. }
                | Item::Picture { .. }
                | Item::Tagged { .. } => {
                    panic!("{item:?}")
                }
            }
        }
    }
}

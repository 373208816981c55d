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

impl Part {
    /// The boxes of all it is made of, in millimetres.
    #[cfg(test)]
    pub(super) fn boxes(&self) -> &[kurbo::Rect] {
        &self.ink.boxes
    }
}

//! The words below a piece: what it is, of what, how many, which face is seen, and what its hatching means.

use kurbo::{Affine, Point, Rect, Shape, Size};

use super::leaf::stroke;
use super::marks::{hatch, lettered, words};
use super::words::{DROP_MM, LEADING_MM, Words};
use crate::draw::treated::{What, treated_areas};
use crate::drawing::{Item, Stroke};
use crate::handout::Handout;
use crate::length::Length;
use crate::project::{Axis, Edge, Face, Fold, OperationKind, Piece, Project};

/// A sample of a hatching.
const SAMPLE_MM: (f64, f64) = (9.0, 3.4);

/// What is said about a piece.
#[derive(Debug, Clone)]
pub(super) struct Caption {
    name: Words,
    lines: Vec<Words>,
    /// Each hatching with its words.
    hatched: Vec<(What, Face, Words)>,
    /// The fibres along the piece's x or y axis, and the edge to which a pattern points.
    grain: Option<Axis>,
    up: Option<Edge>,
}

impl Caption {
    /// Narrowest column of words.
    pub(super) const LEAST_MM: f64 = 64.0;

    pub(super) fn new(project: &Project, handout: &Handout, piece: usize) -> Self {
        let of = &project.pieces[piece];
        let mut lines = vec![
            Words::plain(format!(
                "{} · {}",
                project.stock_names(piece),
                count(project, handout, piece)
            )),
            Words::plain(sizes(project, handout, piece)),
        ];
        lines.extend(folds(project, piece).map(Words::plain));
        lines.extend(small_panels(of).map(Words::plain));
        let oversize = of.mount.as_ref().map(|mount| mount.oversize);
        lines.extend(oversize.filter(|by| *by > Length::ZERO).map(|by| {
            let by = by.display(project.job.lengths);
            Words::plain(format!(
                "{by} larger all round, trimmed flush once it is glued"
            ))
        }));
        Self {
            name: Words::bold(of.name.clone()),
            lines,
            hatched: hatched(project, piece),
            grain: of.grain,
            up: of.pattern_up,
        }
    }

    /// Adds a line, as for a piece that goes over several pages.
    pub(super) fn with(mut self, line: String) -> Self {
        self.lines.insert(0, Words::plain(line));
        self
    }

    fn rows(&self, width_mm: f64) -> Vec<Words> {
        let lines = std::iter::once(&self.name).chain(&self.lines);
        lines.flat_map(|line| line.broken(width_mm)).collect()
    }

    pub(super) fn height_mm(&self, width_mm: f64) -> f64 {
        let directions = usize::from(self.grain.is_some() || self.up.is_some());
        let rows = self.rows(width_mm).len() + self.hatched.len() + directions;
        (0..rows).map(|_| LEADING_MM).sum()
    }

    /// Sets the words with their top left corner at `corner`; `page_from_piece` says how the piece lies.
    pub(super) fn items(&self, corner: Point, width_mm: f64, page_from_piece: Affine) -> Vec<Item> {
        let mut items = Vec::new();
        let mut baseline = Point::new(corner.x, corner.y + DROP_MM);
        for row in self.rows(width_mm) {
            items.push(row.at(baseline));
            baseline.y += LEADING_MM;
        }
        if let Some(words) = self.directions(page_from_piece) {
            items.push(words.at(baseline));
            baseline.y += LEADING_MM;
        }
        for (what, face, words) in &self.hatched {
            let sample = Rect::from_origin_size(
                (baseline.x, baseline.y - SAMPLE_MM.1 + 0.4),
                Size::new(SAMPLE_MM.0, SAMPLE_MM.1),
            );
            items.extend(hatch(&sample.to_path(0.1), *what, *face));
            items.push(stroke(sample.to_path(0.1), Stroke::solid(0.12)));
            items.push(words.at(Point::new(sample.x1 + 1.5, baseline.y)));
            baseline.y += LEADING_MM;
        }
        items
    }

    /// Arrows for the fibres and for the top of a pattern, as the piece lies on the page.
    fn directions(&self, page_from_piece: Affine) -> Option<Words> {
        let [a, ..] = page_from_piece.as_coeffs();
        let is_turned = a.abs() < 0.5;
        let grain = self.grain.map(|axis| {
            let is_level = (axis == Axis::X) != is_turned;
            format!("grain {}", if is_level { "↔" } else { "↕" })
        });
        let up = self.up.map(|edge| {
            let step = match edge {
                Edge::Top => 0,
                Edge::Right => 1,
                Edge::Bottom => 2,
                Edge::Left => 3,
            };
            format!("pattern up {}", ARROWS[(step + usize::from(is_turned)) % 4])
        });
        let said: Vec<String> = grain.into_iter().chain(up).collect();
        (!said.is_empty()).then(|| Words::plain(said.join(" · ")))
    }
}

/// Up, and on clockwise.
pub(super) const ARROWS: [&str; 4] = ["↑", "→", "↓", "←"];

fn count(project: &Project, handout: &Handout, piece: usize) -> String {
    let work = handout.pieces.iter().find(|work| work.piece == piece);
    let per_copy = project.pieces[piece].per_copy;
    let wanted = work.map_or_else(
        || {
            let copies = project.editions.iter().map(|e| e.copies);
            copies.map(|copies| copies * per_copy).sum()
        },
        |work| work.wanted,
    );
    format!("{per_copy} a copy, {wanted} in all")
}

fn sizes(project: &Project, handout: &Handout, piece: usize) -> String {
    let of = &project.pieces[piece];
    let work = handout.pieces.iter().find(|work| work.piece == piece);
    let show = |length: Length| length.display(project.job.lengths);
    let told = |size: (Length, Length)| format!("{} x {}", show(size.0), show(size.1));
    let bounds = of.outline.bounds();
    let whole = || {
        let sides = [bounds.width(), bounds.height()].map(Length::nearest_mm);
        (sides[0], sides[1])
    };
    let finished = work.map_or_else(whole, |work| work.size);
    let rough = work.and_then(|work| work.rough).unwrap_or(finished);
    match &of.finish {
        None => format!("{}, front seen", told(rough)),
        Some(finish) => {
            let tool = &project.tools[finish.tool];
            let (rough, finished) = (told(rough), told(finished));
            format!("{rough} rough, {finished} by the {}, front seen", tool.name)
        }
    }
}

/// How many creases there are, as the front shows them.
fn folds(project: &Project, piece: usize) -> Option<String> {
    let operations = &project.pieces[piece].operations;
    let of = |wanted: Fold| {
        let is_it = |kind: OperationKind| kind == OperationKind::Crease { fold: wanted };
        operations.iter().filter(|o| is_it(o.kind)).count()
    };
    let say = |count: usize, word: &str| (count > 0).then(|| format!("{count} {word}"));
    let mountains = say(of(Fold::Mountain), "mountain");
    let said: Vec<String> = mountains
        .into_iter()
        .chain(say(of(Fold::Valley), "valley"))
        .collect();
    (!said.is_empty()).then(|| format!("creases: {}", said.join(", ")))
}

/// What the letters on small panels stand for.
fn small_panels(piece: &Piece) -> Option<String> {
    let letters = lettered(piece).into_iter();
    let key: Vec<String> = letters
        .map(|(name, letter)| format!("{letter} = {name}"))
        .collect();
    (!key.is_empty()).then(|| key.join(" · "))
}

fn hatched(project: &Project, piece: usize) -> Vec<(What, Face, Words)> {
    let mut found: Vec<(What, Face, Words)> = Vec::new();
    for area in treated_areas(project, piece) {
        let face = match area.face {
            Face::Front => "on the front",
            Face::Back => "on the back",
        };
        let text = format!("{} {face}", words(area.what));
        // A sample and its words stand on one line.
        let widest_mm = Caption::LEAST_MM - SAMPLE_MM.0 - 1.5;
        let whole = area
            .note
            .map(|note| Words::plain(format!("{text}: {note}")));
        let words = whole
            .filter(|whole| whole.width_mm() <= widest_mm)
            .unwrap_or_else(|| Words::plain(text));
        let entry = (area.what, area.face, words);
        if !found.contains(&entry) {
            found.push(entry);
        }
    }
    found
}

//! Writes the cuts down: numbers, names of parts, stacks, cautions.

use super::cutout::Cutout;
use super::offer::Workshop;
use super::part::{Loose, across, span};
use super::search::Made;
use super::{Cut, CutList, EdgeKind, Guide, Holds, Part, Split};
use crate::length::Length;
use crate::plan::Sheet;

/// Returns the cut list of a sheet from the cuts in their order.
pub(super) fn number(
    workshop: &Workshop<'_>,
    sheet: &Sheet,
    cutouts: &[Cutout],
    made: &[Made],
) -> CutList {
    let mut names = Names::default();
    let whole = Loose::whole(sheet, cutouts);
    let mut ids = vec![whole.id];
    let mut parts = vec![Part {
        name: "sheet".to_owned(),
        area: whole.area.to_rect_mm(),
        holds: holds(&whole, cutouts),
    }];
    let mut cuts = Vec::new();
    for (number, made) in (1..).zip(made) {
        let splits = made.splits.iter().map(|split| {
            let part = position(&ids, split.part.id);
            let leaves = split.leaves.each_ref().map(|leaf| {
                let holds = holds(leaf, cutouts);
                ids.push(leaf.id);
                parts.push(Part {
                    name: names.next(sheet, holds),
                    area: leaf.area.to_rect_mm(),
                    holds,
                });
                parts.len() - 1
            });
            Split {
                part,
                at_mm: Length::from_nm(split.at_nm).to_mm(),
                edge: edge(&made.guide, &split.part),
                leaves,
            }
        });
        let splits: Vec<Split> = splits.collect();
        let (start, stop) = span(made.splits[0].part.area, across(made.axis));
        let (together, times) = workshop.strokes(made.by, splits.len());
        cuts.push(Cut {
            number,
            axis: made.axis,
            guide: made.guide.clone(),
            length_mm: Length::from_nm(stop - start).to_mm(),
            together,
            times,
            splits,
            cautions: workshop.cautions(stop - start, made.by),
        });
    }
    CutList {
        parts,
        cuts,
        at_once: workshop.at_once,
    }
}

fn position(ids: &[usize], id: usize) -> usize {
    ids.iter()
        .position(|known| *known == id)
        .expect("a part comes about before it is cut")
}

fn holds(part: &Loose, cutouts: &[Cutout]) -> Holds {
    if part.is_waste() {
        Holds::Waste
    } else {
        part.finished(cutouts).map_or(Holds::More, Holds::Piece)
    }
}

fn edge(guide: &Guide, part: &Loose) -> Option<EdgeKind> {
    match guide {
        Guide::Fence { from, .. } if part.is_fresh(*from) => Some(EdgeKind::Fresh),
        Guide::Fence { .. } => Some(EdgeKind::Paper),
        Guide::Ticks(_) | Guide::Print => None,
    }
}

/// Names given so far.
#[derive(Debug, Default)]
struct Names {
    parts: usize,
    waste: usize,
}

impl Names {
    fn next(&mut self, sheet: &Sheet, holds: Holds) -> String {
        match holds {
            Holds::Piece(placement) => sheet.placements[placement].id.clone(),
            Holds::Waste => {
                self.waste += 1;
                format!("waste-{}", self.waste)
            }
            Holds::More => {
                self.parts += 1;
                letters(self.parts)
            }
        }
    }
}

/// `a` to `z`, then `aa`, `ab` and so on; counted from 1.
fn letters(number: usize) -> String {
    let mut rest = number;
    let mut letters = Vec::new();
    while rest > 0 {
        let digit = u8::try_from((rest - 1) % 26).expect("less than 26");
        letters.push(char::from(b'a' + digit));
        rest = (rest - 1) / 26;
    }
    letters.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::letters;

    #[test]
    fn parts_are_lettered_like_columns() {
        let named = [1, 26, 27, 52, 53, 702, 703].map(letters);
        assert_eq!(named, ["a", "z", "aa", "az", "ba", "zz", "aaa"]);
    }
}

//! Names and lists as people read them.

use crate::length::{Length, LengthStyle};
use crate::paper;
use crate::project::{Piece, Project, Stock};

/// Returns the name of a panel as it is read: `panel 2` where it is only a number.
pub(super) fn panel(name: &str) -> String {
    if name.chars().all(|c| c.is_ascii_digit()) {
        format!("panel {name}")
    } else {
        name.to_owned()
    }
}

/// Returns a piece's name, with its id where another piece has the same.
pub(super) fn piece(project: &Project, piece: &Piece) -> String {
    let namesakes = project.pieces.iter().filter(|p| p.name == piece.name);
    if namesakes.count() > 1 && piece.id != piece.name {
        format!("{} ({})", piece.name, piece.id)
    } else {
        piece.name.clone()
    }
}

/// Returns the name of a sheet's format where its sides are no round sizes in these units: `A4` among inches.
#[must_use]
pub fn sheet_name(stock: &Stock, style: LengthStyle) -> Option<&'static str> {
    let step = match style {
        LengthStyle::InchFractions | LengthStyle::InchDecimals => Length::from_inch_fraction(1, 16),
        LengthStyle::Millimetres => Length::from_um(100),
    };
    let sides = [stock.width.length(), stock.height.length()];
    let is_round = sides.iter().all(|side| side.nm() % step.nm() == 0);
    let format = paper::find(&stock.format).filter(|_| !is_round)?;
    format.common_names().first().map(String::as_str)
}

/// Returns `100.6 mm x 80.6 mm`.
pub(super) fn sized((width, height): (Length, Length), style: LengthStyle) -> String {
    format!("{} x {}", width.display(style), height.display(style))
}

/// Returns the text with its first letter as a capital.
pub(super) fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + letters.as_str()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::listed;

    #[test]
    fn lists_read_as_they_are_spoken() {
        let words = |n: usize| {
            ["front", "back", "left"][..n]
                .iter()
                .map(|w| (*w).to_owned())
                .collect::<Vec<_>>()
        };
        assert_eq!(listed(&words(0)), "");
        assert_eq!(listed(&words(1)), "front");
        assert_eq!(listed(&words(2)), "front and back");
        assert_eq!(listed(&words(3)), "front, back and left");
        assert_eq!(panel("2"), "panel 2");
        assert_eq!(panel("tab-1"), "tab-1");
        assert_eq!(sentence("emboss it"), "Emboss it");
        assert_eq!(sentence(""), "");
    }
}

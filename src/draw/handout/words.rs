//! How sizes, prices, faces and edges are called.

use crate::length::{Length, LengthStyle};
use crate::project::{Face, Piece, Project, StockFace};

/// The letter of the piece at a position: A to Z, then AA, AB.
pub(super) fn letter(mut position: usize) -> String {
    let mut letters = Vec::new();
    loop {
        let place = u32::try_from(position % 26).unwrap_or(0);
        letters.push(char::from_digit(place + 10, 36).unwrap_or('?'));
        if position < 26 {
            break;
        }
        position = position / 26 - 1;
    }
    letters.iter().rev().map(char::to_ascii_uppercase).collect()
}

/// `6 5/16 x 5 1/8 in`.
pub(super) fn size(size: (Length, Length), style: LengthStyle) -> String {
    format!("{} x {}", bare(size.0, style), size.1.display(style))
}

/// A length without its unit.
pub(super) fn bare(length: Length, style: LengthStyle) -> String {
    let text = length.display(style);
    let end = text.rfind(' ').unwrap_or(text.len());
    text[..end].to_owned()
}

/// The name of a panel: `panel 2` where it is only a number.
pub(super) fn panel(name: &str) -> String {
    if name.chars().all(|c| c.is_ascii_digit()) {
        format!("panel {name}")
    } else {
        name.to_owned()
    }
}

/// What a face of a piece shows, in each edition: the name of the stock's pattern, or which print; nothing where nobody can tell.
pub(super) fn shown(project: &Project, index: usize, face: Face) -> Option<String> {
    let piece = &project.pieces[index];
    let side = match face {
        Face::Front => piece.shows,
        Face::Back => piece.shows.other(),
    };
    let mut seen: Vec<String> = Vec::new();
    for edition in 0..project.editions.len() {
        let stock = &project.stocks[project.stock_of(edition, index)];
        let shown = if stock.has_faces_alike() {
            print(piece, face)?
        } else {
            match stock.face(side) {
                StockFace::Plain => "plain side".to_owned(),
                StockFace::Printable => "printed side".to_owned(),
                StockFace::Patterned { name, .. } => name.clone(),
            }
        };
        if !seen.contains(&shown) {
            seen.push(shown);
        }
    }
    Some(seen.join(" or "))
}

/// What is printed on a face of a piece of paper that is the same on both sides, as its page is marked.
fn print(piece: &Piece, face: Face) -> Option<String> {
    let is_printed = |face| piece.artwork.iter().any(|artwork| artwork.face == face);
    match (is_printed(face), is_printed(face.other())) {
        (true, true) => Some(format!("print marked {}", face.name())),
        (true, false) => Some("printed side".to_owned()),
        (false, true) => Some("unprinted side".to_owned()),
        (false, false) => None,
    }
}

/// `front (Leaves)`.
pub(super) fn face(project: &Project, piece: usize, face: Face) -> String {
    match shown(project, piece, face) {
        Some(shown) => format!("{} ({shown})", face.name()),
        None => face.name().to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::listed;
    use crate::project::Price;

    #[test]
    fn letters_go_on_after_z() {
        let found: Vec<String> = [0, 25, 26, 27, 51, 52, 701, 702].map(letter).to_vec();
        assert_eq!(found, ["A", "Z", "AA", "AB", "AZ", "BA", "ZZ", "AAA"]);
    }

    #[test]
    fn a_size_names_its_unit_once() {
        let sides = (
            Length::from_inch_fraction(101, 16),
            Length::from_inch_fraction(41, 8),
        );
        assert_eq!(size(sides, LengthStyle::InchFractions), "6 5/16 x 5 1/8 in");
        let sides = (Length::from_mm(160), Length::from_um(130_500));
        assert_eq!(size(sides, LengthStyle::Millimetres), "160 x 130.5 mm");
    }

    #[test]
    fn prices_have_two_decimals() {
        let some = |hundredths| Price {
            hundredths,
            currency: "EUR".into(),
        };
        assert_eq!(some(5).to_string(), "0.05 EUR");
        assert_eq!(some(1250).to_string(), "12.50 EUR");
    }

    #[test]
    fn names_are_listed_as_people_do() {
        let names = ["lid", "tray", "band"].map(str::to_owned);
        assert_eq!(listed(&names), "lid, tray and band");
        assert_eq!(listed(&names[..1]), "lid");
    }
}

//! Which copy takes which row of a list.

use super::{Artwork, ArtworkFill, ListRow, Listed, Project};

impl Project {
    /// The row of its list that a copy takes of an artwork of `piece`; `artwork` is a position in what
    /// [`artwork_of`](Self::artwork_of) returns. `None` for a spare copy, and where there is no list or no row is left.
    ///
    /// Editions that share a list take its rows one after the other.
    ///
    /// # Panics
    /// If a position is not one of this project's.
    #[must_use]
    pub fn row_of(
        &self,
        edition: usize,
        piece: usize,
        artwork: usize,
        copy: u32,
    ) -> Option<&ListRow> {
        let listed = listed(self.artwork_of(edition, piece).get(artwork)?)?;
        let before = &self.editions[..edition];
        let all_before: u32 = before.iter().map(|e| e.copies + e.spares).sum();
        let number = copy.checked_sub(all_before + 1)?;
        if number >= self.editions[edition].copies {
            return None;
        }
        let taken: u32 = (0..edition)
            .filter(|e| self.takes(*e, piece, artwork, &listed.list))
            .map(|e| self.editions[e].copies)
            .sum();
        listed.rows.get(usize::try_from(taken + number).ok()?)
    }

    /// How many copies take a row of a list for an artwork of `piece`.
    ///
    /// # Panics
    /// If a position is not one of this project's.
    #[must_use]
    pub fn takers(&self, piece: usize, artwork: usize, list: &str) -> u32 {
        let editions = self.editions.iter().enumerate();
        editions
            .filter(|(e, _)| self.takes(*e, piece, artwork, list))
            .map(|(_, edition)| edition.copies)
            .sum()
    }

    fn takes(&self, edition: usize, piece: usize, artwork: usize, list: &str) -> bool {
        let artwork = self.artwork_of(edition, piece).get(artwork).copied();
        artwork.and_then(listed).is_some_and(|own| own.list == list)
    }
}

fn listed(artwork: &Artwork) -> Option<&Listed> {
    match &artwork.fill {
        ArtworkFill::Each(listed) => Some(listed),
        ArtworkFill::Flat(_) | ArtworkFill::Picture(_) | ArtworkFill::Repeat(_) => None,
    }
}

//! Pieces that need not be made: those made before, and those that passes of a punch or die leave besides.

use super::Project;

impl Project {
    /// How many of the wanted ones of `piece` are there in `edition` (both are positions in this project's lists): made before, or left
    /// by passes that this edition takes. The first copies get them, but for pieces whose place on a sheet is decided, which are made.
    ///
    /// What was made before is shared out in the order of the editions.
    ///
    /// # Panics
    /// If a position is not one of this project's.
    #[must_use]
    pub fn there(&self, edition: usize, piece: usize) -> u32 {
        let left: u32 = self
            .pieces
            .iter()
            .enumerate()
            .map(|(from, other)| {
                let also = other.finish.iter().flat_map(|finish| &finish.also);
                let each = also.filter(|(i, _)| *i == piece).map(|(_, count)| count);
                let passes = self.wanted(edition, from) - self.made_before(edition, from);
                passes.saturating_mul(each.sum())
            })
            .fold(0, u32::saturating_add);
        let before = self.made_before(edition, piece);
        before
            .saturating_add(left)
            .min(self.wanted(edition, piece) - self.pinned(edition, piece))
    }

    fn wanted(&self, edition: usize, piece: usize) -> u32 {
        self.editions[edition].copies * self.pieces[piece].per_copy
    }

    /// How many of those that an edition wants were made before.
    fn made_before(&self, edition: usize, piece: usize) -> u32 {
        let free = |edition| self.wanted(edition, piece) - self.pinned(edition, piece);
        let earlier: u32 = (0..edition).map(free).sum();
        let rest = self.pieces[piece].have.saturating_sub(earlier);
        rest.min(free(edition))
    }

    /// How many of a piece are pinned in the wanted copies of an edition; spares cannot be.
    fn pinned(&self, edition: usize, piece: usize) -> u32 {
        let before = self.editions[..edition].iter();
        let first = 1 + before.map(|e| e.copies + e.spares).sum::<u32>();
        let copies = first..first + self.editions[edition].copies;
        let pins = self.pins.iter().filter(|pin| pin.piece == piece);
        let pins = pins.filter(|pin| copies.contains(&pin.copy)).count();
        u32::try_from(pins).unwrap_or(u32::MAX)
    }
}

//! Which turns a piece may take on a sheet: its own wish, the grain and a bought pattern together.

use super::place::TurnSet;
use crate::project::{Piece, Reads, Stock, StockFace, StockSide, Turns};

/// Returns the quarter turns that `piece` may take on a sheet of `stock` whose face `side` is up.
pub(super) fn allowed(piece: &Piece, stock: &Stock, side: StockSide) -> TurnSet {
    TurnSet::of(|quarters| {
        is_wished(piece.turns, quarters)
            && follows_grain(piece, stock, quarters)
            && shows_pattern_right(piece, stock.face(side), quarters)
    })
}

fn is_wished(turns: Turns, quarters: u8) -> bool {
    match turns {
        Turns::None => quarters == 0,
        Turns::Half => quarters.is_multiple_of(2),
        Turns::Quarters | Turns::Any => true,
    }
}

fn follows_grain(piece: &Piece, stock: &Stock, quarters: u8) -> bool {
    match (piece.grain, stock.grain) {
        (Some(wished), Some(there)) => (wished == there) == (quarters.is_multiple_of(2)),
        (None, _) | (_, None) => true,
    }
}

fn shows_pattern_right(piece: &Piece, face: &StockFace, quarters: u8) -> bool {
    let (StockFace::Patterned { reads, up, .. }, Some(wished)) = (face, piece.pattern_up) else {
        return true;
    };
    let off = (wished.quarters() + quarters + 4 - up.quarters()) % 4;
    match reads {
        Reads::OneWay => off == 0,
        Reads::Stripe => off.is_multiple_of(2),
        Reads::Free => true,
    }
}

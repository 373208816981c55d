//! Which turns a piece may take on a sheet: its own wish, the grain and a bought pattern together.

use super::place::TurnSet;
use crate::project::{CutBy, Job, Piece, Reads, Stock, StockFace, StockSide, Turns};

/// Returns the turns that `piece` may take on a sheet of `stock` whose face `side` is up.
///
/// Every angle needs a blade that follows outlines, and neither fibres nor a pattern that tell the piece how to lie.
pub(super) fn allowed(job: &Job, piece: &Piece, stock: &Stock, side: StockSide) -> TurnSet {
    let by_quarters = TurnSet::of(|quarters| {
        is_wished(piece.turns, quarters)
            && follows_grain(piece, stock, quarters)
            && shows_pattern_right(piece, stock.face(side), quarters)
    });
    let is_bound = piece.grain.and(stock.grain).is_some() || is_patterned(piece, stock.face(side));
    let follows_outlines = job.cut_by == CutBy::Machine && !job.rows;
    if piece.turns == Turns::Any && follows_outlines && !is_bound {
        TurnSet::ANY
    } else {
        by_quarters
    }
}

/// Whether a bought pattern asks for a direction; even one that reads the same at every quarter looks askew between them.
fn is_patterned(piece: &Piece, face: &StockFace) -> bool {
    matches!(face, StockFace::Patterned { .. }) && piece.pattern_up.is_some()
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::Axis;
    use crate::project::Edge;

    /// What a piece that may take any turn may take after all.
    fn turns(change: impl FnOnce(&mut Job, &mut Piece, &mut Stock)) -> TurnSet {
        let text = r#"
            sheetwright = 1
            job = { name = "Bean labels", copies = 1, cut_by = "machine" }
            stock = [{ id = "oat", format = "letter", grain = "long" }]
            piece = [{ id = "label", stock = "oat", turns = "any", shape = { kind = "circle", diameter = "2 in" } }]
        "#;
        let no_files = std::collections::BTreeMap::new();
        let read = crate::load::project("p", text, &no_files, &crate::load::Options::default());
        let mut project = read.expect("the project is right").value;
        let (piece, stock) = (&mut project.pieces[0], &mut project.stocks[0]);
        change(&mut project.job, piece, stock);
        allowed(&project.job, piece, stock, StockSide::A)
    }

    fn patterned(reads: Reads) -> StockFace {
        StockFace::Patterned {
            name: "leaves".to_owned(),
            reads,
            up: Edge::Top,
        }
    }

    #[test]
    fn any_turn_is_free_where_nothing_binds_a_piece() {
        assert_eq!(turns(|_, _, _| ()), TurnSet::ANY);
        // A pattern that the maker does not mind binds nothing.
        let face = patterned(Reads::OneWay);
        assert_eq!(turns(|_, _, stock| stock.face_a = face), TurnSet::ANY);
    }

    #[test]
    fn grain_pattern_trimmer_and_rows_leave_the_quarters_that_suit_them() {
        let half = TurnSet::of(|q| q % 2 == 0);
        assert_eq!(turns(|_, piece, _| piece.grain = Some(Axis::Y)), half);
        let with = |reads| {
            turns(|_, piece, stock| {
                piece.pattern_up = Some(Edge::Top);
                stock.face_a = patterned(reads);
            })
        };
        assert_eq!(with(Reads::OneWay), TurnSet::of(|q| q == 0));
        assert_eq!(with(Reads::Stripe), half);
        assert_eq!(with(Reads::Free), TurnSet::QUARTERS);
        assert_eq!(
            turns(|job, _, _| job.cut_by = CutBy::Trimmer),
            TurnSet::QUARTERS
        );
        assert_eq!(turns(|job, _, _| job.rows = true), TurnSet::QUARTERS);
    }
}

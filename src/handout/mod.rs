//! Everything that lies on the maker's table, worked out before anything is drawn: what to buy, what to cut and score by hand, in which
//! order, with which face up, what it costs, and what to try first.
//!
//! [`handout`] makes a [`Handout`] from a project and its plan; `draw` sets it on pages, `plan.json` carries it, and nothing about it is
//! decided later. Read `model` first. Then `piece_work` (what is done to each piece, with `scores`, `treatments` and `layer`; `crease_lines`, `fence` and
//! `embossed` say what scores are made of), `gluing` (in which
//! order things are stuck), `steps`, `shopping` (with `opened`, `supplies` and `money`), `cost`, `kit` and `cautions`; `kit_text` has the
//! words of `kit.pdf`, `shopping_entry` those of JSON.
//!
//! A score is given from one edge of the piece, the fence. Of positions that are no whole step of the maker's rule only the position itself
//! is rounded, never a width between two: so widths add up to the whole.

mod cost;
mod crease_lines;
mod embossed;
mod fence;
mod kit;
mod kit_text;
mod layer;
mod model;
mod money;
mod opened;
mod piece_work;
mod scores;
mod shopping;
mod shopping_entry;
mod supplies;
mod treatments;
mod words;

pub use kit_text::{KitListText, KitText, ShoppingRow, ShoppingText, kit_text, shopping_lines};
pub use model::{
    BagLabels, Bought, Cost, FitTest, Glueing, GrooveFit, Handout, KitLine, LayerOn, Outlay,
    PieceWork, Score, ShoppingList, SupplyBought, TreatedWork, WorkStep,
};
pub use money::money;
pub use shopping_entry::{bags_entry, cost_entry, shopping_entries};

pub use model::axis_of;

use crate::plan::JobPlan;
use crate::project::Project;

/// Returns everything that lies on the table for a job that was planned.
#[must_use]
pub fn handout(project: &Project, plan: &JobPlan) -> Handout {
    let shopping = shopping::shopping(project, plan);
    let told = cost::cost(project, plan, &shopping);
    let kit = kit::kit(project);
    Handout {
        style: project.job.lengths,
        pieces: piece_work::pieces(project),
        gluing: Vec::new(),
        steps: Vec::new(),
        tools: Vec::new(),
        shopping,
        cost: told.cost,
        no_cost: told.no_cost,
        labels: kit::labels(project, &kit),
        kit,
        fit_tests: Vec::new(),
        cautions: Vec::new(),
    }
}

//! Everything that lies on the maker's table, worked out before anything is drawn: what to buy, what to cut and score by hand, in which
//! order, with which face up, what it costs, and what to try first.
//!
//! [`handout`] makes a [`Handout`] from a project and its plan; `draw` sets it on pages, `plan.json` carries it, and nothing about it is
//! decided later. Read `model` first. Then `piece_work` (what is done to each piece, with `scores`, `treatments` and `layer`; `crease_lines`, `fence` and
//! `embossed` say what scores are made of), `gluing` (in which order things are stuck, with `bodies`), `steps` (with `cut_words` and
//! `score_words`), `shopping` (with `opened`, `supplies` and `money`), `cost`, `kit` (`kit_text` has the words of `kit.pdf`, `shopping_entry`
//! those of JSON), `fit_tests` and `cautions`. `warnings` tells what a maker will not manage, `describe` is the
//! entry in `plan.json`, and `words` has what people read.
//!
//! A score is given from one edge of the piece, the fence. Of positions that are no whole step of the maker's rule only the position itself
//! is rounded, never a width between two: so widths add up to the whole.

mod bodies;
mod cautions;
mod cost;
mod crease_lines;
mod cut_words;
mod describe;
mod embossed;
mod fence;
mod fit_tests;
mod gluing;
mod kit;
mod kit_text;
mod layer;
mod model;
mod money;
mod opened;
mod piece_work;
mod score_words;
mod scores;
mod shopping;
mod shopping_entry;
mod steps;
mod supplies;
mod treatments;
mod warnings;
mod words;

pub use kit_text::{KitListText, KitText, ShoppingRow, ShoppingText, kit_text, shopping_lines};
pub use model::{
    BagLabels, Bought, Cost, FitTest, Glueing, GrooveFit, Handout, KitLine, LayerOn, Outlay,
    PieceWork, Score, ShoppingList, SupplyBought, TreatedWork, WorkStep,
};
pub use shopping_entry::{bags_entry, cost_entry, shopping_entries};
pub use words::sheet_name;

pub use describe::entry;
pub use model::axis_of;
pub use warnings::warnings;

use crate::plan::JobPlan;
use crate::project::Project;

/// Returns everything that lies on the table for a job that was planned.
#[must_use]
pub fn handout(project: &Project, plan: &JobPlan) -> Handout {
    let pieces = piece_work::pieces(project);
    let gluing = gluing::gluing(project);
    let shopping = shopping::shopping(project, plan);
    let told = cost::cost(project, plan, &shopping);
    let kit = kit::kit(project);
    Handout {
        style: project.job.lengths,
        steps: steps::steps(project, &pieces, &gluing),
        tools: cautions::tools(project, &pieces, &gluing),
        shopping,
        cost: told.cost,
        no_cost: told.no_cost,
        labels: kit::labels(project, &kit),
        kit,
        fit_tests: fit_tests::fit_tests(project),
        cautions: cautions::cautions(project, &pieces, &gluing),
        pieces,
        gluing,
    }
}

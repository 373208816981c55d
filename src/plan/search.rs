//! The search for sheets, group by group, by way of the [`Placer`].
//!
//! First a glance at every group, so that there is a whole layout of the job at once; then the search proper, which tells how many
//! sheets the job takes so far. A search never falls back behind the glance, even if it is stopped
//! at once.

use super::demand::Group;
use super::draft::{Draft, Drafts, draft_place, grounds, request};
use super::ground::{Ground, MarksWish};
use super::pin;
use super::place::{
    Best, Effort, FilledSheet, Layout, Placed, Placer, Progress, Request, Watch, bound,
};
use crate::project::Project;

/// How sheets are looked for.
#[derive(Clone, Copy)]
pub(super) struct Search<'a> {
    pub(super) project: &'a Project,
    pub(super) groups: &'a [Group],
    pub(super) placer: &'a dyn Placer,
    /// Whether marks are planned.
    pub(super) marks: MarksWish,
    /// Which layout is the best.
    pub(super) best: Best,
    /// How much work is put in.
    pub(super) effort: Effort,
    /// Who looks on.
    pub(super) watch: &'a dyn Watch,
}

impl Search<'_> {
    /// Fills sheets for all groups.
    pub(super) fn drafts(self) -> Drafts {
        if self.effort == Effort::Quick {
            return collected(self.round(&[]));
        }
        let glance = Search {
            effort: Effort::Quick,
            watch: &Silent(self.watch),
            ..self
        }
        .round(&[]);
        self.watch.progress(Progress {
            done: 0,
            all: self.groups.len(),
            sheets: Some(glance.iter().map(Found::sheet_count).sum()),
            bound: glance.iter().map(|found| found.bound).sum(),
        });
        collected(self.round(&glance))
    }

    /// Lays out every group in turn. `earlier` is what an earlier round found; empty if this is the first.
    fn round(self, earlier: &[Found]) -> Vec<Found> {
        let mut on_hand = pin::left_on_hand(self.project);
        let mut found: Vec<Found> = Vec::new();
        for index in 0..self.groups.len() {
            let others = || found.iter().chain(earlier.iter().skip(index + 1));
            let watch = GroupWatch {
                inner: self.watch,
                before: index,
                groups: self.groups.len(),
                other_sheets: others().map(Found::sheet_count).sum(),
                bound: others().chain(earlier.get(index)).map(|f| f.bound).sum(),
                is_whole: !earlier.is_empty(),
            };
            let new = self.group(index, &on_hand, &watch, earlier.get(index));
            for draft in new
                .drafts
                .iter()
                .filter(|d| d.ground.pinned_sheet.is_none())
            {
                if let Some(left) = &mut on_hand[draft.ground.stock] {
                    *left -= draft.runs;
                }
            }
            found.push(new);
        }
        found
    }

    fn group(
        self,
        index: usize,
        on_hand: &[Option<u32>],
        watch: &dyn Watch,
        earlier: Option<&Found>,
    ) -> Found {
        let group = &self.groups[index];
        let pinned = pin::pinned(self.project, group);
        let mut grounds = grounds(self.project, group, self.marks);
        grounds.splice(0..0, pin::sheets(self.project, group, &grounds, &pinned));
        let mut request = request(self.project, group, &grounds, on_hand, self.effort);
        request.best = self.best;
        let mut placed = self.placer.place(&request, watch);
        if let Some(glance) = earlier.filter(|e| is_same_but_effort(&e.request, &request))
            && is_better(&request, &glance.placed.layout, &placed.layout)
        {
            placed.layout = glance.placed.layout.clone();
        }
        let sheets = placed.layout.sheets.iter();
        let mut drafts = sheets
            .map(|sheet| drafted(group, index, &grounds, sheet))
            .collect();
        pin::add(self.project, index, &grounds, &pinned, &mut drafts);
        Found::new(group, request, placed, drafts)
    }
}

/// What was found for one group.
struct Found {
    request: Request,
    placed: Placed,
    drafts: Vec<Draft>,
    /// Whole sheets that no layout of what is placed can go below, those that pins open included.
    bound: u32,
}

impl Found {
    fn new(group: &Group, request: Request, placed: Placed, drafts: Vec<Draft>) -> Self {
        let is_opened =
            |d: &&Draft| d.ground.stock == group.stock && d.ground.pinned_sheet.is_some();
        let opened: u32 = drafts.iter().filter(is_opened).map(|d| d.runs).sum();
        Self {
            bound: opened + bound::sheets_for(&request, &placed.layout).better,
            request,
            placed,
            drafts,
        }
    }

    fn sheet_count(&self) -> u32 {
        self.drafts.iter().map(|d| d.runs).sum()
    }
}

fn drafted(group: &Group, index: usize, grounds: &[Ground], sheet: &FilledSheet) -> Draft {
    Draft {
        group: index,
        ground: grounds[sheet.kind].clone(),
        runs: sheet.runs,
        places: sheet.places.iter().map(|p| draft_place(group, p)).collect(),
    }
}

fn collected(found: Vec<Found>) -> Drafts {
    let mut drafts = Drafts {
        sheets: Vec::new(),
        leftovers: Vec::new(),
        spares: Vec::new(),
        bounds: Vec::new(),
        is_stopped: false,
    };
    for one in found {
        drafts.sheets.extend(one.drafts);
        drafts.leftovers.push(one.placed.layout.leftovers);
        drafts.spares.push(one.placed.layout.spares);
        drafts.bounds.push(one.bound);
        drafts.is_stopped |= one.placed.is_stopped;
    }
    drafts.sheets.sort_by_key(|d| {
        let number = d.ground.pinned_sheet;
        (d.ground.stock, number.is_none(), number, d.group)
    });
    drafts
}

fn is_same_but_effort(a: &Request, b: &Request) -> bool {
    let as_in_b = Request {
        effort: b.effort,
        ..a.clone()
    };
    as_in_b == *b
}

/// Whether a layout leaves less over than another one, or as much and is better as the request has it.
fn is_better(request: &Request, layout: &Layout, other: &Layout) -> bool {
    let left_nm2 = |layout: &Layout| -> i128 {
        let parts = request.parts.iter().zip(&layout.leftovers);
        parts
            .map(|(p, left)| i128::from(p.width_nm) * i128::from(p.height_nm) * i128::from(*left))
            .sum()
    };
    let whole = |layout: &Layout| -> u32 {
        let sheets = layout.sheets.iter();
        let whole = sheets.filter(|s| !request.sheets[s.kind].is_offcut);
        whole.map(|s| s.runs).sum()
    };
    let merit = |layout: &Layout| match request.best {
        Best::FewestSheets => (left_nm2(layout), whole(layout), 0),
        Best::FewestLayouts => (left_nm2(layout), 0, layout.sheets.len()),
        Best::KitPerSheet => (left_nm2(layout), 0, 0),
    };
    merit(layout) < merit(other)
}

/// Lets a search be stopped and keeps its progress to itself.
pub(super) struct Silent<'a>(pub(super) &'a dyn Watch);

impl Watch for Silent<'_> {
    fn is_stopped(&self) -> bool {
        self.0.is_stopped()
    }
}

/// Tells how far the whole job is while one group of it is laid out.
struct GroupWatch<'a> {
    inner: &'a dyn Watch,
    before: usize,
    groups: usize,
    /// Sheets of all other groups.
    other_sheets: u32,
    /// Whole sheets that no layout of the job can go below.
    bound: u32,
    /// Whether there is a layout of all other groups already.
    is_whole: bool,
}

impl Watch for GroupWatch<'_> {
    fn is_stopped(&self) -> bool {
        self.inner.is_stopped()
    }

    fn progress(&self, progress: Progress) {
        let sheets = progress.sheets.filter(|_| self.is_whole);
        self.inner.progress(Progress {
            done: self.before * progress.all + progress.done,
            all: self.groups * progress.all,
            sheets: sheets.map(|sheets| sheets + self.other_sheets),
            bound: self.bound,
        });
    }
}

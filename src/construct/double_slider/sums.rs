//! The sums of a double slider. The construction's front page says what each is.

use super::super::limits::asked_key;
use super::super::{Given, Grid, Refusal};
use crate::length::Length;

/// Most that is asked of a ratio of sizes.
const MOST_RATIO: i64 = 10;
/// Least that shows of a panel, in millimetres: what fingers can hold.
const LEAST_MM: i64 = 5;
/// Most plies that are stuck on each other as one panel.
const MOST_PLIES: u32 = 6;
/// What the film is kept off the frame's bar where it turns, in micrometres.
const TURN_UM: i64 = 300;
/// What a shoulder reaches behind its stop at least, in micrometres, when all clearance is on the other side.
const HOOK_UM: i64 = 1000;
/// Least width of the frame's bar, in millimetres: narrower strips of card bend when they are glued.
const BAR_MM: i64 = 3;

/// Thicknesses.
#[derive(Debug, Clone, Copy)]
pub(super) struct Thick {
    pub(super) core: Length,
    pub(super) frame: Length,
    pub(super) front_cover: Length,
    pub(super) back_cover: Length,
    pub(super) film: Length,
    pub(super) front_panel: Length,
    pub(super) back_panel: Length,
    pub(super) stiffener: Length,
    pub(super) tape: Length,
    pub(super) glue: Length,
}

/// All sizes, on the hand grid where a maker measures them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sums {
    pub(super) thick: Thick,
    /// Plies of a panel.
    pub(super) plies: u32,
    /// Plies of a frame.
    pub(super) frame_plies: u32,
    /// How far a panel goes, and so how much of it shows when open.
    pub(super) travel: Length,
    /// Width of the core between its turning edges.
    pub(super) core_width: Length,
    /// Height of the part of a panel that shows, and of the film.
    pub(super) lead: Length,
    /// Height of the frame's exit.
    pub(super) exit: Length,
    /// How far shoulders and steps reach.
    pub(super) catch: Length,
    /// Width of the frame, and of the covers' ends beyond the core.
    pub(super) rail: Length,
    /// Room of the film at a turning edge, before the frame's bar.
    pub(super) turn: Length,
    /// Length of a panel's tail with the shoulders.
    pub(super) tail: Length,
    /// Where the strip begins, from the panel's inner end.
    pub(super) strip_at: Length,
    pub(super) strip: Length,
    pub(super) overlap: Length,
    /// How far the strip is to stay from turning edges.
    pub(super) stop: Length,
    /// Length of the film.
    pub(super) cut: Length,
    /// What the loop is longer than the tightest one.
    pub(super) ease: Length,
    pub(super) thumb: Length,
    pub(super) tab: Length,
}

impl Sums {
    /// Solves the sums on the grid, clearances kept.
    ///
    /// # Errors
    ///
    /// Returns what cannot be built, and what would be the least or the most.
    pub(super) fn new(given: &Given<'_>) -> Result<Self, Vec<Refusal>> {
        let grid = given.grid;
        let of = |key: &str| given.length(key).unwrap_or(Length::ZERO);
        let thick = Thick::new(given);
        let plies = given.count("plies").unwrap_or(1);
        let (strip, stop) = (of("strip"), of("stop"));
        let rail = grid.up(of("rail"));
        let catch = grid.up(of("catch").max(grid.up(of("clearance")) + Length::from_um(HOOK_UM)));
        let overlap = grid.up(given.length("overlap").unwrap_or(strip));
        let turn = grid.up(half(of("band_ease") + step(grid)) + Length::from_um(TURN_UM));
        let strip_at = grid.up(stop + turn);
        let mut sums = Self {
            thick,
            plies,
            frame_plies: 0,
            travel: Length::ZERO,
            core_width: Length::ZERO,
            lead: Length::ZERO,
            exit: Length::ZERO,
            catch,
            rail,
            turn,
            tail: strip_at + overlap + stop,
            strip_at,
            strip,
            overlap,
            stop,
            cut: Length::ZERO,
            ease: of("band_ease"),
            thumb: Length::ZERO,
            tab: grid.up(of("tab")),
        };
        sums.widths(given);
        sums.heights(given, of("clearance"));
        sums.thumb = given
            .length("thumb")
            .unwrap_or_else(|| usual_thumb(given, sums.lead));
        sums.frame_plies = sums.frame_plies_for(of("slot_clearance"));
        let tightest = sums.tightest();
        sums.cut = grid.up(tightest + of("band_ease") + overlap);
        let refusals = sums.refusals(given);
        sums.ease = sums.cut - overlap - tightest;
        if refusals.is_empty() {
            Ok(sums)
        } else {
            Err(refusals)
        }
    }

    /// Works out travel, core and tail.
    fn widths(&mut self, given: &Given<'_>) {
        let grid = given.grid;
        let hold = given.length("hold");
        if let Some(outside) = given.outside().and_then(|sizes| sizes.first()) {
            self.core_width = grid.down(*outside) - self.rail * 2;
            let whole = self.core_width + self.turn;
            // The tail K holds a quarter of the travel: q + K = (W + g - K) / 4.
            let usual = Length::from_nm((whole - self.rail * 4).nm() / 5);
            self.tail = grid.up(self.tail.max(hold.map_or(usual, |hold| hold - self.rail)));
            self.travel = whole - self.tail;
        } else {
            let shown = given.inside().and_then(|sizes| sizes.first().copied());
            self.travel = grid.up(shown.unwrap_or(Length::ZERO));
            let usual = Length::from_nm(self.travel.nm() / 4);
            self.tail = grid.up(self.tail.max(hold.unwrap_or(usual) - self.rail));
            self.core_width = self.travel + self.tail - self.turn;
        }
    }

    /// Works out the heights of panel and exit.
    fn heights(&mut self, given: &Given<'_>, clearance: Length) {
        let grid = given.grid;
        if let Some(outside) = given.outside().and_then(|sizes| sizes.get(1)) {
            self.exit = grid.down(*outside) - (self.rail + self.catch) * 2;
            self.lead = grid.down(self.exit - clearance);
        } else {
            let shown = given.inside().and_then(|sizes| sizes.get(1).copied());
            self.lead = grid.up(shown.unwrap_or(Length::ZERO));
            self.exit = grid.up(self.lead + clearance);
        }
    }

    /// Plies that a frame needs: what lies on its side of the core, and half of what is to be left free.
    fn frame_plies_for(&self, free: Length) -> u32 {
        let Thick {
            film,
            tape,
            glue,
            frame,
            ..
        } = self.thick;
        let layers =
            self.front_thickness().max(self.back_thickness()) + (film + tape) * 2 + half(free);
        let ply = (frame + glue).nm().max(1);
        let plies = -(-(layers - glue).nm().max(1)).div_euclid(ply);
        u32::try_from(plies).unwrap_or(u32::MAX)
    }

    /// Thickness of the front panel with its stiffeners.
    pub(super) fn front_thickness(&self) -> Length {
        self.thick.front_panel + self.stiffening()
    }

    /// Thickness of the back panel with its stiffeners.
    pub(super) fn back_thickness(&self) -> Length {
        self.thick.back_panel + self.stiffening()
    }

    fn stiffening(&self) -> Length {
        (self.thick.stiffener + self.thick.glue) * (i64::from(self.plies) - 1).max(0)
    }

    /// Height between the core and a cover.
    pub(super) fn level(&self) -> Length {
        (self.thick.frame + self.thick.glue) * i64::from(self.frame_plies) + self.thick.glue
    }

    /// Height between the covers.
    pub(super) fn slot(&self) -> Length {
        self.thick.core + self.level() * 2
    }

    /// What the layers in the slot come to where they are thickest.
    pub(super) fn needed(&self) -> Length {
        self.thick.core
            + self.front_thickness()
            + self.back_thickness()
            + (self.thick.film + self.thick.tape) * 3
    }

    /// Thickness over all.
    pub(super) fn thickness(&self) -> Length {
        self.slot() + self.thick.front_cover + self.thick.back_cover
    }

    /// Width of covers, frames and core over all.
    pub(super) fn outer_width(&self) -> Length {
        self.core_width + self.rail * 2
    }

    /// Their height.
    pub(super) fn outer_height(&self) -> Length {
        self.exit + (self.rail + self.catch) * 2
    }

    /// Length of a panel without its tab: closed, it ends flush with the covers.
    pub(super) fn panel_length(&self) -> Length {
        self.turn + self.core_width + self.rail
    }

    /// The tightest loop round the core.
    pub(super) fn tightest(&self) -> Length {
        (self.core_width + self.thick.core) * 2
    }

    /// The loop of the band.
    pub(super) fn loop_length(&self) -> Length {
        self.cut - self.overlap
    }

    /// How near strip and seam come to the turning edge behind them, closed.
    pub(super) fn first_stop(&self) -> Length {
        self.strip_at - self.turn
    }

    /// How near strip and seam come to the turning edge before them, open.
    pub(super) fn last_stop(&self) -> Length {
        self.tail - self.strip_at - self.overlap
    }

    /// How much of a panel stays inside when it is open.
    pub(super) fn held(&self) -> Length {
        self.rail + self.tail
    }

    /// Room of a panel in its frame, both sides together.
    pub(super) fn clearance(&self) -> Length {
        self.exit - self.lead
    }

    fn refusals(&self, given: &Given<'_>) -> Vec<Refusal> {
        let show = |length: Length| given.show(length);
        let mut refusals = self.refused_sizes(given);
        let mut least = |key, is: Length, least: Length, why: &str| {
            if is < least {
                let (is, needs) = is.told_apart(least, given.style);
                refusals.push(Refusal {
                    key,
                    message: format!("{key} is {is}, but {why} needs {needs}"),
                    hint: format!("make it {} or more", given.show_least(least)),
                });
            }
        };
        let Thick { film, tape, .. } = self.thick;
        least(
            "band_ease",
            self.ease,
            film * 5 + tape,
            "a film that turns round the core and over its own seam",
        );
        least(
            "overlap",
            self.overlap,
            self.strip,
            "the strip, which is to lie on one layer of film,",
        );
        least(
            "strip",
            self.strip,
            Length::from_mm(3),
            "a panel that is not to tear off",
        );
        least(
            "stop",
            self.stop,
            half(self.ease + step(given.grid)),
            "a band that may creep by half its ease",
        );
        least(
            "rail",
            self.rail,
            self.turn + Length::from_mm(BAR_MM),
            "the frame's bar beside the film",
        );
        let most_thumb = most_thumb(self.lead);
        if self.thumb > most_thumb {
            let message = format!(
                "the thumb cut is {} wide, but the panel is {} high",
                show(self.thumb),
                show(self.lead)
            );
            refusals.push(Refusal {
                key: "thumb",
                message,
                hint: format!("make it {} or less", given.show_most(most_thumb)),
            });
        }
        if !(1..=MOST_PLIES).contains(&self.plies) {
            let message = format!("a panel of {} plies cannot be made", self.plies);
            refusals.push(Refusal {
                key: "plies",
                message,
                hint: format!("ask for 1 to {MOST_PLIES}"),
            });
        }
        refusals
    }

    /// What shows must be large enough to hold, and no more than ten times as long as high or as high as long.
    fn refused_sizes(&self, given: &Given<'_>) -> Vec<Refusal> {
        let show = |length: Length| given.show(length);
        let key = asked_key(given);
        let (small, large) = (self.travel.min(self.lead), self.travel.max(self.lead));
        let least = Length::from_mm(LEAST_MM);
        let (message, hint) = if small < least {
            let more = given.show_least(least - small);
            let message = format!(
                "{} x {} would show of a panel, at least {} must",
                show(self.travel),
                show(self.lead),
                show(least)
            );
            (message, format!("ask for {more} more"))
        } else if large > small * MOST_RATIO {
            let message = format!(
                "{} is more than {MOST_RATIO} times {}",
                show(large),
                show(small)
            );
            (
                message,
                format!("ask for {} or less", given.show_most(small * MOST_RATIO)),
            )
        } else {
            return Vec::new();
        };
        vec![Refusal { key, message, hint }]
    }
}

impl Thick {
    fn new(given: &Given<'_>) -> Self {
        let of = |key: &str| given.length(key).unwrap_or(Length::ZERO);
        Self {
            core: given.caliper("core"),
            frame: given.caliper("frame"),
            front_cover: given.caliper("front-cover"),
            back_cover: given.caliper("back-cover"),
            film: given.caliper("band"),
            front_panel: given.caliper("front-panel"),
            back_panel: given.caliper("back-panel"),
            stiffener: given.caliper("stiffener"),
            tape: of("tape"),
            glue: of("glue"),
        }
    }
}

/// The widest thumb cut beside a panel of this height: it leaves a tenth of it above and below.
fn most_thumb(lead: Length) -> Length {
    Length::from_nm(lead.nm() / 5 * 4)
}

/// Returns the usual thumb cut: 16 mm or 5/8 in, on a low panel what there is room for in whole millimetres or sixteenths; none where a
/// fingertip would find less than 6 mm or 1/4 in.
fn usual_thumb(given: &Given<'_>, lead: Length) -> Length {
    let (wide, least, step) = if given.is_inch {
        let sixteenths = |n| Length::from_inch_fraction(n, 16);
        (sixteenths(10), sixteenths(4), sixteenths(1))
    } else {
        (Length::from_mm(16), Length::from_mm(6), Length::from_mm(1))
    };
    let thumb = wide.min(Grid::of(step).down(most_thumb(lead)));
    if thumb < least { Length::ZERO } else { thumb }
}

/// Half of a length, rounded up to a whole nanometre.
fn half(length: Length) -> Length {
    Length::from_nm((length.nm() + 1).div_euclid(2))
}

/// How much a size grows at most when it is brought onto the grid.
fn step(grid: Grid) -> Length {
    if grid.is_none() {
        Length::ZERO
    } else {
        grid.step()
    }
}

//! How a double slider goes together, closed and lying on its back cover.

use kurbo::{BezPath, Line};

use super::super::joint::nowhere;
use super::super::{Kind, Made};
use super::drawn::{Loop, Window, rectangle};
use super::sums::Sums;
use crate::geometry::space::{Rigid, Vec3};
use crate::length::{Length, Size};
use crate::math::Angle;
use crate::project::{
    Assembly, Bend, Clearance, Face, Joint, JointKind, Member, Patch, Rider, RunningBand, Stretch,
    Surface,
};

/// Returns the assembly; members name pieces by their positions in `pieces`.
pub(super) fn assembly(kind: &Kind, sums: &Sums, pieces: &[Made]) -> Assembly {
    let mut build = Build {
        sums,
        pieces,
        members: Vec::new(),
        joints: Vec::new(),
        free: Vec::new(),
    };
    let core = build.lay("core", Side::Front, (0.0, 0.0), build.core_mm());
    let film = build.band();
    let front = build.half(Side::Front, core, film);
    let back = build.half(Side::Back, core, film);
    build.keep_film_free(film);
    Assembly {
        id: kind.name.into(),
        name: kind.title.into(),
        members: build.members,
        joints: build.joints,
        free_of_glue: build.free,
        band: Some(running_band(sums, core, film, [front, back])),
        tolerance: Size::new(Length::from_um(TOLERANCE_UM)).expect("a tenth is more than nothing"),
        origin: nowhere(),
    }
}

/// How far glue may miss, in micrometres: a tenth of a millimetre is what a good trimmer holds (common practice, no source).
const TOLERANCE_UM: i64 = 100;

fn running_band(sums: &Sums, core: usize, band: usize, panels: [usize; 2]) -> RunningBand {
    let start = sums.first_stop();
    let back = Length::from_nm(sums.loop_length().nm() / 2) + start;
    let strip = |from: Length| Stretch {
        from,
        to: from + sums.strip,
    };
    let rider = |member, from| Rider {
        member,
        strip: strip(from),
        stop: sums.stop,
    };
    RunningBand {
        core,
        band,
        riders: [rider(panels[0], start), rider(panels[1], back)],
        seam: Stretch {
            from: back,
            to: back + sums.overlap,
        },
        ease: sums.ease,
        travel: sums.travel,
        slot: sums.slot(),
        tape: sums.thick.tape,
    }
}

/// Which side of the core something is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Front,
    Back,
}

struct Build<'a> {
    sums: &'a Sums,
    pieces: &'a [Made],
    members: Vec<Member>,
    joints: Vec<Joint>,
    free: Vec<Patch>,
}

impl Build<'_> {
    /// Height of the middle of the core above the table.
    fn core_mm(&self) -> f64 {
        let sums = self.sums;
        (sums.thick.back_cover + sums.level()).to_mm() + sums.thick.core.to_mm() / 2.0
    }

    /// Height above the table, given from the core's face outwards.
    fn height_mm(&self, side: Side, out_mm: f64) -> f64 {
        let out_mm = self.sums.thick.core.to_mm() / 2.0 + out_mm;
        match side {
            Side::Front => self.core_mm() + out_mm,
            Side::Back => self.core_mm() - out_mm,
        }
    }

    /// Adds a piece with its front outwards; its top left corner lies so far from that of the covers, seen from its side.
    fn lay(&mut self, name: &'static str, side: Side, (x, y): (f64, f64), z_mm: f64) -> usize {
        let (right, top) = (
            self.sums.outer_width().to_mm(),
            self.sums.outer_height().to_mm() - y,
        );
        let half = Angle::from_deg(180.0);
        let pose = match side {
            Side::Front => {
                Rigid::shift(x, top, z_mm).after(&Rigid::about(Vec3::zeros(), Vec3::x(), half))
            }
            Side::Back => Rigid::shift(right - x, top, z_mm).after(&Rigid::about(
                Vec3::zeros(),
                Vec3::z(),
                half,
            )),
        };
        self.add(name, pose)
    }

    fn add(&mut self, name: &'static str, pose: Rigid) -> usize {
        let piece = self
            .pieces
            .iter()
            .position(|made| made.name == name)
            .expect("every member has its piece");
        let before = self
            .members
            .iter()
            .filter(|member| member.piece == piece)
            .count();
        let name = if self.pieces[piece].per_copy > 1 {
            format!("{name}.{}", before + 1)
        } else {
            name.into()
        };
        let root = self.pieces[piece].panels[0].name.clone();
        self.members.push(Member {
            piece,
            name,
            root,
            pose,
            bends: Vec::new(),
        });
        self.members.len() - 1
    }

    fn face(&self, member: usize, face: Face) -> Surface {
        Surface {
            member,
            panel: self.members[member].root.clone(),
            face,
        }
    }

    fn stick(
        &mut self,
        from: (usize, Face),
        to: (usize, Face),
        area: Option<BezPath>,
        glue: Length,
    ) {
        let covers_flap = area.is_none();
        let kind = JointKind::Stuck {
            area,
            covers_flap,
            rims: None,
            glue,
        };
        let (from, to) = (self.face(from.0, from.1), self.face(to.0, to.1));
        self.joints.push(Joint {
            kind,
            from,
            to,
            origin: nowhere(),
        });
    }

    fn keep_free(&mut self, member: usize, face: Face, area: BezPath) {
        let surface = self.face(member, face);
        self.free.push(Patch {
            surface,
            area: Some(area),
            origin: nowhere(),
        });
    }

    /// The film with its bends, the front run where its pose puts it.
    fn band(&mut self) -> usize {
        let (sums, round) = (self.sums, Loop::new(self.sums));
        let x = sums.rail.to_mm() + round.sides_mm.0 - round.front_run_mm();
        let y = (sums.outer_height() - sums.lead).to_mm() / 2.0;
        let z_mm = self.height_mm(Side::Front, sums.thick.film.to_mm() / 2.0);
        let member = self.lay("band", Side::Front, (x, y), z_mm);
        let bottom = sums.lead.to_mm();
        let bend = |x: f64| Bend {
            line: Line::new((x, 0.0), (x, bottom)),
            mountain_deg: 90.0,
        };
        self.members[member].bends = round.bends_mm().map(bend).to_vec();
        member
    }

    /// One side of the core: frame, cover, panel. Returns the panel.
    fn half(&mut self, side: Side, core: usize, film: usize) -> usize {
        let cover = self.housing(side, core);
        let (panel, inner) = self.panel(side);
        self.tape(inner, film);
        self.slide(side, panel, cover);
        self.keep_panel_free(panel, inner);
        panel
    }

    /// Frame and cover stuck on the core. Returns the cover.
    fn housing(&mut self, side: Side, core: usize) -> usize {
        let (sums, window) = (self.sums, Window::new(self.sums));
        let (frame_mm, glue_mm) = (sums.thick.frame.to_mm(), sums.thick.glue.to_mm());
        let (core_face, top_rail) = match side {
            Side::Front => (Face::Front, window.channel.0),
            Side::Back => (Face::Back, window.channel.0),
        };
        let mut below = core;
        for ply in 0..sums.frame_plies {
            let out_mm = glue_mm + f64::from(ply) * (frame_mm + glue_mm) + frame_mm / 2.0;
            let frame = self.lay("frame", side, (0.0, 0.0), self.height_mm(side, out_mm));
            if ply == 0 {
                let rails = [(0.0, top_rail), (window.channel.1, window.bottom)];
                for (top, bottom) in rails {
                    let rail = rectangle(0.0, top, window.right, bottom);
                    self.stick(
                        (frame, Face::Back),
                        (core, core_face),
                        Some(rail),
                        sums.thick.glue,
                    );
                }
            } else {
                self.stick(
                    (frame, Face::Back),
                    (below, Face::Front),
                    None,
                    sums.thick.glue,
                );
            }
            below = frame;
        }
        let (name, thick) = match side {
            Side::Front => ("front-cover", sums.thick.front_cover),
            Side::Back => ("back-cover", sums.thick.back_cover),
        };
        let out_mm = sums.level().to_mm() + thick.to_mm() / 2.0;
        let cover = self.lay(name, side, (0.0, 0.0), self.height_mm(side, out_mm));
        self.stick(
            (below, Face::Front),
            (cover, Face::Back),
            None,
            sums.thick.glue,
        );
        self.keep_free(cover, Face::Back, window.open());
        let (top, bottom) = window.channel;
        self.keep_free(
            core,
            core_face,
            rectangle(sums.rail.to_mm(), top, window.step, bottom),
        );
        cover
    }

    /// The panel with its stiffeners, closed. Returns it and its innermost ply.
    fn panel(&mut self, side: Side) -> (usize, usize) {
        let sums = self.sums;
        let at = (
            (sums.rail - sums.turn).to_mm(),
            sums.rail.to_mm() + sums.clearance().to_mm() / 2.0,
        );
        let (name, thick, all, layers) = match side {
            Side::Front => (
                "front-panel",
                sums.thick.front_panel,
                sums.front_thickness(),
                1,
            ),
            // The seam lies under the strip: a second film, and the tape between.
            Side::Back => (
                "back-panel",
                sums.thick.back_panel,
                sums.back_thickness(),
                2,
            ),
        };
        let inner_mm = ((sums.thick.film + sums.thick.tape) * layers).to_mm();
        let top_mm = inner_mm + all.to_mm() - thick.to_mm();
        let panel = self.lay(
            name,
            side,
            at,
            self.height_mm(side, top_mm + thick.to_mm() / 2.0),
        );
        let mut above = panel;
        let (ply_mm, glue_mm) = (sums.thick.stiffener.to_mm(), sums.thick.glue.to_mm());
        for ply in 1..sums.plies {
            let out_mm = top_mm - f64::from(ply) * (ply_mm + glue_mm) + ply_mm / 2.0;
            let stiffener = self.lay("stiffener", side, at, self.height_mm(side, out_mm));
            self.stick(
                (stiffener, Face::Front),
                (above, Face::Back),
                None,
                sums.thick.glue,
            );
            above = stiffener;
        }
        (panel, above)
    }

    /// The strip of tape between a panel's innermost ply and the film.
    fn tape(&mut self, inner: usize, film: usize) {
        let sums = self.sums;
        let (from, to) = (sums.strip_at.to_mm(), (sums.strip_at + sums.strip).to_mm());
        let (top, bottom) = (sums.catch.to_mm(), (sums.catch + sums.lead).to_mm());
        let strip = rectangle(from, top, to, bottom);
        self.stick(
            (inner, Face::Back),
            (film, Face::Front),
            Some(strip),
            sums.thick.tape,
        );
    }

    fn slide(&mut self, side: Side, panel: usize, cover: usize) {
        let sums = self.sums;
        let (along, thickness) = match side {
            Side::Front => (Vec3::x(), sums.front_thickness()),
            Side::Back => (-Vec3::x(), sums.back_thickness()),
        };
        let exactly = |length| {
            Some(Clearance {
                least: length,
                most: length,
            })
        };
        let kind = JointKind::Slide {
            along,
            travel: sums.travel,
            is_held: true,
            clearance: [
                None,
                exactly(sums.clearance()),
                exactly(sums.level() - thickness),
            ],
        };
        let (from, to) = (self.face(panel, Face::Front), self.face(cover, Face::Back));
        self.joints.push(Joint {
            kind,
            from,
            to,
            origin: nowhere(),
        });
    }

    /// The outside of a panel, and its inside but for the strip.
    fn keep_panel_free(&mut self, panel: usize, inner: usize) {
        let sums = self.sums;
        let (right, low) = (
            sums.panel_length().to_mm(),
            (sums.catch * 2 + sums.lead).to_mm(),
        );
        let (from, to) = (sums.strip_at.to_mm(), (sums.strip_at + sums.strip).to_mm());
        let surface = self.face(panel, Face::Front);
        self.free.push(Patch {
            surface,
            area: None,
            origin: nowhere(),
        });
        self.keep_free(inner, Face::Back, rectangle(0.0, 0.0, from, low));
        self.keep_free(inner, Face::Back, rectangle(to, 0.0, right, low));
    }

    /// The film's inside but for the seam, and its outside between seam and strips.
    fn keep_film_free(&mut self, film: usize) {
        let (sums, round) = (self.sums, Loop::new(self.sums));
        let (cut, high) = (sums.cut.to_mm(), sums.lead.to_mm());
        let (overlap, strip) = (sums.overlap.to_mm(), sums.strip.to_mm());
        let front = round.front_run_mm() - round.sides_mm.0 + sums.first_stop().to_mm();
        let stretches = [
            (overlap, front),
            (front + strip, cut - overlap),
            (cut - overlap + strip, cut),
        ];
        self.keep_free(film, Face::Back, rectangle(0.0, 0.0, cut - overlap, high));
        for (from, to) in stretches {
            // Glue is only where the strip is; a sliver that the seam leaves is none.
            if to - from > 0.1 {
                self.keep_free(film, Face::Front, rectangle(from, 0.0, to, high));
            }
        }
    }
}

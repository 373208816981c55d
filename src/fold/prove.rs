//! The two doors of the proof.

use super::layers::{Body, lifts};
use super::net::{self, Facet};
use super::pose::pose;
use super::stand::Stand;
use super::words::Words;
use super::{
    Folded, FoldedMember, FoldedPanel, advice, band, code, crossing, glue_free, joint, mend,
    pressed, slide,
};
use crate::diagnostic::Diagnostic;
use crate::geometry::space::{Rigid, Vec3};
use crate::project::{Assembly, Member, Piece, Project};

/// Returns the assembly as it stands when finished.
///
/// # Errors
///
/// Returns what keeps a piece from being folded at all: a paper of unknown thickness, a root that is no panel, panels that form no tree,
/// creases that end nowhere or would tear, layers that lie on each other in a ring.
pub fn fold(project: &Project, assembly: &Assembly) -> Result<Folded, Vec<Diagnostic>> {
    Ok(put_together(project, assembly)?.1)
}

/// Returns every finding on the assemblies of a project: errors where something does not close, land, fit or move, warnings where a
/// pattern stands on its head or breaks and where a main fold crosses the grain.
#[must_use]
pub fn prove(project: &Project) -> Vec<Diagnostic> {
    let assemblies = project.assemblies.iter();
    assemblies
        .flat_map(|assembly| prove_one(project, assembly))
        .collect()
}

fn prove_one(project: &Project, assembly: &Assembly) -> Vec<Diagnostic> {
    let (bodies, folded) = match put_together(project, assembly) {
        Ok(made) => made,
        Err(findings) => return findings,
    };
    let stand = Stand {
        assembly,
        bodies: &bodies,
        folded: &folded,
        style: project.job.lengths,
    };
    let mut found = joint::findings(&stand);
    if let Some(first) = found.first_mut()
        && let Some(hint) = mend::hint(project, &stand)
    {
        first.hints.insert(0, hint);
    }
    found.extend(crossing::findings(&stand));
    found.extend(pressed::findings(&stand));
    found.extend(slide::findings(project, assembly, &folded));
    found.extend(band::findings(project, assembly, &folded));
    found.extend(glue_free::findings(assembly, &folded));
    found.extend(advice::findings(project, assembly, &folded));
    found
}

/// Returns the nets and how they come to lie.
pub(super) fn put_together(
    project: &Project,
    assembly: &Assembly,
) -> Result<(Vec<Body>, Folded), Vec<Diagnostic>> {
    let (mut bodies, mut findings) = (Vec::new(), Vec::new());
    for member in &assembly.members {
        match body(project, assembly, member) {
            Ok(body) => bodies.push(body),
            Err(found) => findings.extend(found),
        }
    }
    if findings.is_empty() {
        findings = joint::unnamed(assembly, &bodies, project.job.lengths);
    }
    if !findings.is_empty() {
        return Err(findings);
    }
    let lifts = lifts(assembly, &bodies, project.job.lengths)?;
    let members = assembly.members.iter().zip(&bodies).zip(&lifts);
    let members = members
        .map(|((member, body), lifts)| folded(member, body, lifts))
        .collect();
    Ok((bodies, Folded { members }))
}

fn body(project: &Project, assembly: &Assembly, member: &Member) -> Result<Body, Vec<Diagnostic>> {
    let piece = &project.pieces[member.piece];
    let words = Words::new(&member.name, project.job.lengths);
    let net = net::read(piece, member, &words)?;
    let posed = pose(&net, piece, member, assembly.tolerance.to_mm(), &words)?;
    let root = net.panel(&member.root).expect("posing has found it");
    Ok(Body {
        caliper_mm: caliper_mm(project, piece, &words)?,
        declared: declared(&net, piece),
        net,
        posed,
        root,
    })
}

/// For each panel of a net how many are named before it; those without a name come last.
fn declared(net: &net::Net, piece: &Piece) -> Vec<usize> {
    let position = |name: &String| piece.panels.iter().position(|p| p.name == *name);
    let panels = net.panels.iter();
    panels
        .map(|p| position(&p.name).unwrap_or(piece.panels.len()))
        .collect()
}

fn caliper_mm(project: &Project, piece: &Piece, words: &Words<'_>) -> Result<f64, Vec<Diagnostic>> {
    let stock = &project.stocks[piece.stock];
    // Embossed paper takes the room of its highest parts.
    let caliper = stock.caliper.max(piece.embossed_caliper());
    caliper.map(|caliper| caliper.to_mm()).ok_or_else(|| {
        let message = format!(
            "how thick \"{}\" is is not known, which {} is folded from",
            stock.id,
            words.member()
        );
        let hint = "measure ten sheets, divide by ten and add caliper = \"0.3 mm\" to the stock";
        vec![
            Diagnostic::error(code::CALIPER, message)
                .at(&stock.origin)
                .hint(hint),
        ]
    })
}

fn folded(member: &Member, body: &Body, lifts: &[Vec3]) -> FoldedMember {
    let net = &body.net;
    let panel = |(facet, place): (&Facet, &Rigid)| FoldedPanel {
        name: net.panels[facet.panel].name.clone(),
        rings_mm: facet.rings_mm.clone(),
        place: Rigid {
            shift: place.shift + lifts[facet.panel],
            ..*place
        },
    };
    FoldedMember {
        piece: member.piece,
        caliper_mm: body.caliper_mm,
        panels: net
            .facets
            .iter()
            .zip(&body.posed.places)
            .map(panel)
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{
        assembly, assert_near, folded as fold_net, joint, lies, member, net, project, stuck,
        surface, tray, tray_joints,
    };
    use super::*;
    use crate::project::Face;

    #[test]
    fn a_tray_stands_as_worked_out_by_hand() {
        let folded = fold_net(tray(), "bottom", tray_joints()).unwrap();
        // The walls turn about the lines at 20.15 and 80.45, 60.45 and rise to 20.15.
        assert_near(lies(&folded, "bottom", (30.0, 40.0)), (30.0, 40.0, 0.0));
        assert_near(lies(&folded, "front", (20.15, 0.0)), (20.15, 20.15, 20.15));
        assert_near(lies(&folded, "left", (0.0, 60.45)), (20.15, 60.45, 20.15));
        assert_near(
            lies(&folded, "right", (100.6, 20.15)),
            (80.45, 20.15, 20.15),
        );
        // The tab's outer edge is 12 mm behind the front's line, and the tab lies 0.3 mm inside the left wall.
        assert_near(lies(&folded, "tab-fl", (8.15, 3.0)), (20.45, 32.15, 17.15));
        assert_near(
            lies(&folded, "tab-br", (92.45, 77.6)),
            (80.15, 48.45, 17.15),
        );
    }

    #[test]
    fn a_tube_closes_on_its_tab() {
        // Tab 10, then 30, 20, 30 and 20 mm in a strip of 50 mm height, outside as the front.
        let creases = [
            ("M10 0 V50", 90.0),
            ("M40 0 V50", 90.0),
            ("M60 0 V50", 90.0),
            ("M90 0 V50", 90.0),
        ];
        let names = ["tab", "wide", "narrow", "wide-2", "narrow-2"];
        let panels: Vec<_> = names
            .into_iter()
            .zip([5.0, 25.0, 50.0, 75.0, 100.0])
            .map(|(n, x)| (n, (x, 25.0)))
            .collect();
        let tube = net("tube", "M0 2 L10 0 H110 V50 H10 L0 48 Z", &creases, &panels);
        let glued = joint(
            stuck(),
            surface(0, "tab", Face::Front),
            surface(0, "narrow-2", Face::Back),
        );
        let folded = fold_net(tube, "wide", vec![glued]).unwrap();
        // Walls rise to +z: the second narrow one comes down on the line of the tab's crease.
        assert_near(lies(&folded, "narrow", (60.0, 50.0)), (40.0, 50.0, 20.0));
        assert_near(lies(&folded, "wide-2", (90.0, 0.0)), (10.0, 0.0, 20.0));
        assert_near(lies(&folded, "narrow-2", (110.0, 50.0)), (10.0, 50.0, 0.0));
        // The tab stands up from the crease, a caliper inside.
        assert_near(lies(&folded, "tab", (0.0, 2.0)), (10.3, 2.0, 10.0));
    }

    #[test]
    fn flaps_of_an_envelope_lie_on_one_another() {
        // Front 100 x 70 with flaps of 15 mm at both sides and a back of 50 mm below, all folded over, the back glued on the sides.
        let outline = "M15 0 H115 L130 5 V65 L115 70 V120 H15 V70 L0 65 V5 Z";
        let creases = [
            ("M15 0 V70", 180.0),
            ("M115 0 V70", 180.0),
            ("M15 70 H115", 180.0),
        ];
        let panels = [
            ("front", (60.0, 30.0)),
            ("left", (7.0, 30.0)),
            ("right", (123.0, 30.0)),
            ("back", (60.0, 100.0)),
        ];
        let glued = |side| {
            joint(
                stuck(),
                surface(0, "back", Face::Back),
                surface(0, side, Face::Front),
            )
        };
        let envelope = net("envelope", outline, &creases, &panels);
        let folded = fold_net(envelope, "front", vec![glued("left"), glued("right")]).unwrap();
        assert_near(lies(&folded, "left", (0.0, 5.0)), (30.0, 5.0, 0.3));
        assert_near(lies(&folded, "right", (130.0, 65.0)), (100.0, 65.0, 0.3));
        // The back lies on the side flaps, two papers above the front.
        assert_near(lies(&folded, "back", (15.0, 120.0)), (15.0, 20.0, 0.6));
    }

    #[test]
    fn a_hexagonal_strip_closes() {
        // Six sides of 10 mm; a side turned by k times 60 degrees goes on by 10 (cos 60k, sin 60k), mountains towards +z.
        let creases: Vec<(String, f64)> = (1..6)
            .map(|k| (format!("M{} 0 V8", 10 * k), 60.0))
            .collect();
        let creases: Vec<(&str, f64)> = creases
            .iter()
            .map(|(path, deg)| (path.as_str(), *deg))
            .collect();
        let strip = net(
            "ring",
            "M0 0 H60 V8 H0 Z",
            &creases,
            &[("first", (5.0, 4.0)), ("last", (55.0, 4.0))],
        );
        let folded = fold_net(strip, "first", Vec::new()).unwrap();
        let height = 10.0 * 3.0_f64.sqrt();
        assert_near(lies(&folded, "panel-3", (40.0, 8.0)), (0.0, 8.0, height));
        assert_near(lies(&folded, "last", (60.0, 8.0)), (0.0, 8.0, 0.0));
    }

    #[test]
    fn an_l_shaped_net_without_names_is_folded_too() {
        // An L of two legs, creased a little short across each leg and valley folded.
        let creases = [("M0.04 20 H19.96", -90.0), ("M30 30.05 V50", -90.0)];
        let corner = net(
            "l",
            "M0 0 H20 V30 H50 V50 H0 Z",
            &creases,
            &[("corner", (10.0, 40.0))],
        );
        let folded = fold_net(corner, "corner", Vec::new()).unwrap();
        assert_near(lies(&folded, "panel-1", (20.0, 0.0)), (20.0, 20.0, -20.0));
        assert_near(lies(&folded, "panel-2", (50.0, 50.0)), (30.0, 50.0, -20.0));
    }

    #[test]
    fn a_bent_panel_has_a_facet_for_each_bend_and_one_name() {
        use crate::project::Bend;
        use kurbo::Line;
        let sheet = net("sheet", "M0 0 H40 V10 H0 Z", &[], &[("page", (5.0, 5.0))]);
        let mut held = member(0, "sheet", "page", (0.0, 0.0, 0.0));
        held.bends = [10.0, 20.0, 30.0]
            .map(|x| Bend {
                line: Line::new((x, 0.0), (x, 10.0)),
                mountain_deg: 30.0,
            })
            .to_vec();
        let folded = fold(&project(vec![sheet]), &assembly(vec![held], Vec::new())).unwrap();
        let panels = &folded.members[0].panels;
        assert_eq!(
            panels.iter().map(|p| p.name.as_str()).collect::<Vec<_>>(),
            ["page"; 4]
        );
        // Steps of 10 mm at 0, 30, 60 and 90 degrees.
        let end = panels
            .iter()
            .map(|p| p.place.apply(Vec3::new(40.0, 0.0, 0.0)))
            .max_by(|a, b| a.z.total_cmp(&b.z))
            .unwrap();
        let rise = 10.0 * (0.5 + 3.0_f64.sqrt() / 2.0 + 1.0);
        assert_near(
            (end.x, end.y, end.z),
            (10.0 * (1.0 + 3.0_f64.sqrt() / 2.0 + 0.5), 0.0, rise),
        );
    }

    fn only(found: Result<Folded, Vec<Diagnostic>>) -> Diagnostic {
        super::super::trial::only(found.unwrap_err())
    }

    #[test]
    fn nets_that_cannot_be_folded_are_told_why() {
        const SHEET: &str = "M0 0 H60 V40 H0 Z";
        let named = [("a", (5.0, 5.0))];
        let cases: [(Piece, &str, &str); 6] = [
            (
                net("n", SHEET, &[("M20 0 V30", 90.0)], &named),
                code::CREASE_END,
                "a crease of \"n\" ends at 20 mm, 30 mm, in the middle of \"n:a\"",
            ),
            (
                net("n", SHEET, &[], &[("a", (5.0, 5.0)), ("b", (50.0, 5.0))]),
                code::PANEL,
                "\"n:a\" and \"n:b\" are one panel: no crease parts them",
            ),
            (
                net("n", SHEET, &[], &[("a", (5.0, 5.0)), ("b", (70.0, 5.0))]),
                code::PANEL,
                "\"n:b\" is no panel: there is no paper at 70 mm, 5 mm",
            ),
            (
                net("n", SHEET, &[], &[]),
                code::PANEL,
                "\"n:a\" is no panel, and the others fold away from it",
            ),
            (
                net(
                    "n",
                    SHEET,
                    &[("M20 0 V40", 90.0), ("M0 20 H60", 90.0)],
                    &[
                        ("a", (5.0, 5.0)),
                        ("b", (50.0, 5.0)),
                        ("c", (50.0, 30.0)),
                        ("d", (5.0, 30.0)),
                    ],
                ),
                code::RING,
                "hang together in a ring of creases",
            ),
            // Two creases at a right angle between the same panels: 90 degrees about one leaves the far end of the other 20 mm off.
            (
                net("n", SHEET, &[("M20 0 V20 H60", 90.0)], &named),
                code::TEAR,
                "between \"n:a\" and \"n:panel-1\" the paper would tear by",
            ),
        ];
        for (piece, code, words) in cases {
            let found = only(fold_net(piece, "a", Vec::new()));
            assert_eq!(found.code, code, "{found:?}");
            assert!(found.message.contains(words), "{}", found.message);
        }
    }

    #[test]
    fn a_part_cut_off_hangs_on_nothing_and_a_paper_needs_a_thickness() {
        use super::super::trial::operation;
        use crate::project::OperationKind;
        let mut cut = net(
            "n",
            "M0 0 H60 V40 H0 Z",
            &[],
            &[("a", (5.0, 5.0)), ("b", (50.0, 5.0))],
        );
        cut.operations
            .push(operation("M30 0 V40", OperationKind::Cut));
        assert!(
            only(fold_net(cut.clone(), "a", Vec::new()))
                .message
                .contains("\"n:b\" hangs on nothing")
        );
        cut.operations.clear();
        cut.panels.truncate(1);
        let mut project = project(vec![cut]);
        project.stocks[0].caliper = None;
        let alone = assembly(vec![member(0, "n", "a", (0.0, 0.0, 0.0))], Vec::new());
        assert_eq!(only(fold(&project, &alone)).code, code::CALIPER);
    }

    #[test]
    fn layers_in_a_ring_are_found() {
        let stuck_on = |a, b| {
            joint(
                stuck(),
                surface(0, a, Face::Back),
                surface(0, b, Face::Front),
            )
        };
        let sheet = net(
            "n",
            "M0 0 H60 V40 H0 Z",
            &[("M20 0 V40", 180.0), ("M40 0 V40", 180.0)],
            &[
                ("left", (5.0, 5.0)),
                ("middle", (30.0, 5.0)),
                ("right", (50.0, 5.0)),
            ],
        );
        let found = only(fold_net(
            sheet,
            "middle",
            vec![stuck_on("left", "right"), stuck_on("right", "left")],
        ));
        assert_eq!(
            found.message,
            "\"n:left\", \"n:right\" lie on each other in a ring"
        );
    }
}

//! What pictures of folded objects show: where each face is seen, and what it hides.

use image::RgbImage;
use kurbo::{Point, Rect};
use sheetwright::draw;
use sheetwright::emit::{png, svg_picture};
use sheetwright::fold::scene::scene;
use sheetwright::fold::{Folded, FoldedMember};
use sheetwright::geometry::space::{Rigid, Vec3};
use sheetwright::length::Length;
use sheetwright::math::Angle;
use sheetwright::project::{Assembly, Clearance, Face, Joint, JointKind, Project, Surface};

use crate::folded_by_hand::{Tray, assembly, panel, read, together};

const HEAD: &str = r#"
sheetwright = 1
[job]
name = "Plant-swap morning"
copies = 1
cut_by = "machine"
[[stock]]
id = "oat"
format = "letter"
face_a = "printable"
[[stock]]
id = "film"
format = "letter"
clear = true
"#;

/// The front wall is red, the right one blue, the bottom's front yellow; everything else of the net is grey.
const NET: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 120 100">
<rect width="120" height="100" fill="#888888"/>
<rect x="30" y="0" width="60" height="30" fill="#c83232"/>
<rect x="90" y="30" width="30" height="40" fill="#3264c8"/>
<rect x="30" y="30" width="60" height="40" fill="#e6dc28"/>
</svg>"##;

const TRAY: Tray = Tray {
    width_mm: 60.0,
    depth_mm: 40.0,
    height_mm: 30.0,
};

const ART: &str = r#"artwork = [{ file = "net.svg", width = "120 mm", bleed = "0 mm" }]"#;

/// Pixels in a millimetre of the pictures here.
const PX_PER_MM: f64 = 10.0;

/// An object's picture and where its points are in it, worked out here: x to the lower right, y to the upper right, both 30 degrees off
/// the level, z up; 8 mm free at the left and above, 130 mm high or 180 mm wide.
struct Picture {
    pixels: RgbImage,
    scale: f64,
    corner: Point,
}

fn seen(p: Vec3) -> Point {
    let cos_30 = 0.866_025_403_784;
    Point::new((p.x + p.y) * cos_30, (p.x - p.y) * 0.5 - p.z)
}

impl Picture {
    fn of(project: &Project, assembly: &Assembly, folded: &Folded) -> Self {
        let page = draw::folded(project, assembly, folded);
        let file = png::write(&page, &project.assets, 25.4 * PX_PER_MM);
        let pixels = image::load_from_memory(&file).unwrap().into_rgb8();
        let corners = folded.members.iter().flat_map(|m| &m.panels).flat_map(|p| {
            let ring = p.rings_mm.iter().flatten();
            ring.map(|c| seen(p.place.apply(Vec3::new(c.x, c.y, 0.0))))
        });
        let bounds = corners
            .map(|c| Rect::from_points(c, c))
            .reduce(|a, b| a.union(b))
            .unwrap();
        Self {
            pixels,
            scale: (180.0 / bounds.width()).min(130.0 / bounds.height()),
            corner: bounds.origin(),
        }
    }

    /// The colour at a point of the object.
    fn at(&self, x: f64, y: f64, z: f64) -> [u8; 3] {
        let place = (seen(Vec3::new(x, y, z)) - self.corner) * self.scale;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a place in a picture"
        )]
        let px = |mm: f64| ((mm + 8.0) * PX_PER_MM) as u32;
        self.pixels.get_pixel(px(place.x), px(place.y)).0
    }
}

/// Asserts that a colour is another one in the shade: darker alike in all channels, by a third at most.
fn assert_shade(found: [u8; 3], of: [u8; 3], what: &str) {
    let light = |c: [u8; 3]| c.map(f64::from);
    let (f, o) = (light(found), light(of));
    let factor = f.iter().sum::<f64>() / o.iter().sum::<f64>();
    let is_even = f.iter().zip(o).all(|(a, b)| (a - factor * b).abs() < 4.0);
    assert!(
        is_even && (0.66..1.01).contains(&factor),
        "{what}: {found:?} is no shade of {of:?}"
    );
}

const RED: [u8; 3] = [0xc8, 0x32, 0x32];
const BLUE: [u8; 3] = [0x32, 0x64, 0xc8];

#[test]
fn an_open_tray_shows_two_walls_outside_and_three_faces_inside() {
    let project = read(
        &format!("{HEAD}{}", TRAY.piece("tray", ART)),
        &[("net.svg", NET)],
    );
    let object = assembly(&project, &[0]);
    let folded = together(vec![TRAY.folded(0, Rigid::identity())]);
    let picture = Picture::of(&project, &object, &folded);
    // The tray stands on 30..90 x 30..70, 30 high. Middles of the front and the right wall:
    assert_shade(picture.at(60.0, 30.0, 15.0), RED, "front wall");
    assert_shade(picture.at(90.0, 50.0, 15.0), BLUE, "right wall");
    // Inside, where nothing is printed: the tint of bare paper, on the back wall, the left wall and the bottom, each darker or lighter.
    let inside = [
        picture.at(60.0, 70.0, 20.0),
        picture.at(30.0, 60.0, 20.0),
        picture.at(40.0, 65.0, 0.0),
    ];
    for colour in inside {
        assert_shade(colour, [0xe4, 0xec, 0xd9], "inside");
    }
    assert!(inside[0] != inside[1] && inside[1] != inside[2] && inside[0] != inside[2]);
    let seen = scene(&project, &object, &folded);
    let mut panels: Vec<(&str, Face)> = seen.views[0]
        .panels
        .iter()
        .map(|p| (p.id.as_str(), p.face))
        .collect();
    panels.sort_unstable();
    assert_eq!(
        panels,
        [
            ("tray:back", Face::Back),
            ("tray:bottom", Face::Back),
            ("tray:front", Face::Front),
            ("tray:left", Face::Back),
            ("tray:right", Face::Front),
        ]
    );
}

/// By hand, cos 30 = 0.866025: the tray is seen from (30 + 30) cos 30 = 51.9615 to (90 + 70) cos 30 = 138.5641 across and from
/// (30 - 70) / 2 - 30 = -50 to (90 - 30) / 2 = 30 down, 86.6025 x 80 mm. 130 mm high it is 1.625 times that: 140.7291 mm wide, on a page
/// of 156.7291 x 155 mm with 8 mm around it and 9 mm for the words.
#[test]
fn corners_are_where_an_isometric_drawing_has_them() {
    let project = read(&format!("{HEAD}{}", TRAY.piece("tray", "")), &[]);
    let folded = together(vec![TRAY.folded(0, Rigid::identity())]);
    let seen = scene(&project, &assembly(&project, &[0]), &folded);
    assert!(
        (seen.width_mm - 156.729_1).abs() < 1e-3,
        "{}",
        seen.width_mm
    );
    assert!((seen.height_mm - 155.0).abs() < 1e-9);
    let front = seen.views[0]
        .panels
        .iter()
        .find(|p| p.id == "tray:front")
        .unwrap();
    // Its bottom left corner (30, 30, 0) is seen at (51.9615, 0), so at (8, 8 + 1.625 * 50); its top right one (90, 30, 30) at
    // (103.9230, 0), 51.9615 farther right.
    for want in [(8.0, 89.25), (8.0 + 1.625 * 51.961_524, 89.25)] {
        let near = front.rings[0]
            .iter()
            .any(|p| sheetwright::math::hypot(p.x - want.0, p.y - want.1) < 1e-4);
        assert!(near, "{want:?}: {:?}", front.rings[0]);
    }
}

#[test]
fn a_lid_hides_what_is_under_it_and_no_more() {
    let lid = Tray {
        width_mm: 62.0,
        depth_mm: 42.0,
        height_mm: 12.0,
    };
    let text = format!("{HEAD}{}{}", TRAY.piece("tray", ART), lid.piece("lid", ""));
    let project = read(&text, &[("net.svg", NET)]);
    // The lid on its head: its middle (43, 33) comes over the tray's (60, 50), 31 mm above the ground.
    let over = Rigid::about(Vec3::zeros(), Vec3::x(), Angle::from_deg(180.0));
    let place = Rigid::shift(17.0, 83.0, 31.0).after(&over);
    let object = assembly(&project, &[0, 1]);
    for members in [[0, 1], [1, 0]] {
        let by = |i: usize| match i {
            0 => TRAY.folded(0, Rigid::identity()),
            _ => lid.folded(1, place),
        };
        let folded = together(members.map(by).to_vec());
        let picture = Picture::of(&project, &object, &folded);
        assert_shade(picture.at(60.0, 30.0, 9.0), RED, "front below the lid");
        assert_shade(picture.at(90.0, 50.0, 9.0), BLUE, "right below the lid");
        let card = [0xf3, 0xe2, 0xcf];
        assert_shade(picture.at(60.0, 29.0, 25.0), card, "lid's front");
        assert_shade(picture.at(91.0, 50.0, 25.0), card, "lid's right");
        assert_shade(picture.at(60.0, 50.0, 31.0), card, "lid's top");
        let seen = scene(&project, &object, &folded);
        assert_eq!(
            seen.views[0].panels.len(),
            5,
            "two walls and the lid's three"
        );
    }
}

/// A project with flat pieces of three colours.
fn cards(count: usize) -> Project {
    let colours = ["#c83232", "#3264c8", "#32a050"];
    let piece = |i: usize| {
        format!(
            r#"
            [[piece]]
            id = "card-{i}"
            stock = "oat"
            shape = {{ kind = "rectangle", width = "100 mm", height = "20 mm" }}
            artwork = [{{ colour = "{c}", bleed = "0 mm" }}, {{ colour = "{c}", face = "back", bleed = "0 mm" }}]
            "#,
            c = colours[i]
        )
    };
    let pieces: String = (0..count).map(piece).collect();
    read(
        &format!(
            "{}{pieces}",
            HEAD.replace(
                "face_a = \"printable\"",
                "face_a = \"printable\"\nface_b = \"printable\""
            )
        ),
        &[],
    )
}

fn card(piece: usize, place: Rigid) -> FoldedMember {
    FoldedMember {
        piece,
        caliper_mm: 0.3,
        panels: vec![panel("1", Rect::new(0.0, 0.0, 100.0, 20.0), place)],
    }
}

const GREEN: [u8; 3] = [0x32, 0xa0, 0x50];

/// Three strips that lie over one another in a ring, each rising from under the one before to over the one after: no order of whole
/// strips is right.
#[test]
fn strips_that_hide_one_another_in_a_ring_are_cut() {
    let project = cards(3);
    let middle = Point::new(50.0, 10.0);
    let strip = |i: usize| {
        let turn = |axis: Vec3, deg: f64| Rigid::about(Vec3::zeros(), axis, Angle::from_deg(deg));
        let centred = Rigid::shift(-middle.x, -middle.y, 0.0);
        // A side of a triangle around the origin, 25 mm from it, rising by 15 degrees along its length.
        let side = Rigid::shift(0.0, -25.0, 0.0).after(&turn(Vec3::y(), -15.0));
        let around = turn(Vec3::z(), 120.0 * f64::from(u32::try_from(i).unwrap()));
        card(i, around.after(&side).after(&centred))
    };
    let folded = together((0..3).map(strip).collect());
    let picture = Picture::of(&project, &assembly(&project, &[0, 1, 2]), &folded);
    let colours = [RED, BLUE, GREEN];
    // Where the rising end of strip i crosses the low end of the next, 25 tan 60 = 43.3 mm along it, it is 43.3 sin 15 = 11.2 mm above
    // the ground and the other as much below it.
    for (i, colour) in colours.into_iter().enumerate() {
        let FoldedMember { panels, .. } = &folded.members[i];
        let high = panels[0]
            .place
            .apply(Vec3::new(middle.x + 43.3, middle.y, 0.0));
        let low = panels[0]
            .place
            .apply(Vec3::new(middle.x - 43.3, middle.y, 0.0));
        assert!(high.z > 11.0 && low.z < -11.0);
        assert_shade(picture.at(high.x, high.y, high.z), colour, "rising end");
    }
}

#[test]
fn cards_that_pass_through_each_other_show_half_of_each() {
    let project = cards(2);
    // Two upright cards that cross in the middle of both: one along x, one along y.
    let upright = Rigid::about(Vec3::zeros(), Vec3::x(), Angle::from_deg(-90.0));
    let along_x = Rigid::shift(-50.0, 0.0, 20.0).after(&upright);
    let quarter = Rigid::about(Vec3::zeros(), Vec3::z(), Angle::from_deg(90.0));
    let folded = together(vec![card(0, along_x), card(1, quarter.after(&along_x))]);
    let picture = Picture::of(&project, &assembly(&project, &[0, 1]), &folded);
    // From the front right: the card along x is before the other's back half, and behind its front half.
    assert_shade(picture.at(40.0, 0.0, 10.0), RED, "right end");
    assert_shade(picture.at(-10.0, 0.0, 17.0), RED, "left of the crossing");
    assert_shade(picture.at(0.0, -10.0, 3.0), BLUE, "before the crossing");
    assert_shade(picture.at(0.0, -40.0, 10.0), BLUE, "front end");
    assert_shade(picture.at(10.0, 0.0, 10.0), RED, "right of the crossing");
    assert_shade(picture.at(0.0, 45.0, 17.0), BLUE, "back end");
}

#[test]
fn film_lets_through_what_is_behind_it() {
    let window = r#"
        [[piece]]
        id = "window"
        stock = "film"
        shape = { kind = "rectangle", width = "60 mm", height = "30 mm" }
    "#;
    let text = format!("{HEAD}{}{window}", TRAY.piece("tray", ART));
    let project = read(&text, &[("net.svg", NET)]);
    // 5 mm before the front wall.
    let upright = Rigid::about(Vec3::zeros(), Vec3::x(), Angle::from_deg(-90.0));
    let before = FoldedMember {
        piece: 1,
        caliper_mm: 0.1,
        panels: vec![panel(
            "1",
            Rect::new(0.0, 0.0, 60.0, 30.0),
            Rigid::shift(30.0, 25.0, 30.0).after(&upright),
        )],
    };
    let folded = together(vec![TRAY.folded(0, Rigid::identity()), before]);
    let object = assembly(&project, &[0, 1]);
    let picture = Picture::of(&project, &object, &folded);
    let [red, green, blue] = picture.at(60.0, 30.0, 15.0);
    assert!(
        red > 160 && red > green + 40 && green > 60 && blue > 60,
        "{red} {green} {blue}"
    );
    let seen = scene(&project, &object, &folded);
    let is_seen = |id: &str| seen.views[0].panels.iter().any(|p| p.id == id);
    assert!(is_seen("tray:front") && is_seen("window:1"));
}

fn surface(member: usize, panel: &str) -> Surface {
    Surface {
        member,
        panel: panel.to_owned(),
        face: Face::Front,
    }
}

#[test]
fn what_slides_is_drawn_again_half_open() {
    let project = cards(2);
    let upright = Rigid::about(Vec3::zeros(), Vec3::x(), Angle::from_deg(-90.0));
    let back = Rigid::shift(0.0, 5.0, 20.0).after(&upright);
    let before = Rigid::shift(0.0, 0.0, 20.0).after(&upright);
    let folded = together(vec![card(0, back), card(1, before)]);
    let mut object = assembly(&project, &[0, 1]);
    let free = Length::from_mm(1);
    let clearance = Some(Clearance {
        least: free,
        most: free,
    });
    object.joints.push(Joint {
        kind: JointKind::Slide {
            along: Vec3::x(),
            travel: Length::from_mm(60),
            is_held: true,
            clearance: [None, clearance, None],
        },
        from: surface(1, "1"),
        to: surface(0, "1"),
        origin: object.origin.clone(),
    });
    let seen = scene(&project, &object, &folded);
    let names: Vec<&str> = seen.views.iter().map(|v| v.name).collect();
    assert_eq!(names, ["closed", "half open"]);
    // By hand: closed, the cards reach from 0 (the front one's left end) to (100 + 5) cos 30 (the right end of the one behind). Open by 30
    // mm, from (0 + 5) cos 30, which is now the left end, to (100 + 30) cos 30: 20 cos 30 wider.
    let [closed, open] = &seen.views[..] else {
        panic!()
    };
    let wider = (open.bounds.width() - closed.bounds.width()) / seen.scale;
    assert!((wider - 20.0 * 0.866_025).abs() < 1e-3, "{wider}");
}

#[test]
fn the_same_object_gives_the_same_files() {
    let project = read(
        &format!("{HEAD}{}", TRAY.piece("tray", ART)),
        &[("net.svg", NET)],
    );
    let folded = together(vec![TRAY.folded(0, Rigid::identity())]);
    let page = draw::folded(&project, &assembly(&project, &[0]), &folded);
    let again = draw::folded(&project, &assembly(&project, &[0]), &folded);
    let spelled = svg_picture::write(&page, &project.assets);
    assert_eq!(spelled, svg_picture::write(&again, &project.assets));
}

//! Folders made for a printer and a cutter whose errors are known: proved, damaged, and printed by another program's hand.

use std::fs;

use kurbo::{Affine, BezPath, Point, Rect, Shape, Size};
use sheetwright::drawing::Colour;
use sheetwright::job::check;
use sheetwright::load;
use sheetwright::plan::file::PlanFile;
use sheetwright::project::{Artwork, ArtworkFill, CutBy, Face, Project, Reads};

use crate::calibrated::{BACK, FRONT, Off, calibration, cutter};
use crate::damage::found::{assert_found, saved_again, verdict};
use crate::damage::{Files, changed, pdf};
use crate::folder::Folder;
use crate::made::made_of;
use crate::plan_project::{LETTER_MM, length, origin, piece, project, stock};
use crate::program::root;
use crate::tool::{PdfFile, Renderer};

/// Everything 1 mm too far right.
const RIGHT: Off = Off {
    scale: (0.0, 0.0),
    shear_rad: 0.0,
    turn_rad: 0.0,
    shift_mm: (1.0, 0.0),
};

/// As many tags of 30 x 20 mm on Letter as a sheet takes far apart, in pure red with a bleed of 2 mm.
fn tags(faces: &[Face]) -> Project {
    let mut tag = piece("tag", 30.0, 20.0);
    tag.artwork = faces
        .iter()
        .map(|face| Artwork {
            face: *face,
            bleed: length(2.0),
            fill: ArtworkFill::Flat(Colour::rgb(255, 0, 0)),
            reads: Reads::Free,
            origin: origin("artwork"),
        })
        .collect();
    let paper = stock("oat", LETTER_MM);
    let mut job = project(CutBy::Machine, vec![paper], vec![tag], 12);
    job.job.gap = length(16.0);
    job
}

fn letter() -> Size {
    Size::new(LETTER_MM.0, LETTER_MM.1)
}

fn mirrored() -> Affine {
    Affine::new([-1.0, 0.0, 0.0, 1.0, LETTER_MM.0, 0.0])
}

/// The files without the report, whose digests tell any damage.
fn files(job: &Project) -> Files {
    let mut files = made_of(job).files;
    files.remove("report.json").unwrap();
    files
}

fn plan_of(files: &Files) -> PlanFile {
    serde_json::from_slice(&files["plan.json"]).unwrap()
}

/// The herb packets and the class kit, one without backs and one with, for a printer that is off on both faces and a cutter that is
/// off, too. Cut files and PDFs are saved again by other programs.
#[test]
fn examples_made_for_a_printer_and_a_cutter_that_are_off_are_proved() {
    for example in ["herb-packet", "class-kit"] {
        let path = root().join("examples").join(example).join("project.toml");
        let text = fs::read_to_string(&path).unwrap();
        let options = load::Options::default();
        let mut job = check("project.toml", &text, &Folder::of(&path), &options)
            .unwrap()
            .value;
        let paper = &job.stocks[0];
        let page = Size::new(paper.width.to_mm(), paper.height.to_mm());
        job.printer.calibration = Some(calibration(page, FRONT, Some(BACK)));
        job.cutter.calibration = Some(cutter());
        for files in saved_again(&files(&job)) {
            let verdict = verdict(&files);
            let findings: Vec<_> = verdict.findings().collect();
            assert!(findings.is_empty(), "{example}: {findings:#?}");
            // The plan's matrices have six decimals: half a millionth times 280 mm, twice.
            let largest_mm = verdict.largest_deviation_mm();
            assert!(largest_mm < 0.001, "{example}: {largest_mm}");
        }
    }
}

fn lands_where_planned(face: Face, off: Off, turned: Affine) -> f64 {
    let mut job = tags(&[face]);
    job.printer.calibration = Some(calibration(letter(), FRONT, Some(BACK)));
    let files = files(&job);
    let name = face.name();
    let page = PdfFile::checked(&format!("calibrated-{name}"), &files["print.pdf"]);
    let picture = page.picture(Renderer::Splash, 600);
    let mm_per_pixel = 25.4 / 600.0;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "windows lie on the page"
    )]
    let pixel = |mm: f64| (mm / mm_per_pixel).round() as u32;
    // Red counts, black ticks and white paper do not.
    let middle = |window: Rect| {
        let (mut weight, mut sum) = (0.0, Point::ZERO.to_vec2());
        for y in pixel(window.y0)..pixel(window.y1) {
            for x in pixel(window.x0)..pixel(window.x1) {
                let [r, g, _] = picture.get_pixel(x, y).0;
                let red = f64::from(r) - f64::from(g);
                weight += red;
                sum += red * Point::new(f64::from(x) + 0.5, f64::from(y) + 0.5).to_vec2();
            }
        }
        assert!(weight > 0.0, "{window:?}");
        (sum / weight * mm_per_pixel).to_point()
    };
    let mut worst_mm = 0.0_f64;
    let plan = plan_of(&files);
    let placements = &plan.sheets[0].placements;
    assert!(placements.len() >= 10, "{}", placements.len());
    for placement in placements {
        let clip = BezPath::from_svg(&placement.artwork[0].clip).unwrap();
        let planned = clip.bounding_box();
        let window = turned.transform_rect_bbox(planned).inflate(5.0, 5.0);
        let on_page = middle(window);
        let lands = off.map(letter()) * (turned * on_page);
        worst_mm = worst_mm.max(lands.distance_squared(planned.center()).sqrt());
    }
    worst_mm
}

/// poppler draws the page at 600 dpi; what it drew is moved by the printer's error, worked out from its six numbers.
#[test]
fn another_programs_picture_of_the_page_lands_where_the_plan_says() {
    let front_mm = lands_where_planned(Face::Front, FRONT, Affine::IDENTITY);
    assert!(front_mm < 0.02, "{front_mm}");
    let back_mm = lands_where_planned(Face::Back, BACK, mirrored());
    assert!(back_mm < 0.02, "{back_mm}");
    println!("front {front_mm:.4} mm, back {back_mm:.4} mm");
}

/// By hand: the band at the left is 6.35 + 1 mm, and a mark stands 4 mm inside it: at (11.35, 10.35). Its page has it 1 mm farther
/// left. Printed as it is, it lands at 12.35; moved the wrong way, at 13.35.
#[test]
fn a_page_that_makes_up_for_nothing_or_the_wrong_way_is_found() {
    let mut job = tags(&[Face::Front]);
    job.printer.calibration = Some(calibration(letter(), RIGHT, None));
    let files = files(&job);
    for (shift_mm, found) in [(0.0, "12.3500"), (1.0, "13.3500")] {
        let damaged = changed(&files, "print.pdf", |bytes| {
            pdf::map_layers(bytes, 1, |_| [1.0, 0.0, 0.0, 1.0, shift_mm, 0.0])
        });
        let numbers = [
            "x 11.3500, y 10.3500 mm",
            &format!("x {found}, y 10.3500 mm"),
        ];
        assert_found(&damaged, "print.pdf", "verify.moved", "m1", numbers);
    }
}

fn printed_on_both() -> Files {
    let mut job = tags(&[Face::Front, Face::Back]);
    job.printer.calibration = Some(calibration(letter(), FRONT, Some(BACK)));
    files(&job)
}

/// Codes and files of what is found.
fn found(files: &Files) -> Vec<(String, &'static str)> {
    let verdict = verdict(files);
    let findings = verdict.findings();
    findings.map(|f| (f.file.clone(), f.code)).collect()
}

#[test]
fn a_page_with_the_map_of_the_other_face_is_found() {
    let files = printed_on_both();
    let map = |off: Off| off.map(letter()).inverse();
    for (page, other) in [(1, map(BACK)), (2, mirrored() * map(FRONT))] {
        let damaged = changed(&files, "print.pdf", |bytes| {
            pdf::map_layers(bytes, page, |_| other.as_coeffs())
        });
        let found = found(&damaged);
        assert!(!found.is_empty());
        assert!(
            found.iter().all(|(file, _)| file == "print.pdf"),
            "{found:?}"
        );
    }
}

#[test]
fn a_check_rule_that_does_not_ride_along_is_found() {
    let files = printed_on_both();
    let damaged = changed(&files, "print.pdf", |bytes| {
        // The rule's layer is the last one; what undoes its matrix is put inside.
        let back = FRONT.map(letter()).as_coeffs();
        pdf::map_tagged(bytes, 1, "rule", "rule", back)
    });
    // By hand: 0.4 % of 101.6 mm are 0.41 mm.
    let found = verdict(&damaged);
    let rule = found
        .findings()
        .find(|f| f.code == "verify.scaled")
        .unwrap();
    assert!((rule.deviation_mm.unwrap() - 0.41).abs() < 0.01, "{rule:?}");
}

/// Changes the plan, of which `verify` must say that it contradicts itself.
fn assert_contradicts(files: &Files, change: impl FnOnce(&mut PlanFile)) {
    let damaged = changed(files, "plan.json", |bytes| {
        let mut plan: PlanFile = serde_json::from_slice(bytes).unwrap();
        change(&mut plan);
        plan.to_json().into_bytes()
    });
    let found = found(&damaged);
    let is_it = |(file, code): &(String, &str)| file == "plan.json" && *code == "verify.plan";
    assert!(found.iter().any(is_it), "{found:?}");
}

#[test]
fn a_plan_whose_maps_are_not_those_of_its_profile_is_found() {
    let files = printed_on_both();
    assert_contradicts(&files, |plan| {
        let face = plan.sheets[0].front.as_mut().unwrap();
        face.page_from_sheet = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
    });
    assert_contradicts(&files, |plan| {
        // The way to the sheet instead of the way from it.
        let face = plan.sheets[0].front.as_mut().unwrap();
        face.page_from_sheet = face.sheet_from_page.unwrap();
    });
    assert_contradicts(&files, |plan| {
        let sheet = &mut plan.sheets[0];
        std::mem::swap(&mut sheet.front, &mut sheet.back);
    });
    assert_contradicts(&files, |plan| {
        let printer = plan.printer.as_mut().unwrap();
        let back = printer.calibration.back.as_mut().unwrap();
        std::mem::swap(&mut printer.calibration.front, back);
    });
    assert_contradicts(&files, |plan| {
        plan.sheets[0].back.as_mut().unwrap().sheet_from_page = None;
    });
    assert_contradicts(&files, |plan| plan.printer = None);
    assert_contradicts(&files, |plan| {
        plan.sheets[0].front.as_mut().unwrap().page_from_sheet[4] += 0.02;
    });
}

/// What a cutter's profile says, the wrong way round, or not at all.
#[test]
fn a_cut_file_that_makes_up_for_another_cutter_is_found() {
    let mut job = tags(&[Face::Front]);
    job.cutter.calibration = Some(cutter());
    let made = files(&job);
    assert_contradicts(&made, |plan| {
        plan.sheets[0].cut_from_sheet = Some(cutter().cut_from_file.as_coeffs());
    });
    job.cutter.calibration = None;
    let plain = files(&job);
    let mut damaged = made.clone();
    damaged.insert("cut-01.svg".to_owned(), plain["cut-01.svg"].clone());
    let found = found(&damaged);
    assert!(!found.is_empty());
    assert!(
        found.iter().all(|(file, _)| file == "cut-01.svg"),
        "{found:?}"
    );
}

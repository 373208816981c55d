//! Printed sheets measured in simulated scans and photos. The truth is the simulator's.

use kurbo::{Affine, Point, Size};
use sheetwright::fit::{Pair, affine};
use sheetwright::register::photo::{self, BY_RULER_MM, KnownSheet};
use sheetwright::register::scanned::{self, ScanScale};

use crate::bars::made_page::{MadePage, drawn};
use crate::bars::targets::picture;
use crate::simulator::camera::Photo;
use crate::simulator::printer::{Ink, PrintError, PrintPath};
use crate::simulator::random::Random;
use crate::simulator::scanner::{Lid, Scan};
use crate::simulator::sheet::Sheet;
use crate::simulator::target::Page;
use crate::simulator::{self, Printed, Shot};

const A4: Size = Size::new(210.0, 297.0);

/// A sheet with six marks and art around them, printed by a home printer.
fn printed(random: &mut Random, seed: u64) -> (MadePage, Printed) {
    let page = drawn(&Page::six_marks(A4, 12.0, 6.0).with_art(seed), 300.0);
    let sheet = Sheet::of_shop(A4, random);
    let path = PrintPath::new(PrintError::home(random), A4, random);
    let ink = Ink::home(random);
    let printed = Printed::new(&page.ink, &ink, path, sheet);
    (page, printed)
}

/// Sides of a sheet as a person reads them off a ruler.
fn ruled(printed: &Printed, random: &mut Random) -> Size {
    let [_, right, _, bottom] = printed.sheet.corners;
    let mut read = |side: f64| ((side + BY_RULER_MM * random.normal()) * 10.0).round() / 10.0;
    Size::new(read(right.x), read(bottom.y))
}

/// Largest error of a map from the page to the sheet at 49 places between the marks.
fn worst_mm(shot: &Shot, found: Affine) -> f64 {
    let places = (0..49).map(|i| {
        let (x, y) = (f64::from(i % 7) / 6.0, f64::from(i / 7) / 6.0);
        Point::new(12.0 + 186.0 * x, 12.0 + 273.0 * y)
    });
    let off = places.map(|at| (found * at - shot.path.sheet_from_page(at)).hypot2().sqrt());
    off.fold(0.0, f64::max)
}

/// The bar for photos is 0.45 mm 19 times in 20; the prototype was wrong by 1.7 to 2.4 mm in 3 of 7 bad ones.
#[test]
fn photos_are_within_what_they_state() {
    for (seed, is_poor) in [(1, false), (107, false), (103, true)] {
        let random = &mut Random::new(seed);
        let (page, mut printed) = printed(random, seed);
        let shot = match is_poor {
            false => Photo::typical(A4, 0.8, random),
            true => Photo::poor(A4, random),
        };
        let shot = simulator::photo(&mut printed, &shot, random);
        let sheet = KnownSheet {
            size: ruled(&printed, random),
            sigma_mm: BY_RULER_MM,
        };
        let (ids, found) = photo::look(&picture(&shot), &page.marks, sheet).unwrap();
        let mut codes = found.warnings.iter().map(|warning| warning.code);
        assert!(ids.len() >= 5, "{found:?}");
        if is_poor {
            assert!(
                codes.all(|code| code == "register.photo-careless"),
                "{found:?}"
            );
        } else {
            assert_eq!(codes.next(), None, "{found:?}");
        }
        let error_mm = worst_mm(&shot, found.value.sheet_from_plan);
        let stated_mm = found.value.spread.r95_mm(Point::new(198.0, 285.0));
        assert!(error_mm < 0.45, "photo {seed}: {error_mm}");
        assert!(
            (0.3..0.45).contains(&stated_mm),
            "photo {seed}: {stated_mm}"
        );
    }
}

/// The bar for scans at 300 dpi by a scanner whose scale is known is 0.08 mm 19 times in 20.
#[test]
fn scans_are_within_a_twelfth_of_a_millimetre() {
    for seed in 1..4 {
        let random = &mut Random::new(seed);
        let (page, mut printed) = printed(random, seed);
        let mut set = Scan::home(300.0, random);
        set.turn_rad += std::f64::consts::FRAC_PI_2 * f64::from(u8::try_from(seed).unwrap());
        let shot = simulator::scan(&mut printed, &set, random);
        let scale = ScanScale::Scanner(1.0, 1.0);
        let found = scanned::look(&picture(&shot), &page.marks, A4, scale)
            .unwrap()
            .value;
        assert_eq!(found.on_sheet.len(), 6);
        let pair = |(id, at): &(String, Point)| {
            let mark = page.marks.iter().find(|mark| mark.id == *id).unwrap();
            Pair::new(mark.centre, *at)
        };
        let pairs: Vec<Pair> = found.on_sheet.iter().map(pair).collect();
        let error_mm = worst_mm(&shot, affine(&pairs).unwrap().map);
        assert!(error_mm < 0.08, "scan {seed}: {error_mm}");
        assert!(error_mm < found.spread.r95_mm(Point::new(198.0, 285.0)));
    }
}

#[test]
fn a_scan_before_a_white_lid_is_refused_with_what_to_do() {
    let random = &mut Random::new(5);
    let (page, mut printed) = printed(random, 5);
    let mut set = Scan::perfect(150.0);
    set.lid = Lid::WHITE;
    let shot = simulator::scan(&mut printed, &set, random);
    let refusal = scanned::look(&picture(&shot), &page.marks, A4, ScanScale::Stated).unwrap_err();
    assert_eq!(refusal.code, "register.scan-edges", "{refusal:?}");
    assert!(refusal.hints[0].contains("dark sheet"));
}

//! Two hundred pictures as people take them, good and bad, of one kind after the other.

use kurbo::{Size, Vec2};

use super::made_page::{MadePage, drawn};
use super::registration::{Outcome, by_photo, by_scan, printed, some_scan};
use crate::simulator::camera::Photo;
use crate::simulator::random::Random;
use crate::simulator::scanner::{Lid, Scan};
use crate::simulator::target::{Page, Side};
use crate::simulator::{Printed, photo, scan, scan_two};

/// What is taken, and of what.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    Scan300,
    Scan200,
    Scan150,
    Scan600,
    /// A page by hand: the sheet flat or bent by up to 0.8 mm.
    Photo,
    PoorPhoto,
    /// A photo that is good but for paper bent by 1 to 4 mm.
    CurledPhoto,
    WhiteLid,
    OneCovered,
    ThreeCovered,
    Cropped,
    Mirrored,
    WrongPage,
    TwoSheets,
    Blurred,
    LyingTag,
}

/// How often each is taken; 130 of the 200 are good.
pub(crate) const MIX: [(Kind, usize); 16] = [
    (Kind::Scan300, 45),
    (Kind::Scan200, 15),
    (Kind::Scan150, 15),
    (Kind::Scan600, 5),
    (Kind::Photo, 50),
    (Kind::PoorPhoto, 20),
    (Kind::CurledPhoto, 10),
    (Kind::WhiteLid, 10),
    (Kind::OneCovered, 4),
    (Kind::ThreeCovered, 4),
    (Kind::Cropped, 6),
    (Kind::Mirrored, 6),
    (Kind::WrongPage, 4),
    (Kind::TwoSheets, 2),
    (Kind::Blurred, 2),
    (Kind::LyingTag, 2),
];

impl Kind {
    /// Whether nothing is wrong with it.
    pub(crate) fn is_good(self) -> bool {
        matches!(
            self,
            Self::Scan300 | Self::Scan200 | Self::Scan150 | Self::Scan600 | Self::Photo
        )
    }

    /// Whether there is no right answer, so that any is wrong.
    pub(crate) fn has_no_answer(self) -> bool {
        matches!(self, Self::Mirrored | Self::WrongPage | Self::TwoSheets)
    }

    fn dpi(self) -> f64 {
        let others = [
            (Self::Scan150, 150.0),
            (Self::Scan200, 200.0),
            (Self::Scan600, 600.0),
        ];
        let other = others.into_iter().find(|(kind, _)| *kind == self);
        other.map_or(300.0, |(_, dpi)| dpi)
    }
}

/// The pages that the pictures are of, drawn once.
#[derive(Debug)]
pub(crate) struct Pages {
    jobs: Vec<MadePage>,
    /// A page that is none of the job's.
    other: MadePage,
}

impl Pages {
    /// Pages of a size with six marks, most of them with art around the marks.
    pub(crate) fn new(size: Size, count: u64) -> Self {
        let page = Page::six_marks(size, 16.0, 8.0);
        let with_art = (1..count).map(|seed| drawn(&page.clone().with_art(seed), 600.0));
        Self {
            jobs: std::iter::once(drawn(&page, 600.0))
                .chain(with_art)
                .collect(),
            other: drawn(&Page::chart(size, Side::Front), 600.0),
        }
    }

    /// Takes a picture and registers by it.
    pub(crate) fn outcome(&self, kind: Kind, seed: u64) -> Outcome {
        let mut random = Random::new(seed);
        let page = &self.jobs[random.below(self.jobs.len())];
        let printed_page = if kind == Kind::WrongPage {
            &self.other
        } else {
            page
        };
        let mut sheet = printed(printed_page, &mut random);
        if matches!(kind, Kind::Photo | Kind::PoorPhoto | Kind::CurledPhoto) {
            let set = photo_of(kind, page.size, &mut random);
            let shot = photo(&mut sheet, &set, &mut random);
            return by_photo(page, &shot, &sheet.sheet, &mut random);
        }
        scanned(kind, page, &mut sheet, &mut random)
    }
}

fn photo_of(kind: Kind, size: Size, random: &mut Random) -> Photo {
    if kind == Kind::PoorPhoto {
        return Photo::poor(size, random);
    }
    let mut set = Photo::typical(size, 0.8, random);
    if kind == Kind::CurledPhoto {
        let sign = if random.chance(0.5) { 1.0 } else { -1.0 };
        set.curl.rise_mm = sign * random.between(1.0, 4.0);
    }
    set
}

fn scanned(kind: Kind, page: &MadePage, sheet: &mut Printed, random: &mut Random) -> Outcome {
    let set = scan_of(kind, random);
    if kind == Kind::OneCovered {
        cover(page, sheet, 1, random);
    }
    if kind == Kind::ThreeCovered {
        cover(page, sheet, 3, random);
    }
    let mut shot = if kind == Kind::TwoSheets {
        let mut beside = printed(page, random);
        scan_two(sheet, &mut beside, &set, random.between(2.0, 8.0), random)
    } else {
        scan(sheet, &set, random)
    };
    if kind == Kind::Mirrored {
        shot = shot.mirrored();
    }
    if kind == Kind::LyingTag {
        shot.dpi_tag = Some(if random.chance(0.5) { 72.0 } else { 200.0 });
    }
    by_scan(page, &shot)
}

fn scan_of(kind: Kind, random: &mut Random) -> Scan {
    let mut set = some_scan(kind.dpi(), random);
    if kind == Kind::WhiteLid {
        set.lid = Lid::WHITE;
    }
    if kind == Kind::Cropped {
        set.border_mm[random.below(4)] = -random.between(2.0, 25.0);
    }
    if kind == Kind::Blurred {
        set.sensor.blur_px = random.between(4.0, 10.0);
    }
    set
}

/// Lays something over some of the marks, and only partly over them.
fn cover(page: &MadePage, sheet: &mut Printed, count: usize, random: &mut Random) {
    let first = random.below(page.marks.len());
    for i in 0..count {
        let mark = &page.marks[(first + i) % page.marks.len()];
        let aside = Vec2::new(random.about_zero(4.0), random.about_zero(4.0));
        sheet.cover(mark.centre + aside, 8.0, random.between(0.1, 0.9));
    }
}

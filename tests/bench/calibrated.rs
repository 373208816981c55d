//! The bars about the printer: the ready chart printed and scanned.

use kurbo::Point;
use sheetwright::calibrate::chart::Chart;
use sheetwright::calibrate::scan::{Belief, Parting};
use sheetwright::project::{Face, PrintMap};

use crate::bars::calibration::{
    Off, Print, TRUE_SCANNER, back_to_front_off, read, ready_page, survey,
};
use crate::bars::made_page::chart;
use crate::bars::spread::Errors;
use crate::line;

/// What a number of prints gave.
#[derive(Debug, Default)]
struct Prints {
    by_known: Vec<Off>,
    before_mm: Vec<f64>,
    again_mm: Vec<f64>,
    /// Errors by one scan of a scanner that nobody measured, each as a share of what was said of it: at the page's corners, at the one
    /// of them for which the most was said, and at the targets.
    corner_shares: [Vec<f64>; 4],
    far_shares: Vec<f64>,
    target_shares: Vec<f64>,
    far_stated_mm: Vec<f64>,
    ratios_off: Vec<f64>,
    refused: Vec<String>,
}

/// The front of the printer, by a scanner that is known and one that is not; the latter on twice as many prints.
pub(crate) fn calibrate(seeds: u64) {
    let chart = chart("a4");
    let page = ready_page(&chart, Face::Front);
    let mut all = Prints::default();
    for seed in 0..2 * seeds {
        let mut print = Print::front(&page, seed);
        if seed < seeds
            && let Err(why) = by_known_scanner(&mut all, &chart, &mut print)
        {
            all.refused.push(format!("{seed}: {why}"));
        }
        if let Err(why) = by_unknown_scanner(&mut all, &chart, &mut print, seed < seeds) {
            all.refused.push(format!("{seed}: {why}"));
        }
    }
    print_known(&all);
    print_unknown(&all, 2 * seeds);
    line(
        "charts refused",
        &format!("{}", all.refused.len()),
        "0",
        all.refused.is_empty(),
    );
    for why in &all.refused {
        println!("       | refused: {why}");
    }
}

fn by_known_scanner(all: &mut Prints, chart: &Chart, print: &mut Print) -> Result<(), String> {
    let map = front(chart, &[read(&print.scan())?], TRUE_SCANNER)?;
    all.by_known.push(print.off(&map));
    all.before_mm
        .push(print.worst_mark_mm(chart, kurbo::Affine::IDENTITY));
    all.again_mm
        .push(print.worst_mark_mm(chart, map.sheet_from_page));
    Ok(())
}

fn by_unknown_scanner(
    all: &mut Prints,
    chart: &Chart,
    print: &mut Print,
    is_turned: bool,
) -> Result<(), String> {
    let (upright, turned) = print.scans_of_a_wrong_scanner(is_turned);
    let upright = read(&upright)?;
    let map = front(chart, std::slice::from_ref(&upright), Belief::UNKNOWN)?;
    let (w, h) = (chart.page.width, chart.page.height);
    let corners = [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)].map(Point::from);
    let share = |at: Point| print.share_of_stated(&map, at);
    for (shares, corner) in all.corner_shares.iter_mut().zip(corners) {
        shares.push(share(corner));
    }
    let r95_mm = |at: &Point| map.spread.r95_mm(*at);
    let far = corners
        .into_iter()
        .max_by(|a, b| r95_mm(a).total_cmp(&r95_mm(b)))
        .unwrap();
    all.far_shares.push(share(far));
    all.far_stated_mm.push(r95_mm(&far));
    let targets = chart.targets(Face::Front).iter();
    all.target_shares.extend(targets.map(|t| share(t.centre)));
    let Some(turned) = turned else { return Ok(()) };
    let both = survey(chart, &[upright, read(&turned)?], Belief::UNKNOWN)?;
    assert_eq!(both.result.parting, Parting::Ratio);
    all.ratios_off
        .push(100.0 * print.ratio_off(&both.result.front.unwrap().map));
    Ok(())
}

fn front(
    chart: &Chart,
    scans: &[sheetwright::calibrate::scan::FaceScan],
    belief: Belief,
) -> Result<PrintMap, String> {
    let survey = survey(chart, scans, belief)?;
    Ok(survey.result.front.ok_or("no front")?.map)
}

fn print_known(all: &Prints) {
    let part = |bar: &str, of: fn(&Off) -> f64, most: f64| {
        let errors = Errors::of(all.by_known.iter().map(of));
        line(
            bar,
            &errors.to_string(),
            &format!("all within {most}"),
            errors.worst() <= most,
        );
    };
    part("chart, scanner right: scale, %", |o| o.scale_percent, 0.02);
    part("chart, scanner right: turn, mrad", |o| o.turn_mrad, 0.1);
    part("chart, scanner right: shear, mrad", |o| o.shear_mrad, 0.1);
    part("chart, scanner right: offset, mm", |o| o.shift_mm, 0.06);
    let before = Errors::of(all.before_mm.iter().copied());
    let again = Errors::of(all.again_mm.iter().copied());
    line(
        "printed again, worst mark, mm",
        &format!("{again}; before {before}"),
        "all within 0.10",
        again.worst() <= 0.10,
    );
}

fn print_unknown(all: &Prints, count: u64) {
    let covered = |shares: &[f64]| shares.iter().filter(|share| **share <= 1.0).count();
    let percent = 100.0 * covered(&all.far_shares) as f64 / count as f64;
    let by_corner = all.corner_shares.each_ref().map(|shares| covered(shares));
    let targets =
        100.0 * covered(&all.target_shares) as f64 / all.target_shares.len().max(1) as f64;
    let stated = Errors::of(all.far_stated_mm.iter().copied()).median();
    line(
        "scanner not measured: radius covers, %",
        &format!(
            "{percent:.0} of {count}; by corner {by_corner:?}; targets {targets:.0} %; stated {stated:.3} mm"
        ),
        "90 to 98",
        (90.0..=98.0).contains(&percent),
    );
    let ratios = Errors::of(all.ratios_off.iter().copied());
    line(
        "second scan turned: across against down, %",
        &ratios.to_string(),
        "all within 0.02",
        ratios.worst() <= 0.02,
    );
}

/// Front and back of one sheet, by a scanner that is known and one that is not.
pub(crate) fn duplex(seeds: u64) {
    let chart = chart("a4");
    let pages = [Face::Front, Face::Back].map(|face| ready_page(&chart, face));
    let (mut shifts, mut turns, mut again, mut refused) = (vec![], vec![], vec![], vec![]);
    for seed in 0..seeds {
        let mut front = Print::front(&pages[0], 10_000 + seed);
        let mut back = front.back(&pages[1]);
        match duplex_maps(&chart, &mut front, &mut back) {
            Err(why) => refused.push(format!("{seed}: {why}")),
            Ok(maps) => {
                let (shift_mm, turn_mrad) =
                    back_to_front_off([&front, &back], [&maps[0], &maps[1]]);
                shifts.push(shift_mm);
                turns.push(turn_mrad);
                again.push(back.worst_mark_mm(&chart, maps[1].sheet_from_page));
            }
        }
    }
    let (shifts, turns) = (Errors::of(shifts), Errors::of(turns));
    let again = Errors::of(again);
    line(
        "duplex by scans: shift of the back, mm",
        &shifts.to_string(),
        "p95 0.1",
        shifts.p95() <= 0.1 && refused.is_empty(),
    );
    line(
        "duplex by scans: turn of the back, mrad",
        &turns.to_string(),
        "p95 0.8",
        turns.p95() <= 0.8,
    );
    line(
        "back printed again, worst mark, mm",
        &again.to_string(),
        "all within 0.10",
        again.worst() <= 0.10,
    );
    for why in &refused {
        println!("       | refused: {why}");
    }
}

fn duplex_maps(
    chart: &Chart,
    front: &mut Print,
    back: &mut Print,
) -> Result<[PrintMap; 2], String> {
    let scans = [read(&front.scan())?, read(&back.scan())?];
    let result = survey(chart, &scans, TRUE_SCANNER)?.result;
    Ok([
        result.front.ok_or("no front")?.map,
        result.back.ok_or("no back")?.map,
    ])
}

//! The chart found among the targets of a picture: its format, its side and every one of its targets.
//!
//! Four classes of targets stand once each at the corners and name them, whichever way the sheet lies; their distances tell the
//! format, the full target the side. Then every other target must be where these put it. Nothing is guessed: a target too few, a
//! corner twice or a mirrored order is refused.

use kurbo::{Point, Size};

use super::mark_error::place_words;
use crate::calibrate::chart::{Chart, Target as ChartTarget};
use crate::diagnostic::{Diagnostic, counted};
use crate::fit::{Pair, affine};
use crate::length::MM_PER_INCH;
use crate::plan::MarkClass;
use crate::project::Face;
use crate::scan::{Target, Targets};

/// Classes that stand once: top left, top right, bottom right, bottom left, and the one that tells the side.
const ONCE: [(MarkClass, &str); 5] = [
    (MarkClass::One, "top left"),
    (MarkClass::TwoAdjacent, "top right"),
    (MarkClass::TwoOpposite, "bottom right"),
    (MarkClass::Three, "bottom left"),
    (MarkClass::Full, "full"),
];

/// Radius of a target's ring in millimetres.
const RADIUS_MM: f64 = 3.0;

/// A ring tells the picture's scale to some percent: ink spreads by 0.06 mm at most, and printers are off by 3 %.
const MOST_BETWEEN: f64 = 0.1;

/// Resolutions that scanners offer, in pixels to the inch.
const USUAL_DPI: [f64; 11] = [
    75.0, 100.0, 150.0, 200.0, 240.0, 300.0, 400.0, 600.0, 720.0, 800.0, 1200.0,
];

/// Formats are told apart by more than this, and printers are off by less.
const MOST_FORMAT: f64 = 0.035;

/// How far a target may lie from where the corners put it, in millimetres.
const MOST_AWAY_MM: f64 = 2.5;

/// A chart found in a picture.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenChart {
    /// Which of the charts it is.
    pub chart: usize,
    /// Which side it shows.
    pub face: Face,
    /// Pixels to the inch that lengths are counted by.
    pub dpi: f64,
    /// Whether the file says so; else the targets' size does.
    pub is_stated: bool,
    /// Places of all targets in pixels, in the chart's order.
    pub places_px: Vec<Point>,
}

/// Finds one of the charts among the targets of a picture called `name`.
///
/// # Errors
///
/// Returns what is missing, covered, doubled, mirrored or unlike any of the charts, and what to do.
pub fn seen_chart(name: &str, found: &Targets, charts: &[Chart]) -> Result<SeenChart, Diagnostic> {
    let (dpi, is_stated) = resolution(name, found)?;
    let once = standing_once(name, found)?;
    refuse_mirrored(name, &once)?;
    let px_per_mm = dpi / MM_PER_INCH;
    let chart = nearest_chart(name, &once, px_per_mm, charts)?;
    let (face, places_px) = all_targets(name, found, &once, &charts[chart], px_per_mm)?;
    Ok(SeenChart {
        chart,
        face,
        dpi,
        is_stated,
        places_px,
    })
}

/// The file's word if the rings agree, a usual resolution near what the rings say if it has none.
fn resolution(name: &str, found: &Targets) -> Result<(f64, bool), Diagnostic> {
    let mut radii: Vec<f64> = found
        .all
        .iter()
        .map(|t| f64::midpoint(t.half_axes_px.0, t.half_axes_px.1))
        .collect();
    radii.sort_by(f64::total_cmp);
    let Some(middle_px) = radii.get(radii.len() / 2) else {
        return Err(no_target(name, found));
    };
    let by_rings = middle_px / RADIUS_MM * MM_PER_INCH;
    let usual = USUAL_DPI
        .into_iter()
        .min_by(|a, b| {
            (a / by_rings - 1.0)
                .abs()
                .total_cmp(&(b / by_rings - 1.0).abs())
        })
        .filter(|dpi| (dpi / by_rings - 1.0).abs() < MOST_BETWEEN / 2.0);
    let guess = usual.map_or_else(|| format!("about {by_rings:.0}"), |dpi| format!("{dpi:.0}"));
    match found.dpi {
        Some(dpi) if (dpi / by_rings - 1.0).abs() <= MOST_BETWEEN => Ok((dpi, true)),
        Some(dpi) => {
            let message = format!(
                "{name} says {dpi:.0} pixels to the inch, but its targets are as large as at {guess}"
            );
            Err(Diagnostic::error("calibrate.dpi", message).hint(format!(
                "scan again without resizing and save it as PNG or TIFF, or state the resolution that it was scanned with: --dpi {guess}"
            )))
        }
        None => usual.map(|dpi| (dpi, false)).ok_or_else(|| {
            let message = format!(
                "{name} does not say how many pixels an inch has, and its targets look like {by_rings:.0}, which no scanner offers"
            );
            Diagnostic::error("calibrate.dpi", message)
                .hint("state the resolution that it was scanned with, such as --dpi 300")
        }),
    }
}

fn no_target(name: &str, found: &Targets) -> Diagnostic {
    let ways = [
        (found.blurred, "blurred"),
        (found.faint, "faint"),
        (found.broken, "partly covered"),
    ];
    let seen: Vec<String> = ways
        .iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, way)| format!("{count} {way}"))
        .collect();
    let (message, hint) = if seen.is_empty() {
        (
            format!("{name} shows no target of the chart"),
            "scan the printed chart, at 150 to 600 dpi; `calibrate chart` makes it",
        )
    } else {
        (
            format!(
                "{name} shows no target that can be measured: {}",
                seen.join(", ")
            ),
            "wipe the glass, lay the sheet flat, switch off \"economy\" printing, and scan at 300 dpi",
        )
    };
    Diagnostic::error("calibrate.targets", message).hint(hint)
}

/// The five targets that stand once, in [`ONCE`]'s order.
fn standing_once<'a>(name: &str, found: &'a Targets) -> Result<[&'a Target; 5], Diagnostic> {
    let of = |class: MarkClass| -> Vec<&'a Target> {
        found.all.iter().filter(|t| t.class == class).collect()
    };
    let twice: Vec<&str> = ONCE
        .iter()
        .filter(|(class, _)| of(*class).len() > 1)
        .map(|(_, place)| *place)
        .collect();
    if !twice.is_empty() {
        let message = format!(
            "{name} shows more than one {} target: two sheets, or a page that is no chart",
            twice.join(" and more than one ")
        );
        return Err(Diagnostic::error("calibrate.two-sheets", message)
            .hint("scan one chart at a time; targets of other pages must not be in the picture"));
    }
    let missing: Vec<&str> = ONCE
        .iter()
        .filter(|(class, _)| of(*class).is_empty())
        .map(|(_, place)| *place)
        .collect();
    if !missing.is_empty() {
        return Err(incomplete(
            name,
            found,
            &format!("the {} target", missing.join(" and the ")),
        ));
    }
    Ok(ONCE.map(|(class, _)| of(class)[0]))
}

fn incomplete(name: &str, found: &Targets, what: &str) -> Diagnostic {
    let bad = found.blurred + found.faint + found.broken;
    let more = if bad == 0 {
        String::new()
    } else {
        format!(
            "; {} cannot be measured ({} blurred, {} faint, {} partly covered)",
            counted(bad, "ring"),
            found.blurred,
            found.faint,
            found.broken
        )
    };
    let message = format!(
        "{name} lacks {what}: {} found{more}",
        counted(found.all.len(), "target")
    );
    Diagnostic::error("calibrate.targets", message).hint(
        "lay the whole sheet on the glass with nothing on it, scan to beyond all four edges at 300 dpi, and see that this is the chart",
    )
}

/// Down from the top left must lie clockwise from across, as on paper.
fn refuse_mirrored(name: &str, once: &[&Target; 5]) -> Result<(), Diagnostic> {
    let [top_left, top_right, _, bottom_left, _] = once.map(|t| t.centre);
    if (top_right - top_left).cross(bottom_left - top_left) > 0.0 {
        return Ok(());
    }
    let message = format!("{name} is mirrored: its targets follow each other the wrong way round");
    Err(Diagnostic::error("calibrate.mirrored", message)
        .hint("switch off mirroring in the scan program, lay the printed side on the glass, and scan again"))
}

fn nearest_chart(
    name: &str,
    once: &[&Target; 5],
    px_per_mm: f64,
    charts: &[Chart],
) -> Result<usize, Diagnostic> {
    let [top_left, top_right, bottom_right, bottom_left, _] = once.map(|t| t.centre);
    let mean_mm = |a: (Point, Point), b: (Point, Point)| {
        f64::midpoint((a.0 - a.1).hypot2().sqrt(), (b.0 - b.1).hypot2().sqrt()) / px_per_mm
    };
    let seen = Size::new(
        mean_mm((top_left, top_right), (bottom_left, bottom_right)),
        mean_mm((top_left, bottom_left), (top_right, bottom_right)),
    );
    let off = |chart: &Chart| {
        let [tl, tr, br] = [
            MarkClass::One,
            MarkClass::TwoAdjacent,
            MarkClass::TwoOpposite,
        ]
        .map(|class| {
            chart
                .front
                .iter()
                .find(|t| t.class == class)
                .map(|t| t.centre)
        });
        let (Some(tl), Some(tr), Some(br)) = (tl, tr, br) else {
            return f64::INFINITY;
        };
        let across = seen.width / (tr - tl).hypot2().sqrt() - 1.0;
        let down = seen.height / (br - tr).hypot2().sqrt() - 1.0;
        across.abs().max(down.abs())
    };
    let nearest = charts
        .iter()
        .enumerate()
        .min_by(|a, b| off(a.1).total_cmp(&off(b.1)));
    match nearest {
        Some((position, chart)) if off(chart) <= MOST_FORMAT => Ok(position),
        Some((_, chart)) => Err(other_page(name, seen, chart, charts.len())),
        None => Err(Diagnostic::error(
            "calibrate.paper",
            "there is no chart to look for",
        )),
    }
}

fn other_page(name: &str, seen: Size, nearest: &Chart, count: usize) -> Diagnostic {
    let fits = |chart: &Chart| {
        let (first, last) = (chart.front.first(), chart.front.last());
        let step = first
            .zip(last)
            .map_or(kurbo::Vec2::ZERO, |(a, b)| b.centre - a.centre);
        format!("{:.1} x {:.1} mm", step.x, step.y)
    };
    let message = format!(
        "{name} shows corner targets {:.1} x {:.1} mm apart; the {}chart for {} has them {} apart",
        seen.width,
        seen.height,
        if count > 1 { "nearest " } else { "" },
        nearest.format,
        fits(nearest)
    );
    Diagnostic::error("calibrate.wrong-page", message).hint(
        "print the chart at 100 % on the paper it was made for, or name the paper that it was printed on: --paper NAME",
    )
}

/// The side, and the places of all targets in the chart's order.
fn all_targets(
    name: &str,
    found: &Targets,
    once: &[&Target; 5],
    chart: &Chart,
    px_per_mm: f64,
) -> Result<(Face, Vec<Point>), Diagnostic> {
    let away = |face: Face| {
        let full = chart
            .targets(face)
            .iter()
            .find(|t| t.class == MarkClass::Full);
        let pairs = corner_pairs(chart.targets(face), once);
        let fit = affine(&pairs).ok()?;
        Some((fit.map * full?.centre - once[4].centre).hypot2().sqrt() / px_per_mm)
    };
    let sides = [Face::Front, Face::Back].map(|face| (face, away(face).unwrap_or(f64::INFINITY)));
    let nearest = sides.into_iter().min_by(|a, b| a.1.total_cmp(&b.1));
    let Some((face, _)) = nearest.filter(|(_, away_mm)| *away_mm <= MOST_AWAY_MM) else {
        let message = format!(
            "{name}: the full target is neither in the middle (front) nor at the top (back)"
        );
        return Err(Diagnostic::error("calibrate.wrong-page", message)
            .hint("scan the printed chart: this page has targets in other places"));
    };
    let nominal = chart.targets(face);
    let pairs = corner_pairs(nominal, once);
    let map = affine(&pairs)
        .map_err(|e| incomplete(name, found, &e.to_string()))?
        .map;
    let place = |target: &ChartTarget| {
        let wanted = map * target.centre;
        let alike = found.all.iter().filter(|t| t.class == target.class);
        alike
            .map(|t| (t.centre, (t.centre - wanted).hypot2().sqrt()))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .filter(|(_, away_px)| *away_px <= MOST_AWAY_MM * px_per_mm)
            .map(|(centre, _)| centre)
    };
    let places: Vec<Option<Point>> = nominal.iter().map(place).collect();
    let missing: Vec<String> = nominal
        .iter()
        .zip(&places)
        .filter(|(_, place)| place.is_none())
        .map(|(target, _)| format!("{} ({})", target.id, place_words(target.centre, chart.page)))
        .collect();
    if !missing.is_empty() {
        let word = if missing.len() == 1 {
            "target"
        } else {
            "targets"
        };
        return Err(incomplete(
            name,
            found,
            &format!("{word} {}", missing.join(", ")),
        ));
    }
    let strangers = found.all.len() - nominal.len();
    if strangers > 0 {
        let message = format!(
            "{name} shows {} that are none of the chart's",
            counted(strangers, "target")
        );
        return Err(Diagnostic::error("calibrate.two-sheets", message)
            .hint("scan one chart at a time, with nothing else on the glass"));
    }
    Ok((face, places.into_iter().flatten().collect()))
}

/// The corner targets of the chart with where they were found, in pixels.
fn corner_pairs(nominal: &[ChartTarget], once: &[&Target; 5]) -> Vec<Pair> {
    once[..4]
        .iter()
        .filter_map(|found| {
            let target = nominal.iter().find(|t| t.class == found.class)?;
            Some(Pair::new(target.centre, found.centre))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use kurbo::Affine;

    use super::*;
    use crate::calibrate::scan::possible_charts;
    use crate::paper;

    const PX_PER_MM: f64 = 300.0 / MM_PER_INCH;

    /// A format's chart as a detector sees it at 300 dpi: printed 1 % large, turned by `turn_deg`.
    fn seen(format: &str, face: Face, turn_deg: f64) -> Targets {
        let charts = possible_charts(paper::find(format));
        let (sin, cos) = crate::math::Angle::from_deg(turn_deg).sin_cos();
        let map = Affine::translate((3000.0, 3000.0))
            * Affine::new([cos, sin, -sin, cos, 0.0, 0.0])
            * Affine::scale(1.01 * PX_PER_MM);
        let target = |t: &ChartTarget| Target {
            centre: map * t.centre,
            sigma_px: 0.02,
            half_axes_px: (RADIUS_MM * PX_PER_MM, RADIUS_MM * PX_PER_MM),
            shape_px: [1.0, 0.0, 1.0],
            class: t.class,
            turn_rad: None,
            ink: 20.0,
            paper: 230.0,
            blur_px: 0.5,
        };
        Targets {
            all: charts[0].targets(face).iter().map(target).collect(),
            blurred: 0,
            faint: 0,
            broken: 0,
            size_px: (7000, 7000),
            dpi: Some(300.0),
        }
    }

    fn find(targets: &Targets) -> Result<(String, SeenChart), Diagnostic> {
        let charts = possible_charts(None);
        let seen = seen_chart("scan.png", targets, &charts)?;
        Ok((charts[seen.chart].format.clone(), seen))
    }

    #[test]
    fn format_and_side_are_seen_whatever_the_turn() {
        for (format, name) in [("a4", "A4"), ("letter", "Letter")] {
            for face in [Face::Front, Face::Back] {
                for turn_deg in [0.0, 1.5, 90.0, 181.0, 270.0, 33.0] {
                    let targets = seen(format, face, turn_deg);
                    let (found, chart) = find(&targets).unwrap();
                    assert!(found.eq_ignore_ascii_case(name), "{found}");
                    assert_eq!((chart.face, chart.is_stated), (face, true));
                    let places: Vec<Point> = targets.all.iter().map(|t| t.centre).collect();
                    assert_eq!(chart.places_px, places);
                }
            }
        }
    }

    #[track_caller]
    fn assert_refused(targets: &Targets, code: &str, word: &str) {
        let refusal = find(targets).unwrap_err();
        assert_eq!(refusal.code, code, "{}", refusal.message);
        assert!(refusal.message.contains(word), "{}", refusal.message);
        assert!(!refusal.hints.is_empty());
    }

    #[test]
    fn what_is_missing_doubled_or_foreign_is_named() {
        let whole = seen("a4", Face::Front, 2.0);
        let mut lacking = whole.clone();
        lacking.all.remove(6);
        lacking.broken = 1;
        assert_refused(&lacking, "calibrate.targets", "b2 (upper left)");
        let mut cornerless = whole.clone();
        cornerless.all.remove(0);
        assert_refused(&cornerless, "calibrate.targets", "top left");
        let mut twice = whole.clone();
        twice.all.extend(seen("a4", Face::Front, 180.0).all);
        assert_refused(&twice, "calibrate.two-sheets", "two sheets");
        let mut stranger = whole.clone();
        stranger.all.push(Target {
            centre: Point::new(10.0, 10.0),
            ..whole.all[1]
        });
        assert_refused(&stranger, "calibrate.two-sheets", "1 target");
        let nothing = Targets {
            all: Vec::new(),
            blurred: 9,
            ..whole
        };
        assert_refused(&nothing, "calibrate.targets", "9 blurred");
    }

    #[test]
    fn a_mirrored_scan_is_refused() {
        let mut targets = seen("letter", Face::Front, 1.0);
        for target in &mut targets.all {
            target.centre.x = 7000.0 - target.centre.x;
        }
        assert_refused(&targets, "calibrate.mirrored", "mirrored");
    }

    #[test]
    fn a_tag_that_the_rings_contradict_is_refused_and_a_missing_one_is_replaced() {
        let mut targets = seen("a4", Face::Front, 1.0);
        targets.dpi = Some(150.0);
        assert_refused(&targets, "calibrate.dpi", "300");
        targets.dpi = None;
        let (_, chart) = find(&targets).unwrap();
        assert!((chart.dpi - 300.0).abs() < 1e-9 && !chart.is_stated);
    }

    /// A target moved by 4 mm is neither where the corners put it nor a stranger that may be left out.
    #[test]
    fn a_target_out_of_its_place_is_refused() {
        let mut targets = seen("a4", Face::Front, 1.0);
        targets.all[7].centre.x += 4.0 * PX_PER_MM;
        assert_refused(&targets, "calibrate.targets", "c2");
    }
}

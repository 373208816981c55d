//! The maps, predictions and misreading checks of `tests/data/registration-vectors.json`, which general-purpose libraries worked out;
//! their names and versions stand in the file.
//!
//! Every number is compared to its last digit: within half a unit of it, and a hundredth more for what rounding the inputs leaves.

use std::collections::BTreeMap;

use kurbo::{Affine, Point, Rect, Vec2};
use serde_json::Value;
use sheetwright::fit::{
    self, Homography, MapFit, Model, Noise, Pair, Reading, Slip, Terms, TurnedScans,
};

/// The cases by their id.
fn cases() -> BTreeMap<String, Value> {
    let text = include_str!("../data/registration-vectors.json");
    let file: Value = serde_json::from_str(text).unwrap();
    let cases = file["cases"].as_array().unwrap().iter();
    cases
        .map(|case| (case["id"].as_str().unwrap().to_owned(), case.clone()))
        .collect()
}

fn case(id: &str) -> Value {
    cases().remove(id).unwrap()
}

fn numbers(value: &Value) -> Vec<f64> {
    let list = value.as_array().unwrap().iter();
    list.map(|v| v.as_f64().unwrap()).collect()
}

fn points(value: &Value) -> Vec<Point> {
    let list = value.as_array().unwrap().iter();
    list.map(|v| {
        let xy = numbers(v);
        Point::new(xy[0], xy[1])
    })
    .collect()
}

fn pairs(case: &Value, nominal: &str, measured: &str) -> Vec<Pair> {
    let both = points(&case[nominal])
        .into_iter()
        .zip(points(&case[measured]));
    both.map(|(from, to)| Pair::new(from, to)).collect()
}

/// Compares to a number of decimals.
fn same(what: &str, got: f64, want: f64, decimals: i32) {
    let unit = 10.0_f64.powi(-decimals);
    assert!(
        (got - want).abs() <= 0.51 * unit,
        "{what}: {got} instead of {want}"
    );
}

/// Compares to a number of significant digits.
fn same_digits(what: &str, got: f64, want: f64, digits: i32) {
    let size = libm::log10(want.abs()).floor();
    let unit = libm::pow(10.0, size + 1.0 - f64::from(digits));
    assert!(
        (got - want).abs() <= 0.51 * unit,
        "{what}: {got} instead of {want}"
    );
}

fn same_vector(what: &str, got: Vec2, want: &Value) {
    let want = numbers(want);
    same(what, got.x, want[0], 6);
    same(what, got.y, want[1], 6);
}

fn same_point(what: &str, got: Point, want: &Value) {
    same_vector(what, got.to_vec2(), want);
}

fn same_vectors<'a>(what: &str, got: impl IntoIterator<Item = &'a Vec2>, want: &Value) {
    let got: Vec<_> = got.into_iter().collect();
    let want = want.as_array().unwrap();
    assert_eq!(got.len(), want.len(), "{what}");
    for (got, want) in got.into_iter().zip(want) {
        same_vector(what, *got, want);
    }
}

/// Compares the matrix and the shift of an affine map.
fn same_map(what: &str, got: Affine, matrix: &Value, shift: &Value, decimals: i32) {
    let [a, b, c, d, e, f] = got.as_coeffs();
    let (first, second) = (numbers(&matrix[0]), numbers(&matrix[1]));
    for (got, want) in [a, c, b, d].into_iter().zip([first, second].concat()) {
        same(what, got, want, decimals);
    }
    same_vector(what, Vec2::new(e, f), shift);
}

fn check_fit(id: &str, model: Model) {
    let case = case(id);
    let found = fit::fit(model, &pairs(&case, "nominal", "measured")).unwrap();
    same_map(id, found.map, &case["matrix"], &case["b"], 6);
    same_vectors(id, &found.residuals, &case["residuals"]);
    same(id, found.rms_mm(), case["rms"].as_f64().unwrap(), 6);
    same(id, found.max_mm(), case["max"].as_f64().unwrap(), 6);
    let terms = Terms::of(found.map, Point::ZERO);
    if let Some(angle_mrad) = case["angle_mrad"].as_f64() {
        same(id, 1000.0 * terms.turn_rad, angle_mrad, 6);
        same(id, 1.0 + terms.scale_x, case["scale"].as_f64().unwrap(), 9);
    }
}

#[test]
fn shift_and_turn_are_those_of_umeyama() {
    for count in [3, 4, 6] {
        check_fit(&format!("fit-rigid-{count}"), Model::Rigid);
        check_fit(&format!("fit-similarity-{count}"), Model::Similarity);
    }
}

#[test]
fn affine_maps_are_those_of_least_squares() {
    for count in [3, 4, 6] {
        check_fit(&format!("fit-affine-{count}"), Model::Affine);
    }
}

fn same_homography(what: &str, got: &Homography, want: &Value, digits: i32) {
    for (row, want) in got.rows().iter().zip(want.as_array().unwrap()) {
        for (got, want) in row.iter().zip(numbers(want)) {
            same_digits(what, *got, want, digits);
        }
    }
}

/// The least squares of `fit-projective-6` worked out by Newton's steps with 50 digits (Python's `decimal`). The reference library
/// stopped its search 5 to 7 units of the ninth digit before it, so that its matrix is compared to eight digits, and its points to a
/// millionth of a pixel.
const LEAST_SQUARES_OF_6: [[f64; 3]; 3] = [
    [11.6198564102, 0.307411262838, 148.442205665],
    [-0.174683501248, 11.4043892125, 201.525842077],
    [-0.000209418071929, 0.000138544122051, 1.0],
];

#[test]
fn homographies_are_those_of_the_direct_transform_and_of_picture_distance() {
    for id in ["fit-projective-4", "fit-projective-6"] {
        let case = case(id);
        let found = fit::projective(&pairs(&case, "page", "image")).unwrap();
        same_homography(id, &found.direct, &case["H_dlt"], 9);
        let is_exact = id == "fit-projective-4";
        let digits = if is_exact { 9 } else { 8 };
        same_homography(id, &found.map, &case["H_geometric"], digits);
        if !is_exact {
            let whole = serde_json::json!(LEAST_SQUARES_OF_6);
            same_homography(id, &found.map, &whole, 11);
        }
        for (i, at) in points(&case["test_page"]).into_iter().enumerate() {
            same_point(id, found.direct.apply(at), &case["test_image_dlt"][i]);
            let (got, want) = (
                found.map.apply(at),
                points(&case["test_image_geometric"])[i],
            );
            let off_px = (got - want).hypot2().sqrt();
            assert!(off_px < 1e-6, "{id}: off by {off_px} pixels");
        }
        // The file asks for the page's point of pixel (1000, 1500).
        let back = found
            .map
            .inverse()
            .unwrap()
            .apply(Point::new(1000.0, 1500.0));
        same_point(id, back, &case["inverse_of_geometric_at"][0]);
        same(
            id,
            found.rms(),
            case["rms_px_geometric"].as_f64().unwrap(),
            6,
        );
    }
}

#[test]
fn the_mark_that_was_typed_wrong_is_found_by_what_the_others_say() {
    let case = case("outlier-affine-6");
    let given = pairs(&case, "nominal", "measured");
    let whole = fit::affine(&given).unwrap();
    same_map("outlier", whole.map, &case["matrix"], &case["b"], 6);
    same_vectors("outlier", &whole.residuals, &case["residuals"]);
    let tests = fit::tests(&whole);
    let want = |key: &str| numbers(&case[key]);
    for (i, test) in tests.iter().enumerate() {
        same("leverage", test.leverage, want("leverage")[i], 6);
        same_vector(
            "left out",
            test.left_out_mm.unwrap(),
            &case["leave_one_out_residuals"][i],
        );
        same("F", test.deleted_f.unwrap(), want("F")[i], 6);
        let p = want("p")[i];
        if p < 0.001 {
            same_digits("p", test.deleted_chance, p, 6);
        } else {
            same("p", test.deleted_chance, p, 6);
        }
    }
    // The decision is by the error of a reading: 0.1 mm here.
    let known: Vec<Pair> = given.iter().map(|p| p.with_sigma(0.1)).collect();
    let cleaned = fit::clean(&fit::affine(&known).unwrap()).unwrap();
    assert_eq!(cleaned.slip, Slip::Named(4));
    assert_eq!(case["flagged_index"], 4);
    let without = &case["refit_without"];
    same_map(
        "refit",
        cleaned.fit.map,
        &without["matrix"],
        &without["b"],
        6,
    );
    same_vectors("refit", &cleaned.fit.residuals, &without["residuals"]);
    same(
        "refit",
        cleaned.fit.rms_mm(),
        without["rms"].as_f64().unwrap(),
        6,
    );
    same(
        "refit",
        cleaned.fit.max_mm(),
        without["max"].as_f64().unwrap(),
        6,
    );
}

#[test]
fn what_is_left_without_each_mark_is_as_when_it_was_never_there() {
    let case = case("outlier-similarity-4");
    let given = pairs(&case, "nominal", "measured");
    let tests = fit::tests(&fit::similarity(&given).unwrap());
    for row in case["loo"].as_array().unwrap() {
        let left_out = usize::try_from(row["left_out"].as_u64().unwrap()).unwrap();
        same_vector("miss", tests[left_out].left_out_mm.unwrap(), &row["miss"]);
        let mut rest = given.clone();
        rest.remove(left_out);
        let rest = fit::similarity(&rest).unwrap();
        let sigma = rest.estimated_sigma().unwrap();
        same("rest", sigma, row["rms_of_rest"].as_f64().unwrap(), 6);
    }
}

#[test]
fn the_predicted_error_is_that_of_the_f_and_chi_square_tables() {
    let case = case("predict-affine-6");
    let given = pairs(&case, "nominal", "measured");
    let found = fit::affine(&given).unwrap();
    let want = |key: &str| numbers(&case[key]);
    same(
        "sigma",
        found.estimated_sigma().unwrap(),
        case["sigma"].as_f64().unwrap(),
        6,
    );
    assert_eq!(case["dof"], found.freedom());
    same(
        "F",
        fit::f95_of_2(found.freedom()),
        case["F95"].as_f64().unwrap(),
        6,
    );
    let known: Vec<Pair> = given.iter().map(|p| p.with_sigma(0.05)).collect();
    let known = fit::affine(&known).unwrap();
    let estimated = Noise::Estimated { least: 0.01 };
    for (i, at) in points(&case["points"]).into_iter().enumerate() {
        same("leverage", found.leverage_at(at), want("leverage")[i], 6);
        same(
            "estimated",
            found.r95_mm(at, estimated),
            want("r95_estimated_sigma")[i],
            6,
        );
        same(
            "known",
            known.r95_mm(at, Noise::Known),
            want("r95_sigma_0p05")[i],
            6,
        );
        same(
            "spread",
            known.unit_spread.r95_mm(at),
            want("r95_sigma_0p05")[i],
            6,
        );
        let with_cutter = known.r95_with_mm(at, Noise::Known, 0.10);
        same("with cutter", with_cutter, want("r95_with_cutter")[i], 6);
    }
    let from_origin = found.unit_spread.counted_from(Point::ZERO).x;
    let [xx, xy, yy, x1, y1, one] = from_origin.map(|v| 1e6 * v);
    let rows = [[xx, xy, x1], [xy, yy, y1], [x1, y1, one]];
    for (row, want) in rows.iter().zip(case["inv_GtG"].as_array().unwrap()) {
        for (got, want) in row.iter().zip(numbers(want)) {
            same("inverse", *got, want, 6);
        }
    }
}

fn terms_of(case: &Value) -> Terms {
    let number = |key: &str| case[key].as_f64().unwrap();
    Terms {
        scale_x: number("ex_pct") / 100.0,
        scale_y: number("ey_pct") / 100.0,
        shear_rad: number("shear_mrad") / 1000.0,
        turn_rad: number("rot_mrad") / 1000.0,
        shift: Vec2::new(number("dx"), number("dy")),
    }
}

/// A printer's map, and the centre of its page.
fn profile(case: &Value) -> (Affine, Point) {
    let page = numbers(&case["page"]);
    let centre = Point::new(page[0] / 2.0, page[1] / 2.0);
    (terms_of(case).to_map(centre), centre)
}

#[test]
fn a_printers_map_its_inverse_and_its_reach_are_those_of_the_vectors() {
    for id in ["profile-210x297", "profile-215.9x279.4"] {
        let case = case(id);
        let (map, centre) = profile(&case);
        let number = |key: &str| case[key].as_f64().unwrap();
        let page = numbers(&case["page"]);
        same_map(id, map, &case["matrix"], &case["b"], 9);
        let back = map.inverse();
        same_map(id, back, &case["inverse_matrix"], &case["inverse_b"], 9);
        let again = Terms::of(map, centre);
        same(id, 1000.0 * again.shear_rad, number("shear_mrad"), 9);
        same(id, 100.0 * again.scale_y, number("ey_pct"), 9);
        for (i, at) in points(&case["points"]).into_iter().enumerate() {
            same_point(id, map * at, &case["printed_without"][i]);
            same_point(id, back * at, &case["precompensated"][i]);
            same_point(id, map * (back * at), &case["printed_with"][i]);
        }
        let k = 72.0 / 25.4;
        let points_from_page = Affine::new([k, 0.0, 0.0, -k, 0.0, k * page[1]]);
        let operator = points_from_page * back * points_from_page.inverse();
        for (got, want) in operator
            .as_coeffs()
            .into_iter()
            .zip(numbers(&case["pdf_cm"]))
        {
            same(id, got, want, 9);
        }
        check_reach(id, map, &page, &case);
    }
}

/// The printable rectangle on the sheet, and the largest upright one by its inner corners.
fn check_reach(id: &str, map: Affine, page: &[f64], case: &Value) {
    let margins = numbers(&case["margins"]);
    let printable = Rect::new(
        margins[0],
        margins[1],
        page[0] - margins[2],
        page[1] - margins[3],
    );
    let corners = [
        (printable.x0, printable.y0),
        (printable.x1, printable.y0),
        (printable.x1, printable.y1),
        (printable.x0, printable.y1),
    ]
    .map(|(x, y)| map * Point::new(x, y));
    for (got, want) in corners.iter().zip(case["reach"].as_array().unwrap()) {
        same_point(id, *got, want);
    }
    let [a, b, c, d] = corners;
    let safe = [a.x.max(d.x), a.y.max(b.y), b.x.min(c.x), c.y.min(d.y)];
    for (got, want) in safe.into_iter().zip(numbers(&case["safe_rect"])) {
        same(id, got, want, 6);
    }
}

fn readings(case: &Value, axis: &str, sigma_mm: f64) -> Vec<Reading> {
    let places = points(&case[format!("stations_{axis}")]);
    let values = numbers(&case[format!("readings_{axis}")]);
    let both = places.into_iter().zip(values);
    both.map(|(at, value_mm)| Reading {
        at,
        value_mm,
        sigma_mm,
    })
    .collect()
}

/// The map that eight readings of this error give, and the rows it is made of.
fn by_eye(case: &Value, sigma_mm: f64) -> (Affine, fit::Spread, fit::RowFit, fit::RowFit) {
    let x = fit::fit_row(&readings(case, "x", sigma_mm)).unwrap();
    let y = fit::fit_row(&readings(case, "y", sigma_mm)).unwrap();
    let (map, spread) = x.with_y(&y);
    (map, spread, x, y)
}

#[test]
fn eight_readings_by_eye_give_the_printers_map_and_its_error() {
    for id in ["eye-210x297", "eye-215.9x279.4"] {
        let case = case(id);
        let page = numbers(&case["page"]);
        let centre = Point::new(page[0] / 2.0, page[1] / 2.0);
        let (map, spread, x, y) = by_eye(&case, 0.1);
        same_map(id, map, &case["matrix"], &case["b"], 6);
        let terms = Terms::of(map, centre);
        let number = |key: &str| case[key].as_f64().unwrap();
        same(id, 100.0 * terms.scale_x, number("ex_pct"), 6);
        same(id, 100.0 * terms.scale_y, number("ey_pct"), 6);
        same(id, 1000.0 * terms.shear_rad, number("shear_mrad"), 6);
        same(id, 1000.0 * terms.turn_rad, number("rot_mrad"), 6);
        same_vector(id, terms.shift, &case["offset_at_centre"]);
        same(id, x.check_mm(), number("check_x").abs(), 6);
        same(id, y.check_mm(), number("check_y").abs(), 6);
        let ruler = by_eye(&case, 0.165).1;
        let mean_of_3 = by_eye(&case, 0.1 / 3.0_f64.sqrt()).1;
        for (i, at) in points(&case["at"]).into_iter().enumerate() {
            let want = |key: &str| numbers(&case[key])[i];
            same(id, x.variance_mm2(at) / 0.01, want("leverage_x"), 6);
            same(id, y.variance_mm2(at) / 0.01, want("leverage_y"), 6);
            same(id, spread.r95_mm(at), want("r95_vernier"), 6);
            same(id, ruler.r95_mm(at), want("r95_ruler"), 6);
            same(id, mean_of_3.r95_mm(at), want("r95_vernier_mean_of_3"), 6);
            let truth = terms_of(&case["truth"]);
            let error = (map * at) - (truth.to_map(centre) * at);
            same(id, error.hypot2().sqrt(), want("true_error_at"), 6);
        }
    }
}

#[test]
fn readings_of_both_sides_give_the_map_of_the_back() {
    let case = case("duplex-A4");
    let sigma_mm = case["sigma_per_reading"].as_f64().unwrap();
    let stations = points(&case["stations"]).into_iter();
    let pairs: Vec<Pair> = stations
        .zip(points(&case["readings"]))
        .map(|(at, d)| Pair::new(at, at + d.to_vec2()).with_sigma(sigma_mm))
        .collect();
    let found = fit::fit_difference(&pairs).unwrap();
    let number = |key: &str| case[key].as_f64().unwrap();
    same_vector("shift", found.shift, &case["shift"]);
    same("scale", 100.0 * found.scale, number("scale_pct"), 6);
    same("turn", 1000.0 * found.turn_rad, number("rot_mrad"), 6);
    same(
        "sigma",
        found.shift_variance_mm2.sqrt(),
        number("sigma_shift"),
        6,
    );
    let turn_mrad = 1000.0 * found.turn_variance.sqrt();
    same("sigma", turn_mrad, number("sigma_rot_mrad"), 6);
    // The front is the map of the first profile among the vectors.
    let (front, _) = profile(&self::case("profile-210x297"));
    let back = found.added_to(front);
    same_map("back", back, &case["B"], &case["bB"], 9);
    let target = points(&serde_json::json!([case["example_front_view_target"]]))[0];
    let seen = back.inverse() * target;
    let mirrored = Point::new(210.0 - seen.x, seen.y);
    same_point("back page", mirrored, &case["back_page_point"]);
}

#[test]
fn a_vernier_reads_what_its_pitch_says() {
    for row in case("vernier")["table"].as_array().unwrap() {
        let tick = i32::try_from(row["k"].as_i64().unwrap()).unwrap();
        let scale = row["e_pct"].as_f64().unwrap() / 100.0;
        let got = fit::vernier_fraction(tick, 0.9, scale);
        same("vernier", got, row["f"].as_f64().unwrap(), 6);
    }
}

#[test]
fn two_scans_tell_the_printer_from_the_scanner() {
    let case = case("two-scans");
    let number = |key: &str| case[key].as_f64().unwrap();
    let scans = TurnedScans {
        x: number("X0"),
        y: number("Y0"),
        turned_x: number("X90"),
        turned_y: number("Y90"),
    };
    same("printer", scans.printer_x_over_y(), number("px_over_py"), 9);
    same("scanner", scans.scanner_x_over_y(), number("fx_over_fy"), 9);
}

#[test]
fn no_vector_is_left_out() {
    let known = |id: &str| {
        let fits = ["rigid", "similarity", "affine"].map(|m| format!("fit-{m}-"));
        fits.iter().any(|prefix| id.starts_with(prefix))
            || [
                "fit-projective-4",
                "fit-projective-6",
                "outlier-affine-6",
                "outlier-similarity-4",
                "predict-affine-6",
                "profile-210x297",
                "profile-215.9x279.4",
                "eye-210x297",
                "eye-215.9x279.4",
                "duplex-A4",
                "vernier",
                "two-scans",
            ]
            .contains(&id)
    };
    let all = cases();
    assert_eq!(all.len(), 21);
    assert!(all.keys().all(|id| known(id)));
}

/// The fit of a kind through pairs has the covariance that shaking the pairs shows, for the kinds that are no plain least squares.
#[test]
fn the_error_of_a_rigid_map_is_what_small_changes_of_its_pairs_add_up_to() {
    let case = case("fit-rigid-6");
    let given = pairs(&case, "nominal", "measured");
    for model in [Model::Rigid, Model::Similarity, Model::Affine] {
        let whole = fit::fit(model, &given).unwrap();
        for at in [Point::new(0.0, 0.0), Point::new(200.0, 260.0)] {
            let (x, y) = added_up(model, &given, &whole, at);
            let (want_x, want_y) = whole.unit_spread.variances_mm2(at);
            assert!((x - want_x).abs() < 2e-3 * want_x, "{model:?} {x} {want_x}");
            assert!((y - want_y).abs() < 2e-3 * want_y, "{model:?} {y} {want_y}");
        }
    }
}

/// Sum over all readings of the squared change of the map at a point when that reading alone changes, per unit: the law of
/// propagation of errors.
fn added_up(model: Model, given: &[Pair], whole: &MapFit, at: Point) -> (f64, f64) {
    let step_mm = 1e-4;
    let mut sums = (0.0, 0.0);
    for i in 0..given.len() {
        for change in [Vec2::new(step_mm, 0.0), Vec2::new(0.0, step_mm)] {
            let mut changed = given.to_vec();
            changed[i].measured += change;
            let moved = fit::fit(model, &changed).unwrap().map * at - whole.map * at;
            sums.0 += (moved.x / step_mm).powi(2);
            sums.1 += (moved.y / step_mm).powi(2);
        }
    }
    sums
}

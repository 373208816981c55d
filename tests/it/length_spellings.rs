//! Every spelling of `tests/data/length_spellings.json`, and the round trip from a length to text and back.

use std::collections::BTreeSet;

use proptest::prelude::*;
use serde_json::Value;
use sheetwright::length::{Length, LengthError, LengthStyle, LengthUnit, parse_pair, parse_point};

fn table(name: &str) -> Vec<Value> {
    let data: Value = serde_json::from_str(include_str!("../data/length_spellings.json")).unwrap();
    data[name].as_array().unwrap().clone()
}

fn text<'a>(row: &'a Value, key: &str) -> &'a str {
    row[key].as_str().unwrap()
}

/// Returns `value`, a fraction such as `1143/20`, times `unit_nm`, halves to even, worked out apart from the library.
fn nanometres(value: &str, unit_nm: i128) -> i128 {
    let (numerator, denominator) = value.split_once('/').unwrap_or((value, "1"));
    let (numerator, denominator): (i128, i128) =
        (numerator.parse().unwrap(), denominator.parse().unwrap());
    let twice = 2 * numerator * unit_nm;
    let rounded = (twice + denominator) / (2 * denominator);
    let is_tie = (twice + denominator) % (2 * denominator) == 0;
    if is_tie && rounded % 2 != 0 {
        rounded - 1
    } else {
        rounded
    }
}

#[test]
fn all_42_accepted_spellings_give_the_exact_length() {
    let rows = table("accept");
    assert_eq!(rows.len(), 42);
    for row in rows {
        let (spelling, note) = (text(&row, "text"), row["note"].as_str().unwrap_or(""));
        let is_bare = note.starts_with("bare numbers");
        let default_unit = is_bare.then_some(LengthUnit::Inch);
        let length =
            Length::parse(spelling, default_unit).unwrap_or_else(|e| panic!("{spelling}: {e}"));
        assert_eq!(
            i128::from(length.nm()),
            nanometres(text(&row, "inches"), 25_400_000),
            "{spelling}"
        );
        assert_eq!(
            i128::from(length.nm()),
            nanometres(text(&row, "mm"), 1_000_000),
            "{spelling}"
        );
        if is_bare {
            assert_eq!(
                Length::parse(spelling, None),
                Err(LengthError::NoUnit(spelling.into()))
            );
        }
    }
}

#[test]
fn all_26_refused_spellings_say_what_is_wrong_and_what_to_type() {
    let rows = table("refuse");
    assert_eq!(rows.len(), 26);
    let mut kinds = BTreeSet::new();
    for row in rows {
        let spelling = text(&row, "text");
        let error = Length::parse(spelling, None).expect_err(spelling);
        if spelling != "57" {
            assert_eq!(
                Length::parse(spelling, Some(LengthUnit::Inch)),
                Err(error.clone()),
                "{spelling}"
            );
        }
        let (message, hint) = (error.message(), error.hint());
        let names_the_place =
            spelling.is_empty() || message.contains('"') || error == LengthError::Backslash;
        assert!(names_the_place, "{spelling}: {message}");
        assert!(
            !message.ends_with('.') && !message.starts_with(char::is_uppercase),
            "{message}"
        );
        assert!(!hint.is_empty());
        kinds.insert(
            format!("{error:?}")
                .split(['(', ' '])
                .next()
                .unwrap()
                .to_owned(),
        );
    }
    // Only two mistakes appear twice: `1/2/4` with `2 1/4/8`, and `NaN` with `inf`.
    assert_eq!(kinds.len(), 24, "{kinds:?}");
}

#[test]
fn refusals_name_the_mistake_in_the_makers_words() {
    let cases = [
        (
            "",
            "the length is empty",
            "write a length like \"2 1/4 in\" or \"57 mm\"",
        ),
        (
            "2 1/0",
            "the fraction \"1/0\" divides by zero",
            "write a length like \"2 1/4 in\" or \"57 mm\"",
        ),
        (
            "2.1/4",
            "\"2.1/4\" mixes decimals and a fraction",
            "write \"2 1/4 in\" or \"2.1 in\"",
        ),
        (
            "2 5/4",
            "the fraction in \"2 5/4\" is not smaller than one",
            "write \"3 1/4 in\" if that is meant",
        ),
        (
            "2 -1/4\"",
            "the dash in \"2 -1/4\"\" may be a minus or a hyphen",
            "write \"2 1/4\"\" if that is meant",
        ),
        (
            "2 1/4 mm",
            "the fraction \"2 1/4\" has a metric unit, mm",
            "write \"2 1/4 in\" or \"2.25 mm\"",
        ),
        (
            "1,000 mm",
            "the comma in \"1,000\" may mark thousands or decimals",
            "write \"1000\" for thousands or \"1.000\" for decimals",
        ),
        (
            "2,25\"",
            "\"2,25\" has a decimal comma with an inch unit",
            "write \"2.25 in\"",
        ),
        ("57", "\"57\" has no unit", "write \"57 in\" or \"57 mm\""),
        ("½", "\"½\" has no unit", "write \"½ in\""),
        ("57,5", "\"57,5\" has no unit", "write \"57,5 mm\""),
        (
            "2 1/4 in -",
            "\"-\" stands after the length",
            "leave out \"-\"",
        ),
        (
            "2''",
            "the two apostrophes in \"2''\" may mean inches or feet",
            "write \"2 in\" or \"2 ft\"",
        ),
        (
            "2 l/4",
            "the letter \"l\" stands where a digit is wanted",
            "type the digit 1",
        ),
        (
            "100 px",
            "\"100 px\" counts pixels, which have no size on paper",
            "write the printed size, like \"25 mm\" or \"1 in\"",
        ),
        (
            "2 1/4 in mm",
            "the length has two units, \"in\" and \"mm\"",
            "keep either \"in\" or \"mm\"",
        ),
        ("2\"5", "\"5\" stands after the length", "leave out \"5\""),
        (
            "200 m",
            "\"200 m\" is longer than 100 m",
            "check the number and its unit",
        ),
        (
            "3 furlongs",
            "\"furlongs\" is no known unit",
            "the units are in, ft, mm, cm, m and pt",
        ),
    ];
    for (spelling, message, hint) in cases {
        let error = Length::parse(spelling, None).expect_err(spelling);
        assert_eq!(
            (error.message().as_str(), error.hint().as_str()),
            (message, hint),
            "{spelling}"
        );
    }
}

#[test]
fn all_six_size_spellings_give_both_lengths_in_the_order_written() {
    let rows = table("sizes");
    assert_eq!(rows.len(), 6);
    for row in rows {
        let spelling = text(&row, "text");
        let (width, height) = parse_pair(spelling, Some(LengthUnit::Inch))
            .unwrap_or_else(|e| panic!("{spelling}: {e}"));
        assert_eq!(
            i128::from(width.nm()),
            nanometres(text(&row, "w_in"), 25_400_000),
            "{spelling}"
        );
        assert_eq!(
            i128::from(height.nm()),
            nanometres(text(&row, "h_in"), 25_400_000),
            "{spelling}"
        );
    }
}

#[test]
fn a_size_takes_its_unit_from_the_last_number_only() {
    let inches = |n, d| Length::from_inch_fraction(n, d);
    assert_eq!(
        parse_pair("5 1/2 x 8 1/2 in", None),
        Ok((inches(11, 2), inches(17, 2)))
    );
    assert_eq!(
        parse_pair("5 1/2 x 8 1/2 in", Some(LengthUnit::Millimetre)),
        Ok((inches(11, 2), inches(17, 2)))
    );
    assert_eq!(
        parse_pair("1 in x 25 mm", None),
        Ok((inches(1, 1), Length::from_mm(25)))
    );
    let missing = parse_pair("5 in x 8", Some(LengthUnit::Millimetre));
    assert_eq!(
        missing,
        Err(LengthError::NoUnit("8".into())),
        "the 8 must not turn into millimetres"
    );
}

#[test]
fn half_sizes_and_triple_sizes_are_refused() {
    assert_eq!(
        parse_pair("5 x", None),
        Err(LengthError::UnfinishedSize("5 x".into()))
    );
    assert_eq!(parse_pair("5 in", None), Err(LengthError::NotTwoLengths(1)));
    assert_eq!(
        parse_pair("1 x 2 x 3 in", None),
        Err(LengthError::NotTwoLengths(3))
    );
    assert_eq!(
        parse_pair("-1 x 2 in", None),
        Err(LengthError::Negative("-1 x 2 in".into()))
    );
    assert_eq!(
        parse_pair("100 px x 200 px", None),
        Err(LengthError::Pixels("100 px".into()))
    );
    assert_eq!(parse_pair("  ", None), Err(LengthError::Empty));
    let as_length = Length::parse("5 x 8 in", None);
    assert_eq!(
        as_length,
        Err(LengthError::SizeForLength("5 x 8 in".into()))
    );
}

#[test]
fn a_point_may_have_decimal_commas_and_minus_signs() {
    let um = Length::from_um;
    assert_eq!(
        parse_point("1 in, 2 in", None),
        Ok((um(25_400), um(50_800)))
    );
    assert_eq!(
        parse_point("57,5 mm, 3 mm", None),
        Ok((um(57_500), um(3_000)))
    );
    assert_eq!(
        parse_point("57,5 mm; -3,25 mm", None),
        Ok((um(57_500), um(-3_250)))
    );
    assert_eq!(
        parse_point("-1/8, 1/4 in", None),
        Ok((um(-3_175), um(6_350)))
    );
    assert_eq!(
        parse_point("10,-10 mm", None),
        Ok((um(10_000), um(-10_000)))
    );
    assert_eq!(
        parse_point("1,2 mm", None),
        Err(LengthError::NotTwoCoordinates(1))
    );
    assert_eq!(
        parse_point("1, 2, 3 mm", None),
        Err(LengthError::NotTwoCoordinates(3))
    );
}

#[test]
fn only_signed_lengths_may_be_negative() {
    assert_eq!(
        Length::parse_signed("-1/8\"", None),
        Ok(Length::from_um(-3_175))
    );
    assert_eq!(
        Length::parse_signed("-2-1/4 in", None),
        Ok(Length::from_um(-57_150))
    );
    assert_eq!(
        Length::parse_signed("\u{2212}3 mm", None),
        Ok(Length::from_mm(-3))
    );
    assert_eq!(
        Length::parse("-1/8\"", None),
        Err(LengthError::Negative("-1/8\"".into()))
    );
    assert!(Length::parse_signed("--3 mm", None).is_err());
}

#[test]
fn what_is_no_whole_nanometre_rounds_half_to_even() {
    // 1 pt = 25 400 000 / 72 = 352 777.78 nm; 0.000 000 5 mm is half a nanometre, 0.000 001 5 mm one and a half.
    assert_eq!(Length::parse("1 pt", None), Ok(Length::from_nm(352_778)));
    assert_eq!(Length::parse("0.0000005 mm", None), Ok(Length::ZERO));
    assert_eq!(Length::parse("0.0000015 mm", None), Ok(Length::from_nm(2)));
}

#[test]
fn feet_and_inches_add_up() {
    assert_eq!(
        Length::parse("1' 2 1/4\"", None),
        Ok(Length::from_inch_fraction(57, 4))
    );
    assert_eq!(
        Length::parse("2'", None),
        Ok(Length::from_inch_fraction(24, 1))
    );
    assert_eq!(
        Length::parse("1 1/2 ft", None),
        Ok(Length::from_inch_fraction(18, 1))
    );
    assert_eq!(
        Length::parse("1.5' 2\"", None),
        Err(LengthError::BrokenFeet("1.5' 2\"".into()))
    );
    assert_eq!(
        Length::parse("1' 2 mm", None),
        Err(LengthError::TextAfterLength("2 mm".into()))
    );
}

#[test]
fn a_decimal_comma_is_read_only_where_it_cannot_mark_thousands() {
    assert_eq!(Length::parse("0,125 mm", None), Ok(Length::from_um(125)));
    assert_eq!(
        Length::parse("5,7", Some(LengthUnit::Centimetre)),
        Ok(Length::from_mm(57))
    );
    assert_eq!(
        Length::parse("12,500 mm", None),
        Err(LengthError::ThousandsComma("12,500".into()))
    );
    assert_eq!(
        Length::parse("1,000,000 mm", None),
        Err(LengthError::MalformedNumber("1,000,000".into()))
    );
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn an_inch_fraction_survives_being_shown_and_read(sixty_fourths in -100_000_i64..100_000) {
        let length = Length::from_inch_fraction(sixty_fourths, 64);
        let shown = length.display(LengthStyle::InchFractions);
        prop_assert_eq!(Length::parse_signed(&shown, None), Ok(length), "{}", shown);
    }

    #[test]
    fn whole_micrometres_survive_being_shown_and_read(um in -99_000_000_i64..99_000_000) {
        let length = Length::from_um(um);
        let shown = length.display(LengthStyle::Millimetres);
        prop_assert_eq!(Length::parse_signed(&shown, None), Ok(length), "{}", shown);
    }

    #[test]
    fn six_decimals_of_a_millimetre_are_read_exactly(nm in 0_i64..99_000_000_000) {
        let written = format!("{}.{:06} mm", nm / 1_000_000, nm % 1_000_000);
        prop_assert_eq!(Length::parse(&written, None), Ok(Length::from_nm(nm)));
    }

    #[test]
    fn any_text_is_read_or_refused_without_a_panic(text in "\\PC{0,24}") {
        for unit in [None, Some(LengthUnit::Inch), Some(LengthUnit::Millimetre)] {
            let refusals = [
                Length::parse(&text, unit).err(),
                Length::parse_signed(&text, unit).err(),
                parse_pair(&text, unit).err(),
                parse_point(&text, unit).err(),
            ];
            prop_assert!(refusals.iter().flatten().all(|e| !e.message().is_empty() && !e.hint().is_empty()));
        }
    }

    #[test]
    fn any_mixture_of_the_parts_of_a_length_is_read_or_refused_without_a_panic(
        parts in proptest::collection::vec(
            prop::sample::select(vec!["1", "25", ".5", "2,5", "0", "999999999999", "9999999999999", "/", "-", " ", "\"", "'", "½", "in",
                "ft", "mm", "x", "by", "and", "e", "l", "px", ",", ";", "\\", "×"]),
            0..9,
        )
    ) {
        let text = parts.concat();
        let length = Length::parse(&text, Some(LengthUnit::Inch));
        prop_assert!(length.is_err() || length.is_ok_and(|l| l >= Length::ZERO));
        let _ = parse_pair(&text, None).is_ok() || parse_point(&text, None).is_ok();
    }
}

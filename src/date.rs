//! Days of the calendar, counted; which day it is today comes from the edge.

/// A day as year, month and day, of the Gregorian calendar.
pub type Date = (i32, u32, u32);

const DAYS_PER_ERA: i64 = 146_097;
const YEARS_PER_ERA: i64 = 400;

/// Returns the day that a text such as `2026-05-09` names, or `None` if it names none.
///
/// # Examples
///
/// ```
/// use sheetwright::date;
///
/// assert_eq!(date::parse("2024-02-29"), Some((2024, 2, 29)));
/// assert_eq!(date::parse("2026-02-29"), None);
/// ```
#[must_use]
pub fn parse(text: &str) -> Option<Date> {
    let mut parts = text.trim().splitn(3, '-');
    let mut part = |width: usize| {
        let digits = parts.next()?;
        let is_plain = digits.len() == width && digits.bytes().all(|b| b.is_ascii_digit());
        is_plain.then_some(digits)?.parse::<u32>().ok()
    };
    let (year, month, day) = (part(4)?, part(2)?, part(2)?);
    let date = (i32::try_from(year).ok()?, month, day);
    (date == from_days(days(date))).then_some(date)
}

/// Returns the day written as `2026-05-09` (ISO 8601).
#[must_use]
pub fn show((year, month, day): Date) -> String {
    format!("{year:04}-{month:02}-{day:02}")
}

/// Returns the number of days from 1970-01-01 to a day; before it the number is negative.
///
/// Years are counted from March on, so that the leap day is the last of its year.
#[must_use]
pub fn days((year, month, day): Date) -> i64 {
    let year = i64::from(year) - i64::from(month <= 2);
    let era = year.div_euclid(YEARS_PER_ERA);
    let year_of_era = year.rem_euclid(YEARS_PER_ERA);
    let month_from_march = (i64::from(month) + 9) % 12;
    let day_of_year = (153 * month_from_march + 2) / 5 + i64::from(day) - 1;
    let day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    era * DAYS_PER_ERA + day_of_era - DAYS_TO_1970
}

/// Days from the first of March of the year 0 to 1970-01-01.
const DAYS_TO_1970: i64 = 719_468;

/// Returns the day that is so many days after 1970-01-01.
///
/// # Panics
///
/// Panics beyond the years that an `i32` holds.
#[must_use]
pub fn from_days(days: i64) -> Date {
    let days = days + DAYS_TO_1970;
    let era = days.div_euclid(DAYS_PER_ERA);
    let day_of_era = days.rem_euclid(DAYS_PER_ERA);
    let year_of_era =
        (day_of_era - day_of_era / 1_460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * month_from_march + 2) / 5 + 1;
    let month = (month_from_march + 2) % 12 + 1;
    let year = era * YEARS_PER_ERA + year_of_era + i64::from(month <= 2);
    let small = |n: i64| u32::try_from(n).expect("a month or a day is small");
    let year = i32::try_from(year).expect("days of the years that people count");
    (year, small(month), small(day))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The Unix epoch and 2000-03-01 are 0 and 11 017 by hand: 30 years of 365, 7 leap days to 2000-01-01 makes 10 957, then 31 + 29.
    #[test]
    fn days_are_counted_over_leap_years() {
        assert_eq!(days((1970, 1, 1)), 0);
        assert_eq!(days((2000, 3, 1)), 11_017);
        assert_eq!(days((1969, 12, 31)), -1);
        // 1900 had no leap day: 28 February is followed by 1 March.
        assert_eq!(days((1900, 3, 1)) - days((1900, 2, 28)), 1);
        assert_eq!(days((2024, 3, 1)) - days((2024, 2, 28)), 2);
    }

    #[test]
    fn every_day_of_eight_hundred_years_comes_back() {
        let mut expected = (1600, 1, 1);
        for count in days(expected)..days((2400, 1, 1)) {
            assert_eq!((from_days(count), days(expected)), (expected, count));
            expected = next(expected);
        }
    }

    /// The day after, by the rule of the calendar: leap years are those divided by 4, of the centuries those divided by 400.
    fn next((year, month, day): Date) -> Date {
        let is_leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
        let lengths = [
            31,
            if is_leap { 29 } else { 28 },
            31,
            30,
            31,
            30,
            31,
            31,
            30,
            31,
            30,
            31,
        ];
        if day < lengths[usize::try_from(month).unwrap() - 1] {
            (year, month, day + 1)
        } else if month < 12 {
            (year, month + 1, 1)
        } else {
            (year + 1, 1, 1)
        }
    }

    #[test]
    fn what_is_no_day_is_not_read() {
        for text in [
            "2026-13-01",
            "2026-04-31",
            "26-04-01",
            "2026-4-1",
            "2026-04",
            "2026-04-01-02",
            "1 May",
            "+026-01-01",
        ] {
            assert_eq!(parse(text), None, "{text}");
        }
        assert_eq!(parse("2026-05-09").map(show), Some("2026-05-09".into()));
    }
}

//! What cells mean.

use super::*;
use catalogue::{Language, speaking};
use proptest::prelude::*;

fn row() -> Row {
    Row::default()
}

fn date(text: &str, order: Option<DateOrder>) -> Result<String, Text> {
    partial_date(&row(), Cell::Text(text), order).map(|date| date.to_string())
}

#[test]
fn embedded_words_are_of_the_domain() {
    let words = |of: &str| MEANINGS[of].keys().cloned().collect::<Vec<_>>();
    assert_eq!(words("sex"), ["female", "male"]);
    assert_eq!(words("truth"), ["no", "yes"]);
    assert_eq!(words("residence"), ["elsewhere", "here"]);
    assert!(words("health").iter().all(|kind| kind.parse::<HealthKind>().is_ok()));
    assert_eq!(words("health").len(), HealthKind::ALL.len());
    for (of, meanings) in MEANINGS.iter() {
        let mut meaning_of: BTreeMap<&String, &String> = BTreeMap::new();
        for (meaning, words) in meanings {
            for word in words {
                let before = meaning_of.insert(word, meaning);
                assert!(
                    before.is_none_or(|before| before == meaning),
                    "{word} of {of} means two things"
                );
            }
        }
    }
}

#[test]
fn sexes_are_read_in_several_languages() {
    for text in ["F", "w", "Bitch", "HÜNDIN", "hundin", "chienne", "Femelle", "♀"] {
        assert_eq!(sex(text), Ok(Sex::Female), "{text}");
    }
    for text in ["M", "dog", "Rüde", "RUDE", "chien", "Mâle", "♂"] {
        assert_eq!(sex(text), Ok(Sex::Male), "{text}");
    }
    for text in ["", "x", "neither", "hund"] {
        assert!(sex(text).is_err(), "{text}");
    }
    assert_eq!(health_kind("Entwurmung"), Ok(HealthKind::Worming));
    assert_eq!((truth("Ja"), truth("no"), truth("maybe").is_ok()), (Ok(true), Ok(false), false));
}

#[test]
fn a_date_is_read_by_the_order_that_is_stated_and_asked_about_without() {
    use DateOrder::{Dmy, Mdy, Ymd};
    for (text, order, read) in [
        ("2021-04-03", None, Some("2021-04-03")),
        ("2021-04-03", Some(Mdy), Some("2021-04-03")),
        ("2021/4/3", None, Some("2021-04-03")),
        ("2021", None, Some("2021")),
        ("04/2021", None, Some("2021-04")),
        ("4.2021", None, Some("2021-04")),
        ("03/04/2021", Some(Dmy), Some("2021-04-03")),
        ("03/04/2021", Some(Mdy), Some("2021-03-04")),
        ("03/04/2021", Some(Ymd), None),
        ("03/04/2021", None, None),
        ("3.4.2021", Some(Dmy), Some("2021-04-03")),
        ("3. 4. 2021", Some(Dmy), Some("2021-04-03")),
        // One reading only, or two that are the same.
        ("13/04/2021", None, Some("2021-04-13")),
        ("04/13/2021", None, Some("2021-04-13")),
        ("04/04/2021", None, Some("2021-04-04")),
        ("12/12/2021", None, Some("2021-12-12")),
        ("12/13/2021", Some(Dmy), None),
        ("13/12/2021", Some(Mdy), None),
        ("31/02/2021", Some(Dmy), None),
        ("03/04/21", Some(Dmy), None),
        ("44289", None, None),
        ("spring", None, None),
    ] {
        assert_eq!(date(text, order).ok().as_deref(), read, "{text} {order:?}");
    }
    let asked = date("03/04/2021", None).unwrap_err();
    assert_eq!(
        asked,
        "may be 3 April or 4 March 2021; say which by date_order=dmy or date_order=mdy"
    );
    speaking(Language::German, || {
        assert!(asked.contains("kann der 3. April oder der 4. März 2021 sein"), "{asked}");
    });
}

#[test]
fn days_of_spreadsheets_need_no_order() {
    let day = |cell| day(&row(), cell, None).map(|day| day.to_string());
    assert_eq!(day(Cell::Number(44_289.0)).as_deref(), Ok("2021-04-03"));
    assert!(day(Cell::Number(2021.0)).is_err(), "a year is no day");
    let year = partial_date(&row(), Cell::Number(2021.0), None);
    assert_eq!(year, Ok(PartialDate::Year(2021)));
    assert!(partial_date(&row(), Cell::Number(9_999.0), None).is_err());
    let stamp = moment(&row(), Cell::Number(44_289.75), None).unwrap();
    assert_eq!(stamp.1.unwrap().to_string(), "18:00:00");
}

#[test]
fn times_of_day_are_read_as_they_are_written() {
    for (text, read) in [
        ("18:00", Some("18:00:00")),
        ("6:00 pm", Some("18:00:00")),
        ("12:05 a.m.", Some("00:05:00")),
        ("12:05pm", Some("12:05:00")),
        ("7:30 Uhr", Some("07:30:00")),
        ("13:00 pm", None),
        ("25:00", None),
        ("noon", None),
    ] {
        assert_eq!(
            time(Cell::Text(text)).ok().map(|time| time.to_string()).as_deref(),
            read,
            "{text}"
        );
    }
    assert_eq!(time(Cell::Number(0.75)).unwrap().to_string(), "18:00:00");
    assert!(time(Cell::Number(1.0)).is_err());
}

#[test]
fn figures_have_a_decimal_point_or_comma() {
    let read = |text| figure(&row(), Cell::Text(text)).ok();
    assert_eq!(
        (read("0.431"), read("0,431"), read("12,5")),
        (Some(0.431), Some(0.431), Some(12.5))
    );
    assert_eq!((read("1,234"), read("1.234,5"), read("1e3"), read("")), (None, None, None, None));
    let german = Row::of_text(true);
    assert_eq!(figure(&german, Cell::Text("1,234")), Ok(1.234));
    assert_eq!(figure(&row(), Cell::Number(28.5)), Ok(28.5));
    assert_eq!(
        (whole(&row(), Cell::Text("431")), whole(&row(), Cell::Text("431.5")).is_ok()),
        (Ok(431), false)
    );
}

proptest! {
    #[test]
    fn a_stated_order_reads_what_was_written_in_it(day in 0i64..40_000) {
        let written = NaiveDate::from_ymd_opt(1950, 1, 1).unwrap() + chrono::Duration::days(day);
        for (order, format) in [(DateOrder::Dmy, "%d/%m/%Y"), (DateOrder::Mdy, "%-m.%-d.%Y"), (DateOrder::Ymd, "%Y/%m/%d")] {
            let read = date(&written.format(format).to_string(), Some(order));
            prop_assert_eq!(read, Ok(written.to_string()));
        }
    }

    #[test]
    fn any_text_is_read_or_refused(text in "[0-9/.: -]{0,14}|.{0,12}") {
        let _ = (date(&text, None), time(Cell::Text(&text)), figure(&row(), Cell::Text(&text)));
        let _ = moment(&row(), Cell::Text(&text), Some(DateOrder::Dmy));
    }
}

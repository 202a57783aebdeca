//! The sheet by the whelping box: to write on before the birth, filled after it.

use super::{
    dates,
    pdf::{Column, Pages, PaperFormat, PdfError, Sources},
    words::{collar, or_unknown},
};
use catalogue::{Text, said};
use chrono::{DateTime, Utc};
use chrono_tz::Tz;
use domain::{
    advice::standing_line,
    rules::Rules,
    units::{WeightUnit, weight_in_words},
    whelping::sheet::{CALL_RULES, SheetPup, WhelpingSheet, event_in_words},
};

/// Height of a row to write in by hand, in points: as high as the page has room, within these.
const WRITING_ROW: (f32, f32) = (18.5, 28.0);
/// Least lines of the log that are left empty while the night is not over.
const EMPTY_LOG_LINES: usize = 8;
/// What stands below the pups: the score of a newborn with its heading and source.
const SCORE_HEIGHT: f32 = 190.0;
/// What stands below the log.
const STANDING_HEIGHT: f32 = 30.0;

/// Prints the sheet of a whelping in the language that is spoken.
///
/// # Errors
/// When the document cannot be written.
pub fn whelping_sheet_pdf(
    sheet: &WhelpingSheet,
    rules: &Rules,
    format: PaperFormat,
) -> Result<Vec<u8>, PdfError> {
    let title = said!("print-sheet-title", litter = &sheet.litter);
    let footer = said!(
        "print-sheet-footer",
        kennel = &sheet.kennel,
        litter = &sheet.litter,
        at = dates::to_the_minute(&clock(sheet, sheet.printed_at))
    );
    let mut pages = Pages::new(format, title.clone(), footer);
    pages.title(title);
    head(&mut pages, sheet);
    let empty = sheet.empty_rows(rules);
    pups(&mut pages, sheet, empty);
    // To write on: pups and their score on one page, when to call and the log on the other.
    if empty > 0 {
        vitality(&mut pages, rules);
        pages.new_page();
        when_to_call(&mut pages, rules);
    }
    log(&mut pages, sheet, empty > 0);
    pages.small(standing_line().to_string());
    pages.finish()
}

/// By the kennel's clock.
fn clock(sheet: &WhelpingSheet, at: DateTime<Utc>) -> DateTime<Tz> {
    at.with_timezone(&sheet.time_zone)
}

fn or_blank(text: Option<impl ToString>) -> String {
    text.map_or_else(String::new, |text| text.to_string())
}

fn head(pages: &mut Pages, sheet: &WhelpingSheet) {
    let line = "______________________";
    let due = sheet.due.map_or_else(
        || line.to_owned(),
        |days| {
            let [first, likely, last] = days.map(dates::day);
            said!("print-sheet-window", likely = likely, first = first, last = last).to_string()
        },
    );
    let expected = sheet.expected.as_ref().map(|pups| {
        let (least, most) = (pups.at_least, pups.at_most);
        match pups.counted_at_least {
            Some(sure) => {
                said!("print-sheet-counted", least = least, most = most, counted = sure)
            }
            None => said!("print-sheet-uncounted", least = least, most = most),
        }
    });
    let mut fields = vec![
        (said!("print-sheet-dam"), sheet.dam.clone()),
        (said!("print-sheet-sire"), or_unknown(sheet.sire.as_ref())),
        (said!("print-sheet-due"), due),
    ];
    fields.extend(expected.map(|pups| (said!("print-sheet-expected"), pups.to_string())));
    if sheet.pups.is_empty() {
        fields.push((said!("print-sheet-vet"), line.to_owned()));
    } else {
        let status = &sheet.status;
        let out = said!(
            "print-sheet-out",
            pups = status.pups_out,
            alive = status.born_alive,
            stillborn = status.stillborn,
            placentas = status.placentas_seen
        );
        fields.push((said!("print-sheet-pups-out"), out.to_string()));
    }
    pages.fields(&fields);
}

fn pups(pages: &mut Pages, sheet: &WhelpingSheet, empty: usize) {
    pages.heading(said!("print-sheet-pups"));
    let weight = match sheet.weight_unit {
        WeightUnit::G => said!("print-sheet-weight-g"),
        WeightUnit::Kg => said!("print-sheet-weight-kg"),
        WeightUnit::LbOz => said!("print-sheet-weight-lb-oz"),
    };
    let columns = [
        Column { title: said!("print-sheet-number"), share: 0.9 },
        Column { title: said!("print-sheet-time"), share: 1.3 },
        Column { title: said!("print-sheet-sex"), share: 1.4 },
        Column { title: said!("print-sheet-collar"), share: 1.6 },
        Column { title: said!("print-sheet-looks"), share: 2.4 },
        Column { title: weight, share: 1.5 },
        Column { title: said!("print-sheet-came"), share: 1.7 },
        Column { title: said!("print-sheet-placenta"), share: 2.0 },
        Column { title: said!("print-sheet-score"), share: 1.45 },
        Column { title: said!("print-remarks"), share: 2.4 },
    ];
    let filled: Vec<Vec<String>> = sheet.pups.iter().map(|pup| pup_row(sheet, pup)).collect();
    let (least, most) = WRITING_ROW;
    let left = pages.left_for_empty(&columns, &filled, SCORE_HEIGHT);
    #[expect(clippy::cast_precision_loss, reason = "a litter has a few pups")]
    let height = (left / empty.max(1) as f32).clamp(least, most);
    pages.table_to_fill(&columns, &filled, empty, height);
}

/// A weight in the kennel's unit, which stands at the head of the column.
fn weight(sheet: &WhelpingSheet, grams: i32) -> String {
    let words = weight_in_words(grams.into(), sheet.weight_unit);
    match sheet.weight_unit {
        WeightUnit::LbOz => words,
        unit => words.trim_end_matches(unit.as_str()).trim_end().to_owned(),
    }
}

fn pup_row(sheet: &WhelpingSheet, pup: &SheetPup) -> Vec<String> {
    let placenta = match pup.placenta_seen {
        true => said!("print-sheet-placenta-seen"),
        false => said!("print-sheet-placenta-not-seen"),
    };
    vec![
        pup.ordinal.to_string(),
        clock(sheet, pup.born_at).format("%H:%M").to_string(),
        or_blank(pup.sex.as_ref()),
        or_blank(pup.collar.as_deref().map(collar)),
        or_blank(pup.looks.as_ref()),
        or_blank(pup.weight_g.map(|grams| weight(sheet, grams))),
        or_blank(pup.presentation.as_ref()),
        placenta.to_string(),
        or_blank(pup.vitality.as_ref()),
        pup.remarks.to_string(),
    ]
}

fn when_to_call(pages: &mut Pages, rules: &Rules) {
    pages.heading(said!("print-sheet-when-to-call"));
    let columns = [
        Column { title: said!("print-what"), share: 8.0 },
        Column { title: said!("print-sheet-after"), share: 1.6 },
        Column { title: said!("print-source"), share: 1.2 },
    ];
    let mut sources = Sources::default();
    let rows = CALL_RULES.map(|key| {
        let rule = rules.get(key);
        let after = match rule.value {
            value if value <= 0.0 => said!("print-sheet-at-once"),
            value => time_in_words(value, &rule.unit.to_string()),
        };
        vec![rule.meaning.to_string(), after.to_string(), sources.number(&rule.source).to_string()]
    });
    pages.table(&columns, &rows);
    sources.print(pages);
}

/// So many minutes or hours, of a rule that has its unit in words.
fn time_in_words(value: f64, unit: &str) -> Text {
    match unit {
        "minutes" => said!("print-minutes", minutes = value),
        "hours" => said!("print-hours", hours = value),
        unit => Text::verbatim(format!("{value} {unit}")),
    }
}

/// The log; while the night is not over, with empty lines down to the end of its page.
fn log(pages: &mut Pages, sheet: &WhelpingSheet, going_on: bool) {
    pages.heading(said!("print-sheet-log"));
    let columns = [
        Column { title: said!("print-sheet-time"), share: 1.6 },
        Column { title: said!("print-what"), share: 9.0 },
    ];
    let rows: Vec<Vec<String>> = sheet
        .log
        .iter()
        .map(|entry| {
            vec![
                dates::to_the_minute_short(&clock(sheet, entry.at)),
                event_in_words(&entry.event, sheet.temperature_unit).to_string(),
            ]
        })
        .collect();
    if going_on {
        let height = WRITING_ROW.1;
        let left = pages.left_for_empty(&columns, &rows, STANDING_HEIGHT) / height;
        pages.table_to_fill(&columns, &rows, (left as usize).max(EMPTY_LOG_LINES), height);
    } else if rows.is_empty() {
        pages.paragraph(said!("print-nothing"));
    } else {
        pages.table(&columns, &rows);
    }
}

/// The five signs with their points, to score by.
fn vitality(pages: &mut Pages, rules: &Rules) {
    pages.heading(said!("print-sheet-score-of"));
    let columns = [
        Column { title: said!("print-sheet-sign"), share: 2.0 },
        Column { title: "0".into(), share: 2.0 },
        Column { title: "1".into(), share: 2.0 },
        Column { title: "2".into(), share: 2.0 },
    ];
    let band = |low: &'static str, high: &'static str| {
        let (low, high) = (rules.value(low), rules.value(high));
        [
            said!("print-sheet-under", figure = low),
            said!("print-sheet-from-to", from = low, to = high),
            said!("print-sheet-over", figure = high),
        ]
    };
    let heart = band("whelping.vitality_heart_low", "whelping.vitality_heart_high");
    let breath = band("whelping.vitality_breath_low", "whelping.vitality_breath_high");
    let pinched = [
        said!("print-sheet-pinched-0"),
        said!("print-sheet-pinched-1"),
        said!("print-sheet-pinched-2"),
    ];
    let moves =
        [said!("print-sheet-moves-0"), said!("print-sheet-moves-1"), said!("print-sheet-moves-2")];
    let gums =
        [said!("print-sheet-gums-0"), said!("print-sheet-gums-1"), said!("print-sheet-gums-2")];
    let rows: Vec<Vec<String>> = [
        (said!("print-sheet-heart"), heart),
        (said!("print-sheet-breath"), breath),
        (said!("print-sheet-pinched"), pinched),
        (said!("print-sheet-moves"), moves),
        (said!("print-sheet-gums"), gums),
    ]
    .into_iter()
    .map(|(sign, points)| [sign].iter().chain(&points).map(Text::to_string).collect())
    .collect();
    pages.table(&columns, &rows);
    pages.small(said!(
        "print-sheet-score-means",
        good = rules.value("whelping.vitality_good"),
        moderate = rules.value("whelping.vitality_moderate"),
        source = &rules.get("whelping.vitality_heart_low").source
    ));
}

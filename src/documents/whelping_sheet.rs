//! The sheet by the whelping box: to write on before the birth, filled after it.

use super::pdf::{Column, Pages, PaperFormat, PdfError, Sources};
use chrono::{DateTime, Utc};
use domain::{
    advice::STANDING_LINE,
    rules::Rules,
    whelping::sheet::{CALL_RULES, SheetPup, WhelpingSheet, event_in_words},
};

/// Height of a row to write in by hand, in points.
const WRITING_ROW: f32 = 26.0;
/// Lines of the log that are left empty while the night is not over.
const EMPTY_LOG_LINES: usize = 16;

/// Prints the sheet of a whelping.
///
/// # Errors
/// When the document cannot be written.
pub fn whelping_sheet_pdf(
    sheet: &WhelpingSheet,
    rules: &Rules,
    format: PaperFormat,
) -> Result<Vec<u8>, PdfError> {
    let title = format!("Whelping sheet: {}", sheet.litter);
    let printed = time(sheet, sheet.printed_at, "%Y-%m-%d %H:%M");
    let footer = format!("{} · {} · printed {printed}", sheet.kennel, sheet.litter);
    let mut pages = Pages::new(format, title.clone(), footer);
    pages.title(&title);
    head(&mut pages, sheet);
    let empty = sheet.empty_rows(rules);
    pups(&mut pages, sheet, empty);
    if empty > 0 {
        when_to_call(&mut pages, rules);
    }
    log(&mut pages, sheet, empty > 0);
    if empty > 0 {
        vitality(&mut pages, rules);
    }
    pages.small(STANDING_LINE);
    pages.finish()
}

fn time(sheet: &WhelpingSheet, at: DateTime<Utc>, format: &str) -> String {
    at.with_timezone(&sheet.time_zone).format(format).to_string()
}

fn or_blank(text: Option<impl ToString>) -> String {
    text.map_or_else(String::new, |text| text.to_string())
}

fn head(pages: &mut Pages, sheet: &WhelpingSheet) {
    let line = "______________________";
    let due = sheet.due.map_or_else(
        || line.to_owned(),
        |[first, likely, last]| format!("{likely} ({first} to {last})"),
    );
    let expected = sheet.expected.as_ref().map(|pups| {
        let counted = match pups.counted_at_least {
            Some(sure) => format!("at least {sure} counted"),
            None => "not counted".to_owned(),
        };
        format!("{} to {} ({counted})", pups.at_least, pups.at_most)
    });
    let mut fields = vec![
        ("Dam", sheet.dam.clone()),
        ("Sire", sheet.sire.clone().unwrap_or_else(|| "unknown".to_owned())),
        ("Due", due),
    ];
    fields.extend(expected.map(|pups| ("Pups expected", pups)));
    if sheet.pups.is_empty() {
        fields.push(("Vet, day and night", line.to_owned()));
    } else {
        let status = &sheet.status;
        let out = format!(
            "{} ({} alive, {} stillborn); placentas seen: {}",
            status.pups_out, status.born_alive, status.stillborn, status.placentas_seen
        );
        fields.push(("Pups out", out));
    }
    pages.fields(&fields);
}

fn pups(pages: &mut Pages, sheet: &WhelpingSheet, empty: usize) {
    pages.heading("Pups");
    let columns = [
        Column { title: "No.", share: 0.9 },
        Column { title: "Time", share: 1.3 },
        Column { title: "Sex", share: 1.4 },
        Column { title: "Collar", share: 1.6 },
        Column { title: "Colour, marks", share: 2.4 },
        Column { title: "Weight (g)", share: 1.5 },
        Column { title: "Came", share: 1.7 },
        Column { title: "Placenta", share: 2.0 },
        Column { title: "Score", share: 1.45 },
        Column { title: "Remarks", share: 2.4 },
    ];
    let filled: Vec<Vec<String>> = sheet.pups.iter().map(|pup| pup_row(sheet, pup)).collect();
    if !filled.is_empty() {
        pages.table(&columns, &filled);
    }
    if empty > 0 {
        pages.blank_table(&columns, empty, WRITING_ROW);
    }
}

fn pup_row(sheet: &WhelpingSheet, pup: &SheetPup) -> Vec<String> {
    vec![
        pup.ordinal.to_string(),
        time(sheet, pup.born_at, "%H:%M"),
        or_blank(pup.sex.as_deref()),
        or_blank(pup.collar.as_deref()),
        or_blank(pup.looks.as_deref()),
        or_blank(pup.weight_g),
        or_blank(pup.presentation.as_deref()),
        if pup.placenta_seen { "seen" } else { "not seen" }.to_owned(),
        or_blank(pup.vitality.as_deref()),
        pup.remarks.clone(),
    ]
}

fn when_to_call(pages: &mut Pages, rules: &Rules) {
    pages.heading("When to call the vet");
    let columns = [
        Column { title: "What", share: 8.0 },
        Column { title: "After", share: 1.6 },
        Column { title: "Source", share: 1.2 },
    ];
    let mut sources = Sources::default();
    let rows = CALL_RULES.map(|key| {
        let rule = rules.get(key);
        let after = match rule.value {
            value if value <= 0.0 => "at once".to_owned(),
            value => format!("{value} {}", rule.unit),
        };
        vec![rule.meaning.clone(), after, sources.number(&rule.source).to_string()]
    });
    pages.table(&columns, &rows);
    sources.print(pages);
}

fn log(pages: &mut Pages, sheet: &WhelpingSheet, going_on: bool) {
    pages.heading("Log: signs, contractions, waters, discharge, what was given");
    let columns = [Column { title: "Time", share: 1.6 }, Column { title: "What", share: 9.0 }];
    let rows: Vec<Vec<String>> = sheet
        .log
        .iter()
        .map(|entry| vec![time(sheet, entry.at, "%m-%d %H:%M"), event_in_words(&entry.event)])
        .collect();
    match (rows.is_empty(), going_on) {
        (true, false) => pages.paragraph("Nothing is recorded."),
        (true, true) => {}
        (false, _) => pages.table(&columns, &rows),
    }
    if going_on {
        pages.blank_table(&columns, EMPTY_LOG_LINES, WRITING_ROW);
    }
}

/// The five signs with their points, to score by.
fn vitality(pages: &mut Pages, rules: &Rules) {
    pages.heading("Score of a newborn: add the points of five signs");
    let columns = [
        Column { title: "Sign", share: 2.0 },
        Column { title: "0", share: 2.0 },
        Column { title: "1", share: 2.0 },
        Column { title: "2", share: 2.0 },
    ];
    let band = |low: &'static str, high: &'static str| {
        let (low, high) = (rules.value(low), rules.value(high));
        [format!("under {low}"), format!("{low} to {high}"), format!("over {high}")]
    };
    let heart = band("whelping.vitality_heart_low", "whelping.vitality_heart_high");
    let breath = band("whelping.vitality_breath_low", "whelping.vitality_breath_high");
    let words = |zero: &str, one: &str, two: &str| [zero, one, two].map(str::to_owned);
    let rows: Vec<Vec<String>> = [
        ("Heart beats a minute", heart),
        ("Breaths a minute", breath),
        ("Foot pinched", words("nothing", "makes a face", "pulls away")),
        ("Moves", words("limp", "bends a little", "active")),
        ("Gums", words("blue", "pale", "pink")),
    ]
    .into_iter()
    .map(|(sign, points)| [vec![sign.to_owned()], points.to_vec()].concat())
    .collect();
    pages.table(&columns, &rows);
    pages.small(&format!(
        "{} points and more: no distress; under {}: severe distress, call. {}",
        rules.value("whelping.vitality_good"),
        rules.value("whelping.vitality_moderate"),
        rules.get("whelping.vitality_heart_low").source
    ));
}

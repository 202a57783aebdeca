//! The pup's booklet, printed.

use super::pdf::{Column, Pages, PaperFormat, PdfError, Sources};
use chrono::NaiveDate;
use domain::{
    booklet::{Booklet, BookletAncestor, BookletEvent, BookletTest},
    record::HealthKind,
};

const UNKNOWN: &str = "unknown";
const LOGO_WIDTH: f32 = 130.0;
const LOGO_HEIGHT: f32 = 60.0;
const CHART_HEIGHT: f32 = 330.0;
/// Heading, birth weight and the line below the chart, which stay on its page.
const BESIDE_CHART: f32 = 90.0;

/// Prints the booklet; `logo` and `chart` are SVG.
///
/// # Errors
/// When a picture cannot be drawn or the document not be written.
pub fn booklet_pdf(
    booklet: &Booklet,
    logo: Option<&str>,
    chart: Option<&str>,
    format: PaperFormat,
) -> Result<Vec<u8>, PdfError> {
    let name = name_of(booklet);
    let footer = format!("{} · {name} · {}", booklet.kennel.name, booklet.made_on);
    let mut pages = Pages::new(format, format!("{name}, {}", booklet.kennel.name), footer);
    if let Some(logo) = logo {
        pages.logo(logo, LOGO_WIDTH, LOGO_HEIGHT);
    }
    pages.title(&name);
    pages.paragraph(&booklet.kennel.name);
    if let Some(welcome) = &booklet.kennel.welcome {
        pages.paragraph(welcome);
    }
    identity(&mut pages, booklet);
    pedigree(&mut pages, booklet);
    growth(&mut pages, booklet, chart)?;
    health(&mut pages, booklet);
    words_of_kennel(&mut pages, booklet);
    pages.finish()
}

fn name_of(booklet: &Booklet) -> String {
    let collar = booklet.birth.as_ref().and_then(|birth| birth.collar.as_ref());
    let by_collar = collar.map(|collar| format!("{collar} collar"));
    let named = booklet.dog.name.clone().or_else(|| booklet.dog.call_name.clone());
    named.or(by_collar).unwrap_or_else(|| "Pup without a name".to_owned())
}

fn or_unknown(text: Option<impl ToString>) -> String {
    text.map_or_else(|| UNKNOWN.to_owned(), |text| text.to_string())
}

fn day(on: Option<NaiveDate>) -> String {
    or_unknown(on)
}

fn identity(pages: &mut Pages, booklet: &Booklet) {
    let dog = &booklet.dog;
    let birth = booklet.birth.as_ref();
    let litter = birth.map(|birth| {
        let name = birth.litter_name.as_deref().map(|name| format!(", {name}")).unwrap_or_default();
        format!("number {} of {} born{name}", birth.ordinal, birth.litter_size)
    });
    let registers: Vec<String> =
        dog.registrations.iter().map(|r| format!("{}: {}", r.registry, r.number)).collect();
    pages.heading("Who it is");
    pages.fields(&[
        ("Registered name", or_unknown(dog.name.as_deref())),
        ("Called", or_unknown(dog.call_name.as_deref())),
        ("Sex", or_unknown(dog.sex)),
        ("Breed", or_unknown(dog.breed.as_deref())),
        ("Colour", or_unknown(dog.colour.as_deref())),
        ("Markings", or_unknown(dog.markings.as_deref())),
        ("Born", or_unknown(dog.born_on)),
        ("Litter", or_unknown(litter)),
        ("Chip number", or_unknown(dog.chip_number.as_deref())),
        ("Registers", if registers.is_empty() { UNKNOWN.to_owned() } else { registers.join("; ") }),
    ]);
    if !booklet.not_recorded.is_empty() {
        pages.small(&format!("Not recorded: {}.", booklet.not_recorded.join(", ")));
    }
}

fn pedigree(pages: &mut Pages, booklet: &Booklet) {
    pages.heading("Parents and pedigree");
    pages.fields(&[(
        "Inbreeding",
        format!(
            "at least {:.2} %, over {} known ancestors. {}",
            booklet.inbreeding * 100.0,
            booklet.known_ancestors,
            booklet.lower_bound.why
        ),
    )]);
    let columns = [
        Column { title: "Line", share: 2.0 },
        Column { title: "Dog", share: 4.0 },
        Column { title: "Born", share: 1.4 },
    ];
    let row = |ancestor: &BookletAncestor| {
        let breed = ancestor.breed.as_deref().map(|breed| format!(" ({breed})"));
        vec![
            ancestor.line.replace('.', "’s "),
            or_unknown(ancestor.name.as_deref()) + &breed.unwrap_or_default(),
            or_unknown(ancestor.born_on),
        ]
    };
    pages.table(&columns, &booklet.ancestors.iter().map(row).collect::<Vec<_>>());
}

fn growth(pages: &mut Pages, booklet: &Booklet, chart: Option<&str>) -> Result<(), PdfError> {
    if chart.is_some() && !booklet.weights.is_empty() {
        pages.need(CHART_HEIGHT + BESIDE_CHART);
    }
    pages.heading("Birth and growth");
    let weight = booklet.birth.as_ref().and_then(|birth| birth.weight_g);
    pages
        .fields(&[("Weight at birth", or_unknown(weight.map(|weight_g| format!("{weight_g} g"))))]);
    match chart {
        Some(chart) if !booklet.weights.is_empty() => pages.picture(chart, CHART_HEIGHT)?,
        _ if booklet.weights.is_empty() => pages.paragraph("No weights are recorded."),
        _ => {}
    }
    if let (Some(first), Some(last)) = (booklet.weights.first(), booklet.weights.last()) {
        pages.paragraph(&format!(
            "{} weights from {} to {}; last {} g.",
            booklet.weights.len(),
            first.on,
            last.on,
            last.weight_g
        ));
    }
    Ok(())
}

fn health(pages: &mut Pages, booklet: &Booklet) {
    pages.heading("Given and found");
    if booklet.given.is_empty() {
        pages.paragraph("Nothing is recorded.");
    } else {
        let columns = [
            Column { title: "Day", share: 1.5 },
            Column { title: "What", share: 1.6 },
            Column { title: "Product", share: 2.4 },
            Column { title: "Batch", share: 2.2 },
            Column { title: "By", share: 1.8 },
            Column { title: "Remarks", share: 1.4 },
        ];
        pages.table(&columns, &booklet.given.iter().map(given_row).collect::<Vec<_>>());
    }
    tests(pages, booklet);
    due_next(pages, booklet);
    pages.small(booklet.advice);
}

/// What was given has a product and a batch, known or not; what was found or set has none.
fn given_row(event: &BookletEvent) -> Vec<String> {
    let of_pack =
        matches!(event.kind, HealthKind::Worming | HealthKind::Vaccination | HealthKind::Treatment);
    let pack = |text: Option<String>| match text {
        None if !of_pack => String::new(),
        text => or_unknown(text),
    };
    let batch = event.batch.as_ref().map(|batch| match event.expires_on {
        Some(expires_on) => format!("{batch}, expires {expires_on}"),
        None => batch.clone(),
    });
    let remarks: Vec<&str> =
        [&event.site, &event.reaction].into_iter().flatten().map(String::as_str).collect();
    vec![
        event.on.to_string(),
        event.kind.to_string(),
        pack(event.product.clone()),
        pack(batch),
        or_unknown(event.given_by.as_deref()),
        remarks.join("; "),
    ]
}

fn tests(pages: &mut Pages, booklet: &Booklet) {
    pages.heading("Genetic tests");
    if booklet.tests.is_empty() {
        return pages.paragraph("Nothing is recorded.");
    }
    let columns = [
        Column { title: "What was tested", share: 4.0 },
        Column { title: "Result", share: 1.4 },
        Column { title: "Laboratory", share: 2.6 },
        Column { title: "Day", share: 1.4 },
    ];
    let row = |test: &BookletTest| {
        vec![
            match &test.meaning {
                Some(meaning) => format!("{}: {meaning}", test.name),
                None => test.name.clone(),
            },
            test.genotype.clone(),
            or_unknown(test.laboratory.as_deref()),
            day(test.tested_on),
        ]
    };
    pages.table(&columns, &booklet.tests.iter().map(row).collect::<Vec<_>>());
}

/// What is due, with the sources once below: they are long, and the same for many lines.
fn due_next(pages: &mut Pages, booklet: &Booklet) {
    pages.heading("What is due next");
    let columns = [
        Column { title: "What", share: 5.0 },
        Column { title: "Not before", share: 1.5 },
        Column { title: "Best on", share: 1.5 },
        Column { title: "At the latest", share: 1.7 },
        Column { title: "Source", share: 1.0 },
    ];
    let mut sources = Sources::default();
    let mut rows = Vec::new();
    for due in &booklet.due_next {
        let number = sources.number(&due.source);
        let needed = if due.optional { " (only where asked for)" } else { "" };
        rows.push(vec![
            format!("{}{needed}", due.name),
            day(due.earliest_on),
            day(due.ideal_on),
            day(due.latest_on),
            number.to_string(),
        ]);
    }
    pages.table(&columns, &rows);
    sources.print(pages);
}

fn words_of_kennel(pages: &mut Pages, booklet: &Booklet) {
    let kennel = &booklet.kennel;
    for (heading, words) in
        [("Feeding", &kennel.feeding), ("Care", &kennel.care), ("How to reach us", &kennel.contact)]
    {
        pages.heading(heading);
        pages.paragraph(words.as_deref().unwrap_or("Nothing is recorded."));
    }
}

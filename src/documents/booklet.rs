//! The pup's booklet, printed: something that a family keeps.

use super::{
    dates,
    pdf::{Column, Pages, PaperFormat, PdfError, Photo, Sources},
    words::{collar, health_kind, or_unknown, sex},
};
use catalogue::{Text, figure, said};
use chrono::NaiveDate;
use domain::{
    booklet::{Booklet, BookletDue, BookletEvent, BookletTest},
    record::HealthKind,
    units::weight_in_words,
};

const LOGO: (f32, f32) = (200.0, 80.0);
/// Least height of the place for a picture on the cover.
const PHOTO_HEIGHT: f32 = 200.0;
/// Height of the words of welcome that stand on the cover below it.
const WELCOME_HEIGHT: f32 = 110.0;
const PICTURE_HEIGHT: f32 = 370.0;
/// Heading, birth weight and the line below the chart, which stay on its page.
const BESIDE_CHART: f32 = 90.0;

/// Photographs beside one another.
const PHOTOS_IN_LINE: usize = 4;

/// The pictures of a booklet: drawings as SVG, and photographs.
#[derive(Default)]
pub struct BookletPictures {
    /// The kennel's own.
    pub logo: Option<String>,
    /// Three generations of ancestors.
    pub pedigree: Option<String>,
    /// How the pup grew.
    pub chart: Option<String>,
    /// The photograph on the cover.
    pub portrait: Option<Photo>,
    /// Photographs by age.
    pub album: Vec<Photo>,
}

/// Prints the booklet in the language that is spoken.
///
/// # Errors
/// When a picture cannot be drawn or the document not be written.
pub fn booklet_pdf(
    booklet: &Booklet,
    pictures: &BookletPictures,
    format: PaperFormat,
) -> Result<Vec<u8>, PdfError> {
    let name = name_of(booklet);
    let footer = format!("{} · {name} · {}", booklet.kennel.name, dates::day(booklet.made_on));
    let pages = Pages::new(format, format!("{name}, {}", booklet.kennel.name), footer);
    let mut print = Print { booklet, pictures, pages };
    print.cover(&name);
    print.identity();
    print.pedigree()?;
    print.growth()?;
    print.album();
    print.health();
    print.words_of_kennel();
    print.handed_over();
    print.pages.finish()
}

struct Print<'b> {
    booklet: &'b Booklet,
    pictures: &'b BookletPictures,
    pages: Pages,
}

/// What the dog is called on its booklet.
pub fn name_of(booklet: &Booklet) -> String {
    let worn = booklet.birth.as_ref().and_then(|birth| birth.collar.as_ref());
    let by_collar = worn.map(|worn| said!("print-by-collar", collar = collar(worn)).to_string());
    let named = booklet.dog.name.clone().or_else(|| booklet.dog.call_name.clone());
    named.or(by_collar).unwrap_or_else(|| said!("print-booklet-nameless").to_string())
}

impl Print<'_> {
    /// A day in a table.
    fn day(&self, on: Option<NaiveDate>) -> String {
        or_unknown(on.map(dates::brief))
    }

    /// A weight in the kennel's unit.
    fn in_words(&self, weight_g: i32) -> String {
        weight_in_words(weight_g.into(), self.booklet.kennel.weight_unit)
    }

    /// The first page: whose booklet it is, its picture or a place for one, a word of welcome.
    fn cover(&mut self, name: &str) {
        let (pages, dog, kennel) = (&mut self.pages, &self.booklet.dog, &self.booklet.kennel);
        if let Some(logo) = &self.pictures.logo {
            pages.logo(logo, &said!("print-booklet-logo", kennel = &kennel.name), LOGO);
            pages.space(12.0);
        }
        pages.title(name);
        let call_name = dog.call_name.as_ref().filter(|call_name| *call_name != name);
        let born =
            dog.born_on.map(|born| said!("print-born", on = dates::partial(born)).to_string());
        let about = [call_name.cloned(), dog.breed.clone(), born];
        let about: Vec<String> = about.into_iter().flatten().collect();
        if !about.is_empty() {
            pages.large(about.join(" · "));
        }
        pages.large(said!("print-booklet-from", kennel = &kennel.name));
        pages.space(6.0);
        let below = kennel.welcome.as_ref().map_or(0.0, |_| WELCOME_HEIGHT);
        let height = (pages.height_left() - below - 24.0).max(PHOTO_HEIGHT);
        match &self.pictures.portrait {
            Some(portrait) => pages.photo(portrait, height),
            None => pages.place_to_glue(height, &said!("print-booklet-place")),
        }
        if let Some(welcome) = &kennel.welcome {
            pages.paragraph(welcome.as_str());
        }
        pages.new_page();
    }

    fn identity(&mut self) {
        let booklet = self.booklet;
        let (dog, birth) = (&booklet.dog, booklet.birth.as_ref());
        let litter = birth.map(|birth| {
            let (ordinal, size) = (birth.ordinal, birth.litter_size);
            match &birth.litter_name {
                Some(name) => {
                    said!("print-booklet-number-named", ordinal = ordinal, size = size, name = name)
                }
                None => said!("print-booklet-number", ordinal = ordinal, size = size),
            }
        });
        let registers: Vec<String> =
            dog.registrations.iter().map(|r| format!("{}: {}", r.registry, r.number)).collect();
        let registers = (!registers.is_empty()).then(|| registers.join("; "));
        self.pages.heading(said!("print-booklet-who"));
        self.pages.fields(&[
            (said!("print-booklet-name"), or_unknown(dog.name.as_deref())),
            (said!("print-booklet-called"), or_unknown(dog.call_name.as_deref())),
            (said!("print-sex"), or_unknown(dog.sex.map(sex))),
            (said!("print-booklet-breed"), or_unknown(dog.breed.as_deref())),
            (said!("print-booklet-colour"), or_unknown(dog.colour.as_deref())),
            (said!("print-booklet-markings"), or_unknown(dog.markings.as_deref())),
            (said!("print-booklet-born"), or_unknown(dog.born_on.map(dates::partial))),
            (said!("print-booklet-litter"), or_unknown(litter)),
            (said!("print-booklet-chip"), or_unknown(dog.chip_number.as_deref())),
            (said!("print-booklet-registers"), or_unknown(registers)),
        ]);
        if !booklet.not_recorded.is_empty() {
            let lacking: Vec<String> =
                booklet.not_recorded.iter().map(|what| what.to_string()).collect();
            let what = dates::within(&lacking.join(", "));
            self.pages.small(said!("print-booklet-not-recorded", what = what));
        }
    }

    fn pedigree(&mut self) -> Result<(), PdfError> {
        let booklet = self.booklet;
        if self.pictures.pedigree.is_some() {
            self.pages.need(PICTURE_HEIGHT + BESIDE_CHART);
        }
        self.pages.heading(said!("print-booklet-parents"));
        let inbreeding = said!(
            "print-booklet-at-least",
            share = figure(booklet.inbreeding * 100.0, 2),
            ancestors = booklet.known_ancestors,
            why = &booklet.lower_bound.why
        );
        self.pages.fields(&[(said!("print-booklet-inbreeding"), inbreeding.to_string())]);
        let named = booklet.ancestors.iter().map(|ancestor| {
            let english = ancestor.line.replace('.', "’s ");
            let line = Text::keyed("print-line", &ancestor.line, english);
            format!("{line}: {}", or_unknown(ancestor.name.as_deref()))
        });
        let named = named.collect::<Vec<_>>().join("; ");
        match &self.pictures.pedigree {
            Some(pedigree) => {
                let alt = said!("print-booklet-pedigree-alt", named = named);
                self.pages.picture(pedigree, &alt, PICTURE_HEIGHT)
            }
            None => {
                self.pages.paragraph(named);
                Ok(())
            }
        }
    }

    fn growth(&mut self) -> Result<(), PdfError> {
        let booklet = self.booklet;
        let chart = self.pictures.chart.as_ref().filter(|_| !booklet.weights.is_empty());
        if chart.is_some() {
            self.pages.need(PICTURE_HEIGHT * 0.75 + BESIDE_CHART);
        }
        self.pages.heading(said!("print-booklet-growth"));
        let weight = booklet.birth.as_ref().and_then(|birth| birth.weight_g);
        let weight = or_unknown(weight.map(|weight_g| self.in_words(weight_g)));
        self.pages.fields(&[(said!("print-booklet-birth-weight"), weight)]);
        let (Some(first), Some(last)) = (booklet.weights.first(), booklet.weights.last()) else {
            self.pages.paragraph(said!("print-booklet-no-weights"));
            return Ok(());
        };
        let says = said!(
            "print-booklet-weights",
            weights = booklet.weights.len(),
            from = dates::day(first.on),
            to = dates::day(last.on),
            last = self.in_words(last.weight_g)
        );
        if let Some(chart) = chart {
            let alt = said!("print-booklet-growth-alt", says = &says);
            self.pages.picture(chart, &alt, PICTURE_HEIGHT)?;
        }
        self.pages.paragraph(says);
        Ok(())
    }

    fn album(&mut self) {
        if !self.pictures.album.is_empty() {
            self.pages.heading(said!("print-booklet-album"));
            self.pages.photos(&self.pictures.album, PHOTOS_IN_LINE);
        }
    }

    fn health(&mut self) {
        self.pages.heading(said!("print-booklet-given"));
        if self.booklet.given.is_empty() {
            self.pages.paragraph(said!("print-nothing"));
        } else {
            let columns = [
                Column { title: said!("print-day"), share: 1.9 },
                Column { title: said!("print-what"), share: 1.8 },
                Column { title: said!("print-booklet-product"), share: 2.3 },
                Column { title: said!("print-booklet-batch"), share: 2.1 },
                Column { title: said!("print-booklet-by"), share: 1.7 },
                Column { title: said!("print-remarks"), share: 1.4 },
            ];
            let rows: Vec<_> =
                self.booklet.given.iter().map(|event| self.given_row(event)).collect();
            self.pages.table(&columns, &rows);
        }
        self.tests();
        self.due_next();
        self.pages.small(self.booklet.advice.to_string());
    }

    /// What was given has a product and a batch, known or not; what was found or set has none.
    fn given_row(&self, event: &BookletEvent) -> Vec<String> {
        let of_pack = matches!(
            event.kind,
            HealthKind::Worming | HealthKind::Vaccination | HealthKind::Treatment
        );
        let pack = |text: Option<String>| match text {
            None if !of_pack => String::new(),
            text => or_unknown(text),
        };
        let batch = event.batch.as_ref().map(|batch| match event.expires_on {
            Some(expires_on) => {
                let on = dates::brief(expires_on);
                said!("print-booklet-expires", batch = batch, on = on).to_string()
            }
            None => batch.clone(),
        });
        let remarks: Vec<&str> =
            [&event.site, &event.reaction].into_iter().flatten().map(String::as_str).collect();
        vec![
            dates::brief(event.on),
            health_kind(event.kind).to_string(),
            pack(event.product.clone()),
            pack(batch),
            or_unknown(event.given_by.as_deref()),
            remarks.join("; "),
        ]
    }

    fn tests(&mut self) {
        self.pages.heading(said!("print-booklet-tests"));
        if self.booklet.tests.is_empty() {
            return self.pages.paragraph(said!("print-nothing"));
        }
        let columns = [
            Column { title: said!("print-booklet-tested"), share: 4.0 },
            Column { title: said!("print-booklet-result"), share: 1.4 },
            Column { title: said!("print-booklet-laboratory"), share: 2.6 },
            Column { title: said!("print-day"), share: 1.7 },
        ];
        let row = |test: &BookletTest| {
            vec![
                match &test.meaning {
                    Some(meaning) => format!("{}: {meaning}", test.name),
                    None => test.name.to_string(),
                },
                test.genotype.clone(),
                or_unknown(test.laboratory.as_deref()),
                self.day(test.tested_on),
            ]
        };
        let rows: Vec<_> = self.booklet.tests.iter().map(row).collect();
        self.pages.table(&columns, &rows);
    }

    /// What is due, with the sources once below: they are long, and the same for many lines.
    fn due_next(&mut self) {
        self.pages.heading(said!("print-booklet-due"));
        let columns = [
            Column { title: said!("print-what"), share: 4.4 },
            Column { title: said!("print-booklet-not-before"), share: 1.7 },
            Column { title: said!("print-booklet-best-on"), share: 1.7 },
            Column { title: said!("print-booklet-at-the-latest"), share: 1.8 },
            Column { title: said!("print-source"), share: 1.1 },
        ];
        let mut sources = Sources::default();
        let mut rows = Vec::new();
        for due in &self.booklet.due_next {
            let number = sources.number(&due.source);
            rows.push(vec![
                named(due),
                self.day(due.earliest_on),
                self.day(due.ideal_on),
                self.day(due.latest_on),
                number.to_string(),
            ]);
        }
        self.pages.table(&columns, &rows);
        sources.print(&mut self.pages);
    }

    fn words_of_kennel(&mut self) {
        let kennel = &self.booklet.kennel;
        for (heading, words) in [
            (said!("print-booklet-feeding"), &kennel.feeding),
            (said!("print-booklet-care"), &kennel.care),
            (said!("print-booklet-contact"), &kennel.contact),
        ] {
            self.pages.heading(heading);
            let nothing = || said!("print-nothing");
            self.pages.paragraph(words.as_deref().map_or_else(nothing, Text::verbatim));
        }
    }

    /// Who handed the pup over to whom, by hand.
    fn handed_over(&mut self) {
        self.pages.need(120.0);
        self.pages.heading(said!("print-booklet-handed-over"));
        self.pages.paragraph(said!("print-booklet-were-handed-over"));
        self.pages.lines_to_sign(&[
            said!("print-booklet-sign-place"),
            said!("print-booklet-sign-kennel"),
            said!("print-booklet-sign-owner"),
        ]);
    }
}

/// How old it is on a photograph: days in the first two weeks, then weeks.
pub fn age_on_photo(age_days: i64) -> Text {
    const IN_DAYS: i64 = 14;
    if age_days < IN_DAYS {
        said!("print-booklet-age-days", days = age_days)
    } else {
        said!("print-booklet-age-weeks", weeks = age_days / 7)
    }
}

/// What is due, and whether only where it is asked for.
fn named(due: &BookletDue) -> String {
    if due.optional {
        said!("print-booklet-optional", name = &due.name).to_string()
    } else {
        due.name.to_string()
    }
}

//! What is printed, looked at: pages rendered to pixels.

use crate::common::*;
use chrono::Duration;
use std::{
    collections::BTreeSet,
    io::{BufRead, Cursor, Write},
    process::{Command, Stdio},
};

/// A page as pixels.
struct Page {
    width: usize,
    height: usize,
    /// Red, green and blue of each pixel, row by row.
    pixels: Vec<[u8; 3]>,
}

impl Page {
    fn has_ink(&self, from: (usize, usize), to: (usize, usize)) -> bool {
        self.ink(from, to) > 0
    }

    /// Pixels that are not white between two corners.
    fn ink(&self, from: (usize, usize), to: (usize, usize)) -> usize {
        let rows = from.1..to.1.min(self.height);
        let until = to.0.min(self.width);
        rows.flat_map(|y| &self.pixels[y * self.width + from.0..y * self.width + until])
            .filter(|pixel| **pixel != [255; 3])
            .count()
    }

    /// Pixels that are clearly blue: the line of a growth chart, and nothing else in a booklet.
    fn blue(&self) -> usize {
        let is_blue =
            |[red, _, blue]: &&[u8; 3]| *blue > 120 && i32::from(*blue) - i32::from(*red) > 80;
        self.pixels.iter().filter(is_blue).count()
    }
}

/// The pages, a pixel a point.
fn pages(pdf: &[u8]) -> Vec<Page> {
    drawn(pdf, 1)
}

/// The pages as poppler draws them, which shares nothing with what wrote them.
fn drawn(pdf: &[u8], scale: usize) -> Vec<Page> {
    let mut poppler = Command::new("pdftoppm")
        .args(["-r", &(72 * scale).to_string(), "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("pdftoppm is missing (Debian: apt-get install poppler-utils)");
    // It reads all before it draws.
    poppler.stdin.take().unwrap().write_all(pdf).unwrap();
    let done = poppler.wait_with_output().unwrap();
    assert!(done.status.success() && done.stderr.is_empty(), "{}", done.stderr.escape_ascii());
    let (end, mut read) = (done.stdout.len() as u64, Cursor::new(done.stdout));
    std::iter::from_fn(|| (read.position() < end).then(|| page(&mut read))).collect()
}

/// One picture of Netpbm's, as `P6 width height 255` and three bytes a pixel.
fn page(read: &mut impl BufRead) -> Page {
    let mut line = || {
        let mut line = String::new();
        read.read_line(&mut line).unwrap();
        line
    };
    let (kind, size, most) = (line(), line(), line());
    assert_eq!((kind.trim(), most.trim()), ("P6", "255"));
    let (width, height) = size.trim().split_once(' ').unwrap();
    let (width, height): (usize, usize) = (width.parse().unwrap(), height.parse().unwrap());
    let mut bytes = vec![0; 3 * width * height];
    read.read_exact(&mut bytes).unwrap();
    Page { width, height, pixels: bytes.as_chunks().0.to_vec() }
}

/// Half of the margin: nothing may be printed there.
const EDGE: usize = 20;

/// Every page has something on it, and nothing runs over its edges.
fn check_pages(pages: &[Page], size: (usize, usize), what: &str) {
    for (number, page) in pages.iter().enumerate() {
        assert_eq!((page.width, page.height), size, "{what}, page {number}");
        let (width, height) = size;
        assert!(page.ink((0, 0), (width, height - 80)) > 200, "{what}, page {number} is empty");
        assert!(page.has_ink((EDGE, height - 80), (width, height)), "{what}: no footer");
        for (edge, from, to) in [
            ("top", (0, 0), (width, EDGE)),
            ("left", (0, 0), (EDGE, height)),
            ("right", (width - EDGE, 0), (width, height)),
            ("bottom", (0, height - EDGE), (width, height)),
        ] {
            assert!(!page.has_ink(from, to), "{what}, page {number}: ink at the {edge} edge");
        }
    }
}

const SIZES: [(&str, (usize, usize)); 2] = [("a4", (596, 842)), ("letter", (612, 792))];

#[tokio::test]
async fn booklets_fill_their_pages_and_stay_within_them() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(2, 50).await;
    let pup = pups[0];
    let path = format!("/dogs/{pup}");
    let long = "Živa z Ægirsdal Ἀφροδίτη Ксения ".repeat(5);
    kennel
        .change(&path, json!({ "name": long.trim(), "markings": "white ".repeat(60) }))
        .await
        .ok();
    for day in 1..30 {
        kennel.weight(pup, 24 * (50 - day), 400 + 40 * day).await;
    }
    for day in 1..30 {
        let given = json!({
            "dog_id": pup, "kind": "worming", "given_at": time_ago(Duration::days(day)), "batch": "B".repeat(100),
            "product": "wormer ".repeat(20), "expires_on": days_ago(-300), "reaction": "none",
        });
        kennel.post("/health-events", given).await.created();
    }
    let tested = json!({ "marker": "prcd_pra", "alleles": ["N", "prcd"], "laboratory": "An invented laboratory" });
    kennel.post(&format!("{path}/genotype-tests"), tested).await.created();
    let booklet = kennel.get(&format!("{path}/booklet.json")).await.ok();
    assert_eq!(booklet["tests"][0]["genotype"], "N/prcd");
    for (format, size) in SIZES {
        let printed = kennel.get(&format!("{path}/booklet.pdf?format={format}")).await.expect(200);
        let pages = pages(&printed.bytes);
        check_pages(&pages, size, format);
        let with_chart: Vec<usize> =
            pages.iter().map(Page::blue).filter(|blue| *blue > 100).collect();
        assert_eq!(with_chart.len(), 1, "the growth chart is on one page: {with_chart:?}");
        let text: String = pdf_extract::extract_text_from_mem(&printed.bytes)
            .unwrap()
            .split_whitespace()
            .collect();
        for part in ["N/prcd", "Aninventedlaboratory", "expires", "ESCCAP"] {
            assert!(text.contains(part), "{part}");
        }
    }
}

/// A name that no font has would be the same empty boxes whatever it is.
#[tokio::test]
async fn names_of_any_script_are_drawn() {
    let kennel = Kennel::among_others().await;
    let dog = kennel.dam("A").await;
    let mut seen = Vec::new();
    for name in ["王小明", "李大山", "さくら", "김하늘", "Ёлкина", "Čapková", "Þórsson"]
    {
        kennel.change(&format!("/dogs/{dog}"), json!({ "name": name })).await.ok();
        let printed = kennel.get(&format!("/dogs/{dog}/booklet.pdf")).await.expect(200);
        let first = pages(&printed.bytes).remove(0);
        // The title, without what follows below it.
        let title: Vec<[u8; 3]> = first.pixels[..first.width * 75].to_vec();
        assert!(first.has_ink((EDGE, 0), (first.width, 75)), "{name} is drawn");
        assert!(!seen.contains(&title), "{name} looks like a name before it");
        seen.push(title);
    }
}

#[tokio::test]
async fn whelping_sheets_fill_their_pages_and_stay_within_them() {
    let kennel = Kennel::among_others().await;
    let (born, _) = kennel.born_litter(9, 2).await;
    let expected = kennel.litter(kennel.dam("Alma").await, kennel.sire("Rex").await).await;
    for litter in [born, expected] {
        for (format, size) in SIZES {
            let path = format!("/litters/{litter}/whelping-sheet.pdf?format={format}");
            check_pages(&pages(&kennel.get(&path).await.expect(200).bytes), size, &path);
        }
    }
}

/// Where each letter of a PDF stands, in points from the lower left corner of its page.
#[derive(Default)]
struct Letters {
    page: u32,
    size: (f64, f64),
    /// Page, place, size of type and letter.
    all: Vec<(u32, [f64; 2], f64, String)>,
    /// Page and height of each line across it.
    across: Vec<(u32, f64)>,
}

impl pdf_extract::OutputDev for Letters {
    fn begin_page(
        &mut self,
        page: u32,
        media: &pdf_extract::MediaBox,
        _: Option<(f64, f64, f64, f64)>,
    ) -> Result<(), pdf_extract::OutputError> {
        (self.page, self.size) = (page, (media.urx - media.llx, media.ury - media.lly));
        Ok(())
    }
    fn end_page(&mut self) -> Result<(), pdf_extract::OutputError> {
        Ok(())
    }
    fn output_character(
        &mut self,
        at: &pdf_extract::Transform,
        _: f64,
        _: f64,
        size: f64,
        letter: &str,
    ) -> Result<(), pdf_extract::OutputError> {
        self.all.push((self.page, [at.m31, at.m32], size, letter.to_owned()));
        Ok(())
    }
    fn stroke(
        &mut self,
        at: &pdf_extract::Transform,
        _: &pdf_extract::ColorSpace,
        _: &[f64],
        path: &pdf_extract::Path,
    ) -> Result<(), pdf_extract::OutputError> {
        if let [pdf_extract::PathOp::MoveTo(x, y), pdf_extract::PathOp::LineTo(to_x, to_y)] =
            path.ops.as_slice()
            && (x - to_x).abs() > self.size.0 / 2.0
            && y == to_y
        {
            self.across.push((self.page, y * at.m22 + at.m32));
        }
        Ok(())
    }
    fn begin_word(&mut self) -> Result<(), pdf_extract::OutputError> {
        Ok(())
    }
    fn end_word(&mut self) -> Result<(), pdf_extract::OutputError> {
        Ok(())
    }
    fn end_line(&mut self) -> Result<(), pdf_extract::OutputError> {
        Ok(())
    }
}

fn letters(pdf: &[u8]) -> Letters {
    let mut letters = Letters::default();
    let document = pdf_extract::Document::load_mem(pdf).unwrap();
    pdf_extract::output_doc(&document, &mut letters).unwrap();
    letters
}

/// Two pages to write on: pups and their score on one, when to call and the log on the other; every letter
/// within the page, and rows of six and a half millimetres and more.
#[tokio::test]
async fn a_sheet_to_write_on_is_two_pages_of_any_paper() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Alma").await, kennel.sire("Rex").await);
    let mating = kennel.mating(dam, sire, 55).await;
    let litter = json!({ "dam_id": dam, "sire_id": sire, "mating_id": mating });
    let litter = kennel.post("/litters", litter).await.id();
    for (format, size) in SIZES {
        let path = format!("/litters/{litter}/whelping-sheet.pdf?format={format}");
        let pdf = kennel.get(&path).await.expect(200).bytes;
        check_pages(&pages(&pdf), size, &path);
        let letters = letters(&pdf);
        assert_eq!(letters.page, 2, "{format}");
        let (width, height) = letters.size;
        assert!((width - size.0 as f64).abs() < 1.0 && (height - size.1 as f64).abs() < 1.0);
        for (page, [x, y], _, letter) in &letters.all {
            let within = (20.0..width - 20.0).contains(x) && (20.0..height - 20.0).contains(y);
            assert!(within, "{letter:?} at {x}, {y} of page {page} of {format}");
        }
        let on = |page: u32| -> String {
            letters.all.iter().filter(|of| of.0 == page).map(|of| of.3.as_str()).collect::<String>()
        };
        let squeezed = |page| on(page).split_whitespace().collect::<String>();
        assert!(squeezed(1).contains("Placenta") && squeezed(1).contains("Scoreofanewborn"));
        assert!(squeezed(2).contains("Whentocallthevet") && squeezed(2).contains("Log:signs"));
        for (page, least) in [(1, 8), (2, 8)] {
            let of_page = letters.across.iter().filter(|(of, _)| *of == page).map(|(_, y)| *y);
            let mut lines: Vec<f64> = of_page.collect();
            lines.sort_by(f64::total_cmp);
            let high = lines.windows(2).filter(|pair| pair[1] - pair[0] > 18.4).count();
            assert!(high >= least, "{high} rows to write in on page {page} of {format}");
        }
    }
}

#[tokio::test]
async fn prints_are_made_in_the_language_that_is_asked_for() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(2, 50).await;
    let text = async |path: &str| {
        let pdf = kennel.get(path).await.expect(200).bytes;
        let text = pdf_extract::extract_text_from_mem(&pdf).unwrap();
        text.split_whitespace().collect::<String>()
    };
    let born = days_ago(50);
    let booklet = format!("/dogs/{}/booklet.pdf", pups[0]);
    assert!(text(&booklet).await.contains(&born.format("born%-d%B%Y").to_string()));
    let german = text(&format!("{booklet}?language=de")).await;
    let month = [
        "Januar",
        "Februar",
        "März",
        "April",
        "Mai",
        "Juni",
        "Juli",
        "August",
        "September",
        "Oktober",
        "November",
        "Dezember",
    ][chrono::Datelike::month0(&born) as usize];
    let expected =
        format!("geboren{}.{month}{}", chrono::Datelike::day(&born), chrono::Datelike::year(&born));
    assert!(german.contains(&expected), "{expected} in {german}");
    assert!(!german.contains(&born.to_string()), "no date is left as machines write it");
    for path in [
        booklet,
        format!("/litters/{litter}/labels.pdf"),
        format!("/litters/{litter}/whelping-sheet.pdf"),
    ] {
        kennel.get(&format!("{path}?language=fr")).await.problem(400);
    }
    for picture in [
        format!("/dogs/{}/growth.svg", pups[0]),
        format!("/litters/{litter}/growth.svg"),
        format!("/dogs/{}/pedigree.svg", pups[0]),
    ] {
        let [english, german] = ["en", "de"].map(|tag| format!("{picture}?language={tag}"));
        let drawn = async |path: &str| {
            String::from_utf8(kennel.get(path).await.expect(200).bytes.to_vec()).unwrap()
        };
        assert!(drawn(&english).await.contains("lang=\"en\""), "{english}");
        assert!(drawn(&german).await.contains("lang=\"de\""), "{german}");
        kennel.get(&format!("{picture}?language=fr")).await.problem(400);
    }
}

/// A family's copy: a cover to glue a picture on, the drawn pedigree, lines to sign; and a reader that speaks
/// the pages finds titles, tables and what the pictures show.
#[tokio::test]
async fn a_booklet_is_something_to_keep() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(2, 50).await;
    kennel.weight(pups[0], 24 * 40, 800).await;
    kennel.weight(pups[0], 24 * 20, 2400).await;
    let pdf = kennel.get(&format!("/dogs/{}/booklet.pdf", pups[0])).await.expect(200).bytes;
    let letters = letters(&pdf);
    let squeezed = |page: u32| -> String {
        let on = letters.all.iter().filter(|of| of.0 == page).map(|of| of.3.as_str());
        on.collect::<String>().split_whitespace().collect()
    };
    assert!(squeezed(1).contains("Aplaceforapicture") && !squeezed(1).contains("Whoitis"));
    let all: String = (1..=letters.page).map(squeezed).collect();
    for part in ["♂", "Placeandday", "Thenewowner"] {
        assert!(all.contains(part), "{part}");
    }
    // The chart is over the width of the page: its first and last words are far apart.
    let letter = |of: &&(u32, [f64; 2], f64, String)| !of.3.trim().is_empty();
    let written: Vec<_> = letters.all.iter().filter(letter).collect();
    let words = "ageindays";
    let from = written.windows(words.len()).find(|letters| {
        letters.iter().map(|of| of.3.as_str()).eq(words.split("").filter(|part| !part.is_empty()))
    });
    let x = from.unwrap()[0].1[0];
    assert!(x > 200.0, "the axis' words stand at {x}");

    let document = lopdf::Document::load_mem(&pdf).unwrap();
    let catalog = document.catalog().unwrap();
    let marked = catalog.get(b"MarkInfo").and_then(|info| document.dereference(info)).unwrap().1;
    assert!(marked.as_dict().unwrap().get(b"Marked").unwrap().as_bool().unwrap());
    assert_eq!(catalog.get(b"Lang").unwrap().as_str().unwrap(), b"en");
    let metadata = document.dereference(catalog.get(b"Metadata").unwrap()).unwrap().1;
    let metadata = metadata.as_stream().unwrap();
    let metadata = metadata.decompressed_content().unwrap_or_else(|_| metadata.content.clone());
    assert!(String::from_utf8_lossy(&metadata).contains("pdfuaid"), "it says that it is PDF/UA");
    let (mut figures, mut kinds) = (0, std::collections::BTreeMap::new());
    for object in document.objects.values() {
        let Ok(element) = object.as_dict() else { continue };
        if !element
            .get(b"Type")
            .and_then(lopdf::Object::as_name)
            .is_ok_and(|of| of == b"StructElem")
        {
            continue;
        }
        let kind =
            String::from_utf8_lossy(element.get(b"S").unwrap().as_name().unwrap()).into_owned();
        if kind == "Figure" {
            figures += 1;
            assert!(element.get(b"Alt").is_ok(), "a picture says what it shows");
        }
        *kinds.entry(kind).or_insert(0) += 1;
    }
    assert_eq!((figures, kinds["H1"]), (2, 1), "{kinds:?}");
    assert!(kinds["H2"] >= 9 && kinds["TH"] > 10 && kinds["TD"] > 10, "{kinds:?}");
    assert!(catalog.get(b"Outlines").is_ok());
}

/// A logo with a letter that no font has cannot be read aloud; the booklet is printed all the same.
#[tokio::test]
async fn what_no_font_has_does_not_stop_a_print() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(1, 50).await;
    let logo = "<svg xmlns='http://www.w3.org/2000/svg' width='40' height='40'><text x='2' y='20' font-size='9'>\u{16A0}\u{13000}</text></svg>";
    let put = kennel.request(reqwest::Method::PUT, "/booklet-texts").header("If-Match", "\"0\"");
    put.json(&json!({ "logo_svg": logo })).send().await.expect(200);
    let pdf = kennel.get(&format!("/dogs/{}/booklet.pdf", pups[0])).await.expect(200).bytes;
    assert!(pages(&pdf).len() > 2);
}

/// The addresses that a reader of codes finds in each of the three columns of labels.
///
/// It is shown a label's height at a time, in steps: the marks of two codes side by side look to it like those
/// of one.
fn codes(pdf: &[u8]) -> [BTreeSet<String>; 3] {
    const SCALE: usize = 4;
    const MARGIN: usize = 48;
    let mut found = [const { BTreeSet::new() }; 3];
    for Page { width, height, pixels } in drawn(pdf, SCALE) {
        let room = width - 2 * MARGIN * SCALE;
        let edges = [0, 278, 390, 500].map(|part| MARGIN * SCALE + room * part / 500);
        for (column, edges) in edges.windows(2).enumerate() {
            for top in (0..height).step_by(60 * SCALE) {
                let (wide, high) = (edges[1] - edges[0], (165 * SCALE).min(height - top));
                let grey = |x: usize, y: usize| pixels[(top + y) * width + edges[0] + x][1];
                let mut part = rqrr::PreparedImage::prepare_from_greyscale(wide, high, grey);
                let grids = part.detect_grids();
                found[column].extend(grids.iter().filter_map(|grid| Some(grid.decode().ok()?.1)));
            }
        }
    }
    found
}

#[tokio::test]
async fn labels_lead_to_each_pup() {
    let kennel = Kennel::new().await;
    let (litter, pups) = kennel.born_litter(7, 10).await;
    for (format, size) in SIZES {
        let path = format!("/litters/{litter}/labels.pdf?format={format}");
        let pdf = kennel.get(&path).await.expect(200).bytes;
        check_pages(&pages(&pdf), size, &path);
        let service = &kennel.owner().service.url;
        let address = |pup: &Uuid| format!("{service}/#/litter/{litter}/{pup}");
        let expected: BTreeSet<String> = pups.iter().map(address).collect();
        assert_eq!(codes(&pdf), [(); 3].map(|()| expected.clone()), "{format}");
    }
    let expected = kennel.litter(kennel.dam("Alma").await, kennel.sire("Rex").await).await;
    kennel.get(&format!("/litters/{expected}/labels.pdf")).await.refused(&["#path/litter_id"]);
}

/// Where the service is told how others reach it, that is where labels lead.
#[tokio::test]
async fn labels_lead_to_the_public_address() {
    let address = Some("https://kennel.example".to_owned());
    let kennel =
        Kennel::with(denwright::service::server::Settings { own_origin: address, ..settings() })
            .await;
    let (litter, pups) = kennel.born_litter(1, 10).await;
    let pdf = kennel.get(&format!("/litters/{litter}/labels.pdf")).await.expect(200).bytes;
    let expected = format!("https://kennel.example/#/litter/{litter}/{}", pups[0]);
    assert_eq!(codes(&pdf), [(); 3].map(|()| BTreeSet::from([expected.clone()])));
}

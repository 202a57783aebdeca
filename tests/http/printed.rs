//! What is printed, looked at: pages rendered to pixels.

use crate::common::*;
use chrono::Duration;
use hayro::{
    PixmapSettings, RenderCache, RenderSettings, hayro_interpret::InterpreterSettings,
    hayro_syntax::Pdf, render, vello_cpu::color::palette::css::WHITE,
};

/// A page as pixels, one a point.
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

fn pages(pdf: &[u8]) -> Vec<Page> {
    let pdf = Pdf::new(pdf.to_vec()).unwrap();
    let cache = RenderCache::new();
    let white = PixmapSettings { bg_color: WHITE, ..PixmapSettings::default() };
    let page = |page| {
        let (interpreter, settings) = (InterpreterSettings::default(), RenderSettings::default());
        let picture = render(page, &cache, &interpreter, &settings, &white);
        let (width, height) = (picture.width().into(), picture.height().into());
        let pixels = picture.data().iter().map(|pixel| [pixel.r, pixel.g, pixel.b]).collect();
        Page { width, height, pixels }
    };
    pdf.pages().iter().map(page).collect()
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

const SIZES: [(&str, (usize, usize)); 2] = [("a4", (595, 841)), ("letter", (612, 792))];

#[tokio::test]
async fn booklets_fill_their_pages_and_stay_within_them() {
    let kennel = Kennel::new().await;
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
    kennel.post(&format!("{path}/genotypes"), tested).await.created();
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
    let kennel = Kennel::new().await;
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
    let kennel = Kennel::new().await;
    let (born, _) = kennel.born_litter(9, 2).await;
    let expected = kennel.litter(kennel.dam("Alma").await, kennel.sire("Rex").await).await;
    for litter in [born, expected] {
        for (format, size) in SIZES {
            let path = format!("/litters/{litter}/whelping-sheet.pdf?format={format}");
            check_pages(&pages(&kennel.get(&path).await.expect(200).bytes), size, &path);
        }
    }
}

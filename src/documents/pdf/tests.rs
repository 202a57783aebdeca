//! What is written is read back by a PDF reader of its own.

use super::*;

fn text_of(pdf: &[u8]) -> String {
    pdf_extract::extract_text_from_mem(pdf).unwrap()
}

fn page_sizes(pdf: &[u8]) -> Vec<(f32, f32)> {
    let document = lopdf::Document::load_mem(pdf).unwrap();
    let size = |id: &lopdf::ObjectId| {
        let page = document.get_dictionary(*id).unwrap();
        let corner = page.get(b"MediaBox").unwrap().as_array().unwrap();
        (corner[2].as_float().unwrap(), corner[3].as_float().unwrap())
    };
    document.get_pages().values().map(size).collect()
}

#[test]
fn names_of_any_script_come_back_as_text() {
    let names =
        ["Ægir Þórsson", "Živa Čapková", "Ксения Ёлкина", "Ἀφροδίτη", "王小明", "さくら", "김하늘"];
    let mut pages = Pages::new(PaperFormat::A4, "Names", "Larkfell Kennel");
    pages.title("Names");
    for name in names {
        pages.paragraph(name);
    }
    let text = text_of(&pages.finish().unwrap());
    for name in names {
        assert!(text.contains(name), "{name} in {text}");
    }
    assert!(text.contains("Larkfell Kennel") && text.contains("1 / 1"));
}

#[test]
fn a_long_table_goes_on_with_its_titles_on_every_page() {
    let columns =
        [Column { title: "Day".into(), share: 1.0 }, Column { title: "What".into(), share: 3.0 }];
    let rows: Vec<Vec<String>> =
        (1..=150).map(|n| vec![format!("row{n}"), "worming paste, batch B2291".into()]).collect();
    for (format, size) in
        [(PaperFormat::A4, (595.276, 841.89)), (PaperFormat::Letter, (612.0, 792.0))]
    {
        let mut pages = Pages::new(format, "Table", "");
        pages.table(&columns, &rows);
        let pdf = pages.finish().unwrap();
        let sizes = page_sizes(&pdf);
        assert!(sizes.len() >= 3);
        for (width, height) in &sizes {
            assert!((width - size.0).abs() < 0.01 && (height - size.1).abs() < 0.01);
        }
        let text = text_of(&pdf);
        assert_eq!(text.matches("Day").count(), sizes.len());
        for n in 1..=150 {
            assert!(text.contains(&format!("row{n}")), "row{n}");
        }
    }
}

#[test]
fn a_picture_keeps_its_text_and_loads_nothing_from_outside() {
    let svg = r#"<svg xmlns="http://www.w3.org/2000/svg" width="200" height="100">
        <text x="10" y="20" font-size="12">412 g on day 1</text>
        <image href="/etc/hostname" width="10" height="10"/></svg>"#;
    let mut pages = Pages::new(PaperFormat::A4, "Chart", "");
    pages.picture(svg, &"a chart".into(), 200.0).unwrap();
    // Placed glyph by glyph, words come back without the spaces between them.
    let text: String = text_of(&pages.finish().unwrap()).split_whitespace().collect();
    assert!(text.contains("412gonday1"), "{text}");
    assert!(matches!(logo::check("<svg"), Err(PdfError::NoSvg(_))));
}

//! The HTML of mails: a head, and parts below it.

use catalogue::{Language, Text};

/// A text within HTML, in an attribute as well.
pub fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// A whole page below a head; what stands below is HTML already.
pub fn page(language: Language, head: &Text, below: &str) -> String {
    let head = escaped(&head.to_string());
    format!(
        "<!DOCTYPE html><html lang=\"{}\"><head><meta charset=\"utf-8\"><title>{head}</title></head>\
         <body><h1>{head}</h1>{below}</body></html>",
        language.tag()
    )
}

/// A paragraph.
pub fn paragraph(text: &Text) -> String {
    format!("<p>{}</p>", escaped(&text.to_string()))
}

/// A paragraph that is a link.
pub fn link(address: &str, words: &Text) -> String {
    format!("<p><a href=\"{}\">{}</a></p>", escaped(address), escaped(&words.to_string()))
}

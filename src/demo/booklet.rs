//! The kennel's own words and logo in its pups' booklets.

use super::book::Book;
use domain::record::BookletTexts;
use store::{StoreResult, booklets, keep::Seen};

/// A lark on a hill, drawn for this demo.
const LOGO: &str = include_str!("logo.svg");

/// Writes the words.
pub async fn load(book: &mut Book<'_>) -> StoreResult<()> {
    let text = |text: &str| Some(text.to_owned());
    let texts = BookletTexts {
        welcome: text(
            "Thank you for giving one of ours a home. Everything we know of your pup is in here; \
             what we do not know says so.",
        ),
        feeding: text(
            "Four meals a day until three months of age, then three, from six months on two. We \
             give the bag of food that the pup knows along; change to another over a week, a \
             little more each day. Fresh water stands always.",
        ),
        care: text(
            "A pup sleeps eighteen hours and more. Short walks, no stairs, no long runs beside a \
             bicycle in the first year. It knows the brush, the car and the vacuum cleaner.",
        ),
        contact: text(
            "Maren Holt, Larkfell Kennel, maren@example.org. Call at any hour in the first week.",
        ),
        logo_svg: text(LOGO),
    };
    booklets::set_texts(book.tx(), &texts, Seen::Version(0)).await
}

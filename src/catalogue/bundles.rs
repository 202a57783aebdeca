//! The files of the languages, read once.

use crate::{Language, Value, figures};
use fluent_bundle::{FluentArgs, FluentResource, concurrent::FluentBundle};
use std::sync::LazyLock;
use unic_langid::LanguageIdentifier;

type Bundle = FluentBundle<FluentResource>;

/// The file of a language.
pub fn source(language: Language) -> &'static str {
    match language {
        Language::English => include_str!("en.ftl"),
        Language::German => include_str!("de.ftl"),
    }
}

static BUNDLES: LazyLock<Vec<Bundle>> =
    LazyLock::new(|| Language::ALL.into_iter().map(bundle).collect());

/// Entries that cannot be read are left out here; a test says which.
fn bundle(language: Language) -> Bundle {
    let tag: LanguageIdentifier = language.tag().parse().unwrap_or_default();
    let mut bundle = Bundle::new_concurrent(vec![tag]);
    // Marks around each value would be for texts of mixed directions; these go into prints and files.
    bundle.set_use_isolating(false);
    bundle.set_formatter(Some(figures::number));
    let entries = FluentResource::try_new(source(language).to_owned())
        .unwrap_or_else(|(readable, _)| readable);
    bundle.add_resource_overriding(entries);
    bundle
}

/// An entry in a language, in English where that has none; the entry's name where there is none at all.
pub(crate) fn written(language: Language, id: &str, with: &[(&'static str, Value)]) -> String {
    let values = with.iter().map(|(name, value)| (*name, value.for_fluent()));
    let values = FluentArgs::from_iter(values);
    for bundle in [&BUNDLES[language as usize], &BUNDLES[Language::English as usize]] {
        let pattern = bundle.get_message(id).and_then(|message| message.value());
        if let Some(pattern) = pattern {
            return bundle.format_pattern(pattern, Some(&values), &mut Vec::new()).into_owned();
        }
    }
    id.to_owned()
}

/// What a table's row is called in a language other than the table's own.
pub(crate) fn keyed(language: Language, group: &str, key: &str) -> Option<String> {
    if language == Language::English {
        return None;
    }
    let bundle = &BUNDLES[language as usize];
    let pattern = bundle.get_message(&format!("{group}-{}", key.replace('.', "-")))?.value()?;
    Some(bundle.format_pattern(pattern, None, &mut Vec::new()).into_owned())
}

#[cfg(test)]
mod tests {
    use crate::{Language, Text, Value, figure, said, source, speaking};
    use chrono::NaiveDate;

    #[test]
    fn each_file_is_read_without_a_fault() {
        for language in Language::ALL {
            if let Err((_, faults)) = fluent_syntax::parser::parse(source(language)) {
                panic!("{}: {faults:?}", language.tag());
            }
        }
    }

    #[test]
    fn figures_days_and_lists_are_written_the_languages_way() {
        let day = NaiveDate::from_ymd_opt(2026, 5, 7).unwrap_or_default();
        let text = || {
            let parts = ["a", "b", "c"].map(Text::verbatim);
            said!(
                "test-values",
                share = figure(-0.04, 1),
                weight = 312.5,
                day = day,
                parts = Value::all(parts)
            )
        };
        assert_eq!(text(), "0.0, 312.5, 2026-05-07: a, b and c");
        speaking(Language::German, || {
            assert_eq!(text(), "0,0, 312,5, 07.05.2026: a, b und c");
        });
    }

    #[test]
    fn an_entry_that_is_not_there_shows_its_name() {
        assert_eq!(Text::said("no-such-entry", vec![]), "no-such-entry");
    }
}

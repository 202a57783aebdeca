//! Words that may go to the log, since they are the published document's own.
//!
//! A client chooses the names of fields and the segments of paths, and may put a secret there.

use crate::openapi::PUBLISHED;
use std::{collections::HashSet, sync::LazyLock};
use uuid::Uuid;

/// Names of fields and parameters, and segments of paths.
static WORDS: LazyLock<HashSet<&'static str>> = LazyLock::new(|| {
    let lines = PUBLISHED.lines().map(str::trim_start);
    let keys = lines.clone().filter_map(|line| Some(line.strip_prefix('"')?.split_once("\":")?.0));
    let names = lines.filter_map(|line| {
        line.strip_prefix("\"name\": \"")?.trim_end_matches(',').strip_suffix('"')
    });
    keys.chain(names).flat_map(|key| key.split('/')).filter(|word| is_plain(word)).collect()
});

fn is_plain(word: &str) -> bool {
    let plain = |letter: u8| letter.is_ascii_lowercase() || b"0123456789_-.".contains(&letter);
    !word.is_empty() && word.bytes().all(plain)
}

/// Whether this is an id as the service writes it; a secret of as many digits is none.
fn is_id(segment: &str) -> bool {
    segment.len() == 36 && Uuid::try_parse(segment).is_ok()
}

/// A path as it may be logged: ids and the document's own words; `…` for all else.
pub fn path(path: &str) -> String {
    let shown = |segment| match segment {
        "" => segment,
        _ if WORDS.contains(segment) || is_id(segment) => segment,
        _ => "…",
    };
    path.split('/').map(shown).collect::<Vec<_>>().join("/")
}

/// The place of a fault as it may be logged.
pub(crate) fn place(pointer: &str) -> String {
    let shown = |segment| match segment {
        "" => "",
        "#query" => "#query",
        "#path" => "#path",
        "#header" => "#header",
        "#readiness" => "#readiness",
        "#line" => "#line",
        number if number.bytes().all(|letter| letter.is_ascii_digit()) => "0",
        name => WORDS.get(name).copied().unwrap_or("…"),
    };
    pointer.split('/').map(shown).collect::<Vec<_>>().join("/")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_client_chose_is_not_told() {
        assert_eq!(place("/registrations/12/number"), "/registrations/0/number");
        assert_eq!(place("#query/limit"), "#query/limit");
        assert_eq!(place("/hunter2/born_on"), "/…/born_on");
        assert_eq!(place("#query/hunter2"), "#query/…");
        assert_eq!(place(""), "");
    }

    #[test]
    fn secrets_stay_out_of_paths() {
        let id = "0193e7a2-6b5f-7c11-9d55-0a1c52a0b8f4";
        let own = format!("/v1/kennels/{id}/dogs/{id}/growth.svg");
        assert_eq!(path(&own), own);
        assert_eq!(path("/v1/calendars/dwc_secret.ics"), "/v1/calendars/…");
        assert_eq!(path("//v1//booklets/dwb_secret/booklet.pdf"), "//v1//booklets/…/booklet.pdf");
        assert_eq!(path("/v1/Calendars/dwc_secret"), "/v1/…/…");
        assert_eq!(path("/"), "/");
    }
}

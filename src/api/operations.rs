//! Every operation, entered once: into the service that answers, or into the published document.
//!
//! A router asks one pattern after the other, and each is a regular expression, which takes microseconds. So
//! operations are parted by what stands behind the kennel in their path and by the path's length (its family),
//! and within a family by pattern, whose fixed words are compared first: of hundreds one is left to be matched.

use actix_web::{
    Scope,
    dev::HttpServiceFactory,
    guard::{self, GuardContext},
    web,
};
use std::collections::BTreeMap;
use utoipa::openapi::{Components, OpenApi, Paths, RefOr, Schema};
use utoipa_actix_web::OpenApiFactory;

/// Where operations are entered.
pub struct Operations(Entered);

enum Entered {
    Routes(BTreeMap<Family<String>, BTreeMap<String, Scope>>),
    Document { paths: Paths, schemas: BTreeMap<String, RefOr<Schema>> },
}

/// Enters the operations of a file.
pub type Configure = fn(&mut Operations);

impl Operations {
    /// Has the service answer the operations.
    pub fn answer(config: &mut web::ServiceConfig, configure: Configure) {
        let mut operations = Self(Entered::Routes(BTreeMap::new()));
        configure(&mut operations);
        if let Entered::Routes(families) = operations.0 {
            for (family, patterns) in families {
                let all: Vec<String> = patterns.keys().cloned().collect();
                let scope =
                    patterns.into_iter().fold(scope_of(family), |scope, (own, operations)| {
                        let named: Vec<String> = all
                            .iter()
                            .filter(|other| is_named_place_of(other, &own))
                            .cloned()
                            .collect();
                        scope.service(operations.guard(guard::fn_guard(move |context| {
                            let path = context.head().uri.path();
                            fits(&own, path) && !named.iter().any(|named| fits(named, path))
                        })))
                    });
                config.service(scope);
            }
        }
    }

    /// Describes the operations in a document.
    pub(crate) fn describe(document: &mut OpenApi, configure: Configure) {
        let (paths, schemas) = (Paths::new(), BTreeMap::new());
        let mut operations = Self(Entered::Document { paths, schemas });
        configure(&mut operations);
        if let Entered::Document { paths, schemas } = operations.0 {
            document.paths.merge(paths);
            document.components.get_or_insert_with(Components::new).schemas.extend(schemas);
        }
    }

    /// Enters one operation.
    pub fn service<F>(&mut self, operation: F) -> &mut Self
    where
        F: HttpServiceFactory + OpenApiFactory + 'static,
    {
        match &mut self.0 {
            Entered::Routes(families) => {
                let own = operation.paths();
                let path = own.paths.keys().next().map_or("", String::as_str);
                let (word, segments) = family_of(path);
                let patterns = families.entry((word.to_owned(), segments)).or_default();
                let scope = patterns.remove(path).unwrap_or_else(|| web::scope(""));
                patterns.insert(path.to_owned(), scope.service(operation));
            }
            Entered::Document { paths, schemas } => {
                paths.merge(operation.paths());
                let mut own = Vec::new();
                operation.schemas(&mut own);
                schemas.extend(own);
            }
        }
        self
    }

    /// Enters the operations of another file.
    pub fn configure(&mut self, configure: Configure) -> &mut Self {
        configure(self);
        self
    }
}

/// A word of the path, and how many segments the path has.
pub type Family<Word> = (Word, usize);

/// The word behind the kennel in a path, or behind the edition where there is no kennel; and the number
/// of segments.
pub fn family_of(path: &str) -> Family<&str> {
    let mut segments = path.split('/').skip(1);
    let count = segments.clone().count();
    let first = segments.next().unwrap_or_default();
    if first != "v1" {
        return (first, count);
    }
    let second = segments.next().unwrap_or_default();
    if second != "kennels" {
        return (second, count);
    }
    (segments.nth(1).unwrap_or(second), count)
}

/// The family of a request, found by the first that is asked for it and told to all others.
struct OwnFamily(Family<String>);

fn is_of(context: &GuardContext<'_>, family: &Family<String>) -> bool {
    if let Some(OwnFamily(own)) = context.req_data().get() {
        return own == family;
    }
    let (word, segments) = family_of(context.head().uri.path());
    let own = (word.to_owned(), segments);
    let is_of = own == *family;
    context.req_data_mut().insert(OwnFamily(own));
    is_of
}

fn scope_of(family: Family<String>) -> Scope {
    web::scope("").guard(guard::fn_guard(move |context| is_of(context, &family)))
}

/// Whether a path is one of a pattern, in which `{…}` stands for any segment. From the end, where patterns differ.
pub fn fits(pattern: &str, path: &str) -> bool {
    let (mut wanted, mut given) = (pattern.rsplit('/'), path.rsplit('/'));
    loop {
        match (wanted.next(), given.next()) {
            (Some(word), Some(own)) if word == own => {}
            (Some(word), Some(own)) if word.starts_with('{') && !own.is_empty() => {}
            (None, None) => return true,
            _ => return false,
        }
    }
}

/// Whether `path` has a name where `pattern` has a variable (`/health-plans/standard`), and is the same elsewhere:
/// what is asked for there is never taken for an id, whatever the method.
fn is_named_place_of(path: &str, pattern: &str) -> bool {
    let variables = |pattern: &str| pattern.matches('{').count();
    variables(path) < variables(pattern) && fits(pattern, path)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_and_what_is_asked_for_are_of_one_family() {
        for (path, word, count) in [
            ("/v1/kennels/{kennel_id}/dogs/{dog_id}/weights", "dogs", 6),
            ("/v1/kennels/0193e7a2-6b5f-7c11-9d55-0a1c52a0b8f4/dogs", "dogs", 4),
            ("/v1/kennels/{kennel_id}", "kennels", 3),
            ("/v1/kennels/archive", "kennels", 3),
            ("/v1/kennels", "kennels", 2),
            ("/v1/auth/login", "auth", 3),
            ("/health/live", "health", 2),
            ("/openapi.json", "openapi.json", 1),
            ("/", "", 1),
            ("", "", 0),
        ] {
            assert_eq!(family_of(path), (word, count), "{path}");
        }
    }

    #[test]
    fn a_path_fits_a_pattern_segment_by_segment() {
        let pattern = "/v1/kennels/{kennel_id}/dogs/{dog_id}/weights";
        for (path, fits_it) in [
            ("/v1/kennels/a/dogs/b/weights", true),
            ("/v1/kennels/a/dogs/weights/weights", true),
            ("/v1/kennels/a/dogs//weights", false),
            ("/v1/kennels/a/dogs/b/weights/", false),
            ("/v1/kennels/a/dogs/b/c/weights", false),
            ("/kennels/a/dogs/b/weights", false),
            ("v1/kennels/a/dogs/b/weights", false),
            ("/v1/kennels/a/dogs/b/growth", false),
        ] {
            assert_eq!(fits(pattern, path), fits_it, "{path}");
        }
    }

    #[test]
    fn a_name_in_the_place_of_an_id_is_no_id() {
        let of_one = "/v1/kennels/{kennel_id}/health-plans/{plan_id}";
        assert!(is_named_place_of("/v1/kennels/{kennel_id}/health-plans/standard", of_one));
        assert!(!is_named_place_of(of_one, of_one));
        assert!(!is_named_place_of(of_one, "/v1/kennels/{kennel_id}/health-plans/standard"));
        assert!(!is_named_place_of("/v1/kennels/{kennel_id}/health-plans", of_one));
    }
}

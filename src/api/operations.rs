//! Every operation, entered once: into the service that answers, or into the published document.
//!
//! A router asks one pattern after the other. So that a request is held against a dozen of them instead
//! of hundreds, operations are parted by what stands behind the kennel in their path, and by the path's
//! length: its family.

use actix_web::{Scope, dev::HttpServiceFactory, guard, web};
use std::collections::BTreeMap;
use utoipa::openapi::{Components, OpenApi, Paths, RefOr, Schema};
use utoipa_actix_web::OpenApiFactory;

/// Where operations are entered.
pub struct Operations(Entered);

enum Entered {
    Routes(BTreeMap<Family<String>, Scope>),
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
            for scope in families.into_values() {
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
                let family = (word.to_owned(), segments);
                let scope = families.remove(&family).unwrap_or_else(|| scope_of(family.clone()));
                families.insert(family, scope.service(operation));
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

fn scope_of((word, count): Family<String>) -> Scope {
    web::scope("").guard(guard::fn_guard(move |context| {
        family_of(context.head().uri.path()) == (word.as_str(), count)
    }))
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
}

//! What the published document says of paths and methods, for requests that no operation takes.

use actix_web::{
    HttpRequest, HttpResponse,
    http::{Method, header},
};
use api::{
    operations::{Family, family_of, fits},
    problem::{Kind, Problem},
};
use catalogue::said;
use serde::{Deserialize, de::IgnoredAny};
use std::{
    collections::{BTreeMap, HashMap},
    future::{Ready, ready},
    io,
    sync::Arc,
};

type Explained = Result<HttpResponse, Problem>;

/// The paths of the published document and the methods that each takes, to tell a wrong method from
/// a wrong path.
pub(crate) struct KnownPaths {
    paths: Vec<KnownPath>,
    /// By their family, so that a path is held against a few.
    families: HashMap<Family<String>, Vec<usize>>,
}

struct KnownPath {
    pattern: String,
    methods: Vec<Method>,
}

impl KnownPaths {
    /// Those of this document.
    ///
    /// # Errors
    /// When it is none.
    pub fn of(document: &str) -> io::Result<Self> {
        #[derive(Deserialize)]
        struct Paths {
            // By name of the method; what else stands there is not kept in memory.
            paths: BTreeMap<String, BTreeMap<String, IgnoredAny>>,
        }
        let Paths { paths } = serde_json::from_str(document)?;
        let paths = paths.into_iter().map(|(pattern, item)| {
            let methods = [Method::GET, Method::POST, Method::PUT, Method::PATCH, Method::DELETE];
            let taken = |method: &Method| item.contains_key(&method.as_str().to_ascii_lowercase());
            KnownPath { pattern, methods: methods.into_iter().filter(taken).collect() }
        });
        let paths: Vec<KnownPath> = paths.collect();
        let mut families: HashMap<Family<String>, Vec<usize>> = HashMap::new();
        for (index, known) in paths.iter().enumerate() {
            let (word, segments) = family_of(&known.pattern);
            families.entry((word.to_owned(), segments)).or_default().push(index);
        }
        Ok(Self { paths, families })
    }

    /// The pattern that a path fits.
    pub(crate) fn pattern(&self, path: &str) -> Option<&str> {
        Some(self.fitting(path)?.pattern.as_str())
    }

    fn fitting(&self, path: &str) -> Option<&KnownPath> {
        let (word, segments) = family_of(path);
        let family = self.families.get(&(word.to_owned(), segments))?;
        let fitting = family.iter().filter_map(|index| self.paths.get(*index));
        let fitting = fitting.filter(|known| fits(&known.pattern, path));
        fitting.min_by_key(|known| known.pattern.matches('{').count())
    }

    /// Answers whatever no operation took.
    pub(crate) fn explanation(
        self: &Arc<Self>,
    ) -> impl Fn(HttpRequest) -> Ready<Explained> + Clone + use<> {
        let known = Arc::clone(self);
        move |request| ready(Err(known.explain(&request)))
    }

    fn explain(&self, request: &HttpRequest) -> Problem {
        match self.fitting(request.path()) {
            Some(known) => {
                let methods: Vec<&str> = known.methods.iter().map(Method::as_str).collect();
                let allowed = methods.join(", ");
                Problem::new(Kind::WrongMethod, said!("problem-wrong-method", methods = &allowed))
                    .with_header(header::ALLOW, allowed)
            }
            None => Problem::no_such_path(),
        }
    }
}

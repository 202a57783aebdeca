//! What the published document says of paths and methods, for requests that no operation takes.

use actix_web::{
    HttpRequest, HttpResponse,
    dev::ResourceDef,
    guard,
    http::{Method, header},
    web,
};
use api::{
    operations::{Family, family_of},
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
    path: ResourceDef,
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
            KnownPath {
                path: ResourceDef::new(pattern.as_str()),
                pattern,
                methods: methods.into_iter().filter(taken).collect(),
            }
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
        let fitting = fitting.filter(|known| known.path.is_match(path));
        fitting.min_by_key(|known| known.pattern.matches('{').count())
    }

    /// Refuses other methods at a path with a fixed name in the place of an id
    /// (`/health-plans/standard`), before they are taken for those of the path with the id.
    pub(crate) fn refuse_wrong_methods(self: &Arc<Self>, config: &mut web::ServiceConfig) {
        let fits = |known: &&KnownPath| {
            self.paths.iter().any(|other| is_named_place_of(&other.pattern, &known.pattern))
        };
        for known in self.paths.iter().filter(fits) {
            let methods = known.methods.clone();
            let is_wrong =
                guard::fn_guard(move |context| !methods.contains(&context.head().method));
            config.service(
                web::resource(known.pattern.as_str()).guard(is_wrong).to(self.explanation()),
            );
        }
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

/// Whether `path` has a name where `pattern` has a variable, and is the same elsewhere.
fn is_named_place_of(pattern: &str, path: &str) -> bool {
    let segments = || pattern.split('/').zip(path.split('/'));
    pattern.split('/').count() == path.split('/').count()
        && segments().all(|(wide, narrow)| wide == narrow || wide.starts_with('{'))
        && segments().any(|(wide, narrow)| wide.starts_with('{') && !narrow.starts_with('{'))
}

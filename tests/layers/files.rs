//! The files of the program, each with its place among the modules and its syntax.
//!
//! A file belongs to the program when a module takes it in. What is taken in for tests alone is left out, and
//! that is told by the attribute, wherever it stands.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use syn::punctuated::Punctuated;
use syn::spanned::Spanned;
use syn::{Attribute, Item, ItemMod, Meta, Token};

use crate::names::LAYERS;

/// The folder that all paths count from.
pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Texts by path, such as `src/api/dogs.rs`.
pub type Texts = BTreeMap<String, String>;

/// All files with one of these endings below a folder.
pub fn texts(folder: &str, endings: &[&str]) -> Texts {
    let mut files = Vec::new();
    walk(&root().join(folder), &mut files);
    files
        .retain(|path| path.extension().is_some_and(|e| endings.iter().any(|ending| e == *ending)));
    let name = |path: &Path| path.strip_prefix(root()).unwrap().to_string_lossy().into_owned();
    let found: Texts =
        files.iter().map(|path| (name(path), fs::read_to_string(path).unwrap())).collect();
    assert!(!found.is_empty(), "no {endings:?} below {folder}");
    found
}

/// All files below a folder.
pub fn walk(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() { walk(&path, files) } else { files.push(path) }
    }
}

/// A module of the program: a file of its own, or a part of one.
pub struct Module {
    /// Its full name, such as `api::body::read`.
    pub name: String,
    /// The file that it stands in.
    pub path: String,
    /// What stands in it, without what is for tests alone; modules inside stand for themselves.
    pub items: Vec<Item>,
}

/// What the files are when they are put together.
pub struct Program {
    /// All modules.
    pub modules: Vec<Module>,
    /// Files that no module takes in, or a module of another crate.
    pub astray: Vec<String>,
}

impl Program {
    /// Follows the modules from the root of each crate.
    pub fn of(texts: &Texts) -> Self {
        let mut reader =
            Reader { texts, modules: Vec::new(), taken: BTreeSet::new(), astray: Vec::new() };
        for path in texts.keys() {
            if let Some(name) = crate_rooted_at(path) {
                let folder = path.rsplit_once('/').unwrap().0;
                reader.file(path, &name, folder, true);
            }
        }
        let mut astray = reader.astray;
        astray.extend(texts.keys().filter(|path| !reader.taken.contains(*path)).cloned());
        Self { modules: reader.modules, astray }
    }
}

/// The crate whose root a file is: `src/api/lib.rs` that of `api`.
fn crate_rooted_at(path: &str) -> Option<String> {
    match path.split('/').collect::<Vec<_>>()[..] {
        ["src", "lib.rs"] => Some("denwright".to_owned()),
        ["src", "main.rs"] => Some("main".to_owned()),
        ["src", layer, "lib.rs"] => Some(layer.to_owned()),
        _ => None,
    }
}

/// The layer a file belongs to by its folder; the program's own files belong to none.
fn layer(path: &str) -> Option<&str> {
    let (layer, _) = path.strip_prefix("src/")?.split_once('/')?;
    LAYERS.contains(&layer).then_some(layer)
}

struct Reader<'a> {
    texts: &'a Texts,
    modules: Vec<Module>,
    taken: BTreeSet<String>,
    astray: Vec<String>,
}

impl Reader<'_> {
    /// Reads a file as the module `name`, whose own modules lie in `folder`; `kept` when it is not for tests.
    fn file(&mut self, path: &str, name: &str, folder: &str, kept: bool) {
        self.taken.insert(path.to_owned());
        let file = syn::parse_file(&self.texts[path])
            .unwrap_or_else(|error| panic!("{path}:{}: {error}", error.span().start().line));
        let kept = kept && !for_tests(&file.attrs);
        self.module(path, name, folder, file.items, kept);
    }

    fn module(&mut self, path: &str, name: &str, folder: &str, items: Vec<Item>, kept: bool) {
        let (modules, mut items): (Vec<Item>, Vec<Item>) =
            items.into_iter().partition(|item| matches!(item, Item::Mod(_)));
        for item in modules {
            let Item::Mod(inner) = item else { continue };
            let inner_name = format!("{name}::{}", inner.ident);
            let kept = kept && !for_tests(&inner.attrs);
            let inner_folder = format!("{folder}/{}", inner.ident);
            let file = self.file_of(&inner, path, folder);
            match (inner.content, file) {
                (Some((_, items)), _) => self.module(path, &inner_name, &inner_folder, items, kept),
                (None, Some((file, below))) => {
                    if layer(&file) != layer(path) {
                        self.astray.push(format!("{file}, taken in by {path}"));
                    }
                    self.file(&file, &inner_name, &below, kept);
                }
                (None, None) => {
                    self.astray.push(format!("{path}: there is no file of {inner_name}"))
                }
            }
        }
        if kept {
            items.retain(|item| !attributes(item).is_some_and(for_tests));
            self.modules.push(Module { name: name.to_owned(), path: path.to_owned(), items });
        }
    }

    /// The file that `mod name;` takes in, and the folder of that one's own modules.
    fn file_of(&self, module: &ItemMod, path: &str, folder: &str) -> Option<(String, String)> {
        let named = module.attrs.iter().find_map(|attribute| match &attribute.meta {
            Meta::NameValue(pair) if pair.path.is_ident("path") => literal_text(&pair.value),
            _ => None,
        });
        if let Some(named) = named {
            let beside = path.rsplit_once('/').unwrap().0;
            let file = plain(&format!("{beside}/{named}"));
            let below = file.rsplit_once('/').unwrap().0.to_owned();
            return self.texts.contains_key(&file).then_some((file, below));
        }
        let below = format!("{folder}/{}", module.ident);
        let files = [format!("{below}.rs"), format!("{below}/mod.rs")];
        files.into_iter().find(|file| self.texts.contains_key(file)).map(|file| (file, below))
    }
}

/// A path without `.` and `..`.
fn plain(path: &str) -> String {
    let mut parts = Vec::new();
    for part in path.split('/') {
        match part {
            "." => {}
            ".." => drop(parts.pop()),
            part => parts.push(part),
        }
    }
    parts.join("/")
}

/// The text of a literal.
pub fn literal_text(value: &syn::Expr) -> Option<String> {
    match value {
        syn::Expr::Lit(syn::ExprLit { lit: syn::Lit::Str(text), .. }) => Some(text.value()),
        _ => None,
    }
}

/// Whether something is there for tests alone: `#[test]`, `#[tokio::test]`, `#[cfg(test)]`,
/// `#[cfg(all(test, …))]`; not `#[cfg(any(test, …))]` or `#[cfg(not(test))]`.
pub fn for_tests(attributes: &[Attribute]) -> bool {
    attributes.iter().any(|attribute| {
        let path = attribute.path();
        if path.is_ident("cfg") {
            attribute.parse_args::<Meta>().is_ok_and(|meta| needs_tests(&meta))
        } else {
            path.segments.last().is_some_and(|last| last.ident == "test")
        }
    })
}

/// Whether a condition can hold in tests alone.
fn needs_tests(condition: &Meta) -> bool {
    let parts = |list: &syn::MetaList| {
        list.parse_args_with(Punctuated::<Meta, Token![,]>::parse_terminated).unwrap_or_default()
    };
    match condition {
        Meta::Path(path) => path.is_ident("test"),
        Meta::List(list) if list.path.is_ident("all") => parts(list).iter().any(needs_tests),
        Meta::List(list) if list.path.is_ident("any") => parts(list).iter().all(needs_tests),
        _ => false,
    }
}

/// The attributes of an item; of what has none, nothing.
pub fn attributes(item: &Item) -> Option<&[Attribute]> {
    Some(match item {
        Item::Const(item) => &item.attrs,
        Item::Enum(item) => &item.attrs,
        Item::ExternCrate(item) => &item.attrs,
        Item::Fn(item) => &item.attrs,
        Item::ForeignMod(item) => &item.attrs,
        Item::Impl(item) => &item.attrs,
        Item::Macro(item) => &item.attrs,
        Item::Mod(item) => &item.attrs,
        Item::Static(item) => &item.attrs,
        Item::Struct(item) => &item.attrs,
        Item::Trait(item) => &item.attrs,
        Item::TraitAlias(item) => &item.attrs,
        Item::Type(item) => &item.attrs,
        Item::Union(item) => &item.attrs,
        Item::Use(item) => &item.attrs,
        _ => return None,
    })
}

/// The line that something begins on.
pub fn line(of: &impl Spanned) -> usize {
    of.span().start().line
}

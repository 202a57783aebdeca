//! What a name means where it is used: through groups, renamings, re-exports, globs and aliases, over all
//! crates of the program.

use std::collections::{BTreeMap, BTreeSet};

use syn::{Item, UseTree};

use crate::files::Program;

/// A full name in parts, such as `["chrono", "Utc", "now"]`.
pub type Name = Vec<String>;

/// How many renamings of renamings are followed.
const DEPTH: usize = 12;

/// The crates that hold one layer each.
pub const LAYERS: [&str; 11] = [
    "api",
    "cluster",
    "demo",
    "documents",
    "domain",
    "files",
    "metrics",
    "outgoing",
    "postgres",
    "security",
    "store",
];

/// What the names of one module or block stand for. A type and a function may share a name.
#[derive(Default)]
pub struct Scope {
    /// What is brought in under a name.
    bound: BTreeMap<String, BTreeSet<Name>>,
    /// What is made right here.
    made: BTreeSet<String>,
    /// Everything of these.
    globs: Vec<Name>,
}

impl Scope {
    /// What items bring in or make.
    pub fn of<'a>(items: impl IntoIterator<Item = &'a Item>) -> Self {
        let mut scope = Self::default();
        for item in items {
            scope.take(item);
        }
        scope
    }

    fn take(&mut self, item: &Item) {
        let made = match item {
            Item::Use(item) => {
                for (name, full) in leaves(&item.tree) {
                    match name {
                        Some(name) => self.bind(name, full),
                        None => self.globs.push(full),
                    }
                }
                return;
            }
            Item::ExternCrate(item) => {
                let name = item.rename.as_ref().map_or(&item.ident, |(_, name)| name);
                return self.bind(plain(name), vec![plain(&item.ident)]);
            }
            // Another name for one type is a renaming as well.
            Item::Type(item) => {
                if let syn::Type::Path(path) = &*item.ty
                    && path.qself.is_none()
                {
                    return self.bind(plain(&item.ident), parts(&path.path));
                }
                &item.ident
            }
            Item::Const(item) => &item.ident,
            Item::Enum(item) => &item.ident,
            Item::Fn(item) => &item.sig.ident,
            Item::Mod(item) => &item.ident,
            Item::Static(item) => &item.ident,
            Item::Struct(item) => &item.ident,
            Item::Trait(item) => &item.ident,
            _ => return,
        };
        self.made.insert(plain(made));
    }

    fn bind(&mut self, name: String, full: Name) {
        self.bound.entry(name).or_default().insert(full);
    }

    fn has(&self, name: &str) -> bool {
        self.bound.contains_key(name) || self.made.contains(name)
    }
}

/// The parts of a path without what stands in angle brackets.
pub fn parts(path: &syn::Path) -> Name {
    path.segments.iter().map(|segment| plain(&segment.ident)).collect()
}

/// A name without the mark of a raw one.
pub fn plain(ident: &proc_macro2::Ident) -> String {
    let name = ident.to_string();
    name.strip_prefix("r#").map_or_else(|| name.clone(), str::to_owned)
}

/// Each name that a `use` brings in, and in full; without a name what a glob takes from.
pub fn leaves(tree: &UseTree) -> Vec<(Option<String>, Name)> {
    let mut found = Vec::new();
    spread(tree, &mut Vec::new(), &mut found);
    found
}

fn spread(tree: &UseTree, before: &mut Name, found: &mut Vec<(Option<String>, Name)>) {
    match tree {
        UseTree::Path(path) => {
            before.push(plain(&path.ident));
            spread(&path.tree, before, found);
            before.pop();
        }
        // `{self}` is the module before it.
        UseTree::Name(name) if name.ident == "self" => {
            found.push((before.last().cloned(), before.clone()));
        }
        UseTree::Name(name) => {
            let name = plain(&name.ident);
            found.push((Some(name.clone()), before.iter().cloned().chain([name]).collect()));
        }
        UseTree::Rename(rename) => {
            let own = (rename.ident != "self").then(|| plain(&rename.ident));
            found.push((Some(plain(&rename.rename)), before.iter().cloned().chain(own).collect()));
        }
        UseTree::Glob(_) => found.push((None, before.clone())),
        UseTree::Group(group) => {
            for tree in &group.items {
                spread(tree, before, found);
            }
        }
    }
}

/// The names of all modules.
pub struct Names {
    scopes: BTreeMap<String, Scope>,
}

/// A question for the meaning of a path, and what was found so far.
struct Search {
    depth: usize,
    found: BTreeSet<Name>,
}

impl Names {
    /// Those of a program.
    pub fn of(program: &Program) -> Self {
        let mut scopes: BTreeMap<String, Scope> =
            program.modules.iter().map(|m| (m.name.clone(), Scope::of(&m.items))).collect();
        let inner: Vec<(String, String)> = scopes
            .keys()
            .filter_map(|name| name.rsplit_once("::"))
            .map(|(parent, own)| (parent.to_owned(), own.to_owned()))
            .collect();
        for (parent, own) in inner {
            scopes.entry(parent).or_default().made.insert(own);
        }
        Self { scopes }
    }

    /// What a path can mean in a module, within the blocks around it (the innermost last). More than one thing
    /// where a type and a function share a name, or a glob of a library may have brought it in.
    pub fn meanings(&self, module: &str, blocks: &[Scope], path: &[String]) -> BTreeSet<Name> {
        let mut search = Search { depth: DEPTH, found: BTreeSet::new() };
        self.follow(module, blocks, path, &mut search);
        search.found
    }

    fn follow(&self, module: &str, blocks: &[Scope], path: &[String], search: &mut Search) {
        let Some(head) = path.first() else { return };
        if search.depth == 0 {
            search.found.insert(path.to_vec());
            return;
        }
        search.depth -= 1;
        if ["crate", "self", "super"].contains(&head.as_str()) {
            self.absolute(&self.rooted(module, path), search);
        } else {
            self.in_blocks(module, blocks, path, search);
        }
        search.depth += 1;
    }

    /// Looks into the blocks from the innermost, then into the module around them.
    fn in_blocks(&self, module: &str, blocks: &[Scope], path: &[String], search: &mut Search) {
        let Some((block, around)) = blocks.split_last() else {
            return self.in_module(module, path, search);
        };
        for glob in &block.globs {
            self.follow(module, around, &joined(glob, path), search);
        }
        if block.made.contains(&path[0]) {
            // What is made in a block has no name outside.
            search.found.insert(path.to_vec());
        }
        match block.bound.get(&path[0]) {
            Some(fulls) => {
                for full in fulls {
                    // `use chrono::Utc;` in a block is read by what stands around it.
                    self.follow(module, around, &joined(full, &path[1..]), search);
                }
            }
            None => self.in_blocks(module, around, path, search),
        }
    }

    /// Follows a name that is used in a module of ours.
    fn in_module(&self, module: &str, path: &[String], search: &mut Search) {
        let (head, rest) = (&path[0], &path[1..]);
        let is_known = self.scopes.get(module).is_some_and(|scope| scope.has(head));
        if !is_known && !rest.is_empty() && self.scopes.contains_key(head) {
            return self.of_module(head, rest, search);
        }
        if is_known {
            return self.of_module(module, path, search);
        }
        // Of a library, of the language itself, or by a glob.
        search.found.insert(path.to_vec());
        self.of_globs(module, path, search);
    }

    /// Follows a name of a module of ours; what the module does not have stays as it was asked for.
    fn of_module(&self, module: &str, path: &[String], search: &mut Search) {
        let (head, rest) = (&path[0], &path[1..]);
        let Some(scope) = self.scopes.get(module) else { return };
        let own: Name = module.split("::").map(str::to_owned).collect();
        for full in scope.bound.get(head).into_iter().flatten() {
            if full[0] == *head {
                // `use time::time;`: the first is the library.
                search.found.insert(joined(full, rest));
                search.found.insert(path.to_vec());
            } else {
                self.follow(module, &[], &joined(full, rest), search);
            }
        }
        let inner = format!("{module}::{head}");
        if scope.made.contains(head) && self.scopes.contains_key(&inner) && !rest.is_empty() {
            return self.of_module(&inner, rest, search);
        }
        if scope.bound.contains_key(head) && !scope.made.contains(head) {
            return;
        }
        search.found.insert(joined(&own, path));
        if !scope.has(head) {
            self.of_globs(module, path, search);
        }
    }

    /// Follows a name into all that a module takes everything from.
    fn of_globs(&self, module: &str, path: &[String], search: &mut Search) {
        let globs = self.scopes.get(module).map_or(&[][..], |scope| &scope.globs);
        for glob in globs.iter().filter(|glob| glob[0] != path[0]) {
            self.follow(module, &[], &joined(glob, path), search);
        }
    }

    /// `crate`, `self` and `super` by the names of the modules. Beyond the root of a crate lie the others.
    fn rooted(&self, module: &str, path: &[String]) -> Name {
        let mut place: Name = module.split("::").map(str::to_owned).collect();
        let mut rest = path;
        while let Some((head, after)) = rest.split_first() {
            match head.as_str() {
                "crate" => place.truncate(1),
                "self" => {}
                "super" => drop(place.pop()),
                _ => break,
            }
            rest = after;
        }
        // `crate::store` where the crate has no such module: the layer, should the crates be one again.
        if let ([own], Some(next)) = (&place[..], rest.first())
            && LAYERS.contains(&next.as_str())
            && !self.scopes.get(own).is_some_and(|scope| scope.has(next))
        {
            place.clear();
        }
        joined(&place, rest)
    }

    /// Follows a name that begins with a crate.
    fn absolute(&self, full: &[String], search: &mut Search) {
        match full.split_first() {
            Some((own, rest)) if !rest.is_empty() && self.scopes.contains_key(own) => {
                self.of_module(own, rest, search);
            }
            _ => drop(search.found.insert(full.to_vec())),
        }
    }
}

fn joined(before: &[String], after: &[String]) -> Name {
    before.iter().chain(after).cloned().collect()
}

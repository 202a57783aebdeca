//! What is said stands in the catalogue, in each language, with the same figures in it; and nothing of it is
//! said by nobody.

use std::collections::{BTreeMap, BTreeSet};

use ::catalogue::{Language, source};
use proc_macro2::{Delimiter, TokenStream, TokenTree};
use syn::visit::Visit;
use syn::{Block, Expr, ExprCall, ExprLit, ExprMethodCall, Lit, LitStr, Macro, Stmt};

use crate::files::{Program, line, literal_text};
use crate::walls::OURS;

/// What the program says: entries with the names given to each.
#[derive(Default)]
pub struct Sayings {
    said: BTreeMap<String, BTreeSet<String>>,
    /// All words that the code has as texts: groups of tables and entries that a macro is given are among them.
    words: BTreeSet<String>,
    /// What is told to a person without an entry, by its place.
    bare: Vec<String>,
    file: String,
}

impl Sayings {
    pub fn of(program: &Program) -> Self {
        let mut sayings = Self::default();
        for module in program.modules.iter().filter(|module| {
            !["src/catalogue/", "src/demo/"].iter().any(|folder| module.path.starts_with(folder))
        }) {
            sayings.file.clone_from(&module.path);
            for item in &module.items {
                sayings.visit_item(item);
            }
        }
        sayings
    }

    /// Finds `said!(...)` in tokens, at any depth: macros hold it, too.
    fn tokens(&mut self, tokens: &TokenStream) {
        let tokens: Vec<TokenTree> = tokens.clone().into_iter().collect();
        for (at, token) in tokens.iter().enumerate() {
            if let TokenTree::Literal(word) = token {
                self.words.insert(word.to_string().trim_matches('"').to_owned());
            }
            let TokenTree::Group(group) = token else { continue };
            let is_said = at >= 2
                && matches!(&tokens[at - 2], TokenTree::Ident(name) if name == "said")
                && matches!(&tokens[at - 1], TokenTree::Punct(mark) if mark.as_char() == '!');
            if is_said && group.delimiter() == Delimiter::Parenthesis {
                self.entry(&group.stream());
            }
            self.tokens(&group.stream());
        }
    }

    /// An entry with the names of its values: `"id", name = value, ...`.
    fn entry(&mut self, tokens: &TokenStream) {
        let tokens: Vec<TokenTree> = tokens.clone().into_iter().collect();
        let Some(TokenTree::Literal(id)) = tokens.first() else { return };
        let names = self.said.entry(id.to_string().trim_matches('"').to_owned()).or_default();
        for three in tokens.windows(3) {
            if let [TokenTree::Punct(comma), TokenTree::Ident(name), TokenTree::Punct(equals)] =
                three
                && comma.as_char() == ','
                && equals.as_char() == '='
            {
                names.insert(name.to_string());
            }
        }
    }

    /// What a person is told must not be words of the code's own.
    fn told(&mut self, words: &Expr) {
        if is_bare(words) {
            self.bare.push(format!("{}:{}", self.file, line(words)));
        }
    }
}

impl<'ast> Visit<'ast> for Sayings {
    fn visit_macro(&mut self, call: &'ast Macro) {
        if call.path.segments.last().is_some_and(|name| name.ident == "said") {
            self.entry(&call.tokens);
        }
        self.tokens(&call.tokens);
    }

    fn visit_lit_str(&mut self, word: &'ast LitStr) {
        self.words.insert(word.value());
    }

    fn visit_expr_call(&mut self, call: &'ast ExprCall) {
        if let Expr::Path(path) = &*call.func {
            let names: Vec<String> =
                path.path.segments.iter().map(|part| part.ident.to_string()).collect();
            let names: Vec<&str> = names.iter().map(String::as_str).collect();
            match names.as_slice() {
                [.., "Text", "said"] => {
                    let id = call.args.first().and_then(literal_text);
                    self.said.extend(id.map(|id| (id, BTreeSet::new())));
                }
                // What the others say goes to the log.
                [.., "Fault" | "Problem", "new" | "fault"]
                | [
                    ..,
                    "StoreError",
                    "Conflict" | "Forbidden" | "Login" | "conflict" | "forbidden" | "login"
                    | "refused",
                ] => {
                    if let Some(words) = call.args.last() {
                        self.told(words);
                    }
                }
                [.., "Caution", "new"] => {
                    for words in call.args.iter().skip(2).take(2) {
                        self.told(words);
                    }
                }
                _ => {}
            }
        }
        syn::visit::visit_expr_call(self, call);
    }

    fn visit_expr_method_call(&mut self, call: &'ast ExprMethodCall) {
        let of_faults = matches!(&*call.receiver, Expr::Path(path) if path.path.is_ident("faults"));
        if of_faults
            && (call.method == "add" || call.method == "unless")
            && let Some(words) = call.args.last()
        {
            self.told(words);
        }
        syn::visit::visit_expr_method_call(self, call);
    }
}

/// Whether words stand here, and not in the catalogue.
fn is_bare(words: &Expr) -> bool {
    let end =
        |block: &Block| matches!(block.stmts.last(), Some(Stmt::Expr(last, None)) if is_bare(last));
    match words {
        Expr::Lit(ExprLit { lit: Lit::Str(text), .. }) => text.value().contains(' '),
        Expr::Macro(call) => call.mac.path.is_ident("format"),
        Expr::MethodCall(call) => is_bare(&call.receiver),
        Expr::Closure(closure) => is_bare(&closure.body),
        Expr::Block(block) => end(&block.block),
        Expr::Reference(to) => is_bare(&to.expr),
        Expr::If(choice) => {
            end(&choice.then_branch)
                || choice.else_branch.as_ref().is_some_and(|(_, other)| is_bare(other))
        }
        Expr::Match(choice) => choice.arms.iter().any(|arm| is_bare(&arm.body)),
        _ => false,
    }
}

/// The entries of a language, each with the names of the values in it.
fn entries(language: Language) -> BTreeMap<String, BTreeSet<String>> {
    let mut entries: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut current = String::new();
    for line in source(language).lines().filter(|line| !line.starts_with('#')) {
        if let Some((id, _)) = line.split_once(" =")
            && id.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_')
        {
            id.clone_into(&mut current);
            assert!(
                entries.insert(current.clone(), BTreeSet::new()).is_none(),
                "{id} stands twice"
            );
        }
        for value in line.split('$').skip(1) {
            let name: String =
                value.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect();
            entries.get_mut(&current).unwrap().insert(name);
        }
    }
    entries
}

/// Entries that the catalogue says by itself, for lists and for its own tests.
const ITS_OWN: [&str; 3] = ["list-and", "list-or", "test-values"];

#[test]
fn what_is_said_has_an_entry_with_no_other_values_in_it() {
    let (sayings, english) = (&OURS.sayings, entries(Language::English));
    assert!(sayings.said.len() > 1_000, "only {}", sayings.said.len());
    let mut wrong = Vec::new();
    for (id, given) in &sayings.said {
        match english.get(id) {
            None => wrong.push(format!("{id} has no entry")),
            Some(_) if id.starts_with("list-") => {}
            Some(wanted) => wrong
                .extend(wanted.difference(given).map(|name| format!("{id}: nobody gives ${name}"))),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn each_entry_is_said_by_somebody() {
    let sayings = &OURS.sayings;
    let english = entries(Language::English);
    let idle: Vec<&String> = english
        .keys()
        .filter(|id| !sayings.words.contains(*id) && !ITS_OWN.contains(&id.as_str()))
        .collect();
    assert!(idle.is_empty(), "nobody says {idle:#?}");
}

#[test]
fn each_language_has_each_entry_with_the_same_values() {
    let (sayings, english) = (&OURS.sayings, entries(Language::English));
    for language in Language::ALL.into_iter().skip(1) {
        let theirs = entries(language);
        let mut wrong = Vec::new();
        for (id, names) in &english {
            match theirs.get(id) {
                None => wrong.push(format!("{id} is missing")),
                Some(own) if own != names => wrong.push(format!("{id}: {own:?}, not {names:?}")),
                Some(_) => {}
            }
        }
        // Rows of tables have their English in the table.
        let of_a_table =
            |id: &str| id.match_indices('-').any(|(at, _)| sayings.words.contains(&id[..at]));
        let more = theirs.keys().filter(|id| !english.contains_key(*id) && !of_a_table(id));
        wrong.extend(more.map(|id| format!("{id} is in no table, and not English")));
        assert!(wrong.is_empty(), "{}:\n{}", language.tag(), wrong.join("\n"));
    }
}

#[test]
fn nobody_is_told_words_of_the_code() {
    let bare = &OURS.sayings.bare;
    assert!(bare.is_empty(), "words that are in no catalogue:\n{}", bare.join("\n"));
}

/// The ways in which words would stand in the code, and those in which they stand in the catalogue.
#[test]
fn words_of_the_code_are_seen() {
    let text = r#"
        fn told(faults: &mut Faults) {
            faults.add("/a", "is wrong");
            faults.add("/a", format!("is {n}"));
            faults.unless(good, "/a", || "is wrong".to_owned());
            faults.unless(good, "/a", || match x { A => said!("a"), B => "is wrong".into() });
            faults.add("/a", if x { said!("a") } else { "is wrong".into() });
            Fault::new("/a", "is wrong");
            StoreError::refused("/a", "is wrong");
            Caution::new(code, level, "She is ill.", said!("b"), "a source of it");
            faults.add("/a", said!("c", day = on, list = Value::all(vec![said!("d", e = 1)])));
            Fault::new("/a", detail);
        }
    "#;
    let program = Program::of(&[("src/lib.rs".to_owned(), text.to_owned())].into());
    let sayings = Sayings::of(&program);
    let lines: Vec<&str> =
        sayings.bare.iter().map(|place| place.split(':').nth(1).unwrap()).collect();
    assert_eq!(lines.len(), 8, "{lines:?}");
    let names = |id: &str| sayings.said[id].iter().cloned().collect::<Vec<_>>();
    assert_eq!(names("c"), ["day", "list"]);
    assert_eq!(names("d"), ["e"]);
    assert_eq!(sayings.said.keys().collect::<Vec<_>>(), ["a", "b", "c", "d"]);
}

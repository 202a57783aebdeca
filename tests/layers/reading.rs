//! What the code of a program names, and where: every path by its full name, every method, every text.

use proc_macro2::TokenStream;
use syn::visit::{self, Visit};
use syn::{Attribute, Block, ExprMethodCall, ImplItem, Item, Meta, QSelf, Stmt, TraitItem};

use crate::files::{Module, Program, Texts, attributes, for_tests, line};
use crate::names::{Name, Names, Scope, leaves, parts, plain};
use crate::tokens;

/// Something that is named somewhere.
#[derive(Debug)]
pub struct Mention {
    /// In full, such as `chrono::Utc::now`; a macro with its mark, `std::println!`; a method by `.elapsed`;
    /// `async` for the word itself.
    pub name: String,
    /// The file.
    pub path: String,
    /// The line in it.
    pub line: usize,
}

impl Mention {
    /// The crate whose code it is in.
    pub fn is_in(&self, folder: &str) -> bool {
        self.path.strip_prefix(folder).is_some_and(|rest| rest.starts_with('/'))
    }

    /// Whether it lies in what `whole` names, or is it.
    pub fn is_of(&self, whole: &str) -> bool {
        self.name.strip_prefix(whole).is_some_and(|rest| rest.is_empty() || rest.starts_with("::"))
    }

    /// Whether these parts stand in its name: `thread::Builder` in `std::thread::Builder::new`.
    pub fn has(&self, parts: &str) -> bool {
        format!("::{}::", self.name).contains(&format!("::{parts}::"))
    }

    /// Where it is and what.
    pub fn told(&self) -> String {
        format!("{}:{}: {}", self.path, self.line, self.name)
    }
}

/// A text in the code.
pub struct Literal {
    /// What it says.
    pub text: String,
    /// The file.
    pub path: String,
    /// The line in it.
    pub line: usize,
}

/// A line for the log.
pub struct Logged {
    /// The words in it that stand for values, also those in braces within its text.
    pub words: Vec<String>,
    /// The file.
    pub path: String,
    /// The line in it.
    pub line: usize,
}

/// All that the code outside tests names.
#[derive(Default)]
pub struct Reading {
    /// What is written to the log.
    pub logged: Vec<Logged>,
    /// Paths, methods, macros.
    pub mentions: Vec<Mention>,
    /// Texts, without documentation and what attributes say.
    pub literals: Vec<Literal>,
}

impl Reading {
    /// Reads a program.
    pub fn of(program: &Program) -> Self {
        let names = Names::of(program);
        let mut reading = Self::default();
        for module in &program.modules {
            let mut reader =
                Reader { names: &names, module, blocks: Vec::new(), reading: &mut reading };
            for item in &module.items {
                reader.visit_item(item);
            }
        }
        reading
    }

    /// Reads texts by path.
    pub fn of_texts(texts: &Texts) -> Self {
        Self::of(&Program::of(texts))
    }
}

/// Goes through one module.
pub struct Reader<'a> {
    names: &'a Names,
    module: &'a Module,
    blocks: Vec<Scope>,
    reading: &'a mut Reading,
}

impl Reader<'_> {
    /// Notes what a path means.
    pub fn name(&mut self, path: &[String], line: usize) {
        for meaning in self.names.meanings(&self.module.name, &self.blocks, path) {
            self.note(as_std(meaning), line);
        }
    }

    /// Notes a macro by what its path means, and what it writes to the log.
    pub fn called(&mut self, path: &[String], tokens: &TokenStream, line: usize) {
        for meaning in self.names.meanings(&self.module.name, &self.blocks, path) {
            if meaning[0] == "tracing" {
                let (words, path) = (tokens::values(tokens), self.module.path.clone());
                self.reading.logged.push(Logged { words, path, line });
            }
            self.note(format!("{}!", as_std(meaning)), line);
        }
    }

    /// Notes something by the name that it has already.
    pub fn note(&mut self, name: String, line: usize) {
        let path = self.module.path.clone();
        self.reading.mentions.push(Mention { name, path, line });
    }

    /// Notes a text.
    pub fn text(&mut self, text: String, line: usize) {
        let path = self.module.path.clone();
        self.reading.literals.push(Literal { text, path, line });
    }

    /// Notes what a `use` brings in.
    pub fn brought_in(&mut self, tree: &syn::UseTree) {
        let line = line(tree);
        for (name, mut full) in leaves(tree) {
            if name.is_none() {
                full.push("*".to_owned());
            }
            for meaning in self.names.meanings(&self.module.name, &self.blocks, &full) {
                // `use store;` reaches into it as a longer path does.
                let whole = if meaning.len() == 1 { "::self" } else { "" };
                self.note(as_std(meaning) + whole, line);
            }
        }
    }

    /// Does `work` where these items are known.
    pub fn within(&mut self, scope: Scope, work: impl FnOnce(&mut Self)) {
        self.blocks.push(scope);
        work(self);
        self.blocks.pop();
    }

    /// `<Utc>::now` and `<Utc as Clock>::now` are `Utc::now`.
    fn of_type(&mut self, qself: Option<&QSelf>, path: &syn::Path) {
        if let Some(QSelf { ty, position, .. }) = qself
            && let syn::Type::Path(own) = &**ty
        {
            let rest = path.segments.iter().skip(*position).map(|part| plain(&part.ident));
            let full: Name = parts(&own.path).into_iter().chain(rest).collect();
            self.name(&full, line(path));
        }
    }
}

/// `core` and `alloc` are parts of `std`.
fn as_std(mut name: Name) -> String {
    if ["core", "alloc"].contains(&name[0].as_str()) {
        "std".clone_into(&mut name[0]);
    }
    name.join("::")
}

impl<'ast> Visit<'ast> for Reader<'_> {
    fn visit_item(&mut self, item: &'ast Item) {
        if attributes(item).is_some_and(for_tests) {
            return;
        }
        if let Item::Use(item) = item {
            self.brought_in(&item.tree);
        }
        visit::visit_item(self, item);
    }

    fn visit_impl_item(&mut self, item: &'ast ImplItem) {
        let attributes = match item {
            ImplItem::Fn(item) => &item.attrs[..],
            ImplItem::Const(item) => &item.attrs,
            _ => &[],
        };
        if !for_tests(attributes) {
            visit::visit_impl_item(self, item);
        }
    }

    fn visit_trait_item(&mut self, item: &'ast TraitItem) {
        let attributes = match item {
            TraitItem::Fn(item) => &item.attrs[..],
            _ => &[],
        };
        if !for_tests(attributes) {
            visit::visit_trait_item(self, item);
        }
    }

    fn visit_block(&mut self, block: &'ast Block) {
        let items = block.stmts.iter().filter_map(|statement| match statement {
            Stmt::Item(item) => Some(item),
            _ => None,
        });
        self.within(Scope::of(items), |reader| visit::visit_block(reader, block));
    }

    fn visit_path(&mut self, path: &'ast syn::Path) {
        self.name(&parts(path), line(path));
        visit::visit_path(self, path);
    }

    fn visit_expr_path(&mut self, path: &'ast syn::ExprPath) {
        self.of_type(path.qself.as_ref(), &path.path);
        visit::visit_expr_path(self, path);
    }

    fn visit_type_path(&mut self, path: &'ast syn::TypePath) {
        self.of_type(path.qself.as_ref(), &path.path);
        visit::visit_type_path(self, path);
    }

    fn visit_expr_method_call(&mut self, call: &'ast ExprMethodCall) {
        self.note(format!(".{}", plain(&call.method)), line(&call.method));
        visit::visit_expr_method_call(self, call);
    }

    fn visit_signature(&mut self, signature: &'ast syn::Signature) {
        if let Some(word) = &signature.asyncness {
            self.note("async".to_owned(), line(word));
        }
        visit::visit_signature(self, signature);
    }

    fn visit_expr_async(&mut self, block: &'ast syn::ExprAsync) {
        self.note("async".to_owned(), line(&block.async_token));
        visit::visit_expr_async(self, block);
    }

    fn visit_expr_await(&mut self, waited: &'ast syn::ExprAwait) {
        self.note("async".to_owned(), line(&waited.await_token));
        visit::visit_expr_await(self, waited);
    }

    fn visit_expr_closure(&mut self, closure: &'ast syn::ExprClosure) {
        if let Some(word) = &closure.asyncness {
            self.note("async".to_owned(), line(word));
        }
        visit::visit_expr_closure(self, closure);
    }

    fn visit_macro(&mut self, called: &'ast syn::Macro) {
        self.called(&parts(&called.path), &called.tokens, line(&called.path));
        tokens::read(self, &called.tokens, true);
        tokens::pairs(self, &called.tokens);
    }

    fn visit_attribute(&mut self, attribute: &'ast Attribute) {
        if attribute.path().is_ident("doc") {
            return;
        }
        self.name(&parts(attribute.path()), line(attribute));
        let said = match &attribute.meta {
            Meta::List(list) => list.tokens.clone(),
            _ => TokenStream::new(),
        };
        tokens::read(self, &said, false);
    }

    fn visit_lit_str(&mut self, literal: &'ast syn::LitStr) {
        self.text(literal.value(), literal.span().start().line);
    }
}

//! Whoever changes something takes a turn: handlers of PUT, PATCH and DELETE write by `Db::writing`, which takes the lock
//! of the kennel's writers before any row. One that locks a row first and that lock after it waits for somebody who waits
//! for the row.

use syn::visit::{self, Visit};
use syn::{ExprMethodCall, ExprPath, ItemFn};

use crate::files::Program;
use crate::names::plain;

const METHODS: [&str; 3] = ["put", "patch", "delete"];

/// The handlers that change something and are not known to take a turn.
pub fn out_of_turn(program: &Program) -> Vec<String> {
    let mut found = Vec::new();
    for module in program.modules.iter().filter(|module| module.path.starts_with("src/api/")) {
        let mut reader = Reader { path: &module.path, handler: None, found: &mut found };
        for item in &module.items {
            reader.visit_item(item);
        }
    }
    found
}

struct Reader<'a> {
    path: &'a str,
    /// The handler around that changes something.
    handler: Option<String>,
    found: &'a mut Vec<String>,
}

impl Reader<'_> {
    fn named(&mut self, name: &syn::Ident) {
        if let (Some(handler), "within") = (&self.handler, &*plain(name)) {
            self.found.push(format!("{}: {handler}", self.path));
        }
    }
}

impl<'ast> Visit<'ast> for Reader<'_> {
    fn visit_item_fn(&mut self, function: &'ast ItemFn) {
        let last =
            |attribute: &syn::Attribute| attribute.path().segments.last().map(|s| plain(&s.ident));
        let changes = function.attrs.iter().filter_map(last).any(|name| METHODS.contains(&&*name));
        let around = self.handler.take();
        self.handler = if changes { Some(plain(&function.sig.ident)) } else { around.clone() };
        visit::visit_item_fn(self, function);
        self.handler = around;
    }

    fn visit_expr_method_call(&mut self, call: &'ast ExprMethodCall) {
        self.named(&call.method);
        visit::visit_expr_method_call(self, call);
    }

    fn visit_expr_path(&mut self, path: &'ast ExprPath) {
        if let Some(last) = path.path.segments.last() {
            self.named(&last.ident);
        }
        visit::visit_expr_path(self, path);
    }
}

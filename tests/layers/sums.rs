//! Arithmetic in handlers: what is reckoned belongs to the domain, where it has a test and a source.
//!
//! Arithmetic is `+ - * / %` and what assigns by them, sums of spans of time among it, and the methods that do
//! the same by name. It is none where a text is put together, where a place in a list is reckoned, or where a
//! constant is spelled out (`4 * 1024`).

use proc_macro2::TokenStream;
use syn::punctuated::Punctuated;
use syn::visit::{self, Visit};
use syn::{BinOp, Block, Expr, ImplItem, Item, Lit, Token, UnOp};

use crate::files::{Module, Program, attributes, for_tests, line};
use crate::names::plain;

/// Methods that reckon.
const METHODS: [&str; 20] = [
    "sum",
    "product",
    "pow",
    "powi",
    "powf",
    "sqrt",
    "mul_add",
    "rem_euclid",
    "div_euclid",
    "div_ceil",
    "abs_diff",
    "midpoint",
    "signed_duration_since",
    "duration_since",
    "succ_opt",
    "pred_opt",
    "isqrt",
    "next_multiple_of",
    "abs_sub",
    "hypot",
];

/// How the names of methods begin that reckon within limits, and how they go on: `checked_add_signed`.
const LIMITED: [&str; 4] = ["checked_", "saturating_", "wrapping_", "overflowing_"];
const RECKONED: [&str; 8] = ["add", "sub", "mul", "div", "rem", "neg", "pow", "abs"];

fn is_reckoning(method: &str) -> bool {
    let limited = LIMITED.iter().find_map(|begin| method.strip_prefix(begin));
    METHODS.contains(&method)
        || limited.is_some_and(|rest| RECKONED.iter().any(|begin| rest.starts_with(begin)))
}

/// One place where something is reckoned.
pub struct Sum {
    /// The file.
    pub path: String,
    /// The line in it.
    pub line: usize,
    /// The function.
    pub function: String,
}

/// All arithmetic of the files that handlers stand in, and of those beside them that they call: what stands
/// directly in `src/api`. Below it bodies are read byte by byte and the document is put together.
pub fn in_handlers(program: &Program) -> Vec<Sum> {
    let mut found = Vec::new();
    let is_beside_handlers = |module: &&Module| {
        module.path.strip_prefix("src/api/").is_some_and(|rest| !rest.contains('/'))
    };
    for module in program.modules.iter().filter(is_beside_handlers) {
        let mut reader =
            Reader { path: &module.path, functions: Vec::new(), places: 0, found: &mut found };
        for item in &module.items {
            reader.visit_item(item);
        }
    }
    found
}

struct Reader<'a> {
    path: &'a str,
    /// The functions around, the innermost last.
    functions: Vec<String>,
    /// How many indexes are around.
    places: usize,
    found: &'a mut Vec<Sum>,
}

impl Reader<'_> {
    fn found(&mut self, line: usize) {
        if let (Some(function), 0) = (self.functions.last(), self.places) {
            let function = function.clone();
            self.found.push(Sum { path: self.path.to_owned(), line, function });
        }
    }

    fn within(&mut self, function: &syn::Ident, work: impl FnOnce(&mut Self)) {
        self.functions.push(plain(function));
        work(self);
        self.functions.pop();
    }

    /// What a macro takes is read as expressions; where it is none, as statements.
    fn tokens(&mut self, tokens: &TokenStream) {
        let arguments = Punctuated::<Expr, Token![,]>::parse_terminated;
        if let Ok(arguments) = syn::parse::Parser::parse2(arguments, tokens.clone()) {
            arguments.iter().for_each(|argument| self.visit_expr(argument));
        } else if let Ok(block) = syn::parse2::<Block>(quoted(tokens)) {
            self.visit_block(&block);
        } else {
            self.loose(tokens);
        }
    }

    /// Tokens that are no Rust, as those of `json!`: the values between commas and colons.
    fn loose(&mut self, tokens: &TokenStream) {
        let mut value = TokenStream::new();
        for token in tokens.clone() {
            if let proc_macro2::TokenTree::Punct(punct) = &token
                && [',', ':', ';'].contains(&punct.as_char())
                && punct.spacing() == proc_macro2::Spacing::Alone
            {
                self.value(&std::mem::take(&mut value));
            } else {
                value.extend([token]);
            }
        }
        self.value(&value);
    }

    fn value(&mut self, tokens: &TokenStream) {
        if let Ok(value) = syn::parse2::<Expr>(tokens.clone()) {
            return self.visit_expr(&value);
        }
        for token in tokens.clone() {
            if let proc_macro2::TokenTree::Group(group) = token {
                self.tokens(&group.stream());
            }
        }
    }
}

/// Tokens in braces.
fn quoted(tokens: &TokenStream) -> TokenStream {
    let group = proc_macro2::Group::new(proc_macro2::Delimiter::Brace, tokens.clone());
    [proc_macro2::TokenTree::Group(group)].into_iter().collect()
}

fn reckons(operator: &BinOp) -> bool {
    matches!(
        operator,
        BinOp::Add(_)
            | BinOp::Sub(_)
            | BinOp::Mul(_)
            | BinOp::Div(_)
            | BinOp::Rem(_)
            | BinOp::AddAssign(_)
            | BinOp::SubAssign(_)
            | BinOp::MulAssign(_)
            | BinOp::DivAssign(_)
            | BinOp::RemAssign(_)
    )
}

/// Whether a value is written out here.
fn is_constant(value: &Expr) -> bool {
    match value {
        Expr::Lit(literal) => matches!(literal.lit, Lit::Int(_) | Lit::Float(_)),
        Expr::Binary(sum) => is_constant(&sum.left) && is_constant(&sum.right),
        Expr::Paren(inner) => is_constant(&inner.expr),
        Expr::Unary(inner) => is_constant(&inner.expr),
        _ => false,
    }
}

/// Whether a value shows itself as a text.
fn is_text(value: &Expr) -> bool {
    match value {
        Expr::Lit(literal) => matches!(literal.lit, Lit::Str(_)),
        Expr::Binary(sum) => is_text(&sum.left) || is_text(&sum.right),
        Expr::Paren(inner) => is_text(&inner.expr),
        Expr::Reference(inner) => is_text(&inner.expr),
        Expr::Macro(called) => called.mac.path.is_ident("format"),
        Expr::MethodCall(call) => {
            ["to_string", "to_owned", "as_str"].contains(&call.method.to_string().as_str())
        }
        _ => false,
    }
}

impl<'ast> Visit<'ast> for Reader<'_> {
    fn visit_item(&mut self, item: &'ast Item) {
        if !attributes(item).is_some_and(for_tests) {
            visit::visit_item(self, item);
        }
    }

    fn visit_item_fn(&mut self, item: &'ast syn::ItemFn) {
        self.within(&item.sig.ident, |reader| visit::visit_block(reader, &item.block));
    }

    fn visit_impl_item(&mut self, item: &'ast ImplItem) {
        match item {
            ImplItem::Fn(item) if !for_tests(&item.attrs) => {
                self.within(&item.sig.ident, |reader| visit::visit_block(reader, &item.block));
            }
            _ => {}
        }
    }

    fn visit_item_const(&mut self, _: &'ast syn::ItemConst) {}

    fn visit_expr_binary(&mut self, sum: &'ast syn::ExprBinary) {
        let is_constant = is_constant(&sum.left) && is_constant(&sum.right);
        if reckons(&sum.op) && !is_constant && !is_text(&sum.left) && !is_text(&sum.right) {
            self.found(line(&sum.op));
        }
        visit::visit_expr_binary(self, sum);
    }

    fn visit_expr_unary(&mut self, value: &'ast syn::ExprUnary) {
        if matches!(value.op, UnOp::Neg(_)) && !is_constant(&value.expr) {
            self.found(line(&value.op));
        }
        visit::visit_expr_unary(self, value);
    }

    fn visit_expr_method_call(&mut self, call: &'ast syn::ExprMethodCall) {
        let name = plain(&call.method);
        if is_reckoning(&name) {
            self.found(line(&call.method));
        }
        visit::visit_expr_method_call(self, call);
    }

    fn visit_expr_path(&mut self, path: &'ast syn::ExprPath) {
        // `i64::checked_add` and `Add::add`, called or handed on.
        let parts: Vec<String> = path.path.segments.iter().map(|part| plain(&part.ident)).collect();
        if let [.., owner, name] = &parts[..] {
            let by_trait = ["Add", "Sub", "Mul", "Div", "Rem", "Neg"].contains(&&**owner);
            if by_trait || is_reckoning(name) {
                self.found(line(path));
            }
        }
        visit::visit_expr_path(self, path);
    }

    fn visit_expr_index(&mut self, place: &'ast syn::ExprIndex) {
        self.visit_expr(&place.expr);
        self.places += 1;
        self.visit_expr(&place.index);
        self.places -= 1;
    }

    fn visit_macro(&mut self, called: &'ast syn::Macro) {
        self.tokens(&called.tokens);
    }
}

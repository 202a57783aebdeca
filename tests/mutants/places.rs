//! Where in a file a change can stand behind a switch.

use std::ops::Range;

use proc_macro2::Span;
use syn::spanned::Spanned;
use syn::visit::{self, Visit};
use syn::{
    Arm, BinOp, Block, Expr, ExprBinary, ExprStruct, ExprUnary, ImplItemConst, ImplItemFn,
    ItemConst, ItemFn, ItemStatic, Pat, ReturnType, Signature, TraitItemConst, TraitItemFn,
};

use crate::Genre;

/// A place, by bytes of the file.
#[derive(Debug)]
pub struct Place {
    /// Which kind of change fits it.
    pub genre: Genre,
    /// What a change replaces.
    pub replaced: Range<usize>,
    /// How it is put behind a switch.
    pub way: Way,
}

/// How a change is put behind a switch.
#[derive(Debug)]
pub enum Way {
    /// The whole expression is there twice: with the change and without.
    Twice(Range<usize>),
    /// The function returns before its first statement, here.
    Early(usize),
    /// The arm has a condition, behind its pattern, here.
    Unless(usize),
}

/// The places of a file, outer ones before what is inside of them.
pub fn places(file: &syn::File) -> Vec<Place> {
    let mut finder = Finder::default();
    finder.visit_file(file);
    finder.places
}

#[derive(Default)]
struct Finder {
    places: Vec<Place>,
    /// Within how many constants: a switch asks at the time of running.
    constants: u32,
}

impl Finder {
    fn add(&mut self, genre: Genre, replaced: Range<usize>, way: Way) {
        if self.constants == 0 {
            self.places.push(Place { genre, replaced, way });
        }
    }

    fn constant(&mut self, inside: impl FnOnce(&mut Self)) {
        self.constants += 1;
        inside(self);
        self.constants -= 1;
    }

    fn function(
        &mut self,
        signature: &Signature,
        body: Option<&Block>,
        inside: impl FnOnce(&mut Self),
    ) {
        if signature.constness.is_some() {
            return self.constant(inside);
        }
        if let Some((first, last)) = body.and_then(|body| body.stmts.first().zip(body.stmts.last()))
            && !is_unnamed(&signature.output)
        {
            let (from, to) = (range(first.span()).start, range(last.span()).end);
            self.add(Genre::FnValue, from..to, Way::Early(from));
        }
        inside(self);
    }
}

/// Whether the function's type is known by its body alone, which cannot be two types.
fn is_unnamed(output: &ReturnType) -> bool {
    struct Unnamed(bool);
    impl<'ast> Visit<'ast> for Unnamed {
        fn visit_type_impl_trait(&mut self, _: &'ast syn::TypeImplTrait) {
            self.0 = true;
        }
    }
    let mut unnamed = Unnamed(false);
    unnamed.visit_return_type(output);
    unnamed.0
}

fn range(span: Span) -> Range<usize> {
    span.byte_range()
}

/// Whether an expression is part of a chain with `let`, which no parentheses may part.
fn has_let(expr: &Expr) -> bool {
    match expr {
        Expr::Let(_) => true,
        Expr::Binary(chain) if matches!(chain.op, BinOp::And(_)) => {
            has_let(&chain.left) || has_let(&chain.right)
        }
        _ => false,
    }
}

impl<'ast> Visit<'ast> for Finder {
    fn visit_expr_binary(&mut self, binary: &'ast ExprBinary) {
        if !has_let(&binary.left) && !has_let(&binary.right) {
            let whole = range(binary.span());
            self.add(Genre::BinaryOperator, range(binary.op.span()), Way::Twice(whole));
        }
        visit::visit_expr_binary(self, binary);
    }

    fn visit_expr_unary(&mut self, unary: &'ast ExprUnary) {
        let whole = range(unary.span());
        self.add(Genre::UnaryOperator, range(unary.op.span()), Way::Twice(whole));
        visit::visit_expr_unary(self, unary);
    }

    fn visit_expr_struct(&mut self, fields: &'ast ExprStruct) {
        let whole = range(fields.span());
        for pair in fields.fields.pairs() {
            let mut field = range(pair.value().span());
            if let Some(comma) = pair.punct() {
                field.end = range(comma.span()).end;
            }
            self.add(Genre::StructField, field, Way::Twice(whole.clone()));
        }
        visit::visit_expr_struct(self, fields);
    }

    fn visit_arm(&mut self, arm: &'ast Arm) {
        let whole = range(arm.span());
        match &arm.pat {
            Pat::Guard(guarded) if has_let(&guarded.guard) => {}
            Pat::Guard(guarded) => {
                let guard = range(guarded.guard.span());
                self.add(Genre::MatchArmGuard, guard.clone(), Way::Twice(guard));
            }
            pattern => self.add(Genre::MatchArm, whole, Way::Unless(range(pattern.span()).end)),
        }
        visit::visit_arm(self, arm);
    }

    fn visit_item_fn(&mut self, item: &'ast ItemFn) {
        self.function(&item.sig, Some(&item.block), |finder| visit::visit_item_fn(finder, item));
    }

    fn visit_impl_item_fn(&mut self, item: &'ast ImplItemFn) {
        let inside = |finder: &mut Self| visit::visit_impl_item_fn(finder, item);
        self.function(&item.sig, Some(&item.block), inside);
    }

    fn visit_trait_item_fn(&mut self, item: &'ast TraitItemFn) {
        let inside = |finder: &mut Self| visit::visit_trait_item_fn(finder, item);
        self.function(&item.sig, item.default.as_ref(), inside);
    }

    fn visit_item_const(&mut self, item: &'ast ItemConst) {
        self.constant(|finder| visit::visit_item_const(finder, item));
    }

    fn visit_item_static(&mut self, item: &'ast ItemStatic) {
        self.constant(|finder| visit::visit_item_static(finder, item));
    }

    fn visit_impl_item_const(&mut self, item: &'ast ImplItemConst) {
        self.constant(|finder| visit::visit_impl_item_const(finder, item));
    }

    fn visit_trait_item_const(&mut self, item: &'ast TraitItemConst) {
        self.constant(|finder| visit::visit_trait_item_const(finder, item));
    }

    fn visit_type_array(&mut self, item: &'ast syn::TypeArray) {
        self.constant(|finder| visit::visit_type_array(finder, item));
    }

    fn visit_expr_repeat(&mut self, item: &'ast syn::ExprRepeat) {
        visit::visit_expr(self, &item.expr);
        self.constant(|finder| finder.visit_expr(&item.len));
    }

    fn visit_expr_const(&mut self, item: &'ast syn::ExprConst) {
        self.constant(|finder| visit::visit_expr_const(finder, item));
    }
}

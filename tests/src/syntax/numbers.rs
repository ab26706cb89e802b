//! Decimal literals in code: numbers that may be tuned and have no name.

use proc_macro2::{TokenStream, TokenTree};
use syn::visit::{self, Visit};
use syn::{Item, LitFloat};

use super::{SourceFile, attributes, is_for_tests};

/// A decimal literal and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Number {
    /// Its value.
    pub value: f64,
    /// Line of the file, from 1.
    pub line: usize,
}

impl SourceFile {
    /// Every decimal literal outside tests, those in macro calls too.
    pub fn decimals(&self) -> Vec<Number> {
        let mut finder = Finder::default();
        finder.visit_file(&self.syntax);
        finder.found
    }
}

#[derive(Default)]
struct Finder {
    found: Vec<Number>,
}

impl Finder {
    fn add(&mut self, literal: &LitFloat) {
        let line = literal.span().start().line;
        if let Ok(value) = literal.base10_parse::<f64>() {
            self.found.push(Number { value, line });
        }
    }

    fn add_tokens(&mut self, tokens: TokenStream) {
        for token in tokens {
            match token {
                TokenTree::Group(group) => self.add_tokens(group.stream()),
                TokenTree::Literal(literal) => {
                    let tokens = TokenStream::from(TokenTree::Literal(literal));
                    if let Ok(float) = syn::parse2::<LitFloat>(tokens) {
                        self.add(&float);
                    }
                }
                _ => {}
            }
        }
    }
}

impl<'a> Visit<'a> for Finder {
    fn visit_item(&mut self, item: &'a Item) {
        if !is_for_tests(attributes(item)) {
            visit::visit_item(self, item);
        }
    }

    fn visit_lit_float(&mut self, literal: &'a LitFloat) {
        self.add(literal);
    }

    fn visit_macro(&mut self, call: &'a syn::Macro) {
        self.add_tokens(call.tokens.clone());
    }
}

//! The source files of one crate, read as syntax, for the guards of `tests/arch.rs`.
//!
//! A file knows its place in the tree of modules and whether it is compiled for tests alone.
//! Nothing here knows a rule of the project: rules stand in the tests, with a breach that each must catch.

mod circles;
mod names;
mod numbers;

pub use circles::circles;
pub use numbers::Number;

use std::collections::BTreeMap;
use std::path::Path;

use syn::{Attribute, Item, ItemMod};

/// One source file of a crate.
pub struct SourceFile {
    /// Name relative to the folder of the crate's sources, with `/`.
    pub name: String,
    /// Path of its module, empty for `lib.rs`.
    pub module: Vec<String>,
    /// Whether it is compiled for tests alone.
    pub is_test: bool,
    /// Its syntax.
    pub syntax: syn::File,
}

/// All source files that `lib.rs` leads to.
pub struct Crate {
    /// The files, in the order of their declaration.
    pub files: Vec<SourceFile>,
}

impl Crate {
    /// Reads the crate whose sources lie in `folder`.
    pub fn read(folder: &Path) -> Self {
        let texts: Vec<(String, String)> = beatledger_testkit::files(folder, "rs")
            .into_iter()
            .map(|path| {
                let name = path.strip_prefix(folder).unwrap_or(&path).display().to_string();
                (name, std::fs::read_to_string(&path).unwrap_or_default())
            })
            .collect();
        let texts: Vec<(&str, &str)> = texts.iter().map(|(n, t)| (n.as_str(), t.as_str())).collect();
        Self::parse(&texts)
    }

    /// The crate of these files: name and text of each.
    ///
    /// # Panics
    /// When a file is no Rust or a declared module has no file: then no guard can look at it.
    pub fn parse(texts: &[(&str, &str)]) -> Self {
        let texts: BTreeMap<&str, &str> = texts.iter().copied().collect();
        let mut files = Vec::new();
        add(&texts, "lib.rs".to_owned(), Vec::new(), false, &mut files);
        Self { files }
    }

    /// Files that are compiled outside tests too.
    pub fn product(&self) -> impl Iterator<Item = &SourceFile> {
        self.files.iter().filter(|f| !f.is_test)
    }

    /// The file that holds the module `path`, if that is a module of a file of its own.
    pub fn file_of(&self, path: &[String]) -> Option<usize> {
        self.files.iter().position(|f| f.module == path)
    }
}

fn add(
    texts: &BTreeMap<&str, &str>,
    name: String,
    module: Vec<String>,
    is_test: bool,
    files: &mut Vec<SourceFile>,
) {
    let text = texts.get(name.as_str()).unwrap_or_else(|| panic!("no file {name}"));
    let syntax = syn::parse_file(text).unwrap_or_else(|error| panic!("{name}: {error}"));
    let declared: Vec<(String, Option<String>, bool)> = syntax
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Mod(ItemMod { content: None, ident, attrs, .. }) => {
                Some((ident.to_string(), path_of(attrs), is_test || is_for_tests(attrs)))
            }
            _ => None,
        })
        .collect();
    files.push(SourceFile { name: name.clone(), module: module.clone(), is_test, syntax });
    let folder = match name.as_str() {
        "lib.rs" => String::new(),
        name => match name.strip_suffix("mod.rs") {
            Some(folder) => folder.to_owned(),
            None => format!("{}/", name.trim_end_matches(".rs")),
        },
    };
    let beside = name.rsplit_once('/').map_or(String::new(), |(folder, _)| format!("{folder}/"));
    for (child, elsewhere, child_is_test) in declared {
        let flat = format!("{folder}{child}.rs");
        let nested = format!("{folder}{child}/mod.rs");
        let usual = if texts.contains_key(flat.as_str()) { flat } else { nested };
        let found = elsewhere.map_or(usual, |file| format!("{beside}{file}"));
        let path = module.iter().cloned().chain([child]).collect();
        add(texts, found, path, child_is_test, files);
    }
}

/// The file that `#[path = "..."]` names.
fn path_of(attrs: &[Attribute]) -> Option<String> {
    attrs.iter().find_map(|attr| match &attr.meta {
        syn::Meta::NameValue(pair) if pair.path.is_ident("path") => match &pair.value {
            syn::Expr::Lit(syn::ExprLit { lit: syn::Lit::Str(file), .. }) => Some(file.value()),
            _ => None,
        },
        _ => None,
    })
}

/// Whether an item stands behind `#[cfg(test)]` or is a test.
pub fn is_for_tests(attrs: &[Attribute]) -> bool {
    attrs.iter().any(|attr| match &attr.meta {
        syn::Meta::List(list) if list.path.is_ident("cfg") => {
            list.tokens.clone().into_iter().any(|t| t.to_string() == "test")
        }
        meta => meta.path().is_ident("test"),
    })
}

/// Attributes of an item, where it may have some.
pub fn attributes(item: &Item) -> &[Attribute] {
    match item {
        Item::Const(i) => &i.attrs,
        Item::Enum(i) => &i.attrs,
        Item::Fn(i) => &i.attrs,
        Item::Impl(i) => &i.attrs,
        Item::Macro(i) => &i.attrs,
        Item::Mod(i) => &i.attrs,
        Item::Static(i) => &i.attrs,
        Item::Struct(i) => &i.attrs,
        Item::Trait(i) => &i.attrs,
        Item::Type(i) => &i.attrs,
        Item::Use(i) => &i.attrs,
        _ => &[],
    }
}

//! Which paths a file names, wherever they stand: in `use`, grouped or not, in code, in types, in macros.

use proc_macro2::{TokenStream, TokenTree};
use syn::visit::{self, Visit};
use syn::{Item, ItemUse, UseTree, Visibility};

use super::{Crate, SourceFile, attributes, is_for_tests};

/// A path as it is written, its segments in order.
pub type Segments = Vec<String>;

/// A name brought in by `use`.
pub struct Used {
    /// The path as it is written.
    pub path: Segments,
    /// The name that it gets here; `*` for all names of a module.
    pub name: String,
    /// Whether it is passed on to others.
    pub is_passed_on: bool,
}

impl SourceFile {
    /// Every path that stands in the file outside tests, with those of `use` first.
    pub fn paths(&self) -> Vec<Segments> {
        let mut all: Vec<Segments> = self.used().into_iter().map(|u| u.path).collect();
        all.extend(self.paths_in_code());
        all
    }

    /// What the file brings in by `use` outside tests, at its top or deeper.
    pub fn used(&self) -> Vec<Used> {
        let mut finder = Finder::default();
        finder.visit_file(&self.syntax);
        finder.used
    }

    /// Paths outside `use` and outside tests.
    pub fn paths_in_code(&self) -> Vec<Segments> {
        let mut finder = Finder::default();
        finder.visit_file(&self.syntax);
        finder.paths
    }

    /// Names of the items at the top of the file.
    pub fn defined(&self) -> Vec<String> {
        let name = |item: &Item| match item {
            Item::Const(i) => Some(i.ident.to_string()),
            Item::Enum(i) => Some(i.ident.to_string()),
            Item::Fn(i) => Some(i.sig.ident.to_string()),
            Item::Static(i) => Some(i.ident.to_string()),
            Item::Struct(i) => Some(i.ident.to_string()),
            Item::Trait(i) => Some(i.ident.to_string()),
            Item::Type(i) => Some(i.ident.to_string()),
            _ => None,
        };
        self.syntax.items.iter().filter_map(name).collect()
    }
}

impl Crate {
    /// The files that the file at `index` names, without those that it only passes on to others.
    pub fn named_by(&self, index: usize) -> Vec<usize> {
        let file = &self.files[index];
        let used = file.used();
        let passed_on = |u: &Used| u.is_passed_on && self.is_below(file, &u.path);
        let paths = used.iter().filter(|u| !passed_on(u)).map(|u| &u.path);
        let in_code = file.paths_in_code();
        let mut named: Vec<usize> =
            paths.chain(&in_code).filter_map(|path| self.resolve(&file.module, path, 0)).collect();
        named.sort_unstable();
        named.dedup();
        named.retain(|n| *n != index && !self.files[*n].is_test);
        named
    }

    /// Whether a path leads into a module below that of `file`.
    fn is_below(&self, file: &SourceFile, path: &[String]) -> bool {
        let Some(at) = self.resolve(&file.module, path, 0) else { return false };
        let module = &self.files[at].module;
        module.len() > file.module.len() && module.starts_with(&file.module)
    }

    /// The file in which the thing lives that `path`, written in `module`, names. What a module passes on is
    /// followed to where it is written.
    fn resolve(&self, module: &[String], path: &[String], depth: usize) -> Option<usize> {
        if depth > 8 {
            return None;
        }
        let (mut at, mut rest): (Vec<String>, &[String]) = match path.first()?.as_str() {
            "crate" => (Vec::new(), &path[1..]),
            "self" => (module.to_vec(), &path[1..]),
            "super" => {
                let ups = path.iter().take_while(|s| *s == "super").count();
                (module[..module.len().saturating_sub(ups)].to_vec(), &path[ups..])
            }
            first => {
                let child: Vec<String> = module.iter().cloned().chain([first.to_owned()]).collect();
                self.file_of(&child)?;
                (module.to_vec(), path)
            }
        };
        while let Some(next) = rest.first() {
            let deeper: Vec<String> = at.iter().cloned().chain([next.clone()]).collect();
            if self.file_of(&deeper).is_none() {
                break;
            }
            (at, rest) = (deeper, &rest[1..]);
        }
        let index = self.file_of(&at)?;
        match rest.first().filter(|name| !name.is_empty() && *name != "*") {
            Some(name) => Some(self.written_in(index, name, depth).unwrap_or(index)),
            None => Some(index),
        }
    }

    /// The file that `name` of the file `index` is passed on from.
    fn written_in(&self, index: usize, name: &str, depth: usize) -> Option<usize> {
        let file = &self.files[index];
        if file.defined().iter().any(|d| d == name) {
            return Some(index);
        }
        let used = file.used();
        let by_name = used.iter().filter(|u| u.name == name);
        let by_name = by_name.filter_map(|u| self.resolve(&file.module, &u.path, depth + 1)).next();
        by_name.or_else(|| {
            used.iter()
                .filter(|u| u.name == "*")
                .filter_map(|u| self.resolve(&file.module, &u.path, depth + 1))
                .find(|i| self.files[*i].defined().iter().any(|d| d == name))
        })
    }
}

#[derive(Default)]
struct Finder {
    used: Vec<Used>,
    paths: Vec<Segments>,
}

impl Finder {
    fn add_use(&mut self, tree: &UseTree, before: &[String], is_passed_on: bool) {
        let with = |name: &syn::Ident| before.iter().cloned().chain([name.to_string()]).collect::<Segments>();
        let mut add = |path: Segments, name: String| self.used.push(Used { path, name, is_passed_on });
        match tree {
            UseTree::Path(path) => {
                let before = with(&path.ident);
                self.add_use(&path.tree, &before, is_passed_on);
            }
            UseTree::Name(name) if name.ident == "self" => {
                add(before.to_vec(), before.last().cloned().unwrap_or_default());
            }
            UseTree::Name(name) => add(with(&name.ident), name.ident.to_string()),
            UseTree::Rename(name) => add(with(&name.ident), name.rename.to_string()),
            UseTree::Glob(_) => add(before.to_vec(), "*".to_owned()),
            UseTree::Group(group) => {
                for tree in &group.items {
                    self.add_use(tree, before, is_passed_on);
                }
            }
        }
    }

    /// Paths in the words of a macro call, which is no syntax yet.
    fn add_tokens(&mut self, tokens: TokenStream) {
        let mut path: Segments = Vec::new();
        let mut colons = 0;
        for token in tokens {
            match token {
                TokenTree::Ident(word) if colons == 2 || path.is_empty() => {
                    path.push(word.to_string());
                    colons = 0;
                }
                TokenTree::Ident(word) => {
                    self.paths.push(std::mem::take(&mut path));
                    path.push(word.to_string());
                    colons = 0;
                }
                TokenTree::Punct(mark) if mark.as_char() == ':' => colons += 1,
                other => {
                    self.paths.push(std::mem::take(&mut path));
                    colons = 0;
                    if let TokenTree::Group(group) = other {
                        self.add_tokens(group.stream());
                    }
                }
            }
        }
        self.paths.push(path);
        self.paths.retain(|p| p.len() > 1);
    }
}

impl<'a> Visit<'a> for Finder {
    fn visit_item(&mut self, item: &'a Item) {
        if !is_for_tests(attributes(item)) {
            visit::visit_item(self, item);
        }
    }

    fn visit_item_use(&mut self, item: &'a ItemUse) {
        let is_passed_on = !matches!(item.vis, Visibility::Inherited);
        self.add_use(&item.tree, &[], is_passed_on);
    }

    fn visit_path(&mut self, path: &'a syn::Path) {
        if path.segments.len() > 1 {
            self.paths.push(path.segments.iter().map(|s| s.ident.to_string()).collect());
        }
        visit::visit_path(self, path);
    }

    fn visit_macro(&mut self, call: &'a syn::Macro) {
        self.add_tokens(call.tokens.clone());
        visit::visit_macro(self, call);
    }
}

//! Where lines break, and where comments stand.

use std::collections::HashSet;

use super::node::Node;
use crate::comments::Comments;
use crate::path::join;

/// Longest line aimed at (characters).
const WIDTH: usize = 110;
const INDENT: usize = 4;

/// The text of a tree with its comments.
pub(super) fn lay_out(root: &Node, comments: &Comments) -> String {
    let mut layout = Layout::new(comments);
    layout.root(root);
    match comments.rehomed(&layout.printed) {
        None => layout.out,
        Some(comments) => {
            let mut layout = Layout::new(&comments);
            layout.root(root);
            layout.out
        }
    }
}

struct Layout<'c> {
    comments: &'c Comments,
    /// Paths below which comments stand.
    insides: HashSet<&'c str>,
    out: String,
    /// Paths of everything printed on lines of its own; kept only when there are comments.
    printed: HashSet<String>,
}

impl<'c> Layout<'c> {
    fn new(comments: &'c Comments) -> Self {
        Self { comments, insides: comments.insides(), out: String::new(), printed: HashSet::new() }
    }

    fn root(&mut self, root: &Node) {
        for comment in self.comments.at("").map(|around| around.before.as_slice()).unwrap_or_default() {
            self.comment(comment, 0);
        }
        self.printed.insert(String::new());
        self.broken(root, "", 0);
    }

    /// Writes a node on one line if it may be and fits, else over several.
    fn write(&mut self, node: &Node, path: &str, indent: usize, used: usize) {
        if !must_break(node) && !self.insides.contains(path) {
            let mut line = String::new();
            inline(node, &mut line);
            // One character more for the comma that follows.
            if used + line.chars().count() < WIDTH {
                self.out.push_str(&line);
                return;
            }
        }
        self.broken(node, path, indent);
    }

    /// A comment on lines of its own.
    fn comment(&mut self, comment: &str, indent: usize) {
        for line in comment.lines() {
            self.out.push_str(&" ".repeat(indent));
            self.out.push_str(line.trim());
            self.out.push('\n');
        }
    }

    /// One item of something broken, with the comments round it.
    fn item(&mut self, lead: &str, value: &Node, path: &str, indent: usize) {
        if !self.comments.is_empty() {
            self.printed.insert(path.to_owned());
        }
        let around = self.comments.at(path);
        for comment in around.map(|around| around.before.as_slice()).unwrap_or_default() {
            self.comment(comment, indent);
        }
        self.out.push_str(&" ".repeat(indent));
        self.out.push_str(lead);
        self.write(value, path, indent, indent + lead.chars().count());
        self.out.push(',');
        if let Some(behind) = around.and_then(|around| around.behind.as_deref()) {
            self.out.push(' ');
            self.out.push_str(behind);
        }
        self.out.push('\n');
    }

    fn broken(&mut self, node: &Node, path: &str, indent: usize) {
        let inner = indent + INDENT;
        let close = match node {
            Node::Text(text) => {
                self.out.push_str(text);
                return;
            }
            Node::List(items) => {
                self.out.push_str("[\n");
                self.items(items, path, inner);
                ']'
            }
            Node::Tuple(name, items) => {
                self.out.push_str(name);
                self.out.push_str("(\n");
                self.items(items, path, inner);
                ')'
            }
            Node::Fields(name, fields) => {
                self.out.push_str(name);
                self.out.push_str("(\n");
                for (name, value) in fields {
                    self.item(&format!("{name}: "), value, &join(path, name), inner);
                }
                ')'
            }
            Node::Map(entries) => {
                self.out.push_str("{\n");
                for (name, value) in entries {
                    let mut lead = String::new();
                    inline(name, &mut lead);
                    let path = join(path, lead.trim_matches('"'));
                    lead.push_str(": ");
                    self.item(&lead, value, &path, inner);
                }
                '}'
            }
        };
        for comment in self.comments.at(path).map(|around| around.at_end.as_slice()).unwrap_or_default() {
            self.comment(comment, inner);
        }
        self.out.push_str(&" ".repeat(indent));
        self.out.push(close);
    }

    fn items(&mut self, items: &[Node], path: &str, indent: usize) {
        for (number, item) in (1..).zip(items) {
            let name =
                name_of(item).map_or_else(|| format!("#{number}"), |name| name.trim_matches('"').to_owned());
            self.item("", item, &join(path, &name), indent);
        }
    }
}

/// The text of a structure's field `name`.
fn name_of(node: &Node) -> Option<&str> {
    let Node::Fields(_, fields) = node else { return None };
    fields.iter().find_map(|(field, value)| match value {
        Node::Text(text) if *field == "name" => Some(text.as_str()),
        _ => None,
    })
}

/// Lists of several structures and maps always stand one item to a line.
fn must_break(node: &Node) -> bool {
    match node {
        Node::Text(_) => false,
        Node::List(items) => {
            let structures = items.iter().filter(|item| matches!(item, Node::Fields(..))).count();
            structures > 1 || items.iter().any(must_break)
        }
        Node::Tuple(_, items) => items.iter().any(must_break),
        Node::Fields(_, fields) => fields.iter().any(|(_, value)| must_break(value)),
        Node::Map(entries) => !entries.is_empty(),
    }
}

fn inline(node: &Node, out: &mut String) {
    match node {
        Node::Text(text) => out.push_str(text),
        Node::List(items) => {
            out.push('[');
            joined(items, out, inline);
            out.push(']');
        }
        Node::Tuple(name, items) => {
            out.push_str(name);
            out.push('(');
            joined(items, out, inline);
            out.push(')');
        }
        Node::Fields(name, fields) => {
            out.push_str(name);
            out.push('(');
            joined(fields, out, |(name, value), out| {
                out.push_str(name);
                out.push_str(": ");
                inline(value, out);
            });
            out.push(')');
        }
        Node::Map(entries) => {
            out.push('{');
            joined(entries, out, |(name, value), out| {
                inline(name, out);
                out.push_str(": ");
                inline(value, out);
            });
            out.push('}');
        }
    }
}

fn joined<T>(items: &[T], out: &mut String, each: impl Fn(&T, &mut String)) {
    for (number, item) in items.iter().enumerate() {
        if number > 0 {
            out.push_str(", ");
        }
        each(item, out);
    }
}

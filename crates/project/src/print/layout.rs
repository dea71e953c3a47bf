//! Where lines break.

use super::node::Node;

/// Longest line aimed at (characters).
const WIDTH: usize = 110;
const INDENT: usize = 4;

/// The text of a tree.
pub(super) fn lay_out(root: &Node) -> String {
    let mut out = String::new();
    broken(root, 0, &mut out);
    out
}

/// Writes a node on one line if it may be and fits, else over several.
fn write(node: &Node, indent: usize, used: usize, out: &mut String) {
    if !must_break(node) {
        let mut line = String::new();
        inline(node, &mut line);
        // One character more for the comma that follows.
        if used + line.chars().count() < WIDTH {
            out.push_str(&line);
            return;
        }
    }
    broken(node, indent, out);
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

fn broken(node: &Node, indent: usize, out: &mut String) {
    let inner = indent + INDENT;
    let line = |lead: &str, value: &Node, out: &mut String| {
        out.push_str(&" ".repeat(inner));
        out.push_str(lead);
        write(value, inner, inner + lead.chars().count(), out);
        out.push_str(",\n");
    };
    let close = match node {
        Node::Text(text) => {
            out.push_str(text);
            return;
        }
        Node::List(items) => {
            out.push_str("[\n");
            items.iter().for_each(|item| line("", item, out));
            ']'
        }
        Node::Tuple(name, items) => {
            out.push_str(name);
            out.push_str("(\n");
            items.iter().for_each(|item| line("", item, out));
            ')'
        }
        Node::Fields(name, fields) => {
            out.push_str(name);
            out.push_str("(\n");
            fields.iter().for_each(|(name, value)| line(&format!("{name}: "), value, out));
            ')'
        }
        Node::Map(entries) => {
            out.push_str("{\n");
            for (name, value) in entries {
                let mut lead = String::new();
                inline(name, &mut lead);
                lead.push_str(": ");
                line(&lead, value, out);
            }
            '}'
        }
    };
    out.push_str(&" ".repeat(indent));
    out.push(close);
}

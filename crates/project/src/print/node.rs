//! A document as a tree of written values.

use std::fmt;

use serde::ser::{self, Serialize};

/// A value as it is written.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Node {
    /// A number, a string in quotes, a word.
    Text(String),
    /// `[a, b]`
    List(Vec<Self>),
    /// `name(a, b)`; the name may be empty.
    Tuple(&'static str, Vec<Self>),
    /// `name(field: a)`; the name may be empty.
    Fields(&'static str, Vec<(&'static str, Self)>),
    /// `{a: b}`
    Map(Vec<(Self, Self)>),
}

/// Why a value cannot be written; no type of the document gives cause.
#[derive(Debug)]
pub(super) struct WriteError(String);

impl fmt::Display for WriteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for WriteError {}

impl ser::Error for WriteError {
    fn custom<T: fmt::Display>(message: T) -> Self {
        Self(message.to_string())
    }
}

/// Turns serde's calls into a tree.
pub(super) struct NodeSerializer;

type Done = Result<Node, WriteError>;

/// The least significant integer that f64 does not hold exactly is above this.
const EXACT_INTEGER: f64 = 9e15;

fn number(value: f64) -> String {
    if value == value.trunc() && value.abs() < EXACT_INTEGER {
        format!("{}", value as i64)
    } else {
        format!("{value:?}")
    }
}

/// A string in quotes with RON's escapes.
fn string(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            '\r' => out.push_str("\\r"),
            c if c.is_control() || c == '\u{FEFF}' => out.push_str(&format!("\\u{{{:x}}}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

macro_rules! whole_numbers {
    ($($method:ident: $type:ty,)*) => {
        $(fn $method(self, value: $type) -> Done {
            Ok(Node::Text(value.to_string()))
        })*
    };
}

impl ser::Serializer for NodeSerializer {
    type Ok = Node;
    type Error = WriteError;
    type SerializeSeq = Items;
    type SerializeTuple = Items;
    type SerializeTupleStruct = Items;
    type SerializeTupleVariant = Items;
    type SerializeMap = Entries;
    type SerializeStruct = NamedFields;
    type SerializeStructVariant = NamedFields;

    whole_numbers! {
        serialize_bool: bool,
        serialize_i8: i8,
        serialize_i16: i16,
        serialize_i32: i32,
        serialize_i64: i64,
        serialize_u8: u8,
        serialize_u16: u16,
        serialize_u32: u32,
        serialize_u64: u64,
    }

    fn serialize_f32(self, value: f32) -> Done {
        self.serialize_f64(f64::from(value))
    }
    fn serialize_f64(self, value: f64) -> Done {
        Ok(Node::Text(number(value)))
    }
    fn serialize_char(self, value: char) -> Done {
        Ok(Node::Text(string(&value.to_string())))
    }
    fn serialize_str(self, value: &str) -> Done {
        Ok(Node::Text(string(value)))
    }
    fn serialize_bytes(self, _: &[u8]) -> Done {
        Err(ser::Error::custom("bytes have no place in the format"))
    }
    fn serialize_none(self) -> Done {
        Ok(Node::Text("None".to_owned()))
    }
    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Done {
        value.serialize(self)
    }
    fn serialize_unit(self) -> Done {
        Ok(Node::Text("()".to_owned()))
    }
    fn serialize_unit_struct(self, _: &'static str) -> Done {
        self.serialize_unit()
    }
    fn serialize_unit_variant(self, _: &'static str, _: u32, variant: &'static str) -> Done {
        Ok(Node::Text(variant.to_owned()))
    }
    fn serialize_newtype_struct<T: Serialize + ?Sized>(self, _: &'static str, value: &T) -> Done {
        value.serialize(self)
    }
    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        value: &T,
    ) -> Done {
        Ok(match value.serialize(self)? {
            // The brackets of the structure inside are those of the variant.
            Node::Fields("", fields) => Node::Fields(variant, fields),
            node => Node::Tuple(variant, vec![node]),
        })
    }
    fn serialize_seq(self, _: Option<usize>) -> Result<Items, WriteError> {
        Ok(Items { name: None, items: Vec::new() })
    }
    fn serialize_tuple(self, _: usize) -> Result<Items, WriteError> {
        Ok(Items { name: Some(""), items: Vec::new() })
    }
    fn serialize_tuple_struct(self, _: &'static str, _: usize) -> Result<Items, WriteError> {
        Ok(Items { name: Some(""), items: Vec::new() })
    }
    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<Items, WriteError> {
        Ok(Items { name: Some(variant), items: Vec::new() })
    }
    fn serialize_map(self, _: Option<usize>) -> Result<Entries, WriteError> {
        Ok(Entries { entries: Vec::new(), key: None })
    }
    fn serialize_struct(self, _: &'static str, _: usize) -> Result<NamedFields, WriteError> {
        Ok(NamedFields { name: "", fields: Vec::new() })
    }
    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<NamedFields, WriteError> {
        Ok(NamedFields { name: variant, fields: Vec::new() })
    }
}

/// A list, or a tuple if it has a name (which may be empty).
pub(super) struct Items {
    name: Option<&'static str>,
    items: Vec<Node>,
}

impl Items {
    fn push<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), WriteError> {
        self.items.push(value.serialize(NodeSerializer)?);
        Ok(())
    }

    fn done(self) -> Done {
        Ok(match self.name {
            None => Node::List(self.items),
            Some(name) => Node::Tuple(name, self.items),
        })
    }
}

macro_rules! items {
    ($($implemented:ident::$method:ident,)*) => {
        $(impl ser::$implemented for Items {
            type Ok = Node;
            type Error = WriteError;
            fn $method<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), WriteError> {
                self.push(value)
            }
            fn end(self) -> Done {
                self.done()
            }
        })*
    };
}
items! {
    SerializeSeq::serialize_element,
    SerializeTuple::serialize_element,
    SerializeTupleStruct::serialize_field,
    SerializeTupleVariant::serialize_field,
}

pub(super) struct Entries {
    entries: Vec<(Node, Node)>,
    key: Option<Node>,
}

impl ser::SerializeMap for Entries {
    type Ok = Node;
    type Error = WriteError;
    fn serialize_key<T: Serialize + ?Sized>(&mut self, key: &T) -> Result<(), WriteError> {
        self.key = Some(key.serialize(NodeSerializer)?);
        Ok(())
    }
    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), WriteError> {
        let key = self.key.take().ok_or_else(|| WriteError("a value without a key".to_owned()))?;
        self.entries.push((key, value.serialize(NodeSerializer)?));
        Ok(())
    }
    fn end(self) -> Done {
        Ok(Node::Map(self.entries))
    }
}

pub(super) struct NamedFields {
    name: &'static str,
    fields: Vec<(&'static str, Node)>,
}

macro_rules! named_fields {
    ($($implemented:ident,)*) => {
        $(impl ser::$implemented for NamedFields {
            type Ok = Node;
            type Error = WriteError;
            fn serialize_field<T: Serialize + ?Sized>(&mut self, name: &'static str, value: &T) -> Result<(), WriteError> {
                self.fields.push((name, value.serialize(NodeSerializer)?));
                Ok(())
            }
            fn end(self) -> Done {
                Ok(Node::Fields(self.name, self.fields))
            }
        })*
    };
}
named_fields! { SerializeStruct, SerializeStructVariant, }

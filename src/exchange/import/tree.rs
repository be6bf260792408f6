//! An XML document as a tree, read with bounds: nothing is fetched, no entity is filled in.

use super::trouble::Trouble;
use quick_xml::events::{BytesStart, Event};
use quick_xml::{Reader, XmlVersion};

/// Elements inside elements; the standard needs some ten.
const DEEPEST: usize = 64;
/// Elements of a document: some hundred times a symphony movement.
const MOST: usize = 3_000_000;

/// An element.
#[derive(Debug, Default)]
pub struct Node {
    pub name: Box<str>,
    attributes: Vec<(Box<str>, Box<str>)>,
    pub text: String,
    pub children: Vec<Node>,
}

impl Node {
    /// The first child of a name.
    pub fn one(&self, name: &str) -> Option<&Node> {
        self.children.iter().find(|c| &*c.name == name)
    }

    pub fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a Node> {
        self.children.iter().filter(move |c| &*c.name == name)
    }

    pub fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(n, _)| &**n == name).map(|(_, value)| &**value)
    }

    /// Its text without blanks around it, or nothing.
    pub fn said(&self) -> Option<&str> {
        Some(self.text.trim()).filter(|text| !text.is_empty())
    }

    /// The text of the first child of a name.
    pub fn child(&self, name: &str) -> Option<&str> {
        self.one(name)?.said()
    }

    pub fn is(&self, attribute: &str, value: &str) -> bool {
        self.attribute(attribute) == Some(value)
    }
}

/// Reads a document.
pub fn read(text: &str) -> Result<Node, Trouble> {
    let mut reader = Reader::from_str(text);
    let mut open: Vec<Node> = vec![Node::default()];
    let mut count = 0;
    let line = |position: u64| {
        let end = usize::try_from(position).unwrap_or(0).min(text.len());
        1 + text.as_bytes().get(..end).unwrap_or_default().iter().filter(|b| **b == b'\n').count()
    };
    loop {
        let event = reader.read_event();
        let here = || line(reader.buffer_position());
        let damaged = |why: String| Trouble::Xml { line: here(), why };
        match event {
            Ok(Event::Start(start)) => {
                count += 1;
                if open.len() > DEEPEST || count > MOST {
                    return Err(damaged(
                        "more elements inside each other, or in all, than any score has".into(),
                    ));
                }
                open.push(node(&start).map_err(damaged)?);
            }
            Ok(Event::Empty(start)) => {
                count += 1;
                if count > MOST {
                    return Err(damaged("more elements than any score has".into()));
                }
                let node = node(&start).map_err(damaged)?;
                if let Some(parent) = open.last_mut() {
                    parent.children.push(node);
                }
            }
            Ok(Event::End(_)) => {
                let (Some(node), Some(parent)) = (open.pop(), open.last_mut()) else {
                    return Err(damaged("an element ends that has not begun".into()));
                };
                parent.children.push(node);
            }
            Ok(Event::Text(words)) => {
                if let Some(node) = open.last_mut() {
                    node.text.push_str(&words);
                }
            }
            Ok(Event::CData(words)) => {
                if let Some(node) = open.last_mut() {
                    node.text.push_str(&words);
                }
            }
            Ok(Event::GeneralRef(name)) => {
                let said = match &*name {
                    "amp" => Some('&'),
                    "lt" => Some('<'),
                    "gt" => Some('>'),
                    "quot" => Some('"'),
                    "apos" => Some('\''),
                    _ => name.resolve_char_ref().map_err(|why| damaged(why.to_string()))?,
                };
                let Some(said) = said else {
                    return Err(Trouble::Entity { line: here(), name: name.chars().take(40).collect() });
                };
                if let Some(node) = open.last_mut() {
                    node.text.push(said);
                }
            }
            Ok(Event::Eof) => break,
            // A document type may stand there; whatever it declares or refers to is not read.
            Ok(_) => {}
            Err(why) => return Err(damaged(why.to_string())),
        }
    }
    if open.len() != 1 {
        let name = open.pop().map(|n| n.name).unwrap_or_default();
        return Err(Trouble::Xml {
            line: line(text.len() as u64),
            why: format!("the file ends inside <{name}>"),
        });
    }
    let root = open.pop().and_then(|mut top| top.children.pop());
    root.ok_or(Trouble::Xml { line: 1, why: "there is nothing in it".into() })
}

fn node(start: &BytesStart<'_>) -> Result<Node, String> {
    let mut attributes = Vec::new();
    for attribute in start.attributes() {
        let attribute = attribute.map_err(|why| why.to_string())?;
        let value = attribute.normalized_value(XmlVersion::Implicit1_0).map_err(|why| why.to_string())?;
        attributes.push((attribute.key.as_ref().into(), value.into()));
    }
    Ok(Node { name: start.name().as_ref().into(), attributes, ..Node::default() })
}

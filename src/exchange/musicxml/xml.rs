//! Elements as a tree, and the tree as a text.

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

/// An element with what is in it: text, or other elements.
#[derive(Debug, Clone, PartialEq)]
pub struct Element {
    name: &'static str,
    attributes: Vec<(&'static str, String)>,
    text: String,
    children: Vec<Element>,
}

impl Element {
    pub fn new(name: &'static str) -> Element {
        Element { name, attributes: Vec::new(), text: String::new(), children: Vec::new() }
    }

    /// The same with an attribute.
    pub fn with(mut self, name: &'static str, value: impl ToString) -> Element {
        self.attributes.push((name, legal(&value.to_string())));
        self
    }

    /// The same with a text.
    pub fn text(mut self, text: impl ToString) -> Element {
        self.text = legal(&text.to_string());
        self
    }

    /// The same with another element in it.
    pub fn and(mut self, child: Element) -> Element {
        self.children.push(child);
        self
    }

    /// The same with other elements in it.
    pub fn and_all(mut self, children: impl IntoIterator<Item = Element>) -> Element {
        self.children.extend(children);
        self
    }

    pub fn push(&mut self, child: Element) {
        self.children.push(child);
    }

    /// Puts an element before the first one of a name, or behind all.
    pub fn put_before(&mut self, name: &str, child: Element) {
        let at = self.children.iter().position(|c| c.name == name).unwrap_or(self.children.len());
        self.children.insert(at, child);
    }

    /// True if no element is in it.
    pub fn is_bare(&self) -> bool {
        self.children.is_empty()
    }

    fn write(&self, out: &mut Writer<Vec<u8>>) -> std::io::Result<()> {
        let mut start = BytesStart::new(self.name);
        for (name, value) in &self.attributes {
            start.push_attribute((*name, value.as_str()));
        }
        if self.children.is_empty() && self.text.is_empty() {
            return out.write_event(Event::Empty(start));
        }
        out.write_event(Event::Start(start))?;
        if !self.text.is_empty() {
            out.write_event(Event::Text(BytesText::new(&self.text)))?;
        }
        for child in &self.children {
            child.write(out)?;
        }
        out.write_event(Event::End(BytesEnd::new(self.name)))
    }
}

/// The document of a root element.
pub fn document(root: &Element) -> String {
    let mut out = Writer::new_with_indent(Vec::new(), b' ', 1);
    // Memory takes whatever is written to it.
    let _ = out
        .write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))
        .and_then(|()| root.write(&mut out));
    let mut text = String::from_utf8(out.into_inner()).unwrap_or_default();
    text.push('\n');
    text
}

/// Without the characters that XML 1.0 does not allow (section 2.2 of the recommendation).
fn legal(text: &str) -> String {
    let allowed = |c: &char| matches!(c, '\t' | '\n' | '\r' | '\u{20}'..='\u{D7FF}' | '\u{E000}'..='\u{FFFD}' | '\u{10000}'..);
    text.chars().filter(allowed).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whatever_is_said_stays_inside_its_element() {
        let root =
            Element::new("a").with("b", "\"<&>'").and(Element::new("c").text("</a> & \u{1}\u{FFFE}😀"));
        assert_eq!(
            document(&root),
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<a b=\"&quot;&lt;&amp;&gt;&apos;\">\n <c>&lt;/a&gt; &amp; 😀</c>\n</a>\n"
        );
    }
}

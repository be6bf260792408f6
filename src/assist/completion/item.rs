//! What is offered while somebody types.

use super::about::About;
use crate::assist::typing::Typing;
use crate::notation::Span;
use std::collections::HashSet;

/// What an item is, for the sign an editor shows beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ItemKind {
    /// A word of the notation.
    Word,
    /// Several lines at once.
    Template,
    Note,
    /// A length or a figure.
    Value,
    Player,
    Group,
    Phrase,
    Instrument,
    Mark,
    Rule,
    /// Dynamics, techniques, fingerings, chord symbols.
    Sign,
    /// A number or another value of a setting or option.
    Setting,
}

/// Something that may stand where the cursor is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    pub label: String,
    pub kind: ItemKind,
    /// A few words beside the label; may be empty.
    pub detail: String,
    /// What the typed text is compared with.
    pub filter: String,
    /// Items in the order of these are the best first.
    pub sort: String,
    /// What is put in the place of the word.
    pub text: String,
    /// The same with places to fill in (`${1:q}`, `$0`), where there are any.
    pub snippet: Option<String>,
    /// What more can be told of it.
    pub about: About,
}

/// All that may stand where the cursor is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Completions {
    /// Line of the file, from 0.
    pub line: u32,
    /// From the start of the word that is being typed to the cursor.
    pub typed: Span,
    /// The whole word.
    pub word: Span,
    /// Best first.
    pub items: Vec<Item>,
    /// False if there is more than is shown.
    pub complete: bool,
}

/// More items than these are shown only where they begin as what is typed does.
const MOST: usize = 400;

/// Gathers items for a word, tier by tier: those of a lower tier come first, else those added first.
pub struct List<'a> {
    pub typing: Typing<'a>,
    pub word: Span,
    items: Vec<(u8, Item)>,
    labels: HashSet<String>,
}

impl<'a> List<'a> {
    /// For the word that stands at the cursor.
    pub fn new(typing: Typing<'a>, word: Span) -> List<'a> {
        List { typing, word, items: Vec::new(), labels: HashSet::new() }
    }

    /// Adds an item whose label is what is put in.
    pub fn add(&mut self, tier: u8, kind: ItemKind, label: impl Into<String>, detail: impl Into<String>) {
        let label = label.into();
        self.put(tier, Item::plain(kind, label, detail.into()));
    }

    /// The same with something more to tell.
    pub fn told(
        &mut self,
        tier: u8,
        kind: ItemKind,
        label: impl Into<String>,
        detail: impl Into<String>,
        about: About,
    ) {
        self.put(tier, Item { about, ..Item::plain(kind, label.into(), detail.into()) });
    }

    /// Adds an item.
    pub fn put(&mut self, tier: u8, item: Item) {
        if self.labels.insert(item.label.clone()) {
            self.items.push((tier, item));
        }
    }

    /// What somebody sees.
    pub fn finish(mut self) -> Completions {
        self.items.sort_by_key(|(tier, _)| *tier);
        let typed = Span::new(self.word.start, self.typing.at.clamp(self.word.start, self.word.end));
        let mut complete = true;
        if self.items.len() > MOST {
            complete = false;
            let begun = self.typing.text(typed).to_lowercase();
            self.items.retain(|(_, item)| item.filter.to_lowercase().starts_with(&begun));
            self.items.truncate(MOST);
        }
        let items = self.items.into_iter().enumerate();
        let items = items.map(|(i, (_, item))| Item { sort: format!("{i:04}"), ..item }).collect();
        Completions { line: self.typing.number, typed, word: self.word, items, complete }
    }
}

impl Item {
    /// Put in as it is shown.
    pub fn plain(kind: ItemKind, label: String, detail: String) -> Item {
        let (filter, text) = (label.clone(), label.clone());
        Item { label, kind, detail, filter, sort: String::new(), text, snippet: None, about: About::Nothing }
    }

    /// With another text than its label.
    pub fn putting(self, text: impl Into<String>) -> Item {
        Item { text: text.into(), ..self }
    }

    /// With places to fill in; the text without them is what is put in where there can be none.
    pub fn filled(self, snippet: &str) -> Item {
        Item { text: without_places(snippet), snippet: Some(snippet.to_owned()), ..self }
    }

    /// With more to tell.
    pub fn about(self, about: About) -> Item {
        Item { about, ..self }
    }
}

/// A snippet as plain text: `${1:Tp1}` becomes `Tp1`, `${1|a,b|}` becomes `a`, `$0` nothing.
pub fn without_places(snippet: &str) -> String {
    let mut out = String::with_capacity(snippet.len());
    let mut chars = snippet.chars().peekable();
    let mut open = 0u32;
    while let Some(c) = chars.next() {
        match c {
            '\\' => out.extend(chars.next()),
            '$' if chars.peek() == Some(&'{') => {
                chars.next();
                while chars.next_if(char::is_ascii_digit).is_some() {}
                match chars.next() {
                    Some('|') => choice(&mut chars, &mut out),
                    Some(':') => open += 1,
                    _ => {}
                }
            }
            '$' => while chars.next_if(char::is_ascii_digit).is_some() {},
            '}' if open > 0 => open -= 1,
            c => out.push(c),
        }
    }
    out
}

/// The first of several; what follows up to the closing bracket is left out.
fn choice(chars: &mut impl Iterator<Item = char>, out: &mut String) {
    let mut first = true;
    while let Some(c) = chars.next() {
        match c {
            '|' => {
                chars.next();
                return;
            }
            ',' => first = false,
            c if first => out.push(c),
            _ => {}
        }
    }
}

/// Text that stands in a snippet as itself.
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if matches!(c, '$' | '}' | '\\') {
            out.push('\\');
        }
        out.push(c);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_to_fill_in_leave_their_example() {
        assert_eq!(without_places("player ${1:Tp1} = ${2:horn in F}$0"), "player Tp1 = horn in F");
        assert_eq!(without_places("level ${1|school,amateur|} "), "level school ");
        assert_eq!(without_places("{3:2 ${1:e*3}}"), "{3:2 e*3}");
        assert_eq!(without_places(&escaped("a}$1\\b")), "a}$1\\b");
    }
}

//! The tokens that a client was last sent, so that the next time only what changed need be worked out and
//! sent.
//!
//! What was sent last may not have arrived: an answer that an edit overtook is thrown away. So the result
//! before is kept until the client names the one after it, and what makes the one of the other is an edit.

use super::legend::Legend;
use super::open_text::Snapshot;
use super::position::Encoding;
use crate::assist::{Coloured, Ground, colours};
use crate::notation::line::Line;
use crate::notation::line_table::LineTable;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use tower_lsp::lsp_types::SemanticToken;

/// Numbers of results, of all texts: no two are the same, so that an old one is known for what it is.
static NUMBERS: AtomicU64 = AtomicU64::new(1);

fn next_number() -> u64 {
    NUMBERS.fetch_add(1, Ordering::Relaxed)
}

/// A result, and perhaps the next.
pub struct KeptTokens {
    id: u64,
    ground: Ground,
    lines: LineTable,
    /// Tokens of each line.
    counts: Vec<u32>,
    data: Vec<SemanticToken>,
    next: Option<Next>,
}

/// What makes the next result of the one before.
struct Next {
    id: u64,
    ground: Ground,
    lines: LineTable,
    /// Lines from here on, so many, have other tokens; their counts.
    line: usize,
    removed: usize,
    counts: Vec<u32>,
    edit: TokenEdit,
}

/// Tokens to take out and to put in their place.
#[derive(Debug, Clone, PartialEq)]
pub struct TokenEdit {
    /// Index of the first.
    pub start: usize,
    pub removed: usize,
    pub added: Vec<SemanticToken>,
}

impl KeptTokens {
    /// All tokens of a text.
    pub fn new(snapshot: &Snapshot, legend: &Legend) -> KeptTokens {
        let ground = Ground::of(&snapshot.desk);
        let lines = snapshot.desk.document().lines().clone();
        let mut writer = Writer::new(&ground, legend, snapshot.encoding, 0);
        let counts = lines.iter().map(|line| writer.line(line)).collect();
        let data = writer.data;
        KeptTokens { id: next_number(), ground, lines, counts, data, next: None }
    }

    /// The number of the result.
    pub fn id(&self) -> String {
        self.id.to_string()
    }

    /// The tokens.
    pub fn data(&self) -> &[SemanticToken] {
        &self.data
    }

    /// The number of the result for this text, and the edit that makes it of the one the client names;
    /// `None` for a number that is not known.
    pub fn change(
        &mut self,
        snapshot: &Snapshot,
        legend: &Legend,
        before: &str,
    ) -> Option<(String, TokenEdit)> {
        let next = self.next.take();
        if let Some(next) = next.filter(|next| next.id.to_string() == before) {
            self.go_on(next);
        }
        if self.id() != before {
            return None;
        }
        let next = self.difference(snapshot, legend);
        let answer = (next.id.to_string(), next.edit.clone());
        self.next = Some(next);
        Some(answer)
    }

    fn go_on(&mut self, next: Next) {
        let Next { id, ground, lines, line, removed, counts, edit } = next;
        self.counts.splice(line..line + removed, counts);
        self.data.splice(edit.start..edit.start + edit.removed, edit.added);
        (self.id, self.ground, self.lines) = (id, ground, lines);
    }

    fn difference(&self, snapshot: &Snapshot, legend: &Legend) -> Next {
        let ground = Ground::of(&snapshot.desk);
        let lines = snapshot.desk.document().lines().clone();
        let old: Vec<&Arc<Line>> = self.lines.iter().collect();
        let new: Vec<&Arc<Line>> = lines.iter().collect();
        let (mut head, mut tail) = (0, 0);
        if ground.same(&self.ground) {
            let same = |(a, b): &(&&Arc<Line>, &&Arc<Line>)| Arc::ptr_eq(a, b);
            head = old.iter().zip(&new).take_while(same).count();
            let most = old.len().min(new.len()) - head;
            tail = old.iter().rev().zip(new.iter().rev()).take(most).take_while(same).count();
        }
        // The first token behind the change is counted from the last one before it.
        while tail > 0 {
            tail -= 1;
            if self.counts.get(old.len() - tail - 1).is_some_and(|count| *count > 0) {
                break;
            }
        }
        let counted = |lines: &[u32]| lines.iter().map(|count| *count as usize).sum::<usize>();
        let (before, rest) = self.counts.split_at_checked(head).unwrap_or((&self.counts, &[]));
        let removed_lines = old.len() - head - tail;
        let start = counted(before);
        let removed = counted(rest.get(..removed_lines).unwrap_or(rest));
        let last = before.iter().rposition(|count| *count > 0).unwrap_or(0);
        let mut writer = Writer::new(&ground, legend, snapshot.encoding, (head - last) as u32);
        let middle = new.get(head..new.len() - tail).unwrap_or(&[]);
        let counts = middle.iter().map(|line| writer.line(line)).collect();
        let edit = TokenEdit { start, removed, added: writer.data };
        let edit = edit.trimmed(self.data.get(start..start + removed).unwrap_or(&[]));
        Next { id: next_number(), ground, lines, line: head, removed: removed_lines, counts, edit }
    }
}

impl TokenEdit {
    /// The same without what it takes out and puts in again at its ends.
    fn trimmed(mut self, old: &[SemanticToken]) -> TokenEdit {
        let same = |(a, b): &(&SemanticToken, &SemanticToken)| a == b;
        let head = old.iter().zip(&self.added).take_while(same).count();
        let most = old.len().min(self.added.len()) - head;
        let tail = old.iter().rev().zip(self.added.iter().rev()).take(most).take_while(same).count();
        self.added.truncate(self.added.len() - tail);
        self.added.drain(..head);
        TokenEdit { start: self.start + head, removed: self.removed - head - tail, added: self.added }
    }
}

/// Writes tokens down, each counted from the one before.
pub struct Writer<'a> {
    ground: &'a Ground,
    legend: &'a Legend,
    encoding: Encoding,
    /// Lines since the last token.
    lines: u32,
    pub data: Vec<SemanticToken>,
    coloured: Vec<Coloured>,
}

impl<'a> Writer<'a> {
    /// Begins so many lines below the last token.
    pub fn new(ground: &'a Ground, legend: &'a Legend, encoding: Encoding, lines: u32) -> Writer<'a> {
        Writer { ground, legend, encoding, lines, data: Vec::new(), coloured: Vec::new() }
    }

    /// Adds the next line; how many tokens it has.
    pub fn line(&mut self, line: &Line) -> u32 {
        self.coloured.clear();
        colours(self.ground, line, &mut self.coloured);
        let before = self.data.len();
        let mut columns = self.encoding.columns(&line.text);
        let mut last = 0;
        for coloured in &self.coloured {
            let Some((token_type, token_modifiers_bitset)) = self.legend.token(coloured) else { continue };
            let start = columns.at(coloured.span.start as usize);
            let length = columns.at(coloured.span.end as usize) - start;
            self.data.push(SemanticToken {
                delta_line: std::mem::take(&mut self.lines),
                delta_start: start - last,
                length,
                token_type,
                token_modifiers_bitset,
            });
            last = start;
        }
        self.lines += 1;
        (self.data.len() - before) as u32
    }
}

#[cfg(test)]
mod tests {
    use super::super::include::OpenFiles;
    use super::super::open_text::OpenText;
    use super::*;
    use crate::rules::Settings;
    use proptest::prelude::*;
    use tower_lsp::lsp_types::{SemanticTokenModifier, TextDocumentContentChangeEvent, Url};

    const PIECES: [&str; 22] = [
        "",
        "\n",
        "\r",
        "\r\n",
        " ",
        "|",
        "C5",
        "q : ",
        "\u{1d11e}",
        "// x",
        "\"",
        "[mute cup] ",
        "player Hn = horn in F\n",
        "group All = Tp1 Hn\n",
        "phrase riff | q : C5*4 |\n",
        "roadmap A B\n",
        "bar  mark A  meter 3/4\n",
        "bar  mark \"B\"\n",
        "Tp1 | play riff | h : p C5_ D5@12 |\n",
        "All Hn | (C4 E4) | % |\n",
        "\n\n",
        "chords | C7 |\n",
    ];

    const START: &str = "brass 1\nplayer Tp1 = trumpet in Bb\n\nbar 1  mark A\nTp1 | q : C5 D5 E5 F5 |\n";

    fn edit() -> impl Strategy<Value = (f64, f64, usize)> {
        (0.0..1.0f64, prop_oneof![Just(0.0), 0.0..0.2f64], 0..PIECES.len())
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(64) })]

        /// Answers may be lost: then the client names the result before.
        #[test]
        fn edits_make_what_a_fresh_reading_makes(
            script in prop::collection::vec((edit(), any::<bool>()), 1..24),
            encoding in prop::sample::select(vec![Encoding::Utf8, Encoding::Utf16, Encoding::Utf32]),
        ) {
            let legend = Legend::of(&[], &[SemanticTokenModifier::DECLARATION]);
            let open = OpenFiles::default();
            let uri = Url::parse("untitled:a").unwrap();
            let begin = |text: &str| {
                OpenText::open((uri.clone(), 0, 0), text, encoding, &[], Settings::default(), &open)
            };
            let mut text = begin(START);
            let mut kept = KeptTokens::new(&text.now, &legend);
            let (mut known, mut data) = (kept.id(), kept.data().to_vec());
            for ((at, length, piece), lost) in script {
                let whole = text.now.desk.document().text();
                let start = whole.floor_char_boundary((whole.len() as f64 * at) as usize);
                let end = whole.floor_char_boundary(start + (whole.len() as f64 * length) as usize);
                let mut shown = whole.clone();
                shown.replace_range(start..end, PIECES[piece]);
                let change = TextDocumentContentChangeEvent { range: None, range_length: None, text: shown };
                text.change(1, 1, &[change]);
                text.analyse(&open);
                let (id, edit) = kept.change(&text.now, &legend, &known).unwrap();
                let mut next = data.clone();
                next.splice(edit.start..edit.start + edit.removed, edit.added.clone());
                let fresh = KeptTokens::new(&begin(&text.now.desk.document().text()).now, &legend);
                prop_assert_eq!(&next, fresh.data());
                // Nothing smaller would do at either end.
                let gone = data.get(edit.start..edit.start + edit.removed).unwrap();
                prop_assert!(gone.is_empty() || gone.first() != edit.added.first());
                prop_assert!(gone.is_empty() || gone.last() != edit.added.last());
                if !lost {
                    (known, data) = (id, next);
                }
            }
            prop_assert!(kept.change(&text.now, &legend, "0").is_none());
        }
    }

    #[test]
    fn an_edit_in_one_bar_sends_what_is_in_it_and_no_more() {
        let open = OpenFiles::default();
        let uri = Url::parse("untitled:a").unwrap();
        let long = format!("{START}{}", "Tp1 | q : C5 D5 E5 F5 |\n".repeat(500));
        let mut text = OpenText::open((uri, 0, 0), &long, Encoding::Utf16, &[], Settings::default(), &open);
        let legend = Legend::of(&[], &[]);
        let mut kept = KeptTokens::new(&text.now, &legend);
        let with = long.replacen("D5 E5", "Db5 E5", 1);
        let change = TextDocumentContentChangeEvent { range: None, range_length: None, text: with };
        text.change(1, 1, &[change]);
        text.analyse(&open);
        let (_, edit) = kept.change(&text.now, &legend, &kept.id()).unwrap();
        assert_eq!((edit.removed, edit.added.len()), (2, 2), "the note and the distance to the next");
    }
}

//! What the client is still to be told. A newer list of findings for a text takes the place of an older
//! one that has not gone out yet.

use std::collections::{BTreeSet, HashMap, VecDeque};
use std::sync::{Arc, Mutex, MutexGuard};
use tokio::sync::Notify;
use tower_lsp::lsp_types::{MessageType, PublishDiagnosticsParams, Url};

/// Words that wait; more are not kept.
const MOST_WORDS: usize = 64;

/// One thing to tell.
#[derive(Debug)]
pub enum Word {
    /// Shown to the user.
    Show(MessageType, String),
    /// For the client's trace.
    Trace(String),
    /// Findings of one text.
    Findings(PublishDiagnosticsParams),
    /// Ask for something again.
    Refresh(Refresh),
}

/// What the client should ask for again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Refresh {
    Findings,
    Tokens,
    Hints,
    Lenses,
}

#[derive(Default)]
struct Waiting {
    words: VecDeque<(MessageType, String)>,
    traces: VecDeque<String>,
    findings: HashMap<Url, PublishDiagnosticsParams>,
    order: VecDeque<Url>,
    refresh: BTreeSet<Refresh>,
}

/// The board.
#[derive(Clone, Default)]
pub struct Board(Arc<(Mutex<Waiting>, Notify)>);

impl Board {
    fn waiting(&self) -> MutexGuard<'_, Waiting> {
        self.0.0.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
    }

    /// Tells the user.
    pub fn show(&self, kind: MessageType, text: String) {
        let mut waiting = self.waiting();
        if waiting.words.len() < MOST_WORDS {
            waiting.words.push_back((kind, text));
        }
        self.0.1.notify_one();
    }

    /// A line for the client's trace.
    pub fn trace(&self, text: String) {
        let mut waiting = self.waiting();
        if waiting.traces.len() >= MOST_WORDS {
            waiting.traces.pop_front();
        }
        waiting.traces.push_back(text);
        self.0.1.notify_one();
    }

    /// The findings of a text.
    pub fn findings(&self, params: PublishDiagnosticsParams) {
        let mut waiting = self.waiting();
        let uri = params.uri.clone();
        if waiting.findings.insert(uri.clone(), params).is_none() {
            waiting.order.push_back(uri);
        }
        self.0.1.notify_one();
    }

    /// The client should ask for something again.
    pub fn refresh(&self, what: Refresh) {
        self.waiting().refresh.insert(what);
        self.0.1.notify_one();
    }

    /// The next to tell; waits for it.
    pub async fn next(&self) -> Word {
        loop {
            if let Some(word) = self.take() {
                return word;
            }
            self.0.1.notified().await;
        }
    }

    fn take(&self) -> Option<Word> {
        let mut waiting = self.waiting();
        if let Some((kind, text)) = waiting.words.pop_front() {
            return Some(Word::Show(kind, text));
        }
        if let Some(uri) = waiting.order.pop_front() {
            return waiting.findings.remove(&uri).map(Word::Findings);
        }
        if let Some(what) = waiting.refresh.pop_first() {
            return Some(Word::Refresh(what));
        }
        waiting.traces.pop_front().map(Word::Trace)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn the_latest_wins_and_keeps_its_turn() {
        let board = Board::default();
        let (a, b) = (Url::parse("untitled:a").unwrap(), Url::parse("untitled:b").unwrap());
        for (uri, version) in [(&a, 1), (&b, 1), (&a, 2)] {
            board.findings(PublishDiagnosticsParams::new(uri.clone(), Vec::new(), Some(version)));
        }
        for (uri, version) in [(&a, 2), (&b, 1)] {
            let Word::Findings(params) = board.next().await else { panic!() };
            assert_eq!((&params.uri, params.version), (uri, Some(version)));
        }
        assert!(board.take().is_none());
    }
}

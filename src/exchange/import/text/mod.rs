//! Music as a text of the notation that reads as if somebody had written it.

mod bar;
mod blocks;
mod head;
mod names;

use super::figure::writable;
use super::lines::{Line, lines};
use super::loss::Losses;
use super::music::Music;
use super::settle::settle;
use crate::notation::document::Document;
use crate::notation::layout::tidied;

/// A row that is written.
pub struct Row {
    pub id: String,
    pub line: Line,
}

/// The text, in the notation's layout.
pub fn text(music: &Music, losses: &mut Losses) -> String {
    let mut ids = names::Ids::default();
    let mut rows: Vec<Row> = Vec::new();
    let mut out = head::fields(music);
    for part in &music.parts {
        let mut all = lines(part, &music.bars, losses);
        let called = ids.of(part, all.len());
        let switches = names::switches(part);
        for (n, (line, id)) in all.iter_mut().zip(&called).enumerate() {
            // What one stave loses is lost once, whoever reads it.
            let mut again = Losses::default();
            let told = if n == 0 { &mut *losses } else { &mut again };
            settle(line, &music.bars, &switches, &part.name, told);
            for (at, bar) in line.bars.iter_mut().enumerate() {
                if !writable(&mut bar.cells) {
                    losses.add("a rhythm that no figure says: laid on 64ths", &part.name, Some(at as i64));
                }
            }
            out += &head::player(part, id, n, called.len());
        }
        rows.extend(called.into_iter().zip(all).map(|(id, line)| Row { id, line }));
    }
    out.push('\n');
    blocks::write(music, &rows, losses, &mut out);
    tidied(Document::new(&out).lines())
}

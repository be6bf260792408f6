//! Rows: names, figures, entries, free things, chord symbols.

use super::{Brush, Colour};
use crate::notation::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{FigureNode, Instruction, Item, Play, Row, RowKind, SymbolKind, What};

/// A row of a block.
pub fn row(brush: &mut Brush<'_>, row: &Row) {
    let tokens = &brush.line.tokens;
    let first = tokens.iter().position(|t| t.kind.is_barline()).unwrap_or(tokens.len());
    let (head, rest) = tokens.split_at_checked(first).unwrap_or((tokens, &[]));
    let mut line_word = row.kind != RowKind::Music;
    for token in head {
        match token.kind {
            Kind::Blank => {}
            Kind::Comment => brush.put(token.span, Colour::Comment),
            _ if std::mem::take(&mut line_word) => brush.put(token.span, Colour::Word),
            _ if row.names.contains(&token.span) => {
                brush.put_if(token.span, brush.ground.person(brush.text(token.span)));
            }
            _ => {}
        }
    }
    bars(brush, row, rest);
}

/// Everything from the first barline on.
pub fn bars(brush: &mut Brush<'_>, row: &Row, tokens: &[Token]) {
    let (mut bar, mut thing, mut node) = (0, 0, 0);
    for token in tokens {
        match token.kind {
            Kind::Blank | Kind::Beyond => continue,
            Kind::Comment => {
                brush.put(token.span, Colour::Comment);
                continue;
            }
            Kind::Barline | Kind::FigureBarline | Kind::FigureColon => {
                brush.put(token.span, Colour::Sign);
                continue;
            }
            _ => {}
        }
        let ended = |span: Span| span.end <= token.span.start;
        while row.bars.get(bar).is_some_and(|b| ended(b.span)) {
            bar += 1;
        }
        let figured = row.bars.get(bar).is_some_and(|b| b.has_figure && b.figure.contains(token.span.start));
        if row.kind == RowKind::Chords {
            while row.symbols.get(thing).is_some_and(|s| ended(s.span)) {
                thing += 1;
            }
            if let Some(symbol) = row.symbols.get(thing).filter(|s| s.span.contains(token.span.start)) {
                self::symbol(brush, symbol.span, symbol.what, token);
                continue;
            }
        } else {
            while row.items.get(thing).is_some_and(|i| ended(i.span)) {
                thing += 1;
            }
            if let Some(item) = row.items.get(thing).filter(|i| i.span.contains(token.span.start)) {
                self::item(brush, row, item, token);
                continue;
            }
        }
        if figured {
            while row.nodes.get(node).is_some_and(|n| ended(span_of(n))) {
                node += 1;
            }
            if let Some(node) = row.nodes.get(node).filter(|n| span_of(n).contains(token.span.start)) {
                figure(brush, node, token);
            }
        }
    }
}

fn span_of(node: &FigureNode) -> Span {
    match node {
        FigureNode::Place(place) => place.span,
        FigureNode::Open { span, .. } | FigureNode::Close { span, .. } => *span,
    }
}

fn figure(brush: &mut Brush<'_>, node: &FigureNode, token: &Token) {
    let colour = match (node, token.kind) {
        (_, Kind::Times) => Colour::Number,
        (FigureNode::Open { .. }, Kind::Number | Kind::Colon) => Colour::Number,
        (FigureNode::Place(_), Kind::Word | Kind::Dot | Kind::Plus) => Colour::Value,
        (FigureNode::Place(_), Kind::Technique) => Colour::Technique,
        _ => Colour::Sign,
    };
    brush.put(token.span, colour);
}

fn symbol(brush: &mut Brush<'_>, span: Span, what: SymbolKind, token: &Token) {
    match what {
        // Put down once, where it begins.
        SymbolKind::Chord | SymbolKind::None if token.span.start == span.start => {
            brush.put(span, Colour::ChordSymbol);
        }
        SymbolKind::Chord | SymbolKind::None | SymbolKind::Bad => {}
        SymbolKind::Rests(_) | SymbolKind::Again(_) => many_bars(brush, token),
    }
}

fn item(brush: &mut Brush<'_>, row: &Row, item: &Item, token: &Token) {
    match item.what {
        What::Note(_)
        | What::Chord(_)
        | What::Rest
        | What::Hold
        | What::GraceNote(_)
        | What::GraceChord(_) => entry(brush, token),
        What::Rests(_) | What::Again(_) | What::Improvise(_) => many_bars(brush, token),
        What::Play(index) => match row.plays.get(index as usize) {
            Some(play) => self::play(brush, play, token),
            None => many_bars(brush, token),
        },
        What::Dynamic(_) | What::Crescendo | What::Diminuendo => brush.put(token.span, Colour::Dynamic),
        What::Words => brush.put(token.span, Colour::Text),
        What::Instruction(instruction) => instructed(brush, row, instruction, item.span, token),
        What::Bad => {}
    }
}

/// A note, chord, rest or hold with its marks.
fn entry(brush: &mut Brush<'_>, token: &Token) {
    let colour = match token.kind {
        Kind::Pitch => Colour::Note,
        Kind::Technique => Colour::Technique,
        Kind::Choice => Colour::Choice,
        Kind::Times => Colour::Number,
        Kind::Dot
        | Kind::Minus
        | Kind::Greater
        | Kind::Caret
        | Kind::Low
        | Kind::Comma
        | Kind::Commas
        | Kind::Equals
        | Kind::Slash
        | Kind::ParenOpen
        | Kind::ParenClose => Colour::Sign,
        _ => return,
    };
    brush.put(token.span, colour);
}

/// `rest 8`, `%*3`, `improvise 8`.
fn many_bars(brush: &mut Brush<'_>, token: &Token) {
    match token.kind {
        Kind::Number | Kind::Times => brush.put(token.span, Colour::Number),
        Kind::Percent => brush.put(token.span, Colour::Sign),
        _ => brush.put(token.span, Colour::Word),
    }
}

/// `play riff up m3*2`.
fn play(brush: &mut Brush<'_>, play: &Play, token: &Token) {
    if token.span == play.phrase {
        brush.put_if(token.span, brush.ground.phrase(brush.text(token.span)));
    } else if token.kind == Kind::Times {
        brush.put(token.span, Colour::Number);
    } else if matches!(brush.text(token.span), "play" | "up" | "down") {
        brush.put(token.span, Colour::Word);
    } else {
        brush.put(token.span, Colour::Term);
    }
}

/// `[…]`: brackets and first word alike, what follows by what it is.
fn instructed(brush: &mut Brush<'_>, row: &Row, instruction: Instruction, whole: Span, token: &Token) {
    if instruction == Instruction::Bad {
        return;
    }
    let brackets = matches!(token.kind, Kind::SquareOpen | Kind::SquareClose);
    let before = Span::new(whole.start, token.span.start);
    let first = brush.text(before).trim_end() == "[";
    if brackets || first {
        return brush.put(token.span, Colour::Instruction);
    }
    match instruction {
        Instruction::Mute(_) | Instruction::Clef(_) => brush.put(token.span, Colour::Term),
        Instruction::Tempo(_) => brush.tempo(token),
        Instruction::Switch(index) => {
            let Some(switch) = row.switches.get(index as usize) else { return };
            let colour = brush.ground.instrument(brush.text(switch.instrument));
            // One name, as a player says it, put down once.
            if token.span.start == switch.instrument.start {
                let whole = switch.read_in.map_or(switch.instrument, |key| switch.instrument.to(key.span));
                brush.put_if(whole, colour);
            }
        }
        _ => brush.put(token.span, Colour::Instruction),
    }
}

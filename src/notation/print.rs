//! The tree of a line as indented text, for whoever works on the notation itself.

use super::line::Line;
use super::span::Span;
use super::tree::{
    Bar, FigureNode, Instruction, Item, LineTree, Mark, Marks, MemberKind, PlaceKind, Row, RowKind,
    SymbolKind, What,
};
use std::fmt::Write;

/// The tree with its faults. Columns are bytes from the start of the line, from 0.
pub fn print(line: &Line) -> String {
    let mut out = String::new();
    write_line(line, &mut out);
    for fault in &line.faults {
        let (a, b) = (fault.span.start, fault.span.end);
        let _ = writeln!(out, "  fault {} {a}..{b} {:?}: {}", fault.name.word(), fault.weight, fault.text);
        if let Some(fix) = &fault.fix {
            let edits: Vec<String> = fix
                .edits
                .iter()
                .map(|(span, with)| format!("{}..{} -> {with:?}", span.start, span.end))
                .collect();
            let _ = writeln!(out, "    fix {}: {}", fix.title, edits.join(", "));
        }
    }
    out
}

fn write_line(line: &Line, out: &mut String) {
    let text: &str = &line.text;
    let said = |span: Span| span.of(text);
    let name = |span: Option<Span>| span.map_or("?", said);
    let _ = match &line.tree {
        LineTree::Blank => writeln!(out, "blank"),
        LineTree::Version(n) => writeln!(out, "version {n:?}"),
        LineTree::Text(field, span) => writeln!(out, "{field:?} {}", name(*span)),
        LineTree::Level(level) => writeln!(out, "level {level:?}"),
        LineTree::Basis(basis) => writeln!(out, "pitch {basis:?}"),
        LineTree::Tuning(n) => writeln!(out, "tuning {n:?} hundredths of a hertz"),
        LineTree::Player(p) => {
            let _ =
                writeln!(out, "player {} = {} {}", name(p.id), name(p.instrument), read_in(p.read_in, text));
            for option in &p.options {
                let _ = writeln!(out, "  option {} {:?}", said(option.span), option.what);
            }
            Ok(())
        }
        LineTree::Group(g) => {
            let members: Vec<&str> = g.members.iter().map(|m| said(*m)).collect();
            writeln!(out, "group {} = {}", name(g.id), members.join(" "))
        }
        LineTree::Instrument(i) => writeln!(out, "instrument {} {i:?}", name(i.id)),
        LineTree::Phrase(p) => {
            let _ = writeln!(out, "phrase {} {}", name(p.id), read_in(p.read_in, text));
            write_row(&p.row, text, out);
            Ok(())
        }
        LineTree::Allow(a) => {
            let rules: Vec<&str> = a.rules.iter().map(|m| said(*m)).collect();
            let players: Vec<&str> = a.players.iter().map(|m| said(*m)).collect();
            writeln!(out, "allow {} for {}", rules.join(" "), players.join(" "))
        }
        LineTree::Roadmap(stations) => {
            let all: Vec<String> = stations.iter().map(|s| format!("{}*{}", said(s.name), s.times)).collect();
            writeln!(out, "roadmap {}", all.join(" "))
        }
        LineTree::Include(span) => writeln!(out, "include {}", name(*span)),
        LineTree::Block(b) => {
            let _ = writeln!(out, "block {:?}", b.number.map(|(_, n)| n));
            for setting in &b.settings {
                let _ = writeln!(out, "  setting {} {:?}", said(setting.span), setting.what);
            }
            Ok(())
        }
        LineTree::Row(row) => {
            write_row(row, text, out);
            Ok(())
        }
        LineTree::Bad => writeln!(out, "unreadable"),
    };
}

fn read_in(read_in: Option<super::tree::ReadIn>, text: &str) -> String {
    read_in.map_or_else(String::new, |r| format!("in {}", r.span.of(text)))
}

fn write_row(row: &Row, text: &str, out: &mut String) {
    let names: Vec<&str> = row.names.iter().map(|n| n.of(text)).collect();
    let open = if row.closed { "" } else { " (open)" };
    let _ = writeln!(out, "{:?} row {}{open}", row.kind, names.join(" "));
    for bar in &row.bars {
        let faulty = if bar.faulty { " (faulty)" } else { "" };
        let _ = writeln!(out, "  bar {}..{}{faulty}", bar.span.start, bar.span.end);
        if bar.has_figure {
            let _ = writeln!(out, "    figure {}", bar.figure.of(text));
        }
        for node in bar.nodes.of(&row.nodes) {
            let _ = writeln!(out, "      {}", node_text(node));
        }
        write_items(bar, row, text, out);
    }
}

fn write_items(bar: &Bar, row: &Row, text: &str, out: &mut String) {
    if row.kind == RowKind::Chords {
        for symbol in bar.items.of(&row.symbols) {
            let what = match symbol.what {
                SymbolKind::Chord => "chord".to_owned(),
                other => format!("{other:?}"),
            };
            let _ = writeln!(out, "    {} {what}", symbol.span.of(text));
        }
        return;
    }
    for item in bar.items.of(&row.items) {
        let _ = writeln!(out, "    {} {}", item.span.of(text), item_text(item, row, text));
    }
}

fn node_text(node: &FigureNode) -> String {
    match node {
        FigureNode::Open { count, normal, .. } => format!("open {count}:{normal}"),
        FigureNode::Close { times, .. } => format!("close *{times}"),
        FigureNode::Place(place) => {
            let kind = match place.kind {
                PlaceKind::Entry => "entry",
                PlaceKind::Silence => "silence",
                PlaceKind::Hold => "hold",
            };
            let plain = if place.plain { " plain" } else { "" };
            let fermata = if place.fermata { " fermata" } else { "" };
            format!("place {} {kind} *{}{plain}{fermata}", place.value, place.times)
        }
    }
}

fn item_text(item: &Item, row: &Row, text: &str) -> String {
    let mut out = match item.what {
        What::Note(pitch) => format!("note {pitch}"),
        What::GraceNote(pitch) => format!("grace {pitch}"),
        What::Chord(members) | What::GraceChord(members) => {
            let grace = if matches!(item.what, What::GraceChord(_)) { "grace " } else { "" };
            let members: Vec<String> = members
                .of(&row.members)
                .iter()
                .map(|m| {
                    let what = match m.what {
                        MemberKind::Note(pitch) => pitch.to_string(),
                        MemberKind::Rest => "rest".to_owned(),
                        MemberKind::Hold => "hold".to_owned(),
                    };
                    format!("{what}{}", marks_text(m.marks))
                })
                .collect();
            format!("{grace}chord {}", members.join(", "))
        }
        What::Play(at) => match row.plays.get(at as usize) {
            Some(play) => format!("play {} by {} *{}", play.phrase.of(text), play.shift, play.times),
            None => "play".to_owned(),
        },
        What::Instruction(Instruction::Switch(at)) => match row.switches.get(at as usize) {
            Some(switch) => {
                format!("switch to {} {}", switch.instrument.of(text), read_in(switch.read_in, text))
            }
            None => "switch".to_owned(),
        },
        What::Instruction(Instruction::Tempo(at)) => row
            .tempos
            .get(at as usize)
            .map_or_else(String::new, |t| format!("tempo {} = {}", t.beat, t.per_minute)),
        other => format!("{other:?}").to_lowercase(),
    };
    out.push_str(&marks_text(item.marks));
    if item.times != 1 {
        let _ = write!(out, " *{}", item.times);
    }
    if row.kind == RowKind::Rhythm {
        let _ = write!(out, " after {}", item.after);
    }
    out
}

fn marks_text(marks: Marks) -> String {
    let mut out = String::new();
    for mark in Mark::ALL.into_iter().filter(|m| marks.has(*m)) {
        let _ = write!(out, " {mark:?}");
    }
    if let Some(pitch) = marks.trill {
        let _ = write!(out, " trill with {pitch}");
    }
    if let Some(choice) = marks.choice {
        let _ = write!(out, " {choice:?}");
    }
    out
}

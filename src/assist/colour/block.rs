//! The header of a block.

use super::{Brush, Colour};
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{BlockLine, SettingKind};

/// `bar [N] {SETTING}`.
pub fn header(brush: &mut Brush<'_>, block: &BlockLine) {
    let mut next = 0;
    let mut line_word = true;
    for token in &brush.line.tokens {
        match token.kind {
            Kind::Blank | Kind::Beyond => continue,
            Kind::Comment => {
                brush.put(token.span, Colour::Comment);
                continue;
            }
            _ => {}
        }
        if std::mem::take(&mut line_word) {
            brush.put(token.span, Colour::Word);
            continue;
        }
        while block.settings.get(next).is_some_and(|s| s.span.end <= token.span.start) {
            next += 1;
        }
        match block.settings.get(next).filter(|s| s.span.contains(token.span.start)) {
            Some(setting) if token.span.start == setting.span.start && setting.what == SettingKind::Bad => {}
            Some(setting) if token.span.start == setting.span.start => brush.put(token.span, Colour::Word),
            Some(setting) => self::setting(brush, &setting.what, token),
            None if block.number.is_some_and(|(span, _)| span == token.span) => {
                brush.put(token.span, Colour::Number);
            }
            None => {}
        }
    }
}

fn setting(brush: &mut Brush<'_>, what: &SettingKind, token: &Token) {
    match what {
        // `3+2/8` is one number to whoever reads it.
        SettingKind::Meter(_) => brush.put(token.span, Colour::Number),
        SettingKind::Key(_) => brush.put(token.span, Colour::Term),
        SettingKind::Tempo(_) => brush.tempo(token),
        SettingKind::Mark(name) | SettingKind::Spot(name) => {
            // A quoted name is declared with its quotes; one of several parts at its first.
            if token.kind == Kind::Quoted {
                brush.declare(token.span, Colour::Mark);
            } else if token.span.start == name.start {
                brush.declare(*name, Colour::Mark);
            }
        }
        SettingKind::Pickup(_) | SettingKind::Close(_) => brush.put(token.span, Colour::Value),
        SettingKind::Repeat { .. } | SettingKind::Ending(_) => {
            let number = token.kind == Kind::Number;
            brush.put(token.span, if number { Colour::Number } else { Colour::Word });
        }
        SettingKind::Bad => {}
    }
}

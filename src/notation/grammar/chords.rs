//! The row of chord symbols.

use super::list::BARS;
use super::marks::times;
use super::words::{gap, kind, shown, whole, word};
use super::{Reads, Sheet, here};
use crate::music::Step;
use crate::notation::fault::{Fault, FaultName};
use crate::notation::span::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{Symbol, SymbolKind};
use chumsky::prelude::*;

/// Symbols of one bar, up to the barline.
pub fn symbols<'t>() -> impl Reads<'t, ()> {
    let again = kind(Kind::Percent).then(times()).then_ignore(at_end()).map(|(_, n)| SymbolKind::Again(n));
    let rests =
        word("rest").ignore_then(gap()).ignore_then(kind(Kind::Number)).then_ignore(at_end()).map_with(
            |number, e| {
                let sheet: &mut Sheet<'t> = e.state();
                match whole(number, sheet.text).filter(|n| BARS.contains(n)) {
                    Some(n) => SymbolKind::Rests(n as u16),
                    None => {
                        let text = format!("`rest` lasts from {} to {} bars.", BARS.start(), BARS.end());
                        sheet.spoil(Fault::new(FaultName::BadNumber, number.span, text));
                        SymbolKind::Bad
                    }
                }
            },
        );
    let text = any()
        .filter(|t: &Token| {
            !t.kind.is_barline() && !matches!(t.kind, Kind::Blank | Kind::Comment | Kind::Beyond)
        })
        .repeated()
        .at_least(1)
        .map_with(|(), e| {
            let span = here(e);
            let sheet: &mut Sheet<'t> = e.state();
            classify(span, sheet)
        });
    let symbol = choice((again, rests, text)).map_with(|what, e| {
        let span = here(e);
        let sheet: &mut Sheet<'t> = e.state();
        sheet.symbols.push(Symbol { span, what });
    });
    empty().foldl_with(choice((gap(), symbol)).repeated(), |(), (), _| ())
}

/// Nothing touches.
fn at_end<'t>() -> impl Reads<'t, ()> {
    let touching = any().filter(|t: &Token| {
        !t.kind.is_barline() && !matches!(t.kind, Kind::Blank | Kind::Comment | Kind::Beyond)
    });
    touching.not()
}

fn classify(span: Span, sheet: &mut Sheet<'_>) -> SymbolKind {
    let said = span.of(sheet.text);
    if said == "N.C." {
        return SymbolKind::None;
    }
    let letter = said.chars().next();
    if letter.and_then(Step::from_letter).is_some() {
        return SymbolKind::Chord;
    }
    let capital = letter.filter(|c| ('a'..='g').contains(c)).map(|c| c.to_ascii_uppercase());
    let mut fault = Fault::new(
        FaultName::Unreadable,
        span,
        format!(
            "`{}` is no chord symbol: a capital letter A to G, an accidental and the kind of chord, such as `Bb6`; `N.C.` is no chord.",
            shown(said)
        ),
    );
    if let Some(capital) = capital {
        let first = Span::new(span.start, span.start + 1);
        fault = fault.fixed_by(format!("Write {capital}"), first, capital.to_string());
    } else if matches!(said, "NC" | "N.C" | "n.c." | "nc") {
        fault = fault.fixed_by("Write N.C.", span, "N.C.");
    }
    sheet.spoil(fault);
    SymbolKind::Bad
}

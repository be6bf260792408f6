//! Which of the protocol's token types stand for our colours, for a client that knows so many of them.
//!
//! The types are those of program texts and every colour theme has colours for them; each colour has the
//! nearest one first. What a client cannot show is not sent.

use crate::assist::{Colour, Coloured};
use tower_lsp::lsp_types::{SemanticTokenModifier, SemanticTokenType};

/// What was agreed about tokens.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Legend {
    pub types: Vec<SemanticTokenType>,
    pub modifiers: Vec<SemanticTokenModifier>,
    /// By colour, in the order of [`Colour::ALL`]: the index of its type.
    of: Vec<Option<u32>>,
    declaration: u32,
    library: u32,
}

impl Legend {
    /// For a client that knows these; one that names none takes what comes.
    pub fn of(types: &[SemanticTokenType], modifiers: &[SemanticTokenModifier]) -> Legend {
        let mut legend = Legend::default();
        for colour in Colour::ALL {
            let known = |t: &SemanticTokenType| types.is_empty() || types.contains(t);
            let fitting = fitting(colour).into_iter().find(known);
            let index = fitting.map(|fitting| match legend.types.iter().position(|t| *t == fitting) {
                Some(index) => index as u32,
                None => {
                    legend.types.push(fitting);
                    legend.types.len() as u32 - 1
                }
            });
            legend.of.push(index);
        }
        legend.declaration = legend.modifier(SemanticTokenModifier::DECLARATION, modifiers);
        legend.library = legend.modifier(SemanticTokenModifier::DEFAULT_LIBRARY, modifiers);
        legend
    }

    /// The bit of a modifier; none where the client does not know it.
    fn modifier(&mut self, modifier: SemanticTokenModifier, known: &[SemanticTokenModifier]) -> u32 {
        if !known.contains(&modifier) {
            return 0;
        }
        self.modifiers.push(modifier);
        1 << (self.modifiers.len() - 1)
    }

    /// Type and modifiers of a colour; `None` where the client has no type for it.
    pub fn token(&self, coloured: &Coloured) -> Option<(u32, u32)> {
        let kind = (*self.of.get(coloured.colour as usize)?)?;
        let declared = if coloured.declares { self.declaration } else { 0 };
        let known = if coloured.colour == Colour::Instrument { self.library } else { 0 };
        Some((kind, declared | known))
    }
}

/// The types that fit, the best first.
fn fitting(colour: Colour) -> Vec<SemanticTokenType> {
    use SemanticTokenType as T;
    match colour {
        Colour::Word => vec![T::KEYWORD],
        Colour::Term => vec![T::ENUM_MEMBER, T::PROPERTY],
        Colour::Player => vec![T::VARIABLE],
        Colour::Group => vec![T::NAMESPACE, T::VARIABLE],
        Colour::Phrase => vec![T::FUNCTION, T::METHOD],
        Colour::Mark => vec![T::EVENT, T::ENUM_MEMBER, T::STRING],
        Colour::OwnInstrument => vec![T::CLASS, T::TYPE],
        Colour::Instrument => vec![T::TYPE, T::CLASS],
        Colour::Note => vec![T::PROPERTY, T::PARAMETER],
        Colour::ChordSymbol => vec![T::STRUCT, T::CLASS, T::TYPE],
        Colour::Value | Colour::Number => vec![T::NUMBER],
        Colour::Dynamic => vec![T::MODIFIER, T::KEYWORD],
        Colour::Instruction | Colour::Technique => vec![T::MACRO, T::FUNCTION, T::KEYWORD],
        Colour::Choice => vec![T::DECORATOR, T::MACRO, T::NUMBER],
        Colour::Sign => vec![T::OPERATOR],
        Colour::Text => vec![T::STRING],
        Colour::Comment => vec![T::COMMENT],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation::Span;

    fn every(colour: Colour) -> Coloured {
        Coloured { span: Span::new(0, 1), colour, declares: true }
    }

    #[test]
    fn a_client_is_sent_only_what_it_knows() {
        let few = [SemanticTokenType::KEYWORD, SemanticTokenType::VARIABLE];
        let legend = Legend::of(&few, &[]);
        assert_eq!(legend.types.len(), 2);
        for colour in Colour::ALL {
            assert!(legend.token(&every(colour)).is_none_or(|(kind, modifiers)| kind < 2 && modifiers == 0));
        }
        assert_eq!(legend.token(&every(Colour::Comment)), None);
        assert_eq!(legend.token(&every(Colour::Group)), legend.token(&every(Colour::Player)));
    }

    #[test]
    fn every_colour_has_a_type_and_the_order_is_that_of_all() {
        let known = [SemanticTokenModifier::DECLARATION, SemanticTokenModifier::DEFAULT_LIBRARY];
        let legend = Legend::of(&[], &known);
        for (index, colour) in Colour::ALL.into_iter().enumerate() {
            assert_eq!(colour as usize, index);
            let (kind, modifiers) = legend.token(&every(colour)).unwrap();
            assert!((kind as usize) < legend.types.len());
            assert_eq!(modifiers, if colour == Colour::Instrument { 3 } else { 1 });
        }
    }
}

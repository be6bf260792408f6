//! Names, compared in normal form C.

use std::borrow::Cow;
use unicode_normalization::{IsNormalized, UnicodeNormalization, is_nfc_quick};

/// The name in normal form C; borrowed where it is so already.
pub fn normal(name: &str) -> Cow<'_, str> {
    if name.is_ascii() || is_nfc_quick(name.chars()) == IsNormalized::Yes {
        Cow::Borrowed(name)
    } else {
        Cow::Owned(name.nfc().collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_name_however_it_is_typed() {
        assert_eq!(normal("e\u{301}"), "é");
    }
}

//! A rule's page for a terminal.
//!
//! Pages are written in a small part of Markdown: a title, paragraphs, lists, `**strong**` words, code in
//! backquotes and fenced examples.

use crate::cli::paint::Paint;
use unicode_width::UnicodeWidthStr;

/// The page in at most so many columns; examples keep their lines whatever the width.
pub fn page(markdown: &str, paint: Paint, width: usize) -> String {
    let mut shown = String::new();
    let mut paragraph = String::new();
    let mut in_example = false;
    let mut flush = |paragraph: &mut String, shown: &mut String| {
        if !paragraph.is_empty() {
            for line in filled(paragraph, width) {
                shown.push_str(&strong_words(&line, paint));
                shown.push('\n');
            }
            paragraph.clear();
        }
    };
    for line in markdown.lines() {
        if line.trim_start().starts_with("```") {
            flush(&mut paragraph, &mut shown);
            in_example = !in_example;
        } else if in_example {
            shown.push_str(format!("    {line}").trim_end());
            shown.push('\n');
        } else if let Some(title) = line.strip_prefix("# ") {
            shown.push_str(&paint.strong(title));
            shown.push('\n');
        } else if line.trim().is_empty() {
            flush(&mut paragraph, &mut shown);
            shown.push('\n');
        } else {
            if line.starts_with("- ") {
                flush(&mut paragraph, &mut shown);
            } else if !paragraph.is_empty() {
                paragraph.push(' ');
            }
            paragraph.push_str(line.trim_end());
        }
    }
    flush(&mut paragraph, &mut shown);
    shown.trim_end().to_owned() + "\n"
}

/// A paragraph in lines; what follows the first line of a list entry is set in.
fn filled(paragraph: &str, width: usize) -> Vec<String> {
    let inset = if paragraph.starts_with("- ") { "  " } else { "" };
    let mut lines: Vec<String> = Vec::new();
    for word in paragraph.split_whitespace() {
        let wide = word.replace("**", "").width();
        match lines.last_mut() {
            Some(line) if line.replace("**", "").width() + 1 + wide <= width => {
                line.push(' ');
                line.push_str(word);
            }
            Some(_) => lines.push(format!("{inset}{word}")),
            None => lines.push(word.to_owned()),
        }
    }
    lines
}

/// `**words**` standing out, or without their stars; a pair that a line end parts stays as it is.
fn strong_words(line: &str, paint: Paint) -> String {
    let mut shown = String::new();
    let mut rest = line;
    while let Some((before, from)) = rest.split_once("**") {
        shown.push_str(before);
        match from.split_once("**") {
            Some((words, after)) => {
                shown.push_str(&paint.strong(words));
                rest = after;
            }
            None => {
                shown.push_str("**");
                rest = from;
            }
        }
    }
    shown + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: &str = "# too-high\n\nA note is higher than players of this level can be relied on to play.\n\n\
        **Why.** The top is soft.\n\n- one of two things that are told in more than a line\n- two\n\n\
        ```brass\nTp1 | h : G5 F5 |\n//        ^^ warning\n```\n\n\n**Fixes.** An octave\ndown.\n";

    #[test]
    fn a_page_for_a_terminal() {
        insta::assert_snapshot!(page(PAGE, Paint(false), 40), @r"
        too-high

        A note is higher than players of this
        level can be relied on to play.

        Why. The top is soft.

        - one of two things that are told in
          more than a line
        - two

            Tp1 | h : G5 F5 |
            //        ^^ warning


        Fixes. An octave down.
        ");
    }

    #[test]
    fn strong_words_stand_out() {
        assert_eq!(strong_words("**Why.** So.", Paint(true)), "\x1b[1mWhy.\x1b[0m So.");
        assert_eq!(strong_words("a ** b", Paint(true)), "a ** b");
    }
}

//! The grammar in the form of Kate and whatever else uses its highlighting.

use super::colours::{Colour, Rule, contexts};
use std::fmt::Write;

/// Name and default style of a colour.
fn style(colour: Colour) -> (&'static str, &'static str) {
    match colour {
        Colour::Comment => ("Comment", "dsComment"),
        Colour::Text => ("Text", "dsString"),
        Colour::Keyword => ("Keyword", "dsKeyword"),
        Colour::Property => ("Property", "dsOthers"),
        Colour::Builtin => ("Value", "dsBuiltIn"),
        Colour::Type => ("Instrument", "dsDataType"),
        Colour::Variable => ("Player", "dsVariable"),
        Colour::Function => ("Phrase", "dsFunction"),
        Colour::Technique => ("Technique", "dsExtension"),
        Colour::Note => ("Note", "dsChar"),
        Colour::Constant => ("Constant", "dsConstant"),
        Colour::Label => ("Label", "dsRegionMarker"),
        Colour::Number => ("Number", "dsDecVal"),
        Colour::Dynamic => ("Dynamic", "dsAttribute"),
        Colour::Operator => ("Operator", "dsOperator"),
        Colour::Delimiter => ("Delimiter", "dsOperator"),
        Colour::Bracket => ("Bracket", "dsOperator"),
    }
}

const ALL: [Colour; 17] = [
    Colour::Comment,
    Colour::Text,
    Colour::Keyword,
    Colour::Property,
    Colour::Builtin,
    Colour::Type,
    Colour::Variable,
    Colour::Function,
    Colour::Technique,
    Colour::Note,
    Colour::Constant,
    Colour::Label,
    Colour::Number,
    Colour::Dynamic,
    Colour::Operator,
    Colour::Delimiter,
    Colour::Bracket,
];

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
        .replace('\t', "&#9;")
}

pub fn syntax() -> String {
    let mut out = String::new();
    let o = &mut out;
    o.push_str("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!DOCTYPE language>\n");
    o.push_str("<!-- Written by tests/grammar of the project. -->\n");
    o.push_str("<language name=\"Brass\" section=\"Other\" version=\"1\" kateversion=\"5.62\" extensions=\"*.brass\" ");
    o.push_str("casesensitive=\"1\" indenter=\"none\" license=\"MIT OR Apache-2.0\">\n  <highlighting>\n    <contexts>\n");
    for (i, context) in contexts().iter().enumerate() {
        let end = if i == 0 { "#stay" } else { "#pop" };
        writeln!(
            o,
            "      <context name=\"{}\" attribute=\"Normal\" lineEndContext=\"{end}\">",
            context.name
        )
        .unwrap();
        for rule in &context.rules {
            let (colour, pattern, to, more) = match rule {
                Rule::Match(colour, pattern, to) => (Some(*colour), pattern, to.unwrap_or("#stay"), ""),
                Rule::Last(colour, pattern) => (Some(*colour), pattern, "#pop", ""),
                Rule::Ahead(pattern, to) => (None, pattern, *to, " lookAhead=\"1\""),
                Rule::Until(pattern) => (None, pattern, "#pop", " lookAhead=\"1\""),
                Rule::Of(name) => {
                    writeln!(o, "        <IncludeRules context=\"{name}\"/>").unwrap();
                    continue;
                }
            };
            // A block and its rows fold up to the next.
            let fold = if to == "block" { " beginRegion=\"block\" endRegion=\"block\"" } else { "" };
            let attribute = colour.map_or("Normal", |c| style(c).0);
            writeln!(
                o,
                "        <RegExpr attribute=\"{attribute}\" context=\"{to}\" String=\"{}\"{more}{fold}/>",
                escaped(pattern)
            )
            .unwrap();
        }
        o.push_str("      </context>\n");
    }
    o.push_str(
        "    </contexts>\n    <itemDatas>\n      <itemData name=\"Normal\" defStyleNum=\"dsNormal\"/>\n",
    );
    for colour in ALL {
        let (name, default) = style(colour);
        writeln!(o, "      <itemData name=\"{name}\" defStyleNum=\"{default}\"/>").unwrap();
    }
    o.push_str("    </itemDatas>\n  </highlighting>\n  <general>\n    <comments>\n");
    o.push_str("      <comment name=\"singleLine\" start=\"// \"/>\n    </comments>\n");
    o.push_str("    <keywords casesensitive=\"1\"/>\n  </general>\n</language>\n");
    out
}

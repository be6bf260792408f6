/**
 * The notation for editors that colour by trees. The form of every line is told in ../brass.ebnf; this grammar
 * takes somewhat more, so that a text that is being typed keeps its shape. What a word means is decided by where
 * it stands: a name may look like a note.
 */

// Written by the program's test, like the lists of the other grammars.
const words = require("./words.json");

const escape = (word) => word.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
const either = (list) => list.map(escape).join("|");
const dotted = `(${either(words.value)})\\.{0,2}`;

const NOTE = /[A-G](#|x|bb|b|♯|♭|𝄪|𝄫)?[0-9]/;

module.exports = grammar({
  name: "brass",

  // A mark at the beginning of a text is a blank.
  extras: (_) => [/[ \t\uFEFF]/],

  word: ($) => $._word,

  inline: ($) => [$._free, $._timed],

  rules: {
    // Blocks hold the lines up to the next one. The last line of a text need not end.
    score: ($) =>
      seq(optional($._lines), optional(choice($._content, seq(repeat($.block), alias($._last_block, $.block))))),

    _lines: ($) => repeat1(seq(optional($._content), $._line_end)),
    _line_end: (_) => /\r\n|\n|\r/,

    // Where two of these are equally long, the first is meant, if it may stand there.
    comment: (_) => token(/\/\/([ \t][^\r\n]*)?/),
    quoted: (_) => /"[^"\r\n]*"/,
    pitch: (_) => NOTE,
    length: (_) => new RegExp(`${dotted}(\\+${dotted})*`),
    symbol: (_) => choice(/[A-G][^ \t\r\n|]*/, "N.C."),
    _word: (_) => /\p{Alphabetic}[\p{Alphabetic}\p{M}\p{N}_]*/,
    _hyphened: (_) => /\p{Alphabetic}[\p{Alphabetic}\p{M}\p{N}_]*-[\p{Alphabetic}\p{M}\p{N}_\-]*/,

    block: ($) => seq($.bar_line, optional($.comment), $._line_end, optional($._lines)),
    _last_block: ($) =>
      seq($.bar_line, optional($.comment), optional(seq($._line_end, optional($._lines), optional($._content)))),

    _content: ($) => choice(seq($._line, optional($.comment)), $.comment),

    _line: ($) =>
      choice(
        $.version,
        $.text_line,
        $.level_line,
        $.basis_line,
        $.tuning_line,
        $.include,
        $.player,
        $.group,
        $.instrument,
        $.phrase,
        $.allowance,
        $.roadmap,
        $.rhythm_row,
        $.chords_row,
        $.music_row,
      ),

    // The head

    version: ($) => seq("brass", $.number),
    text_line: ($) => seq(choice("title", "composer", "arranger", "rights"), $.quoted),
    level_line: ($) => seq("level", $.level),
    basis_line: ($) => seq("pitch", $.basis),
    tuning_line: ($) => seq("tuning", "A4", "=", $.number),
    include: ($) => seq("include", $.quoted),

    player: ($) => seq("player", field("name", $.name), "=", $._instrument_said, repeat(seq(",", $.option))),

    _instrument_said: ($) => seq($.instrument_name, optional($.read_in)),
    instrument_name: ($) => choice($._known_instrument, repeat1(choice($._word, $._hyphened))),
    _known_instrument: (_) =>
      choice(...words.instrument.map((name) => new RegExp(escape(name).replaceAll(" ", "[ \\t]+")))),
    read_in: ($) => seq("in", $.key_name, optional($.register)),
    key_name: (_) => /[A-G](b|#|♭|♯)?/,

    option: ($) =>
      choice(
        seq("level", $.level),
        seq(choice("top", "bottom"), $.pitch),
        seq("mutes", choice("none", repeat1($.mute))),
        seq("valves", $.number, optional("plain")),
        seq("doubles", $._instrument_said),
        seq("clef", $.clef),
        seq("seats", $.number),
        seq("name", $.quoted),
        seq("signature", "none"),
      ),

    group: ($) => seq("group", field("name", $.name), "=", repeat1(field("member", $.name))),

    instrument: ($) =>
      seq("instrument", field("name", $.name), "=", choice("valved", "slide", "natural"), repeat(seq(",", $.part))),
    part: ($) =>
      choice(
        seq("fundamental", $.pitch),
        seq("valves", repeat1($.number)),
        seq(choice("range", "comfortable"), $.pitch, "..", $.pitch),
        $.read_in,
      ),

    allowance: ($) => seq("allow", repeat1($.rule), optional(seq("for", repeat1(field("for", $.name))))),
    rule: ($) => choice($._word, $._hyphened),

    roadmap: ($) => seq("roadmap", repeat1($.station)),
    station: ($) => seq($._label, optional($.times)),
    _label: ($) => choice($.quoted, $.label),
    label: (_) => /[\p{Alphabetic}\p{M}\p{N}_\-]+/,

    // Blocks

    bar_line: ($) => seq("bar", optional(field("number", $.number)), repeat($.setting)),
    setting: ($) =>
      choice(
        seq("meter", repeat1($.meter)),
        seq("key", choice("none", seq($.key_name, choice("major", "minor")))),
        seq("tempo", $._speed),
        seq(choice("mark", "spot"), $._label),
        seq(choice("pickup", "close"), $.length),
        seq("repeat", $.number, optional(seq("to", $.number))),
        seq("ending", repeat1($.number)),
      ),
    meter: (_) => /[0-9]+(\+[0-9]+)*\/[0-9]+/,
    _speed: ($) => seq(optional($.quoted), $.length, "=", $.number),

    // Rows. While a row is typed, its last barline may be missing.

    phrase: ($) => seq("phrase", field("name", $.name), optional($.read_in), $._music_bars),
    music_row: ($) => seq(repeat1(field("player", $.name)), $._music_bars),
    _music_bars: ($) => seq("|", repeat(seq(optional($.music_bar), "|")), optional($.music_bar)),
    rhythm_row: ($) => seq("rhythm", "|", repeat(seq(optional($.rhythm_bar), "|")), optional($.rhythm_bar)),
    chords_row: ($) => seq("chords", "|", repeat(seq(optional($.chords_bar), "|")), optional($.chords_bar)),

    music_bar: ($) => choice(seq($.figure, ":", repeat($._entry)), repeat1($._entry)),
    rhythm_bar: ($) => repeat1(choice($._place, $.again, $.quoted, $.instruction)),
    chords_bar: ($) =>
      choice(seq($.figure, ":", repeat($.symbol)), repeat1($.symbol), $.again, $.bars_of_rest),

    // Figures: when

    figure: ($) => repeat1($._place),
    _place: ($) => choice($.place, $.tuplet),
    place: ($) =>
      seq(
        $.length,
        optional(field("kind", choice(token.immediate("-"), token.immediate("=")))),
        optional(alias(token.immediate(":fermata"), $.technique)),
        optional($.times),
      ),
    tuplet: ($) => seq("{", $.number, ":", $.number, repeat1($._place), "}", optional($.times)),
    times: (_) => token.immediate(/\*[0-9]+/),

    // Lists: what

    _entry: ($) => choice($._free, $._timed),
    _timed: ($) =>
      choice($.note, $.chord_entry, $.rest, $.hold, $.grace, $.again, $.bars_of_rest, $.improvisation, $.play),

    note: ($) => seq($.pitch, repeat($._mark), optional($.times)),
    chord_entry: ($) => seq($.chord, repeat($._mark), optional($.times)),
    chord: ($) => seq("(", repeat1($._member), ")"),
    _member: ($) => choice(alias($._member_note, $.note), alias("-", $.rest), alias("=", $.hold)),
    _member_note: ($) => seq($.pitch, repeat($._mark)),
    rest: ($) => seq("-", repeat($._mark), optional($.times)),
    hold: ($) => seq("=", repeat($._mark), optional($.times)),
    grace: ($) => seq("/", choice($.pitch, $.chord), repeat($._mark)),

    again: ($) => seq("%", optional($.times)),
    bars_of_rest: ($) => seq("rest", $.number),
    improvisation: ($) => seq("improvise", $.number),
    play: ($) =>
      seq("play", field("phrase", $.name), optional(seq(choice("up", "down"), $.interval)), optional($.times)),
    interval: (_) => /[PMmAd][0-9]+/,

    _mark: ($) => choice($.articulation, $.technique, $.trill, $.choice),
    articulation: (_) =>
      choice(...[...words.sign].sort((a, b) => b.length - a.length).map((sign) => token.immediate(sign))),
    technique: (_) => choice(...words.technique.map((word) => token.immediate(word))),
    trill: ($) => seq(alias(token.immediate(":trill="), $.technique), alias(token.immediate(NOTE), $.pitch)),
    choice: (_) => token.immediate(/@[TG0-9]+/),

    // What takes no time

    _free: ($) => choice($.dynamic, $.quoted, $.instruction),
    instruction: ($) =>
      seq(
        "[",
        choice(
          seq("mute", $.mute),
          seq("switch", $._instrument_said),
          seq("clef", $.clef),
          seq("tempo", $._speed),
          ...words.instruction.filter((word) => !["mute", "switch", "clef", "tempo"].includes(word)),
        ),
        "]",
      ),

    // The program's words

    level: (_) => choice(...words.level),
    basis: (_) => choice(...words.basis),
    clef: (_) => choice(...words.clef),
    register: (_) => choice(...words.register),
    mute: (_) => choice(...words.mute),
    dynamic: (_) => choice(...words.dynamic),

    name: ($) => $._word,
    number: (_) => /[0-9]+(\.[0-9]+)?/,
  },
});

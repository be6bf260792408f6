; Written by tests/grammar of the project, from grammar/tree-sitter-brass/queries.
(comment) @comment
(quoted) @string

; What begins a line
[
  "brass" "title" "composer" "arranger" "rights" "pitch" "tuning" "include"
  "player" "group" "instrument" "phrase" "allow" "roadmap" "bar" "rhythm" "chords"
] @keyword
(level_line "level" @keyword)

["in" "for" "to" "up" "down"] @keyword

; What a player's line, an instrument's and a block's say
(option ["level" "top" "bottom" "mutes" "valves" "plain" "doubles" "clef" "seats" "name" "signature"] @property)
(option "none" @constant.builtin)
(part ["fundamental" "valves" "range" "comfortable"] @property)
(instrument ["valved" "slide" "natural"] @constant.builtin)
(setting ["meter" "key" "tempo" "mark" "spot" "pickup" "close" "repeat" "ending"] @property)
(setting ["none" "major" "minor"] @constant.builtin)
[(level) (basis) (clef) (register) (mute)] @constant.builtin

; Names
(instrument_name) @type
(player name: (name) @variable)
(group name: (name) @variable)
(group member: (name) @variable)
(instrument name: (name) @type)
(phrase name: (name) @function)
(play phrase: (name) @function)
(music_row player: (name) @variable)
(allowance for: (name) @variable)
(rule) @constant
(label) @label

; When
(length) @number
[(number) (meter) (times) (interval)] @number
(place kind: _ @operator)

; What
(pitch) @constant
"A4" @constant
(key_name) @constant
(symbol) @type
(dynamic) @attribute
(articulation) @operator
(technique) @function
(choice) @label
[(rest) (hold) (again)] @operator
["rest" "improvise" "play"] @keyword

(instruction ["mute" "open" "stopped" "hand" "flutter" "plain" "switch" "solo" "tutti" "clef" "tempo" "rit" "accel" "a-tempo"] @attribute)

["|" ":"] @punctuation.delimiter
(player "," @punctuation.delimiter)
(instrument "," @punctuation.delimiter)
["(" ")" "{" "}" "[" "]"] @punctuation.bracket
["=" ".." "/"] @operator

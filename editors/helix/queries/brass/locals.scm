; Written by tests/grammar of the project, from grammar/tree-sitter-brass/queries.
(score) @local.scope

(player name: (name) @local.definition.variable)
(group name: (name) @local.definition.variable)
(instrument name: (name) @local.definition.variable)
(phrase name: (name) @local.definition.variable)

(group member: (name) @local.reference)
(music_row player: (name) @local.reference)
(allowance for: (name) @local.reference)
(play phrase: (name) @local.reference)
(instrument_name) @local.reference

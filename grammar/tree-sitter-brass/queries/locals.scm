(score) @local.scope

(player name: (name) @local.definition)
(group name: (name) @local.definition)
(instrument name: (name) @local.definition)
(phrase name: (name) @local.definition)

(group member: (name) @local.reference)
(music_row player: (name) @local.reference)
(allowance for: (name) @local.reference)
(play phrase: (name) @local.reference)
(instrument_name) @local.reference

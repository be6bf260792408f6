if exists('b:current_syntax')
  finish
endif

" Words of the program, written by tests/grammar
let s:line = 'instrument\|arranger\|composer\|include\|roadmap\|chords\|phrase\|player\|rhythm\|rights\|tuning\|allow\|brass\|group\|level\|pitch\|title\|bar'
let s:setting = 'ending\|pickup\|repeat\|close\|meter\|tempo\|mark\|spot\|key\|to'
let s:option = 'comfortable\|fundamental\|signature\|doubles\|natural\|bottom\|valved\|valves\|level\|mutes\|plain\|range\|seats\|slide\|clef\|name\|top\|in'
let s:value = 'harmon-stemless\|professional\|solo-tone\|practice\|stopping\|straight\|amateur\|concert\|plunger\|whisper\|written\|bucket\|harmon\|school\|treble\|tenor\|alto\|bass\|cup\|hat'
let s:instrument = 'contrabass trombone\|straight trombone\|natural trumpet\|piccolo trumpet\|soprano cornet\|alto trombone\|baritone horn\|bass trombone\|bass trumpet\|natural horn\|Wagner tuba\|single horn\|flugelhorn\|mellophone\|sousaphone\|tenor horn\|euphonium\|BBb tuba\|cimbasso\|trombone\|CC tuba\|Eb tuba\|alphorn\|trumpet\|F tuba\|cornet\|bugle\|bass\|horn'
let s:dynamic = 'cresc\|ffff\|pppp\|dim\|fff\|ppp\|rfz\|sfp\|sfz\|ff\|fp\|fz\|mf\|mp\|pp\|sf\|f\|p'
let s:technique = 'halfvalve\|fermata\|flutter\|stopped\|closed\|ghost\|gliss\|growl\|scoop\|shake\|trill\|wedge\|bend\|doit\|fall\|open\|turn\|lip\|rip\|wah'
" End of them

syntax case match
syntax match brassRemark "\%(^\|\s\)\zs//\%(\s.*\)\?$"
syntax region brassWords start=+"+ end=+"+ oneline
execute 'syntax match brassLine "^\s*\zs\%(' . s:line . '\)\>"'

" A bar line and what it sets
syntax match brassBlock "^\s*bar\>.*$" contains=brassLine,brassSetting,brassWords,brassRemark,brassNumber,brassLength
execute 'syntax match brassSetting "\<\%(' . s:setting . '\)\>" contained'

" Players and instruments
syntax match brassPlayer "^\s*\%(player\|instrument\)\>.*$" contains=brassLine,brassName,brassOption,brassValue,brassInstrument,brassWords,brassRemark,brassNumber,brassNote
syntax match brassName "\k\+\ze\s*=" contained
execute 'syntax match brassOption "\<\%(' . s:option . '\)\>" contained'
execute 'syntax match brassValue "\<\%(' . s:value . '\|none\)\>" contained'
execute 'syntax match brassInstrument "\<\%(' . s:instrument . '\)\>" contained'

" Rows
syntax region brassInstruction start="\[" end="\]" oneline contains=brassWords
syntax match brassNote "\<[A-G]\%(#\|bb\|b\|x\|♯\|♭\|𝄪\|𝄫\)\?[0-9]\%([^0-9A-Za-z]\|$\)\@="
syntax match brassLength "\<\%(ww\|w\|h\|q\|e\|sss\|ss\|s\)\%([-.=*+: }]\|$\)\@="
syntax match brassNumber "\<[0-9]\+\%(\.[0-9]\+\)\?\>" contained
execute 'syntax match brassDynamic "\%(^\|\s\)\@<=\%(' . s:dynamic . '\)\%(\s\|$\)\@="'
execute 'syntax match brassTechnique ":\%(' . s:technique . '\)\%(\a\)\@!"'
syntax match brassChoice "@[A-Za-z0-9]\+"
syntax match brassBars "\<\%(play\|rest\|improvise\)\>"
syntax match brassBarline "|"

highlight default link brassRemark Comment
highlight default link brassWords String
highlight default link brassInstruction PreProc
highlight default link brassLine Keyword
highlight default link brassSetting Type
highlight default link brassOption Type
highlight default link brassValue Constant
highlight default link brassInstrument StorageClass
highlight default link brassName Identifier
highlight default link brassNote Identifier
highlight default link brassLength Number
highlight default link brassNumber Number
highlight default link brassDynamic Statement
highlight default link brassTechnique Special
highlight default link brassChoice Tag
highlight default link brassBars Statement
highlight default link brassBarline Delimiter
let b:current_syntax = 'brass'

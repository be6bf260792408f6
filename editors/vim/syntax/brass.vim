if exists('b:current_syntax')
  finish
endif
syntax match brassRemark "\%(^\|\s\)\zs//\%(\s.*\)\?$"
syntax region brassWords start=+"+ end=+"+ oneline
syntax region brassInstruction start="\[" end="\]" oneline contains=brassWords
syntax match brassLine "^\s*\zs\%(brass\|title\|composer\|arranger\|rights\|level\|pitch\|tuning\|player\|group\|instrument\|phrase\|allow\|roadmap\|include\|bar\|rhythm\|chords\)\>"
syntax match brassNote "\<[A-G]\%(#\|bb\|b\|x\)\?[0-9]\%([^0-9A-Za-z_]\|$\)\@="
syntax match brassDynamic "\<\%(p\{1,4}\|f\{1,4}\|mp\|mf\|fp\|sfp\|sf\|sfz\|fz\|rfz\|cresc\|dim\)\>"
syntax match brassTechnique ":[a-z]\+"
syntax match brassBarline "|"
highlight default link brassRemark Comment
highlight default link brassWords String
highlight default link brassInstruction PreProc
highlight default link brassLine Keyword
highlight default link brassNote Identifier
highlight default link brassDynamic Statement
highlight default link brassTechnique Special
highlight default link brassBarline Delimiter
let b:current_syntax = 'brass'

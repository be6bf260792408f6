[(chord) (tuplet) (instruction)] @rainbow.scope
["(" ")" "{" "}" "[" "]"] @rainbow.bracket

(player "player" @context name: (name) @name) @item
(group "group" @context name: (name) @name) @item
(instrument "instrument" @context name: (name) @name) @item
(phrase "phrase" @context name: (name) @name) @item
(block (bar_line "bar" @context number: (number) @name)) @item

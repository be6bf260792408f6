; A block with its rows.
(block) @fold

; Every line begins at the margin, and nothing goes on on the next.
(score) @indent.zero
(block) @indent.zero

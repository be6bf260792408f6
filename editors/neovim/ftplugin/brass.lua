vim.bo.commentstring = '// %s'
vim.bo.comments = '://'
-- The names of players and phrases have letters, digits and underlines; a rule's name has hyphens too.
vim.bo.iskeyword = '@,48-57,_,192-255,-'
vim.bo.expandtab = true
vim.wo.wrap = false

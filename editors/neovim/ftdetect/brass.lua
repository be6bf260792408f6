vim.filetype.add({ extension = { brass = 'brass' } })

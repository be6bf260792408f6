autocmd BufNewFile,BufRead *.brass setfiletype brass

if exists('b:did_ftplugin')
  finish
endif
let b:did_ftplugin = 1
setlocal commentstring=//\ %s comments=:// iskeyword=@,48-57,_,192-255,- expandtab nowrap
let b:undo_ftplugin = 'setlocal commentstring< comments< iskeyword< expandtab< wrap<'

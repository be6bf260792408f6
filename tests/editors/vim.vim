" Vim itself, with ALE, drives the server on a real score: vim -u NONE -i NONE -N -es -S THIS.
" PROJECT is the project's folder, SCORES a folder that may be written to.

let s:score = $SCORES . '/mole.brass'
call writefile([
\   'brass 1',
\   'player Tb1 = straight trombone',
\   'player Tp1 = trumpet in Bb, level school',
\   '',
\   'bar 1  meter 4/4  key Bb major  tempo q = 72',
\   'Tb1 | h : "𝄞" Eb2 F2 |',
\   'Tp1 | h : A5 F4 |',
\], s:score)

function! s:Tell(text) abort
  call writefile([a:text], '/dev/stdout', 'a')
endfunction

function! s:Found() abort
  return map(getloclist(0), {_, d -> d.lnum . ':' . d.col . '-' . d.end_col . ' ' . d.type})
endfunction

" Waits until it is so; nothing here waits for a time.
function! s:Until(wanted) abort
  for l:try in range(2000)
    if s:Found() ==# a:wanted
      return
    endif
    sleep 10m
  endfor
  throw 'findings, got and wanted: ' . string(s:Found()) . ' ' . string(a:wanted)
endfunction

try
  set encoding=utf-8
  execute 'set runtimepath^=' . $PROJECT . '/editors/vim'
  let g:ale_use_global_executables = 1
  packadd! ale
  filetype plugin on
  syntax on
  execute 'edit ' . fnameescape(s:score)
  if &filetype !=# 'brass'
    throw 'file type ' . &filetype
  endif
  runtime! plugin/ale.vim
  call ale#Queue(0, 'lint_file')
  " From 1, the last one included. ALE takes the protocol's columns as they come, in UTF-16 units.
  call s:Until(['6:16-18 E', '7:11-12 W'])
  call setline(7, 'Tp1 | h : A4 F4 |')
  call ale#Queue(0, '')
  call s:Until(['6:16-18 E'])
  call s:Tell('Vim ' . v:versionlong . ' with ALE: good')
  qall!
catch
  call s:Tell('Vim ' . v:versionlong . ' with ALE: ' . v:exception . ' at ' . v:throwpoint)
  cquit
endtry

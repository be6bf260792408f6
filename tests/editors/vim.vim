" Vim itself, with ALE, drives the server on a real score: vim -u NONE -i NONE -N -es -S THIS.
" PROJECT is the project's folder, SCORES a folder that may be written to.

let s:score = $SCORES . '/mole.brass'
call writefile(map([
\   'brass 1',
\   'player Tb1 = straight trombone',
\   'player Tp1 = trumpet in Bb, level school',
\   'player Tp2 = trumpet in Bb',
\   '',
\   'bar 1  meter 4/4  key Bb major  tempo q = 72',
\   'Tb1 | h : "𝄞" Eb2 F2 |',
\   'Tp1 | h : A5 F4 |',
\], {_, line -> line . "\r"}), s:score)

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

" Waits until a line is so.
function! s:Line(number, wanted) abort
  for l:try in range(2000)
    if getline(a:number) ==# a:wanted
      return
    endif
    sleep 10m
  endfor
  throw 'text, got and wanted: ' . string(getline(1, '$')) . ' ' . a:wanted
endfunction

" Stands for the person who is asked: takes the offer that begins so, or says a name.
let s:answer = ''
function! s:Answer(message) abort
  let l:number = matchstr(a:message, '\d\+\ze) ' . s:answer)
  return l:number ==# '' ? s:answer : l:number
endfunction

function! s:Colour(line, column) abort
  return synIDattr(synID(a:line, a:column, 1), 'name')
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
  if &fileformat !=# 'dos'
    throw 'line ends ' . &fileformat
  endif
  for [s:line, s:column, s:name] in [
  \   [1, 1, 'brassLine'], [3, 8, 'brassName'], [3, 14, 'brassInstrument'], [3, 29, 'brassOption'],
  \   [3, 36, 'brassValue'], [6, 8, 'brassSetting'], [6, 39, 'brassLength'], [7, 7, 'brassLength'],
  \   [7, 11, 'brassWords'], [7, 18, 'brassNote'], [8, 5, 'brassBarline']]
    if s:Colour(s:line, s:column) !=# s:name
      throw 'colour of ' . s:line . ':' . s:column . ': ' . s:Colour(s:line, s:column) . ', wanted ' . s:name
    endif
  endfor
  runtime! plugin/ale.vim
  runtime autoload/ale/util.vim
  function! ale#util#Input(message, value, ...) abort
    return s:Answer(a:message)
  endfunction
  call ale#Queue(0, 'lint_file')
  " From 1, the last one included. ALE takes the protocol's columns as they come, in UTF-16 units.
  call s:Until(['7:16-18 E', '8:11-12 W'])

  " Ways out: an octave lower, given to another player.
  for [s:answer, s:line, s:wanted] in [
  \   ['Down an octave: 1 note', 8, 'Tp1 | h : A4 F4 |'],
  \   ['Give 1 note in bar 1 to Tp2', 9, 'Tp2 | h h- : A5 |']]
    call cursor(8, 11)
    ALECodeAction
    call s:Line(s:line, s:wanted)
    call ale#Queue(0, '')
    call s:Until(['7:16-18 E'])
    silent undo
    call s:Line(8, 'Tp1 | h : A5 F4 |')
    call ale#Queue(0, '')
    call s:Until(['7:16-18 E', '8:11-12 W'])
  endfor

  " A note is completed.
  setlocal omnifunc=ale#completion#OmniFunc
  set completeopt=menu
  call cursor(8, 15)
  call feedkeys("a B\<C-x>\<C-o>", 'tx')
  if getline(8) !~# '^Tp1 | h : A5 F4 B[b#]\?\d |$'
    throw 'completed: ' . getline(8)
  endif
  silent undo
  call s:Line(8, 'Tp1 | h : A5 F4 |')

  " The name of a player, everywhere.
  let s:answer = 'Solo'
  call cursor(8, 2)
  ALERename
  call s:Line(3, 'player Solo = trumpet in Bb, level school')
  call s:Line(8, 'Solo | h : A5 F4 |')

  call setline(8, 'Solo | h : A4 F4 |')
  call ale#Queue(0, '')
  call s:Until(['7:16-18 E'])
  call s:Tell('Vim ' . v:versionlong . ' with ALE: good')
  qall!
catch
  call s:Tell('Vim ' . v:versionlong . ' with ALE: ' . v:exception . ' at ' . v:throwpoint)
  cquit
endtry

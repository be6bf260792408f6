-- Neovim itself drives the server on a real score: nvim --headless -u NONE -i NONE -c 'luafile THIS'.
-- WATERKEY is the program, PROJECT the project's folder, SCORES a folder that may be written to.
-- Ends with code 0, or tells what went wrong and ends with 1.

local project, scores = os.getenv('PROJECT'), os.getenv('SCORES')

local function check(good, what, ...)
  if not good then
    error(what .. ': ' .. vim.inspect({ ... }), 2)
  end
end

local function equal(got, wanted, what)
  check(vim.deep_equal(got, wanted), what .. ', got and wanted', got, wanted)
end

--- Waits until it is so; nothing here waits for a time.
local function until_so(what, condition)
  check(vim.wait(20000, condition, 5), what .. ' never came')
end

local function write(name, text)
  local path = scores .. '/' .. name
  local file = assert(io.open(path, 'wb'))
  file:write(text)
  file:close()
  return path
end

local function open(path)
  vim.cmd.edit(vim.fn.fnameescape(path))
  local buffer = vim.api.nvim_get_current_buf()
  until_so('a server for ' .. path, function()
    return #vim.lsp.get_clients({ bufnr = buffer }) == 1
  end)
  return buffer
end

local function findings(buffer, wanted)
  table.sort(wanted)
  local brief
  local came = vim.wait(20000, function()
    brief = vim.tbl_map(function(d)
      return ('%s %d:%d-%d'):format(d.code, d.lnum, d.col, d.end_col)
    end, vim.diagnostic.get(buffer))
    table.sort(brief)
    return vim.deep_equal(brief, wanted)
  end, 5)
  check(came, 'findings, got and wanted', brief, wanted)
end

local function ask(buffer, method, params)
  local answers = vim.lsp.buf_request_sync(buffer, method, params, 20000)
  check(answers, method .. ' was not answered')
  for _, answer in pairs(answers) do
    check(not answer.err, method, answer.err)
    return answer.result
  end
  check(false, method .. ' has no server')
end

--- A person types in another Neovim, the one key after the other.
local function complete_a_note()
  local there = vim.fn.jobstart({ vim.v.progpath, '--embed', '--headless', '-u', 'NONE', '-i', 'NONE' }, { rpc = true })
  local function lua(code, ...)
    return vim.rpcrequest(there, 'nvim_exec_lua', code, { ... })
  end
  local path = write('slip.brass', 'player Tp1 = trumpet in Bb\nbar 1  tempo q = 72\nTp1 | h : "\u{1d11e}" C5 \n')
  lua(
    [[
      vim.opt.runtimepath:prepend(...)
      vim.cmd('filetype plugin on')
      vim.cmd.runtime('plugin/waterkey.lua')
      vim.opt.completeopt = 'menu,menuone'
      vim.opt.swapfile = false
    ]],
    project .. '/editors/neovim'
  )
  lua('vim.cmd.edit(...)', path)
  until_so('a server in the other Neovim', function()
    return lua('return #vim.lsp.get_clients({ bufnr = 0 }) == 1 and vim.lsp.get_clients()[1].initialized == true')
  end)
  vim.rpcrequest(there, 'nvim_input', 'GA B<C-x><C-o>')
  until_so('what may stand there', function()
    return lua('return vim.fn.pumvisible()') == 1
  end)
  local offered = lua('return vim.tbl_map(function(item) return item.word end, vim.fn.complete_info({ "items" }).items)')
  for _, word in ipairs(offered) do
    check(word:find('^B'), 'only what begins so', offered)
  end
  vim.rpcrequest(there, 'nvim_input', '<C-y><Esc>')
  until_so('the note', function()
    return lua('return vim.api.nvim_buf_get_lines(0, 2, 3, false)[1]'):find('C5  ' .. offered[1] .. '$') ~= nil
  end)
  vim.fn.jobstop(there)
end

local function main()
  vim.opt.runtimepath:prepend(project .. '/editors/neovim')
  vim.env.PATH = vim.fs.dirname(os.getenv('WATERKEY')) .. ':' .. vim.env.PATH
  vim.cmd('filetype plugin on')
  vim.cmd.runtime('plugin/waterkey.lua')

  -- A clean score is silent; one with lines that end with CR and LF, and with a character outside the
  -- basic plane before the note, has its finding under the note.
  local text = table.concat({
    'brass 1',
    'player Tb1 = straight trombone',
    'player Tp1 = trumpet in Bb, level school',
    'player Tp2 = trumpet in Bb',
    '',
    'bar 1  meter 4/4  key Bb major  tempo q = 72',
    'Tb1 | h : "\u{1d11e}" Eb2 F2 |',
    'Tp1 | h : A5 F4 |',
    '',
  }, '\r\n')
  local buffer = open(write('quay.brass', text))
  equal(vim.bo[buffer].filetype, 'brass', 'file type')
  local client = vim.lsp.get_clients({ bufnr = buffer })[1]
  -- Neovim counts bytes; so does the server where it may.
  local byte = #'Tb1 | h : "\u{1d11e}" '
  findings(buffer, { ('tube-gap 6:%d-%d'):format(byte, byte + 3), 'too-high 7:10-12' })

  -- Hover.
  vim.api.nvim_win_set_cursor(0, { 8, 10 })
  local params = vim.lsp.util.make_position_params(0, client.offset_encoding)
  local told = ask(buffer, 'textDocument/hover', params)
  check(told.contents.value:find('B5', 1, true), 'hover tells the written note', told)

  -- Ways out: an octave lower, taken back again; given to another player.
  local function line(number)
    return vim.api.nvim_buf_get_lines(buffer, number - 1, number, false)[1]
  end
  local function accept(like)
    vim.api.nvim_win_set_cursor(0, { 8, 10 })
    vim.lsp.buf.code_action({
      apply = true,
      filter = function(action)
        return vim.startswith(action.title, like)
      end,
    })
  end
  accept('Down an octave: 1 note')
  until_so('a note an octave lower', function()
    return line(8) == 'Tp1 | h : A4 F4 |'
  end)
  findings(buffer, { ('tube-gap 6:%d-%d'):format(byte, byte + 3) })
  vim.cmd('silent undo')
  findings(buffer, { ('tube-gap 6:%d-%d'):format(byte, byte + 3), 'too-high 7:10-12' })
  accept('Give 1 note in bar 1 to Tp2')
  until_so('a note for another player', function()
    return line(8) == 'Tp1 | h- h : F4 |' and line(9) == 'Tp2 | h h- : A5 |'
  end)
  findings(buffer, { ('tube-gap 6:%d-%d'):format(byte, byte + 3) })
  vim.cmd('silent undo')
  findings(buffer, { ('tube-gap 6:%d-%d'):format(byte, byte + 3), 'too-high 7:10-12' })

  -- The name of a player, everywhere.
  vim.api.nvim_win_set_cursor(0, { 8, 1 })
  vim.lsp.buf.rename('Solo')
  until_so('the new name', function()
    return vim.api.nvim_buf_get_lines(buffer, 2, 3, false)[1]:find('player Solo = trumpet', 1, true)
      and vim.api.nvim_buf_get_lines(buffer, 7, 8, false)[1]:find('^Solo |') ~= nil
  end)
  findings(buffer, { ('tube-gap 6:%d-%d'):format(byte, byte + 3), 'too-high 7:11-13' })

  -- The columns of the block.
  vim.lsp.buf.format({ bufnr = buffer, timeout_ms = 20000 })
  local rows = vim.api.nvim_buf_get_lines(buffer, 6, 8, false)
  equal(rows[2], 'Solo   | h : A5 F4      |', 'layout')

  complete_a_note()

  -- The language server of a score that ends with its last window is told to end.
  equal(vim.lsp.get_clients({ bufnr = buffer })[1].name, 'waterkey', 'server')
end

local good, why = xpcall(main, debug.traceback)
if good then
  io.stdout:write('Neovim ' .. tostring(vim.version()) .. ': good\n')
  vim.cmd('qall!')
else
  io.stdout:write('Neovim ' .. tostring(vim.version()) .. ': ' .. tostring(why) .. '\n')
  vim.cmd('cquit 1')
end

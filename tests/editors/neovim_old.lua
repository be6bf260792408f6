-- A Neovim of before 0.11 drives the server on a real score: nvim --headless -u NONE -i NONE -c 'luafile THIS'.
-- PROJECT is the project's folder, SCORES a folder that may be written to; the program is on the path.
-- Ends with code 0, or tells what went wrong and ends with 1.

local function equal(got, wanted, what)
  if not vim.deep_equal(got, wanted) then
    error(what .. ', got and wanted: ' .. vim.inspect({ got, wanted }), 2)
  end
end

local function main()
  vim.opt.runtimepath:prepend(os.getenv('PROJECT') .. '/editors/neovim')
  vim.opt.swapfile = false
  vim.cmd('filetype plugin on')
  vim.cmd('runtime plugin/waterkey.lua')
  local path = os.getenv('SCORES') .. '/groyne.brass'
  local file = assert(io.open(path, 'wb'))
  file:write(table.concat({
    'player Tb1 = straight trombone',
    'bar 1  meter 4/4  tempo q = 72',
    'Tb1 | h : "\240\157\132\158" Eb2 F2 |',
    '',
  }, '\r\n'))
  file:close()
  vim.cmd('edit ' .. vim.fn.fnameescape(path))
  equal(vim.bo.filetype, 'brass', 'file type')
  local function places()
    return vim.tbl_map(function(d)
      return ('%d:%d-%d'):format(d.lnum, d.col, d.end_col)
    end, vim.diagnostic.get(0))
  end
  local byte = #'Tb1 | h : "\240\157\132\158" '
  local wanted = { ('2:%d-%d'):format(byte, byte + 3) }
  vim.wait(20000, function()
    return vim.deep_equal(places(), wanted)
  end, 5)
  equal(places(), wanted, 'findings')
  -- A second score has the same server.
  vim.cmd('edit ' .. vim.fn.fnameescape(os.getenv('SCORES') .. '/second.brass'))
  equal(#vim.lsp.get_active_clients(), 1, 'servers')
  vim.api.nvim_buf_set_lines(0, 0, -1, false, { 'Tp9 | w : C4 |' })
  vim.wait(20000, function()
    return #places() > 0
  end, 5)
  equal(places()[1], '0:0-3', 'a finding in the second score')
end

local good, why = xpcall(main, debug.traceback)
io.stdout:write('Neovim ' .. vim.fn.matchstr(vim.fn.execute('version'), [[v[0-9.]\+]]) .. ': ' .. (good and 'good' or why) .. '\n')
vim.cmd(good and 'qall!' or 'cquit 1')

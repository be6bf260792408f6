-- Neovim takes the tree-sitter grammar and its queries: nvim --headless -u NONE -i NONE -c 'luafile THIS', with
-- TREES a folder that has parser/brass.so and queries/brass, and PROJECT the project's folder.

local function equal(got, wanted, what)
  if not vim.deep_equal(got, wanted) then
    error(what .. ', got and wanted: ' .. vim.inspect({ got, wanted }), 2)
  end
end

local function main()
  vim.opt.runtimepath:prepend(os.getenv('TREES'))
  vim.opt.runtimepath:prepend(os.getenv('PROJECT') .. '/editors/neovim')
  vim.cmd('filetype on')
  vim.cmd.edit(os.getenv('PROJECT') .. '/samples/harbour.brass')
  equal(vim.bo.filetype, 'brass', 'file type')
  vim.treesitter.start(0, 'brass')
  local parser = vim.treesitter.get_parser(0, 'brass')
  local tree = parser:parse()[1]
  equal(tree:root():has_error(), false, 'an error in the tree')
  for _, query in ipairs({ 'highlights', 'folds', 'indents', 'locals', 'injections' }) do
    assert(vim.treesitter.query.get('brass', query), query)
  end
  local row = vim.fn.search([[^Tp1 *|.*Bb4_]], 'n') - 1
  local column = vim.api.nvim_buf_get_lines(0, row, row + 1, false)[1]:find('Bb4_') - 1
  local names = vim.tbl_map(function(capture)
    return capture.capture
  end, vim.treesitter.get_captures_at_pos(0, row, column))
  equal(names, { 'constant' }, 'colour of a note')
  -- A block folds with its rows.
  vim.wo.foldmethod = 'expr'
  vim.wo.foldexpr = 'v:lua.vim.treesitter.foldexpr()'
  vim.cmd('normal! zx')
  local bar = vim.fn.search([[^bar]], 'n')
  vim.wait(5000, function()
    return vim.fn.foldlevel(bar + 1) == 1
  end, 5)
  equal({ vim.fn.foldlevel(bar), vim.fn.foldlevel(bar + 1), vim.fn.foldlevel(1) }, { 1, 1, 0 }, 'folds')
end

local good, why = xpcall(main, debug.traceback)
io.stdout:write('Neovim with trees: ' .. (good and 'good' or why) .. '\n')
vim.cmd(good and 'qall!' or 'cquit 1')

-- Starts the server for every score. Older versions than 0.11 have no `vim.lsp.enable`.
if vim.lsp.enable then
  vim.lsp.enable('waterkey')
  return
end

vim.api.nvim_create_autocmd('FileType', {
  pattern = 'brass',
  callback = function(event)
    local path = vim.api.nvim_buf_get_name(event.buf)
    local settings = vim.fs.find({ 'waterkey.toml', '.git' }, { upward = true, path = vim.fs.dirname(path) })[1]
    vim.lsp.start({
      name = 'waterkey',
      cmd = { 'waterkey', 'serve' },
      root_dir = settings and vim.fs.dirname(settings),
    })
  end,
})

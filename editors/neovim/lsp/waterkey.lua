-- The language server, as Neovim 0.11 and later find it: `vim.lsp.enable('waterkey')`.
return {
  cmd = { 'waterkey', 'serve' },
  filetypes = { 'brass' },
  root_markers = { 'waterkey.toml', '.git' },
  -- A score needs no folder of its own.
  workspace_required = false,
}

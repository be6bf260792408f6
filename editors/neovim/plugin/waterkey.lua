-- Starts the server for every score.
if vim.lsp.enable then
  -- 0.11 and later: what it needs stands in lsp/waterkey.lua.
  vim.lsp.enable('waterkey')
  return
end

--- The nearest folder upwards that has a file of settings or a repository.
local function root_of(path)
  local folder = vim.fn.fnamemodify(path, ':p:h')
  while folder ~= '' do
    for _, name in ipairs({ 'waterkey.toml', '.git' }) do
      local mark = folder .. '/' .. name
      if vim.fn.filereadable(mark) == 1 or vim.fn.isdirectory(mark) == 1 then
        return folder
      end
    end
    local above = vim.fn.fnamemodify(folder, ':h')
    if above == folder then
      break
    end
    folder = above
  end
end

-- Before 0.8 nobody keeps count of the servers.
local clients = {}

local function start(buffer)
  local root = root_of(vim.api.nvim_buf_get_name(buffer))
  local config = { name = 'waterkey', cmd = { 'waterkey', 'serve' }, root_dir = root }
  if vim.lsp.start then
    vim.lsp.start(config)
    return
  end
  local key = root or ''
  if not clients[key] or vim.lsp.client_is_stopped(clients[key]) then
    clients[key] = vim.lsp.start_client(config)
  end
  if clients[key] then
    vim.lsp.buf_attach_client(buffer, clients[key])
  end
end

vim.api.nvim_create_autocmd('FileType', {
  pattern = 'brass',
  callback = function(event)
    start(event.buf)
  end,
})

call ale#Set('brass_waterkey_executable', 'waterkey')
call ale#linter#Define('brass', {
\   'name': 'waterkey',
\   'lsp': 'stdio',
\   'executable': {buffer -> ale#Var(buffer, 'brass_waterkey_executable')},
\   'command': '%e serve',
\   'project_root': {buffer -> fnamemodify(bufname(buffer), ':p:h')},
\   'language': 'brass',
\})

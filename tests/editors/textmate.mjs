// Tells what the TextMate grammar colours, for colours.py: node textmate.mjs SCORES…, with MODULES a folder that
// has vscode-textmate and vscode-oniguruma, which VS Code itself uses.

import fs from 'node:fs';
import path from 'node:path';
import { createRequire } from 'node:module';

const require = createRequire(path.join(process.env.MODULES, 'package.json'));
const { INITIAL, Registry, parseRawGrammar } = require('vscode-textmate');
const onig = require('vscode-oniguruma');

const wasm = fs.readFileSync(require.resolve('vscode-oniguruma/release/onig.wasm'));
await onig.loadWASM(wasm);
const file = 'grammar/brass.tmLanguage.json';
const grammar = await new Registry({
  onigLib: Promise.resolve({
    createOnigScanner: (patterns) => new onig.OnigScanner(patterns),
    createOnigString: (text) => new onig.OnigString(text),
  }),
  loadGrammar: async () => parseRawGrammar(fs.readFileSync(file, 'utf8'), file),
}).loadGrammar('source.brass');

for (const score of process.argv.slice(2)) {
  let state = INITIAL;
  const lines = [];
  for (const line of fs.readFileSync(score, 'utf8').split('\n')) {
    const { tokens, ruleStack } = grammar.tokenizeLine(line, state);
    state = ruleStack;
    // The innermost scope says it; the outermost is the language.
    lines.push(tokens.map((t) => [line.slice(t.startIndex, t.endIndex), t.scopes.length > 1 ? t.scopes.at(-1) : null]));
  }
  console.log(JSON.stringify({ path: score, lines }));
}

#!/usr/bin/env bash
# Builds waterkey.vsix: ./build.sh, with Node 20 or later.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")"
cp ../../grammar/brass.tmLanguage.json .
npm install --no-audit --no-fund --ignore-scripts --silent
# Scripts of packages are not run; this one fetches the builder's program.
node node_modules/esbuild/install.js
npm run --silent check
npm run --silent build -- --log-level=warning
npm run --silent package

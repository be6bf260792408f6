#!/usr/bin/env bash
# Makes `out/`, a folder that Zed can install as it is: ./prepare.sh, in a clone of the project.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")"
project="$(git rev-parse --show-toplevel)"
rm -rf out
mkdir out
cp -r Cargo.toml Cargo.lock src languages out/
# Zed fetches the grammar as a commit of a repository: this one.
sed -e "s#file:///path/to/waterkey#file://$project#" -e "s#^rev = .*#rev = \"$(git rev-parse HEAD)\"#" \
    extension.toml >out/extension.toml
printf 'Zed: "zed: install dev extension", and choose %s/out\n' "$PWD"

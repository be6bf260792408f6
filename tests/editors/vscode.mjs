// VS Code itself, in a browser, drives the server on a real score.
//
// node vscode.mjs, with PROJECT the project's folder, SCORES a folder that may be written to, CODE_SERVER the
// folder of VS Code's server, CHROMIUM the browser, PLAYWRIGHT a folder that has playwright-core, VSIX the
// extension and WATERKEY the program.
// A picture of the session is left in SCORES/vscode.png.

import assert from 'node:assert/strict';
import { spawn, spawnSync } from 'node:child_process';
import fs from 'node:fs';
import net from 'node:net';
import path from 'node:path';
import { createRequire } from 'node:module';

const { SCORES, CODE_SERVER, CHROMIUM = '/usr/bin/chromium', VSIX } = process.env;
const { chromium } = createRequire(path.join(process.env.PLAYWRIGHT, 'package.json'))('playwright-core');

const home = path.join(SCORES, 'code');
const scores = path.join(SCORES, 'code-scores');
for (const folder of [home, scores]) fs.mkdirSync(folder, { recursive: true });

// A character outside the basic plane stands before the note that the trombone does not have.
fs.writeFileSync(
  path.join(scores, 'jetty.brass'),
  [
    'brass 1',
    'player Tb1 = straight trombone',
    'player Tp1 = trumpet in Bb, level school',
    '',
    'bar 1  meter 4/4  key Bb major  tempo q = 72',
    'Tb1 | h : "\u{1d11e}" Eb2 F2 |',
    'Tp1 | h : A5 F4 |',
    '',
  ].join('\r\n'),
);

const entry = path.join(CODE_SERVER, 'out/node/entry.js');
const data = ['--user-data-dir', path.join(home, 'data'), '--extensions-dir', path.join(home, 'extensions')];
const environment = { ...process.env, HOME: home, XDG_CONFIG_HOME: home, XDG_DATA_HOME: home };

const installed = spawnSync(process.execPath, [entry, ...data, '--install-extension', VSIX], { env: environment });
assert.equal(installed.status, 0, String(installed.stderr));

const settings = path.join(home, 'data/User');
fs.mkdirSync(settings, { recursive: true });
fs.writeFileSync(
  path.join(settings, 'settings.json'),
  JSON.stringify({
    'workbench.startupEditor': 'none',
    'telemetry.telemetryLevel': 'off',
    'workbench.tips.enabled': false,
    'editor.minimap.enabled': false,
    'window.commandCenter': false,
    'git.enabled': false,
    'extensions.autoCheckUpdates': false,
    'extensions.autoUpdate': false,
    // VS Code asks a login shell for the path.
    'waterkey.path': process.env.WATERKEY,
  }),
);

const port = await new Promise((found) => {
  const probe = net.createServer().listen(0, '127.0.0.1', () => {
    const { port } = probe.address();
    probe.close(() => found(port));
  });
});
const server = spawn(
  process.execPath,
  [entry, ...data, '--auth', 'none', '--disable-telemetry', '--disable-update-check', '--disable-workspace-trust',
    '--bind-addr', `127.0.0.1:${port}`, scores],
  { env: environment, stdio: ['ignore', 'pipe', 'pipe'] },
);
let said = '';
for (const stream of [server.stdout, server.stderr]) stream.on('data', (bytes) => (said += bytes));

let browser;
try {
  await until('the server of VS Code', () => /listening on/.test(said));
  browser = await chromium.launch({
    executablePath: CHROMIUM,
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
      '--disable-component-update', '--disable-sync'],
  });
  const page = await browser.newPage({ viewport: { width: 1280, height: 760 } });
  page.setDefaultTimeout(20_000);
  await page.goto(`http://127.0.0.1:${port}/?folder=${encodeURIComponent(scores)}`);
  await page.getByRole('treeitem', { name: 'jetty.brass' }).dblclick();
  try {
    await session(page);
  } finally {
    await page.screenshot({ path: path.join(SCORES, 'vscode.png') });
  }
  console.log(`VS Code in ${browser.version()}: good`);
} catch (why) {
  console.log(`VS Code: ${why.stack ?? why}\n${said}`);
  process.exitCode = 1;
} finally {
  await browser?.close();
  server.kill();
}

async function session(page) {
  // Findings, as the list of problems tells them: line and column from 1, in UTF-16 units.
  await page.keyboard.press('Control+Shift+M');
  await row(page, /Eb2 lies between/).waitFor();
  await row(page, /Written B5/).waitFor();
  assert.match(await row(page, /Eb2 lies between/).innerText(), /Ln 6, Col 16/);
  assert.match(await row(page, /Written B5/).innerText(), /Ln 7, Col 11/);

  // The status bar counts for the player under the cursor.
  await go(page, 7, 12);
  await page.getByText('Tp1: 1 finding', { exact: true }).waitFor();

  // Hover.
  await page.keyboard.press('Control+K');
  await page.keyboard.press('Control+I');
  await page.locator('.monaco-hover').getByText('B5').first().waitFor();
  await page.keyboard.press('Escape');

  // The name of a player, everywhere.
  await go(page, 7, 2);
  await page.keyboard.press('F2');
  const box = page.locator('.rename-box input');
  await box.waitFor();
  await box.fill('Solo');
  await box.press('Enter');
  await text(page, /player Solo = trumpet/);

  // Layout.
  await page.keyboard.press('Control+Shift+I');
  await text(page, /Solo {3}\| h : A5 F4 {6}\|/);

  // A player's part, which the server writes, opens beside the score.
  await page.keyboard.press('F1');
  const commands = page.locator('.quick-input-widget input[type=text]');
  await commands.fill('>waterkey: Show a player');
  await row_of_choice(page, /part in written pitch/).click();
  await row_of_choice(page, /^Solo$/).click();
  await until('the part', async () => {
    const drawn = (await page.locator('.view-lines').allInnerTexts()).join('\n');
    return /pitch\s+written/.test(drawn.replaceAll('\u00a0', ' '));
  });
}

function row_of_choice(page, like) {
  return page.locator('.quick-input-list .monaco-list-row .label-name').filter({ hasText: like }).first();
}

function row(page, like) {
  return page.locator('.markers-panel .monaco-list-row').filter({ hasText: like }).first();
}

async function go(page, line, column) {
  await page.keyboard.press('Control+1');
  await page.keyboard.press('Control+G');
  const input = page.locator('.quick-input-widget input[type=text]');
  await input.fill(`:${line}:${column}`);
  await input.press('Enter');
}

/** Waits until the text in the editor is like this; it draws blanks as no-break spaces. */
async function text(page, like) {
  await until(`text like ${like}`, async () => {
    const drawn = await page.locator('.view-lines').first().innerText();
    return like.test(drawn.replaceAll('\u00a0', ' '));
  });
}

async function until(what, so) {
  const end = Date.now() + 60_000;
  while (!(await so())) {
    if (Date.now() > end) throw new Error(`${what} never came`);
    await new Promise((next) => setTimeout(next, 20));
  }
}

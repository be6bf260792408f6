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

// Nothing is said about this one.
fs.writeFileSync(
  path.join(scores, 'calm.brass'),
  ['brass 1', 'player Tp1 = trumpet in Bb', '', 'bar 1  meter 4/4  tempo q = 72', 'Tp1 | h : Bb4 C5 |', ''].join('\n'),
);

// A character outside the basic plane stands before the note that the trombone does not have.
function write_jetty() {
  fs.writeFileSync(
    path.join(scores, 'jetty.brass'),
    [
      'brass 1',
      'player Tb1 = straight trombone',
      'player Tp1 = trumpet in Bb, level school',
      'player Tp2 = trumpet in Bb',
      '',
      'bar 1  meter 4/4  key Bb major  tempo q = 72',
      'Tb1 | h : "\u{1d11e}" Eb2 F2 |',
      'Tp1 | h : A5 F4 |',
      '',
    ].join('\r\n'),
  );
}

const entry = path.join(CODE_SERVER, 'out/node/entry.js');
const data = ['--user-data-dir', path.join(home, 'data'), '--extensions-dir', path.join(home, 'extensions')];
const environment = { ...process.env, HOME: home, XDG_CONFIG_HOME: home, XDG_DATA_HOME: home };

const installed = spawnSync(process.execPath, [entry, ...data, '--install-extension', VSIX], { env: environment });
assert.equal(installed.status, 0, String(installed.stderr));

const settings = path.join(home, 'data/User');
fs.mkdirSync(settings, { recursive: true });
// VS Code asks a login shell for the path; so the program is named, and can be taken away.
const program = path.join(home, 'waterkey');
fs.symlinkSync(process.env.WATERKEY, program);
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
    'files.autoSave': 'off',
    'waterkey.path': program,
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

let browser, activated, tries = 0;
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
  try {
    await page.getByRole('treeitem', { name: 'calm.brass' }).dblclick();
    await calm(page);
    // All scores of a folder are checked: this one comes later.
    write_jetty();
    await page.getByRole('treeitem', { name: 'jetty.brass' }).dblclick();
    await session(page);
    activated = await activation(page);
    await without(page);
  } finally {
    await page.screenshot({ path: path.join(SCORES, 'vscode.png') });
  }
  console.log(`VS Code in ${browser.version()}: good; the extension was active in ${activated} ms${tries ? `; ${tries} offers came late` : ''}`);
} catch (why) {
  console.log(`VS Code: ${why.stack ?? why}\n${said}`);
  process.exitCode = 1;
} finally {
  await browser?.close();
  server.kill();
}

/** A score without mistakes: nothing is underlined, nothing pops up, nothing is written to the log. */
async function calm(page) {
  await page.keyboard.press('Control+Shift+M');
  await page.getByText('0 findings', { exact: true }).waitFor();
  await page.getByText('No problems have been detected in the workspace.').waitFor();
  await quiet(page);
  await page.keyboard.press('Control+Shift+M');
}

/** Nothing pops up, and the log has no line of trouble. */
async function quiet(page) {
  assert.deepEqual(await page.locator('.notification-toast').allInnerTexts(), []);
  const logs = fs.readdirSync(path.join(home, 'data/logs'), { recursive: true });
  for (const log of logs.filter((name) => /waterkey[^/]*\.log$/.test(name))) {
    assert.equal(fs.readFileSync(path.join(home, 'data/logs', log), 'utf8'), '', log);
  }
}

/** How long the extension took to become active, as VS Code itself tells it. */
async function activation(page) {
  await command(page, 'Developer: Show Running Extensions');
  const told = page.locator('.extension').filter({ hasText: 'waterkey' }).first();
  await told.waitFor();
  let found;
  await until('the time of activation', async () => {
    found = /(?:Activation|Startup Activation): (\d+)ms/.exec(await told.innerText());
    return found !== null;
  });
  await page.keyboard.press('Control+W');
  // The issue is what a person waits for; the machine of a test may be slow, but not that slow.
  assert.ok(Number(found[1]) < 300, `${found[1]} ms until the extension is active`);
  return found[1];
}

/** Without the program, a message says what to do; with it again, findings come back. */
async function without(page) {
  fs.unlinkSync(program);
  await command(page, 'waterkey: Restart the checker');
  const told = page.locator('.notification-toast').filter({ hasText: `There is no program ${program}` });
  await told.waitFor();
  assert.match(await told.innerText(), /cargo install --path \./);
  assert.match(await told.innerText(), /Open the setting/);
  fs.symlinkSync(process.env.WATERKEY, program);
  await command(page, 'waterkey: Restart the checker');
  await go(page, 7, 2);
  await page.getByText('Tb1: 1 finding', { exact: true }).waitFor();
}

async function session(page) {
  // Findings, as the list of problems tells them: line and column from 1, in UTF-16 units.
  await page.keyboard.press('Control+Shift+M');
  await row(page, /Eb2 lies between/).waitFor();
  await row(page, /Written B5/).waitFor();
  assert.match(await row(page, /Eb2 lies between/).innerText(), /Ln 7, Col 16/);
  assert.match(await row(page, /Written B5/).innerText(), /Ln 8, Col 11/);

  // The status bar counts for the player under the cursor.
  await go(page, 8, 12);
  await page.getByText('Tp1: 1 finding', { exact: true }).waitFor();

  // Hover.
  await page.keyboard.press('Control+K');
  await page.keyboard.press('Control+I');
  await page.locator('.monaco-hover').getByText('B5').first().waitFor();
  await page.keyboard.press('Escape');

  // Ways out: an octave lower, taken back again; given to another player, which stays.
  await offer(page, /^Down an octave: 1 note/);
  await text(page, /Tp1 \| h : A4 F4 \|/);
  await page.keyboard.press('Control+Z');
  await text(page, /Tp1 \| h : A5 F4 \|/);
  await go(page, 8, 12);
  await row(page, /Written B5/).waitFor();
  await offer(page, /^Give 1 note in bar 1 to Tp2/);
  await text(page, /Tp2 \| h h- : A5/);
  await page.keyboard.press('Control+Z');
  await text(page, /Tp1 \| h : A5 F4 \|/);
  await row(page, /Written B5/).waitFor();

  // A note is completed: the one that is offered first, by its first letter.
  await go(page, 8, 13);
  await page.keyboard.type(' B');
  await page.locator('.suggest-widget.visible .monaco-list-row.focused').filter({ hasText: 'Bb4' }).waitFor();
  await page.keyboard.press('Enter');
  await text(page, /Tp1 \| h : A5 Bb4 F4 \|/);
  await page.keyboard.press('Control+Z');
  await page.keyboard.press('Control+Z');
  await text(page, /Tp1 \| h : A5 F4 \|/);
  await row(page, /Written B5/).waitFor();

  // The name of a player, everywhere.
  await go(page, 8, 2);
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
  await command(page, 'waterkey: Show a player');
  await row_of_choice(page, /^Solo$/).click();
  await until('the part', async () => {
    const drawn = (await page.locator('.view-lines').allInnerTexts()).join('\n');
    return /pitch\s+written/.test(drawn.replaceAll('\u00a0', ' '));
  });

  // So does the rehearsal sheet, as a page.
  await page.keyboard.press('Control+1');
  await command(page, 'waterkey: Show the rehearsal sheet');
  await page.getByRole('tab', { name: /jetty: rehearsal sheet/ }).waitFor();
  const sheet = page.frameLocator('iframe.webview').frameLocator('iframe');
  await sheet.getByText('Solo').first().waitFor();
  await page.keyboard.press('Control+W');
  await quiet(page);
}

/** Takes what is offered at the cursor. */
async function offer(page, like) {
  const offered = page.locator('.action-widget .monaco-list-row').filter({ hasText: like }).first();
  // While a change is on its way, there is nothing to offer.
  await until(`${like} among the offers`, async () => {
    await page.keyboard.press('Control+.');
    const came = await offered.waitFor({ timeout: 1500 }).then(() => true, () => false);
    if (!came) {
      tries += 1;
      await page.keyboard.press('Escape');
    }
    return came;
  });
  const chosen = page.locator('.action-widget .monaco-list-row.focused');
  await until(`${like} among the offers`, async () => {
    if (like.test((await chosen.innerText()).replaceAll('\u00a0', ' ').trim())) return true;
    await page.keyboard.press('ArrowDown');
    return false;
  });
  await page.keyboard.press('Enter');
}

async function command(page, title) {
  await page.keyboard.press('F1');
  await page.locator('.quick-input-widget input[type=text]').fill(`>${title}`);
  await row_of_choice(page, new RegExp(title.replace(/^.*: /, ''))).click();
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

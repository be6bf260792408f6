// A real browser opens rehearsal sheets: on a telephone, on a desk, on paper, by day and by night.
//
// node sheet.mjs, with PROJECT the project's folder, SHEETS a folder that may be written to, CHROMIUM the browser,
// PLAYWRIGHT a folder that has playwright-core, and WATERKEY the program. Pictures are left in SHEETS.

import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';

const { PROJECT = process.cwd(), SHEETS, WATERKEY, CHROMIUM = '/usr/bin/chromium' } = process.env;
const { chromium } = createRequire(path.join(process.env.PLAYWRIGHT, 'package.json'))('playwright-core');

/// A full orchestra of people with long names, and a long night.
function crowd() {
  const instruments = ['trumpet in Bb', 'horn in F', 'trombone', 'euphonium', 'Eb tuba'];
  const notes = [['Bb4', 'D5', 'F5', 'Bb5'], ['F4', 'A4', 'C5', 'D5'], ['F3', 'Bb3', 'D4', 'F4'], ['F3', 'Bb3'], ['Bb1', 'F2']];
  const name = 'Nebelhorndampfschifffahrtsgesellschaftskapitänswitwe & <the> "second" watch'.replaceAll('"', '');
  const lines = [`title "Harbour at First Light, all the watches of a very long night: ${name}"`];
  for (let player = 0; player < 30; player += 1) {
    lines.push(`player P${player + 1} = ${instruments[player % 5]}, name "${name} ${player + 1}"`);
  }
  for (let bar = 1; bar < 400; bar += 4) {
    const tempo = bar === 1 ? '  meter 4/4  tempo q = 96' : '';
    lines.push('', `bar ${bar}${tempo}${bar % 40 === 1 ? `  mark "Buoy number ${bar}"` : ''}`);
    for (let player = 0; player < 30; player += 1) {
      const pool = notes[player % 5];
      const one = (at) => ((bar + at + player) % 7 < 2 ? '-' : `q : ${[0, 1, 2, 3].map((n) => pool[(bar + at * n + player) % pool.length]).join(' ')}`);
      lines.push(`P${player + 1} | ${[0, 1, 2, 3].map(one).join(' | ')} |`);
    }
  }
  return `${lines.join('\n')}\n`;
}

/// Every kind of sign, mutes in turn, another instrument.
const SIGNS = [
  'title "All the lights"',
  'player Tp1 = trumpet in Bb, level school, mutes cup straight, doubles flugelhorn in Bb',
  'player Tb1 = straight trombone',
  'bar 1  meter 4/4  key E major  tempo q = 60  mark A',
  'Tp1 | h : Bb4 F5 | w : A5 | w : D6 | w : A6 | q : [mute cup] C5 - [open] C5 - | q : [mute straight] C5 - - - | w : [switch flugelhorn] C5 |',
  'Tb1 | w : F3 | h : E2 Eb2 | rest 5 |',
  '',
].join('\n');

const scores = {
  harbour: fs.readFileSync(path.join(PROJECT, 'samples/harbour.brass'), 'utf8'),
  mistakes: fs.readFileSync(path.join(PROJECT, 'samples/harbour-mistakes.brass'), 'utf8'),
  hymn: fs.readFileSync(path.join(PROJECT, 'samples/breakwater-hymn.brass'), 'utf8'),
  crowd: crowd(),
  signs: SIGNS,
  untimed: 'player Hn = horn in F\nbar 1\nHn | q : F4 G4 A4 Bb4 | h : C5 C5 |\n',
  empty: '',
};

const pages = Object.fromEntries(
  Object.entries(scores).map(([name, text]) => {
    const page = path.join(SHEETS, `${name}.html`);
    const made = spawnSync(WATERKEY, ['report', '-', '--format', 'html', '-o', page], { input: text });
    assert.ok(made.status < 2, String(made.stderr));
    return [name, pathToFileURL(page).href];
  }),
);

const browser = await chromium.launch({
  executablePath: CHROMIUM,
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});
let checks = 0;
const good = (what) => {
  checks += 1;
  console.log(`   ${what}`);
};

/// Opens a page; whatever it says or asks for is a fault.
async function opened(name, { width = 1280, height = 900, scheme = 'light', media = 'screen' } = {}) {
  const context = await browser.newContext({ viewport: { width, height }, colorScheme: scheme, reducedMotion: 'reduce' });
  const page = await context.newPage();
  const said = [];
  page.on('console', (message) => said.push(message.text()));
  page.on('pageerror', (error) => said.push(error.message));
  page.on('request', (request) => request.url() !== pages[name] && said.push(`asked for ${request.url()}`));
  await page.emulateMedia({ media, colorScheme: scheme });
  await page.goto(pages[name]);
  return { page, said, close: () => context.close() };
}

// What is asked inside the page.

/// Elements that stick out at the sides.
const outside = () =>
  [...document.querySelectorAll('body *')]
    .filter((element) => !element.closest('.skip, .shapes, defs, title'))
    .map((element) => [element, element.getBoundingClientRect()])
    .filter(([, box]) => box.width > 0 && (box.left < -1 || box.right > innerWidth + 1))
    .map(([element, box]) => `${element.tagName}.${element.getAttribute('class')} ${box.left}..${box.right} ${element.textContent.slice(0, 30)}`);

/// Words of one kind in one chart that run into each other.
const collisions = () =>
  [...document.querySelectorAll('.chart, .letters, .side')].flatMap((chart) =>
    ['text.bar', 'text.time', 'text.mark', 'text.finding', 'text.word', 'text.hand', '.side text'].flatMap((kind) => {
      const boxes = [...chart.querySelectorAll(kind)]
        .map((text) => [text.textContent, text.getBoundingClientRect()])
        .filter(([, box]) => box.width > 0);
      return boxes.flatMap(([one, a], at) =>
        boxes
          .slice(at + 1)
          .filter(([, b]) => a.left < b.right - 0.5 && b.left < a.right - 0.5 && a.top < b.bottom - 2 && b.top < a.bottom - 2)
          .map(([other]) => `${kind}: ${one} and ${other}`),
      );
    }),
  );

/// The least contrast of words and of drawings, by the formula of WCAG 2.
const contrasts = () => {
  const canvas = document.createElement('canvas').getContext('2d', { willReadFrequently: true });
  const rgb = (colour) => {
    canvas.clearRect(0, 0, 1, 1);
    canvas.fillStyle = colour;
    canvas.fillRect(0, 0, 1, 1);
    return [...canvas.getImageData(0, 0, 1, 1).data];
  };
  const light = (colour) => {
    const [r, g, b] = rgb(colour)
      .slice(0, 3)
      .map((c) => (c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const contrast = (a, b) => {
    const [x, y] = [light(a), light(b)].sort((p, q) => q - p);
    return (x + 0.05) / (y + 0.05);
  };
  const paper = getComputedStyle(document.body).backgroundColor;
  const band = document.querySelector('.band') ? getComputedStyle(document.querySelector('.band')).fill : paper;
  const found = { words: [99, ''], drawings: [99, ''] };
  const least = (kind, value, what) => {
    if (value < found[kind][0]) found[kind] = [value, what];
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const parent = node.parentElement;
    if (!node.textContent.trim() || parent.closest('title, style, .skip')) continue;
    const style = getComputedStyle(parent);
    const drawn = parent.closest('svg');
    const grounds = drawn || parent.closest('.findings') ? [paper, band] : [paper];
    for (const ground of grounds) {
      least('words', contrast(drawn ? style.fill : style.color, ground), `${parent.tagName} ${parent.className.baseVal ?? parent.className} ${node.textContent.slice(0, 20)}`);
    }
  }
  const drawings = { '.notes': 'stroke', '.notes.high': 'stroke', '.load': 'fill', '.bell': 'fill', '.plays': 'fill', '.gauge .part': 'fill', 'line.edge': 'stroke', 'line.usual': 'stroke', '.open.dawn': 'stroke', '.open.calm': 'stroke', '.full.dawn': 'fill', '.full.alarm': 'fill' };
  for (const [selector, paint] of Object.entries(drawings)) {
    const element = document.querySelector(selector);
    if (!element) continue;
    for (const ground of selector.startsWith('.notes') ? [paper, band] : [paper]) {
      least('drawings', contrast(getComputedStyle(element)[paint], ground), selector);
    }
  }
  return found;
};

/// What every sheet has.
const anatomy = () => {
  const players = [...document.querySelectorAll('section.player')];
  const shown = (element) => element && element.getBoundingClientRect().width > 0 && element.getBoundingClientRect().height > 0;
  return {
    language: document.documentElement.lang,
    landmarks: ['header', 'main', 'footer'].filter((name) => document.querySelectorAll(`body > ${name}`).length === 1),
    headings: [...document.querySelectorAll('h1,h2,h3')].map((heading) => Number(heading.tagName[1])),
    players: players.length,
    without: players
      .filter((player) => !/no known instrument/.test(player.querySelector('header').textContent))
      .filter((player) => !shown(player.querySelector('.chart')) || !shown(player.querySelector('.band')))
      .map((player) => player.id),
    silentCells: [...document.querySelectorAll('.cell')].filter((cell) => !cell.querySelector('title')?.textContent).length,
    cells: document.querySelectorAll('.cell').length,
    namelessLinks: [...document.querySelectorAll('a')].filter((link) => !(link.getAttribute('aria-label') || link.textContent).trim()).length,
    unnamed: [...document.querySelectorAll('section')].filter((section) => !document.getElementById(section.getAttribute('aria-labelledby'))).length,
    looseCells: [...document.querySelectorAll('thead th, tbody th')].filter((cell) => !cell.scope).length,
    scripts: document.scripts.length,
  };
};

for (const name of Object.keys(pages)) {
  for (const [width, scheme, media] of [
    [320, 'light', 'screen'],
    [390, 'dark', 'screen'],
    [820, 'dark', 'screen'],
    [1280, 'light', 'screen'],
    // The paper between the margins of an A4 page.
    [688, 'dark', 'print'],
  ]) {
    const where = `${name}, ${width} px, ${scheme}, ${media}`;
    const { page, said, close } = await opened(name, { width, scheme, media });
    const size = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
    assert.ok(size[0] <= size[1], `${where}: ${size}`);
    assert.deepEqual(await page.evaluate(outside), [], where);
    assert.deepEqual(await page.evaluate(collisions), [], where);
    const { words, drawings } = await page.evaluate(contrasts);
    assert.ok(words[0] >= 4.5, `${where}: ${words}`);
    assert.ok(drawings[0] >= 3, `${where}: ${drawings}`);
    const found = await page.evaluate(anatomy);
    assert.equal(found.language, 'en');
    assert.deepEqual(found.landmarks, ['header', 'main', 'footer']);
    assert.equal(found.headings.filter((level) => level === 1).length, 1);
    assert.ok(found.headings.every((level, at) => at === 0 || level <= found.headings[at - 1] + 1), where);
    assert.deepEqual(found.without, [], `${where}: players without a chart`);
    for (const none of ['silentCells', 'namelessLinks', 'unnamed', 'looseCells', 'scripts']) assert.equal(found[none], 0, `${where}: ${none}`);
    if (!['empty'].includes(name)) assert.ok(found.players > 0 && found.cells > 0, where);
    await page.screenshot({ path: path.join(SHEETS, `${name}-${width}-${scheme}-${media}.png`), fullPage: name !== 'crowd' });
    assert.deepEqual(said, [], where);
    await close();
  }
  good(`${name}: nothing sticks out or collides, everything can be read, every player has a chart`);
}

// Pointing at a bar tells of it, and shows that it is meant.
{
  const { page, close } = await opened('harbour');
  const cell = page.locator('#p5 .cell').nth(3);
  await cell.scrollIntoViewIfNeeded();
  const box = await cell.boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  const pointed = await page.evaluate(
    ([x, y]) => {
      const element = document.elementFromPoint(x, y);
      return [element.getAttribute('class'), element.querySelector('title')?.textContent, getComputedStyle(element).fillOpacity];
    },
    [box.x + box.width / 2, box.y + box.height / 2],
  );
  assert.equal(pointed[0], 'cell');
  assert.match(pointed[1], /^bar 12, at 0:37, written D5, plays 2\.5 s of 3\.3 s, load 0\.8$/);
  assert.ok(Number(pointed[2]) > 0);
  good('pointing at a bar tells what is in it');
  await close();
}

// A sign leads to its finding; all of it works from the keyboard.
{
  const { page, close } = await opened('mistakes');
  await page.keyboard.press('Tab');
  assert.equal(await page.evaluate(() => document.activeElement.className), 'skip');
  const sign = page.locator('#p5 .chart a').nth(1);
  const rule = (await sign.locator('title').textContent()).match(/[a-z]+(-[a-z]+)+/)[0];
  await sign.focus();
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector(':target')?.getBoundingClientRect().top < innerHeight);
  const target = await page.evaluate(() => {
    const element = document.querySelector(':target');
    const box = element.getBoundingClientRect();
    return [element.id, element.textContent, box.top >= -1 && box.top < innerHeight, box.top];
  });
  assert.equal(target[0], 'p5f2');
  assert.match(target[1], new RegExp(rule));
  assert.ok(target[2], `it is in sight: ${target[3]}`);
  good('a sign leads to its finding');
  await close();
}

// Without colour: every sign has a shape of its own, high notes are thicker, limits have lines of their own.
{
  const { page, close } = await opened('signs');
  await page.addStyleTag({
    content: '.full,.open,.cut{--paper:#fff;--dawn:#000;--alarm:#000;--calm:#000} .legend{font-size:0}',
  });
  const shapes = {};
  for (const id of ['s-error', 's-strong', 's-warning', 's-information']) {
    const shape = page.locator(`.legend use[href="#${id}"]`).locator('..');
    shapes[id] = (await shape.screenshot()).toString('base64');
    assert.ok((await page.locator(`.chart use[href="#${id}"]`).count()) > 0, `${id} is in a chart`);
  }
  assert.equal(new Set(Object.values(shapes)).size, 4, 'four shapes');
  const strokes = await page.evaluate(() => {
    const of = (selector, property) => getComputedStyle(document.querySelector(`#p1 ${selector}`))[property];
    return [of('.notes', 'strokeWidth'), of('.notes.high', 'strokeWidth'), of('line.edge', 'strokeDasharray'), of('line.usual', 'strokeDasharray')];
  });
  assert.ok(parseFloat(strokes[1]) > 1.5 * parseFloat(strokes[0]), strokes);
  assert.notEqual(strokes[2], strokes[3]);
  const words = await page.evaluate(() => [...document.querySelectorAll('.findings .what b')].map((word) => word.textContent));
  for (const word of ['error', 'strong warning', 'warning', 'information']) assert.ok(words.includes(word), word);
  const mutes = await page.evaluate(() => [...document.querySelectorAll('#p1 g > title')].map((title) => title.textContent));
  assert.deepEqual(mutes, ['cup mute', 'straight mute']);
  good('nothing is said by colour alone');
  await close();
}

// On paper: light even at night, charts whole, nothing lost.
{
  const { page, close } = await opened('mistakes', { scheme: 'dark', media: 'print', width: 688 });
  const style = await page.evaluate(() => {
    const of = (selector) => getComputedStyle(document.querySelector(selector));
    return [of('body').backgroundColor, of('figure').breakInside, of('.band').fill, of('.wide').display];
  });
  assert.deepEqual(style.slice(0, 2), ['rgb(255, 255, 255)', 'avoid']);
  assert.notEqual(style[2], 'rgb(255, 255, 255)');
  assert.equal(style[3], 'table-cell');
  const paper = await page.pdf({ format: 'A4', path: path.join(SHEETS, 'mistakes.pdf') });
  const sheets = paper.toString('latin1').match(/\/Type\s*\/Page\b/g).length;
  assert.ok(sheets > 3 && sheets < 20, `${sheets} pages`);
  good(`it prints, on ${sheets} pages`);
  await close();
}

await browser.close();
console.log(`the sheet in a browser: ${checks} checks`);

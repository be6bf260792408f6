// Starts the language server for scores and says so where it cannot.

import * as path from 'node:path';
import * as vscode from 'vscode';
import { LanguageClient, LanguageClientOptions, ServerOptions, State } from 'vscode-languageclient/node';
import { playersOf } from './players';
import { findProgram } from './program';
import { FindingsOfPlayer } from './status';

let client: LanguageClient | undefined;
let channel: vscode.LogOutputChannel;

export async function activate(context: vscode.ExtensionContext): Promise<void> {
  channel = vscode.window.createOutputChannel('waterkey', { log: true });
  const status = new FindingsOfPlayer();
  context.subscriptions.push(
    channel,
    status,
    vscode.commands.registerCommand('waterkey.restart', restart),
    vscode.commands.registerCommand('waterkey.showLog', () => channel.show()),
    vscode.commands.registerCommand('waterkey.showPart', showPart),
    vscode.commands.registerCommand('waterkey.showChart', showChart),
    vscode.commands.registerCommand('waterkey.showSheet', showSheet),
    vscode.commands.registerCommand('waterkey.writeFile', writeFile),
    vscode.workspace.onDidChangeConfiguration((event) => {
      if (event.affectsConfiguration('waterkey.path')) void restart();
    }),
  );
  // The editor need not wait for the program to start.
  void start();
}

export async function deactivate(): Promise<void> {
  await client?.stop();
}

async function start(): Promise<void> {
  const wanted = vscode.workspace.getConfiguration('waterkey').get<string>('path', '');
  const program = findProgram(wanted);
  if (program === undefined) {
    await tellMissing(wanted);
    return;
  }
  const server: ServerOptions = { command: program, args: ['serve'] };
  const options: LanguageClientOptions = {
    documentSelector: [{ language: 'brass' }],
    outputChannel: channel,
    synchronize: { configurationSection: 'waterkey' },
    initializationOptions: vscode.workspace.getConfiguration('waterkey'),
  };
  client = new LanguageClient('waterkey', 'waterkey', server, options);
  try {
    await client.start();
  } catch (why) {
    channel.error(`${program} serve: ${String(why)}`);
    const show = 'Show why';
    const chosen = await vscode.window.showErrorMessage(`${program} did not start as a checker.`, show);
    if (chosen === show) channel.show();
  }
}

async function restart(): Promise<void> {
  const old = client;
  client = undefined;
  if (old?.state === State.Running) await old.stop();
  await start();
}

async function tellMissing(wanted: string): Promise<void> {
  const set = 'Open the setting';
  const where = wanted === '' ? 'There is no program waterkey on the path' : `There is no program ${wanted}`;
  const chosen = await vscode.window.showWarningMessage(
    `${where}. \`cargo install --path .\` in the project puts it there; or name it in the setting waterkey.path.`,
    set,
  );
  if (chosen === set) await vscode.commands.executeCommand('workbench.action.openSettings', 'waterkey.path');
}

async function showPart(player?: string): Promise<void> {
  const document = vscode.window.activeTextEditor?.document;
  if (document?.languageId !== 'brass') return;
  const chosen = player ?? (await vscode.window.showQuickPick(playersOf(document), { title: 'Whose part?' }));
  if (chosen === undefined) return;
  await showText('waterkey.part', [document.uri.toString(), chosen], 'brass');
}

async function showChart(): Promise<void> {
  const instrument = await vscode.window.showInputBox({
    title: 'Fingerings of which instrument?',
    placeHolder: 'trumpet in Bb',
  });
  if (instrument) await showText('waterkey.chart', [instrument], 'plaintext');
}

/** The page has no script, and may run none. */
async function showSheet(): Promise<void> {
  const document = vscode.window.activeTextEditor?.document;
  if (document?.languageId !== 'brass') return;
  const page = await ask('waterkey.sheet', [document.uri.toString()]);
  if (typeof page !== 'string') return;
  const title = `${path.basename(document.fileName, '.brass')}: rehearsal sheet`;
  const panel = vscode.window.createWebviewPanel('waterkey.sheet', title, vscode.ViewColumn.Beside, {});
  panel.webview.html = page;
}

async function writeFile(): Promise<void> {
  const document = vscode.window.activeTextEditor?.document;
  if (document?.languageId !== 'brass') return;
  const folder = document.isUntitled ? undefined : path.dirname(document.fileName);
  const name = `${path.basename(document.fileName, '.brass')}.musicxml`;
  const chosen = await vscode.window.showSaveDialog({
    defaultUri: vscode.Uri.file(folder === undefined ? name : path.join(folder, name)),
    filters: { MusicXML: ['musicxml'], MIDI: ['mid'] },
    title: 'Write the score for other programs',
  });
  if (chosen === undefined) return;
  const written = await ask('waterkey.export', [document.uri.toString(), chosen.fsPath]);
  if (typeof written === 'string') vscode.window.setStatusBarMessage(`${written} is written.`, 5000);
}

/** Shows what a command of the server answers beside the score. */
async function showText(command: string, args: unknown[], language: string): Promise<void> {
  const answer = await ask(command, args);
  const content = typeof answer === 'string' ? answer : (answer as { text?: string } | null | undefined)?.text;
  if (content === undefined) return;
  const shown = await vscode.workspace.openTextDocument({ content, language });
  await vscode.window.showTextDocument(shown, vscode.ViewColumn.Beside, true);
}

/** What the server answers; what it objects to is told. */
async function ask(command: string, args: unknown[]): Promise<unknown> {
  if (client === undefined) {
    await vscode.window.showWarningMessage('The checker is not running: “waterkey: Restart the checker” starts it.');
    return undefined;
  }
  try {
    return await client.sendRequest('workspace/executeCommand', { command, arguments: args });
  } catch (why) {
    await vscode.window.showErrorMessage(why instanceof Error ? why.message : String(why));
    return undefined;
  }
}

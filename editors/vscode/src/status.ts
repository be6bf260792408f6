// How many findings the player under the cursor has, in the status bar.

import * as vscode from 'vscode';
import { playerAt } from './players';

export class FindingsOfPlayer implements vscode.Disposable {
  private readonly item = vscode.window.createStatusBarItem('waterkey.player', vscode.StatusBarAlignment.Left);
  private readonly watched: vscode.Disposable[];

  constructor() {
    this.item.name = 'waterkey: findings of the player under the cursor';
    this.item.command = 'workbench.actions.view.problems';
    this.watched = [
      vscode.window.onDidChangeTextEditorSelection(() => this.show()),
      vscode.window.onDidChangeActiveTextEditor(() => this.show()),
      vscode.languages.onDidChangeDiagnostics(() => this.show()),
    ];
    this.show();
  }

  dispose(): void {
    for (const one of [this.item, ...this.watched]) one.dispose();
  }

  private show(): void {
    const editor = vscode.window.activeTextEditor;
    if (editor?.document.languageId !== 'brass') {
      this.item.hide();
      return;
    }
    const document = editor.document;
    const player = playerAt(document.lineAt(editor.selection.active.line).text);
    const counted = vscode.languages
      .getDiagnostics(document.uri)
      .filter((d) => d.severity <= vscode.DiagnosticSeverity.Information)
      .filter((d) => player === undefined || playerAt(document.lineAt(d.range.start.line).text) === player);
    const many = counted.length === 1 ? '1 finding' : `${counted.length} findings`;
    this.item.text = player === undefined ? many : `${player}: ${many}`;
    this.item.show();
  }
}

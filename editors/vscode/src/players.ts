// The players that a text declares, as far as their names matter here.

import type { TextDocument } from 'vscode';

const DECLARED = /^[ \t]*player[ \t]+([\p{L}][\p{L}\p{M}\p{N}_]*)/u;
const ROW = /^[ \t]*([\p{L}][\p{L}\p{M}\p{N}_]*)[^|]*\|/u;

/** Names of the declared players, in the order of the text. */
export function playersOf(document: TextDocument): string[] {
  const names: string[] = [];
  for (let line = 0; line < document.lineCount; line++) {
    const found = DECLARED.exec(document.lineAt(line).text);
    if (found?.[1] !== undefined) names.push(found[1]);
  }
  return names;
}

/** The first name of the row or player line at a line, if it is one. */
export function playerAt(text: string): string | undefined {
  return (DECLARED.exec(text) ?? ROW.exec(text))?.[1];
}

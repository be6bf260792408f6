// Finds the program.

import * as fs from 'node:fs';
import * as path from 'node:path';

/** The file that a name or path stands for, looked for on the path like any command. */
export function findProgram(wanted: string): string | undefined {
  const name = wanted.trim() || 'waterkey';
  if (name.includes('/') || name.includes(path.sep)) return runs(name) ? name : undefined;
  const endings = process.platform === 'win32' ? ['.exe', '.cmd', ''] : [''];
  for (const folder of (process.env.PATH ?? '').split(path.delimiter).filter(Boolean)) {
    for (const ending of endings) {
      const file = path.join(folder, name + ending);
      if (runs(file)) return file;
    }
  }
  return undefined;
}

function runs(file: string): boolean {
  try {
    fs.accessSync(file, fs.constants.X_OK);
    return fs.statSync(file).isFile();
  } catch {
    return false;
  }
}

/** What the commands share: writing a result, saying a line. */
import { writeFileSync } from 'node:fs';
import { SetUpError } from '../links/errors.ts';

/** Writes a file. Throws SetUpError naming what it was for, the path and the reason. */
export function writeText(what: string, path: string, text: string): void {
  try {
    writeFileSync(path, text);
  } catch (error) {
    throw new SetUpError(`cannot write the ${what} to ${path}: ${(error as Error).message}`);
  }
}

export function say(out: NodeJS.WriteStream, line: string): void {
  out.write(`${line}\n`);
}

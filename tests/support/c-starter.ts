import { compileToWasm, kitSources, wasiCommand } from './c-build.ts';

/** Where the headers of the kit lie, as folders below src/board. */
export const KIT_FOLDERS = ['-Istarter', '-Iports/posix'];

/** Every .c file of the starter as a program: the kit, both controllers, and the port to standard streams and TCP. */
export function starterUnits(sources: Readonly<Record<string, string>>): string[] {
  return Object.keys(sources).filter((name) => /^(phantom_[a-z]+|starter\/\w+|ports\/posix\/\w+)\.c$/.test(name));
}

/** Shell command that runs the C starter under Node; frames on its standard input and output. */
export async function starterCommand(...args: string[]): Promise<string> {
  const sources = kitSources();
  return wasiCommand(await compileToWasm('starter', sources, starterUnits(sources), KIT_FOLDERS), ...args);
}

import { compileToWasm, kitSources, wasiCommand } from './c-build.ts';

/** Shell command that runs the C six-step starter under Node; frames on its standard input and output. */
export async function starterCommand(): Promise<string> {
  const sources = kitSources();
  const units = Object.keys(sources).filter((name) => name.endsWith('.c'));
  return wasiCommand(await compileToWasm('starter', sources, units));
}

/** Which controller drives the run: named on the command line, or the built-in one that the scenario names. */
import { controllerNames } from '../control/index.ts';
import { SetUpError } from '../links/errors.ts';
import { parseTcpPlace } from '../links/node-tcp.ts';
import { suggestion } from '../scenario/nearest.ts';

export interface ControllerChoice {
  readonly kind: 'builtin' | 'exec' | 'tcp';
  /** Name, command line, or HOST:PORT. */ readonly what: string;
}

/** Reads the value of --controller. Throws SetUpError that says what is allowed. */
export function controllerChoice(text: string): ControllerChoice {
  const [, kind, what] = /^(builtin|exec|tcp):(.*)$/s.exec(text) ?? [];
  switch (kind) {
    case 'builtin':
      if (controllerNames().includes(what)) return { kind, what };
      throw new SetUpError(`--controller ${text}: '${what}' is not built in; ${suggestion(what, controllerNames())}`);
    case 'exec':
      if (what.trim() !== '') return { kind, what };
      throw new SetUpError(`--controller ${text}: the command is missing; write it as exec:./my-controller`);
    case 'tcp':
      parseTcpPlace(what);
      return { kind, what };
    default:
      throw new SetUpError(`--controller ${text}: allowed are builtin:NAME, exec:CMD, tcp:HOST:PORT`);
  }
}

/** The choice as reports name it. */
export function choiceText({ kind, what }: ControllerChoice): string {
  return `${kind}:${what}`;
}

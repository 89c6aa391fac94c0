/** Which controller drives the run: named on the command line, or the built-in one that the scenario names. */
import { controllerNames } from '../control/index.ts';
import { suggestion } from '../scenario/nearest.ts';
import { SetUpError } from './exit.ts';

export type ControllerChoice =
  | { readonly kind: 'builtin'; readonly name: string }
  | { readonly kind: 'exec'; readonly command: string }
  | { readonly kind: 'tcp'; readonly host: string; readonly port: number };

const FORMS = 'builtin:NAME, exec:CMD, tcp:HOST:PORT';

/** Reads the value of --controller. Throws SetUpError that says what is allowed. */
export function controllerChoice(text: string): ControllerChoice {
  const [, kind, rest] = /^([a-z]+):(.*)$/s.exec(text) ?? [];
  if (kind === 'builtin') {
    if (controllerNames().includes(rest)) return { kind, name: rest };
    throw new SetUpError([`--controller ${text}: '${rest}' is not built in; ${suggestion(rest, controllerNames())}`]);
  }
  if (kind === 'exec') {
    if (rest.trim() !== '') return { kind, command: rest };
    throw new SetUpError([`--controller ${text}: the command is missing; write exec:./my-controller`]);
  }
  if (kind === 'tcp') return tcp(text, rest);
  throw new SetUpError([`--controller ${text}: not understood; allowed are ${FORMS}`]);
}

/** The choice as text, as reports name it. */
export function choiceText(choice: ControllerChoice): string {
  switch (choice.kind) {
    case 'builtin':
      return `builtin:${choice.name}`;
    case 'exec':
      return `exec:${choice.command}`;
    case 'tcp':
      return `tcp:${choice.host}:${choice.port}`;
  }
}

function tcp(text: string, rest: string): ControllerChoice {
  // An IPv6 address stands in brackets, so that its colons are not the one before the port.
  const [, bracketed, plain, digits] = /^(?:\[([^\]]+)\]|([^:]+)):(\d+)$/.exec(rest) ?? [];
  const host = bracketed ?? plain;
  const port = Number(digits);
  if (host !== undefined && port >= 1 && port <= 65535) return { kind: 'tcp', host, port };
  throw new SetUpError([`--controller ${text}: allowed is tcp:HOST:PORT with a port of 1 to 65535`]);
}
